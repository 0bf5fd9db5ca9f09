#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "colour/light.h"

/// The measured lamps of data/measured_lamps.csv. Private to this module: ask light.h.
namespace greywright::colour {

/// Their names, lower case, in the order of the table.
[[nodiscard]] std::vector<std::string> lampNames();

/// One of them, or nothing. Valid: `name` in lower case.
[[nodiscard]] std::optional<Light> lampByName(std::string_view name);

}  // namespace greywright::colour
