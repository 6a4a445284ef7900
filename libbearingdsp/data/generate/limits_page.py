#!/usr/bin/env python3
"""Writes the page of all numeric limits of the workshop from the data that the tool uses.

    python3 libbearingdsp/data/generate/limits_page.py [--check]

--check writes nothing and fails where docs/workshop-limits.md differs from the data, and where a data file is neither on
the page nor named below as one that does not hold limits.
"""

import csv
import io
import re
import sys
from pathlib import Path

TOP = Path(__file__).resolve().parent.parent.parent.parent
DATA = TOP / "libbearingdsp" / "data"
PAGE = TOP / "docs" / "workshop-limits.md"

# Data without limits that a person works by: what is inside bearings, the engine, words and rules.
NO_LIMITS = {
    "bearings", "boundary_dimensions", "inside_ranges", "load_ratings", "designation_series", "designation_suffixes",
    "model", "causes", "damage_modes", "triage_answers", "triage_conflicts", "triage_faults", "triage_questions",
    "triage_rules", "workshop_steps",
}
STATUS = {"memory": "from memory", "practice": "common practice", "ours": "our choice"}

HEAD = """# Limits of the workshop

Written by `libbearingdsp/data/generate/limits_page.py` from the data that the tool uses: do not edit. Every number that a
step, a check or an order of parts depends on, with its source and how far it was confirmed: *confirmed* was read in the
source named (often an excerpt), *derived* computed from a formula or a confirmed value, *from memory* not looked up,
*common practice* has no source. Only the first two fail a motor. Vibration, no-load run and balancing:
[limits of the standards](limits.md). Formulas of greasing, fits and life: [replacement](replacement.md). Numbers of sources:
[register](sources.md).
"""


class Table:
    """Rows of a data file and the comment above them."""

    def __init__(self, name):
        text = (DATA / f"{name}.csv").read_text(encoding="utf-8")
        lines = text.splitlines()
        self.comment = " ".join(line[1:].strip() for line in lines if line.startswith("#"))
        self.rows = list(csv.DictReader(io.StringIO("\n".join(line for line in lines if not line.startswith("#")))))


def cell(text):
    return text.replace("|", "/").strip()


def markdown(columns, rows):
    out = ["| " + " | ".join(columns) + " |", "| " + " | ".join("---" for _ in columns) + " |"]
    out += ["| " + " | ".join(cell(c) for c in row) + " |" for row in rows]
    return "\n".join(out)


def status(word):
    return STATUS.get(word, word)


def between(low, high, unit):
    unit = f" {unit}" if unit else ""
    if low and high:
        return f"{low}{unit}" if low == high else f"{low} to {high}{unit}"
    return f"at least {low}{unit}" if low else f"at most {high}{unit}"


def valid(over, to):
    if not over:
        return ""
    return f"over {over}" if float(to) > 1e6 else f"over {over} to {to}"


def checks():
    rows = [(r["check"], r["what"], valid(r["over"], r["to"]), between(r["low"], r["high"], r["unit"]),
             status(r["status"]), r["source"]) for r in Table("workshop_limits").rows]
    text = ("For the range in *holds for* see the head of the file: the diameter of the extension in mm, the rated voltage "
            "in V, the small pulley in mm.\n\n")
    return text + markdown(("check", "limit", "holds for", "value", "confirmed", "source"), rows)


def temperatures():
    rows = [(r["part"], r["words"], r["lowest"], r["highest"], r["briefly"], r["source"])
            for r in Table("temperature_limits").rows if r["lowest"] or r["highest"] or r["briefly"]]
    return markdown(("part", "which", "lowest °C", "highest °C", "briefly °C", "source"), rows)


def storage():
    rows = [(r["part"], r["years"], r["how"], status(r["status"]), r["source"]) for r in Table("shelf_life").rows]
    return markdown(("part", "years", "how", "confirmed", "source"), rows)


def triage():
    units = {"degC": "°C", "percent": "%", "1": ""}
    rows = [(r["meaning"], f"{r['value']} {units.get(r['unit'], r['unit'])}", status(r["status"]), r["source"])
            for r in Table("triage_limits").rows]
    return markdown(("limit", "value", "confirmed", "source"), rows)


def greases():
    table = Table("grease_compatibility")
    names = list(dict.fromkeys(r["thickener"] for r in table.rows) | dict.fromkeys(r["with"] for r in table.rows))
    found = {}
    for r in table.rows:
        found[r["thickener"], r["with"]] = found[r["with"], r["thickener"]] = r["mix"][0].upper()
    rows = [(a, *(found.get((a, b), "") for b in names)) for a in names]
    return f"{table.comment} C, B, I; confirmed in that table.\n\n" + markdown(("", *names), rows)


def cautions():
    words = {"practice": "common practice, no source", "memory": "from memory"}
    rows = []
    for r in Table("cautions").rows:
        if not re.search(r"\d", re.sub(r"IEC \S+", "", r["caution"])):
            continue
        first = re.match(r"\w+", r["source"])[0]
        rows.append((r["task"], r["caution"], words.get(first, first) + r["source"][len(first):]))
    return ("Cautions that state a number; all of them are in `data/cautions.csv`.\n\n" +
            markdown(("step", "caution", "source"), rows))


def sizes(name, columns):
    table = Table(name)
    rows = [tuple(valid(r["over"], r["to"]) if c == "over" else
                  f"{r[c[0]]} to {r[c[1]]}" if isinstance(c, tuple) else r[c] for _, c in columns) for r in table.rows]
    return f"{table.comment}\n\n" + markdown([title for title, _ in columns], rows)


def clearances():
    return sizes("radial_clearance", (("type", "type"), ("class", "class"), ("bore mm", "over"), ("µm", ("low", "high")),
                                      ("source", "source")))


def fits():
    return sizes("fits", (("code", "code"), ("mm", "over"), ("µm", ("lower", "upper"))))


def drive_up():
    return sizes("drive_up", (("bore mm", "over"), ("reduction µm", ("reduction_low", "reduction_high")),
                              ("drive-up mm", ("axial_low", "axial_high")), ("left CN µm", "left_cn"),
                              ("left C3 µm", "left_c3"), ("left C4 µm", "left_c4")))


SECTIONS = (
    ("Checks", "workshop_limits", checks),
    ("Triage", "triage_limits", triage),
    ("Temperatures of the parts of a bearing", "temperature_limits", temperatures),
    ("Mixing greases", "grease_compatibility", greases),
    ("Storage", "shelf_life", storage),
    ("Numbers in cautions", "cautions", cautions),
    ("Clearance before mounting", "radial_clearance", clearances),
    ("Seats", "fits", fits),
    ("Driving up a taper 1:12", "drive_up", drive_up),
)


def page():
    return HEAD + "".join(f"\n## {title}\n\n{make()}\n" for title, _, make in SECTIONS)


def unlisted():
    """Data files that are neither on the page nor said to be without limits."""
    shown = {name for _, name, _ in SECTIONS}
    there = {path.stem for path in DATA.glob("*.csv")}
    return sorted((there - shown - NO_LIMITS) | ((shown | NO_LIMITS) - there))


def main():
    wrong = unlisted()
    if wrong:
        return f"limits_page.py: {', '.join(wrong)}: neither a section of the page nor in NO_LIMITS"
    text = page()
    if "--check" in sys.argv:
        if PAGE.exists() and PAGE.read_text(encoding="utf-8") == text:
            return 0
        return "docs/workshop-limits.md differs from the data: run libbearingdsp/data/generate/limits_page.py"
    PAGE.write_text(text, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
