"""The calendar file of the tool, read by an independent parser (python3-icalendar), against RFC 5545."""

import datetime
import json
import os
import re
import subprocess
import tempfile
import unittest

import support



def run(*words, cwd):
    """stdout as bytes: line ends count here."""
    done = subprocess.run([os.environ["BEARINGDSP_BINARY"], *words], cwd=cwd, capture_output=True, check=False)
    assert done.returncode in (0, 1, 3), done.stderr
    return done.stdout


class Calendar(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        try:
            import icalendar
        except ImportError:
            raise unittest.SkipTest("no icalendar (Debian package python3-icalendar)") from None
        cls.icalendar = icalendar
        cls.folder = tempfile.TemporaryDirectory()
        run("route", "run", support.TESTDATA, "--route", support.testdata("route.toml"), "--store", "h.db",
            cwd=cls.folder.name)

    @classmethod
    def tearDownClass(cls):
        cls.folder.cleanup()

    def events(self, *words):
        raw = run("calendar", "--store", "h.db", *words, cwd=self.folder.name)
        return raw, list(self.icalendar.Calendar.from_ical(raw).walk("VEVENT"))

    def test_lines(self):
        """[rfc5545] 3.1: CRLF, at most 75 octets before it; also true of what the parser writes itself."""
        raw, _ = self.events()
        self.assertTrue(raw.endswith(b"END:VCALENDAR\r\n"))
        self.assertEqual(raw.count(b"\n"), raw.count(b"\r\n"))
        self.assertLessEqual(max(map(len, raw.split(b"\r\n"))), 75)
        self.assertTrue(re.search(rb"\r\n ", raw), "nothing was folded")

    def test_events(self):
        """An event for each machine of the list that asks for something, and the survey."""
        raw, events = self.events("--survey-days", "14")
        summary = json.loads(run("summary", "--json", "--store", "h.db", cwd=self.folder.name))
        due = {m["machine"]: m for m in summary["machines"] if m["due_date"]}
        self.assertEqual(len(events), len(due) + 1)
        today = datetime.datetime.now(datetime.timezone.utc).date()
        for event in events:
            self.assertEqual(event.errors, [])
            self.assertIsInstance(event["DTSTART"].dt, datetime.date)
            self.assertGreaterEqual(event["DTSTART"].dt, today)
            self.assertEqual(event["DTSTAMP"].dt.utcoffset(), datetime.timedelta(0))
        for name, machine in due.items():
            (event,) = [e for e in events if str(e["SUMMARY"]).startswith(name + ": ")]
            self.assertIn(machine["urgency"], str(event["SUMMARY"]))
            for words in machine["conditions"] + machine["actions"]:
                self.assertIn(words, str(event["DESCRIPTION"]))
        self.assertEqual(self.icalendar.Calendar.from_ical(raw)["VERSION"], "2.0")

    def test_uids(self):
        """[rfc5545] 3.8.4.7: persistent and unique."""
        first = [str(e["UID"]) for e in self.events()[1]]
        self.assertEqual(first, [str(e["UID"]) for e in self.events("--survey-days", "7")[1]])
        self.assertEqual(len(set(first)), len(first))


if __name__ == "__main__":
    support.main()
