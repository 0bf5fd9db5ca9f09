#!/usr/bin/env python3
"""CAM16-UCS coordinates of the rows of tests/reference/ciecam16.csv by colorspacious.

    python3 tools/reference/cam16_ucs.py     writes tests/reference/cam16_ucs.csv

CAM16-UCS takes over CAM02-UCS's formula and constants (Li et al. 2017), which colorspacious implements.
"""
import pathlib

import numpy
from colorspacious.luoetal2006 import CAM02UCS

FOLDER = pathlib.Path(__file__).resolve().parents[2] / "tests" / "reference"
rows = numpy.array([[float(cell) for cell in line.split(",")]
                    for line in (FOLDER / "ciecam16.csv").read_text().splitlines()
                    if line[0] not in "#X"])
JMh = rows[:, [10, 13, 12]]
with open(FOLDER / "cam16_ucs.csv", "w", encoding="ascii", newline="\n") as file:
    file.write("# CAM16-UCS by colorspacious. Made by tools/reference/cam16_ucs.py\nJ,M,h,Jp,ap,bp\n")
    for before, after in zip(JMh, CAM02UCS.JMh_to_Jpapbp(JMh)):
        file.write(",".join(f"{value:.7f}" for value in [*before, *after]) + "\n")
