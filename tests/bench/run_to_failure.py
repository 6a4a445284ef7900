#!/usr/bin/env python3
"""Alerts and remaining life on bearings that ran to failure, measured and simulated, by the measures of the literature; the forecast beside
a naive one, a straight line and a published one.

    python3 tests/bench/run_to_failure.py build/release/tests/bench/remaining_life [MACHINES] > docs/validation/run-to-failure.md
    python3 tests/bench/run_to_failure.py --rows TABLE.csv      from a table that the program printed

The measured runs are those of the manifest in BEARINGDSP_DATASETS; without it, or with --simulated, only simulated ones are scored. Everything but the levels, the
alerts and the engine's forecast is done here, in NumPy. What a method knows of other bearings it has from the other runs only: of the
measured runs the other four, of the simulated ones the other machines, whatever their law.
"""

import csv
import os
import subprocess
import sys

import numpy as np

ALPHA = 0.2  # width of the cone of alpha-lambda
LAMBDA = 0.5  # half-way from the alert to the end
BAND = 0.05  # of the life: width of the band of the prognostic horizon
LATEST = 14  # readings that a line is laid through, as many as the engine takes
NAIVE_DB, NAIVE_READINGS = 6.0, 1  # the naive alert: the first reading so far above the baseline
METHODS = ("engine", "mean life of the others", "straight line", "exponential, Bayesian")
CHALLENGE = {"Bearing2_7": (172, 580.0)}  # readings shown and seconds left, as the organisers of the challenge asked [nectoux2012]


class Run:
    def __init__(self, kind, name, rows):
        def column(key):
            return np.array([float(r[key]) if r[key] else np.nan for r in rows])

        self.kind, self.name = kind, name
        self.n, self.t, self.db = column("readings").astype(int), column("time_s"), column("above_db")
        self.sigma, self.limit = column("sigma_db")[0], column("limit_db")[0]
        self.alert, self.likely, self.earliest = column("alert") > 0, column("likely_s"), column("earliest_s")
        self.begin, self.end = column("begin_s")[0], column("end_s")[0]

    def first(self, alert):
        """Index of the first reading with an alert after the growth began, where that is known; None: never."""
        late = alert & ~(self.t < self.begin) if np.isfinite(self.begin) else alert
        return int(np.argmax(late)) if late.any() else None


def runs_of(lines):
    groups = {}
    for row in csv.DictReader(lines):
        groups.setdefault((row["kind"], row["run"]), []).append(row)
    return [Run(kind, name, rows) for (kind, name), rows in groups.items()]


# ---- forecasts: seconds left after reading i, NaN for none


def straight_line(run, i, _others):
    """Least squares through the latest readings, carried on to the limit."""
    if i < 2:
        return np.nan
    part = slice(max(0, i + 1 - LATEST), i + 1)
    slope, offset = np.polyfit(run.t[part] - run.t[i], run.db[part], 1)
    return (run.limit - offset) / slope if slope > 0 and offset < run.limit else np.nan


def mean_life(run, i, others):
    """What the others lived on average, less the age: it looks at nothing."""
    lives = [o.end - (o.begin if np.isfinite(o.begin) else 0) for o in others]
    age = run.t[i] - (run.begin if np.isfinite(run.begin) else 0)
    return max(0.0, np.mean(lives) - age)


def growth_of(run):
    """Offset and slope of a line through the levels from the alert to the end."""
    if not hasattr(run, "growth"):
        start = run.first(run.alert)
        run.growth = None
        if start is not None and len(run.t) - start >= 5:
            slope, offset = np.polyfit(run.t[start:] - run.t[start], run.db[start:], 1)
            run.growth = offset, slope
    return run.growth


def prior_of(others):
    """Mean and covariance of offset and slope over the other runs."""
    known = np.array([g for g in (growth_of(o) for o in others) if g is not None])
    if len(known) < 3:
        return None
    return known.mean(axis=0), np.cov(known.T) + 1e-12 * np.diag(known.mean(axis=0) ** 2 + 1e-30)


def bayesian(run, i, _others, prior):
    """Exponential growth with random coefficients, updated by the readings since the alert [gebraeel2005]: the logarithm of the level is a
    line whose offset and slope have a normal prior from the other runs; the time at which the mean of the posterior reaches the limit."""
    start = run.first(run.alert)
    if prior is None or start is None or i < start:
        return np.nan
    mean, cov = prior
    t, y = run.t[start:i + 1] - run.t[start], run.db[start:i + 1]
    A = np.column_stack([np.ones_like(t), t])
    precision = np.linalg.inv(cov)
    posterior = np.linalg.solve(precision + A.T @ A / run.sigma**2, precision @ mean + A.T @ y / run.sigma**2)
    offset, slope = posterior
    return max(0.0, (run.limit - offset) / slope - t[-1]) if slope > 0 else np.nan


def forecasts(run, others):
    """By method, after each reading. Computed once: the others of a run are always the same."""
    if not hasattr(run, "said"):
        run.said = computed_forecasts(run, others)
    return run.said


def computed_forecasts(run, others):
    prior = prior_of(others)
    index = range(len(run.t))
    return {
        "engine": run.likely,
        "mean life of the others": np.array([mean_life(run, i, others) for i in index]),
        "straight line": np.array([straight_line(run, i, others) for i in index]),
        "exponential, Bayesian": np.array([bayesian(run, i, others, prior) for i in index]),
    }


# ---- measures


def phm_score(left, said):
    """Accuracy of one forecast, 1 for exact: exp(-ln 0.5 Er/5) for Er <= 0 (said too long), exp(ln 0.5 Er/20) for Er > 0, Er the error in per
    cent of what is left [nectoux2012]; 0 for no forecast."""
    if not np.isfinite(said):
        return 0.0
    error = 100 * (left - said) / left
    return float(np.exp(-np.log(0.5) * error / 5) if error <= 0 else np.exp(np.log(0.5) * error / 20))


def at_lambda(run, start, said):
    """The forecast at the reading that is next to LAMBDA between alert and end, and what was left."""
    i = start + int(np.argmin(np.abs(run.t[start:] - (run.t[start] + LAMBDA * (run.end - run.t[start])))))
    return run.end - run.t[i], said[i]


def in_cone(left, said):
    """alpha-lambda: within a fraction ALPHA of what is left [saxena2010]."""
    return bool(np.isfinite(said) and abs(said - left) <= ALPHA * left)


def horizon(run, start, said):
    """Prognostic horizon: how long before the end the forecasts lie within BAND of the life for good, as a fraction of the life [saxena2010]. A
    reading without a forecast ends it."""
    life = run.end - (run.begin if np.isfinite(run.begin) else 0)
    good = np.abs(said[start:] - (run.end - run.t[start:])) <= BAND * life
    if not good.size or not good[-1]:
        return 0.0
    lasting = len(good) - int(np.argmin(good[::-1])) if not good.all() else 0
    return float((run.end - run.t[start + lasting]) / life)


def scored(runs):
    """For each method: a row for each run that had an alert: (PHM score at lambda, in the cone, horizon, share of readings with a forecast)."""
    rows = {m: [] for m in METHODS}
    for run in runs:
        start = run.first(run.alert)
        if start is None or not np.isfinite(run.end):
            continue
        others = [o for o in runs if o is not run and np.isfinite(o.end)]
        for m, said in forecasts(run, others).items():
            left, at = at_lambda(run, start, said)
            rows[m].append((phm_score(left, at), in_cone(left, at), horizon(run, start, said), float(np.mean(np.isfinite(said[start:])))))
    return rows


def score_table(runs, title):
    rows = scored(runs)
    count = len(rows["engine"])
    lines = [f"| {title} ({count} with an alert) | PHM score | in the cone | horizon, of the life | readings with a forecast |",
             "| --- | --- | --- | --- | --- |"]
    for m in METHODS:
        v = np.array(rows[m], float).reshape(-1, 4)
        if count:
            lines.append(f"| {m} | {v[:, 0].mean():.2f} | {int(v[:, 1].sum())} of {count} | {v[:, 2].mean():.2f} | {100 * v[:, 3].mean():.0f} % |")
    return lines


def same_questions(runs, title):
    """All methods at the readings at which the engine says something, so that refusals are not in the scores; and its own promise. Also the
    mean scores."""
    rows = {m: [] for m in METHODS}
    held, promised = 0, 0
    for run in runs:
        start = run.first(run.alert)
        if start is None or not np.isfinite(run.end):
            continue
        others = [o for o in runs if o is not run and np.isfinite(o.end)]
        said = forecasts(run, others)
        for i in range(start, len(run.t)):
            if not np.isfinite(run.likely[i]):
                continue
            left = run.end - run.t[i]
            promised += 1
            held += left >= run.earliest[i]
            for m in METHODS:
                at = said[m][i]
                rows[m].append((phm_score(left, at), in_cone(left, at), at / left))
    count = len(rows["engine"])
    lines = [f"| {title}: {count} readings | PHM score | in the cone | said over left, median |", "| --- | --- | --- | --- |"]
    for m in METHODS:
        v = np.array(rows[m], float).reshape(-1, 3)
        if count:
            lines.append(f"| {m} | {v[:, 0].mean():.2f} | {100 * v[:, 1].mean():.0f} % | {np.nanmedian(v[:, 2]):.2f} |")
    lines += ["", f"The engine's earliest day held in {held} of {promised}; 80 % is stated, where no latest day is given all of the rest is before it."]
    return lines, {m: np.mean([r[0] for r in rows[m]]) for m in METHODS if rows[m]}


def naive_alert(run):
    return run.db >= NAIVE_DB


def percent(share):
    return f"{100 * share:.0f} %" if np.isfinite(share) else "-"


def alert_tables(runs):
    lines = []
    measured = [r for r in runs if r.kind == "measured"]
    if measured:
        lines += ["| run | life, s | first alert at, of the life | naive alert at | limit from the others, dB |", "| --- | --- | --- | --- | --- |"]
        for r in measured:
            at = [f"{r.t[i] / r.end:.3f}" if i is not None else "never" for i in (r.first(r.alert), r.first(naive_alert(r)))]
            lines.append(f"| {r.name} | {r.end:.0f} | {at[0]} | {at[1]} | {r.limit:.1f} |")
        lines.append("")
    lines += ["| simulated growth | machines | alert before the growth | delay, readings (median) | of the way to the end | no alert before the end | "
              "naive: before the growth | naive: delay, readings |", "| --- | --- | --- | --- | --- | --- | --- | --- |"]
    for kind in dict.fromkeys(r.kind for r in runs if r.kind not in ("measured", "none")):
        of = [r for r in runs if r.kind == kind]
        cells = []
        for alert in (lambda r: r.alert, naive_alert):
            early = sum(bool((alert(r) & (r.t < r.begin)).any()) for r in of)
            found = [(r, r.first(alert(r))) for r in of]
            delays = [int(np.sum((r.t >= r.begin) & (r.t <= r.t[i]))) for r, i in found if i is not None]
            way = [(r.t[i] - r.begin) / (r.end - r.begin) for r, i in found if i is not None and np.isfinite(r.end)]
            cells.append((early, np.median(delays) if delays else np.nan, np.median(way) if way else np.nan, sum(i is None for _, i in found)))
        lines.append(f"| {kind} | {len(of)} | {cells[0][0]} | {cells[0][1]:.0f} | {percent(cells[0][2])} | {cells[0][3]} | {cells[1][0]} | "
                     f"{cells[1][1]:.0f} |")
    steady = [r for r in runs if r.kind == "none"]
    if steady:
        began = [int(np.sum(np.diff(np.concatenate([[0], a.astype(int)])) > 0)) for a in (np.concatenate([r.alert for r in steady]),
                                                                                          np.concatenate([naive_alert(r) for r in steady]))]
        readings = sum(len(r.t) for r in steady)
        lines += ["", f"Machines that do not change: {len(steady)}, {readings} readings. Alerts that began: {began[0]}; naive alerts: {began[1]}."]
    return lines


def challenge_lines(runs):
    lines = []
    for run in runs:
        if run.kind != "measured" or run.name not in CHALLENGE:
            continue
        shown, left = CHALLENGE[run.name]
        i = int(np.argmax(run.n == shown))
        others = [o for o in runs if o is not run and o.kind == "measured"]
        lines += [f"The organisers showed {shown} readings of {run.name} and asked for what is left: {left:.0f} s "
                  f"(here the run ends {run.end - run.t[i]:.0f} s after that reading).", "", "| method | said, s | score |", "| --- | --- | --- |"]
        for m, said in forecasts(run, others).items():
            text = f"{said[i]:.0f}" if np.isfinite(said[i]) else "nothing"
            lines.append(f"| {m} | {text} | {phm_score(left, said[i]):.2f} |")
    return lines


def page(runs, machines):
    measured = [r for r in runs if r.kind == "measured"]
    growing = [r for r in runs if r.kind not in ("measured", "none")]
    ends = [r for r in growing if np.isfinite(r.end)]
    lines = ["# Run to failure", "",
             f"Made by `python3 tests/bench/run_to_failure.py build/release/tests/bench/remaining_life {machines} > docs/validation/run-to-failure.md`.",
             f"{len(measured)} measured bearings (Nectoux et al., IEEE PHM 2012; a reading each 10 s) and {machines} simulated machines of each law of",
             "growth ([trend](trend.md): what the laws are; scatter 0.7 dB, a reading about each fortnight). The level is that of the high band.", "",
             "## Alerts", "",
             "The naive alert is one reading 6 dB above the baseline. When the damage of the measured bearings began is not known, so a delay and false",
             "alerts can be counted on the simulated ones only.", "", *alert_tables(runs), "",
             "## What is left", "",
             "Asked after each reading from the engine's first alert to the end. The end of a measured run is its last reading; the level at which a",
             "bearing is taken for failed is the median of where the others ended. That of a simulated machine is 12 dB.", "",
             "- *engine*: the day of `trend` \"if it goes on\"; it says nothing where it would be guessing.",
             "- *mean life of the others*: less the age (of the simulated ones: since the growth began, which nobody knows in practice).",
             f"- *straight line*: least squares through the latest {LATEST} readings in dB.",
             "- *exponential, Bayesian*: exponential growth with random coefficients, a normal prior from the other runs, updated by the readings since",
             "  the alert [gebraeel2005].", "",
             "*PHM score*: of the forecast half-way between alert and end, 1 for exact, 0.5 for 5 % too long or 20 % too short, 0 for none [nectoux2012].",
             f"*In the cone*: alpha-lambda, within {100 * ALPHA:.0f} % of what is left at the same reading. *Horizon*: how long before the end the forecasts",
             f"lie within {100 * BAND:.0f} % of the life for good [saxena2010]. The last column is not a merit: it shows what a refusal costs in the others.", ""]
    if measured:
        lines += score_table(measured, "measured runs") + [""] + challenge_lines(runs) + [""]
    lines += score_table(ends, "simulated, all laws") + ["", "The same questions to all: only the readings at which the engine gives a forecast.", ""]
    if measured:
        lines += same_questions(measured, "measured runs")[0] + [""]
    table, means = same_questions(ends, "simulated")
    lines += table + ["", "By law of growth, half-way:", ""]
    for kind in dict.fromkeys(r.kind for r in ends):
        rows = scored_kind(ends, kind)
        lines.append(f"- {kind}: " + "; ".join(f"{m} {v:.2f} ({c} of {n})" for m, v, c, n in rows) + ".")
    lines += ["", "PHM score and, in brackets, how many are in the cone, by law of growth.", "", "## What it says", ""]
    rows = scored(ends)
    cone = {m: sum(r[1] for r in rows[m]) for m in METHODS}
    best = max(METHODS, key=cone.get)
    given = 100 * np.mean([r[3] for r in rows["engine"]])
    lines += [
        f"- Half-way between alert and end the remaining life is not known: of {len(rows['engine'])} simulated machines the best method ({best}) is",
        f"  within {100 * ALPHA:.0f} % on {cone[best]}, the engine, which speaks at {given:.0f} % of the readings, on {cone['engine']}.",
        "- At the readings at which the engine speaks, the mean PHM scores are "
        + ", ".join(f"{v:.2f} ({m})" for m, v in means.items()) + ".",
        "- So `trend` states a range whose beginning holds, not a day. These scores ask for a day; a range without an end cannot win in them.",
        "- What decides is how the growth changes: methods that carry the past on are right where it goes on (even growth), and far too late",
        "  where it accelerates. Nothing in the level before tells which it will be."]
    return lines


def scored_kind(runs, kind):
    """Score and cone of each method on the machines of one law; priors and mean lives are those of all laws."""
    out = []
    all_rows = {m: [] for m in METHODS}
    for run in runs:
        start = run.first(run.alert)
        if run.kind != kind or start is None:
            continue
        others = [o for o in runs if o is not run]
        for m, said in forecasts(run, others).items():
            left, at = at_lambda(run, start, said)
            all_rows[m].append((phm_score(left, at), in_cone(left, at)))
    for m, rows in all_rows.items():
        v = np.array(rows, float).reshape(-1, 2)
        out.append((m, v[:, 0].mean() if len(v) else np.nan, int(v[:, 1].sum()), len(v)))
    return out


def main():
    if sys.argv[1] == "--rows":
        with open(sys.argv[2], newline="", encoding="utf-8") as file:
            lines = file.read().splitlines()
        machines = int(sys.argv[3]) if len(sys.argv) > 3 else 20
    else:
        machines = int(sys.argv[2]) if len(sys.argv) > 2 else 20
        manifest = os.path.join(os.environ.get("BEARINGDSP_DATASETS", ""), "manifest.csv")
        measured = os.path.exists(manifest) and "--simulated" not in sys.argv
        command = [sys.argv[1], str(machines)] + ([manifest] if measured else [])
        lines = subprocess.run(command, capture_output=True, text=True, check=True).stdout.splitlines()
    print("\n".join(page(runs_of(lines), machines)))


if __name__ == "__main__":
    main()
