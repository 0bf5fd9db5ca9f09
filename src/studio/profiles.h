#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "core/result.h"
#include "studio/corrections.h"

namespace greywright::studio {

enum class ProfileKind {
    grey,  ///< for grey pictures: what paper and inks make of them
    rgb,   ///< for RGB through a table
    link,  ///< straight from grey pictures to a table's codes
};

struct ProfileRequest {
    ProfileKind kind = ProfileKind::grey;
    int version = 2;  ///< of the format: 2, which every program reads, or 4
    /// Grey: through which correction the pictures will go afterwards; absent or 0: none. RGB and links:
    /// which table; absent: the latest.
    CorrectionChoice correction = {};
    std::string description = {};  ///< what programs show; empty: from the condition
    std::string copyright = "No copyright, use freely";
    std::filesystem::path out = {};
    bool replace = false;
    std::string when = {};
};

struct MadeProfile {
    std::filesystem::path file = {};
    ProfileKind kind = ProfileKind::grey;
    int version = 4;
    int correction = 0;
    int trial = 0;             ///< of the ramp that it rests on; 0 for a link
    bool isPredicted = false;  ///< nothing was printed through the correction yet
    std::string description = {};
    std::vector<Note> notes = {};
};

}  // namespace greywright::studio
