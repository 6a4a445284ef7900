#!/usr/bin/env python3
"""Checks of the generator of the bearing data (libbearingdsp/data/generate), with the standard library alone:

1. what it makes is the shipped files, to the byte;
2. the inversion of load ratings against insides that another catalogue prints, and against the raceways and counts of roller
   bearings that are printed anywhere in our sources;
3. no ball bearing of the shipped catalogue holds more balls than can be filled in.

Prints each error; exit code 1 if one is above what is stated here.
"""

import csv
import math
import os
import sys

ROOT = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..")
GENERATE = os.path.join(ROOT, "libbearingdsp", "data", "generate")
sys.path.insert(0, GENERATE)
sys.dont_write_bytecode = True

import generate  # noqa: E402
import inversion  # noqa: E402

failures = []


def check(holds, what):
    print(("ok   " if holds else "FAIL ") + what)
    if not holds:
        failures.append(what)


def shipped():
    for name, text in generate.files().items():
        with open(os.path.join(ROOT, "libbearingdsp", "data", name), encoding="utf-8", newline="") as file:
            check(file.read() == text, f"{name} is what the generator makes, to the byte")


def printed_balls():
    """Bearings whose elements catalogue H prints, by name."""
    rows = {}
    for r in generate.raw("insides.csv"):
        if r["source"].startswith("catalogue H, table of internal geometry") and r["name"].isdigit():
            rows[r["name"]] = (int(r["rolling_elements"]), float(r["element_diameter"]), float(r["pitch_diameter"]))
    return rows


def balls_against_print():
    known = printed_balls()
    table = generate.f0_table()
    same, compared, pitch_errors, order_errors = 0, 0, [], []
    for r in generate.raw("ball_ratings.csv"):
        if r["name"] not in known:
            continue
        compared += 1
        z, ball, pitch = known[r["name"]]
        found = inversion.deep_groove(float(r["bore"]), float(r["outside_diameter"]), 1000 * float(r["dynamic_kn"]),
                                      1000 * float(r["static_kn"]), table, float(r["f0"]))
        check(bool(found), f"{r['name']}: the ratings give a ball set")
        _, count, size, mean = found[0]
        hit = count == z and abs(size / ball - 1) < 0.002
        same += hit
        print(f"     {r['name']}: printed {z} x {ball}, inverted {count} x {size}")
        if hit:
            pitch_errors.append(mean / pitch - 1)
            order_errors.append((1 - size / mean) / (1 - ball / pitch) - 1)
    worst = max(abs(e) for e in order_errors)
    check(compared >= 15, f"at least 15 bearings compared ({compared})")
    # 6200: catalogue H builds 7 x 5.556 where the ratings of catalogue G are of 8 x 4.762, a true difference.
    check(same >= compared - 1, f"{same} of {compared} ball sets come back, all but the one built otherwise")
    check(worst < 0.005, f"BPFO of those within 0.5 %: largest error {100 * worst:.2f} % (pitch as mean of the diameters: "
          f"largest {100 * max(abs(e) for e in pitch_errors):.2f} %)")


def ratings_of_two_catalogues():
    """C, C0 of A (no f0 printed) and of G (f0 printed): where both give a set, how often the same count."""
    rows = {}
    for r in generate.by_ratings():
        letter = "A" if "catalogue A" in r["source"] else "G" if "catalogue G" in r["source"] else None
        if letter:
            rows.setdefault(r["name"], {}).setdefault(letter, (int(r["rolling_elements"]), float(r["element_diameter"])))
    both = [v for v in rows.values() if len(v) == 2]
    same = sum(v["A"][0] == v["G"][0] for v in both)
    check(len(both) >= 25, f"{len(both)} sizes in both catalogues")
    check(same >= len(both) - 2, f"the same count in {same} of {len(both)} (6209 and 6215 are made otherwise)")


def printed_rollers():
    """Every count of rollers that is printed, with the geometry of the same source."""
    known = [
        ("NU206", "reinforced", 13, 9.0, 46.5, "simulation template, printed"),
        ("NU205", "reinforced", 13, 7.5, 39.0, "users of a public data set, from memory"),
        ("209 cylindrical", "standard", 14, 10.0, 65.0, "textbook example, from memory"),
    ]
    for name, design, z, roller, pitch, source in known:
        counts = inversion.roller_counts(roller, pitch, design)
        check(counts[0][1] == z, f"{name}: {z} rollers ({source}); likeliest {counts[0][1]}, weight {counts[0][0]:.2f}")
    raceways = generate.outer_raceways()
    roller = 0.5 * (raceways["NU206", "reinforced"][1] - raceways["NU206", "reinforced"][0])
    check(roller == 9.0, f"NU206: roller diameter from the raceways {roller} mm, printed 9 mm")
    # ISO 76 with the printed rating of catalogue D and the roller's length gives the count as well.
    static, ratio, length = 36500.0, 9 / 46.5, 8.8
    exact = static / (44 * (1 - ratio) * length * 9)
    check(abs(exact - 13) < 0.1, f"NU206: C0 = 36.5 kN gives {exact:.2f} rollers of effective length 8.8 mm")


def worked_thrust():
    for r in generate.thrust():
        z, ball, pitch = int(r["rolling_elements"]), float(r["element_diameter"]), float(r["pitch_diameter"])
        rating = next(float(x["static_kn"]) for x in generate.raw("thrust_ratings.csv") if x["name"] == r["name"])
        if abs(61.6 * z * ball**2 / (1000 * rating) - 1) > 0.01:
            check(False, f"{r['name']}: C0 of {z} x {ball} is not {rating} kN")
        if z * ball > 0.97 * math.pi * pitch:
            check(False, f"{r['name']}: {z} balls of {ball} do not fit on {pitch}")
    check(len(generate.thrust()) == 16, "16 thrust bearings recovered to 1 % of C0")


def balls_fit():
    sizes = generate.sizes_by_name()
    worst = 0.0
    counted = 0
    for r in generate.bearings():
        if r["name"] not in sizes or not r.get("element_diameter") or r.get("unit") != "mm":
            continue
        counted += 1
        ratio = float(r["element_diameter"]) / float(r["pitch_diameter"])
        angle = inversion.filling_angle(int(r["rolling_elements"]), ratio)
        limit = inversion.MAX_FILLING_THICK if ratio > inversion.THICK_RING_RATIO else inversion.MAX_FILLING_THIN
        worst = max(worst, angle)
        if angle > limit:
            check(False, f"{r['name']}: {r['rolling_elements']} x {r['element_diameter']} fill {angle:.0f} degrees")
    check(counted > 150, f"{counted} deep groove rows can be filled; largest angle {worst:.0f} degrees")


def posterior(section, fill, bore, outside, z):
    """Weight, mean and deviation of d / D for a count, as usual_inside.cpp has them."""
    pitch = 0.5 * (bore + outside)
    times = (outside - bore) / pitch
    a = section[0] * times
    va = (section[1] * times) ** 2 + (0.008 * a) ** 2
    half = math.radians(fill[0]) / (2 * (z - 1))
    b = math.sin(half)
    vb = (math.cos(half) * math.radians(fill[1]) / (2 * (z - 1))) ** 2
    weight = math.exp(-0.5 * (a - b) ** 2 / (va + vb)) / math.sqrt(va + vb)
    return weight, (a * vb + b * va) / (va + vb), math.sqrt(va * vb / (va + vb))


def estimates_on_rows_not_counted():
    """Ranges from the even bore codes, tried on the odd ones, and the other way."""
    outside = generate.sizes_by_name()
    total = counts = held = 0
    for rows in generate.ball_groups().values():
        for parity in (0, 1):
            learned = [r for r in rows if int(r["name"][-2:]) % 2 == parity]
            tried = [r for r in rows if int(r["name"][-2:]) % 2 != parity]
            if len(learned) < 5:
                continue
            section, fill = map(generate.spread_of, generate.section_and_fill(learned))
            for r in tried:
                if r.get("weight") and float(r["weight"]) < 0.5:
                    continue
                z = int(r["rolling_elements"])
                x = float(r["element_diameter"]) / float(r["pitch_diameter"])
                found = {n: posterior(section, fill, *outside[r["name"]], n) for n in range(4, 60)}
                total += 1
                if found[z][0] <= 0.05 * max(w for w, _, _ in found.values()):
                    continue
                counts += 1
                _, mean, deviation = found[z]
                held += abs(x / mean - 1) <= max(0.03, 2.4 * deviation / mean)
    print(f"     {total} rows of the other half: count offered {counts}, d / D held {held}")
    check(counts >= 0.95 * total, f"count among the candidates in {100 * counts / total:.1f} %")
    check(held >= 0.95 * counts, f"then d / D within the half-width in {100 * held / counts:.1f} %")


def main():
    shipped()
    estimates_on_rows_not_counted()
    balls_against_print()
    ratings_of_two_catalogues()
    printed_rollers()
    worked_thrust()
    balls_fit()
    with open(os.path.join(ROOT, "libbearingdsp", "data", "bearings.csv"), encoding="utf-8") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    print(f"{len(rows)} rows, {len({r['name'] for r in rows})} names")
    if failures:
        print(f"{len(failures)} failed")
        sys.exit(1)


if __name__ == "__main__":
    main()
