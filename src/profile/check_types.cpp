#include "profile/check_types.h"

#include <algorithm>
#include <array>
#include <cstddef>
#include <map>
#include <utility>

#include <fmt/format.h>

#include "profile/bytes.h"

namespace greywright::profile {
namespace {

// Byte positions are those of the type's own table in ICC.1:2022, clause 10 (for desc: ICC.1:2001-04,
// 6.5.17; for mft1 and mft2 both).

constexpr std::size_t kHead = 8;  // signature and reserved

class Type {
  public:
    Type(std::string_view bytes, const Surroundings& around, const Report& report)
        : at_(bytes), around_(around), report_(report) {}

    void check() const;

  private:
    void wrong(std::string code, std::string what) const { report_(std::move(code), std::move(what)); }

    /// Whether the tag has at least so many bytes.
    [[nodiscard]] bool reaches(std::uint64_t size) const {
        if (at_.size() >= size) return true;
        wrong("tag-too-short", fmt::format("{} bytes, and {} are needed", at_.size(), size));
        return false;
    }
    void exactly(std::uint64_t size) const {
        if (at_.size() == size) return;
        wrong(at_.size() < size ? "tag-too-short" : "tag-too-long",
              fmt::format("{} bytes where its own counts ask for {}", at_.size(), size));
    }
    void reserved(std::size_t from, std::size_t count) const {
        if (!at_.zero(from, count))
            wrong("reserved-not-zero", fmt::format("Reserved bytes at {} are not zero", from));
    }
    void within(std::uint32_t value, std::uint32_t least, std::uint32_t most, std::string_view name) const {
        if (value < least || value > most) {
            wrong("value-out-of-range", fmt::format("{} is {}, not {} to {}", name, value, least, most));
        }
    }
    void channels(std::uint32_t in, std::uint32_t out) const {
        if ((around_.channelsIn != 0 && in != around_.channelsIn) ||
            (around_.channelsOut != 0 && out != around_.channelsOut)) {
            wrong("channels-differ", fmt::format("Made for {} channels in and {} out, not {} and {}", in, out,
                                                 around_.channelsIn, around_.channelsOut));
        }
    }

    void numbers(std::size_t width) const;
    void xyz() const;
    void curve() const;
    void parametric() const;
    void text() const;
    void textDescription() const;
    void localised() const;
    void table(std::size_t width) const;
    void stages(bool toConnection) const;
    void moment() const;
    void chromaticity() const;
    void colorants() const;
    void namedColours() const;
    void data() const;
    void sequence() const;
    void sequenceIds() const;
    void dictionary() const;
    void elements() const;

    /// The length of a curve or parametric curve at a place, with its padding; 0 where it is broken.
    [[nodiscard]] std::size_t curveSpan(std::size_t from) const;
    void curveSet(std::size_t from, std::uint32_t count, std::string_view name) const;
    void cube(std::size_t from, std::uint32_t in, std::uint32_t out) const;
    [[nodiscard]] std::size_t textDescriptionSpan(std::size_t from) const;
    [[nodiscard]] std::size_t localisedSpan(std::size_t from) const;

    Bytes at_;
    const Surroundings& around_;
    const Report& report_;
};

std::size_t padded(std::size_t size) {
    return (size + 3) / 4 * 4;
}

bool isAscii(std::string_view text) {
    return std::ranges::all_of(text, [](char c) { return static_cast<unsigned char>(c) < 0x80; });
}

/// A product of grid points and channels, cut off where it is beyond any tag.
std::uint64_t cells(const std::vector<std::uint32_t>& grid, std::uint32_t out) {
    std::uint64_t product = out;
    for (const std::uint32_t points : grid) {
        product *= points;
        if (product > std::uint64_t{1} << 40U) break;
    }
    return product;
}

void Type::numbers(std::size_t width) const {
    if (reaches(kHead + width) && (at_.size() - kHead) % width != 0) {
        wrong("tag-too-long", "No whole count of numbers");
    }
}

void Type::xyz() const {
    if (reaches(kHead + 12) && (at_.size() - kHead) % 12 != 0)
        wrong("tag-too-long", "No whole count of XYZ numbers");
}

void Type::curve() const {
    if (reaches(12)) exactly(12 + std::uint64_t{2} * at_.u32(8));
}

constexpr std::array<std::size_t, 5> kParameters{1, 3, 4, 5, 7};

void Type::parametric() const {
    if (!reaches(12)) return;
    const std::uint32_t kind = at_.u16(8);
    within(kind, 0, 4, "The function");
    reserved(10, 2);
    if (kind < kParameters.size()) exactly(12 + 4 * kParameters[kind]);
}

void Type::text() const {
    if (!reaches(kHead + 1)) return;
    const std::string_view text = at_.text(kHead, at_.size() - kHead);
    if (text.back() != '\0') wrong("text-not-ended", "The text does not end in a zero byte");
    if (text.find('\0') < text.size() - 1) wrong("text-ends-early", "A zero byte stands inside the text");
    if (!isAscii(text)) wrong("text-not-ascii", "The text is not in seven bits");
}

std::size_t Type::textDescriptionSpan(std::size_t from) const {
    constexpr std::size_t kScriptBytes = 67;
    if (!at_.has(from, 12)) return 0;
    const std::uint64_t ascii = at_.u32(from + 8);
    const std::uint64_t unicodeAt = from + 12 + ascii;
    if (ascii > at_.size() || !at_.has(unicodeAt, 8)) return 0;
    const std::uint64_t unicode = at_.u32(unicodeAt + 4);
    const std::uint64_t end = unicodeAt + 8 + 2 * unicode + 2 + 1 + kScriptBytes;
    return end <= at_.size() ? end - from : 0;
}

void Type::textDescription() const {
    if (!reaches(kHead + 4)) return;
    const std::size_t span = textDescriptionSpan(0);
    if (span == 0) return wrong("tag-too-short", "Its three texts reach beyond its end");
    exactly(span);
    const std::uint32_t ascii = at_.u32(8);
    const std::string_view text = at_.text(12, ascii);
    if (text.empty() || text.back() != '\0')
        wrong("text-not-ended", "The ASCII text does not end in a zero byte");
    if (!text.empty() && text.find('\0') < text.size() - 1) {
        wrong("text-ends-early", "A zero byte stands inside the ASCII text");
    }
    if (!isAscii(text)) wrong("text-not-ascii", "The ASCII text is not in seven bits");
    const std::uint32_t unicode = at_.u32(12 + ascii + 4);
    const std::size_t afterUnicode = 12 + ascii + 8 + std::size_t{2} * unicode;
    if (unicode > 0 && at_.u16(afterUnicode - 2) != 0) {
        wrong("text-not-ended", "The Unicode text does not end in a zero");
    }
    within(at_.u8(afterUnicode + 2), 0, 67, "The length of the script text");
}

std::size_t Type::localisedSpan(std::size_t from) const {
    if (!at_.has(from, 16)) return 0;
    const std::uint64_t count = at_.u32(from + 8);
    if (at_.u32(from + 12) != 12 || count > at_.size()) return 0;
    std::uint64_t end = from + 16 + 12 * count;
    if (end > at_.size()) return 0;
    for (std::size_t record = from + 16; record < from + 16 + 12 * count; record += 12) {
        const std::uint64_t length = at_.u32(record + 4);
        const std::uint64_t start = at_.u32(record + 8);
        if (length % 2 != 0 || start < 16 + 12 * count || from + start + length > at_.size()) return 0;
        end = std::max(end, from + start + length);
    }
    return end - from;
}

void Type::localised() const {
    if (!reaches(16)) return;
    const std::uint64_t count = at_.u32(8);
    if (at_.u32(12) != 12) return wrong("value-out-of-range", "A record is not 12 bytes long");
    if (!reaches(16 + 12 * count)) return;
    std::uint64_t end = 16 + 12 * count;
    for (std::size_t record = 16; record < 16 + 12 * count; record += 12) {
        const std::uint64_t length = at_.u32(record + 4);
        const std::uint64_t start = at_.u32(record + 8);
        if (length % 2 != 0) wrong("value-out-of-range", "A text in UTF-16 has an odd count of bytes");
        if (start < 16 + 12 * count || start + length > at_.size()) {
            wrong("part-outside", "A text reaches beyond the tag");
        }
        end = std::max(end, start + length);
    }
    if (end < at_.size() && padded(end) != at_.size()) exactly(end);
}

void Type::table(std::size_t width) const {
    const std::size_t begin = width == 2 ? 52 : 48;
    if (!reaches(begin)) return;
    const std::uint32_t in = at_.u8(8);
    const std::uint32_t out = at_.u8(9);
    const std::uint32_t points = at_.u8(10);
    within(in, 1, 15, "The count of channels in");
    within(out, 1, 15, "The count of channels out");
    within(points, 2, 255, "The count of grid points");
    reserved(11, 1);
    channels(in, out);
    if (!around_.inIsXyz) {
        for (std::size_t i = 0; i < 9; ++i) {
            if (at_.fixed(12 + 4 * i) != (i % 4 == 0 ? 1 : 0)) {
                wrong("matrix-not-identity", "There is a matrix, and what goes in is not XYZ");
                break;
            }
        }
    }
    const std::uint64_t nodesIn = width == 2 ? at_.u16(48) : 256;
    const std::uint64_t nodesOut = width == 2 ? at_.u16(50) : 256;
    if (width == 2) {
        within(static_cast<std::uint32_t>(nodesIn), 2, 4096, "The length of the curves in");
        within(static_cast<std::uint32_t>(nodesOut), 2, 4096, "The length of the curves out");
    }
    exactly(begin +
            width * (nodesIn * in + cells(std::vector<std::uint32_t>(in, points), out) + nodesOut * out));
}

std::size_t Type::curveSpan(std::size_t from) const {
    std::uint64_t span = 0;
    if (at_.signature(from) == "curv" && at_.has(from, 12)) {
        span = 12 + std::uint64_t{2} * at_.u32(from + 8);
    } else if (at_.signature(from) == "para" && at_.has(from, 12) && at_.u16(from + 8) < kParameters.size()) {
        span = 12 + 4 * kParameters[at_.u16(from + 8)];
    }
    return span > 0 && span <= at_.size() && at_.has(from, span) ? span : 0;
}

void Type::curveSet(std::size_t from, std::uint32_t count, std::string_view name) const {
    if (from % 4 != 0)
        wrong("part-not-aligned", fmt::format("The {} curves do not begin at a multiple of 4", name));
    for (std::uint32_t i = 0; i < count; ++i) {
        const std::size_t span = curveSpan(from);
        if (span == 0) {
            return wrong("part-outside",
                         fmt::format("{} curve {} is broken or reaches beyond the tag", name, i + 1));
        }
        reserved(from + 4, 4);
        from += padded(span);
    }
}

void Type::cube(std::size_t from, std::uint32_t in, std::uint32_t out) const {
    if (from % 4 != 0) wrong("part-not-aligned", "The grid does not begin at a multiple of 4");
    if (!at_.has(from, 20)) return wrong("part-outside", "The grid reaches beyond the tag");
    std::vector<std::uint32_t> grid;
    for (std::uint32_t i = 0; i < in; ++i) grid.push_back(at_.u8(from + i));
    if (std::ranges::any_of(grid, [](std::uint32_t points) { return points < 2; })) {
        wrong("value-out-of-range", "A channel has fewer than 2 grid points");
    }
    if (!at_.zero(from + in, 16 - in))
        wrong("reserved-not-zero", "There are grid points for channels that are not");
    const std::uint32_t width = at_.u8(from + 16);
    within(width, 1, 2, "The width of a grid's number");
    reserved(from + 17, 3);
    const std::uint64_t size = cells(grid, out) * width;
    if (size > at_.size() || !at_.has(from + 20, size))
        wrong("part-outside", "The grid reaches beyond the tag");
}

void Type::stages(bool toConnection) const {
    if (!reaches(32)) return;
    const std::uint32_t in = at_.u8(8);
    const std::uint32_t out = at_.u8(9);
    within(in, 1, 15, "The count of channels in");
    within(out, 1, 15, "The count of channels out");
    reserved(10, 2);
    channels(in, out);
    if (in < 1 || in > 15 || out < 1 || out > 15) return;
    const std::size_t b = at_.u32(12);
    const std::size_t matrix = at_.u32(16);
    const std::size_t m = at_.u32(20);
    const std::size_t grid = at_.u32(24);
    const std::size_t a = at_.u32(28);
    for (const std::size_t part : {b, matrix, m, grid, a}) {
        if (part != 0 && part < 32) return wrong("part-outside", "A part begins inside the tag's own head");
    }
    if (b == 0 || (matrix == 0) != (m == 0) || (grid == 0) != (a == 0)) {
        wrong("parts-missing", "The parts are none of B, matrix with M, grid with A, or all of them");
    }
    if (grid == 0 && in != out) wrong("parts-missing", "Channels in and out differ in number without a grid");
    const std::uint32_t connection = toConnection ? out : in;
    if (b != 0) curveSet(b, connection, "B");
    if (m != 0) curveSet(m, connection, "M");
    if (a != 0) curveSet(a, toConnection ? in : out, "A");
    if (matrix != 0) {
        if (connection != 3) wrong("channels-differ", "A matrix stands where there are not 3 channels");
        if (!at_.has(matrix, 48)) wrong("part-outside", "The matrix reaches beyond the tag");
    }
    if (grid != 0) cube(grid, in, out);
}

void Type::moment() const {
    if (!reaches(20)) return;
    exactly(20);
    within(at_.u16(10), 1, 12, "The month");
    within(at_.u16(12), 1, 31, "The day");
    within(at_.u16(14), 0, 23, "The hour");
    within(at_.u16(16), 0, 59, "The minute");
    within(at_.u16(18), 0, 59, "The second");
}

void Type::chromaticity() const {
    if (reaches(12)) exactly(12 + std::uint64_t{8} * at_.u16(8));
}

void Type::colorants() const {
    if (!reaches(12)) return;
    const std::uint64_t count = at_.u32(8);
    exactly(12 + 38 * count);
    for (std::uint64_t i = 0; i < count && at_.has(12 + 38 * i, 38); ++i) {
        if (at_.text(12 + 38 * i, 32).find('\0') == std::string_view::npos) {
            wrong("text-not-ended", "A colorant's name does not end in a zero byte");
        }
    }
}

void Type::namedColours() const {
    if (!reaches(84)) return;
    within(at_.u32(16), 0, 15, "The count of device channels");
    exactly(84 + std::uint64_t{at_.u32(12)} * (38 + 2 * std::uint64_t{at_.u32(16)}));
}

void Type::data() const {
    if (!reaches(12)) return;
    within(at_.u32(8), 0, 1, "The kind of data");
    if (at_.u32(8) == 0 && at_.size() > 12 && at_.text(at_.size() - 1, 1) != std::string_view("\0", 1)) {
        wrong("text-not-ended", "The text does not end in a zero byte");
    }
}

void Type::sequence() const {
    if (!reaches(12)) return;
    const std::uint32_t count = at_.u32(8);
    std::size_t from = 12;
    for (std::uint32_t i = 0; i < count; ++i) {
        from += 20;
        for (int text = 0; text < 2; ++text) {
            // Whether each text is padded is not said; a well-known writer does.
            if (at_.u8(from) == 0) from = padded(from);
            const std::string type = at_.signature(from);
            const std::size_t span = type == "desc"   ? textDescriptionSpan(from)
                                     : type == "mluc" ? localisedSpan(from)
                                                      : 0;
            if (span == 0) {
                return wrong("part-outside",
                             fmt::format("A text of profile {} is broken or reaches beyond the tag", i + 1));
            }
            if (type != (around_.major == 2 ? "desc" : "mluc")) {
                wrong("type-not-allowed", fmt::format("A text of profile {} is of type {}", i + 1, type));
            }
            from += span;
        }
    }
    if (padded(from) != padded(at_.size())) exactly(from);
}

void Type::sequenceIds() const {
    if (!reaches(12)) return;
    const std::uint64_t count = at_.u32(8);
    if (!reaches(12 + 8 * count)) return;
    for (std::size_t record = 12; record < 12 + 8 * count; record += 8) {
        const std::uint64_t start = at_.u32(record);
        const std::uint64_t size = at_.u32(record + 4);
        if (start < 12 + 8 * count || start + size > at_.size() || size < 16) {
            wrong("part-outside", "An entry reaches beyond the tag");
        }
    }
}

void Type::dictionary() const {
    if (!reaches(16)) return;
    const std::uint64_t count = at_.u32(8);
    const std::uint32_t width = at_.u32(12);
    if (width != 16 && width != 24 && width != 32)
        return wrong("value-out-of-range", "A record is not 16, 24 or 32 bytes long");
    if (!reaches(16 + width * count)) return;
    for (std::size_t record = 16; record < 16 + width * count; record += width) {
        for (std::size_t part = record; part < record + width; part += 8) {
            const std::uint64_t start = at_.u32(part);
            const std::uint64_t size = at_.u32(part + 4);
            if (start != 0 && (start < 16 + width * count || start + size > at_.size())) {
                wrong("part-outside", "An entry reaches beyond the tag");
            }
        }
        if (at_.u32(record) == 0) wrong("value-out-of-range", "An entry has no name");
    }
}

void Type::elements() const {
    if (!reaches(16)) return;
    channels(at_.u16(8), at_.u16(10));
    const std::uint64_t count = at_.u32(12);
    if (count == 0) wrong("value-out-of-range", "There is no element");
    if (!reaches(16 + 8 * count)) return;
    for (std::size_t record = 16; record < 16 + 8 * count; record += 8) {
        const std::uint64_t start = at_.u32(record);
        if (start < 16 + 8 * count || start % 4 != 0 || start + at_.u32(record + 4) > at_.size()) {
            wrong("part-outside", "An element reaches beyond the tag or is not aligned");
        }
    }
}

void Type::check() const {
    if (!reaches(kHead)) return;
    reserved(4, 4);
    static const std::map<std::string, std::function<void(const Type&)>, std::less<>> kTypes{
        {"XYZ ", &Type::xyz},
        {"bfd ", [](const Type& t) { (void)t.reaches(16); }},
        {"chrm", &Type::chromaticity},
        {"cicp",
         [](const Type& t) {
             t.exactly(12);
             t.within(t.at_.u8(11), 0, 1, "The range flag");
         }},
        {"clro",
         [](const Type& t) {
             if (t.reaches(12)) t.exactly(12 + std::uint64_t{t.at_.u32(8)});
         }},
        {"clrt", &Type::colorants},
        {"crdi", [](const Type& t) { (void)t.reaches(12); }},
        {"curv", &Type::curve},
        {"data", &Type::data},
        {"desc", &Type::textDescription},
        {"dict", &Type::dictionary},
        {"dtim", &Type::moment},
        {"mAB ", [](const Type& t) { t.stages(true); }},
        {"mBA ", [](const Type& t) { t.stages(false); }},
        {"meas", [](const Type& t) { t.exactly(36); }},
        {"mft1", [](const Type& t) { t.table(1); }},
        {"mft2", [](const Type& t) { t.table(2); }},
        {"mluc", &Type::localised},
        {"mpet", &Type::elements},
        {"ncl2", &Type::namedColours},
        {"para", &Type::parametric},
        {"pseq", &Type::sequence},
        {"psid", &Type::sequenceIds},
        {"rcs2", [](const Type& t) { (void)t.reaches(12); }},
        {"scrn",
         [](const Type& t) {
             if (t.reaches(16)) t.exactly(16 + std::uint64_t{12} * t.at_.u32(12));
         }},
        {"sf32", [](const Type& t) { t.numbers(4); }},
        {"sig ", [](const Type& t) { t.exactly(12); }},
        {"text", &Type::text},
        {"uf32", [](const Type& t) { t.numbers(4); }},
        {"ui08", [](const Type& t) { t.numbers(1); }},
        {"ui16", [](const Type& t) { t.numbers(2); }},
        {"ui32", [](const Type& t) { t.numbers(4); }},
        {"ui64", [](const Type& t) { t.numbers(8); }},
        {"view", [](const Type& t) { t.exactly(36); }},
    };
    if (const auto type = kTypes.find(at_.signature(0)); type != kTypes.end()) type->second(*this);
}

}  // namespace

void checkType(std::string_view bytes, const Surroundings& around, const Report& report) {
    Type(bytes, around, report).check();
}

}  // namespace greywright::profile
