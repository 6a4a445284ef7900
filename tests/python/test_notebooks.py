"""The notebooks execute from start to end, draw their figures, and are stored without outputs."""

import glob
import json
import os
import subprocess
import sys
import unittest

import support

NOTEBOOKS = sorted(glob.glob(os.path.join(support.REPOSITORY, "notebooks", "*.ipynb")))


class Notebooks(unittest.TestCase):
    def test_there_are_eight(self):
        self.assertEqual(len(NOTEBOOKS), 8)

    def test_stored_without_outputs(self):
        for path in NOTEBOOKS:
            with open(path, encoding="utf-8") as file:
                notebook = json.load(file)
            self.assertEqual(notebook["nbformat"], 4)
            self.assertEqual(len({c["id"] for c in notebook["cells"]}), len(notebook["cells"]))
            for cell in notebook["cells"]:
                if cell["cell_type"] == "code":
                    self.assertEqual(cell["outputs"], [], path)
                    self.assertIsNone(cell["execution_count"], path)
                    for line in cell["source"]:
                        self.assertNotRegex(line, r"^\s*[%!]", "only Python: no kernel is needed")

    @support.needs("matplotlib")
    def test_execute_from_start_to_end(self):
        # On simulated data: the open sets are not in the repository.
        environment = {k: v for k, v in os.environ.items() if k != "BEARINGDSP_MANIFEST"}
        runner = os.path.join(os.path.dirname(os.path.abspath(__file__)), "run_notebook.py")
        for path in NOTEBOOKS:
            with self.subTest(os.path.basename(path)):
                ran = subprocess.run(
                    [sys.executable, runner, path], capture_output=True, text=True, check=False,
                    cwd=support.REPOSITORY, env=environment,
                )
                self.assertEqual(ran.returncode, 0, ran.stdout + ran.stderr)
                figures = int(ran.stdout.split()[-2])
                self.assertGreater(figures, 0)


class OpenSets(unittest.TestCase):
    @support.needs("matplotlib")
    def test_validation_runs_on_the_open_sets_where_they_are(self):
        path = next(p for p in NOTEBOOKS if "validation" in p)
        manifest = os.path.join(support.datasets(), "manifest.csv")
        runner = os.path.join(os.path.dirname(os.path.abspath(__file__)), "run_notebook.py")
        ran = subprocess.run(
            [sys.executable, runner, path], capture_output=True, text=True, check=False,
            cwd=support.REPOSITORY, env={**os.environ, "BEARINGDSP_MANIFEST": manifest},
        )
        self.assertEqual(ran.returncode, 0, ran.stdout + ran.stderr)
        self.assertNotIn("SIMULATED", ran.stdout)
        # The same rates as the table of the tool for the same recordings, which another test compares with the output.
        with open(os.path.join(support.REPOSITORY, "docs", "validation", "figures.md"), encoding="utf-8") as file:
            said = next(line.strip() for line in file if "recordings identified correctly" in line)
        self.assertIn(said, ran.stdout)


class Learning(unittest.TestCase):
    @support.needs("matplotlib")
    @support.needs("sklearn")
    def test_a_classifier_learns_on_all_rigs_but_one(self):
        path = next(p for p in NOTEBOOKS if "learning" in p)
        runner = os.path.join(os.path.dirname(os.path.abspath(__file__)), "run_notebook.py")
        environment = {k: v for k, v in os.environ.items() if k != "BEARINGDSP_MANIFEST"}
        ran = subprocess.run([sys.executable, runner, path], capture_output=True, text=True, check=False, cwd=support.REPOSITORY,
                             env=environment)
        self.assertEqual(ran.returncode, 0, ran.stdout + ran.stderr)
        self.assertIn("logistic regression, another rig", ran.stdout)
        self.assertIn("engine", ran.stdout)


if __name__ == "__main__":
    support.main()
