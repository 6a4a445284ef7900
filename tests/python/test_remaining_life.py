"""The measures of remaining life in tests/bench/run_to_failure.py, on runs whose answers are known."""

import math
import os
import sys
import unittest

import numpy as np

import support

sys.path.insert(0, os.path.join(support.REPOSITORY, "tests", "bench"))

import run_to_failure as r  # noqa: E402


def line_run(slope=0.5, noise=0.0, seed=1, n=60, begin=20):
    """A level that is 0 until `begin` and then grows by `slope` dB a reading; a reading each 10 s; it fails at 12 dB."""
    rng = np.random.default_rng(seed)
    end = begin + 12 / slope
    i = np.arange(10, min(n, int(np.ceil(end))))
    rows = [{"readings": str(k), "time_s": str(10.0 * k), "above_db": str(max(0.0, slope * (k - begin)) + noise * rng.standard_normal()),
             "sigma_db": "0.5", "limit_db": "12", "alert": "1" if k >= begin + 4 else "0", "earliest_s": "", "likely_s": "", "latest_s": "",
             "begin_s": str(10.0 * begin), "end_s": str(10.0 * end)} for k in i]
    return r.Run("line", str(seed), rows)


class Measures(unittest.TestCase):
    def test_the_score_is_one_half_at_five_per_cent_late_and_twenty_early(self):
        """Nectoux et al. 2012: exp(-ln 0.5 Er/5) for Er <= 0, exp(+ln 0.5 Er/20) for Er > 0."""
        self.assertEqual(r.phm_score(100.0, 100.0), 1.0)
        self.assertAlmostEqual(r.phm_score(100.0, 105.0), 0.5)
        self.assertAlmostEqual(r.phm_score(100.0, 110.0), 0.25)
        self.assertAlmostEqual(r.phm_score(100.0, 80.0), 0.5)
        self.assertAlmostEqual(r.phm_score(100.0, 60.0), 0.25)
        self.assertEqual(r.phm_score(100.0, math.nan), 0.0)

    def test_cone_and_horizon(self):
        self.assertTrue(r.in_cone(100.0, 119.9) and r.in_cone(100.0, 80.1))
        self.assertFalse(r.in_cone(100.0, 121.0) or r.in_cone(100.0, math.nan))
        run = line_run()
        left = run.end - run.t
        self.assertAlmostEqual(r.horizon(run, 0, left), (run.end - run.t[0]) / (run.end - run.begin))
        late = left.copy()
        late[:15] += 1e6  # for good only from the sixteenth reading on
        self.assertAlmostEqual(r.horizon(run, 0, late), (run.end - run.t[15]) / (run.end - run.begin))
        late[-1] = math.nan
        self.assertEqual(r.horizon(run, 0, late), 0.0)

    def test_forecasts_of_lines_are_exact(self):
        runs = [line_run(slope, seed=k) for k, slope in enumerate((0.4, 0.5, 0.6, 0.8))]
        run, others = runs[0], runs[1:]
        said = r.forecasts(run, others)
        left = run.end - run.t
        since = run.t >= run.begin + 150  # the latest fourteen readings are all on the line
        self.assertTrue(since.any())
        np.testing.assert_allclose(said["straight line"][since], left[since], rtol=1e-9)
        np.testing.assert_allclose(said["exponential, Bayesian"][-1], left[-1], rtol=0.05)
        lives = np.mean([o.end - o.begin for o in others])
        np.testing.assert_allclose(said["mean life of the others"][-1], max(0.0, lives - (run.t[-1] - run.begin)))

    def test_the_prior_decides_first_and_the_readings_later(self):
        """A run that grows unlike the others: the published forecast starts at theirs and comes to its own."""
        others = [line_run(0.8 + 0.02 * k, noise=0.2, seed=10 + k) for k in range(6)]
        run = line_run(0.4, noise=0.2, seed=3)
        said, left = r.forecasts(run, others)["exponential, Bayesian"], run.end - run.t
        start = run.first(run.alert)
        self.assertLess(said[start], 0.7 * left[start])
        self.assertLess(abs(said[-2] - left[-2]), 30)

    def test_an_alert_before_the_growth_is_not_a_detection(self):
        run = line_run()
        run.alert = run.t < run.begin
        self.assertIsNone(run.first(run.alert))


if __name__ == "__main__":
    support.main()
