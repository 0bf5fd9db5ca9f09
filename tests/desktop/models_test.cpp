#include "models.h"

#include <QAbstractItemModelTester>
#include <QSignalSpy>

#include <gtest/gtest.h>

namespace greywright::desktop {
namespace {

using Mode = QAbstractItemModelTester::FailureReportingMode;

studio::ConditionOverview overview(const char* name, studio::Standing standing) {
    studio::ConditionOverview out;
    out.condition.name = name;
    out.standing = standing;
    out.words = "words";
    return out;
}

TEST(ConditionsModel, KeepsTheRulesOfModelsAndWhatIsChosen) {
    ConditionsModel model;
    const QAbstractItemModelTester tester(&model, Mode::Fatal);
    QSignalSpy resets(&model, &QAbstractItemModel::modelReset);
    model.show({overview("chalk", studio::Standing::empty), overview("fen", studio::Standing::neutral)});
    EXPECT_EQ(resets.count(), 1);
    EXPECT_EQ(model.rowCount(), 2);
    const QPersistentModelIndex fen = model.indexOf("fen");
    model.show({overview("chalk", studio::Standing::neutral), overview("fen", studio::Standing::drifting)});
    EXPECT_EQ(resets.count(), 1) << "the same conditions: what is chosen stays";
    EXPECT_TRUE(fen.isValid());
    EXPECT_EQ(fen.data(ConditionsModel::standingRole).toInt(), static_cast<int>(studio::Standing::drifting));
    EXPECT_TRUE(fen.data(Qt::AccessibleTextRole).toString().contains("drifting"))
        << "not by the picture alone";
    model.show({});
    EXPECT_EQ(model.rowCount(), 0);
    EXPECT_FALSE(model.indexOf("fen").isValid());
}

TEST(TableModel, KeepsTheRulesOfModels) {
    TableModel model({"one", "two"}, nullptr);
    const QAbstractItemModelTester tester(&model, Mode::Fatal);
    model.show({{.cells = {{.text = "1", .isNumber = true}, {.text = "x"}}, .key = 1},
                {.cells = {{.text = "2", .isNumber = true}}, .key = 2}});
    EXPECT_EQ(model.rowOf(2), 1);
    EXPECT_EQ(model.rowOf(3), -1);
    EXPECT_EQ(model.index(0, 0).data(Qt::TextAlignmentRole).toInt(), Qt::AlignRight | Qt::AlignVCenter);
    EXPECT_FALSE(model.index(1, 1).data().isValid()) << "a row may have fewer cells";
    model.show({});
    EXPECT_EQ(model.rowCount(), 0);
}

}  // namespace
}  // namespace greywright::desktop
