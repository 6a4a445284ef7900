"""The ready manifests are read; against the sets themselves only where those are at hand.

BEARINGDSP_DATASETS names the folder with the sets, unpacked as in the lists of the datasets' keeper; the
recordings are never in the repository.
"""

import collections
import csv
import glob
import hashlib
import os
import tempfile
import unittest

import bearingdsp as b
import support

FOLDER = os.path.join(support.REPOSITORY, "libbearingdsp/data/manifests")
ALL = sorted(p for p in glob.glob(os.path.join(FOLDER, "*.csv")) if not p.endswith("bearings.csv"))
# Sets that were never at hand: their rows say so, and nothing was tuned on them.
FROM_MEMORY = [p for p in ALL if os.path.basename(p) in
               ("four-bearing-runs.csv", "real-and-artificial.csv", "variable-speed.csv")]
MANIFESTS = [p for p in ALL if p not in FROM_MEMORY]


class Ready(unittest.TestCase):
    def test_each_is_read_and_every_record_is_for_tuning(self):
        self.assertEqual(len(MANIFESTS), 5)
        records = 0
        for path in MANIFESTS:
            manifest = b.read_manifest(path)
            name = os.path.splitext(os.path.basename(path))[0]
            for r in manifest.records:
                self.assertEqual(r.dataset, name)
                self.assertTrue(r.file.startswith(name + "/"), r.file)
                self.assertEqual(r.split, "tuning")
                self.assertRegex(r.sha256, "^[0-9a-f]{64}$")
            self.assertEqual(len({r.file for r in manifest.records}), len(manifest.records))
            records += len(manifest.records)
        self.assertEqual(records, 114)

    def test_the_documents_list_each(self):
        with open(os.path.join(support.REPOSITORY, "docs/manifest.md"), encoding="utf-8") as file:
            text = file.read()
        for path in ALL:
            self.assertIn(f"`{os.path.basename(path)}`", text)

    def test_without_the_recordings_every_row_says_so(self):
        outcomes = b.validate(b.read_manifest(os.path.join(FOLDER, "programmable-load.csv")))
        self.assertTrue(all(o.named == "failed" for o in outcomes))
        self.assertIn("InnerRaceFault_vload_1.mat: cannot be", outcomes[0].reason)

    def test_what_is_from_memory_says_so_in_every_row(self):
        self.assertEqual(len(FROM_MEMORY), 3)
        counted = {}
        for path in FROM_MEMORY:
            with open(path, encoding="utf-8", newline="") as file:
                rows = list(csv.DictReader(file))
            for row in rows:
                self.assertIn("from memory and never tried on the set", row["note"])
                self.assertNotEqual(row["split"], "tuning")
                self.assertEqual(row["sha256"], "")
            manifest = b.read_manifest(path)
            self.assertEqual(len({r.file for r in manifest.records}), len(manifest.records))
            self.assertEqual(len(manifest.records) + len(manifest.notes), len(rows))
            counted[os.path.basename(path)] = len(manifest.records)
        self.assertEqual(counted, {"four-bearing-runs.csv": 0, "real-and-artificial.csv": 128,
                                   "variable-speed.csv": 60})
        real = b.read_manifest(os.path.join(FOLDER, "real-and-artificial.csv"))
        for split, damaged in (("artificial", 12), ("real", 14)):  # bearings, each in four conditions
            rows = real.of_split(split).records
            self.assertEqual(sum(r.label != "none" for r in rows), 4 * damaged)
            self.assertEqual(sum(r.label == "none" for r in rows), 4 * 3)

    def test_bearings_from_memory_give_the_published_multiples(self):
        by_name = {}
        for name in ("real-and-artificial.csv", "variable-speed.csv"):
            for r in b.read_manifest(os.path.join(FOLDER, name)).records:
                by_name[r.bearing] = r.orders
        # As the sets' descriptions are quoted by others.
        self.assertAlmostEqual(by_name["6203-pitch-28.55"].bpfo, 3.0543, delta=1e-4)
        self.assertAlmostEqual(by_name["ER16K"].bpfi, 5.43, delta=5e-3)
        self.assertAlmostEqual(by_name["ER16K"].bpfo, 3.57, delta=5e-3)

    @support.needs("scipy")
    def test_a_file_of_the_shape_that_is_remembered_is_read_and_diagnosed(self):
        from scipy.io import savemat
        import numpy as np

        with tempfile.TemporaryDirectory() as folder:
            for text in ("real-and-artificial.csv", "variable-speed.csv", "bearings.csv"):
                with open(os.path.join(FOLDER, text), "rb") as source:
                    with open(os.path.join(folder, text), "wb") as copy:
                        copy.write(source.read())

            def record(name, file):
                manifest = b.read_manifest(os.path.join(folder, name))
                row = next(r for r in manifest.records if r.file == file)
                os.makedirs(os.path.dirname(row.path), exist_ok=True)
                return row, os.path.join(folder, name), row.path

            def named(manifest_path, row):
                """What validate makes of that row alone."""
                with open(manifest_path, encoding="utf-8", newline="") as file:
                    rows = list(csv.DictReader(file))
                alone = os.path.join(folder, "alone.csv")
                with open(alone, "w", encoding="utf-8", newline="") as file:
                    table = csv.DictWriter(file, rows[0].keys())
                    table.writeheader()
                    table.writerow(next(r for r in rows if r["file"] == row.file))
                return b.validate(b.read_manifest(alone))[0]

            def orders(row):
                return {"bpfo": row.orders.bpfo, "bpfi": row.orders.bpfi, "bsf": row.orders.bsf,
                        "ftf": row.orders.ftf}

            # A struct named as the file; seven channels, the last of them the vibration.
            row, path, file = record("real-and-artificial.csv",
                                     "real-and-artificial/KA04/N15_M07_F10_KA04_1.mat")
            x = b.simulate({"rate_hz": 64000, "duration_s": 4, "speed_rpm": 1500, "bearing": orders(row),
                            "shaft_harmonics_m_s2": [0.5, 0.2],
                            "defects": [{"part": "outer ring", "severity_m_s2": 12}]}
                           ).capture.channels[0].samples
            channels = np.zeros((1, 7), dtype=[("Name", "O"), ("Data", "O")])
            for i, (name, y) in enumerate((("force", x[::16]), ("phase_current_1", 0 * x),
                                           ("phase_current_2", 0 * x), ("speed", x[::16]),
                                           ("temp_2_bearing_module", x[:4]), ("torque", x[::16]),
                                           ("vibration_1", x))):
                channels[0, i] = (name, y.reshape(1, -1))
            savemat(file, {"N15_M07_F10_KA04_1": {"Info": "made", "Y": channels}})
            read = row.read()
            self.assertEqual(read.rate_hz, 64000)
            np.testing.assert_array_equal(read.channels[0].samples, x)
            self.assertEqual(named(path, row).named, "outer ring")

            # Two channels, the second an encoder's pulses; the speed rises by a half.
            row, path, file = record("variable-speed.csv", "variable-speed/I-A-1.mat")
            made = b.simulate({"rate_hz": 200000, "duration_s": 10, "speed_rpm": 900, "speed_drift": 0.5,
                               "bearing": orders(row), "tacho_pulses": 1024,
                               "shaft_harmonics_m_s2": [0.5, 0.2],
                               "defects": [{"part": "inner ring", "severity_m_s2": 12}]})
            savemat(file, {"Channel_1": made.capture.channels[0].samples.reshape(-1, 1),
                           "Channel_2": made.capture.channels[1].samples.reshape(-1, 1)})
            outcome = named(path, row)
            self.assertEqual(outcome.named, "inner ring", outcome.reason)
            self.assertEqual(outcome.speed_method, "tacho")


class OpenSets(unittest.TestCase):
    def test_checksums_and_labels_of_the_sets(self):
        top = support.datasets()
        with open(os.path.join(top, "manifest.csv"), encoding="utf-8") as file:
            kept = [r for r in csv.DictReader(file) if "*" not in r["file"]]
        by_hash = {}
        for row in kept:
            with open(os.path.join(top, row["file"]), "rb") as file:
                by_hash[hashlib.sha256(file.read()).hexdigest()] = row
        self.assertEqual(len(by_hash), len(kept))
        seen = collections.Counter()
        with tempfile.TemporaryDirectory() as folder:
            for path in MANIFESTS:
                for r in b.read_manifest(path).records:
                    row = by_hash[r.sha256]
                    seen[r.sha256] += 1
                    self.assertEqual(r.label, row["fault"])
                    if seen.total() % 10 == 1:  # read some of them through the manifest
                        place = os.path.join(folder, r.file)
                        os.makedirs(os.path.dirname(place), exist_ok=True)
                        os.symlink(os.path.join(top, row["file"]), place)
                        name = os.path.basename(path)
                        for text in (name, "bearings.csv"):
                            with open(os.path.join(FOLDER, text), "rb") as source:
                                with open(os.path.join(folder, text), "wb") as copy:
                                    copy.write(source.read())
                        there = next(t for t in b.read_manifest(os.path.join(folder, name)).records
                                     if t.file == r.file)
                        self.assertGreater(len(there.read()), 1024)
        self.assertEqual(set(seen), set(by_hash))
        self.assertEqual(max(seen.values()), 1)


if __name__ == "__main__":
    support.main()
