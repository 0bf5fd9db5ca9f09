#include "book/statements.h"

#include <bit>

namespace greywright::book::rows {

std::string bytesFromDoubles(const std::vector<double>& values) {
    std::string bytes;
    bytes.reserve(values.size() * 8);
    for (const double value : values) {
        const auto bits = std::bit_cast<std::uint64_t>(value);
        for (int shift = 0; shift < 64; shift += 8) bytes += static_cast<char>(bits >> shift & 0xff);
    }
    return bytes;
}

std::vector<double> doublesFromBytes(std::string_view bytes) {
    std::vector<double> values;
    values.reserve(bytes.size() / 8);
    for (std::size_t at = 0; at + 8 <= bytes.size(); at += 8) {
        std::uint64_t bits = 0;
        for (std::size_t i = 8; i-- > 0;) bits = bits << 8 | static_cast<unsigned char>(bytes[at + i]);
        values.push_back(std::bit_cast<double>(bits));
    }
    return values;
}

std::optional<double> optionalNumber(const SQLite::Column& column) {
    if (column.isNull()) return std::nullopt;
    return column.getDouble();
}

std::optional<std::string> optionalText(const SQLite::Column& column) {
    if (column.isNull()) return std::nullopt;
    return column.getString();
}

}  // namespace greywright::book::rows
