"""A detector of one's own in validate(), manifests and outcomes made here, and the table of features."""

import csv
import io
import os
import subprocess
import tempfile
import unittest

import numpy as np

import bearingdsp as b
import support


def recordings(folder):
    """Three simulated recordings with a manifest, and the same as records made here."""
    orders = b.variants(b.find_bearing("6208"))[0]
    rows, records = [], []
    for i, (label, defects) in enumerate((("none", []), ("outer ring", [{"part": "outer ring", "severity_m_s2": 15}]),
                                          ("inner ring", [{"part": "inner ring", "severity_m_s2": 15}]))):
        made = b.simulate({"seed": i, "duration_s": 2, "speed_rpm": 1470, "bearing": {"designation": "6208"}, "defects": defects})
        x = np.asarray(made.capture.channels[0].samples)
        np.savetxt(os.path.join(folder, f"{i}.csv"), x, fmt="%.9g")
        rows.append(f"made,{i}.csv,,m/s2,{made.capture.rate_hz:g},1470,,{label}")
        records.append(b.LabelledRecord(os.path.join(folder, f"{i}.csv"), label, dataset="made", unit="m/s2",
                                        rate_hz=made.capture.rate_hz, speed_rpm=1470, orders=orders))
    with open(os.path.join(folder, "manifest.csv"), "w", encoding="utf-8") as file:
        file.write("dataset,file,signal,unit,rate_hz,rpm,bearing,fault\n" + "\n".join(rows) + "\n")
    with open(os.path.join(folder, "bearings.csv"), "w", encoding="utf-8") as file:
        file.write("name,rolling_elements,element_diameter,pitch_diameter\n")
    return records


class Detectors(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory()
        cls.records = recordings(cls.folder.name)
        cls.manifest = b.Manifest(cls.records)

    @classmethod
    def tearDownClass(cls):
        cls.folder.cleanup()

    def test_a_plain_callable_judges(self):
        seen = []

        def loudness(capture, record):
            seen.append((type(capture), record.file))
            return ("outer ring", 0.9) if b.kurtosis(capture.channels[0].samples) > 3.3 else ("none", 0.1)

        outcomes = b.validate(self.manifest, detector=loudness, jobs=2)
        self.assertEqual(len(seen), 3)
        self.assertEqual([o.label for o in outcomes], ["none", "outer ring", "inner ring"])
        for o in outcomes:
            self.assertIn((o.named, o.probability_damage), (("outer ring", 0.9), ("none", 0.1)))
        self.assertIn("identified correctly", b.validation_text(outcomes))

    def test_the_engine_as_a_detector_is_the_engine(self):
        def engine(capture, record):
            return b.diagnose(capture, bearing=record.orders, speed_rpm=record.speed_rpm)

        for got, want in zip(b.validate(self.manifest, detector=engine), b.validate(self.manifest)):
            for name in ("named", "probability_damage", "probability_place", "reason"):
                self.assertEqual(getattr(got, name), getattr(want, name))

    def test_the_chain_by_hand_is_the_same_manifest(self):
        read = b.read_manifest(os.path.join(self.folder.name, "manifest.csv"))
        self.assertEqual(len(read), 3)
        self.assertEqual([r.read() for r in read.records], [r.read() for r in self.records])

    def test_what_a_detector_raises_or_answers_wrongly_is_a_row(self):
        def broken(capture, record):
            if record.label == "none":
                raise ZeroDivisionError("no load")
            return ("gearbox", 0.5) if record.label == "outer ring" else 7

        outcomes = b.validate(self.manifest, detector=broken)
        self.assertEqual([o.named for o in outcomes], ["failed"] * 3)
        self.assertIn("ZeroDivisionError: no load", outcomes[0].reason)
        self.assertIn("gearbox", outcomes[1].reason)
        self.assertIn("return (named, probability_damage)", outcomes[2].reason)

    def test_an_interrupt_ends_the_run(self):
        def interrupted(capture, record):
            raise KeyboardInterrupt

        with self.assertRaises(KeyboardInterrupt):
            b.validate(self.manifest, detector=interrupted, jobs=2)

    def test_an_exception_in_a_callback_is_raised(self):
        def broken(record, diagnosis):
            raise LookupError("mine")

        with self.assertRaisesRegex(LookupError, "mine"):
            b.validate(self.manifest, diagnosed=broken)

    def test_blind_speed_is_withheld_from_a_detector(self):
        speeds = []
        b.validate(self.manifest, blind_speed=True, detector=lambda c, r: (speeds.append(r.speed_rpm), ("none", 0))[1])
        self.assertEqual(speeds, [None] * 3)

    def test_outcomes_made_here_are_counted(self):
        made = [b.Outcome("outer ring", "outer ring", 0.9, probability_place=0.8, dataset="mine", file="a"),
                b.Outcome("none", "inner ring", 0.7), b.Outcome("none", "failed", float("nan"), reason="no file")]
        self.assertEqual([o.grade for o in made], ["identified correctly", "false alarms", "failed"])
        self.assertEqual(b.parse_results(b.results_csv(made)), made)
        for bad in (lambda: b.Outcome("gear", "none", 0), lambda: b.Outcome("none", "gear", 0), lambda: b.Outcome("none", "none", 1.2),
                    lambda: b.LabelledRecord("a.wav", "wobbly"), lambda: b.LabelledRecord("a.wav", "none", rate_hz=0)):
            with self.assertRaises(b.BadArgument):
                bad()

    def test_features_are_those_of_the_diagnoses(self):
        records, diagnoses = [], []
        b.validate(self.manifest, jobs=1, diagnosed=lambda r, d: (records.append(r), diagnoses.append(d)))
        rows = list(csv.DictReader(io.StringIO(b.features_csv(records, diagnoses))))
        self.assertEqual(len(rows), 12)
        for i, d in enumerate(diagnoses):
            of = {r["component"]: r for r in rows[4 * i:4 * i + 4]}
            for family in d.families:
                row = of[family.part.words]
                self.assertEqual(float(row["strength"]), family.strength)
                self.assertEqual(float(row["fitted_order"]), family.fitted)
                self.assertEqual(float(row["band_low_hz"]), family.band.low_hz)
                self.assertEqual(float(row["probability_damage"]), d.probability_of_damage)
        with self.assertRaises(ValueError):
            b.features_csv(records, [])

    def test_the_tool_writes_the_same_table(self):
        out = os.path.join(self.folder.name, "features.csv")
        manifest = os.path.join(self.folder.name, "manifest.csv")
        support.tool("validate", manifest, "--features", out)
        read = b.read_manifest(manifest)
        records, diagnoses = [], []
        b.validate(read, jobs=1, diagnosed=lambda r, d: (records.append(r), diagnoses.append(d)))
        with open(out, encoding="utf-8", newline="") as file:
            self.assertEqual(file.read(), b.features_csv(records, diagnoses))
        ran = subprocess.run([os.environ["BEARINGDSP_BINARY"], "validate", manifest, "--features", out + ".txt"], capture_output=True,
                             text=True, check=False)
        self.assertEqual(ran.returncode, 2)
        self.assertIn("write to a name that ends in .csv", ran.stderr)
        self.assertFalse(os.path.exists(out + ".txt"))


if __name__ == "__main__":
    support.main()
