#pragma once

namespace greywright::colour {

/// CIE tristimulus values. Units: Y = 100 for the perfect diffuser under the same light.
struct Xyz {
    double X = 0;
    double Y = 0;
    double Z = 0;
};

/// CIELAB (ISO/CIE 11664-4). Always relative to the white of the light it was computed for.
struct Lab {
    double L = 0;
    double a = 0;
    double b = 0;
};

/// A neutral's distance from neutral in the a*b* plane, or of one colour from another at equal lightness.
struct Tint {
    double a = 0;
    double b = 0;
};

}  // namespace greywright::colour
