"""What the library and the tool cost beside NumPy, SciPy and pandas doing the same, and with the length of the
recording. Prints tables for docs/validation/cost.md; judges nothing. A ratio is theirs over ours, both taken in turns
in one run as processor time of one thread, which other work on the machine does not add to.

    PYTHONPATH=build/release/python:build/release/tests/python OMP_NUM_THREADS=1 /usr/bin/python3 \
        tests/bench/against_scipy.py build/release/cli/bearingdsp [--part transforms|bands|diagnosis|reading|start|length] [--repetitions 9] \
        [--longest 100000000]
"""

import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
import wave

import numpy as np

RATE = 51200


def turns(repetitions, ours, theirs):
    """Quartiles of theirs over ours, and the medians in seconds."""
    ours(), theirs()  # plans made, caches warm
    mine, other, ratio = [], [], []
    for i in range(repetitions):
        taken = {}
        for name, call in (("mine", ours), ("other", theirs))[:: 1 if i % 2 else -1]:
            start = time.thread_time()
            said = call()
            # What is timed without Python around it says its seconds itself.
            taken[name] = said if isinstance(said, float) else time.thread_time() - start
        mine.append(taken["mine"])
        other.append(taken["other"])
        ratio.append(taken["other"] / taken["mine"])
    q = np.quantile(ratio, (0.25, 0.5, 0.75))
    return q, statistics.median(mine), statistics.median(other)


def row(name, repetitions, ours, theirs):
    (low, middle, high), mine, other = turns(repetitions, ours, theirs)
    print(f"| {name} | {middle:.1f} | {low:.1f} .. {high:.1f} | {1e3 * mine:.3g} ms | {1e3 * other:.3g} ms |",
          flush=True)


def table(title):
    print(f"\n| {title} | theirs / ours | quartiles | ours | theirs |\n| --- | --- | --- | --- | --- |")


def recording(seconds, severity=5.0):
    import bearingdsp as b

    made = b.simulate({"seed": 5, "duration_s": seconds, "rate_hz": RATE, "speed_rpm": 1483,
                       "bearing": {"designation": "6205"}, "shaft_harmonics_m_s2": [1.0, 0.5, 0.2],
                       "defects": [{"part": "outer ring", "severity_m_s2": severity}] if severity else []})
    return np.array(made.capture.channels[0].samples)


def transforms(repetitions):
    import scipy.fft
    import scipy.signal

    import bearingdsp as b
    from python_overhead import squared_envelope_seconds

    x = recording((1 << 20) / RATE)
    n = len(x)
    assert n == 1 << 20 and scipy.fft.next_fast_len(n) == n
    plans = b.FftPlans()
    hann = scipy.signal.get_window("hann", n)

    def hilbert():
        return np.abs(scipy.signal.hilbert(x)) ** 2

    def hilbert_spectrum():
        return np.abs(scipy.fft.rfft(hilbert() * hann))

    sos = scipy.signal.butter(4, (2000, 4000), "bandpass", fs=RATE, output="sos")

    def filtered():
        return np.abs(scipy.fft.rfft(np.abs(scipy.signal.hilbert(scipy.signal.sosfiltfilt(sos, x))) ** 2 * hann))

    def ours():
        return b.squared_envelope_spectrum(b.record_spectrum(x, RATE, plans), (2000.0, 4000.0), 2000.0, plans)

    def amplitude():
        w = scipy.signal.get_window("hann", n)
        return np.abs(scipy.fft.rfft((x - x.mean()) * w)) / w.sum()

    table("2^20 samples, a length that needs no padding")
    row("amplitude spectrum: `get_window`, `scipy.fft.rfft`, `abs`", repetitions,
        lambda: b.amplitude_spectrum(x, RATE, plans=plans), amplitude)
    row("`scipy.signal.welch`, segments of 4096, half overlapped", repetitions,
        lambda: b.welch(x, RATE, segment=4096, plans=plans), lambda: scipy.signal.welch(x, RATE, nperseg=4096))
    line = RATE / n
    row("`abs(hilbert(x))**2`, against the squared envelope of 2-4 kHz in C++", repetitions,
        lambda: squared_envelope_seconds(x, int(2000 / line), int(4000 / line)), hilbert)
    row("`abs(hilbert(x))**2` and a windowed `rfft`, against the envelope spectrum of 2-4 kHz through the module",
        repetitions, ours, hilbert_spectrum)
    row("the same of 2-4 kHz, filtered by `sosfiltfilt`", repetitions, ours, filtered)


def bands(repetitions):
    """Which band pulses, and how each band pulses at each rate, of a flattened record of 10 s."""
    import scipy.fft

    import bearingdsp as b

    plans = b.FftPlans()
    flat = b.flattened(b.record_spectrum(recording(10), RATE, plans), 75.0)
    bins = np.asarray(flat.bins)
    n = 2 * (len(bins) - 1)
    df = RATE / n
    hann = np.hanning(n)
    up_to = 700.0
    tree = [tuple(band) for band in b.band_tree(RATE, 3.2 * 5.421 * 1483 / 60)]

    def envelope(band):
        one = np.zeros(n, complex)
        first, last = (round(edge / df) for edge in band)
        one[first:last] = 2 * bins[first:last]
        return np.abs(scipy.fft.ifft(one, overwrite_x=True)) ** 2

    def lines(e):
        return np.abs(scipy.fft.rfft((e - e.mean()) * hann))[: int(up_to / df)]

    def choice():
        best = (0.0, None)
        for band in tree:
            e = envelope(band)
            lines(e)
            best = max(best, (np.mean(e**2) / np.mean(e) ** 2, band))
        return best[1]

    def ours():
        return max((b.squared_envelope_spectrum(flat, band, up_to, plans).kurtosis, band) for band in tree)[1]

    assert list(choice()) == list(ours())
    table("10 s at 51.2 kHz, from its flattened spectrum on")
    row(f"band choice: kurtosis and envelope spectrum of {len(tree)} bands", repetitions, ours, choice)
    top = 0.49 * RATE
    even = [(top * i / 16, top * (i + 1) / 16) for i in range(16)]
    row("cyclic coherence up to 500 Hz in 16 bands, as the envelopes' spectra", repetitions,
        lambda: b.cyclic_coherence([flat], 500.0, plans), lambda: [lines(envelope(band)) for band in even])


def reference(x, orders, shaft):
    """What a researcher writes with SciPy: whitened spectrum, the envelope spectra of the same bands as ours, and in
    each the prominence of five harmonics of each part's family, tried over 2 % of slip; the largest wins."""
    import scipy.fft
    import scipy.ndimage

    import bearingdsp as b

    n = scipy.fft.next_fast_len(len(x), real=True)
    spectrum = scipy.fft.rfft(x - x.mean(), n)
    magnitude = np.abs(spectrum)
    spectrum = spectrum / np.maximum(scipy.ndimage.uniform_filter1d(magnitude, 1501), 1e-12)
    hann = np.hanning(n)
    df = RATE / n
    up_to = int(5.6 * max(orders.values()) * shaft / df)
    slip = np.linspace(-0.02, 0.02, 81)
    best = ("none", 0.0)
    for low, high in b.band_tree(RATE, 10 * max(orders.values()) * shaft):
        one = np.zeros(n, complex)
        first, last = int(low / df), int(high / df)
        one[first:last] = 2 * spectrum[first:last]
        e = np.abs(scipy.fft.ifft(one)) ** 2
        np.mean(e**2) / np.mean(e) ** 2 - 2  # the band's kurtosis, as ours gives it
        lines = np.abs(scipy.fft.rfft((e - e.mean()) * hann))[:up_to]
        floor = scipy.ndimage.median_filter(lines, 201)
        snr = lines / np.maximum(floor, 1e-12)
        for part, order in orders.items():
            at = (order * shaft * (1 + slip)[:, None] * np.arange(1, 6) / df).round().astype(int)
            found = np.minimum(snr[np.minimum(at, up_to - 1)], 20).sum(axis=1).max()
            if found > best[1]:
                best = (part, found)
    return best[0]


def diagnosis(repetitions):
    import bearingdsp as b

    orders = {"outer ring": 3.579, "inner ring": 5.421, "rolling element": 4.684, "cage": 0.3977}
    table("10 s at 51.2 kHz")
    for name, severity in (("damaged", 5.0), ("sound", 0.0)):
        x = recording(10, severity)
        plans = b.FftPlans()
        assert severity == 0 or reference(x, orders, 1483 / 60) == "outer ring"
        row(f"whole diagnosis, {name}, against the reference below over the same bands", repetitions,
            lambda: b.diagnose(x, rate_hz=RATE, unit="m/s2", bearing="6205", speed_rpm=1483, plans=plans),
            lambda: reference(x, orders, 1483 / 60))


def reading(repetitions):
    try:
        import pandas
    except ImportError:
        pandas = None
    import scipy.io
    import scipy.io.wavfile

    import bearingdsp as b

    x = recording(60, 0.0)
    t = np.arange(len(x)) / RATE
    # Nothing else here needs pandas, so that it is not among the packages that the tests install.
    with_pandas = f"pandas {pandas.__version__}" if pandas else "pandas is not here, so without its rows (python3-pandas)"
    table(f"60 s at 51.2 kHz; NumPy {np.__version__}, {with_pandas}")
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "a.wav")
        capture = b.capture_from_array(x, RATE, unit="m/s2", full_scale=200)
        for bits in (16, 32):
            b.write_wav(capture, path, bits=bits, full_scale=200)
            row(f"WAV of {bits} bit: `scipy.io.wavfile.read`, as doubles", repetitions,
                lambda: b.read_capture(path, unit="m/s2", full_scale=200 if bits == 16 else None),
                lambda: scipy.io.wavfile.read(path)[1].astype(float) * (200 / 32768))
        for name, data, form in (("one column, 6 decimals", x, "%.6f"), ("one column, 17 digits", x, "%.17g"),
                                 ("time and x, 6 decimals", np.c_[t, x], "%.6f")):
            path = os.path.join(folder, "a.csv")
            np.savetxt(path, data, form, delimiter=",", header="time [s],x [m/s2]" if data.ndim > 1 else "x [m/s2]",
                       comments="")
            ours = lambda: b.read_capture(path, rate_hz=RATE)
            row(f"CSV, {name}: `numpy.loadtxt`", max(3, repetitions // 3), ours,
                lambda: np.loadtxt(path, delimiter=",", skiprows=1))
            if pandas:
                row(f"CSV, {name}: `pandas.read_csv`", max(3, repetitions // 3), ours, lambda: pandas.read_csv(path))
            size = os.path.getsize(path) / 1e6
            (_, mine, _) = turns(repetitions, ours, lambda: sum(range(10)))
            print(f"| ours: {size / mine:.0f} MB/s | | | | |")
        for packed in (False, True):
            path = os.path.join(folder, "a.mat")
            scipy.io.savemat(path, {"x": x, "fs": float(RATE)}, do_compression=packed)
            row(f"MAT v5{', packed' if packed else ''}: `scipy.io.loadmat`", repetitions,
                lambda: b.read_capture(path, select="x"), lambda: scipy.io.loadmat(path)["x"].ravel())


def run(command):
    """Processor seconds, wall seconds and output of a command that must not fail."""
    start = time.monotonic()
    child = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    out, err = child.stdout.read(), child.stderr.read()
    _, status, usage = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode not in (0, 1, 3):
        raise RuntimeError(f"{command}: {child.returncode}\n{err.decode()}")
    return usage.ru_utime + usage.ru_stime, time.monotonic() - start, out


def largest_memory(command):
    """In bytes. What a child is said to have taken holds what its parent had when it forked, so that the parent has to
    be a small one."""
    program = ("import os, sys; out = (os.POSIX_SPAWN_OPEN, 1, '/dev/null', os.O_WRONLY, 0); "
               "child = os.posix_spawn(sys.argv[1], sys.argv[1:], os.environ, file_actions=[out]); "
               "print(os.wait4(child, 0)[2].ru_maxrss)")
    return 1024 * int(subprocess.run([sys.executable, "-ISc", program, *command], capture_output=True, check=True).stdout)


def start(tool, repetitions):
    print("\n| start of a command | processor time, shortest | wall time, shortest |\n| --- | --- | --- |")
    for command in (["/bin/true"], [tool, "--version"], [tool, "frequencies", "--bearing", "6205", "--rpm", "1483"],
                    ["/usr/bin/python3", "-c", "pass"], ["/usr/bin/python3", "-c", "import scipy.signal"]):
        several = [run(command) for _ in range(3 * repetitions)]
        words = " ".join([os.path.basename(command[0])] + command[1:])
        print(f"| `{words}` | {1e3 * min(r[0] for r in several):.1f} ms | {1e3 * min(r[1] for r in several):.1f} ms |")


def write_long(path, n, rng):
    """A damaged outer ring in noise, with slip, made and written in blocks: impacts that ring at 3 and 6.5 kHz."""
    ring = np.arange(600) / RATE
    ring = np.exp(-900 * ring) * (np.sin(2 * np.pi * 3000 * ring) + 0.6 * np.sin(2 * np.pi * 6500 * ring))
    step = RATE / (3.579 * 1483 / 60)
    impact, tail = step, np.zeros(0)
    block = 1 << 20
    with wave.open(path, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        for at in range(0, n, block):
            m = min(block, n - at)
            x = np.concatenate([rng.standard_normal(m), np.zeros(len(ring))])
            x[: len(tail)] += tail
            x[:m] += 1.5 * np.sin(2 * np.pi * 1483 / 60 * (at + np.arange(m)) / RATE)
            while impact < at + m:
                k = int(impact) - at
                if k >= 0:
                    x[k : k + len(ring)] += 6 * ring
                impact += step * (1 + 0.01 * rng.standard_normal())
            x, tail = x[:m], x[m:] if m == block else None
            file.writeframes((x * 800).clip(-32767, 32767).astype("<i2").tobytes())


def length(tool, longest):
    print("\n| samples | length | processor time | a million samples | largest memory | of the samples as doubles | said |")
    print("| --- | --- | --- | --- | --- | --- | --- |")
    lengths = [10**4, 10**5, 10 * RATE, 10**6, 60 * RATE, 10**7, 30 * 60 * RATE, 10**8]
    least = None
    with tempfile.TemporaryDirectory() as folder:
        for n in [n for n in lengths if n <= longest]:
            path = os.path.join(folder, "a.wav")
            write_long(path, n, np.random.default_rng(7))
            command = [tool, "diagnose", path, "--bearing", "6205", "--rpm", "1483", "--unit", "m/s2",
                       "--full-scale", "41", "--json"]
            cpu, _, out = run(command)
            peak = largest_memory(command)
            least = least or peak
            said = json.loads(out)
            said = said.get("diagnosis", said).get("verdict", "?")
            print(f"| {n:.3g} | {n / RATE:.3g} s | {cpu:.3g} s | {cpu / n * 1e6:.3g} s | {peak / 1e6:.0f} MB "
                  f"| {(peak - least) / (8 * n):.2f} | {said} |", flush=True)
    print(f"\nThe memory of the first, {least / 1e6:.0f} MB, is taken off in the ratio.")


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n")[0])
    parser.add_argument("tool")
    parser.add_argument("--part", action="append",
                        choices=("transforms", "bands", "diagnosis", "reading", "start", "length"))
    parser.add_argument("--repetitions", type=int, default=9)
    parser.add_argument("--longest", type=int, default=10**8)
    given = parser.parse_args()
    parts = {"transforms": lambda: transforms(given.repetitions), "bands": lambda: bands(given.repetitions),
             "diagnosis": lambda: diagnosis(given.repetitions),
             "reading": lambda: reading(given.repetitions), "start": lambda: start(given.tool, given.repetitions),
             "length": lambda: length(given.tool, given.longest)}
    if any(part != "start" for part in given.part or parts):
        try:
            import scipy
        except ImportError:
            print("skipped: SciPy is not here (python3-scipy)")
            sys.exit(77)
    print(f"{os.cpu_count()} processors, load {os.getloadavg()[0]:.1f} at the start")
    for name in given.part or parts:
        parts[name]()


if __name__ == "__main__":
    main()
