#pragma once

#include <QAbstractListModel>
#include <QAbstractTableModel>
#include <QStyledItemDelegate>
#include <functional>
#include <map>
#include <optional>
#include <vector>

#include "book/records.h"
#include "condition_data.h"
#include "judge/judge.h"
#include "studio/overview.h"

namespace greywright::desktop {

/// The conditions of a book and how each stands, one a row.
class ConditionsModel : public QAbstractListModel {
    Q_OBJECT

  public:
    enum Role { nameRole = Qt::UserRole, standingRole, wordsRole, factsRole };
    using QAbstractListModel::QAbstractListModel;

    void show(const std::vector<studio::ConditionOverview>& conditions);
    [[nodiscard]] QModelIndex indexOf(const QString& name) const;

    [[nodiscard]] int rowCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] QVariant data(const QModelIndex& index, int role) const override;

  private:
    std::vector<studio::ConditionOverview> rows_;
};

/// The name of a standing, for people.
[[nodiscard]] QString wordOf(studio::Standing standing);

/// Paints a condition: a small picture of how it stands, its name, its paper, what to do next.
class ConditionDelegate : public QStyledItemDelegate {
    Q_OBJECT

  public:
    using QStyledItemDelegate::QStyledItemDelegate;
    void paint(QPainter* painter, const QStyleOptionViewItem& option,
               const QModelIndex& index) const override;
    [[nodiscard]] QSize sizeHint(const QStyleOptionViewItem& option, const QModelIndex& index) const override;
};

/// The small picture of a standing: told by its shape alone. Units: of the painter.
void paintStanding(QPainter& painter, const QRectF& place, studio::Standing standing, const QColor& ink);

/// A table of texts, read from records that are given as a whole.
class TableModel : public QAbstractTableModel {
    Q_OBJECT

  public:
    struct Cell {
        QString text = {};
        bool isNumber = false;
        bool isFaint = false;
        bool isBold = false;
    };
    struct Row {
        std::vector<Cell> cells = {};
        QString tip = {};
        double key = 0;  ///< what the row is of: a trial's number, a tone
    };

    TableModel(QStringList columns, QObject* parent);

    void show(std::vector<Row> rows);
    [[nodiscard]] const Row& row(int index) const { return rows_[static_cast<std::size_t>(index)]; }
    /// The first row of this key, or -1.
    [[nodiscard]] int rowOf(double key) const;

    [[nodiscard]] int rowCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] int columnCount(const QModelIndex& parent = {}) const override;
    [[nodiscard]] QVariant data(const QModelIndex& index, int role) const override;
    [[nodiscard]] QVariant headerData(int section, Qt::Orientation orientation, int role) const override;

  private:
    QStringList columns_;
    std::vector<Row> rows_;
};

/// What each trial was printed at and what came of it.
/// Shape: `worst` by the trial's number, CIEDE2000; trials that were not measured are absent.
[[nodiscard]] std::vector<TableModel::Row> rowsOfTrials(const std::vector<book::TrialRecord>& trials,
                                                        const std::map<int, double>& worst);
[[nodiscard]] QStringList columnsOfTrials();

/// Every tone against its aim.
[[nodiscard]] std::vector<TableModel::Row> rowsOfTones(const std::vector<judge::PatchVerdict>& patches);
[[nodiscard]] QStringList columnsOfTones();

/// What happened to a condition, the latest first.
[[nodiscard]] std::vector<TableModel::Row> rowsOfHistory(const ConditionData::Records& records);
[[nodiscard]] QStringList columnsOfHistory();

[[nodiscard]] std::vector<TableModel::Row> rowsOfCorrections(
    const std::vector<book::CorrectionRecord>& corrections);
[[nodiscard]] QStringList columnsOfCorrections();

}  // namespace greywright::desktop
