#pragma once

// Private to the module.

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace greywright::profile {

/// Big-endian numbers out of bytes. What lies outside reads as 0: has() is asked before what matters.
class Bytes {
  public:
    explicit Bytes(std::string_view bytes) : bytes_(bytes) {}

    [[nodiscard]] std::size_t size() const { return bytes_.size(); }
    [[nodiscard]] bool has(std::size_t at, std::size_t count) const {
        return at <= bytes_.size() && count <= bytes_.size() - at;
    }
    [[nodiscard]] std::uint32_t number(std::size_t at, std::size_t count) const {
        if (!has(at, count)) return 0;
        std::uint32_t out = 0;
        for (const char byte : bytes_.substr(at, count)) out = out << 8U | static_cast<unsigned char>(byte);
        return out;
    }
    [[nodiscard]] std::uint32_t u8(std::size_t at) const { return number(at, 1); }
    [[nodiscard]] std::uint32_t u16(std::size_t at) const { return number(at, 2); }
    [[nodiscard]] std::uint32_t u32(std::size_t at) const { return number(at, 4); }
    /// s15Fixed16Number.
    [[nodiscard]] double fixed(std::size_t at) const { return static_cast<std::int32_t>(u32(at)) / 65536.0; }
    [[nodiscard]] std::string_view text(std::size_t at, std::size_t count) const {
        return has(at, count) ? bytes_.substr(at, count) : std::string_view{};
    }
    [[nodiscard]] std::string signature(std::size_t at) const { return std::string(text(at, 4)); }
    /// Whether `count` bytes are there and all zero.
    [[nodiscard]] bool zero(std::size_t at, std::size_t count) const {
        return has(at, count) && bytes_.substr(at, count).find_first_not_of('\0') == std::string_view::npos;
    }

  private:
    std::string_view bytes_;
};

}  // namespace greywright::profile
