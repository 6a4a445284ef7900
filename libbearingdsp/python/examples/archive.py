#!/usr/bin/env python3
"""A fleet's archive, one recording at a time, on as many machines as there are.

diagnose_job() takes one job and gives one result; both are plain dicts, and nothing is shared between two
calls. That is all an engine has to know:

    archive.py list FOLDER [--bearing 6205 ...]  > jobs.ndjson     jobs, one JSON object a line
    archive.py map  < jobs.ndjson > results.ndjson                 any engine that pipes lines through programs
    archive.py dask jobs.ndjson --out results.csv [--workers 2 | --scheduler tcp://host:8786]

docs/beyond-one-machine.md says what happens when a worker dies.
"""

import argparse
import csv
import json
import os
import sys
import tempfile

import bearingdsp

COLUMNS = ("file", "verdict", "place", "probability_of_damage", "speed_rpm", "headline", "failure", "error", "version")
ENDINGS = (".wav", ".flac", ".csv", ".txt", ".mat")


def filesystem_of(root):
    """The filesystem and the path in it that a root with "://" names: a bucket, a server, an archive (fsspec)."""
    try:
        import fsspec
    except ImportError:
        raise ImportError(f"{root}: reading from a bucket needs fsspec, which is not installed; install it (python3-fsspec)") from None
    return fsspec.core.url_to_fs(root)


def fetch(job):
    """The bytes of a recording: the one place that knows where recordings are kept.

    A file below job["root"], or an object below it where the root is a URL, as s3://bucket/2026-05 or zip://::file:///2026-05.zip.
    """
    root = job.get("root", "")
    if "://" in root:
        files, top = filesystem_of(root)
        return files.cat_file("/".join(part for part in (top.rstrip("/"), job["file"]) if part))
    with open(os.path.join(root, job["file"]), "rb") as file:
        return file.read()


def failed(job, failure, error):
    """The row of a job without a diagnosis; failure: the class of what went wrong."""
    row = dict.fromkeys(COLUMNS)
    row.update(file=job.get("file") if isinstance(job, dict) else None, failure=failure, error=str(error),
               version=bearingdsp.__version__)
    return row


def bearing_of(job):
    """A designation, or sizes: [elements, element diameter, pitch diameter, contact angle]."""
    if "geometry" in job:
        elements, *sizes = job["geometry"]
        return bearingdsp.BearingGeometry(int(elements), *sizes)
    return job.get("bearing")


def diagnose_job(job):
    """One row of the results. Whatever is wrong with a job is a row too, not an exception."""
    try:
        capture = bearingdsp.read_capture_bytes(
            fetch(job), job["file"], rate_hz=job.get("rate_hz"), unit=job.get("unit"),
            full_scale=job.get("full_scale"),
        )
        d = bearingdsp.diagnose(
            capture, bearing=bearing_of(job), speed_rpm=job.get("speed_rpm"), tacho_channel=job.get("tacho", ""),
            pulses_per_revolution=job.get("pulses_per_revolution", 1.0),
        )
    except Exception as error:  # a fleet's archive has recordings, and jobs, that nobody thought of
        return failed(job, type(error).__name__, error)
    row = dict.fromkeys(COLUMNS)
    row.update(
        file=job["file"], verdict=d.verdict.words, place=d.place.words, headline=d.headline,
        probability_of_damage=d.probability_of_damage,
        speed_rpm=d.speed.rpm if d.speed.found else None, version=bearingdsp.__version__,
    )
    return row


def list_folder(folder, **common):
    """Jobs of every recording below a folder or a URL, in the order of their names."""
    if "://" in folder:
        files, top = filesystem_of(folder)
        for path in sorted(files.find(top)):
            if path.lower().endswith(ENDINGS):
                yield {"root": folder, "file": path[len(top):].lstrip("/"), **common}
        return
    for place, folders, files in os.walk(folder):
        folders.sort()
        for name in sorted(files):
            if name.lower().endswith(ENDINGS):
                path = os.path.relpath(os.path.join(place, name), folder)
                yield {"root": os.path.abspath(folder), "file": path, **common}


class Checkpoint:
    """Finished rows beside the table to be, a line each, so that a run that was stopped goes on where it was.

    A row counts for a job that is the same in every key, in the same version of the package. Failures are tried again.
    """

    def __init__(self, path):
        self.path = path + ".part"
        self.rows = {}
        if os.path.exists(self.path):
            with open(self.path, encoding="utf-8") as file:
                for line in file:
                    try:
                        key, row = json.loads(line)
                    except ValueError:
                        continue  # the line that was being written
                    if row["version"] == bearingdsp.__version__ and not row["failure"]:
                        self.rows[key] = row
        self.file = open(self.path, "a", encoding="utf-8")
        # A line that was not finished must not become part of the next one.
        self.file.write("\n")

    @staticmethod
    def key(job):
        return json.dumps(job, sort_keys=True)

    def add(self, job, row):
        self.rows[self.key(job)] = row
        self.file.write(json.dumps([self.key(job), row]) + "\n")
        self.file.flush()

    def done(self):
        """The table is whole: what led to it is no longer needed."""
        self.file.close()
        os.unlink(self.path)


def diagnose_batch(jobs, diagnose=diagnose_job):
    return [diagnose(job) for job in jobs]


def map_with_dask(client, jobs, on_result=None, *, batch=8, checkpoint=None, diagnose=diagnose_job):
    """The rows of the jobs, in their order. on_result(done, of) is called as rows come in.

    Jobs go out in batches, since each has its cost at the scheduler; rows are kept by position, so that each job has
    one row whatever is done twice: a scheduler runs the jobs of a lost worker again. The jobs of a batch whose workers
    died go out again at the end, one at a time: a scheduler blames all that a lost worker had before it, and alone none
    pays for another. The one that takes its workers down is a row with its failure.
    """
    from distributed import as_completed

    rows = {}
    if checkpoint:
        rows = {i: checkpoint.rows[checkpoint.key(job)] for i, job in enumerate(jobs) if checkpoint.key(job) in checkpoint.rows}

    def submit(positions):
        future = client.submit(diagnose_batch, [jobs[i] for i in positions], diagnose, pure=False, retries=2)
        futures[future] = positions
        return future

    def keep(i, row):
        rows[i] = row
        if checkpoint:
            checkpoint.add(jobs[i], row)

    futures, suspects = {}, []
    left = [i for i in range(len(jobs)) if i not in rows]
    running = as_completed([submit(left[i:i + batch]) for i in range(0, len(left), batch)])
    for future in running:
        positions = futures.pop(future)
        if future.status == "finished":
            for i, row in zip(positions, future.result()):
                keep(i, row)
        else:
            suspects += positions
        if on_result:
            on_result(len(rows), len(jobs))
    for i in sorted(suspects):
        future = submit([i])
        error = future.exception()
        keep(i, failed(jobs[i], type(error).__name__, "its workers died, or it was cancelled") if error else future.result()[0])
        if on_result:
            on_result(len(rows), len(jobs))
    return [rows[i] for i in range(len(jobs))]


def write_table(rows, path):
    """All or nothing: the table takes its name when it is whole."""
    folder = os.path.dirname(os.path.abspath(path))
    with tempfile.NamedTemporaryFile("w", encoding="utf-8", newline="", dir=folder, delete=False) as out:
        try:
            table = csv.DictWriter(out, COLUMNS, lineterminator="\n")
            table.writeheader()
            table.writerows(rows)
            out.flush()
            os.fsync(out.fileno())
            os.replace(out.name, path)
        except BaseException:
            os.unlink(out.name)
            raise


def run_dask(options):
    from distributed import Client, LocalCluster

    with open(options.jobs, encoding="utf-8") as file:
        jobs = [json.loads(line) for line in file if line.strip()]

    def tell(done, of):
        print(f"\r{done} of {of}", end="", file=sys.stderr, flush=True)

    checkpoint = Checkpoint(options.out)
    if checkpoint.rows:
        print(f"{len(checkpoint.rows)} rows of an earlier run are kept ({checkpoint.path})", file=sys.stderr)
    how = {"batch": options.batch, "checkpoint": checkpoint}
    if options.scheduler:
        with Client(options.scheduler) as client:
            rows = map_with_dask(client, jobs, tell, **how)
    else:
        # Processes, not threads: a recording that brings a worker down takes no other with it.
        with LocalCluster(n_workers=options.workers, threads_per_worker=1, processes=True,
                          dashboard_address=None) as cluster, Client(cluster) as client:
            rows = map_with_dask(client, jobs, tell, **how)
    print(file=sys.stderr)
    write_table(rows, options.out)
    checkpoint.done()


def lines_of(stream):
    """Rows of jobs that come in as lines; a line that is no job is a row too."""
    for line in stream:
        if line.strip():
            try:
                job = json.loads(line)
            except ValueError as error:
                yield failed(None, "ValueError", f"no JSON: {error}")
                continue
            yield diagnose_job(job)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    commands = parser.add_subparsers(dest="command", required=True)
    lists = commands.add_parser("list", help="jobs of a folder, as lines of JSON")
    lists.add_argument("folder", help="a folder, or the URL of a bucket (needs fsspec)")
    lists.add_argument("--bearing")
    lists.add_argument("--speed-rpm", type=float)
    lists.add_argument("--unit")
    lists.add_argument("--full-scale", type=float)
    lists.add_argument("--tacho", help="channel of the shaft marker")
    lists.add_argument("--pulses-per-revolution", type=float)
    lists.add_argument("--geometry", type=float, nargs=4, metavar=("ELEMENTS", "DIAMETER", "PITCH", "ANGLE"),
                       help="sizes inside the bearing instead of --bearing")
    commands.add_parser("map", help="lines of jobs in, lines of results out")
    dask = commands.add_parser("dask", help="one table, by the workers of a cluster")
    dask.add_argument("jobs", help="file with a job a line")
    dask.add_argument("--out", required=True, help="the table, CSV")
    dask.add_argument("--batch", type=int, default=8, help="jobs that go out together")
    dask.add_argument("--workers", type=int, default=2, help="processes on this machine")
    dask.add_argument("--scheduler", help="address of a running cluster instead")
    options = parser.parse_args()
    if options.command == "list":
        common = {k: v for k in ("bearing", "speed_rpm", "unit", "full_scale", "tacho", "pulses_per_revolution", "geometry")
                  if (v := getattr(options, k)) is not None}
        for job in list_folder(options.folder, **common):
            print(json.dumps(job))
    elif options.command == "map":
        for row in lines_of(sys.stdin):
            print(json.dumps(row), flush=True)
    else:
        run_dask(options)


if __name__ == "__main__":
    main()
