#pragma once

// Private to the module.

#include <array>
#include <span>
#include <vector>

#include "colour/lab.h"
#include "core/result.h"
#include "profile/profile.h"

namespace greywright::profile {

/// The white of the profile connection space, D50. Source: ICC.1:2022, 7.2.16.
inline constexpr std::array<double, 3> kConnectionWhite{0.9642, 1.0, 0.8249};

/// Tristimulus values of a colour, Y = 1 for the perfect diffuser, for the connection space's white.
[[nodiscard]] std::array<double, 3> xyzFromLab(const colour::Lab& lab);
[[nodiscard]] colour::Lab labFromXyz(const std::array<double, 3>& xyz);

/// A cubic through points that keeps their order and turns nowhere between them.
/// Source: F. N. Fritsch and J. Butland (1984), SIAM J. Sci. Stat. Comput. 5(2), 300-304.
class Through {
  public:
    /// Valid: x ascending. Shape: two points or more.
    Through(std::vector<double> x, std::vector<double> y);

    /// Outside the points the ends hold.
    [[nodiscard]] double at(double x) const;

  private:
    std::vector<double> x_;
    std::vector<double> y_;
    std::vector<double> slopes_;
};

/// A measured ramp as a function of tone, in figures as measured and relative to its paper.
class Response {
  public:
    /// Errors: those of greyProfile() that concern the readings.
    [[nodiscard]] static Result<Response> of(std::span<const MeasuredTone> tones);

    /// Media-relative CIELAB: tristimulus values over the paper's. Source: ICC.1:2022, 6.3.2.
    [[nodiscard]] colour::Lab relativeAt(double tonePercent) const;

    /// The tone of a media-relative lightness; outside the ramp its ends.
    [[nodiscard]] double toneOf(double relativeL) const;

    [[nodiscard]] const std::array<double, 3>& paper() const { return paper_; }
    [[nodiscard]] const std::vector<MeasuredTone>& relative() const { return relative_; }

  private:
    explicit Response(std::vector<MeasuredTone> relative, const std::array<double, 3>& paper);

    std::vector<MeasuredTone> relative_;
    std::array<double, 3> paper_;
    Through lightness_;
    Through a_;
    Through b_;
};

/// A table from tone to codes as functions of tone.
class Table {
  public:
    /// Errors: those of rgbProfile() that concern the table.
    [[nodiscard]] static Result<Table> of(std::span<const CodesOfTone> rows);

    /// Units: fractions of full light.
    [[nodiscard]] std::array<double, 3> at(double tonePercent) const;

    /// The tone whose codes have this mean; outside the table its ends.
    [[nodiscard]] double toneOfMean(double mean) const;

  private:
    explicit Table(std::array<Through, 3> channels) : channels_(std::move(channels)) {}

    std::array<Through, 3> channels_;
};

}  // namespace greywright::profile
