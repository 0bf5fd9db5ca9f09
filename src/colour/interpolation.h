#pragma once

#include <span>
#include <vector>

#include "colour/spectrum.h"

namespace greywright::colour {

/// Where a value on one grid comes from: it is the sum of `weight` times the value at `index` of another.
struct InterpolationTerm {
    std::size_t index = 0;
    double weight = 0;
};

/// How to read samples on `grid` at one wavelength: Sprague's fifth-degree interpolation where the grid has
/// six points or more, linear below that, the end value outside the grid. Shape: one to six terms whose
/// weights add up to 1. Source: CIE 167:2005, with its two extrapolated points at either end (coefficients
/// from memory).
[[nodiscard]] std::vector<InterpolationTerm> interpolationTerms(const WavelengthGrid& grid, double nm);

/// Reflectances or other smooth quantities brought onto kFineGrid by those terms.
/// Shape: rows of grid.count become rows of kFineGrid.count.
[[nodiscard]] std::vector<std::vector<double>> onFineGrid(const WavelengthGrid& grid,
                                                          std::span<const std::vector<double>> rows);

/// A tabulated illuminant brought onto kFineGrid: linear between nodes, zero outside the table, as the CIE
/// prescribes for its own tables (CIE 15:2018).
[[nodiscard]] Spectrum illuminantOnFineGrid(const WavelengthGrid& grid, std::span<const double> values);

/// The same on any other grid. Shape: one value per wavelength of `target`.
[[nodiscard]] std::vector<double> illuminantOnGrid(const WavelengthGrid& grid, std::span<const double> values,
                                                   const WavelengthGrid& target);

}  // namespace greywright::colour
