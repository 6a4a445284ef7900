#!/usr/bin/env python3
"""Is the probability of damage one, on recordings that did not set it?

usage: calibration.py RESULTS.csv        (of: bearingdsp validate MANIFEST --out RESULTS.csv)

The verdict turns the strength of the best family into P = u + (1 - u) / (1 + (s0 / s)^k). Here u, s0
and k are fitted by maximum likelihood to some of the recordings, and P is then computed for the others: each dataset in
turn is left out; then every second recording of each, and the other half. What is held out are these three
constants and nothing else: the engine itself has seen all recordings. Records that 'cannot tell' for a reason other than strength (P set to one
half) keep their half in every column.
"""
import csv
import math
import sys
from pathlib import Path

import numpy as np
from scipy.optimize import minimize

MODEL = Path(__file__).resolve().parents[2] / "libbearingdsp" / "data" / "model.csv"


def shipped(name):
    """A constant of the verdict, as the engine has it."""
    rows = csv.DictReader(line for line in MODEL.read_text(encoding="utf-8").splitlines() if not line.startswith("#"))
    return next(float(row["value"]) for row in rows if row["name"] == f"judgement.{name}")


U, S0, K = (shipped(name) for name in ("unseen", "even_strength", "steepness"))


def probability(s, u, s0, k):
    with np.errstate(divide="ignore"):
        return u + (1 - u) / (1 + np.exp(-k * (np.log(s) - math.log(s0))))


def strength(p):
    """The strength that gave P; 0 at or below u."""
    share = np.clip((np.asarray(p) - U) / (1 - U), 1e-9, 1 - 1e-9)
    return S0 * (share / (1 - share)) ** (1 / K)


def fit(s, damaged):
    def cost(v):
        p = np.clip(probability(s, 1 / (1 + math.exp(-v[0])), math.exp(v[1]), math.exp(v[2])),
                    1e-6, 1 - 1e-6)
        # One record's worth of belief that constants are what a first look suggests keeps the
        # exponent finite where damaged and sound do not overlap.
        prior = 0.5 * ((v[1] - math.log(0.2)) / 0.5) ** 2 + 0.5 * ((v[2] - math.log(5)) / 0.5) ** 2
        return prior - np.sum(np.where(damaged, np.log(p), np.log(1 - p)))

    v = minimize(cost, [-1.5, math.log(0.2), math.log(5)], method="Nelder-Mead",
                 options={"maxiter": 5000, "xatol": 1e-6, "fatol": 1e-8}).x
    return 1 / (1 + math.exp(-v[0])), math.exp(v[1]), math.exp(v[2])


def wilson(k, n, z=1.959964):
    middle, half = (k + z * z / 2) / (n + z * z), z * math.sqrt(k * (n - k) / n + z * z / 4) / (n + z * z)
    return middle - half, middle + half


def reliability(title, p, damaged):
    print(f"\n{title}")
    print(f"{'said':>12} {'records':>8} {'mean said':>10} {'damaged':>8}  95 % interval")
    for low, high in ((0, 0.25), (0.25, 0.6), (0.6, 0.9), (0.9, 1.0001)):
        here = (p >= low) & (p < high)
        n, k = int(here.sum()), int(damaged[here].sum())
        if n == 0:
            continue
        a, b = wilson(k, n)
        inside = "" if a <= p[here].mean() <= b else "  outside"
        print(f"{100 * low:5.0f} -{100 * min(high, 1):4.0f} {n:8} {100 * p[here].mean():9.1f} %"
              f" {100 * k / n:6.1f} %  {100 * a:.1f} - {100 * b:.1f}{inside}")


def main():
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    with open(sys.argv[1], newline="", encoding="utf-8") as file:
        rows = [r for r in csv.DictReader(file) if r["probability_damage"]]
    sets = np.array([r["dataset"] for r in rows])
    places = {"outer ring", "inner ring", "rolling element", "cage", "several"}
    damaged = np.array([r["label"] in places for r in rows])
    said = np.array([float(r["probability_damage"]) for r in rows])
    other_reason = np.array([r["named"] == "cannot tell" and abs(float(r["probability_damage"]) - 0.5)
                             < 1e-12 for r in rows])
    s = strength(said)

    def hold_out(folds):
        held_out = said.copy()
        print(f"\n{'left out':>12} {'records':>8} {'u':>6} {'s0':>6} {'k':>5}   Brier as shipped, held out")
        for name, left_out in folds:
            u, s0, k = fit(s[~left_out & ~other_reason], damaged[~left_out & ~other_reason])
            here = left_out & ~other_reason
            held_out[here] = probability(s[here], u, s0, k)
            brier = [np.mean((p[left_out] - damaged[left_out]) ** 2) for p in (said, held_out)]
            print(f"{name:>12} {left_out.sum():8} {u:6.3f} {s0:6.3f} {k:5.1f}   {brier[0]:.4f}  {brier[1]:.4f}")
        brier = [np.mean((p - damaged) ** 2) for p in (said, held_out)]
        print(f"{'all':>12} {len(rows):8} {'':19}   {brier[0]:.4f}  {brier[1]:.4f}")
        return held_out

    by_set = hold_out([(name, sets == name) for name in dict.fromkeys(sets)])
    odd = np.arange(len(rows)) % 2 == 1
    by_half = hold_out([("odd rows", odd), ("even rows", ~odd)])
    reliability("As shipped", said, damaged)
    reliability("Held out by dataset", by_set, damaged)
    reliability("Held out by every second recording", by_half, damaged)


if __name__ == "__main__":
    main()
