#include "fields.h"

#include <QComboBox>
#include <QDoubleSpinBox>
#include <QHeaderView>
#include <QLineEdit>
#include <QListWidget>
#include <QTableWidget>
#include <algorithm>
#include <iterator>

#include "form_dialog.h"
#include "text.h"

namespace greywright::desktop {
namespace {

/// Scenes and lights in the order in which to show them; D50 is always looked at.
std::vector<std::string> namesIn(const studio::Catalogue& catalogue) {
    std::vector<std::string> names = catalogue.sceneNames();
    std::ranges::copy_if(catalogue.lightNames(), std::back_inserter(names),
                         [](const std::string& name) { return name != "D50"; });
    return names;
}

QString descriptionOf(const studio::Catalogue& catalogue, const std::string& name) {
    const auto scene = catalogue.scene(name);
    return scene ? asSentence(scene->description) : QString();
}

}  // namespace

EncodingFields::EncodingFields(FormDialog& dialog)
    : kind_(dialog.choice(FormDialog::tr("Tagged as"),
                          {{FormDialog::tr("what is usual for it"), QString()},
                           {FormDialog::tr("grey, gamma 2.2"), QStringLiteral("grey")},
                           {QStringLiteral("sRGB"), QStringLiteral("srgb")},
                           {QStringLiteral("Display P3"), QStringLiteral("p3")},
                           {FormDialog::tr("a profile, given below"), QStringLiteral("\n")}},
                          "encoding")),
      profile_(dialog.path(FormDialog::tr("Profile"), PathEdit::Kind::open,
                           FormDialog::tr("Profiles (*.icc *.icm);;Any file (*)"), "encodingProfile")) {
    const auto rest = [this] { profile_->setEnabled(kind_->currentIndex() == kind_->count() - 1); };
    QObject::connect(kind_, &QComboBox::currentIndexChanged, profile_, [kind = kind_, profile = profile_] {
        profile->setEnabled(kind->currentIndex() == kind->count() - 1);
    });
    rest();
}

Result<std::string> EncodingFields::encoding() const {
    if (profile_->isEnabled() && profile_->path().isEmpty()) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "field-missing",
                     .what = text(FormDialog::tr("no profile is given")),
                     .next = text(FormDialog::tr("Choose its file, or another tag"))};
    }
    return profile_->isEnabled() ? text(profile_->path()) : text(kind_->currentData().toString());
}

CorrectionField::CorrectionField(FormDialog& dialog, const QString& label,
                                 const std::vector<book::CorrectionRecord>& corrections)
    : box_(dialog.choice(label, {{FormDialog::tr("the latest in use"), -1}, {FormDialog::tr("none"), 0}},
                         "correction")) {
    for (const book::CorrectionRecord& one : corrections) {
        if (one.withdrawnBecause) continue;
        const QString kind = one.kind == "table" ? FormDialog::tr("table") : FormDialog::tr("curve");
        box_->addItem(QStringLiteral("%1, %2").arg(one.number).arg(kind), one.number);
    }
    if (box_->count() == 2) box_->setItemText(0, FormDialog::tr("none is in use yet"));
}

studio::CorrectionChoice CorrectionField::choice() const {
    const int number = box_->currentData().toInt();
    if (number < 0) return {};
    return number;
}

QDoubleSpinBox* usualOr(FormDialog& dialog, const QString& label, double lowest, double highest, double step,
                        int digits, const char* name) {
    QDoubleSpinBox* box = dialog.number(label, lowest, lowest, highest, step, digits, name);
    box->setSpecialValueText(FormDialog::tr("as usual"));
    return box;
}

std::optional<double> given(const QDoubleSpinBox& box) {
    return box.value() > box.minimum() ? std::optional(box.value()) : std::nullopt;
}

std::optional<std::string> given(const QLineEdit& line) {
    const QString words = line.text().trimmed();
    return words.isEmpty() ? std::nullopt : std::optional(text(words));
}

QListWidget* lightsList(const studio::Catalogue& catalogue, const QStringList& ticked, QWidget* parent) {
    auto* list = new QListWidget(parent);
    for (const std::string& name : namesIn(catalogue)) {
        auto* item = new QListWidgetItem(text(name), list);
        item->setFlags(Qt::ItemIsUserCheckable | Qt::ItemIsEnabled | Qt::ItemIsSelectable);
        item->setCheckState(ticked.contains(item->text()) ? Qt::Checked : Qt::Unchecked);
        item->setToolTip(descriptionOf(catalogue, name));
        item->setData(Qt::AccessibleDescriptionRole, item->toolTip());
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

QTableWidget* lightsWithWeights(const studio::Catalogue& catalogue, QWidget* parent) {
    const std::vector<std::string> names = namesIn(catalogue);
    auto* table = new QTableWidget(static_cast<int>(names.size()), 2, parent);
    table->setHorizontalHeaderLabels({FormDialog::tr("Light"), FormDialog::tr("Weight")});
    table->verticalHeader()->hide();
    table->horizontalHeader()->setSectionResizeMode(0, QHeaderView::Stretch);
    table->setTabKeyNavigation(false);
    for (int row = 0; row < table->rowCount(); ++row) {
        const std::string& name = names[static_cast<std::size_t>(row)];
        auto* item = new QTableWidgetItem(text(name));
        item->setFlags(Qt::ItemIsUserCheckable | Qt::ItemIsEnabled | Qt::ItemIsSelectable);
        item->setCheckState(Qt::Unchecked);
        item->setToolTip(descriptionOf(catalogue, name));
        table->setItem(row, 0, item);
        table->setItem(row, 1, new QTableWidgetItem(QStringLiteral("1")));
    }
    constexpr int kRowsShown = 7;
    table->setFixedHeight(table->horizontalHeader()->sizeHint().height() + kRowsShown * table->rowHeight(0) +
                          2 * table->frameWidth());
    return table;
}

std::vector<steer::LightGoal> goalsIn(const QTableWidget& table) {
    std::vector<steer::LightGoal> out;
    for (int row = 0; row < table.rowCount(); ++row) {
        if (table.item(row, 0)->checkState() != Qt::Checked) continue;
        const std::vector<double> weight = numbersIn(table.item(row, 1)->text());
        out.push_back(
            {.name = text(table.item(row, 0)->text()), .weight = weight.size() == 1 ? weight[0] : 0});
    }
    return out;
}

}  // namespace greywright::desktop
