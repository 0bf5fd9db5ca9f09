#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "judge/judge.h"

namespace greywright::judge {

/// A judged ramp and what to call it, e.g. the driver's choices it was printed with.
struct Candidate {
    std::string name = {};
    Verdict verdict = {};
};

/// Ramps side by side.
struct Comparison {
    std::vector<std::size_t> mostEven = {};       ///< all that cannot be told from the best, the best first
    std::vector<std::size_t> notComparable = {};  ///< without paper, black or enough tones between
    std::string words = {};

    /// The one to prefer, only where it can be told from all others.
    [[nodiscard]] std::optional<std::size_t> preferred() const;
};

/// Which of several ramps has the most even tone. One that runs backwards somewhere loses to any that does
/// not; else the departure from the straight line decides, and only by as much as the eye can tell.
/// Shape: indices into `candidates`, which may be empty.
[[nodiscard]] Comparison compareTone(std::span<const Candidate> candidates);

}  // namespace greywright::judge
