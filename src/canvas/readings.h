#pragma once

#include <optional>
#include <string>
#include <vector>

#include "figure/layout.h"
#include "figure/plot.h"

/// What a plot says at a place, in words: the part of pointing that needs no widget.
namespace greywright::canvas {

/// A sample of a plot in words, and where on the page it is; a place of a map has no sample.
struct Reading {
    std::string text = {};
    std::optional<figure::Point> at = {};
};

/// What is nearest to a point of the page: the nearest sample of the nearest line or points; on a map its
/// value there, unless a sample is close by. Nothing where there is neither. Valid: axes with an area.
[[nodiscard]] std::optional<Reading> readingNear(const figure::Plot& plot, const figure::Axes& axes,
                                                 figure::Point pointer);

/// The values of all named lines at `x`, interpolated between samples. Lines that turn back in x are left
/// out.
[[nodiscard]] std::string readingAtX(const figure::Plot& plot, const figure::Axes& axes, double x);

/// A place by both axes, with the map's value there if there is a map.
[[nodiscard]] std::string readingAtPlace(const figure::Plot& plot, const figure::Axes& axes, figure::XY at);

/// A value as its axis says it, fine enough to tell a fiftieth of a mark apart; with the axis' unit if asked.
[[nodiscard]] std::string valueText(const figure::Axis& axis, figure::Range shown, double value,
                                    bool withUnit);

/// Every x that a line has a sample at, ascending, each once.
[[nodiscard]] std::vector<double> sampledX(const figure::Plot& plot);

}  // namespace greywright::canvas
