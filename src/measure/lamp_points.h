#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/result.h"
#include "measure/lamp_words.h"
#include "measure/text.h"

namespace greywright::measure {

/// A file that is read for the sake of a lamp or of a glazing; the two are refused under their own codes.
struct LampSource {
    enum class Wanted { lamp, transmittance };

    Source source = {};
    Wanted wanted = Wanted::lamp;

    /// A refusal whose code is `lamp-` or `transmittance-` with `fault` behind.
    [[nodiscard]] Error refusal(std::string_view fault, std::string what, std::string next,
                                std::size_t line = 0, std::string field = {}) const;
    /// "lamp" or "transmittance".
    [[nodiscard]] const char* noun() const;
};

/// The greatest distance in nm between two points of a table in 400..700 nm.
inline constexpr double kLargestTableGapNm = 20;

/// The same for IES TM-27, which allows any wavelengths: laboratories leave out straight stretches.
inline constexpr double kLargestTm27GapNm = 30;

/// Values over wavelength as a file gives them, before anything was decided about them. Shape: three vectors
/// of one length.
struct SpectralPoints {
    std::string name = {};
    std::string description = {};
    std::string format = {};
    Ordinate ordinate = {};
    std::vector<double> wavelengths = {};  ///< nm, or micrometres until inNanometres()
    std::vector<double> values = {};
    std::vector<std::size_t> lines = {};
    double largestGapNm = kLargestTableGapNm;
    std::vector<Note> notes = {};

    [[nodiscard]] std::size_t lineOf(std::size_t index) const {
        return index < lines.size() ? lines[index] : 0;
    }
};

/// A number with a decimal point or a decimal comma, but not both; remembers which marks came up.
class MarkedNumbers {
  public:
    [[nodiscard]] std::optional<double> read(std::string_view text);
    [[nodiscard]] bool commaSeen() const { return commaSeen_; }
    [[nodiscard]] bool isMixed() const { return commaSeen_ && pointSeen_; }

  private:
    bool commaSeen_ = false;
    bool pointSeen_ = false;
};

/// Refuses both decimal marks in one file and notes decimal commas. Errors: mixed-decimal-marks.
[[nodiscard]] Outcome checkMarks(const MarkedNumbers& numbers, const LampSource& source, std::size_t line,
                                 std::vector<Note>& notes);

/// Turns micrometres into nanometres, with a note. Errors: ...-wavelength-unit.
[[nodiscard]] Outcome inNanometres(SpectralPoints& points, const LampSource& source);

/// What every spectrum must be, in nm. Errors: ...-wavelengths-not-increasing, ...-value-out-of-range,
/// ...-too-few-points, ...-gap.
[[nodiscard]] Outcome checkPoints(const SpectralPoints& points, const LampSource& source);

/// Linear between points. Valid: ascending wavelengths; `nm` within them.
[[nodiscard]] double valueAt(const SpectralPoints& points, double nm);

/// The greatest distance between neighbours that lie in 400..700 nm or reach into it, and the index of the
/// second of the two.
struct Gap {
    double nm = 0;
    std::size_t index = 0;
};
[[nodiscard]] Gap largestGap(const SpectralPoints& points);

/// The first spectrum of an IES TM-27 document that can be what is wanted.
/// Errors: xml-not-well-formed, xml-doctype, xml-too-complex, mixed-decimal-marks, ...-not-recognised,
/// ...-no-points, ...-not-a-number, ...-other-quantity.
[[nodiscard]] Result<SpectralPoints> pointsFromTm27(std::string_view text, const LampSource& source,
                                                    std::vector<Note> notes);

/// The spectrum in a table, of several columns the one named.
/// Errors: mixed-decimal-marks, ...-not-recognised, ...-not-a-number, ...-value-missing, ...-row-too-long,
/// ...-row-unreadable, ...-too-long, ...-column-missing, ...-column-unknown, ...-wavelength-unit,
/// ...-unit-unclear.
[[nodiscard]] Result<SpectralPoints> pointsFromLampTable(std::string_view text, const LampSource& source,
                                                         const std::optional<std::string>& column,
                                                         std::vector<Note> notes);

}  // namespace greywright::measure
