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

    def test_greasing(self):
        """An event for each open bearing with a day, repeated at its interval; closed ones have none."""
        with open(os.path.join(self.folder.name, "mill.toml"), "w", encoding="utf-8") as file:
            file.write('[[machine]]\nname = "saw"\nrated_rpm = 1480\nbearing.DE = { designation = "6312" }\n'
                       'bearing.NDE = { designation = "NU312" }\n[[machine]]\nname = "fan"\nrated_rpm = 1480\n'
                       'bearing.DE = { designation = "6312-2RS" }\n')
        raw = run("grease", "--machines", "mill.toml", "--store", "none.db", "--per-stroke", "1.2", "--calendar", "-",
                  cwd=self.folder.name)
        plan = json.loads(run("grease", "--machines", "mill.toml", "--store", "none.db", "--per-stroke", "1.2", "--json",
                              cwd=self.folder.name))
        self.assertLessEqual(max(map(len, raw.split(b"\r\n"))), 75)
        events = list(self.icalendar.Calendar.from_ical(raw).walk("VEVENT"))
        due = [b for b in plan["bearings"] if b["next_date"]]
        self.assertEqual([b["end"] for b in due], ["DE", "NDE"])
        self.assertEqual(len(events), 2)
        self.assertEqual(len({str(e["UID"]) for e in events}), 2)
        for event, bearing in zip(events, due):
            self.assertEqual(event.errors, [])
            self.assertEqual(event["DTSTART"].dt.isoformat(), bearing["next_date"])
            self.assertEqual(event["RRULE"]["FREQ"], ["DAILY"])
            self.assertEqual(event["RRULE"]["INTERVAL"], [bearing["interval_days"]])
            self.assertIn(f'{bearing["strokes"]} strokes', str(event["SUMMARY"]))
            self.assertIn("1000 bar", str(event["DESCRIPTION"]))


if __name__ == "__main__":
    support.main()
