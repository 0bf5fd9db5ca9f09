#pragma once

#include <filesystem>
#include <functional>
#include <vector>

#include "picture/write.h"

/// What the loaded library hands to the program. Private to the module.
namespace greywright::picture {

/// The module's public functions as libvips does them, see their headers.
struct Entry {
    Result<std::vector<double>> (*lightnessShares)(const std::filesystem::path& path);
    Outcome (*writeGrey16)(const std::filesystem::path& path, const GreyFile& file, const FillRow& fill,
                           const std::function<bool(double)>& goOn);
};

/// The name of the library and of its one function, which returns a `const Entry*`.
inline constexpr const char* kLibraryName = "greywright_picture_vips";
inline constexpr const char* kEntryName = "greywrightPictureEntry";

namespace byVips {

[[nodiscard]] Result<std::vector<double>> lightnessShares(const std::filesystem::path& path);
[[nodiscard]] Outcome writeGrey16(const std::filesystem::path& path, const GreyFile& file,
                                  const FillRow& fill, const std::function<bool(double)>& goOn);

}  // namespace byVips
}  // namespace greywright::picture
