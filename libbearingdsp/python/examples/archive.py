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

COLUMNS = ("file", "verdict", "place", "probability_of_damage", "speed_rpm", "headline", "error")
ENDINGS = (".wav", ".flac", ".csv", ".txt", ".mat")


def fetch(job):
    """The bytes of a recording: the one place that knows where recordings are kept.

    A file below job["root"]. For a bucket: get the object of that key with its client instead.
    """
    with open(os.path.join(job.get("root", ""), job["file"]), "rb") as file:
        return file.read()


def diagnose_job(job):
    """One row of the results. What is wrong with a recording is a row too, not an exception."""
    row = dict.fromkeys(COLUMNS)
    row["file"] = job["file"]
    try:
        capture = bearingdsp.read_capture_bytes(
            fetch(job), job["file"], rate_hz=job.get("rate_hz"), unit=job.get("unit"),
            full_scale=job.get("full_scale"),
        )
        d = bearingdsp.diagnose(capture, bearing=job.get("bearing"), speed_rpm=job.get("speed_rpm"))
    except (bearingdsp.Error, OSError) as error:
        row["error"] = str(error)
        return row
    row.update(
        verdict=d.verdict.words, place=d.place.words, headline=d.headline,
        probability_of_damage=d.probability_of_damage,
        speed_rpm=d.speed.rpm if d.speed.found else None,
    )
    return row


def list_folder(folder, **common):
    """Jobs of every recording below a folder, in the order of their names."""
    for place, folders, files in os.walk(folder):
        folders.sort()
        for name in sorted(files):
            if name.lower().endswith(ENDINGS):
                path = os.path.relpath(os.path.join(place, name), folder)
                yield {"root": os.path.abspath(folder), "file": path, **common}


def map_with_dask(client, jobs, on_result=None):
    """The rows of the jobs, in their order. on_result(done, of) is called as rows come in.

    A job's key is its position, so that each has one row whatever is done twice: a scheduler runs the
    jobs of a lost worker again, and what had been fetched from it already is here.
    """
    from distributed import as_completed

    keys = [f"record-{i}" for i in range(len(jobs))]
    futures = client.map(diagnose_job, jobs, key=keys, pure=False, retries=2)
    rows = {}
    for future, row in as_completed(futures, with_results=True):
        rows[future.key] = row
        if on_result:
            on_result(len(rows), len(jobs))
    return [rows[key] for key in keys]


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

    if options.scheduler:
        with Client(options.scheduler) as client:
            rows = map_with_dask(client, jobs, tell)
    else:
        # Processes, not threads: a recording that brings a worker down takes no other with it.
        with LocalCluster(n_workers=options.workers, threads_per_worker=1, processes=True,
                          dashboard_address=None) as cluster, Client(cluster) as client:
            rows = map_with_dask(client, jobs, tell)
    print(file=sys.stderr)
    write_table(rows, options.out)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    commands = parser.add_subparsers(dest="command", required=True)
    lists = commands.add_parser("list", help="jobs of a folder, as lines of JSON")
    lists.add_argument("folder")
    lists.add_argument("--bearing")
    lists.add_argument("--speed-rpm", type=float)
    lists.add_argument("--unit")
    lists.add_argument("--full-scale", type=float)
    commands.add_parser("map", help="lines of jobs in, lines of results out")
    dask = commands.add_parser("dask", help="one table, by the workers of a cluster")
    dask.add_argument("jobs", help="file with a job a line")
    dask.add_argument("--out", required=True, help="the table, CSV")
    dask.add_argument("--workers", type=int, default=2, help="processes on this machine")
    dask.add_argument("--scheduler", help="address of a running cluster instead")
    options = parser.parse_args()
    if options.command == "list":
        common = {k: v for k in ("bearing", "speed_rpm", "unit", "full_scale")
                  if (v := getattr(options, k)) is not None}
        for job in list_folder(options.folder, **common):
            print(json.dumps(job))
    elif options.command == "map":
        for line in sys.stdin:
            if line.strip():
                print(json.dumps(diagnose_job(json.loads(line))), flush=True)
    else:
        run_dask(options)


if __name__ == "__main__":
    main()
