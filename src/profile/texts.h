#pragma once

// Private to the module.

#include <optional>
#include <string>
#include <string_view>

#include "profile/profile.h"

namespace greywright::profile {

/// UTF-16 of UTF-8; nothing where it is none or holds a control character.
[[nodiscard]] std::optional<std::u16string> utf16From(std::string_view utf8);

/// The same in seven bits: the copyright sign as "(c)", every other character beyond as '?'.
[[nodiscard]] std::string asciiFrom(std::u16string_view text);

/// A textDescriptionType of version 2, with the text in ASCII and, where that says less, in Unicode. Written
/// here because lcms2 cuts each character of the ASCII part down to its low byte. Source:
/// ICC.1:2001-04, 6.5.17.
[[nodiscard]] std::string textDescription(std::u16string_view text);

/// What is wrong with a description, if anything. Errors: those of greyProfile() that concern it.
[[nodiscard]] std::optional<Error> flawOf(const Description& description);

}  // namespace greywright::profile
