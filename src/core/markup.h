#pragma once

#include <string>
#include <string_view>

namespace greywright {

/// Text fit for the middle of an XML or HTML page or for an attribute. Control characters, which XML does not
/// allow, become blanks.
[[nodiscard]] std::string markupFromText(std::string_view text);

}  // namespace greywright
