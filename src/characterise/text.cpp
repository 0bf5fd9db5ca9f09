#include <array>
#include <optional>

#include <fmt/format.h>

#include "characterise/characterise.h"
#include "core/numbers.h"
#include "core/said.h"

namespace greywright::characterise {
namespace {

// The first line; the pairs follow, one a line: L*, a*, b* as seen, then in truth.
constexpr std::string_view kHeading = "seen and true L* a* b*, 1";

std::optional<Pair> pairFromLine(std::string_view line) {
    std::array<double, 6> values{};
    for (double& value : values) {
        const std::size_t end = line.find(' ');
        const bool isLast = &value == &values.back();
        if ((end == std::string_view::npos) != isLast) return std::nullopt;
        const std::optional<double> number = numberFromText(line.substr(0, end));
        if (!number) return std::nullopt;
        value = *number;
        if (!isLast) line.remove_prefix(end + 1);
    }
    return Pair{.seen = {values[0], values[1], values[2]}, .truth = {values[3], values[4], values[5]}};
}

}  // namespace

std::string textOf(const Characterisation& characterisation) {
    std::string out = fmt::format("{}\n", kHeading);
    for (const Pair& pair : characterisation.pairs()) {
        out += fmt::format("{} {} {} {} {} {}\n", textFromNumber(pair.seen.L), textFromNumber(pair.seen.a),
                           textFromNumber(pair.seen.b), textFromNumber(pair.truth.L),
                           textFromNumber(pair.truth.a), textFromNumber(pair.truth.b));
    }
    return out;
}

Result<Characterisation> characterisationFromText(std::string_view text) {
    std::size_t end = text.find('\n');
    if (text.substr(0, end) != kHeading) {
        return Error{.code = "not-a-characterisation",
                     .what = said("this text is no characterisation of a scanner or camera"),
                     .where = {.line = 1},
                     .next = said("Learn the scanner or camera anew from a sheet read both ways")};
    }
    std::vector<Pair> pairs;
    for (std::size_t number = 2; end != std::string_view::npos; ++number) {
        text.remove_prefix(end + 1);
        if (text.empty()) break;
        end = text.find('\n');
        const std::optional<Pair> pair = pairFromLine(text.substr(0, end));
        if (!pair) {
            return Error{.code = "bad-characterisation-line",
                         .what = said("a line of a characterisation is not six numbers"),
                         .where = {.line = number},
                         .next = said("Learn the scanner or camera anew from a sheet read both ways")};
        }
        pairs.push_back(*pair);
    }
    return Characterisation(std::move(pairs));
}

}  // namespace greywright::characterise
