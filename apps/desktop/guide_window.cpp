#include "guide_window.h"

#include <QImage>
#include <QShortcut>
#include <QTextBlock>
#include <QTextBrowser>
#include <QTextDocument>
#include <QUrl>
#include <QVBoxLayout>

namespace greywright::desktop {
namespace {

/// Pictures as wide as the page and no wider.
class Pages : public QTextBrowser {
  public:
    using QTextBrowser::QTextBrowser;

  protected:
    QVariant loadResource(int type, const QUrl& name) override {
        QVariant found = QTextBrowser::loadResource(type, name);
        if (type != QTextDocument::ImageResource) return found;
        const QImage picture(source().resolved(name).toLocalFile());
        const int widest = viewport()->width() - 2 * static_cast<int>(document()->documentMargin());
        if (picture.width() <= widest || widest < 1) return picture;
        return picture.scaledToWidth(widest, Qt::SmoothTransformation);
    }
};

}  // namespace

GuideWindow::GuideWindow(const QString& page, QWidget* parent)
    : QWidget(parent, Qt::Window), text_(new Pages(this)) {
    setAttribute(Qt::WA_DeleteOnClose);
    for (const auto& keys : {QKeySequence(Qt::Key_Escape), QKeySequence(QKeySequence::Close)})
        connect(new QShortcut(keys, this), &QShortcut::activated, this, &QWidget::close);
    resize(860, 900);
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->addWidget(text_);
    text_->setOpenExternalLinks(false);
    text_->setFrameShape(QFrame::NoFrame);
    text_->setVerticalScrollBarPolicy(Qt::ScrollBarAlwaysOn);  // pictures are as wide as what it leaves
    text_->document()->setDocumentMargin(28);
    ensurePolished();
    text_->resize(size());
    connect(text_, &QTextBrowser::sourceChanged, this, [this] {
        const QString title = text_->document()->firstBlock().text();
        setWindowTitle(title);
        text_->setAccessibleName(title);
    });
    text_->setSource(QUrl::fromLocalFile(page), QTextDocument::MarkdownResource);
}

}  // namespace greywright::desktop
