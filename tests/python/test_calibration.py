"""The calibration that docs/validation/calibration.md shows is the one that its script prints."""

import os
import subprocess
import sys
import tempfile
import unittest

import bearingdsp as b
import support


class OpenSets(unittest.TestCase):
    def test_the_page_is_what_the_script_prints(self):
        manifest = b.read_manifest(os.path.join(support.datasets(), "manifest.csv"))
        with open(os.path.join(support.REPOSITORY, "docs", "validation", "calibration.md"), encoding="utf-8") as file:
            said = file.read().split("```text\n")[1].split("```")[0]
        with tempfile.TemporaryDirectory() as folder:
            table, shown, printed = (os.path.join(folder, name) for name in ("results.csv", "shown", "printed"))
            with open(table, "w", encoding="utf-8") as file:
                file.write(b.results_csv(b.validate(manifest)))
            tests = os.path.join(support.REPOSITORY, "tests")
            ran = subprocess.run([sys.executable, os.path.join(tests, "bench", "calibration.py"), table], capture_output=True,
                                 text=True, check=True)
            for path, text in ((shown, said), (printed, ran.stdout.strip("\n") + "\n")):
                with open(path, "w", encoding="utf-8") as file:
                    file.write(text)
            same = subprocess.run([sys.executable, os.path.join(tests, "same_output.py"), shown, printed], capture_output=True,
                                  text=True, check=False)
        self.assertEqual(same.returncode, 0, f"update docs/validation/calibration.md:\n{ran.stdout}\n{same.stdout}{same.stderr}")


if __name__ == "__main__":
    support.main()
