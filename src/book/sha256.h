#pragma once

#include <string>
#include <string_view>

namespace greywright::book {

/// The SHA-256 digest of `bytes` as 64 lower-case hexadecimal digits.
/// Source: FIPS 180-4 (2015), sections 4.1.2, 4.2.2, 5.1.1, 5.3.3 and 6.2.
[[nodiscard]] std::string sha256(std::string_view bytes);

}  // namespace greywright::book
