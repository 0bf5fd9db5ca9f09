#pragma once

#include <QMimeData>
#include <filesystem>
#include <memory>
#include <string_view>

#include "core/result.h"
#include "figure/scene.h"

namespace greywright::canvas {

/// `scene` with a line in small type below it, broken where it is too long. An empty one changes nothing.
[[nodiscard]] figure::Scene withSource(figure::Scene scene, std::string_view source);

/// The figure for the clipboard: a picture at twice the size of a screen of 96 dots per inch, as PNG and for
/// programs that take any picture, and the SVG of the reports.
[[nodiscard]] std::unique_ptr<QMimeData> mimeFromScene(const figure::Scene& scene);

/// Puts the figure on the system's clipboard. Valid: a QGuiApplication runs.
void copyFigure(const figure::Scene& scene);

/// Writes the figure as what the file's ending says: .svg, .png (300 dots per inch) or .pdf (one page of the
/// figure's size, lines and text as such), completely or not at all. Always black on white.
/// Errors: file-ending (wrongUse), write-failed (cannotWrite).
[[nodiscard]] Outcome saveFigure(const figure::Scene& scene, const std::filesystem::path& path);

}  // namespace greywright::canvas
