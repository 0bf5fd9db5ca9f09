#pragma once

#include "book/records.h"
#include "core/result.h"

namespace greywright::book {

/// Whether a condition may be entered: named, complete, with up to three sound axes; none for a route that
/// has no tint control. Errors: condition-name-invalid, condition-incomplete (the field is named),
/// axis-count, axis-name-invalid, axis-name-twice, axis-range-invalid, axis-step-invalid (not above zero,
/// does not reach from min to max in whole steps, or takes more than 100,000 of them), time-invalid; all of
/// kind wrongUse.
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

/// Whether a light may be entered: named, with a spectrum or parts or both. Power may be below zero in
/// places, as where measuring noise or interpolation beside a line leaves it there, but not on the whole.
/// Errors: light-invalid, with name, wavelengths, power, ultraviolet or parts as the field (of kind badInput
/// with the file as the place where its contents are wrong, else wrongUse); time-invalid.
[[nodiscard]] Outcome checkLight(const LightRecord& light);

/// Whether a scene may be entered.
/// Errors: scene-invalid, with name, light, lux or glazing as the field; time-invalid; all of kind wrongUse.
[[nodiscard]] Outcome checkScene(const SceneRecord& scene);

/// Whether a glazing may be entered: named, with transmittances that are fractions, give or take 0.1 for
/// measuring noise and interpolation beside an edge.
/// Errors: glazing-invalid, with name, wavelengths or transmittance as the field (kinds as for checkLight());
/// time-invalid.
[[nodiscard]] Outcome checkGlazing(const GlazingRecord& glazing);

/// Whether a viewer may be entered: 20 to 80 years old, a field of 1 to 10 degrees, thresholds above zero.
/// Errors: viewer-invalid, with name, age, field, threshold-beside or threshold-alone as the field;
/// time-invalid; all of kind wrongUse.
/// Source: CIE 170-1:2006, the range of its age and field-size formulas.
[[nodiscard]] Outcome checkViewer(const ViewerRecord& viewer);

/// Whether a sheet may be kept. Errors: sheet-invalid, with code, name or definition as the field;
/// time-invalid; all of kind wrongUse.
[[nodiscard]] Outcome checkSheet(const SheetRecord& sheet);

/// Whether what was learned about a scanner or camera may be kept. Errors: device-invalid, with name or
/// characterisation as the field; time-invalid; all of kind wrongUse.
[[nodiscard]] Outcome checkDevice(const DeviceRecord& device);

/// Whether a correction may be kept. Errors: correction-invalid, with kind, content or trials as the field;
/// time-invalid; all of kind wrongUse.
[[nodiscard]] Outcome checkCorrection(const CorrectionRecord& correction);

/// Whether `when` is UTC in ISO 8601 to the second.
/// Errors: time-invalid.
[[nodiscard]] Outcome checkTime(const std::string& when);

}  // namespace greywright::book
