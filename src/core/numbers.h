#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace greywright {

/// The number that the whole of `text` spells with a decimal point, whatever the user's locale; nothing
/// for anything else (blank, trailing letters, a comma, nan, inf, out of range). A leading '+' is allowed.
[[nodiscard]] std::optional<double> numberFromText(std::string_view text);

/// The numbers in a list with commas, semicolons or blanks between them; none when one of them is no number.
[[nodiscard]] std::vector<double> numbersInText(std::string_view text);

/// The shortest text that reads back as the same double. Locale-free.
[[nodiscard]] std::string textFromNumber(double number);

/// `number` with a fixed count of decimals, never "-0.00". Locale-free.
[[nodiscard]] std::string textFromNumber(double number, int decimals);

}  // namespace greywright
