#pragma once

#include <filesystem>
#include <system_error>
#include <vector>

#include "core/result.h"
#include "core/said.h"

namespace greywright::studio {

/// Notes, before a file is written, that one of that name is there and goes (file-replaced).
inline void noteReplaced(const std::filesystem::path& path, std::vector<Note>& notes) {
    std::error_code ignored;
    if (!std::filesystem::exists(path, ignored)) return;
    notes.push_back({.code = "file-replaced",
                     .text = said("there was a file of that name; it has been written over"),
                     .where = {.path = path.string()}});
}

}  // namespace greywright::studio
