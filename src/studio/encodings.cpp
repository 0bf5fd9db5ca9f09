#include "studio/encodings.h"

#include <array>
#include <filesystem>
#include <utility>

#include <fmt/format.h>

#include "core/files.h"
#include "core/said.h"
#include "picture/write.h"

namespace greywright::studio {

Result<std::string> profileNamed(const std::string& encoding) {
    constexpr std::array<std::pair<const char*, picture::Encoding>, 3> kNames{
        {{"grey", picture::Encoding::greyGamma22},
         {"srgb", picture::Encoding::srgb},
         {"p3", picture::Encoding::displayP3}}};
    for (const auto& [name, known] : kNames) {
        if (encoding == name) return picture::profileOf(known);
    }
    std::error_code ignored;
    if (!std::filesystem::exists(encoding, ignored)) {
        return Error{.kind = ErrorKind::wrongUse,
                     .code = "encoding-unknown",
                     .what = said("'{}' is no encoding and no file", encoding),
                     .where = {.field = "--encoding"},
                     .next = said("Choose grey, srgb or p3, or name the file of an ICC profile")};
    }
    auto profile = readWholeFile(encoding);
    if (!profile) return profile;
    if (auto channels = picture::channelsOfProfile(*profile); !channels) {
        Error error = std::move(channels).error();
        error.where = {.path = encoding};
        return error;
    }
    return profile;
}

}  // namespace greywright::studio
