#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "core/result.h"
#include "picture/vips/profile.h"

/// From the pixels of any picture to greys of one encoding; for this module's sources only.
namespace greywright::picture {

/// Where on the scale of an encoding, 0 .. 65535 and between, the luminance of a pixel lies.
class GreyRoute {
  public:
    /// `from`: the picture's ICC profile, empty = sRGB; `to`: the encoding's, for grey.
    /// Errors: profile-unusable.
    [[nodiscard]] static Result<GreyRoute> make(const std::string& from, int channels, int bits,
                                                const std::string& to);

    /// The greys that are their own codes.
    [[nodiscard]] static GreyRoute straight();

    [[nodiscard]] int channels() const { return channels_; }

    /// For a grey picture: the place of each of its codes.
    [[nodiscard]] const std::vector<double>& placesOfCodes() const { return places_; }

    /// For an RGB picture: the place of each pixel. Thread: any number of calls at once.
    template <typename Code>
    void placesOf(std::span<const Code> rgb, double* places) const;

  private:
    void readScale(const colourManagement::ToXyz& to);
    void readGrey(const colourManagement::ToXyz& from);
    void readSum(const colourManagement::ToXyz& from);
    [[nodiscard]] bool isSum(const colourManagement::ToXyz& from) const;
    [[nodiscard]] double placeOf(double luminance) const;

    int channels_ = 1;
    std::size_t codes_ = 65536;
    std::vector<double> scale_ = {};         // the luminance of each code of the encoding
    std::vector<std::uint32_t> begin_ = {};  // by the root of the luminance: where to begin to look in it
    std::vector<double> places_ = {};
    std::vector<double> share_[3] = {};  // what each code of a channel adds to the luminance, if it is a sum
    colourManagement::ToXyz otherwise_ = {};
};

}  // namespace greywright::picture
