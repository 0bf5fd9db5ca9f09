#pragma once

#include <QWidget>

#include "sheet/sheet.h"
#include "studio/sheets.h"

namespace greywright::desktop {

/// The first page of a sheet as it will be printed, small.
class SheetPreview : public QWidget {
    Q_OBJECT

  public:
    explicit SheetPreview(QWidget* parent = nullptr);
    void show(const studio::Design& design);
    /// Shows what is wrong in place of a sheet.
    void tell(const Error& error);
    /// What is wrong with the design; empty where nothing is.
    [[nodiscard]] const QString& problem() const { return problem_; }

  protected:
    void paintEvent(QPaintEvent* event) override;

  private:
    std::optional<sheet::Sheet> sheet_;
    QString problem_;
};

}  // namespace greywright::desktop
