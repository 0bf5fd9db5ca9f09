#include "next_section.h"

#include <QHBoxLayout>
#include <QLabel>
#include <QPrintPreviewDialog>
#include <QPrinter>
#include <QPushButton>
#include <QTextDocument>
#include <QVBoxLayout>
#include <algorithm>
#include <cmath>

#include "condition_data.h"
#include "core/platform.h"
#include "studio/convert.h"
#include "text.h"

namespace greywright::desktop {

NextSection::NextSection(ConditionData& shown, QWidget* parent)
    : Section(tr("What to do now"), parent),
      data_(shown),
      headline_(headingLabel(this, {}, 1.2)),
      setting_(headingLabel(this, {}, 2.6)),
      reason_(wordsLabel(this)),
      back_(button(this, tr("&Go back to what the search says"), "back")),
      note_(button(this, tr("Print a &note for the printer room…"), "note")),
      sheet_(button(this, tr("Make the &test sheet…"), "sheet")),
      read_(button(this, tr("&Read the measured sheet…"), "read")),
      report_(button(this, tr("Save the re&port…"), "report")) {
    setting_->setObjectName(QStringLiteral("nextSetting"));
    headline_->setObjectName(QStringLiteral("headline"));
    column().addWidget(headline_);
    column().addWidget(setting_);
    column().addWidget(reason_);
    column().addWidget(back_, 0, Qt::AlignLeft);
    back_->hide();
    connect(back_, &QPushButton::clicked, this, [this] {
        chosen_.reset();
        showNext();
    });
    auto* buttons = new Flow(0, this);
    const auto pair = [&](QPushButton* one, QPushButton* other, int stretch) {
        auto* both = new QWidget(buttons);
        auto* row = new QHBoxLayout(both);
        row->setContentsMargins(0, 0, 0, 0);
        row->addWidget(one);
        row->addWidget(other);
        row->addStretch(1);
        buttons->add(both, stretch);
    };
    pair(sheet_, read_, 0);
    pair(note_, report_, 1);
    column().addWidget(buttons);
    connect(sheet_, &QPushButton::clicked, this, &NextSection::sheetWanted);
    connect(read_, &QPushButton::clicked, this, &NextSection::readWanted);
    connect(report_, &QPushButton::clicked, this, &NextSection::reportWanted);
    connect(note_, &QPushButton::clicked, this, &NextSection::printNote);
    connect(&data_, &ConditionData::recordsChanged, this, &NextSection::showNext);
    connect(&data_, &ConditionData::foresightChanged, this, [this] {
        chosen_.reset();
        showNext();
    });
    showNext();
}

book::Setting NextSection::setting() const {
    if (chosen_) return *chosen_;
    book::Setting out;
    if (!data_.isLoaded()) return out;
    const std::vector<book::AxisRecord>& axes = data_.records().condition.axes;
    const bool isForeseen = data_.foresight() != nullptr && data_.foresight()->search.summary.isUsable();
    for (std::size_t i = 0; i < axes.size(); ++i)
        out.push_back({axes[i].name, isForeseen ? data_.foresight()->search.summary.predicted.setting[i]
                                                : std::clamp(0.0, axes[i].min, axes[i].max)});
    return out;
}

void NextSection::propose(const book::Setting& setting) {
    chosen_ = setting;
    showNext();
}

void NextSection::showNext() {
    const bool isLoaded = data_.isLoaded();
    for (QWidget* one : std::initializer_list<QWidget*>{note_, sheet_, read_, report_})
        one->setEnabled(isLoaded);
    back_->setVisible(chosen_.has_value());
    if (!isLoaded) return;
    const std::vector<book::AxisRecord>& axes = data_.records().condition.axes;
    setting_->setVisible(!axes.empty());
    if (axes.empty()) {
        headline_->setText(data_.trial() == 0 ? tr("Print a ramp, measure it, and read the file")
                                              : tr("No tint control"));
        reason_->setText(
            tr("This condition has no tint control; a curve or a neutralising table further down can "
               "correct what it prints."));
        return;
    }
    setting_->setText(textOf(setting()));
    if (data_.trial() == 0 || data_.foresight() == nullptr) {
        headline_->setText(tr("Print this first"));
        reason_->setText(
            tr("Print the test ramp at this setting, let it dry, measure it, and read the file."));
        return;
    }
    const steer::Summary& summary = data_.foresight()->search.summary;
    if (chosen_) {
        headline_->setText(tr("Print this, as you chose on the map"));
        book::Setting sought;
        for (std::size_t i = 0; i < axes.size(); ++i)
            sought.push_back({axes[i].name, summary.predicted.setting[i]});
        reason_->setText(tr("Of its own setting, %1, the search says: %2")
                             .arg(textOf(sought), asSentence(summary.reason)));
        return;
    }
    switch (summary.status) {
        case steer::Status::print:
            headline_->setText(summary.cannotTell ? tr("The best that is known") : tr("Print this next"));
            break;
        case steer::Status::settled:
            headline_->setText(tr("Settled: keep this setting"));
            break;
        case steer::Status::outOfReach:
            headline_->setText(tr("The nearest there is: the control cannot do it alone"));
            break;
    }
    QStringList words{asSentence(summary.reason)};
    if (summary.status == steer::Status::settled && !isPrinted(summary.predicted.setting))
        words << tr("It was not printed itself: it is foretold from the trials around it.");
    if (!summary.lights.empty()) {
        QStringList lights;
        for (const auto& light : summary.lights) lights << text(light.name);
        words << tr("Sought for the worst of: %1.").arg(lights.join(QStringLiteral(", ")));
    }
    reason_->setText(words.join(QLatin1Char('\n')));
}

bool NextSection::isPrinted(const steer::Setting& setting) const {
    return std::ranges::any_of(data_.records().trials, [&](const book::TrialRecord& trial) {
        return !trial.isWithdrawn() && studio::settingFromRecord(trial.setting) == setting;
    });
}

QString NextSection::noteHtml() const {
    const book::ConditionRecord& condition = data_.records().condition;
    QString rows;
    const auto row = [&](const QString& name, const QString& value) {
        if (!value.isEmpty())
            rows += QStringLiteral(
                        "<tr><td style='padding:4px 24px 4px 0'>%1</td><td style='padding:4px "
                        "0'><b>%2</b></td></tr>")
                        .arg(name.toHtmlEscaped(), value.toHtmlEscaped());
    };
    row(tr("Condition"), text(condition.name));
    row(tr("Printer"), text(condition.printer));
    row(tr("Inks"), text(condition.inks));
    row(tr("Paper"), text(condition.paper));
    row(tr("Mode"), text(condition.mode));
    QString setting;
    for (const book::AxisValue& axis : this->setting())
        setting += QStringLiteral(
                       "<tr><td style='padding:2px 40px 2px 0;font-size:26pt'>%1</td>"
                       "<td align='right' style='padding:2px 0;font-size:26pt'><b>%2</b></td></tr>")
                       .arg(text(axis.axis).toHtmlEscaped(),
                            number(axis.value, axis.value == std::floor(axis.value) ? 0 : 2));
    if (setting.isEmpty())
        setting = QStringLiteral("<tr><td style='font-size:20pt'>%1</td></tr>").arg(tr("no tint control"));
    return QStringLiteral("<h2>%1</h2><table>%2</table><p>&nbsp;</p><table>%3</table><p>%4</p><p>%5</p>")
        .arg(tr("For the printer room").toHtmlEscaped(), rows, setting,
             tr("Print without scaling and without colour management. Nothing else may change: same paper, "
                "same "
                "mode, same choices.")
                 .toHtmlEscaped(),
             tr("Written %1. Printed by ____________  on ____________")
                 .arg(dateOf(platform::utcNow()))
                 .toHtmlEscaped());
}

void NextSection::printNote() {
    QPrinter printer;
    QPrintPreviewDialog preview(&printer, this);
    preview.setWindowTitle(tr("A note for the printer room"));
    connect(&preview, &QPrintPreviewDialog::paintRequested, this, [this](QPrinter* page) {
        QTextDocument document;
        document.setHtml(noteHtml());
        document.print(page);
    });
    preview.exec();
}

}  // namespace greywright::desktop
