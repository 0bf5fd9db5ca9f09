#include "photo_dialog.h"

#include <QCheckBox>
#include <QComboBox>
#include <QDialogButtonBox>
#include <QFile>
#include <QFileDialog>
#include <QFileInfo>
#include <QFormLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QRadioButton>
#include <QVBoxLayout>

#include "core/files.h"
#include "marked_picture.h"
#include "text.h"
#include "workspace.h"

namespace greywright::desktop {
namespace {

constexpr double kTimes = 6;
constexpr int kSettleMs = 250;

/// "95, 0.1, −0.4", or nothing where it is not three numbers.
std::optional<colour::Lab> labIn(const QString& words) {
    const std::vector<double> numbers = numbersIn(words);
    if (numbers.size() != 3) return std::nullopt;
    return colour::Lab{numbers[0], numbers[1], numbers[2]};
}

}  // namespace

PhotoDialog::PhotoDialog(Workspace& workspace, const QString& picture, QWidget* parent)
    : QDialog(parent),
      workspace_(workspace),
      picture_(picture),
      marks_(new MarkedPicture({tr("card"), tr("place")}, this)),
      card_(new QRadioButton(tr("Mark the &card"), this)),
      place_(new QRadioButton(tr("Mark the &place that is looked at"), this)),
      cardKind_(new QComboBox(this)),
      cardLab_(new QLineEdit(this)),
      stronger_(new QCheckBox(tr("Show the tint %1 &times as strong").arg(kTimes), this)),
      save_(new QPushButton(tr("&Save this copy…"), this)),
      words_(wordsLabel(this)) {
    setWindowTitle(tr("How neutral is a place in %1?").arg(QFileInfo(picture).fileName()));
    setAttribute(Qt::WA_DeleteOnClose);
    setWindowModality(Qt::WindowModal);
    resize(820, 720);
    auto* column = new QVBoxLayout(this);
    column->addWidget(wordsLabel(
        this, tr("A neutral card and the print, in one photograph and in the same light. Draw a box within "
                 "the card, then one within an even place of the print; or move a box by the arrow keys, and "
                 "size it with Shift.")));
    marks_->setObjectName(QStringLiteral("marks"));
    marks_->setAccessibleName(tr("The photograph, with the card and the place marked in it"));
    column->addWidget(marks_, 1);
    auto* row = new QHBoxLayout;
    card_->setChecked(true);
    card_->setObjectName(QStringLiteral("card"));
    place_->setObjectName(QStringLiteral("place"));
    stronger_->setObjectName(QStringLiteral("stronger"));
    save_->setObjectName(QStringLiteral("save"));
    row->addWidget(card_);
    row->addWidget(place_);
    row->addStretch(1);
    row->addWidget(stronger_);
    column->addLayout(row);
    auto* form = new QFormLayout;
    cardLab_->setObjectName(QStringLiteral("cardLab"));
    cardKind_->setObjectName(QStringLiteral("cardKind"));
    cardKind_->addItem(tr("white"), 95);
    cardKind_->addItem(tr("mid grey, of 18 %"), 49.5);
    cardKind_->addItem(tr("measured, as given below"), 0);
    form->addRow(tr("The c&ard is"), cardKind_);
    cardLab_->setPlaceholderText(tr("L*, a*, b*"));
    form->addRow(tr("Its &colour by an instrument"), cardLab_);
    column->addLayout(form);
    words_->setObjectName(QStringLiteral("words"));
    column->addWidget(words_);
    auto* buttons = new QDialogButtonBox(this);
    buttons->addButton(save_, QDialogButtonBox::ActionRole);
    buttons->addButton(tr("Close"), QDialogButtonBox::RejectRole);
    column->addWidget(buttons);
    for (QPushButton* one : findChildren<QPushButton*>()) one->setAutoDefault(false);
    stronger_->setEnabled(false);
    save_->setEnabled(false);
    words_->setText(tr("Nothing is marked yet."));

    settle_.setSingleShot(true);
    settle_.setInterval(kSettleMs);
    connect(&settle_, &QTimer::timeout, this, &PhotoDialog::look);
    connect(card_, &QRadioButton::toggled, this, [this](bool isCard) { marks_->setActive(isCard ? 0 : 1); });
    connect(marks_, &MarkedPicture::moved, &settle_, qOverload<>(&QTimer::start));
    connect(marks_, &MarkedPicture::drawn, this, [this](int which) {
        // After the card comes the place.
        if (which == 0 && marks_->mark(1).isNull()) {
            place_->setChecked(true);
            words_->setText(tr("Now an even place of the print."));
        }
        settle_.start();
    });
    const auto rest = [this] { cardLab_->setEnabled(cardKind_->currentData().toDouble() == 0); };
    connect(cardKind_, &QComboBox::currentIndexChanged, this, [this, rest] {
        rest();
        settle_.start();
    });
    rest();
    connect(cardLab_, &QLineEdit::editingFinished, &settle_, qOverload<>(&QTimer::start));
    connect(stronger_, &QCheckBox::toggled, this, &PhotoDialog::showPicture);
    connect(save_, &QPushButton::clicked, this, &PhotoDialog::save);
    connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
    load();
}

PhotoDialog::~PhotoDialog() {
    if (work_) work_->stop();
}

QString PhotoDialog::words() const {
    return words_->text();
}

void PhotoDialog::load() {
    work_ = workspace_.tasks().run(
        tr("Reading %1").arg(QFileInfo(picture_).fileName()), this,
        [path = text(picture_), out = text(copies_.filePath(QStringLiteral("plain.png")))](Task& task) {
            return studio::showPicture(path, out, [&task](double share) { return task.goOn(share); });
        },
        [this](const Result<studio::ShownPicture>& shown) {
            work_.reset();
            if (!shown) {
                words_->setText(textOf(shown.error()));
                marks_->setWords(tr("There is no picture to show."));
                return;
            }
            shown_ = *shown;
            showPicture();
            look();  // places may be marked already
        });
}

void PhotoDialog::look() {
    if (!shown_ || marks_->mark(0).isNull() || marks_->mark(1).isNull()) return;
    if (work_) work_->stop();
    ++asked_;
    hasLooked_ = false;
    stronger_->setEnabled(false);
    save_->setEnabled(false);
    const auto pixels = [this](int which) {
        const QRectF mark = marks_->mark(which);
        const auto wide = static_cast<double>(shown_->fileWidth);
        const auto high = static_cast<double>(shown_->fileHeight);
        return scan::RectPx{mark.x() * wide, mark.y() * high, mark.width() * wide, mark.height() * high};
    };
    studio::LookRequest request{.picture = text(picture_),
                                .card = pixels(0),
                                .patch = pixels(1),
                                .magnify = kTimes,
                                .out = text(copy())};
    request.cardLab = colour::Lab{cardKind_->currentData().toDouble(), 0, 0};
    if (cardLab_->isEnabled()) {
        request.cardLab = labIn(cardLab_->text());
        if (!request.cardLab) {
            words_->setText(
                tr("The card's own colour is not understood. Write three numbers with commas "
                   "between them, such as 95, 0.1, -0.4."));
            return;
        }
    }
    words_->setText(tr("Looking…"));
    work_ = workspace_.tasks().run(
        tr("Looking at the photograph"), this,
        [request, small = text(shownCopy())](Task& task) mutable -> Result<studio::Look> {
            request.goOn = [&task](double share) { return task.goOn(share); };
            auto seen = studio::look(request);
            if (!seen) return seen;
            const auto shown = studio::showPicture(request.out, small, request.goOn);
            if (!shown) return shown.error();
            return seen;
        },
        [this, asked = asked_](const Result<studio::Look>& seen) {
            if (asked == asked_) show(seen);  // not of marks that were moved since
        });
}

void PhotoDialog::show(const Result<studio::Look>& seen) {
    work_.reset();
    if (!seen) {
        words_->setText(textOf(seen.error()));
        return;
    }
    words_->setText(asSentence(studio::wordsFromLook(*seen)));
    hasLooked_ = true;
    stronger_->setEnabled(true);
    save_->setEnabled(true);
    showPicture();
}

// One a question: an older one may still be writing its own.
QString PhotoDialog::copy() const {
    return copies_.filePath(QStringLiteral("stronger-%1.png").arg(asked_));
}

QString PhotoDialog::shownCopy() const {
    return copies_.filePath(QStringLiteral("stronger-%1-small.png").arg(asked_));
}

void PhotoDialog::showPicture() {
    if (!shown_) return;
    const bool isStronger = stronger_->isChecked() && hasLooked_;
    marks_->setPicture(QImage(isStronger ? shownCopy() : text(shown_->file.string())));
}

void PhotoDialog::save() {
    QString path = QFileDialog::getSaveFileName(
        this, tr("Save the copy with the stronger tint"),
        QFileInfo(picture_).completeBaseName() + QStringLiteral("-tint.png"), tr("PNG (*.png)"));
    if (path.isEmpty()) return;
    if (QFileInfo(path).suffix().isEmpty()) path += QStringLiteral(".png");
    const auto bytes = readWholeFile(text(copy()));
    const Outcome written =
        bytes ? workspace_.studio().write(text(path), *bytes, true) : Outcome(bytes.error());
    words_->setText(written ? tr("Saved as %1").arg(path) : textOf(written.error()));
}

}  // namespace greywright::desktop
