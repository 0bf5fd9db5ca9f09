#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/result.h"
#include "measure/reading.h"

namespace greywright::measure {

/// One line of a file's header. `keyword` is in capitals.
struct HeaderEntry {
    std::string keyword = {};
    std::string value = {};
    std::size_t line = 0;
};

/// The light and observer for which the file's own CIELAB was computed, as far as the file says.
struct WhiteStatement {
    std::string illuminant = {};  ///< "D50", "D65", "A" ...; empty = not said
    std::optional<double> observerDegrees = {};
    bool contradictory = false;  ///< two statements that cannot both be true
    std::size_t line = 0;        ///< where the statement that matters most stands
    std::string field = {};

    [[nodiscard]] bool isStated() const { return !illuminant.empty() || observerDegrees.has_value(); }
    /// Nothing that was said speaks against D50 and 2 degrees.
    [[nodiscard]] bool mayBeD50TwoDegrees() const;
    /// Both were said to be D50 and 2 degrees.
    [[nodiscard]] bool isD50TwoDegrees() const;
    /// "D65, 10 degrees" for people.
    [[nodiscard]] std::string text() const;

    void addIlluminant(std::string_view value, std::size_t atLine, std::string_view atField);
    void addObserver(std::string_view value, std::size_t atLine, std::string_view atField);
};

/// What a header says about the reading as a whole.
struct Statements {
    Condition condition = Condition::unknown;
    WhiteStatement white = {};
    std::string instrument = {};
    std::string created = {};
};

/// Finds the measurement condition wherever headers hide it, the white, the instrument and the date.
/// Statements that contradict each other or stand in free text alone leave the condition unknown, and a note
/// says so.
[[nodiscard]] Statements statementsFromHeader(std::span<const HeaderEntry> header, std::vector<Note>& notes);

/// The last value of a keyword, or nothing.
[[nodiscard]] const HeaderEntry* findEntry(std::span<const HeaderEntry> header, std::string_view keyword);

/// The condition that a short text names as a word of its own ("ISO 13655 - Reflection, M1").
/// Errors: unknown when it names none or more than one.
[[nodiscard]] Condition conditionNamedIn(std::string_view text);

}  // namespace greywright::measure
