// libvips is loaded when the first picture is read or written: linked to the program, it and the hundred
// libraries behind it would cost every start of the program 50 ms (docs/decisions/0004).
#include <array>

#include "core/platform.h"
#include "core/said.h"
#include "picture/apply.h"
#include "picture/lightness.h"
#include "picture/read.h"
#include "picture/vips/entry.h"
#include "picture/write.h"

namespace greywright::picture {
namespace {

namespace fs = std::filesystem;

const Entry* load() {
    const fs::path program = platform::programFolder();
    const std::string file = platform::libraryFileName(kLibraryName);
    // Beside the program, or where an installation keeps such libraries.
    for (const fs::path& folder : {program, program.parent_path() / "lib" / "greywright"}) {
        void* address = platform::functionOfLibrary(folder / file, kEntryName);
        if (address != nullptr) return reinterpret_cast<EntryFunction>(address)(translation());
    }
    return nullptr;
}

const Entry* entry() {
    static const Entry* const loaded = load();
    return loaded;
}

Error missing(ErrorKind kind, const fs::path& path) {
    return {.kind = kind,
            .code = "picture-library-missing",
            .what = said("the part of the program that reads and writes pictures cannot be loaded"),
            .where = {.path = path.string()},
            .next = "Keep " + platform::libraryFileName(kLibraryName) +
                    said(" beside the program, and see that libvips is installed")};
}

}  // namespace

Result<std::vector<double>> lightnessShares(const fs::path& path) {
    if (entry() == nullptr) return missing(ErrorKind::badInput, path);
    return entry()->lightnessShares(path);
}

Result<Reduced> readReduced(const fs::path& path, const ReadOptions& options) {
    if (entry() == nullptr) return missing(ErrorKind::badInput, path);
    return entry()->readReduced(path, options);
}

Result<std::vector<Triple>> xyzFromCodes(const Reduced& picture, std::span<const Triple> codes) {
    if (entry() == nullptr) return missing(ErrorKind::badInput, {});
    return entry()->xyzFromCodes(picture, codes);
}

Result<std::string> profileOf(Encoding encoding) {
    if (entry() == nullptr) return missing(ErrorKind::badInput, {});
    return entry()->profileOf(encoding);
}

Result<int> channelsOfProfile(const std::string& profile) {
    if (entry() == nullptr) return missing(ErrorKind::badInput, {});
    return entry()->channelsOfProfile(profile);
}

Outcome writePixels(const fs::path& path, const PixelFile& file, const FillRow& fill,
                    const std::function<bool(double)>& goOn) {
    if (entry() == nullptr) return missing(ErrorKind::cannotWrite, path);
    return entry()->writePixels(path, file, fill, goOn);
}

Result<Prepared> prepare(const fs::path& in, const fs::path& out, const Preparation& how) {
    if (entry() == nullptr) return missing(ErrorKind::badInput, in);
    return entry()->prepare(in, out, how);
}

Result<std::vector<double>> greyShares(const fs::path& path, const std::string& greyProfile) {
    if (entry() == nullptr) return missing(ErrorKind::badInput, path);
    return entry()->greyShares(path, greyProfile);
}

}  // namespace greywright::picture
