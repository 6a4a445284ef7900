#!/usr/bin/env python3
"""Runs a measurement, prints what it prints, and holds its figures within bounds.

usage: within.py BENCH PROGRAM [ARGUMENT ...]      ("{datasets}" in an argument is BEARINGDSP_DATASETS)

The bounds are the rows of bounds.csv whose first column is BENCH: a regular expression with one group that is a number,
the least and the most that it may be (either may be empty), and where they come from. Every match of an expression is held;
one that matches nothing is a failure, as is a program that fails. Times are held as ratios taken in one run, never alone.
"""
import csv
import os
import re
import subprocess
import sys


def main():
    bench, command = sys.argv[1], sys.argv[2:]
    datasets = os.environ.get("BEARINGDSP_DATASETS", "")
    if not datasets and any("{datasets}" in word for word in command):
        print("skipped: the open datasets are not here (BEARINGDSP_DATASETS)")
        return 77
    command = [word.replace("{datasets}", datasets) for word in command]
    with open(os.path.join(os.path.dirname(os.path.abspath(__file__)), "bounds.csv"), newline="", encoding="utf-8") as file:
        bounds = [row for row in csv.DictReader(file) if row["bench"] == bench]
    if not bounds:
        sys.exit(f"bounds.csv has no row for {bench}")
    ran = subprocess.run(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False)
    said = ran.stdout.decode("utf-8", "replace")
    print(said)
    if ran.returncode == 77:
        return 77
    wrong = [] if ran.returncode == 0 else [f"ended with {ran.returncode}"]
    for row in bounds:
        found = re.findall(row["figure"], said, re.MULTILINE)
        if not found:
            wrong.append(f"nothing printed fits {row['figure']}")
        for text in found:
            value = float(text)
            if (row["least"] and value < float(row["least"])) or (row["most"] and value > float(row["most"])):
                wrong.append(f"{text} is not within {row['least'] or '-'} .. {row['most'] or '-'}: {row['figure']} ({row['origin']})")
    for line in wrong:
        print("out of bounds:", line)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
