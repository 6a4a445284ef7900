#!/usr/bin/env python3
"""Writes the engine's constants (libbearingdsp/data/model.csv) into the sources.

    python3 libbearingdsp/data/generate/model.py [--check]

The structs with their values go to include/bearingdsp/core/model.hpp, the table that finds them by name to
src/core/model_rows.hpp. --check writes nothing and fails where these differ from the data.
"""

import csv
import sys
import textwrap
from pathlib import Path

LIBRARY = Path(__file__).resolve().parent.parent.parent
DATA = LIBRARY / "data" / "model.csv"
HEADER = LIBRARY / "include" / "bearingdsp" / "core" / "model.hpp"
ROWS = LIBRARY / "src" / "core" / "model_rows.hpp"

TITLES = {
    "slip": "How far rolling elements slip: the one model of it.",
    "record": "What a recording must hold, and how it is prepared.",
    "bands": "The bands that are demodulated, and the families looked for in them.",
    "family": "How a harmonic series is distinguished from its surroundings.",
    "judgement": "From strength to probability, and from probability to words.",
    "component": "Which component of the bearing.",
    "tried": "Speeds that are tried beside a nominal one.",
    "foreign": "Lines of a bearing that is not the one given.",
    "unknown": "A series of lines where the bearing is not known.",
    "near": "Impacts near an order of the bearing given.",
    "impacts": "Trains of impacts that 'no fault' would leave unexplained.",
    "ends": "Which end's bearing the lines belong to.",
    "own_reference": "A point's own healthy readings as its reference.",
    "motion": "A speed that changes within a recording.",
    "tacho": "A tacho and a given speed that contradict each other.",
    "speed": "The speed of the shaft from lines of the vibration.",
    "lines": "Which lines a speed is found by.",
    "track": "A speed that is followed through a recording.",
    "causes": "What all other causes share.",
    "shaft": "What is read at the shaft's orders.",
    "unbalance": "Unbalance.",
    "misalignment": "Misalignment or a bent shaft.",
    "looseness": "Looseness.",
    "rubbing": "Rubbing.",
    "mains": "A line at twice the mains frequency.",
    "rotor_bars": "Broken rotor bars.",
    "erosion": "Electrical erosion.",
    "lubrication": "Poor lubrication.",
}


def read():
    lines = [line for line in DATA.read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")]
    groups = {}
    for row in csv.DictReader(lines):
        group, name = row["name"].split(".")
        row["member"] = name
        row["whole"] = row["unit"] in ("count", "order")
        row["literal"] = str(int(float(row["value"]))) if row["whole"] else repr(float(row["value"]))
        groups.setdefault(group, []).append(row)
    return groups


def struct_name(group):
    return "".join(word.capitalize() for word in group.split("_")) + "Model"


def header(groups):
    out = ["#pragma once",
           "/// The constants that decide a verdict, with their shipped values. Written by",
           "/// data/generate/model.py from data/model.csv, which also says where each comes from: change that,",
           "/// not this.",
           "// clang-format off",
           "",
           "namespace bearingdsp {",
           ""]
    for group, rows in groups.items():
        out += [f"/// {TITLES[group]}", f"struct {struct_name(group)} {{"]
        for row in rows:
            unit = "" if row["unit"] in ("1", "count") else f" [{row['unit']}]"
            out += ["  /// " + line for line in textwrap.wrap(row["meaning"] + unit, 94)]
            out.append(f"  {'int' if row['whole'] else 'double'} {row['member']}{{{row['literal']}}};")
        out += ["};", ""]
    out += ["/// All of them. A value: pass another one to weigh with other constants.", "struct ModelParameters {"]
    out += [f"  {struct_name(group)} {group}{{}};" for group in groups]
    out += ["};", "", "}  // namespace bearingdsp", ""]
    return "\n".join(out)


def quoted(text):
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def rows_header(groups):
    out = ["#pragma once",
           "// Written by data/generate/model.py from data/model.csv: change that, not this. Included by",
           "// model_table.cpp alone.",
           "// clang-format off",
           "",
           "namespace bearingdsp {",
           "namespace {",
           "",
           f"constexpr std::array<ModelRow, {sum(map(len, groups.values()))}> model_rows{{{{"]
    for group, rows in groups.items():
        for row in rows:
            out.append(f"  row<&ModelParameters::{group}, &{struct_name(group)}::{row['member']}>("
                       f"{quoted(row['name'])}, {quoted(row['unit'])}, {float(row['least'])!r}, {float(row['most'])!r}, "
                       f"{quoted(row['origin'])}, {quoted(row['source'])},\n      {quoted(row['meaning'])}),")
    out += ["}};", "", "}  // namespace", "}  // namespace bearingdsp", ""]
    return "\n".join(out)


def main():
    groups = read()
    check = sys.argv[1:] == ["--check"]
    old = [path for path, text in ((HEADER, header(groups)), (ROWS, rows_header(groups)))
           if not (path.exists() and path.read_text(encoding="utf-8") == text)]
    if check:
        for path in old:
            print(f"{path} is not what {DATA.name} says: run {Path(__file__).name}", file=sys.stderr)
        return 1 if old else 0
    for path, text in ((HEADER, header(groups)), (ROWS, rows_header(groups))):
        if path in old:
            path.write_text(text, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
