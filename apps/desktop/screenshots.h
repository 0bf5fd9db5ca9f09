#pragma once

#include <QString>

namespace greywright::desktop {

/// Draws the start page, a new book, every part of a condition's page, the dialogs and the dark shade into a
/// folder as PNG, for the guide and for looking at them. 0 when all could be drawn.
[[nodiscard]] int drawScreenshots(const QString& folder);

}  // namespace greywright::desktop
