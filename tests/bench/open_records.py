#!/usr/bin/env python3
"""How much of the verdict is lost where less is known of the bearing: each labelled recording of the open data sets whose bearing
has a number or sizes, diagnosed with the geometry of its data set, with the designation alone, with the outer sizes alone, and with
type and bore alone. Writes docs/validation/less-known.md:

    BEARINGDSP_DATASETS=FOLDER python3 tests/bench/open_records.py BINARY [EVERY] > docs/validation/less-known.md

EVERY: take each EVERY-th recording (then the page says so). Exits with 1 where a way is worse than what was measured on all of
them (MEASURED) by more than one recording, and with 77, saying so, without the data sets.
"""

import csv
import json
import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

# What a person could know of the bearing. The number of the three-axis rig is not stated: its elements, inferred from the recordings
# (8 x 7.938 mm on 33.5 mm), are those of the sizes 20 x 47 mm, so only these and the type can be given.
KNOWN = {
    "cwru": {"designation": "6205-2RS", "sizes": "25,52,15", "type and bore": "deep groove, bore 25"},
    "hit-mfs": {"designation": "6205", "sizes": "25,52,15", "type and bore": "deep groove, bore 25"},
    "limerick": {"sizes": "20,47,14", "type and bore": "deep groove, bore 20"},
}
WAYS = ("geometry", "designation", "sizes", "type and bore")
TITLES = {"cwru": "seeded faults (6205)", "hit-mfs": "raceway damage (6205)", "limerick": "three-axis rig (no number stated)"}
PARTS = ("outer ring", "inner ring", "rolling element", "cage")
# Measured on all recordings, by way: as labelled (at least), another component and false alarms (at most).
MEASURED = {
    ("cwru", "geometry"): (24, 0, 0),
    ("cwru", "designation"): (24, 0, 0),
    ("cwru", "sizes"): (24, 0, 0),
    ("cwru", "type and bore"): (19, 1, 0),
    ("hit-mfs", "geometry"): (20, 0, 0),
    ("hit-mfs", "designation"): (20, 0, 0),
    ("hit-mfs", "sizes"): (20, 0, 0),
    ("hit-mfs", "type and bore"): (11, 0, 1),
    ("limerick", "geometry"): (42, 0, 0),
    ("limerick", "sizes"): (42, 0, 0),
    ("limerick", "type and bore"): (42, 0, 0),
}


def geometry_of(data, name):
    with open(os.path.join(data, "bearings.csv"), encoding="utf-8", newline="") as file:
        row = next(r for r in csv.DictReader(file) if r["name"] == name)
    times = 25.4 if row["unit"] == "in" else 1.0
    sizes = [times * float(row[k]) for k in ("element_diameter", "pitch_diameter")]
    return f"{row['rolling_elements']},{sizes[0]:.4f},{sizes[1]:.4f}"


def words_for(way, record, data):
    """Options that describe the bearing in this way; none where it is not known."""
    if way == "geometry":
        return ["--geometry", geometry_of(data, record["bearing"])]
    known = KNOWN[record["dataset"]].get(way)
    if known is None:
        return None
    return ["--sizes" if way == "sizes" else "--bearing", known]


def reading(record):
    """Options that the recording needs to be read."""
    words = ["--rpm", record["rpm"], "--rate", record["rate_hz"]]
    if record["signal"].startswith("columns 2-4"):
        return [*words, "--unit", "V", "--time-column", "1"]
    words += ["--channel", record["signal"]]
    return words + (["--unit", record["unit"]] if record["unit"] != "unknown" else ["--unit", "V"])


def answer(binary, data, record, way):
    bearing = words_for(way, record, data)
    if bearing is None:
        return "-"
    done = subprocess.run([binary, "diagnose", os.path.join(data, record["file"]), "--json", *reading(record), *bearing],
                          capture_output=True, text=True, check=False)
    if not done.stdout:
        return "failed: " + done.stderr.strip()[:80]
    found = json.loads(done.stdout)
    if found["verdict"] == "fault":
        return found["place"]
    return found["verdict"]


def outcome(label, said):
    if said == "-" or said.startswith("failed"):
        return said.split(":")[0]
    damaged = label in PARTS
    if said == "cannot tell":
        return "cannot tell"
    if said == "no fault found":
        return "missed" if damaged else "as labelled"
    if not damaged:
        return "false alarm"
    return "as labelled" if said == label else "component unclear" if said == "place unclear" else "another component"


OUTCOMES = ("as labelled", "another component", "component unclear", "cannot tell", "missed", "false alarm", "failed")


def summary(records, answers):
    """Rows by data set and way, and how often each outcome occurred."""
    rows = []
    for dataset in KNOWN:
        mine = [(r, a) for r, a in zip(records, answers) if r["dataset"] == dataset]
        for way in WAYS:
            got = [outcome(r["fault"], a[way]) for r, a in mine]
            if mine and got[0] != "-":
                rows.append((dataset, way, {o: got.count(o) for o in OUTCOMES}))
    return rows


def page(records, answers, rows, every):
    text = ["# When less is known of the bearing", "",
            "Made by `python3 tests/bench/open_records.py build/release/cli/bearingdsp > docs/validation/less-known.md`"
            + (f", each {every}th recording only" if every > 1 else "") + ". Each",
            f"of {len(records)} labelled recordings of the open data sets is diagnosed with the geometry that its data set states, with the",
            "designation alone, with the outer sizes alone (`--sizes`), and with type and bore alone",
            "(`--bearing \"deep groove, bore 25\"`), always at its nominal speed. The number of the bearing of the three-axis rig is not",
            "stated; its elements were inferred from the recordings and are those of the sizes 20 x 47 x 14 mm.", "",
            "| data set | known | " + " | ".join(OUTCOMES) + " |", "| --- | --- |" + " --- |" * len(OUTCOMES)]
    for dataset, way, counts in rows:
        text.append(f"| {TITLES[dataset]} | {way} | " + " | ".join(str(counts[o]) for o in OUTCOMES) + " |")
    text += ["", "## Each recording", "", "Beside the label: the component named, or the verdict.", "",
             "| recording | label | " + " | ".join(WAYS) + " |", "| --- | --- |" + " --- |" * len(WAYS)]
    for r, a in zip(records, answers):
        name = os.path.basename(r["file"]).replace(".Wfm", "")
        text.append(f"| {name} | {r['fault']} | " + " | ".join(a[w] for w in WAYS) + " |")
    return "\n".join(text) + "\n"


def worse_than_measured(rows):
    found = []
    for dataset, way, counts in rows:
        if (dataset, way) not in MEASURED:
            continue
        right, wrong, false = MEASURED[dataset, way]
        if counts["as labelled"] < right - 1 or counts["another component"] > wrong + 1 or counts["false alarm"] > false:
            found.append(f"{dataset}, {way}: {counts}; measured {right} as labelled, {wrong} another component, {false} false alarms")
    return found


def main():
    binary, every = sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 1
    data = os.environ.get("BEARINGDSP_DATASETS", "")
    manifest = os.path.join(data, "manifest.csv")
    if not os.path.exists(manifest):
        print("skipped: the open sets are not here (BEARINGDSP_DATASETS)")
        return 77
    with open(manifest, encoding="utf-8", newline="") as file:
        records = [r for r in csv.DictReader(file) if r["dataset"] in KNOWN][::every]
    with ThreadPoolExecutor(2) as pool:
        answers = list(pool.map(lambda r: {w: answer(binary, data, r, w) for w in WAYS}, records))
    rows = summary(records, answers)
    sys.stdout.write(page(records, answers, rows, every))
    worse = worse_than_measured(rows) if every == 1 else []
    for line in worse:
        print("worse: " + line, file=sys.stderr)
    return 1 if worse else 0


if __name__ == "__main__":
    sys.exit(main())
