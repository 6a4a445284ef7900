#!/usr/bin/env python3
"""Writes the reference recordings of tests/unit/capture into tests/reference/formats.

Universal files: by the layout of the public description [uff58], with struct alone. NumPy and HDF5:
by numpy 1.24.2 and h5py 3.7.0. Signal k of a file is x[i] = 0.001 * ((7919 * i + 101 * k) % 2001 - 1000) m/s2
at 25600 samples per second, which the tests calculate again.
The fuzzers of these formats start from these files too.

    /usr/bin/python3 tests/reference/gen_formats.py
"""
import os
import struct

import h5py
import numpy as np

FOLDER = os.path.join(os.path.dirname(os.path.abspath(__file__)), "formats")
N, RATE = 100, 25600


def signal(k, n=N):
    return [0.001 * ((7919 * i + 101 * k) % 2001 - 1000) for i in range(n)]


def e13(value):
    return f"{value:13.5E}"


def e20(value):
    return f"{value:20.12E}"


def lines(fields, per_line):
    return [("".join(fields[i : i + per_line])) for i in range(0, len(fields), per_line)]


def header(name, node, direction, kind, n, even, function=1, unit="m/s2"):
    """Records 1 to 11."""
    none = "NONE"
    step = 1 / RATE if even else 0.0
    return [
        "time response of the reference",
        none,
        "11-MAY-26 06:30:00",
        none,
        none,
        f"{function:5d}{0:10d}{0:5d}{0:10d} {name:<10}{node:10d}{direction:4d} {none:<10}{0:10d}{0:4d}",
        f"{kind:10d}{n:10d}{1 if even else 0:10d}{e13(0.0)}{e13(step)}{e13(0.0)}",
        f"{17:10d}{0:5d}{0:5d}{0:5d} {'Time':<20} {'s':<20}",
        f"{12:10d}{1:5d}{0:5d}{0:5d} {'Acceleration':<20} {unit:<20}",
        f"{0:10d}{0:5d}{0:5d}{0:5d} {none:<20} {none:<20}",
        f"{0:10d}{0:5d}{0:5d}{0:5d} {none:<20} {none:<20}",
    ]


BOUND = "    -1"


def text_file(name, parts, end="\n"):
    with open(os.path.join(FOLDER, name), "wb") as f:
        f.write((end.join(parts) + end).encode("ascii"))


def dataset(head, data):
    return [BOUND, "    58", *head, *data, BOUND]


def other_datasets():
    """Datasets 151 and 164 as they usually precede, which are passed over."""
    return [BOUND, "   151", "model", "reference", "program", "11-MAY-26 06:30:00", BOUND,
            BOUND, "   164", f"{1:10d}{'SI: Meter (newton)':<20}{2:10d}", "  1.0D+00  1.0D+00  1.0D+00", BOUND]


def spectrum():
    values = [e13(0.5 * i) for i in range(2 * 8)]
    return dataset(header("DE", 1, 1, 5, 8, True, function=4), lines(values, 6))


def text_files():
    singles = other_datasets() + spectrum()
    for k, (node, direction) in enumerate([(1, 1), (2, -3)]):
        singles += dataset(header("DE", node, direction, 2, N, True), lines([e13(v) for v in signal(k)], 6))
    text_file("uff58_single.uff", singles)
    text_file("uff58_double_crlf.uff",
              dataset(header("DE", 1, 1, 4, N, True, unit="g"), lines([e20(v) for v in signal(0)], 4)), "\r\n")
    uneven = []
    for i, v in enumerate(signal(0)):
        uneven += [e13(i / RATE), e20(v)]
    text_file("uff58_double_uneven.uff", dataset(header("NONE", 7, 2, 4, N, False), lines(uneven, 4)))
    # Values that touch, a D for the E, and no E before an exponent of three digits.
    odd = ["-1.23456D+000", "-2.34567D-001", " 1.00000-105", "-1.00000E+00"]
    odd = [f"{v:>13}" for v in odd] + [e13(v) for v in signal(0)[4:]]
    text_file("uff58_odd_numbers.uff", dataset(header("DE", 1, 0, 2, N, True), lines(odd, 6)))


def binary(name, head, data, big=False):
    line = f"{58:6d}b{2 if big else 1:6d}{2:6d}{11:12d}{len(data):12d}{0:6d}{0:6d}{0:12d}{0:12d}"
    start = "\n".join([BOUND, line, *head]) + "\n"
    with open(os.path.join(FOLDER, name), "wb") as f:
        f.write(start.encode("ascii") + data + (BOUND + "\n").encode("ascii"))


def binary_files():
    binary("uff58b_double.uff", header("DE", 1, 1, 4, N, True), struct.pack(f"<{N}d", *signal(0)))
    binary("uff58b_single_big.uff", header("DE", 1, 1, 2, N, True), struct.pack(f">{N}f", *signal(0)), big=True)
    for name, code in [("uff58b_uneven_single_x.uff", "<fd"), ("uff58b_uneven_double_x.uff", "<dd")]:
        data = b"".join(struct.pack(code, i / RATE, v) for i, v in enumerate(signal(0)))
        binary(name, header("DE", 1, 1, 4, N, False), data)


def numpy_files():
    def path(name):
        return os.path.join(FOLDER, name)

    x, y = np.array(signal(0)), np.array(signal(1))
    np.save(path("one.npy"), x)
    np.save(path("two_big_int.npy"), np.round(1000 * np.stack([x, y], axis=1)).astype(">i2"))
    np.save(path("two_fortran.npy"), np.asfortranarray(np.stack([x, y], axis=1).astype(np.float32)))
    np.savez(path("named.npz"), x=x, fs=RATE, unit="m/s2", rpm=1480.0)
    np.savez_compressed(path("packed.npz"), x=x, y=y, sample_rate=float(RATE))
    fields = np.zeros(N, dtype=[("t", "<f8"), ("x", "<f8")])
    np.save(path("fields.npy"), fields)


def hdf5_files():
    with h5py.File(os.path.join(FOLDER, "attributes.h5"), "w") as f:
        f.attrs["rpm"] = 1480.0
        group = f.create_group("bearing")
        x = group.create_dataset("vibration", data=np.array(signal(0), dtype=np.float32), chunks=(64,),
                                 compression="gzip")
        x.attrs["sample_rate"] = float(RATE)
        x.attrs["unit"] = "m/s2"
    with h5py.File(os.path.join(FOLDER, "fixed_text.h5"), "w") as f:
        x = f.create_dataset("vibration", data=np.array([signal(0), signal(1)]).T)
        x.attrs["fs"] = np.int32(RATE)
        x.attrs["units"] = np.bytes_("g")


if __name__ == "__main__":
    os.makedirs(FOLDER, exist_ok=True)
    text_files()
    binary_files()
    numpy_files()
    hdf5_files()
