#include "studio/outputs.h"

#include <system_error>

#include "core/said.h"

namespace greywright::studio {

namespace fs = std::filesystem;

Outcome mayWrite(const fs::path& out, IfThere ifThere, const std::vector<fs::path>& kept) {
    std::error_code ignored;
    for (const fs::path& one : kept) {
        if (!fs::equivalent(out, one, ignored)) continue;
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "output-is-input",
                     .what = said("this file is being read or worked on"),
                     .where = {.path = out.string()},
                     .next = said("Name another file to write")};
    }
    if (ifThere == IfThere::replace || !fs::exists(out, ignored)) return Done{};
    return Error{.kind = ErrorKind::wrongUse,
                 .code = "output-exists",
                 .what = said("a file of this name is there already"),
                 .where = {.path = out.string()},
                 .next = ifThere == IfThere::refuse ? said("Name another, or have it replaced")
                                                    : said("Name another, or take it away first")};
}

}  // namespace greywright::studio
