#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <span>
#include <string>

#include <fmt/format.h>

#include "core/result.h"
#include "picture/write.h"
#include "sheet/sheet.h"
#include "simulate/camera.h"
#include "simulate/shots.h"

// Sheets on an invented paper, as a scanner or camera sees them and as an instrument measures them.
namespace greywright::testing {

/// A scanner that lays the sheet straight.
[[nodiscard]] inline simulate::Camera flatbed() {
    return {.width = 1300, .height = 1800, .fill = 0.98, .table = {0.9, 0.9, 0.9}};
}

/// What a scanner or camera makes of a sheet, as a TIFF file.
[[nodiscard]] inline Outcome writeShot(const std::filesystem::path& path, const sheet::Sheet& sheet,
                                       const simulate::Camera& camera, int page = 1) {
    const simulate::Shot shot =
        simulate::take(simulate::printOf(sheet, page, 6, simulate::inkOnPaper), camera);
    const picture::Reduced& made = shot.picture;
    const auto from = shot.pxFromMm(10, 10);
    const auto to = shot.pxFromMm(90, 10);
    const double perInch = std::hypot(to[0] - from[0], to[1] - from[1]) / 80 * 25.4;
    return picture::writePixels(
        path,
        {.width = made.width, .height = made.height, .pixelsPerInch = perInch, .channels = 3, .bits = 8},
        [&](std::size_t row, std::span<std::uint16_t> samples) {
            std::copy_n(made.codes.begin() + std::ptrdiff_t(row * samples.size()), samples.size(),
                        samples.begin());
        });
}

/// What an instrument would have written of the same print.
[[nodiscard]] inline std::string measurementOf(const sheet::Sheet& sheet) {
    // CIELAB for D50 of linear sRGB: matrix of IEC 61966-2-1 adapted by Bradford, from memory.
    const auto f = [](double t) { return t > 216.0 / 24389 ? std::cbrt(t) : (24389.0 / 27 * t + 16) / 116; };
    std::string text =
        "CGATS.17\nNUMBER_OF_FIELDS 4\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n"
        "NUMBER_OF_SETS " +
        std::to_string(sheet.patches.size()) + "\nBEGIN_DATA\n";
    int id = 0;
    for (const sheet::Patch& patch : sheet.patches) {
        const auto [r, g, b] = simulate::inkOnPaper(patch.tonePercent);
        const double x = (0.4360747 * r + 0.3850649 * g + 0.1430804 * b) / 0.9642;
        const double y = 0.2225045 * r + 0.7168786 * g + 0.0606169 * b;
        const double z = (0.0139322 * r + 0.0971045 * g + 0.7141733 * b) / 0.8249;
        text += fmt::format("{} {:.4f} {:.4f} {:.4f}\n", ++id, 116 * f(y) - 16, 500 * (f(x) - f(y)),
                            200 * (f(y) - f(z)));
    }
    return text + "END_DATA\n";
}

/// A photograph of 400 x 200 pixels: a neutral card of code 150 in the left half, a print in the right half.
[[nodiscard]] inline Outcome writeCardAndPrint(const std::filesystem::path& path,
                                               const std::array<int, 3>& print) {
    return picture::writePixels(
        path, {.width = 400, .height = 200, .channels = 3, .bits = 8, .format = picture::FileFormat::png},
        [&](std::size_t row, std::span<std::uint16_t> samples) {
            for (std::size_t i = 0; i < samples.size(); ++i) {
                const int code = i / 3 < 200 ? 150 : print[i % 3];
                samples[i] = std::uint16_t((code + int((i / 3 * 7 + row * 13) % 5)) * 257);
            }
        });
}

}  // namespace greywright::testing
