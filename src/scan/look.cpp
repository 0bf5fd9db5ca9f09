#include "scan/look.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>
#include <vector>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "colour/words.h"
#include "core/contract.h"
#include "core/said.h"
#include "picture/write.h"
#include "scan/rgb.h"
#include "scan/sample.h"
#include "scan/white.h"

namespace greywright::scan {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr double kCardL = 95;
constexpr double kMostCardChroma = 6;
constexpr double kCameraTint = 2;

Error outside(const std::string& which, const picture::Reduced& picture) {
    return {.kind = ErrorKind::wrongUse,
            .code = which + "-outside",
            .what = said("the rectangle of the {} is not inside the picture", which),
            .where = {.field = which},
            .next = said("The picture has {} x {} pixels", picture.fileWidth, picture.fileHeight)};
}

std::optional<Quad> quadOf(const picture::Reduced& picture, const RectPx& rect) {
    const bool isInside = rect.x >= 0 && rect.y >= 0 && rect.width > 0 && rect.height > 0 &&
                          rect.x + rect.width <= double(picture.fileWidth) &&
                          rect.y + rect.height <= double(picture.fileHeight);
    if (!isInside) return std::nullopt;
    const double factor = double(picture.factor);
    const double left = rect.x / factor;
    const double top = rect.y / factor;
    const double right = left + rect.width / factor;
    const double bottom = top + rect.height / factor;
    return Quad{Vector2d{left, top}, {right, top}, {right, bottom}, {left, bottom}};
}

Outcome checkPatch(const Sample& sample) {
    const auto error = [](std::string code, std::string what, std::string next) {
        return Error{.code = std::move(code),
                     .what = std::move(what),
                     .where = {.field = "patch"},
                     .next = std::move(next)};
    };
    if (sample.pixels < 100) {
        return error("patch-too-small", said("only {} pixels show the place", sample.pixels),
                     said("Mark a larger place, or take a larger picture"));
    }
    if (sample.brightFraction > 0.02 || sample.darkFraction > 0.05) {
        return error("patch-clipped", said("the place is lighter or darker than the picture can show"),
                     said("Expose so that it is neither white nor black in the picture"));
    }
    if (const std::string fault = faultOf(sample); !fault.empty()) {
        return error("patch-uneven", said("the place does not look like one even area: ") + fault,
                     said("Mark a place of one tone, evenly lit and without glare"));
    }
    return Done{};
}

/// Squares of the scatter of the means of blocks: of a*, b* of the mean.
double scatterOf(std::span<const colour::Lab> blocks, const colour::Lab& mean) {
    double squares = 0;
    for (const colour::Lab& lab : blocks) {
        squares += (std::pow(lab.a - mean.a, 2) + std::pow(lab.b - mean.b, 2)) / 2;
    }
    const double count = std::max(2.0, double(blocks.size()));
    return squares / (count * (count - 1));
}

double codeOfLight(double light) {
    // IEC 61966-2-1
    const double within = std::clamp(light, 0.0, 1.0);
    return within <= 0.0031308 ? 12.92 * within : 1.055 * std::pow(within, 1 / 2.4) - 0.055;
}

}  // namespace

Result<Look> look(const picture::Reduced& picture, const RectPx& card, const RectPx& patch,
                  const LookOptions& options) {
    if (picture.channels != 3) {
        return Error{.code = "picture-grey",
                     .what = said("the picture has one channel, which says nothing about tint"),
                     .where = {},
                     .next = said("Scan or photograph in colour")};
    }
    const auto cardQuad = quadOf(picture, card);
    if (!cardQuad) return outside("card", picture);
    const auto patchQuad = quadOf(picture, patch);
    if (!patchQuad) return outside("patch", picture);
    const Sample cardSample = sampleOf(picture, *cardQuad);
    if (auto sound = checkCard(cardSample); !sound) return std::move(sound).error();
    const Sample patchSample = sampleOf(picture, *patchQuad);
    if (auto sound = checkPatch(patchSample); !sound) return std::move(sound).error();
    if (options.cardLab && std::hypot(options.cardLab->a, options.cardLab->b) > kMostCardChroma) {
        return Error{.code = "card-not-neutral",
                     .what = said("the card has a chroma of more than 6 by its own figures"),
                     .where = {.field = "card"},
                     .next = said("Use a card that is grey or white by measurement")};
    }
    std::vector<picture::Triple> codes{cardSample.mean, patchSample.mean};
    codes.insert(codes.end(), cardSample.blocks.begin(), cardSample.blocks.end());
    codes.insert(codes.end(), patchSample.blocks.begin(), patchSample.blocks.end());
    auto xyz = picture::xyzFromCodes(picture, codes);
    if (!xyz) return std::move(xyz).error();
    const Vector3d wanted = rgbFromLab(options.cardLab.value_or(colour::Lab{kCardL, 0, 0}));
    const Vector3d balance = wanted.cwiseQuotient(rgbFromXyz((*xyz)[0]).cwiseMax(1e-5));
    std::vector<colour::Lab> labs;
    for (const picture::Triple& one : *xyz) labs.push_back(labFromRgb(rgbFromXyz(one).cwiseProduct(balance)));
    Look out;
    out.lab = labs[1];
    out.chroma = std::hypot(out.lab.a, out.lab.b);
    out.hueDegrees = std::atan2(out.lab.b, out.lab.a) * 180 / std::numbers::pi;
    if (out.hueDegrees < 0) out.hueDegrees += 360;
    out.word = colour::tintName({out.lab.a, out.lab.b});
    const std::span<const colour::Lab> blocks(labs);
    const std::size_t cardBlocks = cardSample.blocks.size();
    out.standardError = std::sqrt(scatterOf(blocks.subspan(2, cardBlocks), labs[0]) +
                                  scatterOf(blocks.subspan(2 + cardBlocks), labs[1]));
    out.sharedError = kCameraTint;
    for (Eigen::Index c = 0; c < 3; ++c) out.balance[std::size_t(c)] = balance[c];
    return out;
}

Outcome writeMagnified(const picture::Reduced& picture, const Look& look, double factor,
                       const std::filesystem::path& path) {
    expects(factor >= 1 && factor <= 30, "writeMagnified: factor of 1 to 30");
    expects(picture.channels == 3, "writeMagnified: a colour picture");
    auto profile = picture::profileOf(picture::Encoding::srgb);
    if (!profile) return std::move(profile).error();
    const Vector3d balance{look.balance[0], look.balance[1], look.balance[2]};
    std::optional<Error> trouble;
    const auto fill = [&](std::size_t row, std::span<std::uint16_t> samples) {
        std::vector<picture::Triple> codes(picture.width);
        for (std::size_t i = 0; i < picture.width; ++i) {
            for (std::size_t c = 0; c < 3; ++c) {
                codes[i][c] = picture.codes[3 * (row * picture.width + i) + c] / 65535.0;
            }
        }
        const auto xyz = picture::xyzFromCodes(picture, codes);
        if (!xyz) {
            trouble = xyz.error();
            return;
        }
        for (std::size_t i = 0; i < picture.width; ++i) {
            colour::Lab lab = labFromRgb(rgbFromXyz((*xyz)[i]).cwiseProduct(balance));
            lab.a *= factor;
            lab.b *= factor;
            const Vector3d rgb = rgbFromLab(lab);
            for (std::size_t c = 0; c < 3; ++c) {
                // 257, so that writing the upper half of 16 bits rounds to the nearest of 8.
                samples[3 * i + c] =
                    static_cast<std::uint16_t>(257 * std::lround(255 * codeOfLight(rgb[Eigen::Index(c)])));
            }
        }
    };
    const auto goOn = [&](double) { return !trouble; };
    auto done = picture::writePixels(path,
                                     {.width = picture.width,
                                      .height = picture.height,
                                      .channels = 3,
                                      .bits = 8,
                                      .profile = *profile,
                                      .format = picture::FileFormat::png},
                                     fill, goOn);
    if (trouble) return *trouble;
    return done;
}

}  // namespace greywright::scan
