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
            program = ("t = load('t.h5'); names = fieldnames(t.readings);\n"
                       "for i = 1:numel(names)\n"
                       "  x = t.readings.(names{i});\n"
                       "  if ischar(x), printf('%s=%s\\n', names{i}, strtrim(strrep(x, char(0), '')));\n"
                       "  else printf('%s=%.17g\\n', names{i}, x); end\n"
                       "end\n")
            ran = subprocess.run(["octave", "--no-gui", "--norc", "--quiet", "--eval", program],
                                 cwd=folder, capture_output=True, text=True, check=False)
        self.assertEqual(ran.returncode, 0, ran.stderr)
        seen = dict(line.split("=", 1) for line in ran.stdout.splitlines())
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


if __name__ == "__main__":
    main()
