#pragma once

#include <QObject>
#include <QPointer>
#include <QString>
#include <QThreadPool>
#include <atomic>
#include <exception>
#include <functional>
#include <memory>
#include <utility>
#include <vector>

#include "core/platform.h"
#include "core/result.h"

namespace greywright::desktop {

/// One piece of work beside the window: how far it is, and whether it is to stop. Thread: any.
class Task {
  public:
    explicit Task(QString title) : title_(std::move(title)) {}

    /// What the studio's functions ask while they work: takes the share done, 0..1, and says whether to go
    /// on.
    [[nodiscard]] bool goOn(double share) {
        share_.store(share);
        return !stopped_.load();
    }
    void stop() { stopped_.store(true); }
    [[nodiscard]] bool isStopped() const { return stopped_.load(); }
    [[nodiscard]] double share() const { return share_.load(); }
    /// For people; empty for work that nobody needs to know of.
    [[nodiscard]] const QString& title() const { return title_; }

  private:
    QString title_;
    std::atomic<double> share_{0};
    std::atomic<bool> stopped_{false};
};

using TaskPointer = std::shared_ptr<Task>;

/// What went wrong in a program's own code, as an error that a window can show.
[[nodiscard]] Error errorFromMistake(const std::exception& mistake);

/// Runs work beside the window and hands its result back to it.
class Tasks : public QObject {
    Q_OBJECT

  public:
    explicit Tasks(QObject* parent = nullptr);
    /// Asks all work to stop and waits for it.
    ~Tasks() override;

    /// Runs `work` on another thread and then `then` with its result on this one, unless `receiver` is gone.
    /// Exceptions of the work come back as errors.
    /// Shape: work(Task&) gives a Result<T>; then(Result<T>) takes it.
    template <typename Work, typename Then>
    TaskPointer run(const QString& title, QObject* receiver, Work work, Then then) {
        auto task = std::make_shared<Task>(title);
        begin(task);
        pool_.start([this, task, receiver = QPointer(receiver), work = std::move(work),
                     then = std::move(then)]() mutable {
            auto result = std::make_shared<decltype(work(*task))>(attempted(work, *task));
            const auto deliver = [this, task, receiver, then = std::move(then), result]() mutable {
                end(task);
                if (receiver) then(std::move(*result));
            };
            QMetaObject::invokeMethod(this, std::move(deliver), Qt::QueuedConnection);
        });
        return task;
    }

    /// Work with a title that is going on, the oldest first.
    [[nodiscard]] std::vector<TaskPointer> shown() const;
    [[nodiscard]] bool isIdle() const { return running_.empty(); }
    void stopAll();

  Q_SIGNALS:
    void began();
    void ended();

  private:
    template <typename Work>
    static auto attempted(Work& work, Task& task) -> decltype(work(task)) {
        platform::giveWayToOthers();  // to the window
        try {
            return work(task);
        } catch (const std::exception& mistake) {
            return errorFromMistake(mistake);
        }
    }

    void begin(const TaskPointer& task);
    void end(const TaskPointer& task);

    std::vector<TaskPointer> running_;
    QThreadPool pool_;
};

}  // namespace greywright::desktop
