#!/usr/bin/env python3
"""Makes the data files of bearings from the raw facts beside it:

    python3 libbearingdsp/data/generate/generate.py [FOLDER]

writes bearings.csv, boundary_dimensions.csv, inside_ranges.csv and load_ratings.csv into FOLDER (default: libbearingdsp/data). A
test compares them to the byte with the shipped ones. Only the standard library is used. Letters of catalogues: docs/sources.md.
"""

import csv
import io
import math
import os
import statistics
import sys

import inversion

HERE = os.path.dirname(os.path.abspath(__file__))

# Half of the spread of d/D, as a fraction, among manufacturers whose bearings of one number have the same count. Origin: 6208,
# 6307, 6308 (catalogue A against K: 6.7, 5.9, 5.3 %), 6309 (A against G: 4.8 %).
BALL_SPREAD = 0.07
# The raceways of cylindrical roller bearings are agreed among manufacturers (rings are interchangeable within one design).
ROLLER_SPREAD = {"reinforced": 0.02, "standard": 0.03}
ANGULAR_SPREAD = 0.08

BEARING_COLUMNS = (
    "name inside envelope rolling_elements element_diameter pitch_diameter contact_angle_deg unit bpfo bpfi bsf ftf "
    "spread weight status source"
).split()


def raw(name):
    """Rows of a raw file as dictionaries; lines that begin with # are comments."""
    with open(os.path.join(HERE, "raw", name), encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def number(value, digits=3):
    text = f"{value:.{digits}f}".rstrip("0").rstrip(".")
    return text or "0"


def f0_table():
    return [(float(r["ratio"]), float(r["f0"])) for r in raw("f0.csv")]


def bearing(name, count, element, pitch, spread, weight, source, angle=0.0, inside="", status="inferred"):
    return {
        "name": name, "inside": inside, "rolling_elements": str(count), "element_diameter": number(element),
        "pitch_diameter": number(pitch), "contact_angle_deg": number(angle), "unit": "mm", "spread": number(spread),
        "weight": number(weight, 2) if weight < 0.995 else "", "status": status, "source": source,
    }


def catalogue_name(name):
    """Series 68 and 69 are also written 618 and 619."""
    return "6" + "1" + name[1:] if len(name) == 4 and name[:2] in ("68", "69") else name


def sizes_by_name():
    """Bore and outside diameter of deep groove bearings, from the size table."""
    series = {"10": "60", "02": "62", "03": "63", "04": "64", "00": "160", "18": "618", "19": "619"}
    found = {}
    for r in raw("sizes.csv"):
        if r["series"] in series:
            found[series[r["series"]] + r["code"]] = (float(r["bore"]), float(r["outside_diameter"]))
    return found


def by_ratings():
    """Deep groove bearings whose ratings catalogue G (with f0) or A (without) prints; inch sizes."""
    table = f0_table()
    rows = []
    how = "inferred from the load ratings (ISO 76, ISO 281) in catalogue {}, pitch taken as mean of bore and outside diameter"
    for r in raw("ball_ratings.csv"):
        for weight, z, ball, pitch in inversion.deep_groove(
            float(r["bore"]), float(r["outside_diameter"]), 1000 * float(r["dynamic_kn"]), 1000 * float(r["static_kn"]),
            table, float(r["f0"]),
        ):
            rows.append(bearing(catalogue_name(r["name"]), z, ball, pitch, BALL_SPREAD, weight, how.format(r["source"])))
    sizes = sizes_by_name()
    for r in raw("ball_ratings_elements.csv"):
        bore, outside = sizes[r["name"]]
        for weight, z, ball, pitch in inversion.deep_groove(
            bore, outside, 1000 * float(r["dynamic_kn"]), 1000 * float(r["static_kn"]), table
        ):
            rows.append(bearing(r["name"], z, ball, pitch, BALL_SPREAD, weight, how.format(r["source"])))
    for r in raw("inch_sizes.csv"):
        if r["source"] != "O":
            continue  # the ratings of catalogue N follow no ISO formula: of 25 sizes 5 fit
        for weight, z, ball, pitch in inversion.deep_groove(
            float(r["bore"]), float(r["outside_diameter"]), 1000 * float(r["dynamic_kn"]), 1000 * float(r["static_kn"]), table
        ):
            # These tables are of distributors, and their ratings of no stated standard: half the weight of a catalogue.
            rows.append(bearing(r["name"].removesuffix("H"), z, ball, pitch, BALL_SPREAD, 0.5 * weight, how.format(r["source"])))
    return rows


def angular():
    table = f0_table()
    rows = []
    for r in raw("angular_ratings.csv"):
        angle = float(r["contact_angle_deg"])
        for weight, z, ball, pitch in inversion.angular_contact(
            float(r["bore"]), float(r["outside_diameter"]), 1000 * float(r["dynamic_kn"]), 1000 * float(r["static_kn"]),
            angle, table,
        ):
            rows.append(bearing(r["name"], z, ball, pitch, ANGULAR_SPREAD, weight,
                                f"inferred from the load ratings (ISO 76, ISO 281) in catalogue {r['source']}; count to one either way",
                                angle))
    for r in raw("precision_angular.csv"):
        bore = float(r["bore"])
        code = {10: "00", 12: "01", 15: "02", 17: "03"}.get(bore) or (f"{bore / 5:02.0f}" if bore >= 20 else None)
        if code is None:
            continue
        pitch = 0.5 * (bore + float(r["outside_diameter"]))
        for letter, angle in (("C", 15), ("AC", 25)):
            rows.append(bearing(f"72{code}{letter}", int(r["rolling_elements"]), float(r["element_diameter"]), pitch,
                                ANGULAR_SPREAD, 1,
                                f"catalogue {r['source']}, elements and diameter printed, pitch taken as mean of bore and outside diameter",
                                angle, "precision", "confirmed"))
    return rows


def outer_raceways():
    """Roller bearings with both raceways: printed, or deduced where only that of the inner ring is printed."""
    printed = raw("roller_raceways.csv")
    both = {(r["name"], r["design"]): (float(r["inner_raceway"]), float(r["outer_raceway"])) for r in printed}
    for r in raw("roller_inner_raceways.csv"):
        key = (r["name"], r["design"])
        if key in both:
            continue
        inner = float(r["inner_raceway"])
        narrow = "NU" + r["name"][3:] if r["name"].startswith("NU22") else r["name"]
        like = [both.get((n, d)) for n in (narrow, r["name"]) for d in (r["design"], "standard", "reinforced")]
        same = [b for b in like if b and b[0] == inner]
        if same:
            both[key] = same[0]
        elif r["name"].startswith("NU10"):
            # Where both are printed (NU1008 to NU1011) their mean is that of bore and outside diameter.
            both[key] = (inner, float(r["bore"]) + float(r["outside_diameter"]) - inner)
    return both


def rollers():
    source = {}
    for name in ("roller_raceways.csv", "roller_inner_raceways.csv"):
        for r in raw(name):
            source.setdefault((r["name"], r["design"]), (r["source"], name))
    rows = []
    for (name, design), (inner, outer) in outer_raceways().items():
        letter, file = source[(name, design)]
        pitch, roller = 0.5 * (inner + outer), 0.5 * (outer - inner)
        raceways = "raceways printed" if file == "roller_raceways.csv" else "inner raceway printed, outer as of the like bearing"
        for weight, z in inversion.roller_counts(roller, pitch, design):
            rows.append(bearing(name, z, roller, pitch, ROLLER_SPREAD[design], weight,
                                f"catalogue {letter}, {raceways}; count from the usual fill", 0, design))
    return rows


def thrust():
    rows = []
    for r in raw("thrust_ratings.csv"):
        found = inversion.thrust_ball(float(r["bore"]), float(r["outside_diameter"]), 1000 * float(r["static_kn"]))
        if found:
            z, ball, pitch = found
            rows.append(bearing(r["name"], z, ball, pitch, BALL_SPREAD, 1,
                                f"inferred from the static load rating (ISO 76) in catalogue {r['source']}", 90))
    return rows


def bearings():
    rows = [dict(r) for r in raw("insides.csv")]
    return rows + by_ratings() + angular() + rollers() + thrust()


def load_ratings():
    """Ratings in N by name and design, of the first source that prints them; f0 where it is printed or follows."""
    found = {}

    def add(r, name, design="", f0=None):
        newtons = [str(round(1000 * float(r[k]))) for k in ("dynamic_kn", "static_kn")]
        found.setdefault((name, design), [*newtons, number(f0, 2) if f0 else "", f"manufacturer's catalogue {r['source']}"])

    for r in raw("ball_ratings_elements.csv"):
        f0 = 1000 * float(r["static_kn"]) / (int(r["rolling_elements"]) * float(r["element_diameter"]) ** 2)
        add(r, r["name"], f0=f0)
    for r in raw("ball_ratings.csv"):
        add(r, catalogue_name(r["name"]), f0=float(r["f0"]))
    for r in raw("angular_ratings.csv"):
        add(r, r["name"])
    for name in ("roller_raceways.csv", "roller_inner_raceways.csv"):
        for r in raw(name):
            add(r, r["name"], r["design"])
    for name in ("thrust_ratings.csv", "other_ratings.csv"):
        for r in raw(name):
            add(r, r["name"])
    return [[*key, *row] for key, row in found.items()]


def sizes():
    rows = [[r[c] for c in ("series", "code", "bore", "outside_diameter", "width", "chamfer", "seen")] for r in raw("sizes.csv")]
    for r in raw("inch_sizes.csv"):
        series, code = ("R", r["name"][1:]) if r["name"][0] == "R" else (r["name"][:-2], r["name"][-2:])
        if r["name"] == "99502H":
            series, code = "99", "502"
        rows.append([series, code, r["bore"], r["outside_diameter"], r["width"], "", f"catalogue {r['source']}"])
        if r["closed_width"] != r["width"]:
            rows.append([series + "+", code, r["bore"], r["outside_diameter"], r["closed_width"], "", f"catalogue {r['source']}"])
    return rows


def spread_of(values):
    """Mean and deviation, the latter at least 2 %: few rows say little of the rest."""
    mean = statistics.fmean(values)
    deviation = statistics.stdev(values) if len(values) > 2 else 0.05 * mean
    return mean, max(deviation, 0.02 * mean)


def ball_groups():
    """Rows of deep groove bearings whose sizes are known, by series."""
    outside = sizes_by_name()
    groups = {}
    for r in bearings():
        if r["name"] not in outside or not r.get("element_diameter") or r.get("unit") != "mm":
            continue
        for series in ("618", "619", "160", "60", "62", "63", "64"):
            if r["name"].startswith(series) and len(r["name"]) == len(series) + 2:
                groups.setdefault(series, []).append(r)
                break
    return groups


def section_and_fill(rows):
    """Ball diameter by the difference of the diameters, and filling angle, of each row."""
    outside = sizes_by_name()
    section, fill = [], []
    for r in rows:
        bore, od = outside[r["name"]]
        ball, pitch, z = float(r["element_diameter"]), float(r["pitch_diameter"]), int(r["rolling_elements"])
        section.append(ball / (od - bore))
        fill.append(inversion.filling_angle(z, ball / pitch))
    return section, fill


def ball_ranges():
    found = []
    groups = ball_groups()
    for series, rows in sorted(groups.items()):
        section, fill = section_and_fill([r for r in rows if not r.get("weight") or float(r["weight"]) >= 0.5])
        found.append(["deep groove ball", series, "", spread_of(section), None, "angle", spread_of(fill), 0,
                      f"{len(section)} rows of known inside"])
    section, fill = section_and_fill([r for rows in groups.values() for r in rows])
    found.append(["deep groove ball", "any", "", spread_of(section), None, "angle", spread_of(fill), 0,
                  f"{len(section)} rows of known inside"])
    return found


def roller_ranges():
    found = []
    bores = {(r["name"], r["design"]): (float(r["bore"]), float(r["outside_diameter"]))
             for n in ("roller_raceways.csv", "roller_inner_raceways.csv") for r in raw(n)}
    for series in ("10", "2", "22", "3", "4"):
        for design in ("reinforced", "standard"):
            section = []
            for (name, made), (inner, outer) in outer_raceways().items():
                if made != design or name[2:-2] != series:
                    continue
                bore, od = bores[(name, made)]
                section.append(0.5 * (outer - inner) / (od - bore))
            if len(section) >= 3:
                found.append(["cylindrical roller", series, design, spread_of(section), None, "circle",
                              inversion.ROLLER_FILL[design], 0, f"{len(section)} rows of printed raceways"])
    return found


def angular_ranges():
    found = []
    sizes_of = {r["name"]: (float(r["bore"]), float(r["outside_diameter"])) for r in raw("angular_ratings.csv")}
    for family in ("72", "73"):
        section, fill = [], []
        for r in angular():
            if r["name"].startswith(family) and r["name"].endswith("B") and (not r["weight"] or float(r["weight"]) > 0.3):
                z, ball, pitch = int(r["rolling_elements"]), float(r["element_diameter"]), float(r["pitch_diameter"])
                bore, od = sizes_of[r["name"]]
                section.append(ball / (od - bore))
                fill.append(z * ball / (math.pi * pitch))
        found.append(["angular contact ball", family, "", spread_of(section), None, "circle", spread_of(fill), 40,
                      f"{len(section)} rows from load ratings"])
    return found


def usual_ranges():
    found = []
    for r in raw("ranges.csv"):
        low, high = float(r["ratio_low"]), float(r["ratio_high"])
        fill_low, fill_high = float(r["fill_low"]), float(r["fill_high"])
        # The range holds nine tenths or more: 3.5 deviations.
        found.append([r["type"], r["series"], r["design"], None, ((low + high) / 2, (high - low) / 3.5), "circle",
                      ((fill_low + fill_high) / 2, (fill_high - fill_low) / 3.5), float(r["angle_deg"]), r["source"]])
    return found


def ranges():
    """What the rows with known insides say of their series, and what is usual elsewhere."""
    return ball_ranges() + roller_ranges() + angular_ranges() + usual_ranges()


BEARINGS_HEAD = """\
# Made by generate/generate.py from the raw facts beside it: do not edit. Internal geometry of rolling bearings, or their defect
# orders where only those are published. inside: the design that the row is of (standard, reinforced, precision), where the number
# stands for several. envelope: the row is of an insert bearing with the outside diameter and ball set of that basic size, and is
# offered for it too. rolling_elements: of one row. spread: how far d cos(a) / D of other manufacturers' bearings with as many
# elements may differ, as a fraction. weight: probability of the count where the source does not print it (empty: 1). status:
# confirmed = read in the source or in a text that quotes it; inferred = deduced from published figures that it reproduces;
# memory = not looked up. Manufacturers differ in the elements they put under one designation: several rows of a name are the rule.
"""
SIZES_HEAD = """\
# Made by generate/generate.py from generate/raw/sizes.csv and inch_sizes.csv: do not edit. Boundary dimensions, mm. series: ISO 15
# dimension series (width, diameter), or the series of a designation where another plan rules (ISO 355 tapered: width is the overall
# width T; ISO 104 thrust: width is the height; inch; + : with shields or seals). code: bore code. chamfer: smallest corner (r min).
# seen: four = four catalogues (A to D in docs/sources.md) agree; catalogue X = read in it; memory = not looked up.
"""
RANGES_HEAD = """\
# Made by generate/generate.py: do not edit. What is usual inside bearings of a type, for those that the catalogue does not hold.
# section: element diameter by (outside diameter - bore); ratio: d cos(a) / D, where no sizes were counted; fill: the filling angle in
# degrees (fill_kind angle) or the share of the pitch circle (circle); each as mean and standard deviation. series: of the designation,
# with ; between; any = the rest of the type.
"""


RATINGS_HEAD = """\
# Made by generate/generate.py from the ratings in generate/raw: do not edit. Basic load ratings, N, as one manufacturer prints them
# (others differ by several percent, older editions by more). design: of cylindrical roller bearings, where the number stands for
# several. f0: factor of ISO 76, printed or static / (elements x diameter^2); only of deep groove ball bearings. The B of 7205B is the
# contact angle of 40 degrees.
"""


def table(head, columns, rows):
    out = io.StringIO()
    out.write(head)
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return out.getvalue()


def files():
    """Name and text of each file."""
    def pair(p):
        return [number(p[0], 4), number(p[1], 4)] if p else ["", ""]

    rows = [[r.get(c) or "" for c in BEARING_COLUMNS] for r in bearings()]
    ranged = [[t, s, d, *pair(section), *pair(ratio), kind, *pair(fill), number(angle), source]
              for t, s, d, section, ratio, kind, fill, angle, source in ranges()]
    return {
        "bearings.csv": table(BEARINGS_HEAD, BEARING_COLUMNS, rows),
        "boundary_dimensions.csv": table(
            SIZES_HEAD, "series code bore outside_diameter width chamfer seen".split(), sizes()),
        "inside_ranges.csv": table(
            RANGES_HEAD,
            "type series design section_mean section_deviation ratio_mean ratio_deviation fill_kind fill_mean fill_deviation "
            "angle_deg source".split(), ranged),
        "load_ratings.csv": table(RATINGS_HEAD, "name design dynamic static f0 source".split(), load_ratings()),
    }


def main():
    folder = sys.argv[1] if len(sys.argv) > 1 else os.path.join(HERE, "..")
    for name, text in files().items():
        with open(os.path.join(folder, name), "w", encoding="utf-8", newline="\n") as file:
            file.write(text)


if __name__ == "__main__":
    main()
