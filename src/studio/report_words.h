#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "colour/aim.h"
#include "steer/steer.h"

/// The standing texts of a report.
namespace greywright::studio {

/// "the paper's tint fading into neutral towards black".
[[nodiscard]] std::string_view wordsOfAim(colour::TintAimKind aim);

/// What the setting in question is: "Print next", "Settled at" or "Nearest there is".
[[nodiscard]] std::string_view wordsOfStatus(const steer::Summary& summary);

/// How the figures come about.
[[nodiscard]] std::vector<std::string> methodParagraphs();

/// What the method rests on.
[[nodiscard]] std::span<const std::string_view> methodSources();

}  // namespace greywright::studio
