#include "picture/vips/save.h"

#include <memory>
#include <system_error>

#include <fmt/format.h>
#include <vips/vips.h>

#include "core/platform.h"
#include "core/said.h"

namespace greywright::picture::byVips {
namespace {

namespace fs = std::filesystem;
using library::Image;
using Target = std::unique_ptr<VipsTarget, library::Unref>;

// Above this TIFF's 32-bit places may not do, since LZW makes noise larger than it was.
constexpr double kMostPlainBytes = 2.5e9;

bool save(const Image& image, const fs::path& path, FileFormat format) {
    const std::u8string name = path.u8string();
    const Target target(vips_target_new_to_file(std::string(name.begin(), name.end()).c_str()));
    if (!target) return false;
    if (format == FileFormat::png) return vips_pngsave_target(image.get(), target.get(), nullptr) == 0;
    const double bytes = static_cast<double>(vips_image_get_width(image.get())) *
                         vips_image_get_height(image.get()) * vips_image_get_bands(image.get()) *
                         (vips_image_get_format(image.get()) == VIPS_FORMAT_UCHAR ? 1 : 2);
    const gboolean big = bytes > kMostPlainBytes ? TRUE : FALSE;
    return vips_tiffsave_target(image.get(), target.get(), "compression", VIPS_FOREIGN_TIFF_COMPRESSION_LZW,
                                "predictor", VIPS_FOREIGN_TIFF_PREDICTOR_HORIZONTAL, "resunit",
                                VIPS_FOREIGN_TIFF_RESUNIT_INCH, "bigtiff", big, nullptr) == 0;
}

// libvips names the file and what it could not do with it, and on the next line what the system said.
std::string whyNot(const fs::path& temporary) {
    const std::string all = library::wholeComplaint();
    const std::size_t end = all.find('\n');
    const std::string first = all.substr(0, end);
    const std::u8string name = temporary.u8string();
    if (first.starts_with(std::string(name.begin(), name.end())) && end != std::string::npos) {
        const std::string second = all.substr(end + 1, all.find('\n', end + 1) - end - 1);
        const std::size_t colon = second.find(": ");
        if (colon != std::string::npos) return second.substr(colon + 2);
    }
    return first.empty() ? said("the picture library gives no reason") : first;
}

}  // namespace

std::string troubleSaving(const Image& image, const fs::path& path, FileFormat format) {
    fs::path temporary = path;
    temporary += fmt::format(".{}.part", platform::processNumber());
    std::error_code problem;
    std::string why;
    // A device or a pipe would become an ordinary file.
    if (fs::exists(path, problem) && !fs::is_regular_file(path, problem))
        return said("it is no ordinary file");
    if (!save(image, temporary, format)) {
        why = whyNot(temporary);
    } else if (!platform::flushToDisc(temporary)) {
        why = said("the disc refuses");
    } else {
        fs::rename(temporary, path, problem);
        if (!problem) return "";
        why = problem.message();
    }
    fs::remove(temporary, problem);
    return why;
}

}  // namespace greywright::picture::byVips
