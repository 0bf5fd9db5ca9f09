#pragma once

#include <QPointer>
#include <memory>
#include <utility>

#include "form_dialog.h"
#include "jobs.h"
#include "text.h"

/// For the sources of Jobs alone.
namespace greywright::desktop {

/// Something that the answer needs and does not have.
[[nodiscard]] inline Error missing(const QString& what, const QString& next) {
    return {.kind = ErrorKind::wrongUse, .code = "field-missing", .what = text(what), .next = text(next)};
}

/// What a user called something, as a file's name.
[[nodiscard]] QString fileNameOf(const QString& words);

template <typename Work, typename Then>
void Jobs::answer(FormDialog* dialog, const QString& title, Work work, Then then) {
    dialog->setBusy(true);
    const QPointer<FormDialog> shown(dialog);
    const auto stop = std::make_shared<TaskPointer>();
    *stop = workspace_.tasks().run(title, this, std::move(work),
                                   [this, shown, then = std::move(then)](auto result) mutable {
                                       if (result) {
                                           if (shown) shown->accept();
                                           workspace_.refresh();
                                           Q_EMIT workspace_.touched();
                                           then(*std::move(result));
                                           return;
                                       }
                                       if (shown) {
                                           Error told = result.error();
                                           // Which book it is needs no word here.
                                           if (told.where.path == text(workspace_.path()))
                                               told.where.path.clear();
                                           shown->complain(told);
                                       } else if (result.error().code != "stopped") {
                                           Q_EMIT failed(tr("It was not done"), result.error());
                                       }
                                   });
    dialog->follow(*stop);
    connect(dialog, &QDialog::rejected, this, [stop] { (*stop)->stop(); });
}

}  // namespace greywright::desktop
