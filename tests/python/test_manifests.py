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
MANIFESTS = sorted(p for p in glob.glob(os.path.join(FOLDER, "*.csv")) if not p.endswith("bearings.csv"))


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
        for path in MANIFESTS:
            self.assertIn(f"`{os.path.basename(path)}`", text)

    def test_without_the_recordings_every_row_says_so(self):
        outcomes = b.validate(b.read_manifest(os.path.join(FOLDER, "programmable-load.csv")))
        self.assertTrue(all(o.named == "failed" for o in outcomes))
        self.assertIn("InnerRaceFault_vload_1.mat: cannot be", outcomes[0].reason)

    @unittest.skipUnless(os.environ.get("BEARINGDSP_DATASETS"), "BEARINGDSP_DATASETS is not set")
    def test_checksums_and_labels_of_the_sets(self):
        top = os.environ["BEARINGDSP_DATASETS"]
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
