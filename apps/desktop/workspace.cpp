#include "workspace.h"

#include <QFileInfo>
#include <algorithm>

#include "book/book.h"
#include "core/platform.h"
#include "text.h"

namespace greywright::desktop {
namespace {

constexpr int kSettleMs = 400;

using Overview = Result<std::vector<studio::ConditionOverview>>;

bool isSame(const std::vector<studio::ConditionOverview>& one,
            const std::vector<studio::ConditionOverview>& other) {
    return std::ranges::equal(one, other, [](const auto& a, const auto& b) {
        return a.condition == b.condition && a.standing == b.standing && a.words == b.words &&
               a.trials == b.trials;
    });
}

}  // namespace

Workspace::Workspace(Tasks& tasks, QObject* parent) : QObject(parent), tasks_(tasks) {
    settle_.setSingleShot(true);
    settle_.setInterval(kSettleMs);
    connect(&settle_, &QTimer::timeout, this, [this] {
        watch();
        if (!isOpen()) return;
        const bool isMissing = !QFileInfo::exists(path_);
        if (isMissing && !wasMissing_) {
            Q_EMIT failed(
                tr("The book is gone"),
                {.kind = ErrorKind::badInput,
                 .code = "book-gone",
                 .what = tr("the file was moved or deleted by another program").toStdString(),
                 .where = {.path = path_.toStdString()},
                 .next = tr("Put it back where it was, or open it where it is now; what this window "
                            "shows is not in any file")
                             .toStdString()});
        }
        wasMissing_ = isMissing;
        if (isMissing) return;
        refresh();
        Q_EMIT touched();
    });
    connect(&watcher_, &QFileSystemWatcher::fileChanged, &settle_, qOverload<>(&QTimer::start));
    connect(&watcher_, &QFileSystemWatcher::directoryChanged, this, [this] {
        // Of the folder only this matters: the book went, or came back.
        if (isOpen() && QFileInfo::exists(path_) == wasMissing_) settle_.start();
    });
}

void Workspace::open(const QString& path) {
    tasks_.run(
        QString(), this,
        [path](Task&) -> Overview {
            const auto book = book::Book::open(path.toStdString(), book::OpenMode::readOnly);
            if (!book) return book.error();
            return studio::Studio(path.toStdString()).overview();
        },
        [this, path](Overview found) { take(path, std::move(found)); });
}

void Workspace::start(const QString& path) {
    tasks_.run(
        QString(), this,
        [path](Task&) -> Overview {
            if (QFileInfo::exists(path)) {
                return Error{.kind = ErrorKind::wrongUse,
                             .code = "output-exists",
                             .what = tr("there is a file of this name already").toStdString(),
                             .where = {.path = path.toStdString()},
                             .next = tr("Choose another name, or open that book").toStdString()};
            }
            const auto book = book::Book::open(path.toStdString(), book::OpenMode::readWrite);
            if (!book) return book.error();
            return std::vector<studio::ConditionOverview>{};
        },
        [this, path](Overview found) { take(path, std::move(found)); });
}

void Workspace::take(const QString& path, Overview found) {
    if (!found) {
        Q_EMIT failed(tr("The book cannot be opened"), found.error());
        return;
    }
    path_ = path;
    conditions_ = *std::move(found);
    wasMissing_ = false;
    undo_.clear();
    watch();
    Q_EMIT opened();
    Q_EMIT changed();
}

void Workspace::close() {
    path_.clear();
    conditions_.clear();
    undo_.clear();
    watch();
    Q_EMIT closed();
}

const studio::ConditionOverview* Workspace::condition(const QString& name) const {
    const auto found =
        std::ranges::find(conditions_, name.toStdString(),
                          [](const studio::ConditionOverview& one) { return one.condition.name; });
    return found == conditions_.end() ? nullptr : &*found;
}

void Workspace::refresh() {
    if (!isOpen()) return;
    if (looking_) {
        lookAgain_ = true;
        return;
    }
    looking_ = tasks_.run(
        QString(), this, [studio = studio()](Task&) { return studio.overview(); },
        [this, path = path_](Overview found) {
            looking_.reset();
            if (std::exchange(lookAgain_, false)) refresh();
            if (path != path_) return;
            if (!found) {
                Q_EMIT failed(tr("The book cannot be read"), found.error());
                return;
            }
            if (!std::exchange(isToTell_, false) && isSame(*found, conditions_)) return;
            conditions_ = *std::move(found);
            Q_EMIT changed();
        });
}

void Workspace::refreshAndTell() {
    isToTell_ = true;
    refresh();
}

void Workspace::change(const QString& what, std::function<Outcome(const studio::Studio&)> change,
                       std::function<void()> then) {
    tasks_.run(
        QString(), this, [studio = studio(), change = std::move(change)](Task&) { return change(studio); },
        [this, what, then = std::move(then)](const Outcome& done) {
            if (!done) {
                Q_EMIT failed(what, done.error());
                return;
            }
            refresh();
            if (then) then();
            Q_EMIT touched();
        });
}

void Workspace::takeOut(const QString& condition, int trial, const QString& reason) {
    change(tr("The trial was not taken out"),
           [name = text(condition), trial, why = text(reason)](const studio::Studio& studio) {
               return studio.withdraw(name, trial, why, platform::utcNow());
           });
}

void Workspace::countAgain(const QString& condition, int trial) {
    change(tr("The trial does not count again"),
           [name = text(condition), trial](const studio::Studio& studio) {
               return studio.restore(name, trial);
           });
}

void Workspace::watch() {
    if (!watcher_.files().isEmpty()) watcher_.removePaths(watcher_.files());
    if (!watcher_.directories().isEmpty()) watcher_.removePaths(watcher_.directories());
    if (!isOpen()) return;
    watcher_.addPath(QFileInfo(path_).absolutePath());
    if (QFileInfo::exists(path_)) watcher_.addPath(path_);
}

}  // namespace greywright::desktop
