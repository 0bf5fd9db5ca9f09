#include "form_dialog.h"

#include <QCheckBox>
#include <QComboBox>
#include <QDialogButtonBox>
#include <QDoubleSpinBox>
#include <QFileDialog>
#include <QFormLayout>
#include <QLabel>
#include <QLineEdit>
#include <QProgressBar>
#include <QPushButton>
#include <QToolButton>
#include <QVBoxLayout>
#include <cmath>

#include "text.h"

namespace greywright::desktop {

namespace {

constexpr int kColumnWidth = 520;
constexpr int kSecondColumnWidth = 420;
constexpr int kBetweenColumns = 16;

}  // namespace

PathEdit::PathEdit(Kind kind, const QString& title, const QString& filter, QWidget* parent)
    : QWidget(parent), line_(new QLineEdit(this)) {
    auto* row = new QHBoxLayout(this);
    row->setContentsMargins(0, 0, 0, 0);
    row->addWidget(line_, 1);
    auto* look = new QPushButton(tr("Choose…"), this);
    look->setAccessibleName(tr("Choose: %1").arg(title));
    row->addWidget(look);
    setFocusProxy(line_);
    line_->setAccessibleName(title);
    connect(look, &QPushButton::clicked, this, [this, kind, title, filter] {
        QString chosen;
        if (kind == Kind::open) chosen = QFileDialog::getOpenFileName(this, title, line_->text(), filter);
        if (kind == Kind::save)
            chosen = QFileDialog::getSaveFileName(this, title, line_->text(), filter, nullptr,
                                                  QFileDialog::DontConfirmOverwrite);
        if (kind == Kind::folder) chosen = QFileDialog::getExistingDirectory(this, title, line_->text());
        if (!chosen.isEmpty()) line_->setText(chosen);
    });
}

QString PathEdit::path() const {
    return line_->text().trimmed();
}

void PathEdit::setPath(const QString& path) {
    line_->setText(path);
}

QToolButton* moreButton(QWidget* what, Qt::ArrowType shown, QWidget* parent) {
    auto* button = new QToolButton(parent);
    button->setText(FormDialog::tr("More ch&oices"));
    button->setObjectName(QStringLiteral("more"));
    button->setCheckable(true);
    button->setArrowType(Qt::RightArrow);
    button->setToolButtonStyle(Qt::ToolButtonTextBesideIcon);
    button->setAutoRaise(true);
    what->hide();
    QObject::connect(button, &QToolButton::toggled, what, [button, what, shown](bool isOpen) {
        button->setArrowType(isOpen ? shown : Qt::RightArrow);
        what->setVisible(isOpen);
    });
    return button;
}

FormDialog::FormDialog(const QString& title, const QString& doIt, QWidget* parent)
    : QDialog(parent),
      column_(new QVBoxLayout(this)),
      columns_(new QHBoxLayout),
      form_(new QFormLayout),
      complaint_(headingLabel(this, {}, 1)),
      cancelWords_(tr("Cancel")) {
    setWindowTitle(title);
    setWindowModality(Qt::WindowModal);
    setAttribute(Qt::WA_DeleteOnClose);
    setMinimumWidth(kColumnWidth);
    column_->addLayout(columns_);
    columns_->addLayout(form_, 1);
    styleForm();
    complaint_->hide();
    complaint_->setObjectName(QStringLiteral("complaint"));
    column_->addStretch(1);
    column_->addWidget(complaint_);
    auto* buttons = new QDialogButtonBox(this);
    doIt_ = buttons->addButton(doIt, QDialogButtonBox::AcceptRole);
    doIt_->setObjectName(QStringLiteral("doIt"));
    doIt_->setDefault(true);
    cancel_ = buttons->addButton(cancelWords_, QDialogButtonBox::RejectRole);
    cancel_->setObjectName(QStringLiteral("cancel"));
    progress_ = new QProgressBar(this);
    progress_->setRange(0, 1000);
    progress_->setAccessibleName(title);
    progress_->hide();
    column_->addWidget(progress_);
    column_->addWidget(buttons);
    constexpr int kLookEveryMs = 100;
    look_.setInterval(kLookEveryMs);
    connect(&look_, &QTimer::timeout, this,
            [this] { progress_->setValue(static_cast<int>(std::lround(work_->share() * 1000))); });
    connect(buttons, &QDialogButtonBox::accepted, this, [this] {
        complaint_->hide();
        if (answer_) answer_();
    });
    connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
}

// Words that break into more lines where it is narrow are not counted in the size that Qt proposes.
void FormDialog::resizeEvent(QResizeEvent* event) {
    QDialog::resizeEvent(event);
    fit();
}

void FormDialog::fit() {
    setMinimumHeight(column_->totalHeightForWidth(width()));
}

void FormDialog::styleForm() {
    form_->setFieldGrowthPolicy(QFormLayout::ExpandingFieldsGrow);
    form_->setRowWrapPolicy(QFormLayout::WrapLongRows);
}

void FormDialog::more() {
    more_ = new QWidget(this);
    QToolButton* button = moreButton(more_, Qt::LeftArrow, this);
    form_->addRow(button);
    form_ = new QFormLayout(more_);
    form_->setContentsMargins(kBetweenColumns, 0, 0, 0);
    styleForm();
    columns_->addWidget(more_, 1);
    connect(button, &QToolButton::toggled, this, [this](bool isOpen) {
        setMinimumWidth(kColumnWidth + (isOpen ? kSecondColumnWidth : 0));
        if (!isOpen) resize(kColumnWidth, height());
        fit();
    });
}

void FormDialog::setApplies(QWidget* field, bool applies) {
    for (QFormLayout* form : findChildren<QFormLayout*>()) {
        int row = -1;
        QFormLayout::ItemRole role = QFormLayout::FieldRole;
        form->getWidgetPosition(field, &row, &role);
        if (row >= 0) form->setRowVisible(row, applies);
    }
}

void FormDialog::showEvent(QShowEvent* event) {
    QDialog::showEvent(event);
    // Return gives the answer, wherever the focus is, and never calls it off.
    for (QPushButton* one : findChildren<QPushButton*>()) one->setAutoDefault(false);
    if (first_ != nullptr) first_->setFocus();
}

void FormDialog::words(const QString& text) {
    form_->addRow(wordsLabel(this, text));
}

void FormDialog::field(const QString& label, QWidget* widget, const char* name) {
    widget->setObjectName(QString::fromLatin1(name));
    widget->setAccessibleName(QString(label).remove(QLatin1Char('&')));
    if (first_ == nullptr) first_ = widget;
    form_->addRow(label, widget);
}

void FormDialog::widget(QWidget* widget) {
    form_->addRow(widget);
}

QLineEdit* FormDialog::line(const QString& label, const QString& text, const char* name) {
    auto* out = new QLineEdit(text, this);
    field(label, out, name);
    return out;
}

QDoubleSpinBox* FormDialog::number(const QString& label, double value, double lowest, double highest,
                                   double step, int digits, const char* name) {
    auto* out = new QDoubleSpinBox(this);
    out->setDecimals(digits);
    out->setRange(lowest, highest);
    out->setSingleStep(step);
    out->setValue(value);
    field(label, out, name);
    return out;
}

QComboBox* FormDialog::choice(const QString& label, const std::vector<std::pair<QString, QVariant>>& items,
                              const char* name) {
    auto* out = new QComboBox(this);
    for (const auto& [text, value] : items) out->addItem(text, value);
    field(label, out, name);
    return out;
}

QCheckBox* FormDialog::tick(const QString& label, bool on, const char* name) {
    auto* out = new QCheckBox(label, this);
    out->setChecked(on);
    out->setObjectName(QString::fromLatin1(name));
    form_->addRow(QString(), out);
    return out;
}

PathEdit* FormDialog::path(const QString& label, PathEdit::Kind kind, const QString& filter,
                           const char* name) {
    auto* out = new PathEdit(kind, QString(label).remove(QLatin1Char('&')), filter, this);
    field(label, out, name);
    return out;
}

void FormDialog::complain(const Error& error) {
    setBusy(false);
    if (focusWidget() == cancel_) doIt_->setFocus();  // it went there while the other rested
    complaint_->setText(textOf(error));
    complaint_->show();
    fit();
}

void FormDialog::forgive() {
    complaint_->hide();
    fit();
}

QString FormDialog::complaint() const {
    return complaint_->isHidden() ? QString() : complaint_->text();
}

void FormDialog::setBusy(bool isBusy) {
    doIt_->setEnabled(!isBusy);
    cancel_->setText(isBusy ? tr("Stop") : cancelWords_);
    if (isBusy) {
        complaint_->hide();
        return;
    }
    look_.stop();
    progress_->hide();
    work_.reset();
}

void FormDialog::stayOpen() {
    cancelWords_ = tr("Close");
    cancel_->setText(cancelWords_);
}

void FormDialog::follow(TaskPointer work) {
    work_ = std::move(work);
    progress_->setValue(0);
    progress_->show();
    fit();
    look_.start();
}

}  // namespace greywright::desktop
