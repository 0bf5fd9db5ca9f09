#pragma once

#include "book/records.h"
#include "core/result.h"

namespace greywright::book {

/// Whether a condition may be entered: named, complete, with one to three sound axes.
/// Errors: condition-name-invalid, condition-incomplete (the field is named), axis-count, axis-name-invalid,
/// axis-name-twice, axis-range-invalid, axis-step-invalid (not above zero, does not reach from min to max in
/// whole steps, or takes more than 100,000 of them), time-invalid; all of kind wrongUse.
[[nodiscard]] Outcome checkCondition(const ConditionRecord& condition);

/// The setting in the order of the axes, each value exactly as the driver shows it: the decimal number on the
/// step (0.3, never 0.30000000000000004), so that equal settings compare equal.
/// Errors: setting-axis-unknown, setting-axis-twice, setting-axis-missing, setting-out-of-range,
/// setting-off-step; all of kind wrongUse with the axis as the field.
[[nodiscard]] Result<Setting> settingOnAxes(const std::vector<AxisRecord>& axes, const Setting& setting);

/// Whether the book can keep a reading without loss.
/// Errors: reading-invalid (no patches, a number that is not finite, a spectrum that does not fit the grid),
/// time-invalid.
[[nodiscard]] Outcome checkReading(const ReadingRecord& reading);

/// Whether `when` is UTC in ISO 8601 to the second.
/// Errors: time-invalid.
[[nodiscard]] Outcome checkTime(const std::string& when);

}  // namespace greywright::book
