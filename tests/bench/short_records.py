#!/usr/bin/env python3
"""Pieces of the open sets: what a recording of 20, 40 or 80 turns tells, and whether it knows how fast the shaft turned.

usage: short_records.py [TURNS ...]      (PYTHONPATH names the built module)

Each labelled recording is cut into pieces, of which four at most are diagnosed: with the nominal speed of the manifest, and
without it. The speed that a piece finds is held against that of the whole recording, which holds two to fifteen times as many
turns: wrong is what lies farther off than three of its own deviations and 0.1 %. Nothing was tuned on pieces but
the rules of `fit_apart` (speed/comb.cpp), which were made while looking at their speeds.

Exits with 1 where a row is worse than MEASURED (docs/validation/short-records.md) by more than one piece, or five per cent of
the right ones.

The sets lie at BEARINGDSP_DATASETS, unpacked; without them it says so and exits with 77.
"""
import collections
import math
import random
import sys

from open_sets import PARTS, bearingdsp, diagnosed, records

FOUND = ("given, refined", "shaft harmonics", "defect family")

# Turns and whether the speed was given: right, wrong part, false alarm, speed right, speed wrong.
MEASURED = {
    (20, True): (181, 2, 0, 151, 1), (20, False): (69, 0, 0, 89, 2), (40, True): (113, 0, 0, 130, 1),
    (40, False): (65, 0, 0, 97, 1), (80, True): (61, 0, 0, 73, 0), (80, False): (36, 0, 0, 47, 0),
}


def answer(d):
    if d.verdict == bearingdsp.Verdict.indeterminate:
        return "cannot tell"
    return "no fault" if d.verdict == bearingdsp.Verdict.no_fault else PARTS[d.place.name]


def outcome(label, said):
    if label not in PARTS.values():
        return {"no fault": "no alarm", "cannot tell": "cannot tell (sound)"}.get(said, "false alarm")
    if said == "another bearing":
        return "unclear"
    if said in ("unclear", "cannot tell"):
        return said
    return "right" if said == label else "missed" if said == "no fault" else "wrong part"


def shares(counts, names):
    return " | ".join(str(counts[n]) for n in names)


def main():
    turns = [int(a) for a in sys.argv[1:]] or [20, 40, 80]
    verdicts = collections.defaultdict(collections.Counter)
    speeds = collections.defaultdict(collections.Counter)
    off = []
    for record, x, rate in records():
        nominal = record.speed_rpm / 60
        whole = diagnosed(record, x, rate, record.speed_rpm)
        for length in turns:
            n = int(length * rate / nominal)
            pieces = range(x.shape[1] // n)
            if len(pieces) < 2:
                continue
            for i in sorted(random.Random(length).sample(pieces, min(4, len(pieces)))):
                for given in (True, False):
                    d = diagnosed(record, x[:, i * n:(i + 1) * n], rate, record.speed_rpm if given else None)
                    key = (length, given)
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
                            off.append((record.file, length, i, given, d.speed.rate_hz, d.speed.relative_uncertainty,
                                        whole.speed.rate_hz))
    names = ["right", "wrong part", "unclear", "cannot tell", "missed", "no alarm", "cannot tell (sound)", "false alarm"]
    found = ["right", "wrong", "not found", "no reference"]
    broken, worse = False, []
    print(f"| turns | speed | {' | '.join(names)} | speed {' | speed '.join(found)} |")
    print("|---" * (2 + len(names) + len(found)) + "|")
    for (length, given), counts in sorted(verdicts.items(), key=lambda item: (item[0][0], not item[0][1])):
        speed = speeds[(length, given)]
        print(f"| {length} | {'given' if given else 'not given'} | {shares(counts, names)} | {shares(speed, found)} |")
        right, wrong, alarms, speeds_right, speeds_wrong = MEASURED.get((length, given), (0, 0, 0, 0, 0))
        for what, count, least, most in (
                ("right", counts["right"], math.floor(0.95 * right), None), ("wrong part", counts["wrong part"], None, wrong + 1),
                ("false alarm", counts["false alarm"], None, alarms + 1),
                ("speed right", speed["right"], math.floor(0.95 * speeds_right), None),
                ("speed wrong", speed["wrong"], None, speeds_wrong + 1)):
            if (least is not None and count < least) or (most is not None and count > most):
                broken = True
                worse.append(f"{length} turns, speed {'given' if given else 'not given'}: {what} {count}, "
                             f"{f'at least {least}' if most is None else f'at most {most}'} expected")
    for file, length, i, given, rate, deviation, reference in off:
        print(f"- {file}, piece {i} of {length} turns, speed {'given' if given else 'not given'}: {rate:.3f} Hz "
              f"(good to {100 * deviation:.3f} %), whole recording {reference:.3f} Hz")
    for line in worse:
        print("worse than measured:", line)
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
