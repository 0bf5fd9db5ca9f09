#include "theme.h"

#include <QApplication>
#include <QStyleFactory>
#include <algorithm>
#include <array>
#include <cmath>

namespace greywright::desktop {
namespace {

QColor grey(int level) {
    return {level, level, level};
}

struct Greys {
    int window, base, alternate, text, button, bright, light, mid, dark, shadow, highlight, highlighted,
        faint;
};

constexpr Greys kLight{.window = 232,
                       .base = 246,
                       .alternate = 239,
                       .text = 26,
                       .button = 222,
                       .bright = 0,
                       .light = 255,
                       .mid = 176,
                       .dark = 140,
                       .shadow = 96,
                       .highlight = 74,
                       .highlighted = 255,
                       .faint = 100};
constexpr Greys kDark{.window = 44,
                      .base = 34,
                      .alternate = 40,
                      .text = 228,
                      .button = 60,
                      .bright = 255,
                      .light = 84,
                      .mid = 72,
                      .dark = 26,
                      .shadow = 14,
                      .highlight = 196,
                      .highlighted = 20,
                      .faint = 164};

double linear(double encoded) {
    return encoded <= 0.04045 ? encoded / 12.92 : std::pow((encoded + 0.055) / 1.055, 2.4);
}

double luminance(const QColor& colour) {
    return 0.2126 * linear(colour.redF()) + 0.7152 * linear(colour.greenF()) +
           0.0722 * linear(colour.blueF());
}

}  // namespace

double contrast(const QColor& one, const QColor& other) {
    const auto [dark, bright] = std::minmax({luminance(one), luminance(other)});
    return (bright + 0.05) / (dark + 0.05);
}

QPalette paletteOf(Shade shade) {
    const Greys& its = shade == Shade::dark ? kDark : kLight;
    QPalette palette;
    const std::array<std::pair<QPalette::ColorRole, int>, 18> roles{
        {{QPalette::Window, its.window},
         {QPalette::WindowText, its.text},
         {QPalette::Base, its.base},
         {QPalette::AlternateBase, its.alternate},
         {QPalette::ToolTipBase, its.base},
         {QPalette::ToolTipText, its.text},
         {QPalette::Text, its.text},
         {QPalette::Button, its.button},
         {QPalette::ButtonText, its.text},
         {QPalette::BrightText, its.bright},
         {QPalette::Light, its.light},
         {QPalette::Midlight, (its.light + its.button) / 2},
         {QPalette::Mid, its.mid},
         {QPalette::Dark, its.dark},
         {QPalette::Shadow, its.shadow},
         {QPalette::Highlight, its.highlight},
         {QPalette::HighlightedText, its.highlighted},
         {QPalette::PlaceholderText, its.faint}}};
    for (const auto& [role, level] : roles) palette.setColor(role, grey(level));
    palette.setColor(QPalette::Link, grey(its.text));
    palette.setColor(QPalette::LinkVisited, grey(its.text));
    for (const auto role : {QPalette::WindowText, QPalette::Text, QPalette::ButtonText})
        palette.setColor(QPalette::Disabled, role, grey(its.faint));
    return palette;
}

void dress(QApplication& application, Shade shade) {
    QApplication::setPalette(QPalette());  // back to what the system says
    if (shade == Shade::system) shade = isDark() ? Shade::dark : Shade::light;
    QApplication::setStyle(QStyleFactory::create(QStringLiteral("Fusion")));
    QApplication::setPalette(paletteOf(shade));
    // A focus that shows by more than a colour, room to breathe, and no colour anywhere.
    application.setStyleSheet(
        QStringLiteral("QToolTip { border: 1px solid palette(mid); padding: 3px; }"
                       "QGroupBox { border: none; margin-top: 0; }"));
}

bool isDark() {
    return QGuiApplication::palette().color(QPalette::Window).lightness() < 128;
}

}  // namespace greywright::desktop
