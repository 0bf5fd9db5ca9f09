#pragma once

#include <QWidget>

#include "preferences.h"

class QVBoxLayout;

namespace greywright::desktop {

/// What is offered without a book: start one, open one, or look around in the invented studio.
class StartPage : public QWidget {
    Q_OBJECT

  public:
    explicit StartPage(QWidget* parent = nullptr);
    void showBooks(const QStringList& books);

  Q_SIGNALS:
    void startWanted();
    void openWanted();
    void inventedWanted();
    void bookWanted(const QString& path);

  private:
    QVBoxLayout* books_;
    QWidget* lately_;
};

}  // namespace greywright::desktop
