#!/usr/bin/env python3
"""Fits the constants that turn strength of evidence into probability, by maximum likelihood.

usage: fit_model.py SIMULATED.csv [--write | --check | --committed | --table BINARY | --fresh SIMULATED_DETECTION]
       (PYTHONPATH names the built module)

SIMULATED.csv: rows of `simulated_detection 150 120 2 86400 FILE`. The open sets lie at BEARINGDSP_DATASETS, unpacked;
without them it says so and exits with 77. BINARY is the tool, SIMULATED_DETECTION the bench of that name.

Of the five, `unseen` and `steepness` (FITTED) are written, with even_strength held at its value in model.csv: fitted as
well it would be 0.20, at which a healthy open recording is left open, and what is called damage and what is called healthy
are not traded. The two constants of the components stay as set by hand, too; what a fit would make of them is printed.

What the open recordings say is also kept as a summary, fit_open.csv beside this file: slope and curvature of their log
likelihood at the fitted constants, the number of clusters and the weight of the belief. --committed fits on that and
SIMULATED.csv, needs neither the open sets nor the module, and fails where model.csv has other values.

  P(damaged)           = u + (1 - u) o / (1 + o),  o = (strength / s0)^k
  share of a component = strength^m / (n^m + all strengths^m), each lowered by an implausible slip

with u = judgement.unseen, s0 = even_strength, k = steepness, m = place_power, n = unplaced. What counts:
- Records of one defect (rig, component, size, remark of the manifest) count together as one, healthy ones of one machine
  condition likewise: ten loads of one defect are not ten defects.
- Damaged and healthy weigh 82 : 32, as in the open sets: the verdict converts P from that share to a plant's.
- Simulated captures together weigh as much as all open ones. Their share of invisible damage is a constant of their own
  (u'): how faint a defect was drawn says nothing of a plant.
- Belief: before any fit the five were set by hand (BELIEF), for machines that shake more than a rig does. It counts as a
  Gaussian of 0.5 in the logarithm (u: in the log odds) for each constant, times a weight in clusters. The weight is the
  smallest of WEIGHTS at which no rig gets a wrong component or a false alarm from the fit without it, and at which the fit
  on all costs nothing: no more wrong components and false alarms than BELIEF, and no right answer less.
- Left out: what the engine itself left open for another reason than strength, and for the components also what it
  weighed over several speeds or as twins. Their number is printed.

Without a mode it prints the fits; --write writes the rows, rounded to two digits, with origin `fitted`, and fit_open.csv;
--check fails where model.csv or fit_open.csv says otherwise; --table diagnoses the recordings of each rig with the constants fitted without it, by the engine;
--fresh makes the first simulated captures again and fails where the engine says something else of them than SIMULATED.csv
(then make that file again, and fit again). It needs no open set.
"""
import csv
import os
import subprocess
import sys
import tempfile
from pathlib import Path

try:
    import numpy as np
    from scipy.optimize import minimize
    from scipy.special import expit, logit
except ImportError as missing:
    print(f"skipped: {missing}")
    sys.exit(77)

MODEL = Path(__file__).resolve().parents[2] / "libbearingdsp" / "data" / "model.csv"
COMPONENTS = ("outer ring", "inner ring", "rolling element", "cage")
DAMAGED_SHARE = 82 / 114
BELIEF = {"unseen": 0.18, "even_strength": 0.22, "steepness": 6.0, "place_power": 4.0, "unplaced": 0.10}
NAMES = tuple(BELIEF)
FITTED = ("unseen", "steepness")
WEIGHTS = (0.5, 1, 2, 4, 8, 16, 32, 64)
OPEN = Path(__file__).resolve().parent / "fit_open.csv"


def open_sets():
    """What the open sets are read with: the built module, which a fit on the summary does not need."""
    import open_sets as module  # pylint: disable=import-outside-toplevel
    return module


def model_rows():
    """The lines of model.csv that are rows, split."""
    lines = [line for line in MODEL.read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")]
    return list(csv.DictReader(lines))


def shipped():
    return {row["name"]: float(row["value"]) for row in model_rows()}


class Evidence:
    """Strengths and slips of captures [n, 4], what is true of them, and what the engine said."""

    def __init__(self, rows, under):
        """rows: dicts; under: the constants that the engine had."""
        self.label = np.array([r["label"] for r in rows])
        self.rig = np.array([r["rig"] for r in rows])
        self.cluster = np.array([r["cluster"] for r in rows])
        self.strength = np.array([r["strength"] for r in rows], dtype=float)
        slip = np.array([r["slip"] for r in rows], dtype=float)
        tolerance = np.array([r["tolerance"] for r in rows], dtype=float)
        self.said = np.array([r["damage"] for r in rows], dtype=float)
        self.said_part = np.array([r["part"] for r in rows], dtype=float)
        constants = shipped()
        spread = np.maximum(constants["slip.spread"], tolerance * constants["component.nominal_spread"])
        self.near = np.exp(-0.5 * (slip / spread[:, None]) ** 2)
        # A ring whose inside differs from the catalogue, as ring_plausibility().
        differs = constants["near.differs"] * constants["slip.spread"] / constants["near.spread"]
        self.near[:, :2] += differs * np.exp(-0.5 * (slip[:, :2] / constants["near.spread"]) ** 2)
        self.elsewhere = constants["component.elsewhere"]
        self.damaged = np.isin(self.label, COMPONENTS)
        self.cage_alone = constants["judgement.cage_alone"]
        self.unmodulated = constants["component.unmodulated"]
        values = [under[n] for n in NAMES]
        # Five digits in the rows, and slip^2 in an exponent.
        self.by_strength = np.abs(self.probability(*values[:3]) - self.said) < 2e-3
        shares = self.shares(*values[3:]) * self.said[:, None]
        self.by_shares = self.by_strength & (np.abs(shares - self.said_part).max(axis=1) < 5e-3)

    def joint(self):
        return np.maximum(self.strength[:, :2].max(axis=1), np.hypot(self.strength[:, 2], self.strength[:, 3]))

    def probability(self, u, s0, k):
        with np.errstate(divide="ignore"):
            return u + (1 - u) * expit(k * (np.log(self.joint()) - np.log(s0)))

    def shares(self, m, n):
        """As judge() shares damage out: of components [n, 4]; what is missing from 1 is 'none of these'."""
        s, near = self.strength, self.near
        element, cage = s[:, 2], s[:, 3]
        rolling = np.hypot(element, cage)
        weight = s**m * near
        together = rolling**m * np.where(element > cage, near[:, 2], near[:, 3])
        square = np.divide(cage, rolling, out=np.zeros_like(cage), where=rolling > 0) ** 2
        of_cage = self.cage_alone * np.exp(-((element / n) ** 2)) * square
        weight[:, 2], weight[:, 3] = together * (1 - of_cage), together * of_cage
        total = n**m + weight.sum(axis=1) + np.where(cage < self.unmodulated, weight[:, 2], 0)
        # Another bearing's, but for sidebands: where those decide, the engine's shares differ and the row is left out.
        total += self.elsewhere * s[:, :3].max(axis=1) ** m
        return weight / total[:, None]

    def decided(self, values, use):
        """Rows as of `validate`, by the rules of decide(): what was left open for another reason than strength stays so."""
        constants = shipped()
        none_below, fault_from, name_from = (constants["judgement." + n] for n in ("none_below", "fault_from", "name_from"))
        p = np.where(self.by_strength, self.probability(*(values[n] for n in NAMES[:3])), self.said)
        # Several speeds and twins: shared as the engine did.
        own = self.shares(values["place_power"], values["unplaced"])
        share = np.where(self.by_shares[:, None], own, self.said_part / np.maximum(self.said, 1e-9)[:, None])
        rows = []
        for i in np.flatnonzero(use):
            best = share[i].argmax()
            if not self.by_strength[i]:
                named = "cannot tell"
            elif p[i] < fault_from:
                named = "none" if p[i] < none_below else "cannot tell"
            else:
                named = COMPONENTS[best] if p[i] * share[i, best] >= name_from else "place unclear"
            rows.append({"label": self.label[i], "named": named, "probability_damage": p[i]})
        return rows

    def weights(self, use):
        """Of captures: a cluster counts once, damaged and healthy as DAMAGED_SHARE says, all together as the clusters are."""
        w = np.zeros(len(self.label))
        clusters = 0
        for damaged, share in ((True, DAMAGED_SHARE), (False, 1 - DAMAGED_SHARE)):
            here = use & (self.damaged == damaged)
            names, inverse, counts = np.unique(self.cluster[here], return_inverse=True, return_counts=True)
            if len(names) > 0:
                w[here] = share / (len(names) * counts[inverse])
            clusters += len(names)
        return w * clusters


def simulated(path):
    with open(path, newline="", encoding="utf-8") as file:
        under = {name: float(value) for name, value in (pair.split("=") for pair in file.readline()[1:].split())}
        rows = list(csv.DictReader(file))
    keys = ("outer", "inner", "element", "cage")
    return Evidence([{"label": r["label"], "rig": "simulation", "cluster": str(i), "damage": r["damage"],
                      "tolerance": r["tolerance"], "strength": [r["strength_" + k] for k in keys],
                      "slip": [r["slip_" + k] for k in keys], "part": [r["probability_" + k] for k in keys]}
                     for i, r in enumerate(rows)], under)


def fresh(path, bench):
    """Whether the engine still gives the first rows of either kind; strengths may move a little with rounding."""
    each, moved = 20, 0
    with tempfile.TemporaryDirectory() as folder:
        again = os.path.join(folder, "rows.csv")
        subprocess.run([bench, str(each), str(each), "1", "86400", again], check=True, stdout=subprocess.DEVNULL)
        old, new = simulated(path), simulated(again)
    for damaged in (False, True):
        before, after = (e.joint()[e.damaged == damaged][:each] for e in (old, new))
        apart = np.abs(after - before) > 0.01 + 0.03 * before
        moved += int(apart.sum())
        for a, b in zip(before[apart], after[apart]):
            print(f"{'damaged' if damaged else 'healthy'}: strength {a:.3f} in {path}, {b:.3f} now")
    print(f"{moved} of {2 * each} captures differ; at most 2 may")
    return 1 if moved > 2 else 0


def clusters_by_file():
    with open(open_sets().manifest(), newline="", encoding="utf-8") as file:
        return {r["file"]: "|".join((r["dataset"], r["fault"], r["size"], r["note"].replace("speed nominal", "").strip("; ")))
                for r in csv.DictReader(file)}


def open_evidence():
    cluster = clusters_by_file()
    rows = []
    for record, x, rate in open_sets().records():
        if record.label not in (*COMPONENTS, "none"):
            continue
        d = open_sets().diagnosed(record, x, rate, record.speed_rpm)
        by_part = {open_sets().PARTS[f.part.name]: f for f in d.families}
        searched = [s["args"] for s in d.to_dict()["trail"] if s["op"] == "bearing_evidence"]
        rows.append({"label": record.label, "rig": record.dataset, "cluster": cluster[record.file],
                     "damage": d.probability_of_damage, "part": list(d.probability_of_part),
                     "tolerance": float(searched[0].split("=")[1]) if searched else 0.02,
                     "strength": [by_part[c].strength if c in by_part else 0.0 for c in COMPONENTS],
                     "slip": [by_part[c].slip if c in by_part else 0.0 for c in COMPONENTS]})
    constants = shipped()
    return Evidence(rows, {n: constants["judgement." + n] for n in NAMES})


def belief(names, values):
    """The cost of values (logarithms; of `unseen` log odds) that are not what was believed, in nats of one cluster."""
    centres = [logit(BELIEF[n]) if n == "unseen" else np.log(BELIEF[n]) for n in names]
    return 0.5 * sum(((v - c) / 0.5) ** 2 for v, c in zip(values, centres))


def minimum(cost, start):
    return minimize(cost, start, method="Nelder-Mead",
                    options={"maxiter": 20000, "maxfev": 20000, "xatol": 1e-7, "fatol": 1e-9}).x


def damage_cost(e, w, u, s0, k):
    p = np.clip(e.probability(u, s0, k), 1e-6, 1 - 1e-6)
    return -np.sum(w * np.where(e.damaged, np.log(p), np.log(1 - p)))


def component_cost(e, w, m, n):
    """Of the damaged component. What is 'none of these' falls on each of the four alike."""
    share = e.shares(m, n)[e.damaged]
    truth = np.array([COMPONENTS.index(c) for c in e.label[e.damaged]])
    likelihood = share[np.arange(len(truth)), truth] + (1 - share.sum(axis=1)) / len(COMPONENTS)
    return -np.sum(w[e.damaged] * np.log(np.clip(likelihood, 1e-6, 1)))


class Measured:
    """Captures with their weights, as a source of a fit."""

    def __init__(self, evidence, of_damage, of_component):
        self.evidence, self.of_damage, self.of_component = evidence, of_damage, of_component

    def damage(self, v):
        """Cost of log odds of u, ln s0 and ln k."""
        return damage_cost(self.evidence, self.of_damage, expit(v[0]), np.exp(v[1]), np.exp(v[2]))

    def component(self, v):
        """Cost of ln m and ln n."""
        return component_cost(self.evidence, self.of_component, np.exp(v[0]), np.exp(v[1]))


class Summarised:
    """The open recordings as their summary says: a parabola in the FITTED constants, at what they are fitted to."""

    def __init__(self, rows):
        self.rows = rows

    def damage(self, v):
        """Cost of log odds of u, ln s0 (held) and ln k."""
        d = np.array([x - self.rows["centre." + n] for n, x in zip(FITTED, (v[0], v[2]))])
        slope = np.array([self.rows["slope." + n] for n in FITTED])
        curvature = np.array([[self.rows["curvature." + ".".join(sorted((a, b)))] for b in FITTED] for a in FITTED])
        return slope @ d + 0.5 * d @ curvature @ d


def on_scale(values):
    """The constants as they are fitted: logarithms, of `unseen` the log odds."""
    return {n: logit(v) if n == "unseen" else np.log(v) for n, v in values.items()}


def fit(sources, weight):
    """All five from sources; every source after the first has a u of its own."""
    def damage(v):
        return weight * belief(NAMES[:3], v[:3]) + sum(
            s.damage((v[0] if i == 0 else v[2 + i], v[1], v[2])) for i, s in enumerate(sources))

    def component(v):
        return weight * belief(NAMES[3:], v) + sum(s.component(v) for s in sources)

    start = on_scale(BELIEF)
    v = minimum(damage, [start[n] for n in NAMES[:3]] + [-1.0] * (len(sources) - 1))
    q = minimum(component, [start[n] for n in NAMES[3:]])
    return {"unseen": expit(v[0]), "even_strength": np.exp(v[1]), "steepness": np.exp(v[2]),
            "place_power": np.exp(q[0]), "unplaced": np.exp(q[1])}


def fit_held(sources, weight, even_strength):
    """The FITTED constants beside a given even_strength, and beside a u of each source after the first."""
    held = np.log(even_strength)
    start = on_scale(BELIEF)

    def cost(v):
        return weight * belief(FITTED, v[:2]) + sum(
            s.damage((v[0] if i == 0 else v[1 + i], held, v[1])) for i, s in enumerate(sources))

    v = minimum(cost, [start[n] for n in FITTED] + [-1.0] * (len(sources) - 1))
    return {"unseen": expit(v[0]), "steepness": np.exp(v[1])}


def summary(source, values, even_strength, clusters, weight):
    """Slope and curvature of a source's cost at the fitted constants, by central differences."""
    step = 1e-3
    at = on_scale(values)
    centre = np.array([at[n] for n in FITTED])
    unit = step * np.eye(len(FITTED))

    def cost(v):
        return source.damage((v[0], np.log(even_strength), v[1]))

    rows = {"clusters": clusters, "weight": weight}
    rows.update({"centre." + n: at[n] for n in FITTED})
    for i, a in enumerate(FITTED):
        rows["slope." + a] = (cost(centre + unit[i]) - cost(centre - unit[i])) / (2 * step)
        for j, b in enumerate(FITTED[: i + 1]):
            rows["curvature." + ".".join(sorted((a, b)))] = sum(
                f * g * cost(centre + f * unit[i] + g * unit[j]) for f in (1, -1) for g in (1, -1)) / (4 * step**2)
    return rows


def read_summary():
    with OPEN.open(newline="", encoding="utf-8") as file:
        return {r["quantity"]: float(r["value"]) for r in csv.DictReader(file)}


def write_summary(rows):
    with OPEN.open("w", encoding="utf-8") as file:
        file.write("quantity,value\n" + "".join(f"{name},{value:.6g}\n" for name, value in rows.items()))


def made_source(made, clusters):
    """The simulated captures, together as heavy as all open ones."""
    def scaled(use):
        w = made.weights(use)
        return w * clusters / w.sum()

    return Measured(made, scaled(made.by_strength), scaled(made.by_shares))


class Fit:
    def __init__(self, real, made):
        self.real, self.made = real, made
        self.rigs = tuple(dict.fromkeys(real.rig))
        self.clusters = len(set(real.cluster))
        self.weight = next((w for w in WEIGHTS if self.harmless(w)), WEIGHTS[-1])

    def values(self, weight, left_out=None, use_real=True, use_made=True):
        """All five, from the open recordings of every rig but one and from simulated ones."""
        sources = [self.open_source(left_out)] if use_real else []
        return fit(sources + ([made_source(self.made, self.clusters)] if use_made else []), weight)

    def open_source(self, left_out=None):
        kept = self.real.rig != left_out
        return Measured(self.real, self.real.weights(kept & self.real.by_strength), self.real.weights(kept & self.real.by_shares))

    def harmless(self, weight):
        for rig in self.rigs:
            here = self.real.rig == rig
            before, after = (outcomes(self.real.decided(v, here)) for v in (BELIEF, self.values(weight, rig)))
            if after[1] > before[1] or after[2] > before[2]:
                return False
        everywhere = np.ones(len(self.real.rig), dtype=bool)
        before, after = (outcomes(self.real.decided(v, everywhere)) for v in (BELIEF, self.values(weight)))
        return after[0] >= before[0] and after[1] <= before[1] and after[2] <= before[2]


def rounded(value):
    return float(f"{value:.2g}")


def in_words(values):
    return "  ".join(f"{n} {values[n]:.3f}" for n in NAMES)


def area(p, damaged):
    """Probability that a damaged one gets more than a healthy one; ties count half."""
    a, b = p[damaged], p[~damaged]
    if len(a) == 0 or len(b) == 0:
        return float("nan")
    return float(np.mean((a[:, None] > b[None, :]) + 0.5 * (a[:, None] == b[None, :])))


def outcomes(rows):
    """right, wrong component, alarms, missed, not identified, cannot tell, Brier score and area."""
    label = np.array([r["label"] for r in rows])
    named = np.array([r["named"] for r in rows])
    p = np.array([float(r["probability_damage"]) for r in rows])
    damaged = label != "none"
    called = ~np.isin(named, ("none", "cannot tell", "place unclear"))
    return (int(np.sum(label == named)), int(np.sum(damaged & called & (named != label))),
            int(np.sum(~damaged & (called | (named == "place unclear")))), int(np.sum(damaged & (named == "none"))),
            int(np.sum(damaged & (named == "place unclear"))), int(np.sum(named == "cannot tell")),
            float(np.mean((p - damaged) ** 2)), area(p, damaged))


def validated(binary, values, *more):
    """Rows that the engine itself gives under these constants."""
    with tempfile.TemporaryDirectory() as folder:
        model, out = os.path.join(folder, "model.csv"), os.path.join(folder, "results.csv")
        with open(model, "w", encoding="utf-8") as file:
            file.write("name,value\n" + "".join(f"judgement.{n},{v!r}\n" for n, v in values.items()))
        subprocess.run([binary, "validate", open_sets().manifest(), "--without-times", "--model", model, "--out", out, *more],
                       check=True, stdout=subprocess.DEVNULL)
        with open(out, newline="", encoding="utf-8") as file:
            return [r for r in csv.DictReader(file) if r["probability_damage"]]


def table_row(what, rows):
    right, wrong, alarms, missed, unclear, doubt, brier, auc = outcomes(rows)
    print(f"| {what} | {len(rows)} | {right} | {wrong} | {alarms} | {missed} | {unclear} | {doubt} | {brier:.3f} | "
          f"{'-' if np.isnan(auc) else format(auc, '.3f')} |")


def reliability(title, rows):
    """What was said beside how often it was so, with the 95 % score interval [wilson1927]."""
    p = np.array([float(r["probability_damage"]) for r in rows])
    damaged = np.array([r["label"] != "none" for r in rows])
    print(f"\n{title}\n{'said':>12} {'records':>8} {'mean said':>10} {'damaged':>8}  95 % interval")
    for low, high in ((0, 0.25), (0.25, 0.6), (0.6, 0.9), (0.9, 1.0001)):
        here = (p >= low) & (p < high)
        n, k = int(here.sum()), int(damaged[here].sum())
        if n == 0:
            continue
        interval = open_sets().bearingdsp.wilson_interval(k, n)
        inside = "" if interval.low <= p[here].mean() <= interval.high else "  outside"
        print(f"{100 * low:5.0f} -{100 * min(high, 1):4.0f} {n:8} {100 * p[here].mean():9.1f} %"
              f" {100 * k / n:6.1f} %  {100 * interval.low:.1f} - {100 * interval.high:.1f}{inside}")


def table(binary, fit, values):
    print("\n| constants | recordings | right | wrong component | false alarms | missed | not identified | cannot tell | Brier | AUC |")
    print("|---" * 10 + "|")
    before, fitted = validated(binary, BELIEF), validated(binary, values)
    table_row("set by hand, all", before)
    table_row("fitted on all", fitted)
    held_out = []
    for rig in fit.rigs:
        mine = [r for r in validated(binary, fit.values(fit.weight, rig)) if r["dataset"] == rig]
        table_row(f"{rig}, set by hand", [r for r in before if r["dataset"] == rig])
        table_row(f"{rig}, fitted on all", [r for r in fitted if r["dataset"] == rig])
        table_row(f"{rig}, fitted without it", mine)
        held_out += mine
    table_row("each rig by the fit without it", held_out)
    for title, v in (("set by hand, speed withheld", BELIEF), ("fitted on all, speed withheld", values)):
        table_row(title, validated(binary, v, "--blind-speed"))
    said = (("Set by hand", before), ("Fitted on all", fitted), ("Each rig by the fit without it", held_out))
    for title, rows in said:
        reliability(title, rows)


def write(values):
    lines = MODEL.read_text(encoding="utf-8").splitlines()
    for i, line in enumerate(lines):
        name = line.split(",", 1)[0].removeprefix("judgement.")
        if line.startswith("judgement.") and name in FITTED:
            cells = line.split(",")
            cells[1], cells[5] = f"{rounded(values[name]):g}", "fitted"
            lines[i] = ",".join(cells)
    MODEL.write_text("\n".join(lines) + "\n", encoding="utf-8")
    print("now run libbearingdsp/data/generate/model.py")


def check(values):
    bad = 0
    for row in model_rows():
        group, name = row["name"].split(".")
        mine = group == "judgement" and name in FITTED
        if row["origin"] == "fitted" and not mine:
            print(f"{row['name']}: 'fitted', but nothing fits it")
            bad += 1
        elif mine and (row["origin"] != "fitted" or float(row["value"]) != rounded(values[name])):
            print(f"{row['name']}: {row['value']} ({row['origin']}) in model.csv, {rounded(values[name]):g} fitted")
            bad += 1
    return 1 if bad else 0


def summary_differs(rows):
    """Whether fit_open.csv is not what the open recordings say: rounding may move a slope a little."""
    kept = read_summary()
    apart = [n for n, v in rows.items() if abs(v - kept.get(n, np.inf)) > 0.01 + 0.02 * abs(v)]
    for n in apart:
        print(f"{n}: {kept.get(n)} in {OPEN.name}, {rows[n]:.6g} now")
    return 1 if apart else 0


MODES = ("--write", "--check", "--committed", "--table", "--fresh")


def main():
    if len(sys.argv) < 2 or (len(sys.argv) > 2 and sys.argv[2] not in MODES):
        sys.exit(__doc__)
    if sys.argv[2:3] == ["--fresh"]:
        return fresh(sys.argv[1], sys.argv[3])
    made = simulated(sys.argv[1])
    if sys.argv[2:3] == ["--committed"]:
        kept = read_summary()
        sources = [Summarised(kept), made_source(made, kept["clusters"])]
        return check(fit_held(sources, kept["weight"], shipped()["judgement.even_strength"]))
    real = open_evidence()
    for what, e in (("open", real), ("simulated", made)):
        print(f"{what}: {len(e.label)} captures, {len(set(e.cluster))} clusters; {int(e.by_strength.sum())} used for the damage, "
              f"{int((e.by_shares & e.damaged).sum())} of {int(e.damaged.sum())} damaged for the component")
    fitted = Fit(real, made)
    values = fitted.values(fitted.weight)
    even_strength = shipped()["judgement.even_strength"]
    written = fit_held([fitted.open_source(), made_source(made, fitted.clusters)], fitted.weight, even_strength)
    rows = summary(fitted.open_source(), written, even_strength, fitted.clusters, fitted.weight)
    print(f"weight of the belief: {fitted.weight} clusters")
    for what, v in (("set by hand", BELIEF), ("fitted", values), ("hardly any belief", fitted.values(0.1)),
                    ("the same, open sets", fitted.values(0.1, use_made=False)),
                    ("the same, simulation", fitted.values(0.1, use_real=False)),
                    ("written", {**BELIEF, **written, "even_strength": even_strength}),
                    *((f"without {rig}", fitted.values(fitted.weight, rig)) for rig in fitted.rigs)):
        print(f"{what:>22}  {in_words(v)}")
    mode = sys.argv[2] if len(sys.argv) > 2 else ""
    if mode == "--table":
        table(sys.argv[3], fitted, {n: rounded(v) for n, v in values.items()})
    if mode == "--write":
        write(written)
        write_summary(rows)
    return check(written) or summary_differs(rows) if mode == "--check" else 0


if __name__ == "__main__":
    sys.exit(main())
