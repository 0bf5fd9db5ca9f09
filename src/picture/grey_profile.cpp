#include "picture/grey_profile.h"

#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>
#include <utility>

namespace greywright::picture {
namespace {

void put16(std::string& out, std::uint32_t number) {
    out += static_cast<char>((number >> 8U) & 0xFFU);
    out += static_cast<char>(number & 0xFFU);
}

void put32(std::string& out, std::uint32_t number) {
    put16(out, number >> 16U);
    put16(out, number & 0xFFFFU);
}

// D50 of the profile connection space, 0.9642, 1, 0.8249, as s15Fixed16.
void putD50(std::string& out) {
    for (const std::uint32_t number : {0xF6D6U, 0x10000U, 0xD32DU}) put32(out, number);
}

std::string textTag(std::string_view type, std::string_view text) {
    std::string out(type);
    put32(out, 0);
    if (type == "desc") put32(out, static_cast<std::uint32_t>(text.size() + 1));
    out += text;
    out += '\0';
    // A description goes on with its Unicode and script-code forms, both left empty.
    if (type == "desc") out.append(4 + 4 + 2 + 1 + 67, '\0');
    return out;
}

std::string whiteTag() {
    std::string out = "XYZ ";
    put32(out, 0);
    putD50(out);
    return out;
}

std::string curveTag() {
    std::string out = "curv";
    put32(out, 0);
    put32(out, 1);
    put16(out, 563);  // u8Fixed8: 2.19921875
    return out;
}

std::string header(std::uint32_t size) {
    std::string out;
    put32(out, size);
    put32(out, 0);  // no preferred colour management module
    put32(out, 0x02400000);
    out += "mntrGRAYXYZ ";
    for (const std::uint32_t part : {2026U, 1U, 1U, 0U, 0U, 0U}) put16(out, part);
    out += "acsp";
    out.append(28, '\0');  // platform, flags, manufacturer, model, attributes, intent
    putD50(out);
    out.append(48, '\0');  // creator and what is reserved
    return out;
}

}  // namespace

std::string greyGamma22Profile() {
    constexpr std::size_t kHeaderBytes = 128;
    constexpr std::size_t kEntryBytes = 12;
    const std::array<std::pair<std::string_view, std::string>, 4> tags{{
        {"desc", textTag("desc", "Grey gamma 2.2")},
        {"cprt", textTag("text", "No copyright, use freely")},
        {"wtpt", whiteTag()},
        {"kTRC", curveTag()},
    }};
    std::string table;
    put32(table, static_cast<std::uint32_t>(tags.size()));
    const std::size_t begin = kHeaderBytes + 4 + tags.size() * kEntryBytes;
    std::string data;
    for (const auto& [name, content] : tags) {
        table += name;
        put32(table, static_cast<std::uint32_t>(begin + data.size()));
        put32(table, static_cast<std::uint32_t>(content.size()));
        data += content;
        data.append((4 - data.size() % 4) % 4, '\0');
    }
    return header(static_cast<std::uint32_t>(begin + data.size())) + table + data;
}

}  // namespace greywright::picture
