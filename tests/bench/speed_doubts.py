#!/usr/bin/env python3
"""What the doubt about a speed that no motor has does on the open records, diagnosed without their speed.

    BEARINGDSP_DATASETS=... PYTHONPATH=build/release/python tests/bench/speed_doubts.py

A record counts as doubted if it has the finding speed_implausible. Its verdict is compared with that of the same record
with the interval of all motors given (300 to 6000 rpm): given an interval, the finding is not made, so that whatever else
differs would be its doing. The speeds of most rigs are set by a converter.
"""
import collections

from open_sets import PARTS, bearingdsp, np, records

ALL_MOTORS = (300.0, 6000.0)  # as SpeedInterval, where nothing is given


def main():
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
