#pragma once

#include <QString>

namespace greywright::desktop {

/// The measured sheet of a trial to come, 1 and up.
[[nodiscard]] QString workerSheet(const QString& folder, int trial);

/// Works in a window on the condition "chalk" of a book, without end: takes the next sheet in, takes it out
/// of the account, counts it again, now and then makes a curve. Says "begin" before each store, and what was
/// stored once the window shows it: "trial 3", "out 3", "in 3", "correction 1". Returns only when something
/// went wrong.
[[nodiscard]] int workUntilKilled(const QString& book, const QString& sheets);

}  // namespace greywright::desktop
