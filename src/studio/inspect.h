#pragma once

#include <string>
#include <vector>

#include "book/records.h"
#include "measure/ramp.h"

namespace greywright::studio {

struct ReadSummary;

/// Something about a file that a person has to decide before it is taken in.
struct Doubt {
    std::string code =
        {};  ///< stable: that of the error which read() would end with, or measured-under-unknown
    std::string question = {};  ///< one question
    std::string detail = {};    ///< what speaks for it; may be empty
};

}  // namespace greywright::studio
