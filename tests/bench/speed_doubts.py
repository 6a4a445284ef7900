#!/usr/bin/env python3
"""What the doubt about a speed that no motor has does on the open records, diagnosed without their speed.

    BEARINGDSP_DATASETS=... PYTHONPATH=build/release/python tests/bench/speed_doubts.py

A recording counts as doubted if it has the finding speed_implausible. Its verdict is compared with that of the same one
with the interval of all motors given (300 to 6000 rpm): given an interval, the finding is not made, so that whatever else
differs would be its doing. The speeds of most rigs are set by a converter.

Then 80 simulated motors on the mains with weak shaft lines and a damaged ring, with the bearing given and not: how many of
the speeds found are wrong, and how many of these are doubted. Without the open sets only this is printed.
"""
import collections
import random

from open_sets import PARTS, bearingdsp, np, records

ALL_MOTORS = (300.0, 6000.0)  # as SpeedInterval, where nothing is given


def simulated():
    draw = random.Random(3)
    count = collections.Counter()
    for seed in range(80):
        synchronous = draw.choice([3000, 1500, 1000, 3600, 1800, 1200])
        rpm = synchronous * (1 - draw.uniform(0.005, 0.05))
        part = draw.choice(["outer ring", "inner ring"])
        elements = draw.choice([7, 8, 9, 10])
        plan = {"seed": seed, "rate_hz": 20480, "duration_s": 4, "speed_rpm": rpm, "noise_rms_m_s2": 0.3,
                "bearing": {"rolling_elements": elements, "element_diameter_mm": 7.94, "pitch_diameter_mm": 39.04},
                "shaft_harmonics_m_s2": [draw.choice([0.0, 0.02]), 0.0],
                "defects": [{"part": part, "severity_m_s2": draw.choice([4, 8, 15])}]}
        capture = bearingdsp.simulate(plan).capture
        geometry = bearingdsp.BearingGeometry(rolling_elements=elements, element_diameter=7.94, pitch_diameter=39.04)
        for given, bearing in (("no", None), ("yes", geometry)):
            d = bearingdsp.diagnose(capture, bearing=bearing)
            state = "not found" if not d.speed.found else "right" if abs(d.speed.rpm / rpm - 1) < 0.02 else "wrong"
            doubted = any(f.kind == "speed_implausible" for f in d.findings)
            count[given, state, d.verdict.name, "yes" if doubted else "no", d.assessment.urgency] += 1
    print("| bearing given | speed found | verdict | doubt | urgency | simulated motors |")
    print("| --- | --- | --- | --- | --- | --- |")
    for key, n in sorted(count.items()):
        print("| " + " | ".join(key) + f" | {n} |")
    print()


def main():
    simulated()
    count = collections.Counter()
    for record, x, rate in records():
        if not record.orders:
            continue
        samples = np.ascontiguousarray(x)
        known = dict(rate_hz=rate, unit="m/s2", bearing=record.orders)
        blind = bearingdsp.diagnose(samples, **known)
        ranged = bearingdsp.diagnose(samples, **known, speed_range_rpm=ALL_MOTORS)
        found = blind.speed.rate_hz if blind.speed.found else None
        state = "not found" if found is None else \
            "right" if abs(60 * found / record.speed_rpm - 1) < 0.05 else "wrong"
        doubted = any(f.kind == "speed_implausible" for f in blind.findings)
        same = (blind.verdict, blind.place, blind.probability_of_damage) == (ranged.verdict, ranged.place,
                                                                             ranged.probability_of_damage)
        urgency = blind.assessment.urgency, ranged.assessment.urgency
        damaged = record.label in PARTS.values()
        count[record.dataset, state, "damaged" if damaged else "healthy", blind.verdict.name, doubted, same,
              urgency[0] == urgency[1]] += 1
    print("| set | speed found | label | verdict | doubt | condition kept | urgency kept | records |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- |")
    for key, n in sorted(count.items(), key=str):
        print("| " + " | ".join("yes" if v is True else "no" if v is False else v for v in key) + f" | {n} |")


if __name__ == "__main__":
    main()
