#pragma once

#include <cstddef>
#include <functional>

namespace greywright {

/// Calls `work` once for each index below `count`, on up to `threads` threads (0 = as many as the machine
/// has), in any order, and returns when all are done. What `work` throws is thrown here, after the others
/// have ended. When `goOn` returns false no further index is begun, and false is returned; it is asked on the
/// caller's thread with the number of those done.
[[nodiscard]] bool inParallel(std::size_t count, std::size_t threads,
                              const std::function<void(std::size_t)>& work,
                              const std::function<bool(std::size_t)>& goOn = {});

}  // namespace greywright
