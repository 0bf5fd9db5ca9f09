#pragma once

#include <string>

namespace greywright::studio {

/// Something about a file that a person has to decide before it is taken in.
struct Doubt {
    std::string code =
        {};  ///< stable: that of the error which read() would end with, or measured-under-unknown
    std::string question = {};  ///< one question
    std::string detail = {};    ///< what speaks for it; may be empty
    bool needsForce = true;     ///< read() refuses the file unless forced
};

}  // namespace greywright::studio
