"""What the tests of the Python module share. Run by ctest, one file a test."""

import os
import subprocess
import sys
import unittest

REPOSITORY = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
TESTDATA = os.path.join(REPOSITORY, "testdata")


def testdata(name):
    return os.path.join(TESTDATA, name)


def tool(*arguments, codes=(0,)):
    """Runs the command-line tool; its stdout."""
    ran = subprocess.run(
        [os.environ["BEARINGDSP_BINARY"], *arguments], capture_output=True, check=False
    )
    if ran.returncode not in codes:
        raise AssertionError(
            f"bearingdsp {' '.join(arguments)} ended with {ran.returncode}: {ran.stderr.decode()}"
        )
    return ran.stdout.decode("utf-8")


def needs(module):
    """Skips the test where a Python module is not installed."""
    try:
        __import__(module)
    except ImportError:
        return unittest.skip(f"{module} is not installed for {sys.executable}")
    return lambda test: test


def main():
    """unittest, but 77 (skipped, for ctest) where a test was skipped: what ran beside it does not make it passed, so
    that what may be skipped is a class of its own and thereby a test of ctest of its own."""
    result = unittest.main(exit=False, verbosity=2).result
    if not result.wasSuccessful() or result.testsRun == 0:
        sys.exit(1)
    for _, why in result.skipped:
        print("skipped:", why)
    sys.exit(77 if result.skipped else 0)


def datasets():
    """The folder of the open datasets; without it the class is skipped."""
    folder = os.environ.get("BEARINGDSP_DATASETS")
    if not folder:
        raise unittest.SkipTest("the open datasets are not here (BEARINGDSP_DATASETS)")
    return os.path.abspath(folder)
