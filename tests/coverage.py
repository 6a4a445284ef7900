"""Lines and branches that the tests ran, by room of the library and for the tool, from a build of the preset coverage.

    cmake --preset coverage && cmake --build --preset coverage --target unit_tests bearingdsp_cli
    build/coverage/tests/unit_tests
    python3 tests/coverage.py [build/coverage] [--missing ROOM]

A line of a header counts as run if any source that includes it ran it. Branches that only an exception takes are left
out: the compiler puts one behind nearly every call.
"""

import argparse
import collections
import gzip
import json
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def reports(folder):
    """The compiler's counts, one report a source."""
    data = sorted(str(p) for part in ("libbearingdsp", "cli") for p in (folder / part).rglob("*.gcda"))
    for at in range(0, len(data), 16):
        out = subprocess.run(["gcov", "--json-format", "--branch-probabilities", "--stdout", *data[at : at + 16]],
                             capture_output=True, check=True, cwd=folder).stdout
        for line in (gzip.decompress(out) if out[:2] == b"\x1f\x8b" else out).splitlines():
            if line.strip():
                yield json.loads(line)


def room(path):
    parts = path.parts
    if parts[0] == "cli":
        return "cli"
    if parts[0] == "libbearingdsp" and parts[1] in ("src", "include"):
        return parts[2 if parts[1] == "src" else 3]
    return None


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n")[0])
    parser.add_argument("build", nargs="?", default="build/coverage")
    parser.add_argument("--missing", metavar="ROOM", help="list the lines of a room that did not run")
    given = parser.parse_args()
    folder = (ROOT / given.build).resolve()
    lines = collections.Counter()
    branches = {}
    for report in reports(folder):
        for file in report["files"]:
            path = Path(file["file"])
            path = (path if path.is_absolute() else Path(report["current_working_directory"]) / path).resolve()
            if not path.is_relative_to(ROOT):
                continue
            path = path.relative_to(ROOT)
            if len(path.parts) < 2 or room(path) is None:
                continue
            for line in file["lines"]:
                key = (path, line["line_number"])
                lines[key] += line["count"]
                ways = [b["count"] for b in line["branches"] if not b["throw"]]
                before = branches.setdefault(key, [])
                if len(before) == len(ways):
                    branches[key] = [a + b for a, b in zip(before, ways)]
                elif len(ways) > len(before):
                    branches[key] = ways
    if not lines:
        raise SystemExit(f"{folder} holds no counts: build the preset coverage and run its tests first")
    if given.missing:
        files = collections.defaultdict(list)
        for (path, number), count in sorted(lines.items()):
            if count == 0 and room(path) == given.missing:
                files[path].append(number)
        for path, numbers in files.items():
            print(f"{path}: {' '.join(map(str, numbers))}")
        return 0
    by_room = collections.defaultdict(lambda: [0, 0, 0, 0])
    for key, count in lines.items():
        for name in {room(key[0]), "library" if key[0].parts[0] == "libbearingdsp" else "cli"}:
            row = by_room[name]
            row[0] += count > 0
            row[1] += 1
            row[2] += sum(b > 0 for b in branches[key])
            row[3] += len(branches[key])
    print("| room | lines | run | branches | taken |\n| --- | --- | --- | --- | --- |")
    for name, (hit, all_lines, taken, ways) in sorted(by_room.items(), key=lambda r: (r[0] in ("library", "cli"), r[0])):
        print(f"| {name} | {all_lines} | {100 * hit / all_lines:.1f} % | {ways} | {100 * taken / max(ways, 1):.1f} % |")
    return 0


if __name__ == "__main__":
    sys.exit(main())
