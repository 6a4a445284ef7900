"""The published methods of tests/bench/methods.py and their scoring, on signals whose answer is a closed form."""

import os
import subprocess
import sys
import unittest

import numpy as np

import support

BENCH = os.path.join(support.REPOSITORY, "tests", "bench")
sys.path.insert(0, BENCH)
import methods  # noqa: E402

RATE = 12000.0
ORDERS = (3.5, 5.4, 4.7)


def modulated(a, b, seconds=5, seed=1):
    """White noise times 1 + a cos(107.3 Hz) + b cos(400 Hz)."""
    t = np.arange(int(seconds * RATE)) / RATE
    noise = np.random.default_rng(seed).standard_normal(len(t))
    return (1 + a * np.cos(2 * np.pi * 107.3 * t) + b * np.cos(2 * np.pi * 400 * t)) * noise


def impacts(rate_hz, resonance_hz, level, seconds=5, seed=2):
    """Decaying sines at even steps in white noise of unit level."""
    t = np.arange(int(seconds * RATE)) / RATE
    since = t % (1 / rate_hz)
    return level * np.exp(-800 * since) * np.sin(2 * np.pi * resonance_hz * since) + \
        np.random.default_rng(seed).standard_normal(len(t))


class Methods(unittest.TestCase):
    def test_each_finds_the_rates_of_modulated_noise(self):
        x = modulated(0.8, 0.5)
        for name, method in methods.METHODS.items():
            spectrum, line = method(x, RATE, 30.0, ORDERS)[0]
            found = []
            for _ in range(2):
                at = 20 + int(np.argmax(spectrum[20:]))
                found.append(at * line)
                spectrum[at - 5:at + 6] = 0  # a line between two bins is in both
            np.testing.assert_allclose(sorted(found), [107.3, 400.0], atol=1.01 * line, err_msg=name)

    def test_the_coherence_of_modulated_noise_is_its_closed_form(self):
        # x = m n with white n: |coherence(a)| = |M(a)| / M(0), M the series of m^2 = (1 + .8 cos u + .5 cos v)^2:
        # M(0) = 1 + .8^2/2 + .5^2/2 = 1.445; M(u) = .8, M(v) = .5. The window averages over its width, so a little less.
        map_, line = methods.coherence(modulated(0.8, 0.5), RATE, 30.0, ORDERS)
        mean = map_[4:-4].mean(axis=0)
        for hz, want in ((107.3, 0.8 / 1.445), (400.0, 0.5 / 1.445)):
            at = round(hz / line)
            got = np.sqrt(np.sum(mean[at - 3:at + 4] ** 2))  # a line between two bins is in both
            self.assertAlmostEqual(got / want, 1, delta=0.15)
        noise, line = methods.coherence(modulated(0, 0), RATE, 30.0, ORDERS)
        self.assertLess(noise[4:-4, 20:].mean(), 0.05)

    def test_the_kurtogram_takes_the_band_of_the_impacts(self):
        x = impacts(105.0, 4400.0, 6.0)
        spectrum, line = methods.kurtogram(x, RATE, 30.0, ORDERS)[0]
        whole, _ = methods.raw(x, RATE, 30.0, ORDERS)[0]
        self.assertGreater(methods.score(spectrum, 105.0 / line), methods.score(whole, 105.0 / line))

    def test_the_tree_covers_every_frequency_in_each_row(self):
        bands = methods.bands_of_tree(1 / 12)
        self.assertEqual([b for b in bands if b[1] - b[0] == 1], [(0, 1)])
        for count in (2, 3, 4, 6, 8, 12):
            row = [b for b in bands if abs(b[1] - b[0] - 1 / count) < 1e-9]
            self.assertEqual(len(row), count)
            self.assertAlmostEqual(row[0][0], 0)
            self.assertAlmostEqual(row[-1][1], 1)

    def test_the_log_envelope_is_not_ruled_by_one_knock(self):
        x = modulated(0.4, 0.0)
        x[5000:5040] += 400 * np.hanning(40)
        line = RATE / len(x)
        log, raw = (m(x, RATE, 30.0, ORDERS)[0][0] for m in (methods.log_envelope, methods.raw))
        self.assertGreater(methods.score(log, 107.3 / line), methods.score(raw, 107.3 / line))


class Scoring(unittest.TestCase):
    def test_area_under_the_curve(self):
        # Of 2 x 3 pairs four are in order and one is even: 4.5 of 6 [closed form].
        score = np.array([2.0, 5.0, 1.0, 2.0, 4.0])
        damaged = np.array([True, True, False, False, False])
        self.assertAlmostEqual(methods.auc(score, damaged), 4.5 / 6)

    def test_the_interval_counts_defects_not_recordings(self):
        rng = np.random.default_rng(5)
        of_defect = rng.standard_normal(16) + np.repeat([1.0, 0.0], 8)

        def width(copies):
            score = np.repeat(of_defect, copies)
            damaged = np.repeat(np.repeat([True, False], 8), copies)
            low, high = methods.auc_interval(score, damaged, np.repeat(np.arange(16), copies))
            return high - low

        # Ten recordings of each defect that all say the same are no more evidence than one.
        self.assertAlmostEqual(width(10), width(1), delta=0.03)
        self.assertGreater(width(1), 0.2)

    def test_a_threshold_is_set_on_the_other_rigs(self):
        score = np.array([1.0, 3.0, 10.0, 30.0])
        damaged = np.array([False, True, False, True])
        rig = np.array(["a", "a", "b", "b"])
        # b is judged by a's threshold (3): both called. a by b's (30): none called.
        self.assertEqual(methods.held_out_calls(score, damaged, rig).tolist(), [False, False, True, True])

    def test_the_page_counts_what_was_measured(self):
        rows = [methods.Row(m, label, choice, value, 0.1, f"{label}{i}", "rig" + str(i % 2), "fault" if value > 1 else "no_fault", choice)
                for m in ("engine", *methods.METHODS)
                for i, (label, choice, value) in enumerate([("outer ring", "outer ring", 3.0), ("inner ring", "outer ring", 2.0),
                                                            ("rolling element", "rolling element", 2.5), ("none", "outer ring", 0.5),
                                                            ("none", "inner ring", 0.4), ("outer ring", "outer ring", 2.2)])]
        page = methods.page(rows, 1)
        self.assertIn("| engine | 3 | 2 | 0 | 1 | 1.000 (1.00 - 1.00) | 0.10 |", page)
        self.assertIn("3 as labelled, 1 another component, 0 component unclear", page)


class OpenSets(unittest.TestCase):
    def test_the_command_runs(self):
        support.datasets()
        ran = subprocess.run([sys.executable, os.path.join(BENCH, "methods.py"), "--every", "19"], capture_output=True, text=True,
                             check=False)
        self.assertEqual(ran.returncode, 0, ran.stderr)
        self.assertEqual(sum(line.startswith("| " + m) for line in ran.stdout.splitlines() for m in ("engine", *methods.METHODS)), 14)


if __name__ == "__main__":
    support.main()
