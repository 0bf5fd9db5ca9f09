#include "tasks.h"

#include <algorithm>

namespace greywright::desktop {

Error errorFromMistake(const std::exception& mistake) {
    return {.code = "program-mistake",
            .what = std::string("the program made a mistake: ") + mistake.what(),
            .next = "Nothing was stored. Please report it with what you did before"};
}

Tasks::Tasks(QObject* parent) : QObject(parent) {
    // Long work on pictures must not hold up the page.
    pool_.setMaxThreadCount(std::max(4, pool_.maxThreadCount()));
}

Tasks::~Tasks() {
    stopAll();
    pool_.waitForDone();
}

std::vector<TaskPointer> Tasks::shown() const {
    std::vector<TaskPointer> out;
    std::ranges::copy_if(running_, std::back_inserter(out),
                         [](const TaskPointer& task) { return !task->title().isEmpty(); });
    return out;
}

void Tasks::stopAll() {
    for (const TaskPointer& task : running_) task->stop();
}

void Tasks::begin(const TaskPointer& task) {
    running_.push_back(task);
    Q_EMIT began();
}

void Tasks::end(const TaskPointer& task) {
    std::erase(running_, task);
    Q_EMIT ended();
}

}  // namespace greywright::desktop
