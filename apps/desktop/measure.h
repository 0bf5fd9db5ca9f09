#pragma once

#include <chrono>

namespace greywright::desktop {

/// Makes a book of a condition with 30 trials of 51 spectral patches, and one of 5,000 trials, in a temporary
/// folder, works in them as a hand would, and prints how long things took. 0 when all went as it should.
/// `started`: when the process began.
[[nodiscard]] int measure(std::chrono::steady_clock::time_point started);

}  // namespace greywright::desktop
