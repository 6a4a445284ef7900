"""Our spectra and the rest against SciPy and, where it is installed, Octave with its signal package.

Each line that is printed names what was compared, the largest difference relative to the largest
value, the tolerance, and why it is not smaller.
"""

import json
import os
import shutil
import subprocess
import tempfile
import unittest

import numpy as np

import bearingdsp as b
import support

RATE = 25600.0
N = 25600  # 2^10 x 5^2: record_spectrum() keeps all of it


def recording(seed=11):
    made = b.simulate(
        {"seed": seed, "duration_s": N / RATE, "rate_hz": RATE, "speed_rpm": 1470,
         "bearing": {"designation": "6208"}, "shaft_harmonics_m_s2": [1.0, 0.4],
         "defects": [{"part": "outer ring", "severity_m_s2": 12}]}
    )
    x = np.array(made.capture.channels[0].samples)
    assert len(x) == N
    return x - x.mean()


class Compared(unittest.TestCase):
    def compare(self, what, got, want, tolerance, why):
        got, want = np.asarray(got), np.asarray(want)
        self.assertEqual(got.shape, want.shape, what)
        scale = np.max(np.abs(want))
        difference = np.max(np.abs(got - want)) / scale
        print(f"{what}: {difference:.1e} of {tolerance:.0e} ({why})")
        self.assertLess(difference, tolerance, what)


@support.needs("scipy")
class SciPy(Compared):
    def test_windows(self):
        from scipy.signal import get_window

        for ours, theirs in (("hann", "hann"), ("hamming", "hamming"), ("blackman", "blackman"),
                             ("kaiser", ("kaiser", 8.6)), ("rectangular", "boxcar"),
                             ("flat_top", "flattop")):
            for periodic in (True, False):
                self.compare(f"window {ours}", b.make_window(257, ours, periodic=periodic),
                             get_window(theirs, 257, fftbins=periodic), 1e-7 if ours == "flat_top"
                             else 1e-13, "rounding; flat top: coefficients published with 9 digits")

    def test_welch(self):
        from scipy.signal import welch

        x = recording()
        for scaling, theirs in (("density", "density"), ("power", "spectrum")):
            for trend, detrend in (("keep", False), ("remove_mean", "constant"),
                                   ("remove_line", "linear")):
                ours = b.welch(x, RATE, segment=2048, overlap=0.5, scaling=scaling, trend=trend)
                f, want = welch(x, RATE, "hann", 2048, 1024, detrend=detrend, scaling=theirs)
                self.compare(f"welch {scaling} {trend}", ours.y, want, 1e-12, "rounding")
                np.testing.assert_allclose(ours.frequency_hz, f, rtol=1e-13)

    def test_amplitude_spectrum(self):
        from scipy.signal import get_window

        x = recording()
        w = get_window("hann", N)
        want = np.abs(np.fft.rfft(x * w)) / w.sum()
        want[1:-1] *= 2
        ours = b.amplitude_spectrum(x, RATE, detector="peak", trend="keep")
        self.compare("amplitude spectrum", ours.y, want, 1e-12, "rounding")

    def test_envelope(self):
        from scipy.signal import hilbert

        for x in (recording(), recording()[:-1]):  # even and odd
            self.compare("envelope", b.envelope(x), np.abs(hilbert(x)), 1e-12, "rounding")
            self.compare("analytic signal", b.analytic_signal(x), hilbert(x), 1e-12, "rounding")

    def test_cepstrum(self):
        x = recording()
        # Without its mean the line at 0 Hz is rounding, which both would log differently.
        x = x + 1.0
        want = np.fft.irfft(np.log(np.abs(np.fft.rfft(x))), N)
        self.compare("real cepstrum", b.real_cepstrum(x), want, 1e-11, "rounding")

    @staticmethod
    def band_analytic(x, low, high):
        """Analytic signal of the lines in [low, high), full length."""
        spectrum = np.fft.fft(x - x.mean())
        first, last = int(round(low * N / RATE)), int(round(high * N / RATE))
        kept = np.zeros(N, complex)
        kept[first:last] = 2 * spectrum[first:last]
        return np.fft.ifft(kept)

    def test_squared_envelope_spectrum(self):
        from scipy.signal import get_window

        x = recording()
        record = b.record_spectrum(x, RATE)
        self.assertEqual(record.n, N)
        self.compare("record spectrum", record.bins, np.fft.rfft(x - x.mean()), 1e-12, "rounding")
        w = get_window("hann", N)
        for band in ((2400.0, 4000.0), (5600.0, 8800.0)):
            ours = b.squared_envelope_spectrum(record, band, 600.0)
            low, high = ours.band
            e = np.abs(self.band_analytic(x, low, high)) ** 2
            want = (2 * np.abs(np.fft.rfft(e * w)) / w.sum() / e.mean()) ** 2
            k = np.arange(3, len(ours.depth2))  # below, the window smears the mean in
            self.compare(f"squared envelope spectrum {band}", ours.depth2[k], want[k], 2e-6,
                         "bands are demodulated in single precision")

    def test_envelope_spectrum_in_the_unit_of_the_samples(self):
        """What a report draws in m/s2, against the magnitude of SciPy's analytic signal of the same band."""
        from scipy.signal import get_window, hilbert

        x = recording()
        d = b.diagnose(x, rate_hz=RATE, unit="m/s2", bearing="6208", speed_rpm=1470, curves="all")
        document = json.loads(d.to_json(curves=True))
        curve = next(c for c in document["curves"] if c["title"] == "envelope spectrum, strongest band, amplitude")
        self.assertEqual((curve["x_unit"], curve["y_unit"]), ("orders", "m/s2 rms"))
        band = document["bands"][0]
        spectrum = np.fft.rfft(x)
        f = np.fft.rfftfreq(N, 1 / RATE)
        spectrum[(f < band["band_low_hz"] - 0.1) | (f > band["band_high_hz"] - 0.1)] = 0
        e = np.abs(hilbert(np.fft.irfft(spectrum, N)))
        e -= e.mean()
        w = get_window("hann", N)
        want = np.sqrt(2) * np.abs(np.fft.rfft(e * w)) / w.sum()
        k = 1 + np.arange(len(curve["y"]))
        np.testing.assert_allclose(curve["x"], k * (RATE / N) / document["speed"]["shaft_rate_hz"], rtol=1e-3)
        self.compare("envelope spectrum in m/s2", curve["y"], want[k], 5e-3,
                     "the envelope is sampled at the band's rate: what it holds above folds back")

    def test_envelope_of_a_modulated_sine_reads_its_amplitude(self):
        """A (1 + m cos) of 2 m/s2 and m = 0.5 at 50 Hz on 4 kHz: 2 * 0.5 / sqrt(2) m/s2 rms [closed form]."""
        t = np.arange(4 * N) / RATE
        rng = np.random.default_rng(1)
        x = 2 * (1 + 0.5 * np.cos(2 * np.pi * 50 * t)) * np.cos(2 * np.pi * 4000 * t) + 0.01 * rng.standard_normal(len(t))
        d = b.diagnose(x, rate_hz=RATE, unit="m/s2", speed_rpm=1500, curves="all")
        curve = next(c for c in d.curves if c.title.endswith("amplitude"))
        at = np.argmin(np.abs(np.asarray(curve.x) * 25 - 50))
        self.compare("line of a modulated sine", [max(np.asarray(curve.y)[at - 1:at + 2])], [1 / np.sqrt(2)], 0.01,
                     "the speed is refined by up to a line")

    def test_kurtosis_of_bands_and_their_choice(self):
        x = recording()
        record = b.record_spectrum(x, RATE)
        ours, want = [], []
        for band in b.band_tree(RATE, 400.0):
            low, high = band
            spectrum = b.squared_envelope_spectrum(record, band, high - low)
            e = np.abs(self.band_analytic(x, *spectrum.band)) ** 2
            ours.append(spectrum.kurtosis)
            want.append(np.mean(e**2) / np.mean(e) ** 2 - 2)
        self.assertGreater(len(ours), 20)
        self.compare(f"spectral kurtosis of {len(ours)} bands", ours, want, 2e-6,
                     "bands are demodulated in single precision")
        self.assertEqual(int(np.argmax(ours)), int(np.argmax(want)))
        print(f"band of highest kurtosis: {b.band_tree(RATE, 400.0)[int(np.argmax(ours))]}, by both")

    def test_coherence_decides_what_is_deterministic(self):
        from scipy.signal import coherence, csd, welch

        rng = np.random.default_rng(4)
        n, rate, block = 1 << 17, 8192.0, 1024
        t = np.arange(n) / rate
        tones = np.sin(2 * np.pi * 400 * t) + 0.5 * np.sin(2 * np.pi * 1800 * t)
        x = tones + rng.standard_normal(n)
        deterministic, random = b.separate_deterministic(x, rate, block=block, delay=2 * block)
        self.compare("deterministic + random", deterministic + random, x, 1e-12, "rounding")
        # SciPy's coherence of the recording with itself two blocks later says which lines persist.
        f, c = coherence(x[: -2 * block], x[2 * block:], rate, nperseg=block)
        _, p = welch(x, rate, nperseg=block)
        _, cross = csd(x, deterministic, rate, nperseg=block)
        gain = np.real(cross) / p
        on = (np.abs(f - 400) < 1) | (np.abs(f - 1800) < 1)
        off = (np.abs(f - 400) > 40) & (np.abs(f - 1800) > 40) & (f > 40)
        self.assertEqual(on.sum(), 2)
        self.assertGreater(c[on].min(), 0.9)
        difference = np.abs(gain[on] - np.sqrt(c[on])).max()
        print(f"gain on persistent lines against the root of SciPy's coherence: {difference:.1e} "
              f"of 5e-02 (ours takes the bias off and counts overlapped blocks otherwise)")
        self.assertLess(difference, 0.05)
        chance = 1 - 0.001 ** (1 / (n / block - 2))  # exceeded by 0.1 % of lines [closed form]
        agree = np.mean((gain[off] > 0.2) == (np.sqrt(c[off]) > np.sqrt(chance)))
        print(f"other lines: SciPy calls {np.mean(c[off] > chance):.2%} persistent, ours passes "
              f"{np.mean(gain[off] > 0.2):.2%}; {agree:.1%} agree (chance differs line by line)")
        self.assertGreater(agree, 0.95)

    def test_cyclic_coherence(self):
        from scipy.signal import get_window

        rng = np.random.default_rng(9)
        t = np.arange(N) / RATE
        # Noise between 4 and 6 kHz pulses at 80 Hz, the rest does not.
        noise = rng.standard_normal(N)
        inside = b.filter_band(noise, RATE, low_hz=4000.0, high_hz=6000.0, slope_hz=200.0)
        x = noise + inside * 1.5 * np.cos(2 * np.pi * 80 * t)
        flat = b.flattened(b.record_spectrum(x, RATE), 100.0)
        ours = b.cyclic_coherence([flat], 200.0)
        column = int(80 / ours.step_hz)
        X = np.asarray(flat.bins)
        got, want = [], []
        for row, (low, high) in zip(ours.magnitude, ours.bands):
            k = np.arange(int(round(low * N / RATE)), int(round(high * N / RATE)) - 80)
            power = np.sum(np.abs(X[k[0]: k[-1] + 81]) ** 2)
            want.append(np.abs(np.sum(X[k + 80] * np.conj(X[k]))) / power)  # lines are 1 Hz apart
            got.append(row[column])
        self.compare(f"cyclic coherence at 80 Hz in {len(got)} bands", got, want, 0.1,
                     "a Hann taper against none: noise differs line by line, the pulsing does not")
        # With the same taper it is half the depth of the band's squared envelope [randall2001].
        w = get_window("hann", N)
        tapered = []
        for low, high in ours.bands:
            first = max(1, round(low * N / RATE))  # lines are 1 Hz apart; 0 Hz has no phase to turn
            kept = np.zeros(N, complex)
            kept[first: first + round((high - low) * N / RATE)] = 2
            e = np.abs(np.fft.ifft(kept[: N // 2 + 1] * X, N)) ** 2
            tapered.append(np.abs(np.fft.rfft(e * w))[2:201] / w.sum() / e.mean())
        self.compare(f"cyclic coherence, {len(tapered)} bands x 199 rates, same taper",
                     np.asarray(ours.magnitude)[:, 2:201], tapered, 2e-6,
                     "bands are demodulated in single precision")
        loudest = ours.bands[int(np.argmax(got))]
        self.assertTrue(4000 <= loudest.low_hz + 800 and loudest.high_hz - 800 <= 6000, loudest)
        quiet = [g for g, band in zip(got, ours.bands) if band.high_hz < 3600 or band.low_hz > 6400]
        self.assertLess(max(quiet), 2 * ours.by_chance)

    def test_order_tracking(self):
        from scipy.interpolate import CubicSpline
        from scipy.signal import resample

        rate, seconds, per_turn = 8192.0, 8.0, 64
        t = np.arange(int(rate * seconds)) / rate
        turns = 20 * t + 0.5 * t**2  # 20 to 28 Hz
        order = 3.6
        x = np.sin(2 * np.pi * order * turns)
        track = b.PhaseTrack(t[::64], turns[::64])
        ours = b.resample_to_angle(x, rate, track, per_turn)
        # The road of another library: eightfold by FFT, then a cubic spline at the same instants.
        angles = np.arange(len(ours)) / per_turn
        instants = (-20 + np.sqrt(400 + 2 * angles)) / 1.0
        fine = resample(x, 8 * len(x))
        theirs = CubicSpline(np.arange(len(fine)) / (8 * rate), fine)(instants)
        inner = slice(per_turn * 4, len(ours) - per_turn * 8)
        self.compare("order tracking", ours[inner], theirs[inner], 2e-3,
                     "the FFT takes the recording as periodic, and the track is joined by cubics")
        self.compare("order tracking, closed form", ours[inner],
                     np.sin(2 * np.pi * order * angles)[inner], 1e-4, "kernel of 100 dB")

    def test_change_of_rate(self):
        from scipy.signal import resample_poly

        x = recording()
        x = b.filter_band(x, RATE, high_hz=4000.0, slope_hz=400.0)
        ours = b.resample(x, 0.5)
        theirs = resample_poly(x, 1, 2, window=("kaiser", 12.0))
        middle = slice(500, len(ours) - 500)
        self.compare("half the rate", ours[middle], theirs[: len(ours)][middle], 1e-3,
                     "two kernels, both flat to about 1e-4 below 4 kHz")

    def test_statistics(self):
        from scipy import stats

        x = recording() + 3
        m = b.moments(x)
        self.compare("moments", [m.mean, m.variance, m.skewness, m.kurtosis],
                     [np.mean(x), np.var(x), stats.skew(x), stats.kurtosis(x, fisher=False)],
                     1e-12, "rounding")
        self.compare("kurtosis", [b.kurtosis(x)], [stats.kurtosis(x, fisher=False)], 1e-12,
                     "rounding")

    def test_intervals_and_curves(self):
        from scipy import stats

        for k, n in ((0, 9), (3, 9), (9, 9), (57, 114)):
            want = stats.binomtest(k, n).proportion_ci(method="wilson")
            got = b.wilson_interval(k, n)
            self.compare(f"Wilson interval {k} of {n}", list(got), [want.low, want.high], 1e-12,
                         "rounding")
        rng = np.random.default_rng(8)
        damaged = rng.random(200) < 0.6
        p = np.round(np.clip(rng.normal(0.4 + 0.3 * damaged, 0.25), 0, 1), 2)  # with ties
        curve = b.detection_curve(p, damaged)
        u = stats.mannwhitneyu(p[damaged], p[~damaged]).statistic
        self.compare("area under the curve", [b.area_under_curve(curve)],
                     [u / (damaged.sum() * (~damaged).sum())], 1e-12, "rounding")
        for point in curve[1:]:
            self.assertEqual(point.called_damaged, int((p[damaged] >= point.threshold).sum()))
            self.assertEqual(point.called_sound, int((p[~damaged] >= point.threshold).sum()))
        self.assertAlmostEqual(b.brier_score(p, damaged), np.mean((p - damaged) ** 2), places=14)

    def test_velocity(self):
        x = recording()
        # Power of each line of the whole recording over omega^2, from 10 to 1000 Hz.
        f = np.fft.rfftfreq(N, 1 / RATE)
        inside = (f >= 10) & (f <= 1000)
        spectrum = np.fft.rfft(x) / N
        want = np.sqrt(2 * np.sum(np.abs(spectrum[inside] / (2 * np.pi * f[inside])) ** 2))
        got = b.velocity_rms(x, RATE, b.SampleUnit.acceleration)
        self.compare("velocity 10-1000 Hz", [got], [want], 0.02,
                     "averaged segments against one transform without a window")




class Octave(Compared):
    @classmethod
    def setUpClass(cls):
        """Only a package that is not installed is a reason to skip; an error of Octave's in a test is a failure."""
        if not shutil.which("octave"):
            raise unittest.SkipTest("octave is not installed (Debian: octave octave-signal)")
        asked = subprocess.run(["octave", "--no-gui", "--norc", "--quiet", "--eval",
                                "printf('%d', numel(pkg('list', 'signal')))"],
                               capture_output=True, text=True, check=True)
        if int(asked.stdout) == 0:
            raise unittest.SkipTest("octave has no package signal (Debian: octave-signal)")

    def octave(self, x, program):
        with tempfile.TemporaryDirectory() as folder:
            np.savetxt(os.path.join(folder, "x.txt"), x, fmt="%.17g")
            text = "pkg load signal; x = load('x.txt'); fs = 25600;\n" + program
            text += "\nfid = fopen('y.txt', 'w'); fprintf(fid, '%.17g\\n', y); fclose(fid);\n"
            with open(os.path.join(folder, "compare.m"), "w", encoding="utf-8") as file:
                file.write(text)
            ran = subprocess.run(["octave", "--no-gui", "--norc", "--quiet", "compare.m"],
                                 cwd=folder, capture_output=True, text=True, check=False)
            self.assertEqual(ran.returncode, 0, ran.stderr)
            return np.loadtxt(os.path.join(folder, "y.txt"))

    def test_welch(self):
        x = recording()
        want = self.octave(x, "n = (0:2047)'; w = 0.5 - 0.5 * cos(2 * pi * n / 2048);\n"
                              "y = pwelch(x, w, 0.5, 2048, fs, 'none');")
        ours = b.welch(x, RATE, segment=2048, trend="keep")
        self.compare("Octave pwelch", ours.y, want, 1e-11, "rounding")

    def test_envelope_and_cepstrum(self):
        x = recording() + 1.0
        self.compare("Octave hilbert", b.envelope(x), self.octave(x, "y = abs(hilbert(x));"), 1e-11,
                     "rounding")
        self.compare("Octave rceps", b.real_cepstrum(x), self.octave(x, "y = rceps(x);"), 1e-11,
                     "rounding")

    def test_kurtosis(self):
        x = recording()
        want = self.octave(x, "y = mean((x - mean(x)).^4) / mean((x - mean(x)).^2)^2;")
        self.compare("Octave kurtosis", [b.kurtosis(x)], [float(want)], 1e-12, "rounding")

    def test_kurtosis_of_bands_and_their_choice(self):
        x = recording()
        record = b.record_spectrum(x, RATE)
        tree = b.band_tree(RATE, 400.0)
        ours, edges = [], []
        for band in tree:
            low, high = band
            spectrum = b.squared_envelope_spectrum(record, band, high - low)
            ours.append(spectrum.kurtosis)
            edges.append([round(f * N / RATE) for f in spectrum.band])
        table = "; ".join(f"{first} {last}" for first, last in edges)
        want = self.octave(
            x,
            f"edges = [{table}];\n"
            "X = fft(x - mean(x)); n = numel(x); y = zeros(rows(edges), 1);\n"
            "for i = 1:rows(edges)\n"
            "  K = zeros(n, 1); k = edges(i, 1) + 1:edges(i, 2); K(k) = 2 * X(k);\n"
            "  e = abs(ifft(K)).^2; y(i) = mean(e.^2) / mean(e)^2 - 2;\n"
            "end",
        )
        self.compare(f"Octave spectral kurtosis of {len(ours)} bands", ours, want, 2e-6,
                     "bands are demodulated in single precision")
        self.assertEqual(int(np.argmax(ours)), int(np.argmax(want)))

    def test_coherence_decides_what_is_deterministic(self):
        rng = np.random.default_rng(4)
        n, rate, block = 1 << 16, 8192.0, 1024
        t = np.arange(n) / rate
        x = np.sin(2 * np.pi * 400 * t) + 0.5 * np.sin(2 * np.pi * 1800 * t) + rng.standard_normal(n)
        deterministic, _ = b.separate_deterministic(x, rate, block=block, delay=2 * block)
        # Octave's coherence of the recording with itself two blocks later.
        c = self.octave(
            x,
            f"m = {block}; w = 0.5 - 0.5 * cos(2 * pi * (0:m-1)' / m);\n"
            f"y = mscohere(x(1:end-2*m), x(2*m+1:end), w, 0.5, m, {rate});",
        )
        gain = np.abs(np.fft.rfft((deterministic * np.hanning(n)))) / np.abs(np.fft.rfft(x * np.hanning(n)))
        self.assertEqual(len(c), block // 2 + 1)
        for hz in (400.0, 1800.0):
            k = int(round(hz * block / rate))
            got, want = gain[int(round(hz * n / rate))], np.sqrt(c[k])
            print(f"gain on the line at {hz:.0f} Hz: {got:.4f}, root of Octave's coherence {want:.4f}, "
                  f"within 5e-02 (ours takes the bias off and counts overlapped blocks otherwise)")
            self.assertLess(abs(got - want), 0.05)
            self.assertGreater(want, 0.9)
        chance = 1 - 0.001 ** (1 / (n / block - 2))  # exceeded by 0.1 % of lines [closed form]
        f = np.arange(block // 2 + 1) * rate / block
        off = (np.abs(f - 400) > 40) & (np.abs(f - 1800) > 40) & (f > 40)
        print(f"other lines: Octave calls {np.mean(c[off] > chance):.2%} persistent")
        self.assertLess(np.mean(c[off] > chance), 0.02)
        kept = np.sum((deterministic - np.sin(2 * np.pi * 400 * t) - 0.5 * np.sin(2 * np.pi * 1800 * t))[2048:-2048] ** 2)
        self.assertLess(kept, 0.05 * n)  # of the noise of variance 1

    def test_cyclic_coherence(self):
        rng = np.random.default_rng(9)
        t = np.arange(N) / RATE
        noise = rng.standard_normal(N)
        inside = b.filter_band(noise, RATE, low_hz=4000.0, high_hz=6000.0, slope_hz=200.0)
        x = noise + inside * 1.5 * np.cos(2 * np.pi * 80 * t)
        flat = b.flattened(b.record_spectrum(x, RATE), 100.0)
        ours = b.cyclic_coherence([flat], 200.0)
        got = [row[int(80 / ours.step_hz)] for row in ours.magnitude]
        lines = [[max(1, round(low * N / RATE)), round((high - low) * N / RATE)] for low, high in ours.bands]
        bands = "; ".join(f"{first} {width}" for first, width in lines)
        # Half the depth of the squared envelope of each band of the same flattened record.
        want = self.octave(
            np.fft.irfft(np.asarray(flat.bins), N),
            f"bands = [{bands}]; X = fft(x); n = numel(x); y = zeros(rows(bands), 1);\n"
            "w = 0.5 - 0.5 * cos(2 * pi * (0:n-1)' / n);\n"
            "for i = 1:rows(bands)\n"
            "  K = zeros(n, 1); k = bands(i, 1) + (1:bands(i, 2)); K(k) = 2 * X(k);\n"
            "  e = abs(ifft(K)).^2; E = abs(fft(e .* w)); y(i) = E(81) / sum(w) / mean(e);\n"
            "end",
        )
        self.compare(f"Octave cyclic coherence at 80 Hz in {len(got)} bands", got, want, 2e-6,
                     "bands are demodulated in single precision")

    def test_order_tracking(self):
        rate, seconds, per_turn = 8192.0, 8.0, 64
        t = np.arange(int(rate * seconds)) / rate
        turns = 20 * t + 0.5 * t**2  # 20 to 28 Hz
        x = np.sin(2 * np.pi * 3.6 * turns)
        ours = b.resample_to_angle(x, rate, b.PhaseTrack(t[::64], turns[::64]), per_turn)
        # Eightfold by Octave's resample(), then its cubic spline at the instants of even angle.
        theirs = self.octave(
            x,
            f"rate = {rate}; angles = (0:{len(ours) - 1})' / {per_turn};\n"
            "instants = -20 + sqrt(400 + 2 * angles);\n"
            "fine = resample(x, 8, 1); y = interp1((0:numel(fine)-1)' / (8 * rate), fine, instants, 'spline');",
        )
        inner = slice(per_turn * 4, len(ours) - per_turn * 8)
        self.compare("Octave order tracking", ours[inner], theirs[inner], 1e-3,
                     "Octave's kernel of 60 dB, and the track is joined by cubics")

    def test_squared_envelope_spectrum(self):
        x = recording()
        want = self.octave(
            x,
            "X = fft(x - mean(x)); n = numel(x); K = zeros(n, 1); K(2401:4000) = 2 * X(2401:4000);\n"
            "e = abs(ifft(K)).^2; w = 0.5 - 0.5 * cos(2 * pi * (0:n-1)' / n);\n"
            "E = abs(fft(e .* w)); y = (2 * E(1:601) / sum(w) / mean(e)).^2;",
        )
        ours = b.squared_envelope_spectrum(b.record_spectrum(x, RATE), (2400.0, 4000.0), 600.0)
        self.assertEqual(tuple(ours.band), (2400.0, 4000.0))
        m = min(len(ours.depth2), len(want))
        self.compare("Octave squared envelope spectrum", ours.depth2[3:m], want[3:m], 2e-6,
                     "bands are demodulated in single precision")


if __name__ == "__main__":
    support.main()
