#!/usr/bin/env python3
"""Converts the colour tables that ship under data/ from two Debian packages.

    python3 tools/make_tables.py            writes data/*.csv
    python3 tools/make_tables.py --lamps    lists the 401 lamps from which MEASURED_LAMPS is a choice

Needs, only for this conversion, the packages psychtoolbox-3-common (observers at 1 nm, MATLAB v5 files) and
colord-data (F1..F12, S0..S2, CIE 13.3 test samples, CGATS-like text). The build needs neither: it embeds the
CSV files. Known errors of colord-data's tables are corrected here, each by name.
Standard library only.
"""
import hashlib
import pathlib
import struct
import sys
import zlib

PSYCH = pathlib.Path("/usr/share/psychtoolbox-3/PsychColorimetricData/PsychColorimetricMatFiles")
COLORD = pathlib.Path("/usr/share/colord")
DATA = pathlib.Path(__file__).resolve().parent.parent / "data"

PSYCH_LICENCE = "Expat (debian/copyright of psychtoolbox-3-common)"
COLORD_LICENCE = "GPL-2+ as declared for the package colord-data; the figures are those of the CIE publication"

# What colord-data prints wrongly, found by comparison with other collections of the same CIE tables; every one
# of these values is confirmed by spd_houser of psychtoolbox-3-common (below). Units: as in CIE 15.
CORRECTIONS = {
    ("F5", 690): 1.48,   # package: 1.43
    ("F6", 625): 8.95,   # package: 8.96
    ("F9", 530): 10.78,  # package: 10.76
    ("F10", 385): 0.80,  # package: 0.63
    ("F10", 605): 8.31,  # package: 8.81
}

# The measured lamps that ship: our name, and the place of the lamp in spd_houser, counted from 1. Chosen for
# who hangs prints; models and laboratory mixtures left out. The order is that of src/colour/lamps.cpp.
MEASURED_LAMPS = {
    "led-warm-82": 378,
    "led-warm-93": 384,
    "led-gallery-97": 383,
    "led-violet-96": 400,
    "led-mixed-90": 123,
    "led-neutral-81": 118,
    "led-cool-71": 380,
    "led-daylight-98": 249,
    "led-rgb-32": 239,
    "fluorescent-warm-85": 331,
    "tube-warm-85": 46,
    "tube-neutral-84": 48,
    "tube-halophosphate-58": 53,
    "tube-broadband-90": 55,
    "tube-gallery-95": 51,
    "incandescent": 369,
    "incandescent-neodymium": 12,
    "halogen": 394,
    "halogen-daylight-90": 325,
    "metal-halide-87": 64,
}


def read_mat5(path):
    """Arrays of a MATLAB level 5 file, as {name: (rows, columns, column-major list)}: numbers, or the texts of
    a cell array of texts."""
    raw = path.read_bytes()
    little = raw[126:128] == b"IM"
    order = "<" if little else ">"
    formats = {1: "b", 2: "B", 3: "h", 4: "H", 5: "i", 6: "I", 7: "f", 9: "d", 12: "q", 13: "Q"}

    def element(buffer, at):
        """(type, payload, position after) of one tagged element; small elements hold 4 bytes or fewer."""
        word = struct.unpack_from(order + "I", buffer, at)[0]
        if word >> 16:
            size = word >> 16
            return word & 0xFFFF, buffer[at + 4:at + 4 + size], at + 8
        size = struct.unpack_from(order + "I", buffer, at + 4)[0]
        return word, buffer[at + 8:at + 8 + size], at + 8 + (size + 7) // 8 * 8

    def numbers(kind, payload):
        code = formats[kind]
        count = len(payload) // struct.calcsize(order + code)
        return list(struct.unpack_from(f"{order}{count}{code}", payload))

    def text(payload):
        """What a cell holds: an array without a name, of characters in one row."""
        inner = 0
        for _ in range(3):  # flags, dimensions, name
            _, _, inner = element(payload, inner)
        kind, characters, _ = element(payload, inner)
        return characters.decode("utf-8") if kind == 16 else "".join(map(chr, numbers(kind, characters)))

    arrays = {}
    at = 128
    while at + 8 <= len(raw):
        kind, size = struct.unpack_from(order + "II", raw, at)
        payload = raw[at + 8:at + 8 + size]
        at += 8 + size
        if kind == 15:
            payload = zlib.decompress(payload)
            payload = payload[8:]
        elif kind != 14:
            continue
        flagKind, flags, inner = element(payload, 0)
        arrayClass = numbers(flagKind, flags)[0] & 0xFF
        dimensionKind, dimensions, inner = element(payload, inner)
        rows, columns = numbers(dimensionKind, dimensions)[:2]
        _, name, inner = element(payload, inner)
        if arrayClass == 1:
            texts = []
            while inner < len(payload):
                _, cell, inner = element(payload, inner)
                texts.append(text(cell))
            arrays[name.decode("ascii")] = (rows, columns, texts)
        elif 6 <= arrayClass <= 15:
            valueKind, values, inner = element(payload, inner)
            arrays[name.decode("ascii")] = (rows, columns, numbers(valueKind, values))
    return arrays


def read_colord(path):
    """(start, step, rows) of colord's text tables; a leading sample name in a row is dropped."""
    start = end = bands = None
    rows = []
    inside = False
    for line in path.read_text(encoding="utf-8").splitlines():
        words = line.split()
        if not words:
            continue
        if words[0] == "SPECTRAL_START_NM":
            start = float(words[1])
        elif words[0] == "SPECTRAL_END_NM":
            end = float(words[1])
        elif words[0] == "SPECTRAL_BANDS":
            bands = int(words[1])
        elif words[0] == "BEGIN_DATA":
            inside = True
        elif words[0] == "END_DATA":
            inside = False
        elif inside:
            rows.append([float(word) for word in words[-bands:]])
    return start, (end - start) / (bands - 1), rows


def number(value):
    text = f"{value:.9g}"
    return "0" if text == "-0" else text


def write_csv(name, title, sources, licence, remarks, header, rows):
    lines = [f"# {title}"]
    for source in sources:
        digest = hashlib.sha256(source.read_bytes()).hexdigest()
        lines.append(f"# Origin: {source.name}, SHA-256 {digest}")
    lines.append(f"# Licence: {licence}")
    lines += [f"# {remark}" for remark in remarks]
    lines.append(",".join(["nm"] + header))
    lines += [",".join(number(value) for value in row) for row in rows]
    (DATA / name).write_text("\n".join(lines) + "\n", encoding="ascii", newline="\n")


def observers():
    for year, degrees in ((1931, 2), (1964, 10)):
        path = PSYCH / f"T_xyz{year}.mat"
        arrays = read_mat5(path)
        start, step, count = arrays[f"S_xyz{year}"][2]
        rows, columns, values = arrays[f"T_xyz{year}"]
        assert rows == 3 and columns == count == 471 and (start, step) == (360, 1)
        table = [[start + i] + values[3 * i:3 * i + 3] for i in range(columns)]
        write_csv(f"cie_{year}_observer.csv",
                  f"CIE {year} standard colorimetric observer ({degrees} degrees), 1 nm, 360-830 nm",
                  [path], PSYCH_LICENCE, ["Package: psychtoolbox-3-common"],
                  ["x_bar", "y_bar", "z_bar"], table)


def confirm_fluorescent(columns):
    """Stops unless spd_houser, which holds the same lamps as shares of their peaks, agrees everywhere."""
    _, lamps = read_lamps()
    for number, column in enumerate(columns, start=1):
        peak = max(column)
        worst = min(max(abs(peak * a - b) for a, b in zip(lamp, column)) for lamp in lamps)
        assert worst < 1e-6, f"F{number} departs by {worst}"


def fluorescent():
    paths = [COLORD / "illuminant" / f"CIE-F{i}.sp" for i in range(1, 13)]
    columns = []
    for i, path in enumerate(paths, start=1):
        start, step, (values,) = read_colord(path)
        assert (start, step, len(values)) == (380, 5, 81)
        values = [round(100 * value, 2) for value in values]
        for (lamp, nm), value in CORRECTIONS.items():
            if lamp == f"F{i}":
                values[(nm - 380) // 5] = value
        columns.append(values)
    confirm_fluorescent(columns)
    table = [[380 + 5 * j] + [column[j] for column in columns] for j in range(81)]
    corrected = ", ".join(f"{lamp} {nm} nm {value:.2f}" for (lamp, nm), value in CORRECTIONS.items())
    write_csv("cie_fluorescent.csv", "CIE fluorescent illuminants F1..F12, relative power, 5 nm, 380-780 nm",
              paths, COLORD_LICENCE,
              ["Package: colord-data (values there are a hundredth of these)",
               f"Corrected: {corrected}",
               "After correction equal to the same lamps in spd_houser.mat of psychtoolbox-3-common (Expat)",
               "F12 at 390 nm: both packages print 0.45, another collection 0.40; kept at 0.45"],
              [f"F{i}" for i in range(1, 13)], table)


def read_lamps():
    """(labels, spectra) of the 401 lamps of spd_houser, 380-780 nm at 5 nm, each as shares of its peak."""
    arrays = read_mat5(PSYCH / "spd_houser.mat")
    assert arrays["S_houser"][2] == [380, 5, 81]
    rows, count, values = arrays["spd_houser"]
    labels = arrays["labels_houser"][2]
    assert rows == 81 and count == len(labels) == 401
    return labels, [values[rows * i:rows * (i + 1)] for i in range(count)]


def measured_lamps():
    _, spectra = read_lamps()
    columns = [spectra[place - 1] for place in MEASURED_LAMPS.values()]
    assert all(min(column) >= 0 for column in columns)
    table = [[380 + 5 * j] + [round(100 * column[j] / max(column), 4) for column in columns] for j in range(81)]
    write_csv("measured_lamps.csv", "Measured lamps, relative power, peak 100, 5 nm, 380-780 nm",
              [PSYCH / "spd_houser.mat"], PSYCH_LICENCE,
              ["Package: psychtoolbox-3-common",
               "Published: K. W. Houser, M. Wei, A. David, M. R. Krames and X. S. Shen (2013), Review of measures"
               " for light-source color rendition, Opt. Express 21(8), 10393-10411; doi 10.1364/OE.21.010393",
               "Lamp of the collection (from 1): " + ", ".join(map(str, MEASURED_LAMPS.values()))],
              list(MEASURED_LAMPS), table)


def list_lamps():
    for place, label in enumerate(read_lamps()[0], start=1):
        print(place, " ".join(label.split()))


def daylight():
    path = COLORD / "ref" / "CIE-1986-daylight-SPD.cmf"
    start, step, rows = read_colord(path)
    assert (start, step, len(rows)) == (300, 5, 3)
    table = [[start + step * j] + [row[j] for row in rows] for j in range(len(rows[0]))]
    write_csv("cie_daylight_basis.csv", "CIE components of daylight S0, S1, S2, 5 nm, 300-830 nm",
              [path], COLORD_LICENCE, ["Package: colord-data"], ["S0", "S1", "S2"], table)


def test_samples():
    path = COLORD / "ref" / "CIE-TCS.sp"
    start, step, rows = read_colord(path)
    assert (start, step) == (360, 5) and len(rows) >= 8
    table = [[start + step * j] + [row[j] for row in rows[:8]] for j in range(len(rows[0]))]
    write_csv("cie_rendering_samples.csv",
              "CIE 13.3 test colour samples 1 to 8, spectral radiance factor, 5 nm, 360-830 nm",
              [path], COLORD_LICENCE, ["Package: colord-data", "Only the eight samples that Ra uses"],
              [f"TCS0{i}" for i in range(1, 9)], table)


def cones():
    """What CIE 170-1 builds cone fundamentals from, and the fundamentals themselves for the tests."""
    paths = [PSYCH / f"{name}.mat" for name in ("T_log10coneabsorbance_ss", "den_lens_ssf", "den_mac_bone",
                                                "den_lens_cie_2")]
    absorbance = read_mat5(paths[0])["T_log10coneabsorbance_ss"][2]
    lens = read_mat5(paths[1])["den_lens_ssf"][2]
    macular = read_mat5(paths[2])["den_mac_bone"][2]
    older = read_mat5(paths[3])["den_lens_cie_2"][2]  # 400-700 nm, 5 nm
    assert len(lens) == len(macular) == 441 and len(absorbance) == 3 * 441 and len(older) == 61

    def steady(nm):
        """The part of the lens that does not grow after twenty; zero from 460 nm on."""
        at = max(nm - 400, 0) / 5
        low = min(int(at), 59)
        inside = older[low] + (at - low) * (older[low + 1] - older[low])
        return inside + min(nm - 400, 0) * (older[1] - older[0]) / 5

    table = [[390 + i] + absorbance[3 * i:3 * i + 3] + [lens[i], steady(390 + i), macular[i]]
             for i in range(441)]
    write_csv("cone_pigments_and_media.csv",
              "Cone photopigment absorbance (log10, peak 0), lens and macular optical density, 1 nm, 390-830 nm",
              paths, PSYCH_LICENCE,
              ["Package: psychtoolbox-3-common; the figures are those of CIE 170-1:2006 (Stockman and Sharpe 2000)",
               "lens: of an observer of 32 years; lens_steady: its part that does not change with age after 20,",
               "linear between 5 nm and continued in a straight line below 400 nm",
               "macular: for a field of 2 degrees, 0.350 at 460 nm"],
              ["log10_L", "log10_M", "log10_S", "lens", "lens_steady", "macular"], table)
    for degrees in (2, 10):
        path = PSYCH / f"T_cones_ss{degrees}.mat"
        values = read_mat5(path)[f"T_cones_ss{degrees}"][2]
        table = [[390 + i] + values[3 * i:3 * i + 3] for i in range(441)]
        target = f"../tests/reference/cone_fundamentals_{degrees}_degrees.csv"
        write_csv(target, f"CIE 2006 cone fundamentals, {degrees} degrees, energy, unit peak, 1 nm, 390-830 nm",
                  [path], PSYCH_LICENCE, ["Package: psychtoolbox-3-common"], ["L", "M", "S"], table)
        path = PSYCH / f"T_xyzCIEPhys{degrees}.mat"
        arrays = read_mat5(path)
        start, step, count = arrays[f"S_xyzCIEPhys{degrees}"][2]
        values = arrays[f"T_xyzCIEPhys{degrees}"][2]
        table = [[start + step * i] + values[3 * i:3 * i + 3] for i in range(0, int(count), int(10 / step))]
        write_csv(f"../tests/reference/cone_xyz_{degrees}_degrees.csv",
                  f"CIE 170-2 colour matching functions that follow from the cones, {degrees} degrees, 10 nm",
                  [path], PSYCH_LICENCE, ["Package: psychtoolbox-3-common"], ["x", "y", "z"], table)


if __name__ == "__main__":
    if sys.argv[1:] == ["--lamps"]:
        list_lamps()
        sys.exit()
    DATA.mkdir(exist_ok=True)
    observers()
    cones()
    fluorescent()
    measured_lamps()
    daylight()
    test_samples()
