#pragma once

#include <array>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "picture/read.h"

namespace greywright::scan {

/// The four corners of an area, one after the other all round. Units: pixels of the picture in memory.
using Quad = std::array<Eigen::Vector2d, 4>;

/// An even area as the picture shows it. Units: codes 0 .. 1.
struct Sample {
    picture::Triple mean = {};
    std::vector<picture::Triple> blocks = {};  ///< means of its parts, freed from an even slope
    std::size_t pixels = 0;
    double leftOutFraction = 0;
    double brightFraction = 0;  ///< pixels at the upper end in some channel
    double darkFraction = 0;    ///< pixels at the lower end in some channel
    double slope = 0;           ///< from one side to the other, of the channel where it is most
    double unevenness = 0;      ///< standard deviation of the blocks, of the channel where it is most
};

/// The mean over a quadrilateral.
/// Model: a plane in each channel with noise around it; pixels that are farther from it than 3.5 robust
/// standard deviations in any channel are left out, the plane is fitted again, until nothing changes: dust,
/// glare, a finger's edge. Breaks down when half the pixels are of something else.
/// Source: Rousseeuw and Leroy (1987), "Robust Regression and Outlier Detection", reweighted least squares;
/// Hampel (1974), J. Am. Stat. Assoc. 69, 383-393, for the median absolute deviation.
/// Cost: each pixel some ten times.
[[nodiscard]] Sample sampleOf(const picture::Reduced& picture, const Quad& quad);

/// Why a sample cannot be used; empty when it can.
[[nodiscard]] std::string faultOf(const Sample& sample);

}  // namespace greywright::scan
