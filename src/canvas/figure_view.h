#pragma once

#include <QPixmap>
#include <QString>
#include <QWidget>
#include <optional>
#include <string>
#include <vector>

#include "canvas/scene_painter.h"
#include "figure/scene.h"

namespace greywright::canvas {

/// What all figures on a screen share: a page laid out anew for the size of the widget and kept as a picture,
/// so that marks and read-outs move over it without laying out again; one line below it for what is under the
/// pointer; a rim when it has the keyboard; a name and a description for readers who cannot see it.
/// Colours follow the widget's palette, dark or light, unless setShades was called.
class FigureView : public QWidget {
    Q_OBJECT
  public:
    explicit FigureView(QWidget* parent = nullptr);

    /// Shows the figure in these colours from now on, whatever the palette is.
    void setShades(const Shades& shades);
    [[nodiscard]] Shades shades() const;

    /// What scene() says at its foot: where the figure comes from. Empty = nothing.
    void setSource(const QString& text);

    /// The figure as seen, marks and zoom included, with the source line, to be exported.
    [[nodiscard]] figure::Scene scene() const;

    /// What the line below the figure says: what is under the pointer, or at the mark.
    [[nodiscard]] QString readOut() const { return readOut_; }

    /// How often the figure was laid out so far.
    [[nodiscard]] int layouts() const { return layouts_; }

    [[nodiscard]] QSize sizeHint() const override;
    [[nodiscard]] QSize minimumSizeHint() const override;

  Q_SIGNALS:
    /// The read-out changed; empty when nothing is under the pointer.
    void hovered(const QString& text);

  protected:
    /// A size of the page. Units: pt.
    struct PageSize {
        double widthPt = 0;
        double heightPt = 0;
    };
    /// Lays the figure out for a page of this size and remembers what the hand needs; gives the page.
    virtual figure::Scene makePage(PageSize size) const = 0;
    [[nodiscard]] virtual PageSize wantedSize() const = 0;
    [[nodiscard]] virtual PageSize leastSize() const = 0;
    /// What belongs to the figure but moves over it, in its order.
    [[nodiscard]] virtual std::vector<figure::Primitive> marks() const { return {}; }
    /// What a hand can do, said where nothing is read.
    [[nodiscard]] virtual QString hint() const { return tr("Point at it to read values."); }
    /// What shows where the hand is and is never exported.
    [[nodiscard]] virtual std::vector<figure::Primitive> handMarks() const { return {}; }

    /// Another figure is shown from now on.
    void figureChanged();
    /// The same figure is to be laid out again when next needed.
    void pageChanged();
    void setReadOut(const QString& text);
    /// Lays out if the figure or the size changed since.
    void ensurePage() const;
    /// Between the widget's pixels and the page.
    [[nodiscard]] figure::Point toPage(QPointF at) const;
    [[nodiscard]] QPointF fromPage(figure::Point at) const;
    /// How many pixels a pt is where nothing has to be made smaller.
    [[nodiscard]] double screenPixelsPerPt() const;
    /// The widget's size for a page, the line below it included.
    [[nodiscard]] QSize pixelsFrom(PageSize size) const;

    void paintEvent(QPaintEvent* event) override;
    void changeEvent(QEvent* event) override;
    void resizeEvent(QResizeEvent* event) override;
    void focusInEvent(QFocusEvent* event) override;
    void focusOutEvent(QFocusEvent* event) override;

  private:
    [[nodiscard]] int readOutHeight() const;
    void ensurePicture();
    void describe();

    std::optional<Shades> ownShades_ = {};
    QString source_ = {};
    QString readOut_ = {};
    // The page of the last layout; mutable since looking at a figure may have to lay it out first.
    mutable bool stale_ = true;
    mutable figure::Scene page_ = {};
    mutable double pixelsPerPt_ = 1;
    mutable double leftPx_ = 0;
    mutable int layouts_ = 0;
    QPixmap picture_ = {};
    QSize wanted_ = {}, least_ = {};  ///< as the layout around was told
};

}  // namespace greywright::canvas
