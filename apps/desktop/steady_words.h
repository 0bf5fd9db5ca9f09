#pragma once

#include <QWidget>

namespace greywright::desktop {

/// Words that change while a hand moves something. Room is kept for so many lines, and for more once a text
/// needed them, so that nothing around them moves and nothing has to be laid out again. They can be copied.
class SteadyWords : public QWidget {
    Q_OBJECT

  public:
    explicit SteadyWords(int lines, QWidget* parent = nullptr);

    void setText(const QString& text);
    [[nodiscard]] const QString& text() const { return text_; }
    [[nodiscard]] QSize sizeHint() const override;
    [[nodiscard]] QSize minimumSizeHint() const override;

  protected:
    void paintEvent(QPaintEvent* event) override;
    void resizeEvent(QResizeEvent* event) override;

  private:
    void makeRoom();

    int least_, lines_;
    QString text_;
};

}  // namespace greywright::desktop
