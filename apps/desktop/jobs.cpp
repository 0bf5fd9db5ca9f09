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
#include <QPushButton>
#include <QTableWidget>
#include <QUndoCommand>
#include <QUndoStack>
#include <algorithm>

#include "answer.h"
#include "core/numbers.h"
#include "core/platform.h"
#include "fields.h"
#include "text.h"

namespace greywright::desktop {
namespace {

using Kind = PathEdit::Kind;

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

}  // namespace

QString fileNameOf(const QString& words) {
    QString out;
    for (const QChar letter : words.toLower()) out += letter.isLetterOrNumber() ? letter : QLatin1Char('-');
    while (out.contains(QStringLiteral("--"))) out.replace(QStringLiteral("--"), QStringLiteral("-"));
    return out;
}

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

void Jobs::exportReading(const QString& condition, int trial, const QString& original) {
    auto* dialog = new FormDialog(tr("Save the reading of trial %1").arg(trial), tr("Save it"), window_);
    QComboBox* what = dialog->choice(tr("&As"),
                                     {{tr("CGATS text, for other programs"), false},
                                      {tr("the file that it was read from, byte for byte"), true}},
                                     "what");
    PathEdit* out = dialog->path(tr("&File"), Kind::save, tr("Text (*.txt);;Any file (*)"), "out");
    // Text is named for the trial, the file that was read as it was.
    const auto propose = [=] {
        const bool isOriginal = what->currentData().toBool() && !original.isEmpty();
        out->setPath(QDir::home().filePath(isOriginal ? QFileInfo(original).fileName()
                                                      : fileNameOf(condition) +
                                                            QStringLiteral("-trial-%1.txt").arg(trial)));
    };
    propose();
    QObject::connect(what, &QComboBox::currentIndexChanged, dialog, propose);
    QCheckBox* replace = dialog->tick(tr("Replace a file of the same name"), false, "replace");
    dialog->onAnswer([=, this] {
        answer(
            dialog, QString(),
            [studio = workspace_.studio(), name = text(condition), trial, path = text(out->path()),
             isOriginal = what->currentData().toBool(), mayReplace = replace->isChecked()](Task&) -> Outcome {
                const auto bytes =
                    isOriginal ? studio.originalOfTrial(name, trial) : studio.cgatsOfTrial(name, trial);
                if (!bytes) return bytes.error();
                return studio.write(path, *bytes, mayReplace);
            },
            [this, path = out->path()](Done) { Q_EMIT said(tr("The reading was saved"), path); });
    });
    dialog->open();
}

void Jobs::saveReport(const QString& condition) {
    const QString path = QFileDialog::getSaveFileName(
        window_, tr("Save the report"),
        QDir::home().filePath(fileNameOf(condition) + QStringLiteral("-report.html")), tr("Page (*.html)"));
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
            return studio.write(text(path), *page, true);
        },
        [this, path](const Outcome& written) {
            if (written) {
                Q_EMIT said(tr("The report was saved"), path);
            } else if (written.error().code != "stopped") {
                Q_EMIT failed(tr("The report was not saved"), written.error());
            }
        });
}

void Jobs::checkBook() {
    workspace_.tasks().run(
        tr("Checking the book"), this, [studio = workspace_.studio()](Task&) { return studio.check(); },
        [this, path = workspace_.path()](const Outcome& whole) {
            if (whole) {
                Q_EMIT said(
                    tr("The book is whole"),
                    tr("%1: its structure, its references, and every file that was read in.").arg(path));
            } else {
                Q_EMIT failed(tr("The book is not whole"), whole.error());
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
