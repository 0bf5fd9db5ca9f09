#include "picture/vips/iptc.h"

#include <algorithm>
#include <cstddef>

namespace greywright::picture::iptc {
namespace {

constexpr std::size_t kRecords = 0x0404;

// Takes a big-endian number off the front; 0 when there are too few bytes.
std::size_t number(std::string_view& bytes, std::size_t width) {
    if (bytes.size() < width) {
        bytes = {};
        return 0;
    }
    std::size_t value = 0;
    for (std::size_t i = 0; i < width; ++i) value = value << 8U | static_cast<unsigned char>(bytes[i]);
    bytes.remove_prefix(width);
    return value;
}

void skip(std::string_view& bytes, std::size_t count) {
    bytes.remove_prefix(std::min(count, bytes.size()));
}

std::string_view unpacked(std::string_view bytes) {
    while (bytes.starts_with(kResource)) {
        bytes.remove_prefix(kResource.size());
        const std::size_t kind = number(bytes, 2);
        const std::size_t name = number(bytes, 1);
        skip(bytes, name + (name + 1) % 2);  // with its length an even number of bytes
        const std::size_t size = number(bytes, 4);
        if (size > bytes.size()) break;
        if (kind == kRecords) return bytes.substr(0, size);
        skip(bytes, size + size % 2);
    }
    return {};
}

}  // namespace

std::string recordsIn(std::string_view bytes) {
    if (bytes.starts_with(kContainer)) bytes = unpacked(bytes.substr(kContainer.size()));
    return std::string(bytes);
}

std::string forTiff(std::string records) {
    records.resize(4 * records.size(), '\0');
    return records;
}

}  // namespace greywright::picture::iptc
