#pragma once

// Private to the module.

#include <cstdint>
#include <functional>
#include <string>
#include <string_view>

namespace greywright::profile {

/// What the inside of a tag is held against.
struct Surroundings {
    int major = 4;
    std::uint32_t channelsIn = 0;   ///< of the tag, where it is a table; 0 = not told
    std::uint32_t channelsOut = 0;  ///< likewise
    bool inIsXyz = false;           ///< a table's matrix works on XYZ only
};

/// Told a stable code and a sentence.
using Report = std::function<void(std::string code, std::string what)>;

/// Reports everything in which one tag's bytes depart from their own type; types of others' are passed over.
void checkType(std::string_view bytes, const Surroundings& around, const Report& report);

}  // namespace greywright::profile
