"""diagnose() in steps: the same answer to the last bit, on simulated recordings and on all of the open sets."""

import os
import tempfile
import unittest

import numpy as np

import bearingdsp as b
import support


def both(capture, bearing, **how):
    """The diagnosis by one call, and by the two steps."""
    return b.diagnose(capture, bearing=bearing, **how), b.judge_examined(b.examine(capture, **how), bearing)


class Steps(unittest.TestCase):
    def setUp(self):
        self.capture = b.simulate({"seed": 5, "duration_s": 4, "speed_rpm": 1470, "bearing": {"designation": "6208"},
                                   "defects": [{"part": "inner ring", "severity_m_s2": 15}]}).capture

    def test_two_steps_are_one_call(self):
        for bearing in ("6208", None, b.BearingGeometry(9, 12, 60), list(b.variants(b.find_bearing("6208")))):
            for how in ({"speed_rpm": 1470}, {}, {"speed_rpm": 1470, "curves": "all"}, {"speed_range_rpm": (1400, 1500)}):
                one, steps = both(self.capture, bearing, **how)
                self.assertEqual(one, steps)
                self.assertEqual(one.to_json(curves=True), steps.to_json(curves=True))

    def test_several_bearings_on_one_examination(self):
        examination = b.examine(self.capture, speed_rpm=1470)
        for bearing in ("6208", "6205", None, "6208"):
            self.assertEqual(b.judge_examined(examination, bearing), b.diagnose(self.capture, bearing=bearing, speed_rpm=1470))

    def test_an_examination_outlives_its_recording(self):
        capture = b.capture_from_array(self.capture.channels[0].samples, self.capture.rate_hz, unit="m/s2")
        want = b.diagnose(capture, bearing="6208", speed_rpm=1470)
        examination = b.examine(capture, speed_rpm=1470)
        self.assertEqual(examination.capture, capture)
        del capture
        self.assertEqual(b.judge_examined(examination, "6208"), want)


class Models(unittest.TestCase):
    NAME = "judgement.even_strength"

    def setUp(self):
        self.capture = b.simulate({"seed": 5, "duration_s": 4, "speed_rpm": 1470, "bearing": {"designation": "6208"},
                                   "defects": [{"part": "outer ring", "severity_m_s2": 4}]}).capture

    def test_a_constant_is_set_from_a_dict_a_model_and_a_file(self):
        shipped = b.Model()
        self.assertEqual(shipped.changed, {})
        other = 2 * shipped[self.NAME]
        model = shipped.replaced({self.NAME: other})
        self.assertEqual(model, b.Model({self.NAME: other}))
        self.assertEqual((model[self.NAME], model.changed), (other, {self.NAME: other}))
        self.assertEqual(len(list(model)), len(model))
        with tempfile.TemporaryDirectory() as folder:
            path = os.path.join(folder, "model.csv")
            with open(path, "w", encoding="utf-8") as file:
                file.write(f"name,value\n{self.NAME},{other!r}\n")
            self.assertEqual(b.read_model(path), model)
            how = {"bearing": "6208", "speed_rpm": 1470}
            plain = b.diagnose(self.capture, **how)
            # The strength at which damage is an even bet is doubled: the same evidence says less.
            asked = [b.diagnose(self.capture, model=m, **how) for m in (model, {self.NAME: other}, path)]
        self.assertLess(asked[0].probability_of_damage, plain.probability_of_damage)
        self.assertEqual(asked[0], asked[1])
        self.assertEqual(asked[0], asked[2])
        self.assertEqual(b.diagnose(self.capture, model=shipped, **how), plain)

    def test_the_steps_take_the_same_constants(self):
        model = b.Model({self.NAME: 0.4})
        one, steps = both(self.capture, "6208", speed_rpm=1470, model=model)
        self.assertEqual(one, steps)
        x = self.capture.channels[0].samples
        evidence = b.bearing_evidence([b.flattened(b.record_spectrum(x, self.capture.rate_hz), 75)], 24.5,
                                      b.variants(b.find_bearing("6208"))[0])
        self.assertLess(b.judge(evidence, 0.01, model=model).damage, b.judge(evidence, 0.01).damage)

    def test_constants_say_what_they_are(self):
        for c in b.Model().constants:
            self.assertTrue(c.meaning and c.origin, c.name)
            self.assertLessEqual(c.least, c.value)
            self.assertLessEqual(c.value, c.most)
            self.assertEqual(c.value, c.shipped)

    def test_an_unknown_or_impossible_constant_is_refused(self):
        with self.assertRaisesRegex(b.NotFound, "even_strength"):
            b.Model({"judgement.even_strenth": 1})
        with self.assertRaises(b.BadArgument):
            b.Model({self.NAME: -1})
        with self.assertRaises(KeyError):
            b.Model()["no.such"]


class OpenRecords(unittest.TestCase):
    def test_two_steps_are_one_call_on_every_labelled_recording(self):
        manifest = b.read_manifest(os.path.join(support.datasets(), "manifest.csv"))
        self.assertEqual(len(manifest), 114)
        plans = b.FftPlans()
        validated = {}
        b.validate(manifest, diagnosed=lambda record, diagnosis: validated.update({record.file: diagnosis}))
        for record in manifest.records:
            capture = record.read()
            one, steps = both(capture, record.orders, speed_rpm=record.speed_rpm, plans=plans, tacho_channel=record.tacho,
                              pulses_per_revolution=record.pulses_per_revolution)
            self.assertEqual(one, steps, record.file)
            self.assertEqual(one, validated[record.file], record.file)
            self.assertTrue(np.isfinite(one.probability_of_damage))


if __name__ == "__main__":
    support.main()
