"""Results as values of Python: equal to their copies, pickled to other processes, shown, turned into tables and pictures."""

import copy
import html
import inspect
import math
import multiprocessing
import os
import pickle
import re
import subprocess
import sys
import tempfile
import unittest

import numpy as np

import bearingdsp as b
import support
from bearingdsp import _reference, _values

RATE = 25600.0


def made(seed=5, **more):
    return b.simulate({"seed": seed, "duration_s": 2, "speed_rpm": 1470, "bearing": {"designation": "6208"},
                       "defects": [{"part": "outer ring", "severity_m_s2": 15}], **more})


def one_of_each():
    """A value of every bound type, by the name of the type."""
    simulation = made()
    capture = simulation.capture
    x = capture.channels[0].samples
    orders = b.variants(b.find_bearing("6208"))[0]
    d = b.diagnose(capture, bearing=orders, speed_rpm=1470, curves="all")
    flat = b.flattened(b.record_spectrum(x, capture.rate_hz), 75)
    evidence = b.bearing_evidence([flat], 24.5, orders)
    pulses = np.zeros(int(RATE))
    pulses[::1000] = 1
    outcomes = b.validate(manifest().of_split("tuning"), jobs=1)  # the recordings are not there: failed, with NaN
    forecasts = [0.1, 0.9], [False, True]
    compared = b.compare_captures([capture], [made(6).capture], bearing="6208", speed_rpm=1470)
    values = [
        simulation, capture, capture.channels[0], d, d.speed, d.assessment, d.figures[0], d.curves[0], orders,
        d.families[0], d.families[0].lines[0], d.families[0].band, flat, evidence, evidence.whole,
        b.judge(evidence, 0.02), b.cyclic_coherence([flat], 300), b.welch(x, RATE), b.moments(x), b.BearingGeometry(9, 12, 60),
        b.at_speed(orders, 1470), b.find_bearing("6208")[0], b.bearing_candidates("6208")[0],
        b.PhaseTrack([0, 1, 2], [0, 25, 51]), b.read_tacho(pulses, RATE), outcomes[0],
        b.reliability(*forecasts)[0], b.detection_curve(*forecasts)[0], b.wilson_interval(1, 2), compared,
        compared.levels[0], b.assess_quality(b.capture_from_array(x[:2000], RATE))[0], b.Model({"judgement.even_strength": 0.25}),
        b.Model().constants[0], manifest(), manifest().records[0], b.kurtogram(flat, 3000), b.averaged_coherence(x, RATE, [90.0]),
        b.forecast(np.arange(12.0), np.arange(12.0), 0.5),
    ]
    unbalanced = b.diagnose(made(7, shaft_harmonics_m_s2=[20.0, 0.5]).capture, bearing=orders, speed_rpm=1470)
    values += unbalanced.other_causes[:1] + unbalanced.assessment.other_faults[:1]
    return {type(v).__name__: v for v in values}


def manifest():
    return b.read_manifest(os.path.join(support.REPOSITORY, "libbearingdsp/data/manifests/seeded-faults.csv"))


def damage_of(d):
    return d.probability_of_damage, d.headline


class Values(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.values = one_of_each()

    def test_every_type_is_here(self):
        # Two types appear only where there is a cause beside the bearing.
        missing = {t.__name__ for t in _values.value_types()} - set(self.values)
        self.assertLessEqual(missing, {"CauseEvidence", "OtherFault", "Examination"})
        self.assertGreater(len(self.values), 33)

    def test_a_value_is_equal_to_its_copies_and_to_its_pickle(self):
        for name, value in self.values.items():
            with self.subTest(name):
                twins = [copy.copy(value), copy.deepcopy(value), pickle.loads(pickle.dumps(value))]
                for twin in twins:
                    self.assertIs(type(twin), type(value))
                    self.assertIsNot(twin, value)
                    self.assertEqual(twin, value)
                    self.assertEqual(hash(twin), hash(value))
                    self.assertFalse(twin != value)
                    self.assertEqual(repr(twin), repr(value))
                self.assertNotEqual(value, None)
                self.assertNotEqual(value, 1)

    def test_different_values_are_not_equal(self):
        self.assertEqual(b.Band(1, 2), b.Band(1, 2))
        self.assertEqual(len({b.Band(1, 2), b.Band(1, 2), b.Band(1, 3)}), 2)
        self.assertNotEqual(b.Band(1, 2), b.Band(1, 3))
        self.assertNotEqual(b.DefectOrders(3.6, 5.4, 2.4, 0.4), b.DefectOrders(3.6, 5.4, 2.4, 0.41))
        self.assertNotEqual(made(1), made(2))
        x = np.arange(100.0)
        self.assertEqual(b.capture_from_array(x, 10), b.capture_from_array(x.copy(), 10))
        x[50] += 1e-12
        self.assertNotEqual(b.capture_from_array(x, 10), b.capture_from_array(np.arange(100.0), 10))

    def test_a_copy_has_memory_of_its_own(self):
        capture = self.values["Capture"]
        twin = copy.copy(capture)
        self.assertFalse(np.shares_memory(twin.channels[0].samples, capture.channels[0].samples))

    def test_a_pickle_of_another_version_is_refused_in_words(self):
        state = b.Band(1, 2).__getstate__()
        with self.assertRaisesRegex(ValueError, "another version"):
            b.Band.__new__(b.Band).__setstate__(("0.0.0", state[1]))

    def test_other_processes_take_and_give_them(self):
        diagnoses = [self.values["Diagnosis"]] * 3
        with multiprocessing.get_context("spawn").Pool(2) as pool:
            self.assertEqual(pool.map(copy.copy, diagnoses), diagnoses)
            self.assertEqual(pool.map(damage_of, diagnoses), [damage_of(d) for d in diagnoses])

    def test_each_is_shown_in_text_and_in_a_notebook(self):
        for name, value in self.values.items():
            with self.subTest(name):
                self.assertIn(name, repr(value))
                self.assertNotIn(" object at 0x", repr(value))
                page = value._repr_html_()
                self.assertIn("<table" if name != "Diagnosis" else "<b>", page)
                self.assertNotIn("<script", page)
        self.assertIn(html.escape(self.values["Diagnosis"].headline), self.values["Diagnosis"]._repr_html_())
        outcome = self.values["Outcome"]
        (hostile,) = b.parse_results(b.results_csv([outcome]).replace(outcome.label, "<b>"))
        self.assertNotIn("<b>", hostile._repr_html_())

    def test_dicts_and_tables(self):
        d = b.as_dict(self.values["FamilyEvidence"])
        self.assertEqual(d["part"], "outer ring")
        self.assertEqual(d["band"], b.as_dict(self.values["FamilyEvidence"].band))
        self.assertIsInstance(d["lines"][0], dict)
        with self.assertRaisesRegex(TypeError, "no value of bearingdsp"):
            b.as_dict(3)
        with self.assertRaises((TypeError, ImportError)):
            b.to_frame([b.Band(1, 2), b.wilson_interval(1, 2)])

    def test_a_frame_has_a_row_each_or_says_what_is_missing(self):
        families = self.values["Diagnosis"].families
        try:
            import pandas  # noqa: F401
        except ImportError:
            with self.assertRaisesRegex(ImportError, "python3-pandas"):
                b.to_frame(families)
            return
        frame = b.to_frame(families)
        self.assertEqual(list(frame.columns), _values.properties(b.FamilyEvidence))
        self.assertEqual(len(frame), 4)
        self.assertEqual(frame["strength"].iloc[0], families[0].strength)
        self.assertEqual(len(b.to_frame([])), 0)


class Pictures(unittest.TestCase):
    @support.needs("matplotlib")
    def test_each_plot_draws_the_numbers_of_its_value(self):
        import matplotlib

        matplotlib.use("Agg")
        import matplotlib.pyplot as plt

        values = one_of_each()
        for name in ("Capture", "Spectrum", "EnvelopeSpectrum", "CoherenceMap", "Curve", "PhaseTrack", "Diagnosis"):
            figure, ax = plt.subplots()
            self.assertIs(values[name].plot(ax), ax, name)
            self.assertTrue(ax.get_xlabel(), name)
            figure.canvas.draw()
            if name == "Capture":
                np.testing.assert_array_equal(ax.lines[0].get_ydata(), values[name].channels[0].samples)
            if name == "CoherenceMap":
                np.testing.assert_array_equal(ax.images[0].get_array(), values[name].magnitude)
            if name == "PhaseTrack":  # 25 and 26 revolutions in a second each
                np.testing.assert_allclose(ax.lines[0].get_ydata(), [1500, 1560])
            if name == "Diagnosis":
                self.assertEqual(sorted(p.get_width() for p in ax.patches), sorted(f.strength for f in values[name].families))
            plt.close(figure)
        figure, ax = plt.subplots()
        spectrum, orders = values["EnvelopeSpectrum"], values["DefectOrders"]
        spectrum.plot(ax, shaft_hz=24.5, orders=orders)
        np.testing.assert_allclose(ax.lines[0].get_xdata(), spectrum.frequency_hz[1:] / 24.5)
        self.assertEqual([line.get_xdata()[0] for line in ax.lines[1:]], [orders.bpfo, orders.bpfi, orders.bsf, orders.ftf])
        with self.assertRaisesRegex(ValueError, "give shaft_hz"):
            spectrum.plot(ax, orders=orders)
        plt.close("all")


class Texts(unittest.TestCase):
    def test_every_property_says_what_it_is(self):
        counted = 0
        for kind in _values.value_types():
            for name in _values.properties(kind):
                counted += 1
                self.assertTrue(getattr(kind, name).__doc__, f"{kind.__name__}.{name}")
        self.assertGreater(counted, 235)

    def test_every_function_has_a_signature_and_sections(self):
        for name, function in _reference._functions():
            if name.startswith("__") or not (function.__doc__ or "").strip():
                continue
            signature = inspect.signature(function)
            text = inspect.getdoc(function)
            named = [p for p in signature.parameters if p != "self"]
            self.assertEqual("Parameters\n----------" in text, bool(named), name)
            for parameter in named:
                self.assertRegex(text, rf"(?m)^{parameter} : ", name)
        # Defaults and keyword-only parameters are those of the call.
        welch = inspect.signature(b.welch)
        self.assertEqual(welch.parameters["segment"].default, 4096)
        self.assertEqual(welch.parameters["segment"].kind, inspect.Parameter.KEYWORD_ONLY)
        self.assertEqual(inspect.signature(b.bearing_evidence).parameters["mains_hz"].default, [50.0, 60.0])
        self.assertEqual(list(inspect.signature(b.BearingGeometry).parameters)[:2], ["rolling_elements", "element_diameter"])
        self.assertEqual(list(inspect.signature(b.Diagnosis.to_text).parameters), ["self", "width", "details"])

    def test_no_parameter_is_described_that_there_is_not(self):
        used = set()
        for name, function in _reference._functions():
            if not name.startswith("__") or name == "__init__":
                try:
                    used |= set(inspect.signature(function).parameters)
                except ValueError:
                    pass
        self.assertEqual(set(_reference.PARAMETERS) - used - {"value"}, set())
        self.assertLessEqual(set(_reference.SCIPY), set(b.__all__))


class Reference(unittest.TestCase):
    def test_the_page_has_every_name_and_property(self):
        script = os.path.join(support.REPOSITORY, "libbearingdsp", "python", "reference", "page.py")
        with tempfile.TemporaryDirectory() as folder:
            path = os.path.join(folder, "python.html")
            subprocess.run([sys.executable, script, path], check=True)
            with open(path, encoding="utf-8") as file:
                page = file.read()
        for name in b.__all__:
            self.assertIn(f"<h3 id='{name}'>", page)
        for kind in _values.value_types():
            for name in _values.properties(kind):
                self.assertIn(f"<td><code>{name}</code></td>", page)
        self.assertIn("segment=4096", page)
        self.assertNotIn("<pre></pre>", page)


class Documents(unittest.TestCase):
    """Where a page and the code once disagreed, the code is asked what the page says."""

    def page(self, name):
        with open(os.path.join(support.REPOSITORY, "docs", name), encoding="utf-8") as file:
            return " ".join(file.read().split())

    def test_crest_factor_of_results_is_about_the_mean_and_that_of_the_function_is_not(self):
        self.assertIn("Crest factor in results is peak magnitude over rms, both about the mean. The function `crest_factor()` takes "
                      "the samples as they are", self.page("conventions.md"))
        x = 5 + np.random.default_rng(3).standard_normal(51200)
        about_mean = np.abs(x - x.mean()).max() / (x - x.mean()).std()
        figures = b.diagnose(x, rate_hz=RATE, unit="m/s2").figures[0]
        self.assertAlmostEqual(figures.crest_factor, about_mean, places=9)
        self.assertAlmostEqual(b.crest_factor(x), np.abs(x).max() / math.sqrt(np.mean(x ** 2)), places=12)

    def test_the_gate_of_a_found_speed(self):
        with open(os.path.join(support.REPOSITORY, "libbearingdsp/include/bearingdsp/speed/estimate.hpp"), encoding="utf-8") as file:
            gate = float(re.search(r"required_confidence\{([0-9.]+)\}|required_confidence = ([0-9.]+)", file.read())[1])
        self.assertIn(f"its probability among all candidates is {gate:g} or more (`required_confidence`", self.page("theory/speed.md"))

    def test_the_narrowest_band(self):
        self.assertIn("70 bands at most", self.page("theory/bands.md"))
        for rate, narrowest in ((51200.0, 300.0), (51200.0, 400.0), (25600.0, 1000.0), (200000.0, 300.0)):
            tree = b.band_tree(rate, narrowest)
            self.assertLessEqual(len(tree), 70)
            self.assertGreaterEqual(min(band.high_hz - band.low_hz for band in tree), narrowest)


class Citing(unittest.TestCase):
    def test_the_citation_and_the_changes_are_of_this_version(self):
        def text(name):
            with open(os.path.join(support.REPOSITORY, "docs", name), encoding="utf-8") as file:
                return file.read()

        self.assertIn(f"\nversion: {b.__version__}\n", text("CITATION.cff"))
        self.assertIn(f"\n## {b.__version__}", text("changelog.md"))


class Scipy(unittest.TestCase):
    @support.needs("scipy")
    def test_what_is_said_of_scipy_is_so(self):
        from scipy import signal, stats

        x = np.random.default_rng(4).standard_normal(4096)
        np.testing.assert_allclose(b.analytic_signal(x), signal.hilbert(x), atol=1e-12)
        np.testing.assert_allclose(b.kurtosis(x), stats.kurtosis(x) + 3)
        np.testing.assert_allclose(b.welch(x, 10.0, segment=256).y, signal.welch(x, 10.0)[1], rtol=1e-9)
        np.testing.assert_allclose(b.amplitude_spectrum(x, 10.0).y[1:-1] ** 2,
                                   signal.periodogram(x, 10.0, window="hann", scaling="spectrum")[1][1:-1], rtol=1e-9)
        low, high = b.wilson_interval(3, 10)
        self.assertAlmostEqual(low, stats.binomtest(3, 10).proportion_ci(method="wilson").low, 6)


class Arguments(unittest.TestCase):
    """What was taken without a word, or refused in words that nobody understands."""

    def setUp(self):
        self.x = np.random.default_rng(1).standard_normal(25600)
        self.orders = b.DefectOrders(3.6, 5.4, 2.4, 0.4)

    def test_wrong_types_are_named(self):
        for call, words in (
            (lambda: b.diagnose(self.x, rate_hz=RATE, bearing=[1]), r"bearing\[0\] is int; give DefectOrders"),
            (lambda: b.diagnose(self.x, rate_hz=RATE, bearing=[self.orders, None]), r"bearing\[1\] is NoneType"),
            (lambda: b.diagnose(self.x, rate_hz=RATE, bearing=6205), "bearing is int; give a designation"),
            (lambda: b.read_capture("/x", unit=5.0), "unit is float; give text"),
            (lambda: b.read_capture("/x", select=[1.5]), "select is float"),
            (lambda: b.compare_captures([None], [None]), "a capture is None"),
            (lambda: b.kurtosis(None), "the samples are NoneType"),
            (lambda: b.kurtosis("abc"), "the samples are str"),
            (lambda: b.kurtosis(["1", "2"]), "of type <U1"),
            (lambda: b.kurtosis(self.x + 1j), "the samples are complex"),
            (lambda: b.kurtosis([object()]), "not a number"),
            (lambda: b.Model({"judgement.even_strength": "much"}), "is str; give a number"),
            (lambda: b.diagnose(self.x, rate_hz=RATE, model=3), "model is int"),
        ):
            with self.assertRaisesRegex(TypeError, words):
                call()

    def test_values_out_of_range_are_refused(self):
        nan, inf = math.nan, math.inf
        spectrum = b.record_spectrum(self.x, RATE)
        for call in (
            lambda: b.diagnose(self.x, rate_hz=RATE, bearing=[]), lambda: b.brier_score([1.5], [True]),
            lambda: b.brier_score([0.5], [2]), lambda: b.brier_score([nan], [True]), lambda: b.reliability([-0.1], [True]),
            lambda: b.band_tree(-1, 100), lambda: b.band_tree(100, -1), lambda: b.band_tree(nan, 1),
            lambda: b.DefectOrders(-3, 5.4, 2.4, 0.4), lambda: b.DefectOrders(3.6, 5.4, inf, 0.4),
            lambda: b.DefectOrders(3.6, 5.4, 2.4, 0.4, -9), lambda: b.at_speed(self.orders, nan),
            lambda: b.at_speed(self.orders, -1), lambda: b.record_spectrum(self.x, -5), lambda: b.flattened(spectrum, -1),
            lambda: b.squared_envelope_spectrum(spectrum, (0, 1000), -10), lambda: b.cyclic_coherence([spectrum], -10),
            lambda: b.diagnose(self.x, rate_hz=RATE, pulses_per_revolution=-1),
            lambda: b.diagnose(self.x, rate_hz=RATE, line_frequency_hz=-1),
            lambda: b.diagnose(self.x, rate_hz=RATE, full_scale=-1), lambda: b.capture_from_array(self.x, RATE, noted_speed_rpm=-5),
            lambda: b.assess_quality(b.capture_from_array(self.x, RATE), speed_rpm=-1),
            lambda: b.Model({"judgement.even_strength": 1e9}),
        ):
            with self.assertRaises(b.BadArgument):
                call()

    def test_a_gap_is_filled_as_in_files_or_refused_and_never_used(self):
        whole = b.simulate({"seed": 3, "duration_s": 1}).capture.channels[0].samples.copy()
        gap = whole.copy()
        gap[[100, 101, 5000]] = np.nan
        hidden = whole.copy()
        hidden[[100, 101, 5000]] = 1e9
        masked = np.ma.masked_array(hidden, np.isnan(gap))
        lines = "x\n" + "".join("nan\n" if np.isnan(v) else f"{v!r}\n" for v in gap)
        file = b.read_capture_bytes(lines.encode(), "x.csv", rate_hz=RATE, unit="m/s2")
        for array in (gap, masked, [None if np.isnan(v) else v for v in gap]):
            capture = b.capture_from_array(array, RATE, unit="m/s2")
            np.testing.assert_array_equal(capture.channels[0].samples, file.channels[0].samples)
            self.assertEqual([f.kind for f in capture.findings], ["repaired"])
            d = b.diagnose(array, rate_hz=RATE, unit="m/s2")
            self.assertNotIn("constant", d.headline)
            with self.assertRaisesRegex(b.BadArgument, "3 of 25600 are missing or not numbers, first at index 100"):
                b.envelope(array)
        gap[:400] = np.nan
        with self.assertRaises(b.CorruptFile):
            b.diagnose(gap, rate_hz=RATE)
        self.assertAlmostEqual(b.kurtosis(np.ma.masked_array([1.0, 2, 3], [0, 0, 0])), 1.5)

    def test_none_does_not_pass_as_an_order_or_a_bearing(self):
        for at in range(4):
            orders = [3.6, 5.4, 2.4, 0.4]
            orders[at] = None
            with self.assertRaises(TypeError):
                b.DefectOrders(*orders)
        spectrum = b.record_spectrum(self.x, RATE)
        for call in (lambda: b.bearing_evidence([spectrum], 25.0, None), lambda: b.bearing_evidence([None], 25.0, self.orders),
                     lambda: b.at_speed(None, 1500), lambda: b.with_slip(None, 0.01), lambda: b.defect_orders(None),
                     lambda: b.judge_examined(None, self.orders), lambda: b.judge(None)):
            with self.assertRaises(TypeError):
                call()

    def test_whatever_is_given_the_refusal_is_in_words(self):
        """Every function, called with the wrong thing in every place, says so as Python does."""
        calls = refusals = 0
        for name in sorted(dir(b)):
            function = getattr(b, name)
            if name.startswith("_") or not callable(function) or isinstance(function, type) and issubclass(function, BaseException):
                continue
            try:
                parameters = inspect.signature(function).parameters.values()
            except ValueError:
                continue  # a result that only the library makes
            needed = [p for p in parameters if p.default is p.empty and p.kind in (p.POSITIONAL_ONLY, p.POSITIONAL_OR_KEYWORD)]
            for wrong in (object(), None, "\0", -1.5, math.nan, [object()], []):
                calls += 1
                try:
                    function(*(wrong for _ in needed))
                except (TypeError, ValueError, ImportError, b.Error) as refusal:
                    refusals += 1
                    self.assertNotIn("Unable to cast", str(refusal), name)
                    self.assertGreater(len(str(refusal)), 10, name)
        self.assertGreater(calls, 300)
        self.assertGreater(refusals, 0.7 * calls)

    def test_numbers_choose_channels_and_one_name_needs_no_list(self):
        two = b.capture_from_array(np.vstack([self.x, self.x[::-1]]), RATE)
        self.assertEqual(b.diagnose(two, channels="channel 2").channels, ["channel 2"])
        csv = b"a,b\n" + b"".join(b"%d,%d\n" % (i % 7, i % 5) for i in range(2000))
        self.assertEqual([c.name for c in b.read_capture_bytes(csv, "x.csv", rate_hz=10.0, select=2).channels], ["b"])


if __name__ == "__main__":
    support.main()
