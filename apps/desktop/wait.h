#pragma once

#include <functional>

namespace greywright::desktop {

/// Lets the window work until something is so: for the program driving itself. False after two minutes.
[[nodiscard]] bool waitFor(const std::function<bool()>& isSo);

}  // namespace greywright::desktop
