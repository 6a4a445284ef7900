#!/usr/bin/env python3
"""The last lines of a run of the tests: what failed, what was skipped and why, and the counts.

usage: summary.py RESULTS.xml EXIT-CODE-OF-CTEST [MOST-SKIPPED]

Reads the JUnit file that ctest writes. A skipped test says why in a line "skipped: REASON" of its output; one that
does not counts under "no reason given". The last line is alone "N passed, N failed, N skipped". Exit code 1 where a
test failed, no test ran, or more than MOST-SKIPPED tests were skipped (no limit where it is not given or empty).
"""
import collections
import re
import sys
import xml.etree.ElementTree as xml


def state(case):
    """passed, failed or skipped; a test that ctest could not start is failed."""
    if case.get("status") == "run":
        return "passed"
    skipped = case.find("skipped")
    if case.get("status") == "notrun" and skipped is not None and re.search(
            "SKIP_RETURN_CODE|SKIP_REGULAR_EXPRESSION", skipped.get("message", "")):
        return "skipped"
    return "failed"


def reasons(case):
    said = case.findtext("system-out") or ""
    return sorted(set(re.findall(r"^skipped: (.+?)\s*$", said, re.MULTILINE))) or ["no reason given"]


def main():
    path, code, most = sys.argv[1], int(sys.argv[2]), (sys.argv[3:] or [""])[0]
    by_state = collections.defaultdict(list)
    try:
        for case in xml.parse(path).getroot().iter("testcase"):
            by_state[state(case)].append(case)
    except (OSError, xml.ParseError) as error:
        print(f"no results of the tests: {error}")
    names = {key: sorted(case.get("name") for case in cases) for key, cases in by_state.items()}
    passed, failed, skipped = (len(by_state[key]) for key in ("passed", "failed", "skipped"))

    for name in names.get("failed", []):
        print(f"failed: {name}")
    by_reason = collections.defaultdict(list)
    for case in by_state["skipped"]:
        by_reason["; ".join(reasons(case))].append(case.get("name"))
    for reason, tests in sorted(by_reason.items()):
        print(f"{len(tests)} skipped: {reason}")
        for name in sorted(tests):
            print(f"    {name}")
    good = failed == 0 and code == 0 and passed > 0
    if most and skipped > int(most):
        print(f"{skipped} tests were skipped, more than the {most} that this run allows")
        good = False
    if code != 0 and failed == 0:
        print(f"ctest ended with {code}, though no test failed")
    print(f"{passed} passed, {failed} failed, {skipped} skipped")
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
