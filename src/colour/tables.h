#pragma once

#include <cstddef>
#include <span>

#include "colour/spectrum.h"

/// The tables under data/, embedded at build time by tools/embed_tables.cpp. Private to this module.
namespace greywright::colour::tables {

/// Columns over equally spaced wavelengths.
struct Table {
    WavelengthGrid grid;
    std::size_t columnCount;
    const double* values;  ///< column after column

    [[nodiscard]] std::span<const double> column(std::size_t index) const {
        return {values + index * grid.count, grid.count};
    }
};

extern const Table cie1931Observer;
extern const Table cie1964Observer;
extern const Table cieDaylightBasis;
extern const Table cieFluorescent;
extern const Table cieRenderingSamples;
extern const Table conePigmentsAndMedia;
extern const Table measuredLamps;

}  // namespace greywright::colour::tables
