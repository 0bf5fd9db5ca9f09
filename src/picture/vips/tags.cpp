#include "picture/vips/tags.h"

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <fstream>
#include <string>
#include <string_view>
#include <vector>

namespace greywright::picture::tags {
namespace {

constexpr std::size_t kMostDirectories = 32;
constexpr std::uint64_t kMostEntries = 4096;
constexpr std::uint64_t kMostValues = 32;

enum Tag : std::uint64_t {
    kBitsPerSample = 258,
    kCompression = 259,
    kPhotometric = 262,
    kRowsPerStrip = 278,
    kResolutionUnit = 296,
    kTileLength = 323,
    kSubDirectories = 330,
    kExtraSamples = 338,
    kExifDirectory = 34665,
    kProfile = 34675,
    kDngVersion = 50706,
};

constexpr std::uint64_t kPaletteColour = 3;
constexpr std::uint64_t kColourFilterArray = 32803;
constexpr std::uint64_t kLinearRaw = 34892;
constexpr std::uint64_t kNoUnit = 1;
constexpr std::uint64_t kUncompressed = 1;
constexpr std::uint64_t kUnspecified = 0;

struct Entry {
    std::uint64_t tag = 0;
    std::vector<std::uint64_t> values = {};
};

class Tiff {
  public:
    Tiff(std::ifstream& file, std::string_view begin)
        : file_(file), little_(begin.starts_with("II")), big_(begin[little_ ? 2 : 3] == '+') {}

    Tags read() {
        Tags tags{.tiff = true, .bits = 1};  // the value of a missing tag
        std::vector<std::uint64_t> places{at(big_ ? 8 : 4, big_ ? 8 : 4)};
        for (std::size_t i = 0; i < places.size() && i < kMostDirectories && file_; ++i) {
            const bool first = i == 0;
            for (const Entry& entry : directory(places[i], places)) note(entry, first, tags, places);
        }
        return tags;
    }

  private:
    static void note(const Entry& entry, bool first, Tags& tags, std::vector<std::uint64_t>& places) {
        if (entry.tag == kProfile && first) tags.hasProfile = true;
        if (entry.values.empty()) return;
        const std::uint64_t value = entry.values.front();
        switch (entry.tag) {
            case kSubDirectories:
                places.insert(places.end(), entry.values.begin(), entry.values.end());
                break;
            case kDngVersion:
                tags.cameraRaw = true;
                break;
            case kPhotometric:
                if (value == kColourFilterArray || value == kLinearRaw) tags.cameraRaw = true;
                if (first) tags.palette = value == kPaletteColour;
                break;
            case kBitsPerSample:
                if (first) tags.bits = static_cast<int>(value);
                break;
            case kCompression:
                if (first) tags.compressed = value != kUncompressed;
                break;
            case kRowsPerStrip:
                if (first) tags.stripRows = value;
                break;
            case kTileLength:
                if (first) tags.tileRows = value;
                break;
            case kResolutionUnit:
                if (first) tags.lacksUnit = value == kNoUnit;
                break;
            case kExifDirectory:
                if (first) tags.exif = value != 0;
                break;
            case kExtraSamples:
                if (first) tags.extraIsAlpha = value != kUnspecified;
                break;
            default:
                break;
        }
    }

    // The entries of one directory; the place of the next one joins `places`.
    std::vector<Entry> directory(std::uint64_t place, std::vector<std::uint64_t>& places) {
        std::vector<Entry> entries;
        const std::uint64_t countBytes = big_ ? 8 : 2;
        const std::uint64_t entryBytes = big_ ? 20 : 12;
        const std::uint64_t count = at(place, countBytes);
        if (!file_ || count > kMostEntries) return entries;
        for (std::uint64_t i = 0; i < count && file_; ++i) {
            entries.push_back(this->entry(place + countBytes + i * entryBytes));
        }
        const std::uint64_t next = at(place + countBytes + count * entryBytes, big_ ? 8 : 4);
        if (next != 0) places.push_back(next);
        return entries;
    }

    Entry entry(std::uint64_t place) {
        Entry found{.tag = at(place, 2)};
        const std::uint64_t bytes = bytesOfType(at(place + 2, 2));
        const std::uint64_t count = at(place + 4, big_ ? 8 : 4);
        if (bytes == 0) return found;
        const std::uint64_t room = big_ ? 8 : 4;
        std::uint64_t values = place + 4 + room;
        if (bytes * count > room) values = at(values, room);
        for (std::uint64_t i = 0; i < std::min(count, kMostValues) && file_; ++i)
            found.values.push_back(at(values + i * bytes, bytes));
        return found;
    }

    // 0 for what is no whole number.
    static std::uint64_t bytesOfType(std::uint64_t type) {
        switch (type) {
            case 1:
                return 1;
            case 3:
                return 2;
            case 4:
            case 13:
                return 4;
            case 16:
            case 18:
                return 8;
            default:
                return 0;
        }
    }

    // A number of up to 8 bytes; 0 and a failed stream beyond the end.
    std::uint64_t at(std::uint64_t place, std::uint64_t bytes) {
        std::string raw(bytes, '\0');
        file_.seekg(static_cast<std::streamoff>(place));
        file_.read(raw.data(), static_cast<std::streamsize>(bytes));
        if (!file_) return 0;
        std::uint64_t number = 0;
        for (std::uint64_t i = 0; i < bytes; ++i) {
            number = number << 8U | static_cast<unsigned char>(raw[little_ ? bytes - 1 - i : i]);
        }
        return number;
    }

    std::ifstream& file_;
    bool little_;
    bool big_;
};

// Whether a profile's chunk comes before the pixels; chunks are length, name, data and a sum of 4 bytes.
bool pngHasProfile(std::ifstream& file) {
    constexpr int kMostChunks = 1000;
    std::streamoff place = 8;
    for (int i = 0; i < kMostChunks; ++i) {
        std::string head(8, '\0');
        file.seekg(place);
        file.read(head.data(), static_cast<std::streamsize>(head.size()));
        if (!file) break;
        const std::string_view name = std::string_view(head).substr(4);
        if (name == "iCCP") return true;
        if (name == "IDAT") break;
        std::streamoff length = 0;
        for (std::size_t k = 0; k < 4; ++k) length = length * 256 + static_cast<unsigned char>(head[k]);
        place += 12 + length;
    }
    return false;
}

}  // namespace

Tags tagsOf(const std::filesystem::path& path) {
    using namespace std::string_view_literals;
    std::ifstream file(path, std::ios::binary);
    std::string begin(32, '\0');
    file.read(begin.data(), static_cast<std::streamsize>(begin.size()));
    file.clear();
    if (begin.starts_with("\x89PNG\r\n\x1a\n"sv)) {
        constexpr std::size_t kBitDepth = 24;
        constexpr std::size_t kColourType = 25;
        return {
            .bits = begin[kBitDepth], .palette = begin[kColourType] == 3, .hasProfile = pngHasProfile(file)};
    }
    if (begin.starts_with("II*\0"sv) || begin.starts_with("MM\0*"sv) || begin.starts_with("II+\0"sv) ||
        begin.starts_with("MM\0+"sv)) {
        Tags tags = Tiff(file, begin).read();
        const std::string_view mark = std::string_view(begin).substr(8);
        if (mark.starts_with("CR\2"sv) || mark.starts_with("IIII"sv)) tags.cameraRaw = true;
        return tags;
    }
    return {};
}

}  // namespace greywright::picture::tags
