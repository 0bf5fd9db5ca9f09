#pragma once

#include <array>

#include "picture_view.h"

namespace greywright::desktop {

/// A picture in which two places are marked: drawn with the mouse, or moved and sized with the arrow keys.
/// Each has a line of its own and its name beside it. Marks stay when another picture of the same view is
/// shown.
class MarkedPicture : public PictureView {
    Q_OBJECT

  public:
    /// The names of the two places, for people.
    explicit MarkedPicture(const std::array<QString, 2>& names, QWidget* parent = nullptr);

    /// Which of the two is drawn next, 0 or 1.
    void setActive(int mark);
    [[nodiscard]] int active() const { return active_; }
    /// Units: shares of the picture's width and height. Null while it is not marked.
    [[nodiscard]] QRectF mark(int which) const { return marks_[static_cast<std::size_t>(which)]; }
    void setMark(int which, const QRectF& place);

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
    [[nodiscard]] QPointF shareAt(const QPointF& point) const;

    std::array<QString, 2> names_;
    std::array<QRectF, 2> marks_ = {};
    int active_ = 0;
    bool isDrawing_ = false;
    QPointF from_;
};

}  // namespace greywright::desktop
