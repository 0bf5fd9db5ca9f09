#include "core/result.h"

#include <fmt/format.h>

namespace greywright {

std::string Place::text() const {
    std::string out = path;
    if (line > 0) out += out.empty() ? fmt::format("line {}", line) : fmt::format(":{}", line);
    if (!field.empty()) out += (out.empty() ? "" : ": ") + field;
    return out;
}

std::string Error::text() const {
    const std::string place = where.text();
    std::string out = place.empty() ? what : place + ": " + what;
    if (!next.empty()) out += ". " + next;
    return out;
}

}  // namespace greywright
