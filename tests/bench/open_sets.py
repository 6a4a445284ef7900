"""What the benches on the open sets share: the modules they need, the sets, and the words for components."""
import os
import sys

try:
    import numpy as np

    import bearingdsp
except ImportError as missing:
    print(f"skipped: {missing}")
    sys.exit(77)

PARTS = {"outer_ring": "outer ring", "inner_ring": "inner ring", "rolling_element": "rolling element", "cage": "cage",
         "several": "several", "unclear": "unclear", "another_bearing": "another bearing"}


def manifest():
    """Path of the manifest; without the sets it says so and ends with 77."""
    path = os.path.join(os.environ.get("BEARINGDSP_DATASETS", ""), "manifest.csv")
    if not os.path.exists(path):
        print("skipped: the open sets are not here (BEARINGDSP_DATASETS)")
        sys.exit(77)
    return path


def records():
    """Each recording of the manifest with its samples [channels, n] and its sample rate, Hz."""
    for record in bearingdsp.read_manifest(manifest()).records:
        capture = record.read()
        yield record, np.stack([np.asarray(c.samples) for c in capture.channels]), capture.rate_hz


def diagnosed(record, x, rate, speed):
    return bearingdsp.diagnose(np.ascontiguousarray(x), rate_hz=rate, unit="m/s2", bearing=record.orders, speed_rpm=speed)
