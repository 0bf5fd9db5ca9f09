#pragma once

// Private to the module.

#include <array>
#include <cstdint>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "colour/lab.h"
#include "core/result.h"
#include "profile/handles.h"
#include "profile/profile.h"

namespace greywright::profile {

/// A tag's table as curves: one for each channel in, a cube of two nodes a side, one for each channel out.
/// Every table here is a function of one value, so the cube only gathers and spreads, and nothing is lost
/// between its nodes. A curve is a function from 0..1 to 0..1; none = straight.
struct Curves {
    std::vector<std::function<double(double)>> in = {};
    /// The node for a corner of the cube, 0 or 1 for each channel in. Units: 0..1, equal for all channels
    /// out.
    std::function<double(const std::array<int, 3>&)> corner = {};
    std::vector<std::function<double(double)>> out = {};
    std::size_t channelsIn = 1;
    std::size_t channelsOut = 1;
};

/// A profile being written. The first failure is kept; bytes() tells it.
class Writer {
  public:
    Writer(cmsProfileClassSignature kind, cmsColorSpaceSignature space, cmsColorSpaceSignature connection,
           Version version);

    void description(const Description& description);
    /// ASCII alone, on several lines. Valid: textType tags.
    void text(cmsTagSignature tag, const std::string& ascii);
    void curve(cmsTagSignature tag, const std::function<double(double)>& f);
    void curves(cmsTagSignature tag, const Curves& curves);
    /// `tag` is another name for what `of` holds.
    void link(cmsTagSignature tag, cmsTagSignature of);
    void mediaWhite(const std::array<double, 3>& xyz);
    void inkjet();
    /// From grey codes through an inkjet printer.
    void sequence();

    /// Errors: profile-not-written, profile-unsound.
    [[nodiscard]] Result<std::string> bytes(const Moment& made);

  private:
    void write(cmsTagSignature tag, const void* data);
    void writeRaw(cmsTagSignature tag, std::string_view raw);
    [[nodiscard]] CurveHandle sampled(const std::function<double(double)>& f) const;
    [[nodiscard]] cmsStage* stageOf(const std::vector<std::function<double(double)>>& curves,
                                    std::size_t count) const;

    ContextHandle context_ = newContext();
    ProfileHandle profile_;
    Version version_;
    bool failed_ = false;
};

/// CIELAB as 0..1 of each channel's whole range, as the tables of a version hold it, and back for lightness.
/// Source: ICC.1:2001-04, annex A (65280 is L* = 100); ICC.1:2022, 6.3.4.2 (65535 is L* = 100).
[[nodiscard]] std::array<double, 3> encoded(const colour::Lab& lab, Version version);
[[nodiscard]] double lightnessOf(double encodedL, Version version);

}  // namespace greywright::profile
