#include <QCheckBox>
#include <QComboBox>
#include <QDialogButtonBox>
#include <QDir>
#include <QDoubleSpinBox>
#include <QFileDialog>
#include <QFileInfo>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPushButton>
#include <QTableWidget>
#include <QTemporaryDir>
#include <QVBoxLayout>
#include <algorithm>

#include "answer.h"
#include "core/platform.h"
#include "fields.h"
#include "jobs.h"
#include "picture_view.h"
#include "print_page.h"
#include "text.h"

namespace greywright::desktop {
namespace {

using Items = std::vector<std::pair<QString, QVariant>>;
using Kind = PathEdit::Kind;
using studio::ToneAimChoice;

/// Where a correction is written as text too; empty: nowhere.
PathEdit* textFile(FormDialog& dialog) {
    return dialog.path(Jobs::tr("&Write it as text too"), Kind::save, Jobs::tr("Text (*.txt);;Any file (*)"),
                       "out");
}

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

/// How a print will look, in a window of its own.
void showProof(const studio::Proof& proof, const QString& name, QWidget* parent) {
    auto* window = new QDialog(parent);
    window->setObjectName(QStringLiteral("proofWindow"));
    window->setAttribute(Qt::WA_DeleteOnClose);
    const QString under = text(proof.light.empty() ? "D50" : proof.light);
    window->setWindowTitle(proof.magnify > 1
                               ? Jobs::tr("How %1 will look under %2, its tint %3 times as strong")
                                     .arg(name, under, number(proof.magnify, 0))
                               : Jobs::tr("How %1 will look under %2").arg(name, under));
    window->resize(900, 680);
    auto* column = new QVBoxLayout(window);
    auto* view = new PictureView(window);
    view->setPicture(QImage(text(proof.file.string())));
    view->setAccessibleName(window->windowTitle());
    column->addWidget(view, 1);
    if (!proof.notes.empty()) column->addWidget(wordsLabel(window, textOf(proof.notes)));
    auto* buttons = new QDialogButtonBox(window);
    buttons->addButton(Jobs::tr("Close"), QDialogButtonBox::RejectRole);
    QObject::connect(buttons, &QDialogButtonBox::rejected, window, &QDialog::reject);
    column->addWidget(buttons);
    window->open();
}

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
    dialog->more();
    QDoubleSpinBox* trial = usualOr(*dialog, tr("From &trial"), 0, 100000, 1, 0, "trial");
    trial->setSpecialValueText(tr("the latest whole ramp"));
    QDoubleSpinBox* repeatability =
        usualOr(*dialog, tr("Standard deviation of one patch's L*"), 0, 5, 0.05, 2, "repeatability");
    repeatability->setSpecialValueText(tr("as the readings tell"));
    PathEdit* out = textFile(*dialog);
    dialog->onAnswer([=, this] {
        studio::CurveRequest request{.aim = tone.choice(),
                                     .repeatabilityL = given(*repeatability),
                                     .force = force->isChecked(),
                                     .out = text(out->path()),
                                     .when = platform::utcNow()};
        if (const auto from = given(*trial)) request.trial = static_cast<int>(*from);
        answer(
            dialog, tr("Making the curve"),
            [studio = workspace_.studio(), name = text(condition), request](Task&) {
                return studio.makeCurve(name, request);
            },
            [this](const studio::MadeCurve& made) {
                Q_EMIT said(
                    tr("Correction %1, a curve, is in the book").arg(made.record.number),
                    tr("To see that it does what it should: put the ramp's own file through 'Prepare "
                       "pictures', "
                       "print what comes out, and read that with 'Printed through correction' set to it.\n%1")
                        .arg(textOf(made.notes)));
            });
    });
    dialog->open();
}

void Jobs::makeTable(const QString& condition) {
    withCatalogue([this, condition](const studio::Catalogue& catalogue) { makeTable(condition, catalogue); });
}

void Jobs::makeTable(const QString& condition, const studio::Catalogue& catalogue) {
    auto* dialog = new FormDialog(tr("A neutralising table"), tr("Make it"), window_);
    dialog->words(tr("From near-neutral sheets that were printed in the driver's colour mode and measured."));
    const ToneFields tone(*dialog, workspace_, condition);
    QDoubleSpinBox* chroma =
        dialog->number(tr("A tone on &purpose: how strong (0 is none)"), 0, 0, 30, 1, 1, "chroma");
    QDoubleSpinBox* hue =
        dialog->number(tr("Its &hue in degrees (0 red, 90 yellow)"), 70, 0, 360, 5, 0, "hue");
    dialog->more();
    QCheckBox* isSplit = dialog->tick(tr("Another tone in the shadows"), false, "split");
    QDoubleSpinBox* shadowChroma = dialog->number(tr("There: how strong"), 0, 0, 30, 1, 1, "shadowChroma");
    QDoubleSpinBox* shadowHue = dialog->number(tr("There: its hue"), 70, 0, 360, 5, 0, "shadowHue");
    QTableWidget* lights = lightsWithWeights(catalogue, dialog);
    dialog->field(tr("Neutral under (none ticked: D50)"), lights, "lights");
    PathEdit* out = textFile(*dialog);
    const studio::ViewerRequest viewers = preferences_.viewersAmong(catalogue);
    const auto rest = [=] {
        hue->setEnabled(chroma->value() > 0);
        shadowChroma->setEnabled(isSplit->isChecked());
        shadowHue->setEnabled(isSplit->isChecked() && shadowChroma->value() > 0);
    };
    for (QDoubleSpinBox* box : {chroma, shadowChroma})
        QObject::connect(box, &QDoubleSpinBox::valueChanged, dialog, rest);
    QObject::connect(isSplit, &QCheckBox::toggled, dialog, rest);
    rest();
    dialog->onAnswer([=, this] {
        studio::TableRequest request{.tone = tone.choice(),
                                     .tint = preferences_.aim,
                                     .lights = goalsIn(*lights),
                                     .viewers = viewers,
                                     .out = text(out->path()),
                                     .when = platform::utcNow()};
        if (chroma->value() > 0 || isSplit->isChecked()) {
            request.toning = colour::Toning::even(chroma->value(), hue->value());
            if (isSplit->isChecked())
                request.toning->shadows =
                    colour::Toning::even(shadowChroma->value(), shadowHue->value()).shadows;
        }
        answer(
            dialog, tr("Making the table"),
            [studio = workspace_.studio(), name = text(condition), request](Task& task) mutable {
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
    withCorrections(condition, [this, condition](const studio::Catalogue&, const Corrections& corrections) {
        makeProfile(condition, corrections);
    });
}

void Jobs::makeProfile(const QString& condition, const Corrections& corrections) {
    auto* dialog = new FormDialog(tr("A profile"), tr("Write it"), window_);
    QComboBox* kind = dialog->choice(tr("&For"),
                                     {{tr("grey pictures"), 0},
                                      {tr("RGB through a table"), 1},
                                      {tr("straight from grey to a table's colours"), 2}},
                                     "kind");
    QComboBox* version = dialog->choice(
        tr("&Version"), {{tr("2, which every program reads"), 2}, {QStringLiteral("4"), 4}}, "version");
    PathEdit* out = dialog->path(tr("F&ile"), Kind::save, tr("Profile (*.icc)"), "out");
    out->setPath(QDir::home().filePath(fileNameOf(condition) + QStringLiteral(".icc")));
    QCheckBox* replace = dialog->tick(tr("Replace a file of that name"), false, "replace");
    dialog->more();
    dialog->words(
        tr("Of grey pictures: the curve that they will go through afterwards. Of the others: the "
           "table."));
    const CorrectionField correction(*dialog, tr("&Correction"), corrections);
    correction.box()->setItemText(0, tr("grey: none; else the latest table"));
    QLineEdit* description = dialog->line(tr("What programs &show"), {}, "description");
    description->setPlaceholderText(tr("made of the condition"));
    QLineEdit* copyright =
        dialog->line(tr("C&opyright"), text(studio::ProfileRequest{}.copyright), "copyright");
    dialog->onAnswer([=, this] {
        const studio::ProfileRequest request{
            .kind = static_cast<studio::ProfileKind>(kind->currentData().toInt()),
            .version = version->currentData().toInt(),
            .correction = correction.choice(),
            .description = text(description->text().trimmed()),
            .copyright = text(copyright->text().trimmed()),
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
    withCorrections(condition, [this, condition, pictures](const studio::Catalogue& catalogue,
                                                           const Corrections& corrections) {
        preparePictures(condition, pictures, catalogue, corrections);
    });
}

void Jobs::preparePictures(const QString& condition, const QStringList& pictures,
                           const studio::Catalogue& catalogue, const Corrections& corrections) {
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
    const CorrectionField correction(*dialog, tr("&Correction"), corrections);
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
    dialog->more();
    const EncodingFields encoding(*dialog);
    Items lights{{tr("D50"), QString()}};
    for (const auto& names : {catalogue.sceneNames(), catalogue.lightNames()}) {
        for (const std::string& name : names) {
            if (name != "D50") lights.emplace_back(text(name), text(name));
        }
    }
    QComboBox* light = dialog->choice(tr("How it will look: &under"), lights, "light");
    QDoubleSpinBox* times = dialog->number(tr("How it will look: &tint, times"), 1, 1, 30, 1, 0, "times");

    QObject::connect(add, &QPushButton::clicked, dialog, [=] {
        list->addItems(QFileDialog::getOpenFileNames(
            dialog, Jobs::tr("Choose pictures"), QString(),
            Jobs::tr("Pictures (*.tif *.tiff *.png *.jpg *.jpeg *.webp);;Any file (*)")));
        dialog->forgive();
    });
    QObject::connect(remove, &QPushButton::clicked, dialog, [=] { qDeleteAll(list->selectedItems()); });
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
                                                                          .correction = correction.choice()}](
                Task&) { return studio.checkPicture(request); },
            [dialog, result,
             name = QFileInfo(first()).fileName()](const Result<studio::PictureCheck>& checked) {
                if (!checked) return dialog->complain(checked.error());
                dialog->forgive();
                QStringList words{name + QLatin1Char(':')};
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
                dialog->fit();
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
                                            .correction = correction.choice(),
                                            .light = text(light->currentData().toString()),
                                            .magnify = times->value(),
                                            .replace = true}](Task& task) mutable -> Result<studio::Proof> {
                request.goOn = [&task](double share) { return task.goOn(share); };
                auto made = studio.proof(request);
                if (!made) return made;
                // Small enough for a window, which must not wait for it.
                const auto small = studio::showPicture(
                    made->file, text(folder->filePath(QStringLiteral("small.png"))), request.goOn);
                if (!small) return small.error();
                made->file = small->file;
                return made;
            },
            [dialog, folder, name = QFileInfo(first()).fileName()](const Result<studio::Proof>& made) {
                if (!made) return dialog->complain(made.error());
                dialog->forgive();
                showProof(*made, name, dialog);
            });
    });
    dialog->onAnswer([=, this] {
        const auto tag = encoding.encoding();
        if (!tag) return dialog->complain(tag.error());
        studio::PrepareRequest request{.out = text(out->path()),
                                       .condition = text(condition),
                                       .correction = correction.choice(),
                                       .bits = std::abs(format->currentData().toInt()),
                                       .format = format->currentData().toInt() < 0 ? "png" : "tiff",
                                       .encoding = *tag,
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
                const QString title =
                    tr("%1 of %2 pictures are ready to print").arg(files.size()).arg(wanted);
                if (files.size() < static_cast<qsizetype>(wanted)) {
                    Q_EMIT warned(title, words.join(QLatin1Char('\n')));
                } else {
                    Q_EMIT said(title, words.join(QLatin1Char('\n')));
                }
                if (isPrinted && !files.isEmpty()) {
                    if (const Outcome printed = printPages(files, window_); !printed)
                        Q_EMIT failed(tr("It was not printed"), printed.error());
                }
            });
    });
    dialog->open();
}

void Jobs::saveCorrection(const QString& condition, int correction) {
    auto* dialog = new FormDialog(tr("Correction %1 as text").arg(correction), tr("Save it"), window_);
    PathEdit* out = dialog->path(tr("&File"), Kind::save, tr("Text (*.txt);;Any file (*)"), "out");
    out->setPath(
        QDir::home().filePath(fileNameOf(condition) + QStringLiteral("-correction-%1.txt").arg(correction)));
    QCheckBox* replace = dialog->tick(tr("Replace a file of the same name"), false, "replace");
    dialog->onAnswer([=, this] {
        answer(
            dialog, QString(),
            [studio = workspace_.studio(), name = text(condition), correction, path = text(out->path()),
             mayReplace = replace->isChecked()](Task&) -> Outcome {
                const auto record = studio.correction(name, correction);
                if (!record) return record.error();
                return studio.write(path, record->content, mayReplace);
            },
            [this, path = out->path()](Done) { Q_EMIT said(tr("The correction was saved"), path); });
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
