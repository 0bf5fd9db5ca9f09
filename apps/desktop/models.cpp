#include "models.h"

#include <QAbstractItemView>
#include <QApplication>
#include <QPainter>
#include <QPainterPath>
#include <algorithm>
#include <cmath>
#include <utility>

#include "studio/convert.h"
#include "text.h"

namespace greywright::desktop {
namespace {

constexpr int kPadding = 10;
constexpr int kPicture = 34;

using Cell = TableModel::Cell;
using Row = TableModel::Row;

Cell numberCell(double value, int digits) {
    return {.text = number(value, digits), .isNumber = true};
}

QFont scaled(QFont font, double times, bool isBold) {
    font.setPointSizeF(font.pointSizeF() * times);
    font.setBold(isBold);
    return font;
}

QString factsOf(const book::ConditionRecord& condition) {
    QStringList facts;
    for (const std::string* fact : {&condition.printer, &condition.paper}) {
        if (!fact->empty()) facts << text(*fact);
    }
    return facts.join(QStringLiteral(", "));
}

QString choicesOf(const book::TrialRecord& trial) {
    QString out = text(studio::textFromChoices(trial.choices));
    if (trial.through == 0) return out;
    if (!out.isEmpty()) out += QStringLiteral(", ");
    return out + QObject::tr("through correction %1").arg(trial.through);
}

struct Event {
    std::string when;
    QString what;
    QString detail;
};

}  // namespace

void ConditionsModel::show(const std::vector<studio::ConditionOverview>& conditions) {
    const auto sameNames = std::ranges::equal(
        conditions, rows_, {}, [](const auto& one) { return one.condition.name; },
        [](const auto& one) { return one.condition.name; });
    if (sameNames && !rows_.empty()) {
        rows_ = conditions;  // keeps what is chosen
        Q_EMIT dataChanged(index(0), index(rowCount() - 1));
        return;
    }
    beginResetModel();
    rows_ = conditions;
    endResetModel();
}

QModelIndex ConditionsModel::indexOf(const QString& name) const {
    const auto found = std::ranges::find(
        rows_, text(name), [](const studio::ConditionOverview& one) { return one.condition.name; });
    return found == rows_.end() ? QModelIndex() : index(static_cast<int>(found - rows_.begin()));
}

int ConditionsModel::rowCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : static_cast<int>(rows_.size());
}

QVariant ConditionsModel::data(const QModelIndex& index, int role) const {
    if (!checkIndex(index, CheckIndexOption::IndexIsValid)) return {};
    const studio::ConditionOverview& row = rows_[static_cast<std::size_t>(index.row())];
    switch (role) {
        case Qt::DisplayRole:
        case nameRole:
            return text(row.condition.name);
        case standingRole:
            return static_cast<int>(row.standing);
        case wordsRole:
            return text(row.words);
        case factsRole:
            return factsOf(row.condition);
        case Qt::ToolTipRole:
            return QStringLiteral("%1: %2").arg(wordOf(row.standing), text(row.words));
        case Qt::AccessibleTextRole:
            return QStringLiteral("%1, %2, %3. %4")
                .arg(text(row.condition.name), factsOf(row.condition), wordOf(row.standing), text(row.words));
        default:
            return {};
    }
}

QString wordOf(studio::Standing standing) {
    switch (standing) {
        case studio::Standing::empty:
            return ConditionsModel::tr("nothing printed yet");
        case studio::Standing::unfinished:
            return ConditionsModel::tr("unfinished");
        case studio::Standing::neutral:
            return ConditionsModel::tr("neutral");
        case studio::Standing::outOfReach:
            return ConditionsModel::tr("out of reach");
        case studio::Standing::drifting:
            return ConditionsModel::tr("drifting");
    }
    return {};
}

void paintStanding(QPainter& painter, const QRectF& place, studio::Standing standing, const QColor& ink) {
    painter.save();
    painter.setRenderHint(QPainter::Antialiasing);
    const double side = std::min(place.width(), place.height());
    const QRectF square(place.center().x() - side / 2, place.center().y() - side / 2, side, side);
    painter.setPen(QPen(ink, side / 17));
    // A ramp in four steps is the body; what stands over it says how it came out.
    const double step = square.width() / 4;
    const auto body = [&](auto rise) {
        for (int i = 0; i < 4; ++i) {
            const double height = square.height() * (0.25 + 0.25 * rise(i));
            QColor fill = ink;
            fill.setAlphaF(0.15F + 0.25F * static_cast<float>(i));
            painter.fillRect(QRectF(square.left() + i * step, square.bottom() - height, step * 0.84, height),
                             fill);
        }
    };
    switch (standing) {
        case studio::Standing::empty:
            painter.setPen(QPen(ink, side / 20, Qt::DotLine));
            painter.drawRect(square.adjusted(2, 2, -2, -2));
            break;
        case studio::Standing::unfinished:
            for (int i = 0; i < 2; ++i) {
                const double height = square.height() * (0.25 + 0.25 * i);
                painter.fillRect(
                    QRectF(square.left() + i * step, square.bottom() - height, step * 0.84, height), ink);
            }
            painter.setPen(QPen(ink, side / 24, Qt::DotLine));
            for (int i = 2; i < 4; ++i) {
                const double height = square.height() * (0.25 + 0.25 * i);
                painter.drawRect(QRectF(square.left() + i * step + 1, square.bottom() - height + 1,
                                        step * 0.84 - 2, height - 2));
            }
            break;
        case studio::Standing::neutral: {
            body([](int i) { return static_cast<double>(i) * 0.5; });
            painter.setPen(QPen(ink, side / 9, Qt::SolidLine, Qt::RoundCap, Qt::RoundJoin));
            const QPointF hook[] = {square.topLeft() + QPointF(side * 0.08, side * 0.24),
                                    square.topLeft() + QPointF(side * 0.24, side * 0.40),
                                    square.topLeft() + QPointF(side * 0.56, side * 0.06)};
            painter.drawPolyline(hook, 3);
            break;
        }
        case studio::Standing::outOfReach: {
            body([](int i) { return static_cast<double>(i) * 0.3; });
            painter.setPen(QPen(ink, side / 11, Qt::SolidLine, Qt::RoundCap));
            painter.drawLine(square.topLeft() + QPointF(side * 0.06, side * 0.24),
                             square.topRight() + QPointF(-side * 0.06, side * 0.24));
            painter.drawLine(square.topLeft() + QPointF(side * 0.5, side * 0.02),
                             square.topLeft() + QPointF(side * 0.5, side * 0.24));
            break;
        }
        case studio::Standing::drifting: {
            body([](int i) { return i % 2 == 0 ? 0.4 : 1.0; });
            painter.setPen(QPen(ink, side / 11, Qt::SolidLine, Qt::RoundCap, Qt::RoundJoin));
            QPainterPath wave(square.topLeft() + QPointF(0, side * 0.3));
            wave.cubicTo(square.topLeft() + QPointF(side * 0.3, -side * 0.1),
                         square.topLeft() + QPointF(side * 0.6, side * 0.6),
                         square.topRight() + QPointF(0, side * 0.1));
            painter.drawPath(wave);
            break;
        }
    }
    painter.restore();
}

void ConditionDelegate::paint(QPainter* painter, const QStyleOptionViewItem& option,
                              const QModelIndex& index) const {
    QStyleOptionViewItem own = option;
    initStyleOption(&own, index);
    own.text.clear();
    const QStyle* style = own.widget ? own.widget->style() : QApplication::style();
    style->drawControl(QStyle::CE_ItemViewItem, &own, painter, own.widget);

    const bool isChosen = option.state.testFlag(QStyle::State_Selected);
    const QColor ink = option.palette.color(isChosen ? QPalette::HighlightedText : QPalette::Text);
    const QRect area = option.rect.adjusted(kPadding, kPadding, -kPadding, -kPadding);
    paintStanding(*painter, QRectF(area.left(), area.top() + 2, kPicture, kPicture),
                  static_cast<studio::Standing>(index.data(ConditionsModel::standingRole).toInt()), ink);
    painter->save();
    painter->setPen(ink);
    QRect line = area.adjusted(kPicture + kPadding, 0, 0, 0);
    const auto write = [&](const QString& words, double times, bool isBold) {
        painter->setFont(scaled(option.font, times, isBold));
        const QFontMetrics metrics = painter->fontMetrics();
        painter->drawText(QRect(line.left(), line.top(), line.width(), metrics.height()), Qt::AlignLeft,
                          metrics.elidedText(words, Qt::ElideRight, line.width()));
        line.setTop(line.top() + metrics.lineSpacing());
    };
    write(index.data(ConditionsModel::nameRole).toString(), 1.08, true);
    write(index.data(ConditionsModel::factsRole).toString(), 0.94, false);
    painter->drawText(line, Qt::AlignLeft | Qt::TextWordWrap,
                      index.data(ConditionsModel::wordsRole).toString());
    painter->restore();
}

QSize ConditionDelegate::sizeHint(const QStyleOptionViewItem& option, const QModelIndex& index) const {
    constexpr int kLeast = 200, kTall = 1000;
    const auto* view = qobject_cast<const QAbstractItemView*>(option.widget);
    const int width = std::max(kLeast, view != nullptr ? view->viewport()->width() : 0);
    const QFontMetrics small(scaled(option.font, 0.94, false));
    const QRect words = small.boundingRect(QRect(0, 0, width - kPicture - 3 * kPadding, kTall),
                                           Qt::AlignLeft | Qt::TextWordWrap,
                                           index.data(ConditionsModel::wordsRole).toString());
    const int lines = QFontMetrics(scaled(option.font, 1.08, true)).lineSpacing() + small.lineSpacing() +
                      std::max(words.height(), small.lineSpacing());
    return {kLeast, lines + 2 * kPadding};
}

TableModel::TableModel(QStringList columns, QObject* parent)
    : QAbstractTableModel(parent), columns_(std::move(columns)) {}

void TableModel::show(std::vector<Row> rows) {
    const bool isSameShape = std::ranges::equal(rows, rows_, {}, &Row::key, &Row::key);
    if (isSameShape && !rows.empty()) {
        rows_ = std::move(rows);
        Q_EMIT dataChanged(index(0, 0), index(rowCount() - 1, columnCount() - 1));
        return;
    }
    beginResetModel();
    rows_ = std::move(rows);
    endResetModel();
}

int TableModel::rowOf(double key) const {
    const auto found = std::ranges::find(rows_, key, &Row::key);
    return found == rows_.end() ? -1 : static_cast<int>(found - rows_.begin());
}

int TableModel::rowCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : static_cast<int>(rows_.size());
}

int TableModel::columnCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : static_cast<int>(columns_.size());
}

QVariant TableModel::data(const QModelIndex& index, int role) const {
    if (!checkIndex(index, CheckIndexOption::IndexIsValid)) return {};
    const Row& row = rows_[static_cast<std::size_t>(index.row())];
    if (role == Qt::ToolTipRole) return row.tip.isEmpty() ? QVariant() : row.tip;
    if (static_cast<std::size_t>(index.column()) >= row.cells.size()) return {};
    const Cell& cell = row.cells[static_cast<std::size_t>(index.column())];
    switch (role) {
        case Qt::DisplayRole:
            return cell.text;
        case Qt::TextAlignmentRole:
            return static_cast<int>((cell.isNumber ? Qt::AlignRight : Qt::AlignLeft) | Qt::AlignVCenter);
        case Qt::ForegroundRole:
            return cell.isFaint ? QVariant(QApplication::palette().brush(QPalette::PlaceholderText))
                                : QVariant();
        case Qt::FontRole: {
            if (!cell.isBold) return {};
            QFont font = QApplication::font();
            font.setBold(true);
            return font;
        }
        default:
            return {};
    }
}

QVariant TableModel::headerData(int section, Qt::Orientation orientation, int role) const {
    if (orientation != Qt::Horizontal || section < 0 || section >= columns_.size()) return {};
    if (role == Qt::DisplayRole) return columns_[section];
    const auto column = static_cast<std::size_t>(section);
    const bool isNumber =
        !rows_.empty() && column < rows_.front().cells.size() && rows_.front().cells[column].isNumber;
    if (role == Qt::TextAlignmentRole && isNumber) return static_cast<int>(Qt::AlignRight | Qt::AlignVCenter);
    return {};
}

QStringList columnsOfTrials() {
    return {TableModel::tr("Trial"),      TableModel::tr("Setting"),
            TableModel::tr("Also"),       TableModel::tr("Worst tint, ΔE00"),
            TableModel::tr("Read under"), TableModel::tr("When")};
}

std::vector<Row> rowsOfTrials(const std::vector<book::TrialRecord>& trials,
                              const std::map<int, double>& worst) {
    std::vector<Row> rows;
    for (const book::TrialRecord& trial : trials) {
        const bool isOut = trial.isWithdrawn();
        Row row{.key = static_cast<double>(trial.number)};
        row.cells.push_back({.text = QString::number(trial.number), .isNumber = true});
        row.cells.push_back({.text = textOf(trial.setting)});
        row.cells.push_back({.text = choicesOf(trial)});
        const auto found = worst.find(trial.number);
        row.cells.push_back(found == worst.end() ? Cell{.text = TableModel::tr("–"), .isNumber = true}
                                                 : numberCell(found->second, 2));
        QStringList read;
        for (const book::ReadingRecord& reading : trial.readings)
            read << (reading.conditionM.empty() ? TableModel::tr("not known") : text(reading.conditionM));
        row.cells.push_back({.text = isOut ? TableModel::tr("taken out") : read.join(QStringLiteral(", "))});
        row.cells.push_back({.text = dateOf(trial.when)});
        if (isOut) row.tip = TableModel::tr("Taken out: %1").arg(text(*trial.withdrawnBecause));
        for (Cell& cell : row.cells) cell.isFaint = isOut;
        rows.push_back(std::move(row));
    }
    std::ranges::reverse(rows);
    return rows;
}

QStringList columnsOfTones() {
    return {TableModel::tr("Tone, %"), QStringLiteral("L*"),     QStringLiteral("a*"),  QStringLiteral("b*"),
            TableModel::tr("aim a*"),  TableModel::tr("aim b*"), QStringLiteral("ΔE00")};
}

std::vector<Row> rowsOfTones(const std::vector<judge::PatchVerdict>& patches) {
    std::vector<Row> rows;
    for (const judge::PatchVerdict& patch : patches) {
        rows.push_back(
            {.cells = {numberCell(patch.tonePercent,
                                  std::abs(patch.tonePercent - std::round(patch.tonePercent)) < 0.05 ? 0 : 1),
                       numberCell(patch.lab.L, 2), numberCell(patch.lab.a, 2), numberCell(patch.lab.b, 2),
                       numberCell(patch.aim.a, 2), numberCell(patch.aim.b, 2), numberCell(patch.deltaE00, 2)},
             .key = patch.tonePercent});
    }
    return rows;
}

QStringList columnsOfHistory() {
    return {TableModel::tr("When"), TableModel::tr("What"), TableModel::tr("Detail")};
}

std::vector<Row> rowsOfHistory(const ConditionData::Records& records) {
    std::vector<Event> events{{records.condition.when, TableModel::tr("Condition entered"), {}}};
    for (const book::ConditionChangeRecord& change : records.changes)
        events.push_back({change.when, TableModel::tr("Put right how it was entered"), text(change.what)});
    for (const book::TrialRecord& trial : records.trials) {
        events.push_back(
            {trial.when, TableModel::tr("Trial %1 printed").arg(trial.number), textOf(trial.setting)});
        for (const book::ReadingRecord& reading : trial.readings)
            events.push_back(
                {reading.when, TableModel::tr("Trial %1 read").arg(trial.number), text(reading.fileName)});
        if (trial.isWithdrawn())
            events.push_back({trial.withdrawnWhen.value_or(trial.when),
                              TableModel::tr("Trial %1 taken out").arg(trial.number),
                              text(*trial.withdrawnBecause)});
    }
    for (const book::CorrectionRecord& one : records.corrections) {
        events.push_back({one.when, TableModel::tr("Correction %1 made").arg(one.number), text(one.aim)});
        if (one.withdrawnBecause)
            events.push_back({one.withdrawnWhen.value_or(one.when),
                              TableModel::tr("Correction %1 taken out of use").arg(one.number),
                              text(*one.withdrawnBecause)});
    }
    for (const book::SheetRecord& sheet : records.sheets)
        events.push_back(
            {sheet.when, TableModel::tr("Test sheet %1 made").arg(text(sheet.code)), text(sheet.setting)});
    for (const book::MadeFileRecord& file : records.files)
        events.push_back({file.when, TableModel::tr("File made (%1)").arg(text(file.kind)), text(file.file)});
    std::ranges::stable_sort(events, {}, &Event::when);
    std::vector<Row> rows;
    for (std::size_t i = events.size(); i-- > 0;) {
        rows.push_back({.cells = {{.text = dateOf(events[i].when)},
                                  {.text = events[i].what},
                                  {.text = events[i].detail}},
                        .key = static_cast<double>(i)});
    }
    return rows;
}

QStringList columnsOfCorrections() {
    return {TableModel::tr("Number"), TableModel::tr("Kind"), TableModel::tr("For"),
            TableModel::tr("Rests on trials"), TableModel::tr("When")};
}

std::vector<Row> rowsOfCorrections(const std::vector<book::CorrectionRecord>& corrections) {
    std::vector<Row> rows;
    for (const book::CorrectionRecord& one : corrections) {
        QStringList trials;
        for (const int trial : one.trials) trials << QString::number(trial);
        Row row{.cells = {{.text = QString::number(one.number), .isNumber = true},
                          {.text = one.kind == "curve" ? TableModel::tr("curve") : TableModel::tr("table")},
                          {.text = one.withdrawnBecause
                                       ? TableModel::tr("out of use: %1").arg(text(*one.withdrawnBecause))
                                       : text(one.aim)},
                          {.text = trials.join(QStringLiteral(", "))},
                          {.text = dateOf(one.when)}},
                .key = static_cast<double>(one.number)};
        for (Cell& cell : row.cells) cell.isFaint = one.withdrawnBecause.has_value();
        rows.push_back(std::move(row));
    }
    std::ranges::reverse(rows);
    return rows;
}

}  // namespace greywright::desktop
