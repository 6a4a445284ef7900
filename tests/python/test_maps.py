"""Kurtogram, averaged coherence and order envelopes against SciPy's filters, cross-spectra and splines, and Octave's.

None of the references cuts a transform as ours does: they filter and demodulate in time, or estimate cross-spectra of shifted recordings.
"""

import os
import shutil
import subprocess
import tempfile
import unittest

import numpy as np

import bearingdsp as b
import support

RATE = 25600.0


def bursts(seconds=4.0, seed=3):
    """Noise, and bursts of 9.4 kHz every 1/40 s: a band to be found."""
    rng = np.random.default_rng(seed)
    t = np.arange(int(seconds * RATE)) / RATE
    since = t % (1 / 40)
    x = 4 * np.exp(-800 * since) * np.sin(2 * np.pi * 9408 * since) + rng.standard_normal(len(t))
    return x - x.mean()


def pulsating(n, hz, depth, seed=5):
    rng = np.random.default_rng(seed)
    return rng.standard_normal(n) * (1 + depth * np.cos(2 * np.pi * hz * np.arange(n) / RATE))


def run_up(seconds=8.0, seed=2):
    """Noise at 4 kHz whose envelope goes up and down 3.6 times a revolution while the shaft runs up from 20 to 30 Hz; its track."""
    from scipy.signal import butter, sosfilt

    rng = np.random.default_rng(seed)
    t = np.arange(int(seconds * RATE)) / RATE
    turns = 20 * t + 10 / seconds / 2 * t**2
    carrier = sosfilt(butter(4, (3500, 4500), "bandpass", fs=RATE, output="sos"), rng.standard_normal(len(t)))
    x = carrier * (1 + 0.8 * np.cos(2 * np.pi * 3.6 * turns)) + 0.1 * rng.standard_normal(len(t))
    return x, b.PhaseTrack(t[::256], turns[::256]), t, turns


def say(what, difference, tolerance, why):
    print(f"{what}: {difference:.1e} of {tolerance:.0e} ({why})")


@support.needs("scipy")
class SciPy(unittest.TestCase):
    def test_kurtogram_by_a_filter_bank(self):
        """As in the paper: each band demodulated and low-passed in time, here by a long FIR filter."""
        from scipy.signal import firwin, oaconvolve

        x = bursts()
        ours = b.kurtogram(b.record_spectrum(x, RATE), 1500)
        t = np.arange(len(x)) / RATE
        difference = []
        for band, kurtosis in zip(ours.bands, ours.kurtosis):
            low, high = band
            moved = x * np.exp(-1j * np.pi * (low + high) * t)
            taps = firwin(2049, (high - low) / 2, fs=RATE)
            z = oaconvolve(moved, taps, mode="same")[2048:-2048]
            want = np.mean(np.abs(z) ** 4) / np.mean(np.abs(z) ** 2) ** 2 - 2
            difference.append(abs(kurtosis - want))
        largest = max(difference) / ours.kurtosis.max()
        say(f"kurtogram of {len(difference)} bands against a filter bank", largest, 0.03, "slopes of the filters, ends left out")
        self.assertLess(largest, 0.03)
        self.assertTrue(ours.best.low_hz < 9408 < ours.best.high_hz, ours.best)

    def test_averaged_coherence_by_cross_spectra(self):
        """csd() of the recording shifted by half the cyclic frequency up and down."""
        from scipy.signal import csd, welch

        n, segment = 1 << 17, 256
        x = pulsating(n, 400, 0.7)
        t = np.arange(n) / RATE
        cyclic = [400.0, 800.0, 555.0]
        ours = b.averaged_coherence(x, RATE, cyclic, segment=segment)
        settings = dict(fs=RATE, window="hann", nperseg=segment, noverlap=192, detrend=False, return_onesided=False)
        for row, a in zip(ours.squared, cyclic):
            down = (x - x.mean()) * np.exp(-1j * np.pi * a * t)
            up = (x - x.mean()) * np.exp(1j * np.pi * a * t)
            _, cross = csd(up, down, **settings)
            raw = np.abs(cross) ** 2 / (welch(up, **settings)[1] * welch(down, **settings)[1])
            want = (raw - 1 / ours.averages) / (1 - 1 / ours.averages)
            inside = ~np.isnan(row[:128])
            self.assertEqual(inside.sum(), np.sum((ours.carrier_hz[:128] >= a / 2) & (ours.carrier_hz[:128] + a / 2 <= RATE / 2)))
            difference = np.max(np.abs(row[:128][inside] - want[:128][inside]))
            say(f"averaged coherence at {a:g} Hz against csd()", difference, 1e-10, "rounding")
            self.assertLess(difference, 1e-10)
        # Noise times 1 + m cos: m / (1 + m^2/2) [closed form], and nothing where nothing pulses.
        mean = np.nanmean(ours.squared[:, 3:126], axis=1)
        self.assertAlmostEqual(mean[0], (0.7 / (1 + 0.245)) ** 2, delta=0.01)
        self.assertAlmostEqual(mean[2], 0, delta=0.002)

    def test_the_fast_map_is_the_same_quantity(self):
        """cyclic_coherence() of the same band: two estimates of one number."""
        x = pulsating(1 << 17, 400, 0.7)
        by_definition = b.averaged_coherence(x, RATE, [400.0])
        fast = b.cyclic_coherence([b.record_spectrum(x, RATE)], 600)
        # Averaged over a band the map loses the cyclic frequency's share of the band's width.
        for row, band in zip(fast.magnitude, fast.bands):
            kept = 1 - 400 / (band.high_hz - band.low_hz)
            inside = (by_definition.carrier_hz > band.low_hz + 300) & (by_definition.carrier_hz < band.high_hz - 300)
            want = np.sqrt(np.nanmean(by_definition.squared[0][inside]))
            self.assertAlmostEqual(row[int(400 / fast.step_hz)] / kept, want, delta=0.12 * want)

    def test_order_envelope_by_hilbert_and_spline(self):
        from scipy.interpolate import CubicSpline
        from scipy.signal import get_window, hilbert

        x, track, t, turns = run_up()
        record = b.record_spectrum(x, RATE, track=track)
        self.assertEqual(record.n, len(x))
        ours = b.squared_envelope_spectrum(record, (3000.0, 5000.0), 200.0)
        # A filter, the envelope's instants of even angle from the closed form of the run-up, a spline.
        spectrum = np.fft.rfft(x)
        f = np.fft.rfftfreq(len(x), 1 / RATE)
        spectrum[(f < ours.band.low_hz - 0.01) | (f >= ours.band.high_hz - 0.01)] = 0
        e = np.abs(hilbert(np.fft.irfft(spectrum, len(x)))) ** 2
        total = 20 * 8.0 + 10 / 8 / 2 * 64
        m = 1 << 16
        angle = np.arange(m) * total / m
        instants = (-20 + np.sqrt(400 + 4 * (10 / 16) * angle)) / (2 * 10 / 16)
        even = CubicSpline(t, e)(np.minimum(instants, t[-1]))
        w = get_window("hann", m)
        want = 2 * np.abs(np.fft.rfft(even * w)) / w.sum() / e.mean()  # line k is k / total orders
        got = np.sqrt(ours.depth2)
        self.assertAlmostEqual(record.order_hz, total / 8, places=3)  # the last step of the track is carried on
        k = np.arange(3, len(got))
        difference = np.max(np.abs(got[k] - want[k])) / want[k].max()
        say("order envelope of a run-up against hilbert() and a spline", difference, 0.002, "the envelope is read from its own low rate")
        self.assertLess(difference, 0.002)
        line = int(round(3.6 * record.order_hz / ours.line_spacing_hz))
        self.assertLessEqual(abs(int(np.argmax(got[k])) + 3 - line), 1)
        # Without the track the line is smeared.
        flat = np.sqrt(b.squared_envelope_spectrum(b.record_spectrum(x, RATE), (3000.0, 5000.0), 200.0).depth2)
        self.assertLess(flat[3:].max(), 0.3 * got[k].max())
        self.assertIsNone(b.record_spectrum(x, RATE).order_hz)

    def test_bad_arguments_are_refused(self):
        x = bursts(1)
        with self.assertRaises(b.BadArgument):
            b.averaged_coherence(x, RATE, [0.0])
        with self.assertRaises(b.TooShort):
            b.averaged_coherence(x[:600], RATE, [100.0])
        with self.assertRaises(b.BadArgument):
            b.kurtogram(b.record_spectrum(x, RATE), 0)


@support.needs("matplotlib")
class Pictures(unittest.TestCase):
    def test_both_maps_are_drawn(self):
        import matplotlib

        matplotlib.use("Agg")
        from matplotlib.figure import Figure

        x = bursts(1)
        for value in (b.kurtogram(b.record_spectrum(x, RATE), 1500), b.averaged_coherence(x, RATE, np.arange(100.0, 200, 10))):
            ax = Figure().subplots()
            self.assertIs(value.plot(ax=ax), ax)
            self.assertTrue(ax.collections)
            ax.get_figure().canvas.draw()


class Octave(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        if not shutil.which("octave"):
            raise unittest.SkipTest("octave is not installed (Debian: octave octave-signal)")
        asked = subprocess.run(["octave", "--no-gui", "--norc", "--quiet", "--eval", "printf('%d', numel(pkg('list', 'signal')))"],
                               capture_output=True, text=True, check=True)
        if int(asked.stdout) == 0:
            raise unittest.SkipTest("octave has no package signal (Debian: octave-signal)")

    def octave(self, x, program):
        with tempfile.TemporaryDirectory() as folder:
            np.savetxt(os.path.join(folder, "x.txt"), x, fmt="%.17g")
            with open(os.path.join(folder, "compare.m"), "w", encoding="utf-8") as file:
                file.write(f"pkg load signal; x = load('x.txt'); fs = {RATE}; n = numel(x); t = (0:n-1)' / fs;\n{program}\n"
                           "fid = fopen('y.txt', 'w'); fprintf(fid, '%.17g\\n', y); fclose(fid);\n")
            ran = subprocess.run(["octave", "--no-gui", "--norc", "--quiet", "compare.m"], cwd=folder, capture_output=True, text=True,
                                 check=False)
            self.assertEqual(ran.returncode, 0, ran.stderr)
            return np.loadtxt(os.path.join(folder, "y.txt"))

    def test_kurtogram_by_a_filter_bank(self):
        x = bursts(2)
        ours = b.kurtogram(b.record_spectrum(x, RATE), 3000)
        table = "; ".join(f"{low:.6f} {high:.6f}" for low, high in ours.bands)
        want = self.octave(
            x,
            f"bands = [{table}]; y = zeros(rows(bands), 1);\n"
            "for i = 1:rows(bands)\n"
            "  z = fftfilt(fir1(1024, diff(bands(i, :)) / fs)', x .* exp(-1j * pi * sum(bands(i, :)) * t));\n"
            "  p = abs(z(2049:end)).^2; y(i) = mean(p.^2) / mean(p)^2 - 2;\n"
            "end")
        difference = np.max(np.abs(ours.kurtosis - want)) / ours.kurtosis.max()
        say(f"kurtogram of {len(want)} bands against Octave's fir1", difference, 0.05, "slopes of the filters, the start left out")
        self.assertLess(difference, 0.05)
        self.assertEqual(int(np.argmax(want)), int(np.argmax(ours.kurtosis)))

    def test_averaged_coherence_by_mscohere(self):
        x = pulsating(1 << 16, 400, 0.7)
        ours = b.averaged_coherence(x, RATE, [400.0], segment=256)
        raw = self.octave(
            x,
            "x = x - mean(x); w = 0.5 - 0.5 * cos(2 * pi * (0:255)' / 256);\n"
            "up = x .* exp(1j * pi * 400 * t); down = x .* exp(-1j * pi * 400 * t);\n"
            "y = mscohere(up, down, w, 0.75, 256, fs, 'none');")
        want = (raw[:128] - 1 / ours.averages) / (1 - 1 / ours.averages)
        row = ours.squared[0][:128]
        inside = ~np.isnan(row)
        difference = np.max(np.abs(row[inside] - want[inside]))
        say("averaged coherence against Octave's mscohere", difference, 1e-9, "rounding")
        self.assertLess(difference, 1e-9)

    def test_order_envelope_by_hilbert_and_interp1(self):
        try:
            x, track, _, _ = run_up()
        except ImportError:
            raise unittest.SkipTest("scipy is not installed")
        record = b.record_spectrum(x, RATE, track=track)
        ours = b.squared_envelope_spectrum(record, (3000.0, 5000.0), 200.0)
        want = self.octave(
            x,
            f"X = fft(x); f = (0:n-1)' * fs / n; X(f < {ours.band.low_hz} - 0.01 | f >= {ours.band.high_hz} - 0.01) = 0;\n"
            "e = abs(2 * ifft(X)).^2; total = 20 * 8 + 10 / 8 / 2 * 64; m = 65536; angle = (0:m-1)' * total / m;\n"
            "instants = (-20 + sqrt(400 + 4 * (10 / 16) * angle)) / (2 * 10 / 16);\n"
            "even = interp1(t, e, min(instants, t(end)), 'spline'); w = 0.5 - 0.5 * cos(2 * pi * (0:m-1)' / m);\n"
            f"E = abs(fft(even .* w)); y = 2 * E(1:{len(ours.depth2)}) / sum(w) / mean(e);")
        k = np.arange(3, len(want))
        difference = np.max(np.abs(np.sqrt(ours.depth2)[k] - want[k])) / want[k].max()
        say("order envelope against Octave's interp1", difference, 0.002, "the envelope is read from its own low rate")
        self.assertLess(difference, 0.002)


if __name__ == "__main__":
    support.main()
