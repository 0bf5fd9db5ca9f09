#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/result.h"

namespace greywright::correct {

/// One point of a curve. Units: 0 = bare paper, 100 = maximum black.
struct CurvePoint {
    double tonePercent = 0;  ///< what a picture asks for
    double sendPercent = 0;  ///< what to send to the printer for it
};

/// A tone curve from paper to black: always darker, ends where they were, so that no tone is clipped.
/// Between its points a cubic that keeps their order.
/// Source: F. N. Fritsch and R. E. Carlson (1980), SIAM J. Numer. Anal. 17(2), 238-246.
class ToneCurve {
  public:
    /// The curve that changes nothing.
    ToneCurve();

    /// Valid: two points or more, from 0, 0 to 100, 100, both rising at every step.
    explicit ToneCurve(std::vector<CurvePoint> points);

    /// The curve of a text(). Errors: curve-not-read, curve-not-rising; the place is the line.
    [[nodiscard]] static Result<ToneCurve> fromText(std::string_view text);

    /// What to send for a tone; outside 0..100 the ends hold.
    [[nodiscard]] double at(double tonePercent) const;

    /// The tone for which at() sends so much.
    [[nodiscard]] double toneThatSends(double sendPercent) const;

    [[nodiscard]] std::span<const CurvePoint> points() const { return points_; }

    /// A text that reads back as the same curve to the last bit.
    [[nodiscard]] std::string text() const;

  private:
    std::vector<CurvePoint> points_;
    std::vector<double> slopes_;
};

/// The curve that sends what `later` asks of `earlier`: `later` corrects prints made through `earlier`.
/// Shape: points at the tones of both.
[[nodiscard]] ToneCurve compose(const ToneCurve& earlier, const ToneCurve& later);

}  // namespace greywright::correct
