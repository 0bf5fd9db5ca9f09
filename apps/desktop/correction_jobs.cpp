#include <QCheckBox>
#include <QComboBox>
#include <QDir>
#include <QDoubleSpinBox>
#include <QFileDialog>
#include <QFileInfo>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPixmap>
#include <QPointer>
#include <QPushButton>
#include <QTemporaryDir>
#include <algorithm>
#include <mutex>

#include "answer.h"
#include "core/platform.h"
#include "jobs.h"
#include "print_page.h"
#include "text.h"

namespace greywright::desktop {
namespace {

using Kind = PathEdit::Kind;
using studio::ToneAimChoice;

/// Even steps, a gamma, or another condition's tone.
struct ToneFields {
    QComboBox* aim;
    QDoubleSpinBox* gamma;

    ToneFields(FormDialog& dialog, const Workspace& workspace, const QString& condition) {
        std::vector<std::pair<QString, QVariant>> items{
            {Jobs::tr("even steps from paper to black"), QString()},
            {Jobs::tr("a gamma, given below"), QStringLiteral("\n")}};
        for (const studio::ConditionOverview& one : workspace.conditions()) {
            const QString name = text(one.condition.name);
            if (name != condition) items.emplace_back(Jobs::tr("the tone of %1").arg(name), name);
        }
        aim = dialog.choice(Jobs::tr("To&ne"), items, "tone");
        gamma = dialog.number(Jobs::tr("&Gamma"), 1, 0.3, 3, 0.05, 2, "gamma");
        const auto look = [this, box = aim, value = gamma] { value->setEnabled(box->currentIndex() == 1); };
        QObject::connect(aim, &QComboBox::currentIndexChanged, gamma, look);
        look();
    }

    [[nodiscard]] ToneAimChoice choice() const {
        const QString chosen = aim->currentData().toString();
        if (chosen.isEmpty()) return {};
        if (chosen == QStringLiteral("\n"))
            return {.kind = ToneAimChoice::Kind::gamma, .gamma = gamma->value()};
        return {.kind = ToneAimChoice::Kind::condition, .condition = text(chosen)};
    }
};

QString shareWords(const judge::Share& share) {
    return number(share.value * 100, 0) + QStringLiteral(" %");
}

}  // namespace

void Jobs::makeCurve(const QString& condition) {
    auto* dialog = new FormDialog(tr("A tone curve"), tr("Make it"), window_);
    dialog->words(
        tr("From the latest whole ramp. The curve goes into the pictures; the driver's setting stays."));
    const ToneFields tone(*dialog, workspace_, condition);
    QCheckBox* force = dialog->tick(tr("Also where nobody can see anything to mend"), false, "force");
    dialog->onAnswer([=, this] {
        answer(
            dialog, tr("Making the curve"),
            [studio = workspace_.studio(), name = text(condition),
             request =
                 studio::CurveRequest{
                     .aim = tone.choice(), .force = force->isChecked(), .when = platform::utcNow()}](Task&) {
                return studio.makeCurve(name, request);
            },
            [this](const studio::MadeCurve& made) {
                Q_EMIT said(
                    tr("Correction %1, a curve, is in the book").arg(made.record.number),
                    tr("Print the ramp through it and read that, to see that it does what it should.\n%1")
                        .arg(textOf(made.notes)));
            });
    });
    dialog->open();
}

void Jobs::makeTable(const QString& condition) {
    auto* dialog = new FormDialog(tr("A neutralising table"), tr("Make it"), window_);
    dialog->words(tr("From near-neutral sheets that were printed in the driver's colour mode and measured."));
    const ToneFields tone(*dialog, workspace_, condition);
    QDoubleSpinBox* chroma =
        dialog->number(tr("A tone on &purpose: how strong (0 is none)"), 0, 0, 30, 1, 1, "chroma");
    QDoubleSpinBox* hue =
        dialog->number(tr("Its &hue in degrees (0 red, 90 yellow)"), 70, 0, 360, 5, 0, "hue");
    hue->setEnabled(false);
    QObject::connect(chroma, &QDoubleSpinBox::valueChanged, hue,
                     [hue](double value) { hue->setEnabled(value > 0); });
    dialog->onAnswer([=, this] {
        studio::TableRequest request{
            .tone = tone.choice(), .tint = preferences_.aim, .when = platform::utcNow()};
        if (chroma->value() > 0) request.toning = colour::Toning::even(chroma->value(), hue->value());
        answer(
            dialog, tr("Making the table"),
            [studio = workspace_.studio(), name = text(condition), request,
             preferences = preferences_](Task& task) mutable -> Result<studio::MadeTable> {
                const auto catalogue = studio.catalogue();
                if (!catalogue) return catalogue.error();
                request.viewers = preferences.viewersAmong(*catalogue);
                request.goOn = [&task](double share) { return task.goOn(share); };
                return studio.makeTable(name, request);
            },
            [this](const studio::MadeTable& made) {
                QString words;
                for (const studio::ForetoldNotice& one : made.notice)
                    words += tr("Foretold under %1: %2 would notice beside a neutral, %3 alone on a wall.\n")
                                 .arg(text(one.light), shareWords(one.beside), shareWords(one.alone));
                if (made.toned)
                    words += tr("%1 will notice the tone beside a neutral; %2 would call it overdone (an "
                                "assumption).\n")
                                 .arg(shareWords(made.toned->beside), shareWords(made.toned->overdone));
                Q_EMIT said(tr("Correction %1, a table, is in the book").arg(made.record.number),
                            words + textOf(made.notes));
            });
    });
    dialog->open();
}

void Jobs::makeProfile(const QString& condition) {
    auto* dialog = new FormDialog(tr("A profile"), tr("Write it"), window_);
    QComboBox* kind = dialog->choice(tr("&For"),
                                     {{tr("grey pictures"), 0},
                                      {tr("RGB through a table"), 1},
                                      {tr("straight from grey to a table's colours"), 2}},
                                     "kind");
    QComboBox* version = dialog->choice(
        tr("&Version"), {{tr("2, which every program reads"), 2}, {QStringLiteral("4"), 4}}, "version");
    PathEdit* out = dialog->path(tr("F&ile"), Kind::save, tr("Profile (*.icc)"), "out");
    out->setPath(QDir::home().filePath(condition + QStringLiteral(".icc")));
    QCheckBox* replace = dialog->tick(tr("Replace a file of that name"), false, "replace");
    dialog->onAnswer([=, this] {
        const studio::ProfileRequest request{
            .kind = static_cast<studio::ProfileKind>(kind->currentData().toInt()),
            .version = version->currentData().toInt(),
            .out = text(out->path()),
            .replace = replace->isChecked(),
            .when = platform::utcNow()};
        answer(
            dialog, tr("Making the profile"),
            [studio = workspace_.studio(), name = text(condition), request](Task&) {
                return studio.makeProfile(name, request);
            },
            [this](const studio::MadeProfile& made) {
                Q_EMIT said(tr("The profile was written"),
                            text(made.file.string()) + QLatin1Char('\n') + textOf(made.notes));
            });
    });
    dialog->open();
}

void Jobs::preparePictures(const QString& condition, const QStringList& pictures) {
    auto* dialog = new FormDialog(tr("Pictures for %1").arg(condition), tr("Prepare them"), window_);
    auto* list = new QListWidget(dialog);
    list->addItems(pictures);
    list->setSelectionMode(QAbstractItemView::ExtendedSelection);
    dialog->field(tr("&Pictures"), list, "pictures");
    auto* tools = new QWidget(dialog);
    auto* row = new QHBoxLayout(tools);
    row->setContentsMargins(0, 0, 0, 0);
    auto* add = new QPushButton(tr("Add…"), tools);
    auto* remove = new QPushButton(tr("Remove"), tools);
    auto* check = new QPushButton(tr("What would &suffer?"), tools);
    auto* proof = new QPushButton(tr("&How it will look"), tools);
    check->setObjectName(QStringLiteral("check"));
    proof->setObjectName(QStringLiteral("proof"));
    for (QPushButton* one : {add, remove, check, proof}) row->addWidget(one);
    dialog->field(QString(), tools, "tools");
    QComboBox* correction =
        dialog->choice(tr("&Correction"), {{tr("the latest in use"), -1}, {tr("none"), 0}}, "correction");
    PathEdit* out = dialog->path(tr("&Folder for the results"), Kind::folder, {}, "out");
    out->setPath(QDir::home().filePath(QStringLiteral("prepared")));
    QComboBox* format = dialog->choice(tr("For&mat"),
                                       {{tr("TIFF, 16 bits"), 16},
                                        {tr("TIFF, 8 bits with dither"), 8},
                                        {tr("PNG, 16 bits (can be printed from here)"), -16}},
                                       "format");
    QDoubleSpinBox* width =
        dialog->number(tr("&Width on paper in mm (0: as it is)"), 0, 0, 5000, 10, 1, "width");
    QDoubleSpinBox* dots = dialog->number(tr("Pixels per &inch (0: as it is)"), 0, 0, 2880, 10, 0, "dots");
    QCheckBox* replace = dialog->tick(tr("Replace files of the same name"), false, "replace");
    QCheckBox* print = dialog->tick(tr("Print them as well, at their exact size"), false, "print");
    auto* result = wordsLabel(dialog);
    result->setObjectName(QStringLiteral("result"));
    dialog->widget(result);
    auto* shown = new QLabel(dialog);
    shown->hide();
    dialog->widget(shown);

    QObject::connect(add, &QPushButton::clicked, dialog, [=] {
        list->addItems(QFileDialog::getOpenFileNames(
            dialog, Jobs::tr("Choose pictures"), QString(),
            Jobs::tr("Pictures (*.tif *.tiff *.png *.jpg *.jpeg *.webp);;Any file (*)")));
    });
    QObject::connect(remove, &QPushButton::clicked, dialog, [=] { qDeleteAll(list->selectedItems()); });
    const auto choice = [=]() -> studio::CorrectionChoice {
        if (correction->currentData().toInt() < 0) return {};
        return correction->currentData().toInt();
    };
    const auto first = [=]() -> QString {
        const QListWidgetItem* item = list->currentItem() != nullptr ? list->currentItem() : list->item(0);
        return item == nullptr ? QString() : item->text();
    };
    QObject::connect(check, &QPushButton::clicked, dialog, [=, this] {
        if (first().isEmpty()) return dialog->complain(missing(tr("there is no picture"), tr("Add one")));
        workspace_.tasks().run(
            tr("Looking at the picture's tones"), dialog,
            [studio = workspace_.studio(), request = studio::CheckRequest{.picture = text(first()),
                                                                          .condition = text(condition),
                                                                          .correction = choice()}](Task&) {
                return studio.checkPicture(request);
            },
            [dialog, result](const Result<studio::PictureCheck>& checked) {
                if (!checked) return dialog->complain(checked.error());
                QStringList words;
                const auto percent = [](double share) {
                    return number(share * 100, 1) + QStringLiteral(" %");
                };
                if (checked->isGood)
                    words << Jobs::tr("Nothing of it would suffer on more than a hundredth of the area.");
                if (checked->blockedShadows)
                    words << Jobs::tr("Shadows not told from black: %1 of the area.")
                                 .arg(percent(checked->blockedShadows->share));
                if (checked->blockedHighlights)
                    words << Jobs::tr("Highlights not told from paper: %1 of the area.")
                                 .arg(percent(checked->blockedHighlights->share));
                for (const studio::ToneShare& tone : checked->tinted)
                    words << Jobs::tr("A tint would show from %1 to %2 %, on %3 of the area.")
                                 .arg(number(tone.fromPercent, 0), number(tone.toPercent, 0),
                                      percent(tone.share));
                if (!checked->notes.empty()) words << textOf(checked->notes);
                result->setText(words.join(QLatin1Char('\n')));
            });
    });
    QObject::connect(proof, &QPushButton::clicked, dialog, [=, this] {
        if (first().isEmpty()) return dialog->complain(missing(tr("there is no picture"), tr("Add one")));
        const auto folder = std::make_shared<QTemporaryDir>();
        workspace_.tasks().run(
            tr("Making the preview"), dialog,
            [studio = workspace_.studio(), folder,
             request = studio::ProofRequest{.picture = text(first()),
                                            .out = text(folder->filePath(QStringLiteral("proof.png"))),
                                            .condition = text(condition),
                                            .correction = choice(),
                                            .replace = true}](Task& task) mutable {
                request.goOn = [&task](double share) { return task.goOn(share); };
                return studio.proof(request);
            },
            [dialog, shown, result, folder](const Result<studio::Proof>& made) {
                if (!made) return dialog->complain(made.error());
                QImage picture(text(made->file.string()));
                shown->setPixmap(QPixmap::fromImage(
                    picture.scaled(480, 320, Qt::KeepAspectRatio, Qt::SmoothTransformation)));
                shown->setAccessibleName(Jobs::tr("How the print will look"));
                shown->show();
                result->setText(textOf(made->notes));
                dialog->fit();
            });
    });
    dialog->onAnswer([=, this] {
        studio::PrepareRequest request{.out = text(out->path()),
                                       .condition = text(condition),
                                       .correction = choice(),
                                       .bits = std::abs(format->currentData().toInt()),
                                       .format = format->currentData().toInt() < 0 ? "png" : "tiff",
                                       .replace = replace->isChecked(),
                                       .when = platform::utcNow()};
        for (int i = 0; i < list->count(); ++i) request.pictures.emplace_back(text(list->item(i)->text()));
        if (request.pictures.empty())
            return dialog->complain(missing(tr("there is no picture"), tr("Add one")));
        if (width->value() > 0) request.widthMm = width->value();
        if (dots->value() > 0) request.pixelsPerInch = dots->value();
        const bool isPrinted = print->isChecked();
        answer(
            dialog, tr("Preparing %n picture(s)", nullptr, static_cast<int>(request.pictures.size())),
            [studio = workspace_.studio(), request](Task& task) mutable {
                const auto count = static_cast<double>(request.pictures.size());
                request.goOn = [&task, count](std::size_t picture, double share) {
                    return task.goOn((static_cast<double>(picture) + share) / count);
                };
                return studio.preparePictures(request);
            },
            [this, isPrinted, wanted = request.pictures.size()](const studio::PreparedPictures& made) {
                QStringList words;
                QStringList files;
                for (const studio::PreparedPicture& one : made.pictures) {
                    if (one.error) {
                        words << tr("%1: not made. %2")
                                     .arg(text(one.picture.filename().string()), textOf(*one.error));
                    } else {
                        files << text(one.file.string());
                        words << tr("%1 (%2 × %3 pixels at %4 per inch)")
                                     .arg(text(one.file.string()))
                                     .arg(one.width)
                                     .arg(one.height)
                                     .arg(number(one.pixelsPerInch, 0));
                    }
                }
                if (const std::size_t begun = made.pictures.size(); begun < wanted)
                    words << tr("%n more were not begun.", nullptr, static_cast<int>(wanted - begun));
                if (!made.notes.empty()) words << textOf(made.notes);
                Q_EMIT said(tr("%1 of %2 pictures are ready to print").arg(files.size()).arg(wanted),
                            words.join(QLatin1Char('\n')));
                if (isPrinted && !files.isEmpty()) {
                    if (const Outcome printed = printPages(files, window_); !printed)
                        Q_EMIT failed(tr("It was not printed"), printed.error());
                }
            });
    });
    dialog->open();
}

void Jobs::withdrawCorrection(const QString& condition, int correction) {
    auto* dialog =
        new FormDialog(tr("Take correction %1 out of use").arg(correction), tr("Take it out"), window_);
    dialog->words(tr("It stays in the book, and pictures no longer go through it."));
    QLineEdit* reason = dialog->line(tr("&Why"), {}, "reason");
    dialog->onAnswer([=, this] {
        answer(
            dialog, QString(),
            [studio = workspace_.studio(), name = text(condition), correction,
             why = text(reason->text().trimmed())](Task&) {
                return studio.withdrawCorrection(name, correction, why, platform::utcNow());
            },
            [](Done) {});
    });
    dialog->open();
}

}  // namespace greywright::desktop
