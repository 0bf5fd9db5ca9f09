#pragma once

#include <QImage>
#include <QWidget>

namespace greywright::desktop {

/// A picture as large as there is room for it, in its own proportions.
class PictureView : public QWidget {
    Q_OBJECT

  public:
    explicit PictureView(QWidget* parent = nullptr);

    void setPicture(const QImage& picture);
    /// What is said while there is no picture.
    void setWords(const QString& words);
    [[nodiscard]] const QImage& picture() const { return picture_; }
    [[nodiscard]] QSize sizeHint() const override { return {720, 480}; }

  protected:
    /// Where the picture lies in the widget.
    [[nodiscard]] QRectF shownIn() const;
    void paintEvent(QPaintEvent* event) override;

  private:
    QString words_;
    QImage picture_;
    QImage scaled_;  ///< for the size that was painted last
};

}  // namespace greywright::desktop
