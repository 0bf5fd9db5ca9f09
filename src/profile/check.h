#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace greywright::profile {

/// Something in which a profile departs from ICC.1.
struct Finding {
    std::string code = {};   ///< stable, e.g. "tag-overlaps"
    std::string where = {};  ///< the tag's signature, "header" or "table"
    std::string what = {};   ///< one sentence without a full stop
};

/// Everything in which a profile departs from ICC.1 in structure: header, tag table, required tags, the types
/// that a tag may have in its version, and the inside of each type. Empty = sound. Whether its colours are
/// right is not looked at. Private tags and types are looked at from outside only. Any bytes may be given.
/// Source: ICC.1:2001-04 (version 2.4) and ICC.1:2022 (4.4), from memory.
[[nodiscard]] std::vector<Finding> check(std::string_view bytes);

}  // namespace greywright::profile
