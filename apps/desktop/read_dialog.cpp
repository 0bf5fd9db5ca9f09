#include "read_dialog.h"

#include <QCheckBox>
#include <QCloseEvent>
#include <QComboBox>
#include <QDialogButtonBox>
#include <QDir>
#include <QDoubleSpinBox>
#include <QFileDialog>
#include <QFileInfo>
#include <QFormLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QScrollArea>
#include <QToolButton>
#include <QUndoCommand>
#include <QUndoStack>
#include <QVBoxLayout>
#include <algorithm>
#include <cmath>

#include "canvas/plot_view.h"
#include "core/platform.h"
#include "form_dialog.h"
#include "studio/page_figures.h"
#include "text.h"

namespace greywright::desktop {
namespace {

/// So many at once are a mistake of the hand more often than a wish.
constexpr qsizetype kMostFiles = 50;

/// A reading is in the book already when this is pushed; undoing takes its trial out of the account, redoing
/// counts it again.
class TakenIn : public QUndoCommand {
  public:
    TakenIn(Workspace& workspace, QString condition, int trial)
        : QUndoCommand(ReadDialog::tr("reading trial %1 of %2").arg(trial).arg(condition)),
          workspace_(workspace),
          condition_(std::move(condition)),
          trial_(trial) {}

    void undo() override { workspace_.takeOut(condition_, trial_, ReadDialog::tr("undone after reading")); }
    void redo() override {
        if (!isNew_) workspace_.countAgain(condition_, trial_);
        isNew_ = false;
    }

  private:
    Workspace& workspace_;
    QString condition_;
    int trial_;
    bool isNew_ = true;
};

studio::Choices choicesIn(const QString& words) {
    studio::Choices out;
    for (const QString& part : words.split(QLatin1Char(','), Qt::SkipEmptyParts)) {
        const qsizetype sign = part.indexOf(QLatin1Char('='));
        if (sign > 0) out[text(part.left(sign).trimmed())] = text(part.mid(sign + 1).trimmed());
    }
    return out;
}

/// The numbers of a line, `count` of them or as many as there are; none where it is empty.
Result<std::vector<double>> numbersOf(const QLineEdit& line, std::size_t count) {
    if (line.text().trimmed().isEmpty()) return std::vector<double>{};
    auto numbers = numbersIn(line.text());
    if (numbers.empty() || (count > 0 && numbers.size() != count)) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "numbers-text-invalid",
                     .what = text(ReadDialog::tr("'%1' is not understood").arg(line.text())),
                     .next = text(ReadDialog::tr("Write numbers with commas between them"))};
    }
    return numbers;
}

/// What instruments write has one of few endings.
bool mayBePicture(const QString& file) {
    static const QStringList measurements{
        QStringLiteral("txt"), QStringLiteral("cgats"), QStringLiteral("it8"), QStringLiteral("csv"),
        QStringLiteral("tsv"), QStringLiteral("cxf"),   QStringLiteral("mxf"), QStringLiteral("xml")};
    return !measurements.contains(QFileInfo(file).suffix().toLower());
}

}  // namespace

ReadDialog::ReadDialog(Workspace& workspace, ConditionData& shown, QWidget* parent)
    : QDialog(parent),
      workspace_(workspace),
      studio_(workspace.studio()),
      condition_(shown.records().condition),
      file_(headingLabel(this, {}, 1.25)),
      summary_(wordsLabel(this)),
      trouble_(headingLabel(this, {}, 1)),
      plot_(new canvas::PlotView(this)),
      choices_(new QLineEdit(this)),
      through_(new QComboBox(this)),
      trial_(new QComboBox(this)),
      sheet_(new QComboBox(this)),
      picture_(new QWidget(this)),
      device_(new QComboBox(picture_)),
      card_(new QCheckBox(tr("A neutral &card lies in its place on the sheet"), picture_)),
      pages_(new QPushButton(picture_)),
      more_(new QWidget(this)),
      tones_(new QLineEdit(more_)),
      conditionM_(new QComboBox(more_)),
      cardAt_(new QLineEdit(more_)),
      cardLab_(new QLineEdit(more_)),
      outlined_(new PathEdit(PathEdit::Kind::save, tr("Picture with what was found outlined"),
                             tr("PNG (*.png)"), more_)),
      doubts_(new QVBoxLayout),
      store_(new QPushButton(tr("&Take it in"), this)),
      skip_(new QPushButton(tr("&Leave this one out"), this)) {
    setWindowTitle(tr("Read into %1").arg(shown.name()));
    setAttribute(Qt::WA_DeleteOnClose);
    setMinimumSize(QSize(760, 480));
    resize(980, 640);
    store_->setObjectName(QStringLiteral("store"));
    skip_->setObjectName(QStringLiteral("skip"));
    trouble_->setObjectName(QStringLiteral("trouble"));
    trouble_->hide();
    summary_->setObjectName(QStringLiteral("summary"));
    choices_->setObjectName(QStringLiteral("choices"));
    plot_->setMinimumSize(320, 240);

    auto* form = new QFormLayout;
    form->setFieldGrowthPolicy(QFormLayout::ExpandingFieldsGrow);
    for (const book::AxisRecord& axis : condition_.axes) {
        auto* box = new QDoubleSpinBox(this);
        box->setRange(axis.min, axis.max);
        box->setSingleStep(axis.step);
        box->setDecimals(axis.step == std::round(axis.step) && axis.min == std::round(axis.min) ? 0 : 2);
        box->setObjectName(QStringLiteral("axis-") + text(axis.name));
        box->setAccessibleName(tr("Printed at: %1").arg(text(axis.name)));
        // What a hand has set is not filled in again.
        connect(box, &QDoubleSpinBox::valueChanged, this, [this] {
            if (!isFilling_) isFresh_ = false;
        });
        form->addRow(text(axis.name), box);
        axes_.push_back(box);
    }
    choices_->setPlaceholderText(tr("for example tone=dark"));
    form->addRow(tr("Driver's c&hoices"), choices_);
    through_->addItem(tr("none"), 0);
    for (const book::CorrectionRecord& one : shown.records().corrections)
        through_->addItem(tr("%1 (%2)").arg(one.number).arg(text(one.kind)), one.number);
    form->addRow(tr("Printed through c&orrection"), through_);
    trial_->addItem(tr("a new trial"), 0);
    for (const book::TrialRecord& one : shown.records().trials)
        trial_->addItem(tr("trial %1, measured again").arg(one.number), one.number);
    form->addRow(tr("It &is"), trial_);
    sheet_->addItem(tr("as the file says"), QString());
    form->addRow(tr("Test &sheet"), sheet_);
    device_->addItem(tr("none that was learned"), QString());
    device_->setObjectName(QStringLiteral("device"));
    card_->setObjectName(QStringLiteral("hasCard"));
    pages_->setObjectName(QStringLiteral("pages"));
    auto* ofPicture = new QFormLayout(picture_);
    ofPicture->setContentsMargins(0, 0, 0, 0);
    ofPicture->addRow(tr("Scanner or ca&mera"), device_);
    ofPicture->addRow(card_);
    ofPicture->addRow(pages_);
    makeMore();
    fillLists();
    for (QComboBox* box : {through_, trial_, sheet_, device_, conditionM_})
        connect(box, &QComboBox::activated, this, &ReadDialog::look);
    for (QLineEdit* line : {tones_, cardAt_, cardLab_})
        connect(line, &QLineEdit::editingFinished, this, [this, line] {
            if (line->isModified()) look();
            line->setModified(false);
        });
    connect(card_, &QCheckBox::clicked, this, &ReadDialog::look);
    connect(pages_, &QPushButton::clicked, this, [this] {
        further_ = QFileDialog::getOpenFileNames(this, tr("Pictures of the sheet's further pages"));
        showPages();
        look();
    });
    // Setting and choices raise no doubts: to look again when they lose the focus would rest the button that
    // the same click is meant for.

    auto* left = new QVBoxLayout;
    left->addWidget(summary_);
    left->addWidget(plot_, 1);
    auto* side = new QWidget;
    auto* right = new QVBoxLayout(side);
    right->addWidget(headingLabel(side, tr("Printed at"), 1.1));
    right->addLayout(form);
    right->addWidget(picture_);
    right->addWidget(moreButton(more_, Qt::DownArrow, this));
    right->addWidget(more_);
    right->addLayout(doubts_);
    right->addStretch(1);
    auto* scroll = new QScrollArea(this);
    scroll->setWidget(side);
    scroll->setWidgetResizable(true);
    scroll->setFrameShape(QFrame::NoFrame);
    scroll->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    auto* row = new QHBoxLayout;
    row->addLayout(left, 3);
    row->addWidget(scroll, 2);
    auto* column = new QVBoxLayout(this);
    column->addWidget(file_);
    column->addLayout(row, 1);
    column->addWidget(trouble_);
    auto* buttons = new QDialogButtonBox(this);
    buttons->addButton(store_, QDialogButtonBox::AcceptRole);
    buttons->addButton(skip_, QDialogButtonBox::ActionRole);
    buttons->addButton(tr("Close"), QDialogButtonBox::RejectRole);
    column->addWidget(buttons);
    connect(store_, &QPushButton::clicked, this, &ReadDialog::store);
    connect(skip_, &QPushButton::clicked, this, &ReadDialog::skip);
    connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
    // Return takes the file in or does nothing: it must never leave one out while the other button rests.
    for (QPushButton* one : findChildren<QPushButton*>()) one->setAutoDefault(false);
    store_->setDefault(true);
}

void ReadDialog::add(const QStringList& files) {
    QStringList wanted;
    for (const QString& path : files) {
        if (QFileInfo(path).isDir()) {
            for (const QFileInfo& inside : QDir(path).entryInfoList(QDir::Files))
                wanted << inside.absoluteFilePath();
        } else {
            wanted << path;
        }
    }
    if (wanted.size() > kMostFiles) {
        Q_EMIT failed(
            tr("That is a great many files"),
            {.kind = ErrorKind::wrongUse,
             .code = "too-many-files",
             .what = text(
                 tr("%1 files at once; the first %2 are asked about").arg(wanted.size()).arg(kMostFiles)),
             .next = text(tr("Drop the others afterwards, or read them with the command line program"))});
        wanted = wanted.mid(0, kMostFiles);
    }
    const bool isFirst = files_.empty();
    for (const QString& path : wanted) {
        if (std::ranges::find(files_, path) == files_.end()) files_.push_back(path);
    }
    if (files_.empty()) return;
    open();
    if (isFirst) next();
    updateButtons();
}

void ReadDialog::next() {
    inspected_.reset();
    if (files_.empty()) {
        accept();
        if (isHidden()) deleteLater();  // closed while it stored: nothing closes it any more
        return;
    }
    isFresh_ = true;
    trial_->setCurrentIndex(0);
    through_->setCurrentIndex(0);
    sheet_->setCurrentIndex(0);
    further_.clear();
    showPages();
    // What was said of the file before does not hold for this one; the scanner may be the same.
    card_->setChecked(false);
    conditionM_->setCurrentIndex(0);
    for (QLineEdit* line : {tones_, cardAt_, cardLab_}) line->clear();
    const bool isPicture = mayBePicture(files_.front());
    picture_->setVisible(isPicture);
    for (QWidget* one : std::initializer_list<QWidget*>{cardAt_, cardLab_, outlined_})
        moreForm_->setRowVisible(one, isPicture);
    moreForm_->setRowVisible(conditionM_, !isPicture);
    outlined_->setPath({});  // another picture's would be written over
    look();
}

void ReadDialog::fillLists() {
    using Lists = std::pair<std::vector<book::SheetRecord>, std::vector<book::DeviceRecord>>;
    workspace_.tasks().run(
        QString(), this,
        [studio = studio_](Task&) -> Result<Lists> {
            auto sheets = studio.sheets();
            if (!sheets) return std::move(sheets).error();
            auto devices = studio.devices();
            if (!devices) return std::move(devices).error();
            return Lists{*std::move(sheets), *std::move(devices)};
        },
        [this](const Result<Lists>& lists) {
            if (!lists) {
                Q_EMIT failed(tr("The book cannot be read"), lists.error());
                return;
            }
            for (const book::SheetRecord& one : lists->first)
                sheet_->addItem(QStringLiteral("%1 %2").arg(text(one.name), text(one.code)), text(one.code));
            for (const book::DeviceRecord& one : lists->second) {
                if (device_->findData(text(one.name)) < 0) device_->addItem(text(one.name), text(one.name));
            }
        });
}

void ReadDialog::makeMore() {
    auto* form = new QFormLayout(more_);
    form->setContentsMargins(0, 0, 0, 0);
    form->setFieldGrowthPolicy(QFormLayout::ExpandingFieldsGrow);
    form->setRowWrapPolicy(QFormLayout::WrapLongRows);
    tones_->setObjectName(QStringLiteral("tonesPercent"));
    tones_->setPlaceholderText(tr("as the file says"));
    form->addRow(tr("Tones in percent, in order"), tones_);
    conditionM_->setObjectName(QStringLiteral("conditionM"));
    conditionM_->addItem(tr("as the file says"), 0);
    for (const auto& [name, which] : {std::pair{"M0", measure::Condition::m0},
                                      {"M1", measure::Condition::m1},
                                      {"M2", measure::Condition::m2},
                                      {"M3", measure::Condition::m3}})
        conditionM_->addItem(QString::fromLatin1(name), static_cast<int>(which));
    form->addRow(tr("Of several, what was measured under"), conditionM_);
    cardAt_->setObjectName(QStringLiteral("cardAt"));
    cardAt_->setPlaceholderText(tr("x, y, width, height in pixels"));
    form->addRow(tr("Neutral card elsewhere"), cardAt_);
    cardLab_->setObjectName(QStringLiteral("cardLab"));
    cardLab_->setPlaceholderText(tr("L*, a*, b*; empty: it is taken as neutral"));
    form->addRow(tr("The card's own colour"), cardLab_);
    outlined_->setObjectName(QStringLiteral("outlined"));
    form->addRow(tr("Write what was found, outlined"), outlined_);
    moreForm_ = form;
}

void ReadDialog::showPages() {
    pages_->setText(further_.empty()
                        ? tr("It has further &pages…")
                        : tr("%n further &page(s)…", nullptr, static_cast<int>(further_.size())));
}

Result<studio::ReadRequest> ReadDialog::request() const {
    studio::ReadRequest out{
        .file = text(files_.front()), .condition = condition_.name, .choices = choicesIn(choices_->text())};
    // The first look asks what it was likely printed at; after that the fields say it.
    if (!isFresh_) {
        const std::vector<book::AxisRecord>& axes = condition_.axes;
        for (std::size_t i = 0; i < axes.size(); ++i)
            out.setting.push_back({axes[i].name, axes_[i]->value()});
    }
    out.through = through_->currentData().toInt();
    if (const int trial = trial_->currentData().toInt(); trial > 0) out.toTrial = trial;
    out.picture.sheet = text(sheet_->currentData().toString());
    if (mayBePicture(files_.front())) {
        out.picture.device = text(device_->currentData().toString());
        out.picture.hasCard = card_->isChecked();
        for (const QString& page : further_) out.picture.further.emplace_back(text(page));
        const auto at = numbersOf(*cardAt_, 4);
        const auto lab = numbersOf(*cardLab_, 3);
        if (!at) return at.error();
        if (!lab) return lab.error();
        if (!at->empty()) out.picture.card = scan::RectPx{(*at)[0], (*at)[1], (*at)[2], (*at)[3]};
        if (!lab->empty()) out.picture.cardLab = colour::Lab{(*lab)[0], (*lab)[1], (*lab)[2]};
    } else {
        out.preferred = static_cast<measure::Condition>(conditionM_->currentData().toInt());
    }
    const auto tones = numbersOf(*tones_, 0);
    if (!tones) return tones.error();
    out.tonesPercent = *tones;
    out.when = platform::utcNow();
    return out;
}

void ReadDialog::look() {
    if (files_.empty() || isStoring_) return;
    if (looking_) looking_->stop();
    ++asked_;
    file_->setText(QFileInfo(files_.front()).fileName());
    file_->setToolTip(files_.front());
    inspected_.reset();
    updateButtons();
    auto wanted = request();
    if (!wanted) return show(wanted.error());
    looking_ = workspace_.tasks().run(
        tr("Reading %1").arg(QFileInfo(files_.front()).fileName()), this,
        [studio = studio_, request = *std::move(wanted)](Task& task) mutable {
            request.picture.goOn = [&task](double share) { return task.goOn(share); };
            return studio.inspect(request);
        },
        [this, asked = ++asked_](const Result<studio::Inspected>& inspected) {
            if (asked != asked_) return;  // another file, or other fields
            looking_.reset();
            show(inspected);
        });
}

void ReadDialog::show(const Result<studio::Inspected>& inspected) {
    if (!inspected && inspected.error().code == "setting-missing" && isFresh_) {
        isFresh_ = false;  // zero is no setting of this control: what stands in the fields is meant
        return look();
    }
    trouble_->setVisible(!inspected);
    plot_->setVisible(inspected.has_value());
    if (!inspected) {
        trouble_->setText(textOf(inspected.error()));
        summary_->setText(tr("This file cannot be taken in."));
        showDoubts({});
        updateButtons();
        return;
    }
    inspected_ = *inspected;
    const studio::ReadSummary& summary = inspected->summary;
    if (isFresh_) {
        isFilling_ = true;
        for (std::size_t i = 0; i < axes_.size(); ++i) {
            const auto likely =
                std::ranges::find(inspected->likelySetting, condition_.axes[i].name, &book::AxisValue::axis);
            axes_[i]->setValue(likely == inspected->likelySetting.end() ? 0 : likely->value);
        }
        isFilling_ = false;
        isFresh_ = false;
    }
    QStringList words{tr("%n tone(s)", nullptr, static_cast<int>(summary.patches))};
    if (summary.colours > 0)
        words << tr("%n colour(s) beside them", nullptr, static_cast<int>(summary.colours));
    words << (summary.spectral ? tr("with spectra") : tr("without spectra"));
    words << (summary.conditionM == "unknown" ? tr("measuring condition not known")
                                              : text(summary.conditionM));
    // The setting stands in the fields, and is asked for there.
    std::vector<Note> notes = inspected->summary.notes;
    std::erase_if(notes, [](const Note& note) { return note.code == "setting-taken-as-zero"; });
    summary_->setText(words.join(QStringLiteral(", ")) +
                      (notes.empty() ? QString() : QLatin1Char('\n') + textOf(notes)));
    figure::Plot plot = studio::readingPlot(inspected->ramp);
    plot.title = text(tr("As it was read"));
    plot_->setPlot(std::move(plot));
    showDoubts(inspected->doubts);
    updateButtons();
}

void ReadDialog::showDoubts(const std::vector<studio::Doubt>& doubts) {
    answers_.clear();
    while (QLayoutItem* item = doubts_->takeAt(0)) {
        delete item->widget();
        delete item;
    }
    if (doubts.empty()) return;
    auto* heading = headingLabel(this, tr("Before it is taken in"), 1.1);
    doubts_->addWidget(heading);
    for (const studio::Doubt& doubt : doubts) {
        doubts_->addWidget(wordsLabel(this, text(doubt.question)));
        if (!doubt.detail.empty()) doubts_->addWidget(wordsLabel(this, asSentence(doubt.detail)));
        auto* answer = new QCheckBox(tr("Yes, take it in so"), this);
        answer->setObjectName(QStringLiteral("doubt-") + text(doubt.code));
        answer->setAccessibleDescription(text(doubt.question));
        doubts_->addWidget(answer);
        answers_.push_back(answer);
        connect(answer, &QCheckBox::toggled, this, &ReadDialog::updateButtons);
    }
}

// What is being stored is told of all the same.
void ReadDialog::done(int result) {
    if (isStoring_) {
        hide();
    } else {
        QDialog::done(result);
    }
}

void ReadDialog::closeEvent(QCloseEvent* event) {
    if (!isStoring_) return QDialog::closeEvent(event);
    hide();
    event->ignore();  // accepted, it would delete the dialog
}

bool ReadDialog::isReady() const {
    return inspected_.has_value() && !isStoring_ &&
           std::ranges::all_of(answers_, [](const QCheckBox* answer) { return answer->isChecked(); });
}

void ReadDialog::updateButtons() {
    store_->setEnabled(isReady());
    if (isReady() && (focusWidget() == nullptr || focusWidget() == skip_)) store_->setFocus();
    skip_->setEnabled(!isStoring_ && !files_.empty());
    skip_->setText(files_.size() > 1 ? tr("&Leave this one out (%n more wait)", nullptr,
                                          static_cast<int>(files_.size()) - 1)
                                     : tr("&Leave this one out"));
}

void ReadDialog::skip() {
    if (looking_) looking_->stop();
    if (!files_.empty()) files_.pop_front();
    next();
}

void ReadDialog::store() {
    if (!isReady()) return;
    auto asked = request();
    if (!asked) return show(asked.error());
    studio::ReadRequest wanted = *std::move(asked);
    if (mayBePicture(files_.front())) wanted.picture.outlined = text(outlined_->path());
    if (!wanted.picture.outlined.empty() && QFileInfo::exists(outlined_->path())) {
        trouble_->setText(tr("There is a file of this name: %1\nName another for the picture with outlines")
                              .arg(outlined_->path()));
        trouble_->show();
        return;
    }
    isStoring_ = true;
    updateButtons();
    wanted.force = !answers_.empty();  // every doubt was answered
    workspace_.tasks().run(
        tr("Storing %1").arg(file_->text()), this,
        [studio = studio_, wanted](Task&) { return studio.read(wanted); },
        [this, name = text(condition_.name),
         isNew = !wanted.toTrial.has_value()](const Result<studio::ReadSummary>& read) {
            isStoring_ = false;
            if (isHidden()) {  // it was closed meanwhile
                if (!read) Q_EMIT failed(tr("It was not taken in"), read.error());
                files_.clear();
            } else if (!read) {
                trouble_->setText(textOf(read.error()));
                trouble_->show();
                updateButtons();
                return;
            }
            if (read) {
                const bool isSameBook = workspace_.studio().path() == studio_.path();
                if (isNew && isSameBook) workspace_.undo().push(new TakenIn(workspace_, name, read->trial));
                workspace_.refresh();
                Q_EMIT workspace_.touched();
                Q_EMIT stored(tr("Trial %1 is in the book").arg(read->trial), textOf(read->notes));
            }
            if (!files_.empty()) files_.pop_front();
            next();
        });
}

}  // namespace greywright::desktop
