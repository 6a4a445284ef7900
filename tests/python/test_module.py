"""The module's surface: arrays without copies, units, errors, threads, stubs."""

import copy
import gc
import os
import pickle
import subprocess
import sys
import tempfile
import threading
import unittest

import numpy as np

import bearingdsp as b
import support

PLANER = support.testdata("planer-feed/2026-05-11_DE_horizontal.wav")


def planer():
    return b.read_capture(PLANER, unit="m/s2", full_scale=128)


class Arrays(unittest.TestCase):
    def test_samples_share_the_captures_memory_and_cannot_be_written(self):
        capture = planer()
        first, again = capture.channels[0].samples, capture.channels[0].samples
        self.assertTrue(np.shares_memory(first, again))
        self.assertEqual(first.dtype, np.float64)
        self.assertFalse(first.flags.owndata)
        with self.assertRaises(ValueError):
            first[0] = 1.0

    def test_samples_outlive_the_capture(self):
        samples = planer().channels[0].samples
        want = b.read_capture(PLANER, unit="m/s2", full_scale=128).channels[0].samples.copy()
        gc.collect()
        np.testing.assert_array_equal(samples, want)

    def test_results_own_the_librarys_memory(self):
        x = np.sin(np.arange(1000.0))
        y = b.envelope(x)
        self.assertFalse(y.flags.owndata)  # a capsule owns it: moved, not copied
        self.assertTrue(y.flags.writeable)

    def test_float64_is_borrowed_and_other_numbers_are_converted(self):
        x = np.random.default_rng(1).standard_normal(512)
        want = b.real_cepstrum(x)
        for same in (x.astype(np.float64), list(x), np.stack([x, x])[0], np.repeat(x, 2)[::2]):
            np.testing.assert_array_equal(b.real_cepstrum(same), want)
        np.testing.assert_allclose(b.real_cepstrum(x.astype(np.float32)), want, atol=1e-4)

    def test_a_wrong_shape_is_a_value_error(self):
        with self.assertRaisesRegex(ValueError, "2 dimensions"):
            b.envelope(np.zeros((2, 3)))

    def test_capture_of_an_array_scales_to_si(self):
        capture = b.capture_from_array([1.0, -2.0], 10.0, unit="g")
        # 1 g = 9.80665 m/s2 by definition [ISO 80000-3]
        np.testing.assert_array_equal(capture.channels[0].samples, [9.80665, -2 * 9.80665])
        self.assertEqual(capture.channels[0].unit, b.SampleUnit.acceleration)
        two = b.capture_from_array(np.zeros((2, 7)), 10.0, names=["x", "y"])
        self.assertEqual([c.name for c in two.channels], ["x", "y"])
        self.assertEqual(len(two["y"].samples), 7)
        with self.assertRaises(KeyError):
            two["z"]


class Bearings(unittest.TestCase):
    def test_d_over_D_a_quarter_is_exact(self):
        # closed form, docs/theory/kinematics.md
        k = b.defect_orders(b.BearingGeometry(8, 10, 40))
        self.assertEqual((k.bpfo, k.bpfi, k.bsf, k.ftf), (3, 5, 1.875, 0.375))
        f = b.at_speed(k, 1800)
        self.assertEqual((f.bpfo_hz, f.bpfi_hz, f.bsf_hz, f.ftf_hz), (90, 150, 56.25, 11.25))

    def test_published_multiples_of_a_6205(self):
        # published by the bearing data centre of [smith2015] for its drive-end bearing, in inches
        k = b.defect_orders(b.BearingGeometry(9, 0.3126, 1.537))
        for got, want in ((k.bpfi, 5.4152), (k.bpfo, 3.5848), (k.ftf, 0.39828), (2 * k.bsf, 4.7135)):
            self.assertAlmostEqual(got, want, delta=2e-3)

    def test_a_designation_may_mean_several(self):
        rows = b.find_bearing("6205-2RS1/C3")
        self.assertTrue(all(r.source for r in rows))
        self.assertGreaterEqual(len(b.variants(rows)), 1)


class Errors(unittest.TestCase):
    def test_every_code_of_the_documents_has_its_class(self):
        from bearingdsp import errors

        with open(os.path.join(support.REPOSITORY, "docs/errors.md"), encoding="utf-8") as text:
            codes = {l.split("`")[1] for l in text if l.startswith("| `")}
        self.assertEqual(codes, set(errors._by_code))

    def test_an_error_says_where_what_and_what_to_do(self):
        with self.assertRaises(b.IoFailure) as caught:
            b.read_capture("no-such-file.wav")
        error = caught.exception
        self.assertIsInstance(error, b.Error)
        self.assertEqual(error.where, "no-such-file.wav")
        self.assertTrue(error.what and error.advice)
        self.assertEqual(str(error), f"{error.where}: {error.what}; {error.advice}")

    def test_an_error_survives_another_process(self):
        with self.assertRaises(b.NotFound) as caught:
            b.find_bearing("no such bearing")
        for twin in (pickle.loads(pickle.dumps(caught.exception)), copy.copy(caught.exception)):
            self.assertIs(type(twin), b.NotFound)
            self.assertEqual(twin.advice, caught.exception.advice)
            self.assertEqual(str(twin), str(caught.exception))

    def test_classes_fit_pythons_own(self):
        self.assertTrue(issubclass(b.BadArgument, ValueError))
        self.assertTrue(issubclass(b.NotFound, LookupError))

    def test_bad_calls(self):
        x = np.zeros(4096)
        for call, kind in (
            (lambda: b.diagnose(x), b.MissingMetadata),
            (lambda: b.diagnose(x[:100], rate_hz=1000), b.TooShort),
            (lambda: b.diagnose(x, rate_hz=-1), b.BadArgument),
            (lambda: b.diagnose(x, rate_hz=1000, unit="furlong"), b.BadArgument),
            (lambda: b.diagnose(x, rate_hz=1000, bearing="nonsense"), b.NotFound),
            (lambda: b.diagnose(x, rate_hz=1000, bearing=6205), TypeError),
            (lambda: b.diagnose("a.wav", rate_hz=1000), TypeError),
            (lambda: b.diagnose(np.zeros((4096, 100)), rate_hz=1000), b.BadArgument),
            (lambda: b.diagnose(planer(), rate_hz=1000), b.BadArgument),
            (lambda: b.welch(x, 1000, segment=10**6), b.TooShort),
            (lambda: b.welch(x, 1000, window="round"), b.BadArgument),
            (lambda: b.defect_orders(b.BearingGeometry(2, 10, 40)), b.BadArgument),
            (lambda: b.Band(5, 3), b.BadArgument),
            (lambda: b.simulate({"speeed_rpm": 1000}), b.BadArgument),
            (lambda: b.simulate({"seed": object()}), TypeError),
            (lambda: b.read_manifest("no-such.csv"), b.IoFailure),
            (lambda: b.DefectOrders(5, 3, 2, 0.4), b.BadArgument),
        ):
            with self.assertRaises(kind):
                call()


class Threads(unittest.TestCase):
    def test_other_threads_run_while_the_library_works(self):
        x = np.random.default_rng(2).standard_normal(25600 * 10)
        started = threading.Event()
        steps_before_end = []
        steps = 0

        def work():
            started.set()
            b.diagnose(x, rate_hz=25600, bearing="6205", speed_rpm=1480)
            steps_before_end.append(steps)

        thread = threading.Thread(target=work)
        thread.start()
        started.wait()
        while thread.is_alive():
            steps += 1
        thread.join()
        # Were the lock held, this loop would stand still from the call to its end: it would count
        # only until the interpreter's next switch (5 ms by default), not through the whole call.
        during = steps_before_end[0]
        probe = 0
        import time

        end = time.monotonic() + 0.005
        while time.monotonic() < end:
            probe += 1
        self.assertGreater(during, 3 * probe)

    def test_one_set_of_plans_serves_many_threads(self):
        x = np.random.default_rng(3).standard_normal(8192)
        plans = b.FftPlans()
        want = b.envelope(x)
        got = [None] * 8

        def work(i):
            got[i] = b.envelope(x, plans)

        threads = [threading.Thread(target=work, args=(i,)) for i in range(8)]
        for t in threads:
            t.start()
        for t in threads:
            t.join()
        for y in got:
            np.testing.assert_array_equal(y, want)


class Simulated(unittest.TestCase):
    def test_a_dict_of_numpy_numbers_is_a_plan(self):
        made = b.simulate(
            {
                "seed": np.int64(7),
                "duration_s": np.float64(1.0),
                "bearing": {"bpfo": 3.6, "bpfi": 5.4, "bsf": 2.4, "ftf": 0.4},
                "defects": [{"part": "outer ring", "severity_m_s2": 8}],
                "shaft_harmonics_m_s2": np.array([1.0, 0.5]),
            }
        )
        self.assertEqual(made.truth["damaged"], ["outer ring"])
        self.assertEqual(len(made.impact_times_s), 1)
        # 3.6 impacts a turn for 1 s of 1480 rpm [closed form], the random slip apart
        self.assertAlmostEqual(len(made.impact_times_s[0]), 3.6 * 1480 / 60, delta=3)
        twin = b.simulate({**made.truth["plan"]})
        np.testing.assert_array_equal(
            twin.capture.channels[0].samples, made.capture.channels[0].samples
        )

    def test_a_capture_is_written_and_read_back(self):
        made = b.simulate({"duration_s": 0.5}).capture
        with tempfile.TemporaryDirectory() as folder:
            path = os.path.join(folder, "made.wav")
            b.write_wav(made, path)
            back = b.read_capture(path, unit="m/s2")
        np.testing.assert_allclose(
            back.channels[0].samples, made.channels[0].samples, rtol=1e-6, atol=1e-12
        )


class Stubs(unittest.TestCase):
    def test_every_public_name_has_a_docstring(self):
        for name in b.__all__:
            self.assertTrue(getattr(b, name).__doc__, name)

    @support.needs("mypy")
    def test_stubs_say_what_the_module_has(self):
        with tempfile.TemporaryDirectory() as folder:
            ran = subprocess.run(
                [sys.executable, "-m", "mypy.stubtest", "bearingdsp", "--concise"],
                capture_output=True, text=True, cwd=folder, check=False,
                env={**os.environ, "MYPYPATH": os.path.dirname(os.path.dirname(b.__file__)),
                     "MYPY_CACHE_DIR": os.path.join(folder, "cache")},
            )
            # How pybind11 makes classes, and our __all__, which is a list made at import.
            known = ("metaclass differs", "stub does not have *args", "__members__", "__all__",
                     "is not a type")
            wrong = [l for l in ran.stdout.splitlines() if not any(k in l for k in known)]
            self.assertEqual(wrong, [], ran.stderr)
            self.assertIn("metaclass differs", ran.stdout)  # it did look

    @support.needs("mypy")
    def test_a_users_program_is_type_checked(self):
        program = (
            "import bearingdsp as b\nimport numpy as np\n"
            "d = b.diagnose(np.zeros(4096), rate_hz=1000.0, bearing='6205')\n"
            "p: float = d.probability_of_damage\n"
            "s: b.ShaftSpeed = d.speed\n"
        )
        slips = ("b.diagnose(np.zeros(4096), rate='x')\n", "d.no_such\n", "q: str = d.speed.rpm\n")
        with tempfile.TemporaryDirectory() as folder:
            path = os.path.join(folder, "user.py")
            for text, good in [(program, True)] + [(program + s, False) for s in slips]:
                with open(path, "w", encoding="utf-8") as file:
                    file.write(text)
                ran = subprocess.run(
                    [sys.executable, "-m", "mypy", path], capture_output=True, text=True,
                    cwd=folder, check=False,
                    env={**os.environ, "MYPYPATH": os.path.dirname(os.path.dirname(b.__file__)),
                         "MYPY_CACHE_DIR": os.path.join(folder, "cache")},
                )
                self.assertEqual(ran.returncode == 0, good, text + ran.stdout)


if __name__ == "__main__":
    support.main()
