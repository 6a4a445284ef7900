"""What judges the other tests: the count of passed, failed and skipped, and the comparison of pages with what is printed."""

import os
import subprocess
import sys
import tempfile
import unittest

import support

TESTS = os.path.join(support.REPOSITORY, "tests")


def run(script, *arguments, **environment):
    return subprocess.run([sys.executable, os.path.join(TESTS, script), *arguments], capture_output=True, text=True,
                          check=False, env={**os.environ, "PYTHONIOENCODING": "utf-8", **environment})


class Summary(unittest.TestCase):
    PASSED = '<testcase name="a" status="run"><system-out>x</system-out></testcase>'
    FAILED = '<testcase name="b" status="fail"><failure/></testcase>'
    ABSENT = '<testcase name="c" status="notrun"><skipped message="Unable to find executable"/></testcase>'
    SKIPPED = ('<testcase name="d" status="notrun"><skipped message="SKIP_RETURN_CODE=77"/>'
               "<system-out>skipped: no data\nmore</system-out></testcase>")

    def summary(self, cases, code=0, most=""):
        with tempfile.TemporaryDirectory() as folder:
            path = os.path.join(folder, "r.xml")
            with open(path, "w", encoding="utf-8") as file:
                file.write("<testsuite>" + "".join(cases) + "</testsuite>")
            ran = run("summary.py", path, str(code), most)
        return ran.returncode, ran.stdout.splitlines()

    def test_the_last_line_counts_and_only_failures_fail(self):
        code, said = self.summary([self.PASSED, self.PASSED, self.SKIPPED])
        self.assertEqual((code, said[-1]), (0, "2 passed, 0 failed, 1 skipped"))
        self.assertIn("1 skipped: no data", said)
        code, said = self.summary([self.PASSED, self.FAILED, self.SKIPPED], 8)
        self.assertEqual((code, said[-1]), (1, "1 passed, 1 failed, 1 skipped"))
        self.assertIn("failed: b", said)

    def test_a_test_that_cannot_be_started_is_not_skipped(self):
        self.assertEqual(self.summary([self.PASSED, self.ABSENT], 8)[1][-1], "1 passed, 1 failed, 0 skipped")

    def test_more_skipped_than_allowed_fails(self):
        self.assertEqual(self.summary([self.PASSED, self.SKIPPED], 0, "1")[0], 0)
        self.assertEqual(self.summary([self.PASSED, self.SKIPPED], 0, "0")[0], 1)

    def test_nothing_run_or_no_results_fail(self):
        self.assertEqual(self.summary([self.SKIPPED])[0], 1)
        ran = run("summary.py", "/nowhere.xml", "0")
        self.assertEqual((ran.returncode, ran.stdout.splitlines()[-1]), (1, "0 passed, 0 failed, 0 skipped"))
        self.assertEqual(self.summary([self.PASSED], 1)[0], 1)


class SameOutput(unittest.TestCase):
    def same(self, said, printed):
        with tempfile.TemporaryDirectory() as folder:
            paths = [os.path.join(folder, name) for name in "ab"]
            for path, text in zip(paths, (said, printed)):
                with open(path, "w", encoding="utf-8") as file:
                    file.write(text)
            return run("same_output.py", *paths).returncode == 0

    def test_decimals_have_a_tolerance_and_nothing_else(self):
        line = "  outer ring  > 99 %  3.551  84.73 Hz  5 lines\n"
        self.assertTrue(self.same(line, line))
        self.assertTrue(self.same(line, line.replace("84.73", "84.74")))
        self.assertTrue(self.same(line, line.replace("84.73", "84.9")))
        self.assertTrue(self.same("at  9.99 Hz\n", "at 10.00 Hz\n"))
        self.assertFalse(self.same(line, line.replace("84.73", "85.73")))
        self.assertFalse(self.same(line, line.replace("5 lines", "4 lines")))
        self.assertFalse(self.same(line, line.replace("99 %", "98 %")))
        self.assertFalse(self.same(line, line.replace("outer", "inner")))
        self.assertFalse(self.same(line, line.replace("> 99", "< 99")))
        self.assertFalse(self.same(line, line.rstrip("\n") + "!\n"))
        self.assertFalse(self.same(line, "  " + line))
        self.assertFalse(self.same("a b\nc d\n", "c d\na b\n"))
        self.assertFalse(self.same("6205 and 3.5\n", "6205 and 3.5 and 4.5\n"))
        self.assertFalse(self.same("-1.5\n", "1.5\n"))
        self.assertFalse(self.same("a\n", ""))

    def test_a_drawn_curve_may_be_one_step_off(self):
        self.assertTrue(self.same("1.34 │  █ ▂\n", "1.35 │  █ ▃\n"))
        self.assertFalse(self.same("1.34 │  █ ▂\n", "1.34 │  █ ▄\n"))
        self.assertFalse(self.same("1.34 │  █ ▂\n", "1.44 │  █ ▂\n"))


class Within(unittest.TestCase):
    def test_a_figure_out_of_bounds_or_missing_fails(self):
        def held(text, code=0):
            program = f"import sys; print({text!r}); sys.exit({code})"
            return run("bench/within.py", "made", sys.executable, "-c", program).returncode
        self.assertEqual(held("made figure 1.5"), 0)
        self.assertEqual(held("made figure 2.5"), 1)
        self.assertEqual(held("made figure 0.5"), 1)
        self.assertEqual(held("nothing"), 1)
        self.assertEqual(held("made figure 1.5", 3), 1)
        self.assertEqual(run("bench/within.py", "no such bench", "true").returncode, 1)


if __name__ == "__main__":
    support.main()
