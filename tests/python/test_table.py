"""The table that `export` writes as HDF5, read by Octave, which has a reader of its own."""

import csv
import io
import os
import shutil
import subprocess
import tempfile
import unittest

from support import main, testdata, tool

RECORDING = testdata("planer-feed/2026-05-11_DE_horizontal.wav")


def read_by_octave(folder, name, group):
    """Columns of a group of the file: name to cells, as text; numbers in 17 digits."""
    program = (f"t = load('{name}').{group}; names = fieldnames(t);\n"
               "for i = 1:numel(names)\n"
               "  x = t.(names{i});\n"
               "  if ischar(x), rows = x; if size(x, 1) == 1, rows = x(:)'; end\n"
               "    for k = 1:size(rows, 1), printf('%s=%s\\n', names{i}, strtrim(strrep(rows(k, :), char(0), ''))); end\n"
               "  else printf([names{i} '=%.17g\\n'], x); end\n"
               "end\n")
    ran = subprocess.run(["octave", "--no-gui", "--norc", "--quiet", "--eval", program],
                         cwd=folder, capture_output=True, text=True, check=False)
    if ran.returncode != 0:
        raise AssertionError(ran.stderr)
    columns = {}
    for line in ran.stdout.splitlines():
        column, cell = line.split("=", 1)
        columns.setdefault(column, []).append(cell)
    return columns


class TableInOctave(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        if not shutil.which("octave"):
            raise unittest.SkipTest("octave is not installed (Debian: octave)")

    def test_every_column(self):
        given = [RECORDING, "--bearing", "6205", "--rpm", "1432", "--unit", "m/s2", "--full-scale", "128"]
        table = list(csv.reader(io.StringIO(tool("export", *given))))
        names, row = table[0], table[1]
        with tempfile.TemporaryDirectory() as folder:
            tool("export", *given, "--out", os.path.join(folder, "t.h5"))
            seen = {name: cells[0] for name, cells in read_by_octave(folder, "t.h5", "readings").items()}
        self.assertEqual(sorted(seen), sorted(names))
        numbers = 0
        for name, cell in zip(names, row):
            try:
                value = float(seen[name])
            except ValueError:
                self.assertEqual(seen[name], cell, name)
                continue
            numbers += 1
            self.assertEqual(value == value, cell != "", name)
            if cell:
                self.assertEqual(value, float(cell), name)
        self.assertGreater(numbers, 25)

    def test_features_of_a_labelled_set(self):
        with tempfile.TemporaryDirectory() as folder:
            with open(os.path.join(folder, "bearings.csv"), "w", encoding="utf-8") as file:
                file.write("name,rolling_elements,element_diameter,pitch_diameter,contact_angle_deg,unit,source\n"
                           "6205,9,7.94,39.04,0,mm,invented\n")
            manifest = os.path.join(folder, "manifest.csv")
            with open(manifest, "w", encoding="utf-8") as file:
                file.write("dataset,file,signal,unit,rate_hz,rpm,bearing,fault,split\n"
                           "mill,recording.wav,,unknown,,1432,6205,outer ring,test\n"
                           "mill,missing.wav,,unknown,,1432,6205,none,test\n")
            shutil.copy(RECORDING, os.path.join(folder, "recording.wav"))
            for ending in ("csv", "h5", "hdf5"):
                tool("validate", manifest, "--features", os.path.join(folder, "f." + ending), codes=(2,))
            with open(os.path.join(folder, "f.csv"), encoding="utf-8", newline="") as file:
                rows = list(csv.reader(file))
            with open(os.path.join(folder, "f.h5"), "rb") as one, open(os.path.join(folder, "f.hdf5"), "rb") as two:
                self.assertEqual(one.read(), two.read())
            columns = read_by_octave(folder, "f.h5", "features")
        self.assertEqual(sorted(columns), sorted(rows[0]))
        self.assertEqual(len(rows), 1 + 2 * 4)
        numbers = 0
        for at, name in enumerate(rows[0]):
            self.assertEqual(len(columns[name]), len(rows) - 1, name)
            for cell, row in zip(columns[name], rows[1:]):
                try:
                    value = float(cell)
                except ValueError:
                    self.assertEqual(cell, row[at], name)
                    continue
                numbers += 1
                self.assertEqual(value == value, row[at] != "", name)
                if row[at]:
                    self.assertEqual(value, float(row[at]), name)
        self.assertGreater(numbers, 100)


if __name__ == "__main__":
    main()
