#!/usr/bin/env python3
"""Writes trend_vectors.json: what SciPy says about trends, and how levels grow by laws that are not those of our own tests.

Run with numpy 1.24 and scipy 1.10; the versions used are written into the file. The build and the tests never run this.

Growth is simulated by three laws of the literature on degradation, each series until 12 dB above where it began, read once a
week with 0.7 dB of scatter; a question is asked once in a series, so that the answers are independent of each other:
- Wiener: a rate with random steps (Brownian motion with drift; its time to a limit is inverse Gaussian)
- gamma: steps of random size that never go back (gamma process)
- crack: exponential growth of a defect's size, da/dt proportional to a, with another rate each month, level 20 lg of the
  size: accelerating on a linear scale, a wandering line in dB
Both processes and their use for degradation are from memory (textbooks on reliability); no number here is quoted.
"""
import json
import pathlib

import numpy as np
import scipy
from scipy import stats


def arr(a, digits=9):
    return [round(float(v), digits) for v in np.asarray(a).ravel()]


def rises(rng):
    """Kendall's test, one-sided and exact, and the line by Theil and Sen."""
    out = []
    for n, slope in ((4, 0.5), (8, 0.0), (8, 0.4), (14, 0.1), (25, 0.05), (40, 0.02), (60, 0.02)):
        for _ in range(3):
            x = np.cumsum(rng.uniform(0.5, 3.0, n))
            y = slope * x + rng.standard_normal(n)
            x, y = np.round(x, 6), np.round(y, 6)
            chance = stats.kendalltau(np.arange(n), y, method="exact", alternative="greater").pvalue
            line = stats.theilslopes(y, x, method="joint")
            out.append({"x": arr(x), "y": arr(y), "chance": float(chance), "slope": float(line.slope),
                        "intercept": float(line.intercept)})
    return out


def growth(law, rng):
    """Level in dB above its beginning for each day."""
    days = 2000
    rate = np.exp(rng.normal(np.log(0.05), 0.5))  # dB a day
    if law == "wiener":
        steps = rate + 0.15 * rng.standard_normal(days)
    elif law == "gamma":
        steps = rng.gamma(rate / 0.4, 0.4, days)
    else:
        monthly = np.exp(rng.normal(0, 0.5, days // 30 + 1))
        steps = rate * np.repeat(monthly, 30)[:days]
    return np.concatenate([[0.0], np.cumsum(steps)])


def questions(rng):
    out = []
    for law in ("wiener", "gamma", "crack"):
        made = 0
        while made < 120:
            level = growth(law, rng)
            at = int(np.argmax(level >= 12))
            if at < 80:  # too quick to be read often, or never there
                continue
            asked = int(rng.uniform(50, at - 5))
            read = np.arange(0, asked + 1, 7)
            db = level[read] + 0.7 * rng.standard_normal(len(read))
            out.append({"law": law, "days": [int(d) for d in read], "db": arr(db, 3),
                        "reached_days": at - int(read[-1])})
            made += 1
    return out


def main():
    rng = np.random.default_rng(20240301)
    out = {"made_with": {"numpy": np.__version__, "scipy": scipy.__version__}, "rises": rises(rng),
           "growth": questions(rng)}
    path = pathlib.Path(__file__).with_name("trend_vectors.json")
    lines = json.dumps(out, separators=(",", ":")).replace('},{', '},\n{').replace('"growth":', '\n"growth":')
    path.write_text(lines + "\n", encoding="utf-8")


main()
