"""The example for more data than one machine holds: the same table whatever happens to a worker."""

import importlib
import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import unittest

import bearingdsp as b
import support

EXAMPLE = os.path.join(support.REPOSITORY, "libbearingdsp/python/examples/archive.py")
RECORDS = 16


def example():
    """The example as a module. Workers, which inherit the path, import it by its name."""
    folder = os.path.dirname(EXAMPLE)
    if folder not in sys.path:
        sys.path.insert(0, folder)
    return importlib.import_module("archive")


class Archive(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.mkdtemp()
        os.mkdir(os.path.join(cls.folder, "records"))
        os.mkdir(os.path.join(cls.folder, "records", "week 2"))
        for i in range(RECORDS):
            part = (None, "outer ring", "inner ring")[i % 3]
            plan = {"seed": 40 + i, "duration_s": 8, "speed_rpm": 1450 + i,
                    "bearing": {"designation": "6208"},
                    "defects": [{"part": part, "severity_m_s2": 10}] if part else []}
            place = "week 2" if i >= RECORDS // 2 else ""
            b.simulate(plan).save(os.path.join(cls.folder, "records", place, f"{i:02}.wav"))
        with open(os.path.join(cls.folder, "records", "broken.wav"), "wb") as file:
            file.write(b"no recording")

    @classmethod
    def tearDownClass(cls):
        shutil.rmtree(cls.folder)

    def command(self, *words, **more):
        ran = subprocess.run([sys.executable, EXAMPLE, *words], capture_output=True, text=True,
                             check=False, **more)
        self.assertEqual(ran.returncode, 0, ran.stderr)
        return ran.stdout

    def jobs(self):
        text = self.command("list", os.path.join(self.folder, "records"), "--bearing", "6208",
                            "--speed-rpm", "1470", "--unit", "m/s2")
        return text, [json.loads(line) for line in text.splitlines()]

    def test_lines_in_lines_out(self):
        text, jobs = self.jobs()
        self.assertEqual(len(jobs), RECORDS + 1)
        self.assertEqual([j["file"] for j in jobs][0], "00.wav")
        some = "".join(line + "\n" for line in text.splitlines()[:3])
        rows = [json.loads(line) for line in self.command("map", input=some).splitlines()]
        self.assertEqual([r["file"] for r in rows], [j["file"] for j in jobs[:3]])
        d = b.diagnose(b.read_capture(os.path.join(self.folder, "records", "01.wav"), unit="m/s2"),
                       bearing="6208", speed_rpm=1470)
        self.assertEqual(rows[1]["headline"], d.headline)
        self.assertEqual(rows[1]["probability_of_damage"], d.probability_of_damage)

    @support.needs("distributed")
    def test_a_killed_worker_loses_and_doubles_nothing(self):
        from distributed import Client, LocalCluster

        archive = example()
        _, jobs = self.jobs()
        by_itself = [archive.diagnose_job(job) for job in jobs]
        self.assertEqual(sum(r["error"] is not None for r in by_itself), 1)
        tables = {}
        for fault in (False, True):
            killed = []
            with LocalCluster(n_workers=2, threads_per_worker=1, processes=True,
                              dashboard_address=None) as cluster, Client(cluster) as client:
                before = client.run(os.getpid)
                self.assertEqual(len(set(before.values())), 2)

                def halfway(done, of):
                    if fault and not killed and done >= of // 2:
                        victim = next(iter(before.values()))  # one of the two, and ours
                        os.kill(victim, signal.SIGKILL)
                        killed.append(victim)
                        self.assertLess(done, of)

                rows = archive.map_with_dask(client, jobs, halfway)
                if fault:
                    self.assertEqual(len(killed), 1)
                    self.assertNotEqual(set(client.run(os.getpid).values()), set(before.values()))
            path = os.path.join(self.folder, f"table{fault}.csv")
            archive.write_table(rows, path)
            with open(path, "rb") as file:
                tables[fault] = file.read()
        self.assertEqual(tables[True], tables[False])
        alone = os.path.join(self.folder, "alone.csv")
        archive.write_table(by_itself, alone)
        with open(alone, "rb") as file:
            self.assertEqual(tables[True], file.read())


if __name__ == "__main__":
    support.main()
