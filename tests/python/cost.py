"""Processor time and memory of a diagnosis, for docs/sizing.md. Prints a table; judges nothing.

    PYTHONPATH=build/release/python /usr/bin/python3 tests/python/cost.py
"""

import os
import resource
import statistics
import tempfile
import time

import numpy as np

import bearingdsp as b

REPEATS = 9
CASES = (  # seconds, samples/s, axes
    (2, 25600, 1), (4, 25600, 1), (10, 25600, 1), (30, 25600, 1), (10, 51200, 1), (10, 25600, 3),
)


def middle(call):
    times = []
    for _ in range(REPEATS):
        start = time.process_time()
        call()
        times.append(time.process_time() - start)
    return statistics.median(times)


def main():
    with open("/proc/cpuinfo", encoding="utf-8") as file:
        model = next((l.split(":")[1].strip() for l in file if l.startswith("model name")), "?")
    print(f"{model}, {os.cpu_count()} cores; middle of {REPEATS}, processor time of one thread\n")
    print("| record | file, 16 bit | read | diagnose | with plans kept | a core and day |")
    print("| --- | --- | --- | --- | --- | --- |")
    with tempfile.TemporaryDirectory() as folder:
        for seconds, rate, axes in CASES:
            x = np.stack([
                b.simulate({"seed": 1 + a, "duration_s": seconds, "rate_hz": rate, "speed_rpm": 1470,
                            "bearing": {"designation": "6208"}, "shaft_harmonics_m_s2": [1, 0.4],
                            "defects": [{"part": "outer ring", "severity_m_s2": 5}]}
                           ).capture.channels[0].samples
                for a in range(axes)
            ])
            capture = b.capture_from_array(x, rate, unit="m/s2", full_scale=128)
            path = os.path.join(folder, "a.wav")
            b.write_wav(capture, path, bits=16, full_scale=128)
            size = os.path.getsize(path) / 1e6

            def diagnose(plans=None):
                b.diagnose(capture, bearing="6208", speed_rpm=1470, plans=plans)

            plans = b.FftPlans()
            diagnose(plans)
            read = middle(lambda: b.read_capture(path, unit="m/s2", full_scale=128))
            fresh = middle(diagnose)
            kept = middle(lambda: diagnose(plans))
            print(f"| {seconds} s, {rate} Hz, {axes} axis{'' if axes == 1 else ' pooled'} | {size:.2f} MB "
                  f"| {1000 * read:.0f} ms | {1000 * fresh:.0f} ms | {1000 * kept:.0f} ms "
                  f"| {86400 / (read + kept) / 1e6:.2f} million |")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"\nLargest memory of the process over all of these: {peak:.0f} MB")


if __name__ == "__main__":
    main()
