"""The same recordings get the same answer from every command: diagnose, route run, trend, compare, acceptance, their JSON,
the page of acceptance, and Python.

Made machines (our simulator; what is compared is the commands with each other, not with the truth): each component
damaged and none, each with the shaft's vibration in zones A to D, with and without a unit; some with a history of 3 and
12 equal readings, some with the damage in the bearing at the other end. 'test_answers.py --write' writes docs/validation/answers.md, which the test compares.
"""

import html
import json
import os
import re
import sys
import tempfile
import unittest

import support

PAGE = os.path.join(support.REPOSITORY, "docs", "validation", "answers.md")
# A small motor: class I, zones from 0.71, 1.8 and 4.5 mm/s. 1x at 24.67 Hz of 1 m/s2 is 4.56 mm/s rms [closed form].
SHAFTS = {
    "quiet": [0.08, 0.02],
    "unbalance, zone B": [0.28, 0.02],
    "unbalance, zone C": [0.66, 0.03],
    "unbalance, zone D": [1.6, 0.05],
    "misalignment, zone C": [0.25, 0.9],
}
DEFECTS = {"healthy": None, "outer ring": 8, "inner ring": 12, "cage": 10}
OTHER_END = "outer ring, other end"
HERE = {"rolling_elements": 9, "element_diameter_mm": 7.94, "pitch_diameter_mm": 39.04}
THERE = {"rolling_elements": 8, "element_diameter_mm": 9.0, "pitch_diameter_mm": 40.0}
FIELDS = ("urgency", "headline", "actions", "other_faults", "stage", "zone", "doubts", "safety")


def plan(defect, shaft, seed):
    p = {"seed": seed, "rate_hz": 20480, "duration_s": 4, "speed_rpm": 1480,
         "bearing": THERE if defect == OTHER_END else HERE, "noise_rms_m_s2": 0.3, "resonant_noise_rms_m_s2": 0.2,
         "shaft_harmonics_m_s2": SHAFTS[shaft]}
    if defect == OTHER_END:
        p["defects"] = [{"part": "outer ring", "severity_m_s2": 8, "slip": 0.005}]
    elif DEFECTS[defect]:
        p["defects"] = [{"part": defect, "severity_m_s2": DEFECTS[defect], "slip": 0.005}]
    return p


def run(arguments):
    """stdout and exit code; a failure (2) is never an answer."""
    import subprocess

    ran = subprocess.run([os.environ["BEARINGDSP_BINARY"], *arguments], capture_output=True, check=False)
    if ran.returncode == 2:
        raise AssertionError(f"{arguments}: {ran.stderr.decode()}")
    return ran.stdout.decode(), ran.returncode


class Mill:
    """One machine with one point, recorded `visits` times."""

    def __init__(self, folder, defect, shaft, unit, visits):
        self.folder = folder
        self.files = []
        with open(os.path.join(folder, "before.json"), "w", encoding="utf-8") as f:
            json.dump(plan(defect, shaft, 99), f)
        for i in range(visits):
            path = os.path.join(folder, "plan.json")
            with open(path, "w", encoding="utf-8") as f:
                json.dump(plan(defect, shaft, 1 + i), f)
            self.files.append(os.path.join(folder, f"2026-{1 + i // 4:02d}-{1 + 7 * (i % 4):02d}_saw.wav"))
            run(["simulate", "--plan", path, "--out", self.files[-1]])
        with open(os.path.join(folder, "mill.toml"), "w", encoding="utf-8") as f:
            f.write('[[machine]]\nname = "saw"\npower_kw = 5.5\nrated_rpm = 1480\nmounting = "rigid"\n'
                    "bearing.DE = { elements = 9, element_diameter_mm = 7.94, pitch_diameter_mm = 39.04 }\n" +
                    ("bearing.NDE = { elements = 8, element_diameter_mm = 9.0, pitch_diameter_mm = 40.0 }\n"
                     if defect == OTHER_END else "") +
                    '[[machine.point]]\nname = "DE"\nend = "DE"\n' + ('unit = "m/s2"\n' if unit else ""))
        with open(os.path.join(folder, "route.toml"), "w", encoding="utf-8") as f:
            f.write('machines = "mill.toml"\npoint = [{ machine = "saw", point = "DE", files = "{date}_saw.wav" }]\n')

    def path(self, name):
        return os.path.join(self.folder, name)

    def diagnose(self, *more):
        return run(["diagnose", self.files[-1], "--machine", self.path("mill.toml"), "--point", "DE", *more])

    def compare(self):
        """Against another recording of the same state."""
        before = self.path("before.wav")
        run(["simulate", "--plan", self.path("before.json"), "--out", before])
        return run(["compare", before, self.files[-1], "--machine", self.path("mill.toml"), "--point", "DE", "--json"])

    def acceptance(self, *more):
        return run(["acceptance", self.files[-1], "--machine", self.path("mill.toml"), "--point", "DE", "--shaft-height", "90",
                    *more])

    def route(self):
        return run(["route", "run", self.folder, "--route", self.path("route.toml"), "--store", self.path("h.db"),
                    "--json"])

    def trend(self, *more):
        return run(["trend", "saw", "--store", self.path("h.db"), *more])


def squeezed(text):
    """In one line; capitals and full stops do not count, since a title says some headlines."""
    return re.sub(r"\s+", " ", text).casefold().rstrip(".")


def answers(test, defect, shaft, unit, visits=1):
    """What each command says of one made machine, compared; the row of the page."""
    with tempfile.TemporaryDirectory() as folder:
        mill = Mill(folder, defect, shaft, unit, visits)
        text, code = mill.diagnose("--json")
        diagnosed = json.loads(text)
        said = {field: diagnosed["assessment"][field] for field in FIELDS}
        where = (defect, shaft, unit, visits)
        codes = {"diagnose --json": code}
        full, codes["diagnose"] = mill.diagnose()
        brief, codes["diagnose -q"] = mill.diagnose("-q")
        test.assertLessEqual(len(full.splitlines()), 25, full)
        test.assertLessEqual(max(len(line) for line in full.splitlines() if folder not in line), 80, full)
        test.assertEqual(len(brief.splitlines()), 1)
        test.assertIn(squeezed(said["headline"]), squeezed(full))
        test.assertIn(squeezed(said["headline"]), squeezed(brief))
        for action in said["actions"]:
            test.assertIn(squeezed(action), squeezed(full), where)
        test.assertEqual(diagnosed["headline"], said["headline"])
        listed, codes["route run"] = mill.route()
        point = json.loads(listed)["points"][0]
        test.assertEqual({field: point["assessment"][field] for field in FIELDS}, said, where)
        trend, codes["trend --json"] = mill.trend("--json")
        state = json.loads(trend)
        state = state.get("standing", state.get("state", state))
        test.assertEqual({field: state["assessment"][field] for field in FIELDS}, said, where)
        shown, codes["trend"] = mill.trend()
        test.assertIn(squeezed(said["headline"]), squeezed(shown), where)
        test.assertEqual(len(set(codes.values())), 1, codes)
        compared, code_of_change = mill.compare()
        test.assertEqual({field: json.loads(compared)["present"][field] for field in FIELDS}, said, where)
        if code == 1:
            test.assertEqual(code_of_change, 1, where)
        compare_with_acceptance(test, mill, said, code, where)
        if visits == 1 and defect != OTHER_END:
            compare_with_python(test, mill, unit)
        return (defect, shaft, "yes" if unit else "no", str(visits), said["urgency"], str(code), said["headline"])


def compare_with_acceptance(test, mill, said, code, where):
    """The present state is diagnose's, whatever the no-load limits say; the more urgent of both is the exit code."""
    accepted, code_of_run = mill.acceptance("--json", "--report", mill.path("run.html"))
    run_at_no_load = json.loads(accepted)
    test.assertEqual({field: run_at_no_load["present"][field] for field in FIELDS}, said, where)
    own = {"pass": 0, "fail": 1, "repeat": 3}[run_at_no_load["outcome"]]
    test.assertEqual(code_of_run, 1 if 1 in (own, code) else max(own, code), where)
    text, code_of_text = mill.acceptance()
    test.assertEqual(code_of_text, code_of_run, where)
    with open(mill.path("run.html"), encoding="utf-8") as f:
        shown = html.unescape(f.read())
    for of_run in (text, shown):
        test.assertIn("Present state: " + said["urgency"], of_run, where)
        for line in (said["headline"], *(said["actions"] if own == 0 else [])):
            test.assertIn(squeezed(line), squeezed(of_run), where)


def compare_with_python(test, mill, unit):
    """Without a machine file, which Python has none of: against the tool without one."""
    import bearingdsp

    g = ["--geometry", "9,7.94,39.04", "--rpm", "1480"]
    text, _ = run(["diagnose", mill.files[-1], *g, *(["--unit", "m/s2"] if unit else []), "--json"])
    said = json.loads(text)["assessment"]
    capture = bearingdsp.read_capture(mill.files[-1], **({"unit": "m/s2"} if unit else {}))
    geometry = bearingdsp.BearingGeometry(rolling_elements=9, element_diameter=7.94, pitch_diameter=39.04)
    a = bearingdsp.diagnose(capture, bearing=geometry, speed_rpm=1480).assessment
    test.assertEqual(
        [a.urgency, a.headline, a.actions, [f.fault for f in a.other_faults], a.stage, a.zone, a.doubts, a.safety],
        [said["urgency"], said["headline"], said["actions"], [f["fault"] for f in said["other_faults"]], said["stage"],
         said["zone"], said["doubts"], said["safety"]])


def rows(test):
    out = [answers(test, defect, shaft, unit) for defect in DEFECTS for shaft in SHAFTS for unit in (True, False)]
    for defect, shaft in (("healthy", "quiet"), ("outer ring", "quiet"), ("healthy", "unbalance, zone D")):
        out += [answers(test, defect, shaft, True, visits) for visits in (3, 12)]
    out += [answers(test, OTHER_END, shaft, unit) for shaft in ("quiet", "unbalance, zone D") for unit in (True, False)]
    out.append(answers(test, OTHER_END, "quiet", True, 3))
    return out


HEAD = """# The same answer from every command

51 made cases (our simulator, a motor of 5.5 kW with nine rolling elements, invented). For each, `diagnose` (text, `-q`
and `--json`), `route run`, `trend` (text and `--json`), `compare` and `acceptance` (their present
state; of `acceptance` the text and the page too) and the Python module were asked. They said the same: headline,
urgency, actions, other faults, zone, stage, doubts, cautions and exit code. The test
`tests/python/test_answers.py` compares them in each run, and holds that the text of `diagnose` has at most 25 lines of 80
columns. In the last five the damage is in the bearing at the other end. This page is written by `PYTHONPATH=build/release/python BEARINGDSP_BINARY=build/release/cli/bearingdsp
/usr/bin/python3 tests/python/test_answers.py --write`.

What is compared is the commands with each other. How often they are right is in [our figures](figures.md).

| damaged | shaft | unit | readings | urgency | exit | headline |
| --- | --- | --- | --- | --- | --- | --- |
"""


def page(lines):
    return HEAD + "".join("| " + " | ".join(line) + " |\n" for line in lines)


class Answers(unittest.TestCase):
    maxDiff = None

    def test_every_command_says_the_same_and_the_page_shows_it(self):
        made = page(rows(self))
        with open(PAGE, encoding="utf-8") as f:
            written = f.read()
        # Other compilers round the last digit of a percentage otherwise.
        self.assertEqual(re.sub(r"\d+ %", "N %", written), re.sub(r"\d+ %", "N %", made))


if __name__ == "__main__":
    if "--write" in sys.argv:
        text = page(rows(unittest.TestCase()))  # before the page is opened: a failure leaves it as it was
        with open(PAGE, "w", encoding="utf-8") as f:
            f.write(text)
    else:
        support.main()
