#include "core/nearest_name.h"

#include <algorithm>
#include <vector>

namespace greywright {
namespace {

char lower(char letter) {
    return letter >= 'A' && letter <= 'Z' ? static_cast<char>(letter - 'A' + 'a') : letter;
}

// Optimal string alignment distance, three rows at a time.
std::size_t lettersApart(std::string_view a, std::string_view b) {
    std::vector<std::size_t> beforeLast;
    std::vector<std::size_t> last(b.size() + 1);
    std::vector<std::size_t> row(b.size() + 1);
    for (std::size_t j = 0; j <= b.size(); ++j) row[j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        beforeLast = last;
        last = row;
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t changed = last[j - 1] + (lower(a[i - 1]) == lower(b[j - 1]) ? 0 : 1);
            row[j] = std::min({last[j] + 1, row[j - 1] + 1, changed});
            if (i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) && lower(a[i - 2]) == lower(b[j - 1])) {
                row[j] = std::min(row[j], beforeLast[j - 2] + 1);
            }
        }
    }
    return row[b.size()];
}

}  // namespace

std::optional<std::string> nearestName(std::string_view wanted, std::span<const std::string> names) {
    std::optional<std::string> nearest;
    std::size_t fewest = std::max<std::size_t>(1, wanted.size() / 3) + 1;
    for (const std::string& name : names) {
        const std::size_t apart = lettersApart(wanted, name);
        if (apart < fewest) {
            fewest = apart;
            nearest = name;
        }
    }
    return nearest;
}

bool sameName(std::string_view one, std::string_view other) {
    return std::ranges::equal(one, other, [](char a, char b) { return lower(a) == lower(b); });
}

}  // namespace greywright
