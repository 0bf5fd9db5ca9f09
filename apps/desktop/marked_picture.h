#pragma once

#include <QImage>
#include <QWidget>
#include <array>

namespace greywright::desktop {

/// A picture in which two places are marked: drawn with the mouse, or moved and sized with the arrow keys.
/// Each has a line of its own and its name beside it.
class MarkedPicture : public QWidget {
    Q_OBJECT

  public:
    /// The names of the two places, for people.
    explicit MarkedPicture(const std::array<QString, 2>& names, QWidget* parent = nullptr);

    /// Shows another picture of the same view; marks stay.
    void setPicture(const QImage& picture);
    /// Which of the two is drawn next, 0 or 1.
    void setActive(int mark);
    [[nodiscard]] int active() const { return active_; }
    /// Units: shares of the picture's width and height. Null while it is not marked.
    [[nodiscard]] QRectF mark(int which) const { return marks_[static_cast<std::size_t>(which)]; }
    void setMark(int which, const QRectF& place);
    [[nodiscard]] QSize sizeHint() const override { return {720, 480}; }

  Q_SIGNALS:
    /// A place was drawn in one go, or moved by a step.
    void drawn(int which);
    void moved(int which);

  protected:
    void paintEvent(QPaintEvent* event) override;
    void mousePressEvent(QMouseEvent* event) override;
    void mouseMoveEvent(QMouseEvent* event) override;
    void mouseReleaseEvent(QMouseEvent* event) override;
    void keyPressEvent(QKeyEvent* event) override;

  private:
    /// Where the picture lies in the widget.
    [[nodiscard]] QRectF shownIn() const;
    [[nodiscard]] QPointF shareAt(const QPointF& point) const;

    std::array<QString, 2> names_;
    std::array<QRectF, 2> marks_ = {};
    QImage picture_;
    int active_ = 0;
    bool isDrawing_ = false;
    QPointF from_;
};

}  // namespace greywright::desktop
