#pragma once

#include <QTableView>
#include <QWidget>

#include "canvas/figure_view.h"
#include "core/result.h"

class QBoxLayout;
class QLabel;
class QPushButton;
class QVBoxLayout;

namespace greywright::desktop {

class TableModel;

/// One part of a condition's page: a heading and what belongs under it.
class Section : public QWidget {
    Q_OBJECT

  public:
    explicit Section(const QString& title, QWidget* parent = nullptr);

  Q_SIGNALS:
    void failed(const QString& what, const greywright::Error& error);
    void said(const QString& what);

  protected:
    [[nodiscard]] QVBoxLayout& column() { return *column_; }
    [[nodiscard]] QLabel& title() { return *title_; }

  private:
    QLabel* title_;
    QVBoxLayout* column_;
};

/// Places its parts beside each other where there is room for it, else one below the other.
class Flow : public QWidget {
    Q_OBJECT

  public:
    explicit Flow(int leastWidth, QWidget* parent = nullptr);
    void add(QWidget* part, int stretch = 1);
    [[nodiscard]] QSize minimumSizeHint() const override;

  protected:
    void resizeEvent(QResizeEvent* event) override;

  private:
    int leastWidth_;
    QBoxLayout* box_;
};

/// A figure with the buttons that copy and save it.
class FigureFrame : public QWidget {
    Q_OBJECT

  public:
    /// `view` becomes a child. `name` is proposed for files.
    FigureFrame(canvas::FigureView* view, const QString& name, QWidget* parent = nullptr);

  Q_SIGNALS:
    void failed(const QString& what, const greywright::Error& error);
    void said(const QString& what);

  private:
    void save();

    canvas::FigureView* view_;
    QString name_;
};

/// A table as tall as its rows, up to `mostRows`; the keyboard leaves it by Tab.
class RowsView : public QTableView {
    Q_OBJECT

  public:
    RowsView(TableModel* rows, int mostRows, QWidget* parent = nullptr);

    [[nodiscard]] QSize sizeHint() const override;
    [[nodiscard]] QSize minimumSizeHint() const override { return sizeHint(); }
    void choose(int row);

  Q_SIGNALS:
    /// A row was chosen by hand or key.
    void chosen(int row);

  protected:
    void currentChanged(const QModelIndex& current, const QModelIndex& previous) override;
    void resizeEvent(QResizeEvent* event) override;

  private:
    /// Makes columns as wide as their words, and no narrower than `least`.
    void fit(const std::vector<int>& least);

    int mostRows_;
    bool isChoosing_ = false;
    bool isTooNarrow_ = false;  ///< for its columns
    QSize fitted_;              ///< as the layout around was told
};

/// A button that says what it does and is found by its name.
[[nodiscard]] QPushButton* button(QWidget* parent, const QString& text, const char* name);

}  // namespace greywright::desktop
