#!/usr/bin/env python3
"""Prints docs/validation/designations.md:  python3 tests/reference/designation_table.py build/release/cli/bearingdsp

Each designation of designations.csv through `bearing NUMBER --json`: what it was read as, size, and the counts of elements with
their probabilities.
"""

import csv
import json
import os
import subprocess
import sys

HEAD = """\
# Designations as people write them

Made by `python3 tests/reference/designation_table.py build/release/cli/bearingdsp`. The {total} designations of
`tests/reference/designations.csv` were typed from the trade's conventions. None is refused and none becomes a bearing of another
bore; tests put all of them through `bearing`, `frequencies` and a machine file, and one of each kind through `diagnose`.
Elements: count of one row (probability), where more than three remain the three likeliest. +/-: of BPFO at that count, whoever
made the bearing. Source: c = catalogue, e = estimate from type and size.

| written | basic number | bore x outside x width, mm | elements (probability) | +/- % | source |
| --- | --- | --- | --- | --- | --- |
"""


def plain(value):
    return "?" if value is None else f"{value:g}"


def row(text, reading):
    variants = reading["variants"]
    counts = ", ".join(f"{v['rolling_elements']} ({100 * v['probability']:.0f} %)" for v in variants[:3])
    if len(variants) > 3:
        counts += f" and {len(variants) - 3} more"
    best = variants[0]
    size = " x ".join(plain(reading[k]) for k in ("bore_mm", "outside_diameter_mm", "width_mm"))
    source = "c" if best["origin"] == "catalogue" else "e"
    half = 100 * best["bpfo_relative_uncertainty"]
    return f"| {text} | {reading['basic']} | {size} | {counts} | {half:.1f} | {source} |"


def main():
    folder = os.path.dirname(os.path.abspath(__file__))
    with open(os.path.join(folder, "designations.csv"), encoding="utf-8", newline="") as file:
        written = list(csv.DictReader(line for line in file if not line.startswith("#")))
    print(HEAD.format(total=len(written)), end="")
    for r in written:
        out = subprocess.run([sys.argv[1], "bearing", r["text"], "--json"], capture_output=True, text=True, check=True).stdout
        print(row(r["text"], json.loads(out)["readings"][0]))


if __name__ == "__main__":
    main()
