#include "picture/vips/grey_route.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <utility>

#include "core/said.h"
#include "picture/vips/entry.h"

namespace greywright::picture {
namespace {

using colourManagement::ToXyz;

constexpr std::size_t kCodes = 65536;
constexpr double kMost = 65535;

double luminance(const ToXyz& from, const double* pixel) {
    std::array<double, 3> xyz{};
    cmsDoTransform(from.transform.get(), pixel, xyz.data(), 1);
    return xyz[1];
}

}  // namespace

Result<GreyRoute> GreyRoute::make(const std::string& from, int channels, int bits, const std::string& to) {
    auto encoding = colourManagement::toXyz(to);
    if (!encoding) return std::move(encoding).error();
    if (encoding->channels != 1) {
        return Error{.code = "profile-unusable",
                     .what = said("the profile of the encoding is not for grey"),
                     .where = {},
                     .next = said("Take an ICC profile for one grey channel")};
    }
    auto source = from.empty() ? colourManagement::toXyzFromSrgb() : colourManagement::toXyz(from);
    if (!source) return std::move(source).error();
    GreyRoute route;
    route.channels_ = channels;
    route.codes_ = bits == 8 ? 256 : kCodes;
    route.readScale(*encoding);
    if (channels == 1) {
        route.readGrey(*source);
        return route;
    }
    route.readSum(*source);
    if (!route.isSum(*source)) {
        for (auto& share : route.share_) share.clear();
        route.otherwise_ = std::move(*source);
    }
    return route;
}

GreyRoute GreyRoute::straight() {
    GreyRoute route;
    route.places_.resize(kCodes);
    std::iota(route.places_.begin(), route.places_.end(), 0.0);
    return route;
}

void GreyRoute::readScale(const ToXyz& to) {
    scale_.resize(kCodes);
    double most = 0;
    for (std::size_t i = 0; i < kCodes; ++i) {
        const double code = static_cast<double>(i) / kMost;
        most = std::max(most, luminance(to, &code));  // never falls
        scale_[i] = most;
    }
    begin_.resize(kCodes);
    std::size_t below = 0;
    for (std::size_t i = 0; i < kCodes; ++i) {
        const double root = static_cast<double>(i) / kMost;
        while (below + 1 < kCodes && scale_[below + 1] <= root * root) ++below;
        begin_[i] = static_cast<std::uint32_t>(below);
    }
}

double GreyRoute::placeOf(double luminance) const {
    if (!(luminance > scale_.front())) return 0;
    if (luminance >= scale_.back()) return kMost;
    std::size_t below = begin_[static_cast<std::size_t>(std::sqrt(std::min(luminance, 1.0)) * kMost)];
    while (below > 0 && scale_[below] > luminance) --below;  // rounding of the root
    while (scale_[below + 1] <= luminance) ++below;
    return static_cast<double>(below) + (luminance - scale_[below]) / (scale_[below + 1] - scale_[below]);
}

void GreyRoute::readGrey(const ToXyz& from) {
    places_.resize(codes_);
    for (std::size_t i = 0; i < codes_; ++i) {
        const double code = static_cast<double>(i) / static_cast<double>(codes_ - 1);
        const std::array<double, 3> pixel{code, code, code};  // grey without a profile goes by that of sRGB
        places_[i] = placeOf(luminance(from, pixel.data()));
    }
}

void GreyRoute::readSum(const ToXyz& from) {
    const std::array<double, 3> none{};
    const double black = luminance(from, none.data());
    for (std::size_t c = 0; c < 3; ++c) {
        share_[c].resize(codes_);
        for (std::size_t i = 0; i < codes_; ++i) {
            std::array<double, 3> pixel{};
            pixel[c] = static_cast<double>(i) / static_cast<double>(codes_ - 1);
            share_[c][i] = luminance(from, pixel.data()) - (c == 0 ? 0 : black);
        }
    }
}

// Three curves and a matrix make the luminance a sum; a table of colours does not. Asked of 17 x 17 x 17
// colours.
bool GreyRoute::isSum(const ToXyz& from) const {
    constexpr std::size_t kSteps = 17;
    constexpr double kRounding = 2e-6;  // lcms2 reckons in single precision
    for (std::size_t i = 0; i < kSteps * kSteps * kSteps; ++i) {
        std::array<double, 3> pixel{};
        double sum = 0;
        std::size_t rest = i;
        for (std::size_t c = 0; c < 3; ++c, rest /= kSteps) {
            const std::size_t code = rest % kSteps * (codes_ - 1) / (kSteps - 1);
            pixel[c] = static_cast<double>(code) / static_cast<double>(codes_ - 1);
            sum += share_[c][code];
        }
        if (std::abs(luminance(from, pixel.data()) - sum) > kRounding) return false;
    }
    return true;
}

template <typename Code>
void GreyRoute::placesOf(std::span<const Code> rgb, double* places) const {
    const std::size_t pixels = rgb.size() / 3;
    if (!share_[0].empty()) {
        const double* red = share_[0].data();
        const double* green = share_[1].data();
        const double* blue = share_[2].data();
        for (std::size_t i = 0; i < pixels; ++i) {
            places[i] = placeOf(red[rgb[3 * i]] + green[rgb[3 * i + 1]] + blue[rgb[3 * i + 2]]);
        }
        return;
    }
    for (std::size_t i = 0; i < pixels; ++i) {
        std::array<double, 3> pixel{};
        for (std::size_t c = 0; c < 3; ++c) {
            pixel[c] = static_cast<double>(rgb[3 * i + c]) / static_cast<double>(codes_ - 1);
        }
        places[i] = placeOf(luminance(otherwise_, pixel.data()));
    }
}

template void GreyRoute::placesOf(std::span<const std::uint8_t>, double*) const;
template void GreyRoute::placesOf(std::span<const std::uint16_t>, double*) const;

}  // namespace greywright::picture
