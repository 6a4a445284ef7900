#!/usr/bin/env python3
"""Several recordings of one point judged together, beside each alone, on the open sets.

usage: together.py      (PYTHONPATH names the built module)

1. Pieces: each labelled record that is long enough is cut into five parts of at least 20 revolutions. Each part alone
   ('apart') and the five together.
2. Loads: records of one rig with one defect at several loads (same set, fault, size and end; other loads), together.
3. Healthy records of one rig and bearing, together: no alarm.
4. Simulated machines (40 damaged on the outer ring near the limit of detection, 40 healthy) with five recordings each.

judge_together() was not tuned on this: its bounds are counts of whole records (verdict/together.hpp), its dependence was
chosen before. Exits with 1 where a row is worse than MEASURED (docs/validation/together.md) by more than one.
The sets lie at BEARINGDSP_DATASETS, unpacked; without them it says so and exits with 77.
"""
import collections
import csv
import sys

from open_sets import PARTS, bearingdsp, diagnosed, manifest, records

ROWS = ("right", "in the set", "damaged, open", "wrong component", "cannot tell", "missed", "no alarm", "healthy, open",
        "false alarm")
# Row, at least, at most: what was measured, with room for one recording (together) or five per cent (apart).
MEASURED = {
    "pieces, together": (("right", 27, 40), ("wrong component", 0, 1), ("missed", 0, 5), ("false alarm", 0, 0)),
    "loads, together": (("right", 16, 25), ("wrong component", 0, 1), ("missed", 0, 4), ("false alarm", 0, 0)),
    "healthy, together": (("no alarm", 2, 2),),
    "simulated, outer ring, together": (("right", 39, 40), ("wrong component", 0, 0)),
    "simulated, healthy, together": (("no alarm", 39, 40), ("false alarm", 0, 0)),
}


def outcome(label, d):
    healthy = label not in PARTS.values()
    if d.verdict == bearingdsp.Verdict.indeterminate:
        return "healthy, open" if healthy else "cannot tell"
    if d.verdict == bearingdsp.Verdict.no_fault:
        return "no alarm" if healthy else "missed"
    if healthy:
        return "false alarm"
    named = PARTS[d.place.name]
    if named == label:
        return "right"
    if named in ("unclear", "another bearing"):
        return "in the set" if label in [PARTS[p.name] for p in d.place_set] else "damaged, open"
    return "wrong component"


def pieces_of(record, x, rate):
    revolutions = x.shape[1] / rate * record.speed_rpm / 60
    if revolutions < 100:
        return []
    n = x.shape[1] // 5
    return [diagnosed(record, x[:, i * n:(i + 1) * n], rate, record.speed_rpm) for i in range(5)]


def simulated(counts):
    for label, severity in (("outer ring", 1.9), ("healthy", 0)):
        for machine in range(40):
            all_five = []
            for visit in range(5):
                plan = {"seed": 1000 * machine + visit + 1, "rate_hz": 20480, "duration_s": 4, "speed_rpm": 1480,
                        "bearing": {"designation": "6205"}, "noise_rms_m_s2": 1, "shaft_harmonics_m_s2": [0.1, 0.05]}
                if severity:
                    plan["defects"] = [{"part": "outer ring", "severity_m_s2": severity, "slip": 0.005}]
                capture = bearingdsp.simulate(plan).capture
                all_five.append(bearingdsp.diagnose(capture, bearing="6205", speed_rpm=1480))
                counts[f"simulated, {label}, apart"][outcome(label, all_five[-1])] += 1
            counts[f"simulated, {label}, together"][outcome(label, bearingdsp.judge_together(all_five))] += 1


def main():
    with open(manifest(), newline="", encoding="utf-8") as f:
        notes = list(csv.DictReader(f))
    counts = collections.defaultdict(collections.Counter)
    groups = collections.defaultdict(list)
    for (record, x, rate), note in zip(records(), notes):
        parts = pieces_of(record, x, rate)
        for d in parts:
            counts["pieces, apart"][outcome(record.label, d)] += 1
        if parts:
            try:
                counts["pieces, together"][outcome(record.label, bearingdsp.judge_together(parts))] += 1
            except bearingdsp.Error:
                counts["pieces, together"]["healthy, open" if record.label not in PARTS.values() else "cannot tell"] += 1
        whole = diagnosed(record, x, rate, record.speed_rpm)
        key = (note["dataset"], note["bearing"], note["fault"], note["end"], note["size"])
        groups[key].append((record.label, whole))
    for key, members in groups.items():
        if len(members) < 2:
            continue
        what = "healthy" if members[0][0] not in PARTS.values() else "loads"
        for label, d in members:
            counts[f"{what}, apart"][outcome(label, d)] += 1
        try:
            said = outcome(members[0][0], bearingdsp.judge_together([d for _, d in members]))
        except bearingdsp.Error:
            said = "healthy, open" if what == "healthy" else "cannot tell"
        counts[f"{what}, together"][said] += 1
    simulated(counts)
    print(f"| what | n | {' | '.join(ROWS)} |")
    print("|---" * (2 + len(ROWS)) + "|")
    broken = False
    for what, c in counts.items():
        print(f"| {what} | {sum(c.values())} | {' | '.join(str(c[r]) for r in ROWS)} |")
        for row, least, most in MEASURED.get(what, ()):
            if not least <= c[row] <= most:
                broken = True
                print(f"worse than measured: {what}, {row}: {c[row]}, {least} to {most} expected")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
