#include "studio/outputs.h"

#include <system_error>

namespace greywright::studio {

Outcome mayWrite(const std::filesystem::path& out, bool replace) {
    std::error_code ignored;
    if (replace || !std::filesystem::exists(out, ignored)) return Done{};
    return Error{.kind = ErrorKind::wrongUse,
                 .code = "output-exists",
                 .what = "a file of this name is there already",
                 .where = {.path = out.string()},
                 .next = "Name another, or use --force to replace it"};
}

}  // namespace greywright::studio
