"""The example for more data than one machine holds: the same table whatever happens to a worker."""

import importlib
import json
import os
import pathlib
import shutil
import signal
import subprocess
import sys
import tempfile
import unittest
import zipfile

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
        self.assertEqual([r["failure"] for r in by_itself if r["failure"]], ["CorruptFile"])
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

                rows = archive.map_with_dask(client, jobs, halfway, batch=1)
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


class Faults(unittest.TestCase):
    """Bad jobs, lost workers, a run that was stopped: no finished row is lost, and none is there twice."""

    def setUp(self):
        self.folder = tempfile.mkdtemp()
        self.addCleanup(shutil.rmtree, self.folder)
        for i in range(12):
            b.simulate({"seed": 70 + i, "duration_s": 2}).save(os.path.join(self.folder, f"{i:02}.wav"))

    def checkpoint(self, path):
        made = example().Checkpoint(path)
        self.addCleanup(made.file.close)
        return made

    def jobs(self):
        return [{"root": self.folder, "file": f"{i:02}.wav", "unit": "m/s2", "speed_rpm": 1480} for i in range(12)]

    def test_every_bad_job_is_a_row_with_its_failure(self):
        archive = example()
        good = self.jobs()[0]
        for job, failure in (
            ({**good, "bearing": 6205}, "TypeError"),
            ({**good, "speed_rpm": "fast"}, "TypeError"),
            ({**good, "geometry": [9, 10]}, "TypeError"),
            ({**good, "unit": "furlong"}, "BadArgument"),
            ({**good, "file": "no.wav"}, "FileNotFoundError"),
            ({"root": self.folder}, "KeyError"),
            ([1], "AttributeError"),
        ):
            row = archive.diagnose_job(job)
            self.assertEqual(row["failure"], failure, job)
            self.assertTrue(row["error"])
            self.assertEqual(row["version"], b.__version__)
        row = archive.diagnose_job({**good, "geometry": [9, 12, 60, 0]})
        self.assertIsNone(row["failure"])
        lines = [json.loads(line) for line in subprocess.run(
            [sys.executable, EXAMPLE, "map"], input="no json\n" + json.dumps(good) + "\n", capture_output=True, text=True,
            check=True).stdout.splitlines()]
        self.assertEqual([r["failure"] for r in lines], ["ValueError", None])

    def test_a_stopped_run_goes_on_where_it_was(self):
        archive = example()
        jobs, out = self.jobs(), os.path.join(self.folder, "table.csv")
        first = self.checkpoint(out)
        for job in jobs[:5]:
            first.add(job, archive.diagnose_job(job))
        first.add(jobs[5], archive.failed(jobs[5], "OSError", "away"))
        first.file.write('["half a li')  # killed while it wrote
        first.file.close()
        again = self.checkpoint(out)
        self.assertEqual(set(again.rows), {archive.Checkpoint.key(j) for j in jobs[:5]})
        again.add(jobs[5], archive.diagnose_job(jobs[5]))
        again.file.close()
        self.assertEqual(len(self.checkpoint(out).rows), 6)
        with open(out + ".part", encoding="utf-8") as file:
            text = file.read()
        with open(out + ".part", "w", encoding="utf-8") as file:
            file.write(text.replace(f'"version": "{b.__version__}"', '"version": "0.0.0"'))
        self.assertEqual(self.checkpoint(out).rows, {})

    @support.needs("fsspec")
    def test_a_bucket_holds_the_same_recordings(self):
        """An object store of fsspec's in memory, and an archive file: the rows are those of the folder."""
        import fsspec

        archive = example()
        want = [archive.diagnose_job(job) for job in self.jobs()[:4]]
        bucket = fsspec.filesystem("memory")
        self.addCleanup(bucket.rm, "/plant", recursive=True)
        packed = os.path.join(self.folder, "archive.zip")
        with zipfile.ZipFile(packed, "w") as pack:
            for job in self.jobs()[:4]:
                path = os.path.join(self.folder, job["file"])
                bucket.pipe_file(f"/plant/2026/{job['file']}", pathlib.Path(path).read_bytes())
                pack.write(path, job["file"])
            pack.writestr("notes.md", "no recording")
        for root in ("memory://plant/2026", f"zip://::file://{packed}"):
            jobs = list(archive.list_folder(root, unit="m/s2", speed_rpm=1480))
            self.assertEqual([j["file"] for j in jobs], [j["file"] for j in self.jobs()[:4]], root)
            self.assertEqual([archive.diagnose_job(job) for job in jobs], want, root)
        for root, failure in (("memory://plant/none", "FileNotFoundError"), ("nowhere://x", "ValueError")):
            row = archive.diagnose_job({**self.jobs()[0], "root": root})
            self.assertEqual(row["failure"], failure)

    @support.needs("distributed")
    def test_two_killed_workers_and_a_poisoned_job(self):
        from distributed import Client, LocalCluster

        archive = example()
        sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
        poisoned = importlib.import_module("poisoned")
        jobs, out = self.jobs(), os.path.join(self.folder, "table.csv")
        want = [archive.diagnose_job(job) for job in jobs]
        jobs.insert(7, {"root": self.folder, "file": poisoned.NAME})
        killed = []
        path = os.pathsep.join(p for p in (os.path.dirname(EXAMPLE), os.path.dirname(poisoned.__file__),
                                           os.environ.get("PYTHONPATH", "")) if p)
        os.environ["PYTHONPATH"], before_path = path, os.environ.get("PYTHONPATH")
        self.addCleanup(lambda: os.environ.pop("PYTHONPATH") if before_path is None
                        else os.environ.update(PYTHONPATH=before_path))
        checkpoint = self.checkpoint(out)
        with LocalCluster(n_workers=4, threads_per_worker=1, processes=True, dashboard_address=None) as cluster, \
                Client(cluster) as client:
            workers = list(client.run(os.getpid).values())

            def early(done, of):
                if not killed and done >= 2:
                    for victim in workers[:2]:  # ours, and alive unless the job has had it already
                        try:
                            os.kill(victim, signal.SIGKILL)
                        except ProcessLookupError:
                            pass
                    killed.extend(workers[:2])

            rows = archive.map_with_dask(client, jobs, early, batch=3, checkpoint=checkpoint, diagnose=poisoned.diagnose)
        self.assertEqual(len(killed), 2)
        bad = rows.pop(7)
        self.assertEqual((bad["file"], bad["failure"]), (poisoned.NAME, "KilledWorker"))
        self.assertEqual(rows, want)
        self.assertEqual(len(self.checkpoint(out).rows), 12)


if __name__ == "__main__":
    support.main()
