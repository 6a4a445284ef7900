#!/usr/bin/env python3
"""Pieces of the open sets: what a recording of 20, 40 or 80 turns tells, and whether it knows how fast the shaft turned.

usage: short_records.py [TURNS ...]      (PYTHONPATH names the built module)

Each labelled record is cut into pieces, of which four at most are diagnosed: with the nominal speed of the manifest, and
without it. The speed that a piece finds is held against that of the whole record, which holds two to fifteen times as many
turns: wrong is what lies farther off than three of its own deviations and 0.1 %. Nothing was tuned on pieces but
the rules of `fit_apart` (speed/comb.cpp), which were made while looking at their speeds.

Exits with 1 where more than one piece in twenty is given a wrong speed or a wrong part, or a sound one a fault: about
five times what is measured, so that only a broken rule fails.

The sets lie at BEARINGDSP_DATASETS, unpacked; without them it says so and exits with 77.
"""
import collections
import math
import os
import random
import sys

try:
    import numpy as np

    import bearingdsp
except ImportError as missing:
    print(f"skipped: {missing}")
    sys.exit(77)

PARTS = {"outer_ring": "outer ring", "inner_ring": "inner ring", "rolling_element": "rolling element", "cage": "cage",
         "several": "several", "unclear": "unclear"}
FOUND = ("given, refined", "shaft harmonics", "defect family")


def answer(d):
    if d.verdict == bearingdsp.Verdict.indeterminate:
        return "cannot tell"
    return "no fault" if d.verdict == bearingdsp.Verdict.no_fault else PARTS[d.place.name]


def outcome(label, said):
    if label not in PARTS.values():
        return {"no fault": "no alarm", "cannot tell": "cannot tell (sound)"}.get(said, "false alarm")
    if said in ("unclear", "cannot tell"):
        return said
    return "right" if said == label else "missed" if said == "no fault" else "wrong part"


def shares(counts, names):
    return " | ".join(str(counts[n]) for n in names)


def main():
    turns = [int(a) for a in sys.argv[1:]] or [20, 40, 80]
    data = os.environ.get("BEARINGDSP_DATASETS", "")
    if not os.path.exists(os.path.join(data, "manifest.csv")):
        print("skipped: the open sets are not here (BEARINGDSP_DATASETS)")
        return 77
    verdicts = collections.defaultdict(collections.Counter)
    speeds = collections.defaultdict(collections.Counter)
    off = []
    for record in bearingdsp.read_manifest(os.path.join(data, "manifest.csv")).records:
        capture = record.read()
        x = np.stack([np.asarray(c.samples) for c in capture.channels])
        nominal = record.speed_rpm / 60

        def diagnosed(part, speed):
            return bearingdsp.diagnose(np.ascontiguousarray(part), rate_hz=capture.rate_hz, unit="m/s2",
                                       bearing=record.orders, speed_rpm=speed)

        whole = diagnosed(x, record.speed_rpm)
        for length in turns:
            n = int(length * capture.rate_hz / nominal)
            pieces = range(x.shape[1] // n)
            if len(pieces) < 2:
                continue
            for i in sorted(random.Random(length).sample(pieces, min(4, len(pieces)))):
                for told in (True, False):
                    d = diagnosed(x[:, i * n:(i + 1) * n], record.speed_rpm if told else None)
                    key = (length, told)
                    said = outcome(record.label, answer(d))
                    verdicts[key][said] += 1
                    if d.speed.method not in FOUND:
                        speeds[key]["not found"] += 1
                    elif whole.speed.method not in FOUND:
                        speeds[key]["no reference"] += 1
                    else:
                        error = abs(d.speed.rate_hz / whole.speed.rate_hz - 1)
                        good = error < max(3 * d.speed.relative_uncertainty, 0.001)
                        speeds[key]["right" if good else "wrong"] += 1
                        if not good:
                            off.append((record.file, length, i, told, d.speed.rate_hz, d.speed.relative_uncertainty,
                                        whole.speed.rate_hz))
    names = ["right", "wrong part", "unclear", "cannot tell", "missed", "no alarm", "cannot tell (sound)", "false alarm"]
    found = ["right", "wrong", "not found", "no reference"]
    broken = False
    print(f"| turns | speed | {' | '.join(names)} | speed {' | speed '.join(found)} |")
    print("|---" * (2 + len(names) + len(found)) + "|")
    for (length, told), counts in sorted(verdicts.items(), key=lambda item: (item[0][0], not item[0][1])):
        speed = speeds[(length, told)]
        print(f"| {length} | {'told' if told else 'not told'} | {shares(counts, names)} | {shares(speed, found)} |")
        damaged = sum(counts[n] for n in names[:5])
        sound = sum(counts[n] for n in names[5:])
        broken = broken or counts["wrong part"] > math.ceil(damaged / 20)
        broken = broken or counts["false alarm"] > math.ceil(sound / 20)
        broken = broken or speed["wrong"] > math.ceil((speed["right"] + speed["wrong"]) / 20)
    for file, length, i, told, rate, deviation, reference in off:
        print(f"- {file}, piece {i} of {length} turns, speed {'told' if told else 'not told'}: {rate:.3f} Hz "
              f"(good to {100 * deviation:.3f} %), whole record {reference:.3f} Hz")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
