#pragma once

#include <filesystem>
#include <functional>
#include <span>
#include <string>
#include <vector>

#include "core/said.h"
#include "picture/apply.h"
#include "picture/read.h"
#include "picture/write.h"

/// What the loaded library hands to the program. Private to the module.
namespace greywright::picture {

/// The module's public functions as libvips does them, see their headers.
struct Entry {
    Result<std::vector<double>> (*lightnessShares)(const std::filesystem::path& path);
    Result<Reduced> (*readReduced)(const std::filesystem::path& path, const ReadOptions& options);
    Result<std::vector<Triple>> (*xyzFromCodes)(const Reduced& picture, std::span<const Triple> codes);
    Result<std::string> (*profileOf)(Encoding encoding);
    Result<int> (*channelsOfProfile)(const std::string& profile);
    Outcome (*writePixels)(const std::filesystem::path& path, const PixelFile& file, const FillRow& fill,
                           const std::function<bool(double)>& goOn);
    Result<Prepared> (*prepare)(const std::filesystem::path& in, const std::filesystem::path& out,
                                const Preparation& how);
    Result<std::vector<double>> (*greyShares)(const std::filesystem::path& path,
                                              const std::string& greyProfile);
};

/// The library's one function. It has its own copy of what said() asks, so it is handed the translation.
using EntryFunction = const Entry* (*)(Translation translation);

/// The name of the library and of its one function.
inline constexpr const char* kLibraryName = "greywright_picture_vips";
inline constexpr const char* kEntryName = "greywrightPictureEntry";

namespace byVips {

[[nodiscard]] Result<std::vector<double>> lightnessShares(const std::filesystem::path& path);
[[nodiscard]] Result<Reduced> readReduced(const std::filesystem::path& path, const ReadOptions& options);
[[nodiscard]] Result<std::vector<Triple>> xyzFromCodes(const Reduced& picture, std::span<const Triple> codes);
[[nodiscard]] Result<std::string> profileOf(Encoding encoding);
[[nodiscard]] Result<int> channelsOfProfile(const std::string& profile);
[[nodiscard]] Outcome writePixels(const std::filesystem::path& path, const PixelFile& file,
                                  const FillRow& fill, const std::function<bool(double)>& goOn);
[[nodiscard]] Result<Prepared> prepare(const std::filesystem::path& in, const std::filesystem::path& out,
                                       const Preparation& how);
[[nodiscard]] Result<std::vector<double>> greyShares(const std::filesystem::path& path,
                                                     const std::string& greyProfile);

}  // namespace byVips
}  // namespace greywright::picture
