"""A job that kills every worker that takes it, for test_archive.py: workers import it by name."""

import os
import signal

import archive

NAME = "poison.wav"


def diagnose(job):
    if job["file"] == NAME:
        os.kill(os.getpid(), signal.SIGKILL)
    return archive.diagnose_job(job)
