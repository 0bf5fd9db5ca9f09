#include "core/numbers.h"

#include <algorithm>
#include <charconv>
#include <cmath>

#include <fmt/format.h>

namespace greywright {

std::optional<double> numberFromText(std::string_view text) {
    if (!text.empty() && text.front() == '+') {
        text.remove_prefix(1);
        if (!text.empty() && (text.front() == '-' || text.front() == '+')) return std::nullopt;
    }
    double number = 0;
    const char* end = text.data() + text.size();
    const auto [stop, error] = std::from_chars(text.data(), end, number);
    if (error != std::errc{} || stop != end || !std::isfinite(number)) return std::nullopt;
    return number;
}

std::vector<double> numbersInText(std::string_view text) {
    constexpr std::string_view kBetween = ", ;\t";
    std::vector<double> numbers;
    while (true) {
        const std::size_t start = text.find_first_not_of(kBetween);
        if (start == std::string_view::npos) return numbers;
        text.remove_prefix(start);
        const std::size_t length = std::min(text.find_first_of(kBetween), text.size());
        const auto number = numberFromText(text.substr(0, length));
        if (!number) return {};
        numbers.push_back(*number);
        text.remove_prefix(length);
    }
}

std::string textFromNumber(double number) {
    return fmt::format("{}", number);
}

std::string textFromNumber(double number, int decimals) {
    std::string text = fmt::format("{:.{}f}", number, decimals);
    if (text.starts_with('-') && text.find_first_not_of("-0.") == std::string::npos) text.erase(0, 1);
    return text;
}

}  // namespace greywright
