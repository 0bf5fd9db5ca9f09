#!/usr/bin/env python3
"""CIELAB of 462 measured Munsell papers, computed without this project's code.

    python3 tools/reference/munsell.py     writes tests/reference/munsell_{reflectance,lab}.csv

Needs numpy, scipy, colorspacious and the packages psychtoolbox-3-common and colord-data.
What differs from the program on purpose: files read by scipy; reflectance interpolated by a cubic spline
(not Sprague); A from a printed 5 nm table (not the formula); D50 from the components as psychtoolbox-3-common
has them where it has them (380-780 nm); sums by numpy; CIELAB by colorspacious.
What is the same by convention: 1 nm sums over 360-830 nm, end values held outside 400-700 nm, lights linear
between nodes and zero outside their tables, white with the sample's own weights.
"""
import pathlib

import colorspacious
import numpy
import scipy.interpolate
import scipy.io

PSYCH = pathlib.Path("/usr/share/psychtoolbox-3/PsychColorimetricData/PsychColorimetricMatFiles")
COLORD = pathlib.Path("/usr/share/colord/illuminant")
OUT = pathlib.Path(__file__).resolve().parents[2] / "tests" / "reference"

FINE = numpy.arange(360, 831)
COARSE = numpy.arange(380, 781, 5)
BANDS = numpy.arange(400, 701, 5)


def mat(name):
    return scipy.io.loadmat(PSYCH / f"{name}.mat")[name]


def linear(nm, values):
    return numpy.interp(FINE, nm, values, left=0, right=0)


def lights():
    s0, s1, s2 = mat("B_cieday").T
    d50 = linear(COARSE, s0 - 1.039 * s1 + 0.363 * s2)
    a = linear(COARSE, mat("spd_CIEA").ravel())
    text = (COLORD / "CIE-F11.sp").read_text().split("BEGIN_DATA\n")[1].split("END_DATA")[0]
    f11 = linear(COARSE, numpy.array(text.split(), dtype=float))
    return {"D50": d50, "A": a, "F11": f11}


def main():
    papers = numpy.round(mat("sur_nickerson").T[:, (COARSE >= 400) & (COARSE <= 700)], 4)
    spline = scipy.interpolate.CubicSpline(BANDS, papers, axis=1)
    fine = spline(numpy.clip(FINE, 400, 700))
    observer = mat("T_xyz1931")
    columns = []
    for power in lights().values():
        weights = observer * power
        weights *= 100 / weights[1].sum()
        white = weights.sum(axis=1)
        columns.append(colorspacious.cspace_convert(
            fine @ weights.T, {"name": "XYZ100"}, {"name": "CIELab", "XYZ100_w": white}))
    labs = numpy.hstack(columns)

    origin = "# Reflectance: sur_nickerson.mat of psychtoolbox-3-common (Expat): Munsell papers measured by Nickerson"
    with open(OUT / "munsell_reflectance.csv", "w", encoding="ascii", newline="\n") as file:
        file.write(f"{origin},\n# rounded to four decimals. Made by tools/reference/munsell.py\n")
        file.write(",".join(f"nm{nm}" for nm in BANDS) + "\n")
        for row in papers:
            file.write(",".join(f"{value:.4g}" if value < 0.1 else f"{value:.4f}".rstrip("0") for value in row) + "\n")
    with open(OUT / "munsell_lab.csv", "w", encoding="ascii", newline="\n") as file:
        file.write("# CIELAB, 1931 observer, of munsell_reflectance.csv by numpy, scipy and colorspacious.\n"
                   "# Made by tools/reference/munsell.py\n")
        file.write(",".join(f"{axis}_{name}" for name in lights() for axis in "Lab") + "\n")
        for row in labs:
            file.write(",".join(f"{value:.5f}" for value in row) + "\n")


if __name__ == "__main__":
    main()
