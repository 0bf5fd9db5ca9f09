#pragma once

#include <QPalette>

class QApplication;

namespace greywright::desktop {

/// What the window looks like: true neutral greys only, since a coloured surround spoils the eye.
enum class Shade { system, light, dark };

/// The palette of a shade. Valid: light or dark.
/// Units: contrast of text and ground 4.5 or more (WCAG 2.1, 1.4.3).
[[nodiscard]] QPalette paletteOf(Shade shade);

/// Dresses the whole program.
void dress(QApplication& application, Shade shade);

/// Whether the program is dressed dark.
[[nodiscard]] bool isDark();

/// How well two colours are told apart. Source: WCAG 2.1, relative luminance and contrast ratio.
[[nodiscard]] double contrast(const QColor& one, const QColor& other);

}  // namespace greywright::desktop
