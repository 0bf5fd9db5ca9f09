#pragma once

#include <QWidget>

class QTextBrowser;

namespace greywright::desktop {

/// A page of the guide, beside the window.
class GuideWindow : public QWidget {
    Q_OBJECT

  public:
    /// A file in Markdown.
    GuideWindow(const QString& page, QWidget* parent);
    [[nodiscard]] QTextBrowser& text() { return *text_; }

  private:
    QTextBrowser* text_;
};

}  // namespace greywright::desktop
