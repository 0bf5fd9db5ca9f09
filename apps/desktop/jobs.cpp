#include "jobs.h"

#include <QCheckBox>
#include <QComboBox>
#include <QDir>
#include <QDoubleSpinBox>
#include <QFileDialog>
#include <QFileInfo>
#include <QHeaderView>
#include <QLineEdit>
#include <QListWidget>
#include <QPointer>
#include <QPushButton>
#include <QTableWidget>
#include <QUndoCommand>
#include <QUndoStack>
#include <algorithm>

#include "answer.h"
#include "core/files.h"
#include "core/numbers.h"
#include "core/platform.h"
#include "print_page.h"
#include "sheet_preview.h"
#include "studio/convert.h"
#include "text.h"

namespace greywright::desktop {
namespace {

using Kind = PathEdit::Kind;

QString documents() {
    return QDir::homePath();
}

QString fileNameOf(const QString& words) {
    QString out;
    for (const QChar letter : words.toLower()) out += letter.isLetterOrNumber() ? letter : QLatin1Char('-');
    while (out.contains(QStringLiteral("--"))) out.replace(QStringLiteral("--"), QStringLiteral("-"));
    return out;
}

Error isThere(const QString& path) {
    return missing(Jobs::tr("there is a file of this name: %1").arg(path),
                   Jobs::tr("Choose another name, or tick that it is replaced"));
}

/// Taking a trial out of the account, and back again.
class WithdrawTrial : public QUndoCommand {
  public:
    WithdrawTrial(Workspace& workspace, QString condition, int trial, QString reason)
        : QUndoCommand(Jobs::tr("taking out trial %1 of %2").arg(trial).arg(condition)),
          workspace_(workspace),
          condition_(std::move(condition)),
          trial_(trial),
          reason_(std::move(reason)) {}

    void redo() override { workspace_.takeOut(condition_, trial_, reason_); }
    void undo() override { workspace_.countAgain(condition_, trial_); }

  private:
    Workspace& workspace_;
    QString condition_;
    int trial_;
    QString reason_;
};

/// Which control the driver has, as rows of name, lowest, highest and step.
QTableWidget* axesTable(QWidget* parent) {
    auto* table = new QTableWidget(3, 4, parent);
    table->setHorizontalHeaderLabels(
        {Jobs::tr("Name"), Jobs::tr("Lowest"), Jobs::tr("Highest"), Jobs::tr("Step")});
    table->setVerticalHeaderLabels({QStringLiteral("1"), QStringLiteral("2"), QStringLiteral("3")});
    table->horizontalHeader()->setSectionResizeMode(QHeaderView::Stretch);
    table->setTabKeyNavigation(false);
    table->setFixedHeight(table->horizontalHeader()->sizeHint().height() + 3 * table->rowHeight(0) + 4);
    return table;
}

Result<std::vector<book::AxisRecord>> axesIn(const QTableWidget& table) {
    std::vector<book::AxisRecord> out;
    for (int row = 0; row < table.rowCount(); ++row) {
        const auto cell = [&](int column) {
            const QTableWidgetItem* item = table.item(row, column);
            return item == nullptr ? QString() : item->text().trimmed();
        };
        if (cell(0).isEmpty()) continue;
        book::AxisRecord axis{.name = text(cell(0))};
        double* const values[] = {&axis.min, &axis.max, &axis.step};
        for (int column = 1; column < 4; ++column) {
            bool isNumber = false;
            *values[column - 1] =
                QString(cell(column)).replace(QChar(0x2212), QLatin1Char('-')).toDouble(&isNumber);
            if (!isNumber) {
                return missing(Jobs::tr("axis '%1' has no number under '%2'")
                                   .arg(cell(0), table.horizontalHeaderItem(column)->text()),
                               Jobs::tr("Write the driver's own lowest and highest value and its step"));
            }
        }
        out.push_back(axis);
    }
    return out;
}

/// Every scene and light, to be ticked.
QListWidget* lightsList(const studio::Catalogue& catalogue, const QStringList& ticked, QWidget* parent) {
    auto* list = new QListWidget(parent);
    std::vector<std::string> names = catalogue.sceneNames();
    std::ranges::copy(catalogue.lightNames(), std::back_inserter(names));
    for (const std::string& name : names) {
        if (name == "D50") continue;
        auto* item = new QListWidgetItem(text(name), list);
        item->setFlags(Qt::ItemIsUserCheckable | Qt::ItemIsEnabled | Qt::ItemIsSelectable);
        item->setCheckState(ticked.contains(item->text()) ? Qt::Checked : Qt::Unchecked);
        if (const auto scene = catalogue.scene(name)) {
            item->setToolTip(asSentence(scene->description));
            item->setData(Qt::AccessibleDescriptionRole, item->toolTip());
        }
    }
    constexpr int kRowsShown = 8, kBetweenPx = 2;
    list->setSpacing(kBetweenPx);
    list->setFixedHeight(kRowsShown * (list->sizeHintForRow(0) + 2 * kBetweenPx) + 2 * list->frameWidth());
    return list;
}

QStringList tickedIn(const QListWidget& list) {
    QStringList out;
    for (int row = 0; row < list.count(); ++row) {
        if (list.item(row)->checkState() == Qt::Checked) out << list.item(row)->text();
    }
    return out;
}

}  // namespace

Jobs::Jobs(Workspace& workspace, Preferences& preferences, QWidget* window)
    : QObject(window), workspace_(workspace), preferences_(preferences), window_(window) {}

FormDialog* Jobs::askCondition(const QString& title, const QString& doIt, const book::ConditionRecord& known,
                               std::function<void(FormDialog*, const book::ConditionRecord&)> then) {
    auto* dialog = new FormDialog(title, doIt, window_);
    dialog->words(
        tr("One printer, one set of inks, one paper, one mode. Whatever changes one of them is another "
           "condition."));
    QLineEdit* name = dialog->line(tr("&Name"), text(known.name), "name");
    QLineEdit* printer = dialog->line(tr("&Printer"), text(known.printer), "printer");
    QLineEdit* inks = dialog->line(tr("&Inks"), text(known.inks), "inks");
    QLineEdit* paper = dialog->line(tr("P&aper"), text(known.paper), "paper");
    QLineEdit* mode = dialog->line(tr("&Mode in the driver"), text(known.mode), "mode");
    dialog->words(
        tr("The driver's tint control, an axis a row, as the driver calls it and counts it; none if it has "
           "no such control."));
    QTableWidget* axes = axesTable(dialog);
    for (std::size_t i = 0; i < known.axes.size(); ++i) {
        const book::AxisRecord& axis = known.axes[i];
        int column = 0;
        for (const std::string& cell :
             {axis.name, textFromNumber(axis.min), textFromNumber(axis.max), textFromNumber(axis.step)})
            axes->setItem(static_cast<int>(i), column++, new QTableWidgetItem(text(cell)));
    }
    axes->setObjectName(QStringLiteral("axes"));
    axes->setAccessibleName(tr("Axes of the tint control"));
    dialog->widget(axes);
    dialog->onAnswer([=, then = std::move(then)] {
        const auto control = axesIn(*axes);
        if (!control) return dialog->complain(control.error());
        then(dialog, {.name = text(name->text().trimmed()),
                      .printer = text(printer->text().trimmed()),
                      .inks = text(inks->text().trimmed()),
                      .paper = text(paper->text().trimmed()),
                      .mode = text(mode->text().trimmed()),
                      .axes = *control,
                      .when = platform::utcNow()});
    });
    return dialog;
}

void Jobs::newCondition() {
    askCondition(
        tr("A new printing condition"), tr("Enter it"), {},
        [this](FormDialog* dialog, const book::ConditionRecord& record) {
            answer(
                dialog, QString(),
                [studio = workspace_.studio(), record](Task&) { return studio.addCondition(record); },
                [this, entered = text(record.name)](Done) { Q_EMIT conditionEntered(entered); });
        })
        ->open();
}

void Jobs::correctCondition(const QString& condition) {
    const studio::ConditionOverview* known = workspace_.condition(condition);
    if (known == nullptr) return;
    FormDialog* dialog = askCondition(
        tr("Put right how '%1' was entered").arg(condition), tr("Put it right"), known->condition,
        [this, before = known->condition](FormDialog* asked, const book::ConditionRecord& record) {
            answer(
                asked, QString(),
                [studio = workspace_.studio(), name = before.name, record](Task&) {
                    return studio.correctCondition(name, record);
                },
                [this, before, record](Done) {
                    if (record.name == before.name) return;
                    workspace_.undo().clear();  // what it holds speaks of the old name
                    Q_EMIT conditionEntered(text(record.name));
                });
        });
    dialog->words(
        tr("Trials keep their values, axis by axis. If another paper or other inks were used from "
           "some day on, enter another condition instead."));
    dialog->open();
}

void Jobs::removeCondition(const QString& condition) {
    auto* dialog = new FormDialog(tr("Remove '%1'").arg(condition), tr("Remove it"), window_);
    dialog->words(tr("For one that was entered by mistake. One that has trials stays in the book."));
    dialog->onAnswer([=, this] {
        answer(
            dialog, QString(),
            [studio = workspace_.studio(), name = text(condition)](Task&) {
                return studio.removeCondition(name);
            },
            [this, condition](Done) { Q_EMIT said(tr("'%1' is no longer in the book").arg(condition), {}); });
    });
    dialog->open();
}

void Jobs::makeSheet(const QString& condition, const book::Setting& setting) {
    auto* dialog = new FormDialog(tr("A test sheet"), tr("Make it"), window_);
    QComboBox* kind = dialog->choice(tr("&What"),
                                     {{tr("Ramp for an instrument that reads strips"), 0},
                                      {tr("Ramp for an instrument that reads spots"), 1},
                                      {tr("Ramp for a scanner or camera"), 2},
                                      {tr("Block of a few tones, the next place on the page"), 3},
                                      {tr("Near-neutral colours, for a neutralising table"), 4},
                                      {tr("Steps to look at"), 5},
                                      {tr("Gradients and a picture to look at"), 6},
                                      {tr("Numbered greys to choose the most neutral from"), 7}},
                                     "kind");
    QDoubleSpinBox* tones = dialog->number(tr("To&nes of a ramp"), 21, 11, 101, 10, 0, "tones");
    std::vector<std::pair<QString, QVariant>> pages;
    for (const std::string& page : sheet::pageNames()) pages.emplace_back(text(page), text(page));
    QComboBox* page = dialog->choice(tr("&Page"), pages, "page");
    page->setCurrentText(QStringLiteral("A4"));
    QComboBox* dots = dialog->choice(
        tr("&Resolution"),
        {{tr("360 dots per inch"), 360}, {tr("300 dots per inch"), 300}, {tr("600 dots per inch"), 600}},
        "dots");
    PathEdit* out =
        dialog->path(tr("&File"), Kind::save, tr("TIFF (*.tif);;PNG (*.png);;PDF (*.pdf)"), "out");
    out->setPath(QDir(documents()).filePath(fileNameOf(condition) + QStringLiteral("-sheet.tif")));
    QCheckBox* replace = dialog->tick(tr("Replace a file of the same name"), false, "replace");
    QCheckBox* print = dialog->tick(tr("Print it as well, at its exact size"), false, "print");
    auto* preview = new SheetPreview(dialog);
    dialog->field(tr("Preview"), preview, "preview");

    // Another sheet, another order of what is to be found by eye.
    const std::uint64_t seed = sheet::seedFromName(text(condition) + platform::utcNow());
    const auto request = [=]() -> Result<studio::SheetRequest> {
        const auto chosen = sheet::pageByName(text(page->currentText()));
        if (!chosen) return chosen.error();
        studio::SheetRequest made{
            .out = text(out->path()), .dotsPerInch = dots->currentData().toInt(), .when = platform::utcNow()};
        const sheet::Title title{.name = text(condition), .date = made.when.substr(0, 10)};
        const auto steps = sheet::evenTones(static_cast<std::size_t>(tones->value()));
        switch (kind->currentData().toInt()) {
            case 0:
                made.design = sheet::RampRequest{.title = title, .tonesPercent = steps, .page = *chosen};
                break;
            case 1:
                made.design = sheet::RampRequest{.title = title,
                                                 .tonesPercent = steps,
                                                 .instrument = sheet::Instrument::spot,
                                                 .sizes = sheet::usualSizes(sheet::Instrument::spot),
                                                 .page = *chosen};
                break;
            case 2:
                made.design = sheet::CameraRequest{
                    .title = title, .tonesPercent = steps, .shuffle = 1, .page = *chosen};
                break;
            case 3:
                made.design = sheet::BlockRequest{
                    .title = title, .setting = studio::textFromSetting(setting), .page = *chosen};
                made.condition = text(condition);
                break;
            case 4:
                made.design = sheet::NeutralRequest{.title = title, .page = *chosen};
                break;
            case 5:
                made.design = sheet::EyeRequest{.title = title, .seed = seed, .page = *chosen};
                break;
            case 6:
                made.design = sheet::EyePictureRequest{.title = title, .seed = seed, .page = *chosen};
                break;
            default:
                made.design = sheet::ChoiceRequest{.title = title, .seed = seed, .page = *chosen};
                break;
        }
        return made;
    };
    const auto look = [=] {
        const auto wanted = request();
        if (wanted) preview->show(wanted->design);
        tones->setEnabled(kind->currentData().toInt() < 3);
    };
    for (QComboBox* box : {kind, page}) QObject::connect(box, &QComboBox::currentIndexChanged, dialog, look);
    QObject::connect(tones, &QDoubleSpinBox::valueChanged, dialog, look);
    look();
    dialog->onAnswer([=, this] {
        auto wanted = request();
        if (!wanted) return dialog->complain(wanted.error());
        if (QFileInfo::exists(out->path()) && !replace->isChecked())
            return dialog->complain(isThere(out->path()));
        const bool isPrinted = print->isChecked();
        if (isPrinted && text(out->path()).ends_with(".pdf"))
            return dialog->complain(
                missing(tr("a PDF is printed by the program that shows it"),
                        tr("Choose .tif or .png to print from here, or do not print it")));
        answer(
            dialog, tr("Making the sheet"),
            [studio = workspace_.studio(), wanted = *std::move(wanted)](Task& task) mutable {
                wanted.goOn = [&task](double share) { return task.goOn(share); };
                return studio.makeSheet(wanted);
            },
            [this, isPrinted](const studio::MadeSheet& made) {
                QStringList files;
                for (const auto& file : made.files) files << text(file.string());
                Q_EMIT said(
                    tr("Sheet %1 was made").arg(text(made.sheet.code)),
                    tr("%1\nPrint it without scaling and without colour management, with the monochrome "
                       "mode of the driver. The definition lies beside it: %2")
                            .arg(files.join(QLatin1Char('\n')), text(made.definition.string())) +
                        (made.notes.empty() ? QString() : QLatin1Char('\n') + textOf(made.notes)));
                if (isPrinted) {
                    if (const Outcome printed = printPages(files, window_); !printed)
                        Q_EMIT failed(tr("The sheet was not printed"), printed.error());
                }
            });
    });
    dialog->open();
}

void Jobs::withdrawTrial(const QString& condition, int trial) {
    auto* dialog =
        new FormDialog(tr("Take trial %1 out of the account").arg(trial), tr("Take it out"), window_);
    dialog->words(tr("It stays in the book and can be counted again."));
    QLineEdit* reason = dialog->line(tr("&Why"), {}, "reason");
    dialog->onAnswer([=, this] {
        if (reason->text().trimmed().isEmpty())
            return dialog->complain(
                missing(tr("no reason is given"), tr("Write why, for whoever reads the book later")));
        workspace_.undo().push(new WithdrawTrial(workspace_, condition, trial, reason->text().trimmed()));
        dialog->accept();
    });
    dialog->open();
}

void Jobs::restoreTrial(const QString& condition, int trial) {
    workspace_.countAgain(condition, trial);
}

void Jobs::exportReading(const QString& condition, int trial) {
    auto* dialog = new FormDialog(tr("Save the reading of trial %1").arg(trial), tr("Save it"), window_);
    QComboBox* what = dialog->choice(tr("&As"),
                                     {{tr("CGATS text, for other programs"), false},
                                      {tr("the file that it was read from, byte for byte"), true}},
                                     "what");
    PathEdit* out = dialog->path(tr("&File"), Kind::save, tr("Text (*.txt);;Any file (*)"), "out");
    out->setPath(
        QDir(documents()).filePath(fileNameOf(condition) + QStringLiteral("-trial-%1.txt").arg(trial)));
    QCheckBox* replace = dialog->tick(tr("Replace a file of the same name"), false, "replace");
    dialog->onAnswer([=, this] {
        if (QFileInfo::exists(out->path()) && !replace->isChecked())
            return dialog->complain(isThere(out->path()));
        if (QFileInfo(out->path()) == QFileInfo(workspace_.path()))
            return dialog->complain(missing(tr("this is the book"), tr("Name another file to write")));
        answer(
            dialog, QString(),
            [studio = workspace_.studio(), name = text(condition), trial, path = text(out->path()),
             isOriginal = what->currentData().toBool()](Task&) -> Outcome {
                const auto bytes =
                    isOriginal ? studio.originalOfTrial(name, trial) : studio.cgatsOfTrial(name, trial);
                if (!bytes) return bytes.error();
                return writeWholeFile(path, *bytes);
            },
            [this, path = out->path()](Done) { Q_EMIT said(tr("The reading was saved"), path); });
    });
    dialog->open();
}

void Jobs::saveReport(const QString& condition) {
    const QString path = QFileDialog::getSaveFileName(
        window_, tr("Save the report"),
        QDir(documents()).filePath(fileNameOf(condition) + QStringLiteral("-report.html")),
        tr("Page (*.html)"));
    if (!path.isEmpty()) writeReport(condition, path);
}

void Jobs::writeReport(const QString& condition, const QString& path) {
    workspace_.tasks().run(
        tr("Writing the report"), this,
        [studio = workspace_.studio(), name = text(condition), path,
         preferences = preferences_](Task& task) -> Outcome {
            const auto catalogue = studio.catalogue();
            if (!catalogue) return catalogue.error();
            const studio::JudgeRequest request{.aim = preferences.aim,
                                               .lights = preferences.lightsAmong(*catalogue),
                                               .viewers = preferences.viewersAmong(*catalogue),
                                               .goOn = [&task](double share) { return task.goOn(share); }};
            std::vector<steer::LightGoal> goals;
            if (preferences.isSoughtForLights) {
                for (const std::string& light : request.lights) goals.push_back({.name = light});
            }
            auto page = studio.report(name, request, platform::utcNow(), goals);
            if (!page && page.error().code == "lights-without-spectra")
                page = studio.report(name, request, platform::utcNow());
            if (!page) return page.error();
            return writeWholeFile(text(path), *page);
        },
        [this, path](const Outcome& written) {
            if (written) {
                Q_EMIT said(tr("The report was saved"), path);
            } else if (written.error().code != "stopped") {
                Q_EMIT failed(tr("The report was not saved"), written.error());
            }
        });
}

void Jobs::askHowToLook() {
    withCatalogue([this](const studio::Catalogue& catalogue) { askHowToLook(catalogue); });
}

void Jobs::askHowToLook(const studio::Catalogue& catalogue) {
    auto* dialog = new FormDialog(tr("How prints are looked at"), tr("Use these"), window_);
    dialog->words(
        tr("Tick the lights that prints are looked at under; D50 is always among them. With none ticked, the "
           "places "
           "where prints usually hang are taken."));
    QListWidget* lights = lightsList(catalogue, preferences_.lights, dialog);
    dialog->field(tr("&Lights"), lights, "lights");
    QComboBox* sought =
        dialog->choice(tr("&Settings are sought for"),
                       {{tr("D50"), false}, {tr("these lights, the worst of them"), true}}, "sought");
    sought->setCurrentIndex(preferences_.isSoughtForLights ? 1 : 0);
    QComboBox* aim = dialog->choice(tr("A neutral print &is"),
                                    {{tr("the paper's tint, fading into neutral towards black"), 0},
                                     {tr("neutral to the light, whatever the paper"), 1},
                                     {tr("the paper's own tint at every tone"), 2}},
                                    "aim");
    aim->setCurrentIndex(static_cast<int>(preferences_.aim));
    dialog->words(
        tr("Viewers of normal colour vision, each with eyes of their own. More of them make the shares "
           "steadier and take longer; 0 asks nobody."));
    studio::ViewerRequest& kept = preferences_.viewers;
    std::vector<std::pair<QString, QVariant>> people{{tr("people of many ages"), QString()}};
    for (const book::ViewerRecord& one : catalogue.viewers())
        people.emplace_back(text(one.name), text(one.name));
    QComboBox* who = dialog->choice(tr("&Who looks"), people, "who");
    who->setCurrentIndex(std::max(0, who->findData(text(kept.named))));
    QDoubleSpinBox* count =
        dialog->number(tr("&How many"), static_cast<double>(kept.count), 0, 100000, 500, 0, "count");
    QDoubleSpinBox* youngest = dialog->number(tr("&Youngest"), kept.youngestYears, 20, 80, 5, 0, "youngest");
    QDoubleSpinBox* oldest = dialog->number(tr("&Oldest"), kept.oldestYears, 20, 80, 5, 0, "oldest");
    // The age of somebody known is known.
    const auto rest = [=] {
        for (QDoubleSpinBox* age : {youngest, oldest}) age->setEnabled(who->currentIndex() == 0);
    };
    QObject::connect(who, &QComboBox::currentIndexChanged, dialog, rest);
    rest();
    dialog->onAnswer([=, this] {
        if (youngest->value() > oldest->value())
            return dialog->complain(
                missing(tr("the youngest are older than the oldest"), tr("Give the ages in order")));
        preferences_.viewers.count = static_cast<std::size_t>(count->value());
        preferences_.viewers.named = text(who->currentData().toString());
        preferences_.viewers.youngestYears = youngest->value();
        preferences_.viewers.oldestYears = oldest->value();
        preferences_.aim = static_cast<colour::TintAimKind>(aim->currentData().toInt());
        // Lights that another book holds stay ticked for it.
        QStringList chosen = tickedIn(*lights);
        for (const QString& light : preferences_.lights) {
            if (lights->findItems(light, Qt::MatchExactly).empty()) chosen << light;
        }
        preferences_.lights = chosen;
        preferences_.isSoughtForLights = sought->currentData().toBool();
        preferences_.save();
        dialog->accept();
        Q_EMIT preferencesChanged();
    });
    dialog->open();
}

}  // namespace greywright::desktop
