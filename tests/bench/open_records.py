#!/usr/bin/env python3
"""How much of the verdict is lost where less is known of the bearing: records of an open data set, each diagnosed with the geometry of
its data set, with the designation alone and with the outer sizes alone.

    BEARINGDSP_DATASETS=FOLDER python3 tests/bench/open_records.py BINARY MANIFEST Z,d,D DESIGNATION BORE,OUTSIDE,WIDTH [EVERY]

MANIFEST: one of libbearingdsp/data/manifests (its files are below BEARINGDSP_DATASETS). EVERY: take each EVERY-th record. Prints a
table of the component named (or the verdict) per recording, and how many agree with the label, at the end.
"""

import csv
import json
import os
import subprocess
import sys


def answer(binary, path, record, bearing):
    command = [binary, "diagnose", path, "--json", "--unit", record["unit"], "--rpm", record["rpm"], *bearing]
    if record.get("signal"):
        command += ["--channel", record["signal"]]
    if record.get("rate_hz"):
        command += ["--rate", record["rate_hz"]]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if not done.stdout:
        return "failed: " + done.stderr.strip()[:60]
    found = json.loads(done.stdout)
    return found.get("place") or found["verdict"] if found["verdict"] == "fault" else found["verdict"]


def main():
    binary, manifest, geometry, designation, sizes = sys.argv[1:6]
    every = int(sys.argv[6]) if len(sys.argv) > 6 else 1
    folder = os.environ["BEARINGDSP_DATASETS"]
    with open(manifest, encoding="utf-8", newline="") as file:
        records = [r for r in csv.DictReader(line for line in file if not line.startswith("#"))][::every]
    ways = {"geometry": ["--geometry", geometry], "designation": ["--bearing", designation], "sizes": ["--sizes", sizes]}
    right = dict.fromkeys(ways, 0)
    print("| record | label | " + " | ".join(ways) + " |")
    print("| --- | --- |" + " --- |" * len(ways))
    for r in records:
        answers = {way: answer(binary, os.path.join(folder, r["file"]), r, words) for way, words in ways.items()}
        healthy = r["fault"] in ("", "none", "healthy")
        for way, text in answers.items():
            right[way] += (text == "healthy") if healthy else (text == r["fault"])
        print(f"| {r['file']} | {r['fault']} | " + " | ".join(answers.values()) + " |", flush=True)
    print(f"\nOf {len(records)} records: " + ", ".join(f"{way} {n}" for way, n in right.items()) + " as labelled.")


if __name__ == "__main__":
    main()
