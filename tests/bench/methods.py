#!/usr/bin/env python3
"""The engine beside published methods on the labelled recordings of the open sets: same recordings, same speed, same scoring.

    BEARINGDSP_DATASETS=FOLDER python3 tests/bench/methods.py [--every N [--first K]] [--out ROWS.csv | --rows ROWS.csv ...]

Each method gives spectra of pulsation rates from NumPy alone; none of them uses this library. A component's score is the mean over its
first five harmonics of the logarithm of the line over the median of its neighbourhood, the best within 2 % of its order. The shaft speed is
the one that the engine finds near the nominal one, for all alike, which favours the methods. Their score of damage is that of the best
component. Prints the page docs/validation/methods.md. --every N takes each N-th recording, from the K-th on, so that parts can
be measured one by one; --rows makes the page from all of them.

A method of your own: a function (x [n], rate_hz, shaft_hz, orders of the components) -> list of (spectrum, line spacing), of which the
best is taken for each component; add it to METHODS.
"""

import argparse
import collections
import csv
import os
import time

import numpy as np

from forced_choice import COMPONENTS, engine_choice, score
from open_sets import diagnosed, manifest, records

REACH = 5.6  # harmonics of the highest order that are looked at, with what 2 % of slip adds
BOOTSTRAPS = 2000


def ses(analytic):
    """Amplitudes of the squared envelope over its mean; spacing 1 / duration."""
    envelope = np.abs(analytic) ** 2
    return np.abs(np.fft.rfft(envelope - envelope.mean())) / envelope.mean()


def one_sided(spectrum, n):
    half = spectrum.copy()
    half[n // 2 + 1:] = 0
    half[1:n // 2] *= 2
    return half


def raw(x, rate, shaft, orders):
    """Squared envelope spectrum of the whole band [randall2011]."""
    n = len(x)
    return [(ses(np.fft.ifft(one_sided(np.fft.fft(x - x.mean()), n))), rate / n)]


def prewhitened(x, rate, shaft, orders):
    """The same after cepstrum pre-whitening [borghesani2013]: every line divided by its magnitude."""
    n = len(x)
    spectrum = np.fft.fft(x - x.mean())
    spectrum /= np.maximum(np.abs(spectrum), np.finfo(float).tiny)
    return [(ses(np.fft.ifft(one_sided(spectrum, n))), rate / n)]


def bands_of_tree(narrowest):
    """Bands as fractions of half the rate: 1, halves, thirds, quarters, sixths ... [antoni2007]."""
    bands, parts = [], 1
    while 1 / parts >= narrowest:
        for count in (parts, parts * 3 // 2) if parts > 1 else (1,):
            if 1 / count >= narrowest:
                bands += [(k / count, (k + 1) / count) for k in range(count)]
        parts *= 2
    return bands


def kurtogram(x, rate, shaft, orders):
    """The band of the tree whose complex envelope has the largest spectral kurtosis [antoni2007], then the squared envelope spectrum."""
    n = len(x)
    spectrum = np.fft.fft(x - x.mean())[:n // 2 + 1]
    best, chosen = -np.inf, None
    for low, high in bands_of_tree(2 * 3 * max(orders) * shaft / (rate / 2)):
        a, b = int(low * n / 2), int(high * n / 2)
        part = spectrum[a:b] * np.hanning(b - a)  # smooth edges, or the filter itself rings
        power = np.abs(np.fft.ifft(part)) ** 2
        kurtosis = np.mean(power ** 2) / np.mean(power) ** 2 - 2
        if kurtosis > best:
            best, chosen = kurtosis, power
    # The envelope at the band's own rate has the duration of the recording, so the same spacing.
    return [(np.abs(np.fft.rfft(chosen - chosen.mean())) / chosen.mean(), rate / n)]


def log_envelope(x, rate, shaft, orders):
    """Spectrum of the logarithm of the squared envelope, which single strong impacts do not rule [borghesani2017]."""
    n = len(x)
    power = np.abs(np.fft.ifft(one_sided(np.fft.fft(x - x.mean()), n))) ** 2
    log = np.log(power + 1e-6 * power.mean())
    return [(np.abs(np.fft.rfft(log - log.mean())), rate / n)]


def coherence(x, rate, shaft, orders):
    """|Cyclic coherence| by the fast spectral correlation [antoni2017], and the spacing of its columns; a row for each carrier.

    Products of the short-time transform at carriers p lines apart oscillate at the cyclic frequency; each p sees those near p times the
    line spacing through the window, and their sum is divided by the sum of what the window lets through."""
    window = 128
    line = rate / window
    highest = REACH * max(orders) * shaft
    hop = max(1, min(window // 8, int(rate / (4 * highest))))
    taper = np.hanning(window)
    frames = np.lib.stride_tricks.sliding_window_view(x - x.mean(), window)[::hop]
    frames = frames[:len(frames) - len(frames) % 128]  # a length without large factors
    short = np.ascontiguousarray(np.fft.rfft(frames * taper, axis=1).T)
    carriers, n = short.shape
    spacing = rate / hop / n
    alpha = spacing * np.arange(min(n // 2, int(highest / spacing)))
    from_centre = (np.arange(window) - (window - 1) / 2) / rate
    total, let_through = np.zeros((carriers, len(alpha)), complex), np.zeros(len(alpha))
    for p in range(int(highest / line) + 2):
        off = alpha - p * line
        cyclic = np.fft.fft(short[p:] * np.conj(short[:carriers - p]), axis=1)[:, :len(alpha)] / n
        total[p:] += cyclic * np.exp(2j * np.pi * off * from_centre[0])
        # The square of Hann's window lets through five of its lines.
        near = np.abs(off) < 6 * line
        let_through[near] += np.cos(2 * np.pi * np.outer(off[near], from_centre)) @ taper ** 2
    power = np.mean(np.abs(short) ** 2, axis=1)
    at = np.arange(carriers)
    # Level of the other carrier, alpha below: between the lines by interpolation.
    below = np.maximum(at[:, None] - alpha[None, :] / line, 0)
    low = below.astype(int)
    beside = power[low] + (below - low) * (power[np.minimum(low + 1, carriers - 1)] - power[low])
    level = np.sqrt(power[:, None] * beside) * let_through / np.sum(taper ** 2)
    return np.abs(total) / np.maximum(level, 1e-12 * level.max()), spacing


kept = {}


def kept_coherence(x, rate, shaft, orders):
    """The last map of this recording's axis: two methods use it, and it is timed with the first."""
    key = (x.__array_interface__["data"], len(x), rate, shaft)
    if key not in kept:
        if len(kept) > 3:
            kept.clear()
        kept[key] = coherence(x, rate, shaft, orders)
    return kept[key]


def enhanced(x, rate, shaft, orders):
    """Enhanced envelope spectrum: mean of the coherence over all carriers [antoni2017]."""
    map_, spacing = kept_coherence(x, rate, shaft, orders)
    return [(map_.mean(axis=0), spacing)]


def improved(x, rate, shaft, orders):
    """Improved envelope spectra: the coherence averaged over each band of a tree, the best for each component [mauricio2020]."""
    map_, spacing = kept_coherence(x, rate, shaft, orders)
    rows = len(map_)
    return [(map_[int(a * rows):max(int(b * rows), int(a * rows) + 1)].mean(axis=0), spacing) for a, b in bands_of_tree(1 / 12)]


METHODS = {
    "squared envelope spectrum": raw,
    "cepstrum pre-whitening, then it": prewhitened,
    "fast kurtogram, then it": kurtogram,
    "enhanced envelope spectrum (coherence)": enhanced,
    "improved envelope spectrum (coherence, best band)": improved,
    "log-envelope spectrum": log_envelope,
}


def component_scores(method, x, rate, shaft, orders):
    """Of each component; spectra of several axes are averaged."""
    of = (orders.bpfo, orders.bpfi, 2 * orders.bsf)
    axes = [method(axis, rate, shaft, of) for axis in x]
    scores = np.full(3, -np.inf)
    for spectra in zip(*axes):
        line = spectra[0][1]
        length = min(len(s) for s, _ in spectra)
        mean = np.mean([s[:length] for s, _ in spectra], axis=0)
        scores = np.maximum(scores, [score(mean, order * shaft / line) for order in of])
    return scores


def clusters():
    """Which physical defect each recording is of: rig, component and size; healthy ones by the state of the shaft. Two recordings of one
    defect are no two cases."""
    with open(manifest(), newline="", encoding="utf-8") as file:
        return {r["file"]: "|".join((r["dataset"], r["fault"], r.get("size", ""),
                                    r["note"].split(";")[0] if r["note"].startswith("other") else ""))
                for r in csv.DictReader(file)}


def auc(score_, damaged):
    """Chance that a damaged one scores above a healthy one [hanley1982]."""
    ill, well = score_[damaged], score_[~damaged]
    return np.mean((ill[:, None] > well[None, :]) + 0.5 * (ill[:, None] == well[None, :]))


def auc_interval(score_, damaged, cluster):
    """95 % interval by drawing defects, not recordings, with replacement [efron1982]; damaged and healthy ones apart."""
    rng = np.random.default_rng(20)
    members = {c: np.flatnonzero(cluster == c) for c in np.unique(cluster)}
    kinds = [[c for c in members if damaged[members[c][0]] == kind] for kind in (True, False)]
    values = []
    for _ in range(BOOTSTRAPS):
        drawn = np.concatenate([members[c] for kind in kinds for c in rng.choice(kind, len(kind))])
        values.append(auc(score_[drawn], damaged[drawn]))
    return np.percentile(values, [2.5, 97.5])


def held_out_calls(score_, damaged, rig):
    """Damage called by a threshold that the other rigs set: the one with the best mean of both rates on them."""
    called = np.zeros(len(score_), bool)
    for r in np.unique(rig):
        others = rig != r
        candidates = np.unique(score_[others])
        rates = [np.mean(score_[others & damaged] >= t) + np.mean(score_[others & ~damaged] < t) for t in candidates]
        called[~others] = score_[~others] >= candidates[int(np.argmax(rates))]
    return called


Row = collections.namedtuple("Row", "method label choice damage seconds cluster rig called named")


def measured(every, first=0):
    """A Row for each recording and method."""
    of_cluster = clusters()
    rows = []
    for i, (record, x, rate) in enumerate(records()):
        kept.clear()
        if i % every != first:
            continue
        begun = time.process_time()
        d = diagnosed(record, x, rate, record.speed_rpm)
        seconds = time.process_time() - begun
        common = dict(label=record.label, cluster=of_cluster[record.file], rig=record.dataset)
        rows.append(Row(method="engine", choice=engine_choice(d), damage=d.probability_of_damage, seconds=seconds,
                        called=d.verdict.name, named=d.place.words, **common))
        shaft = d.speed.rate_hz if d.speed.found else (record.speed_rpm or 0) / 60
        for title, method in METHODS.items():
            start = time.process_time()
            scores = component_scores(method, x, rate, shaft, record.orders)
            rows.append(Row(method=title, choice=COMPONENTS[int(np.argmax(scores))], damage=float(scores.max()),
                            seconds=time.process_time() - start, called="", named="", **common))
    return rows


def judged(rows):
    """One line of each table for one method's rows."""
    damaged = np.array([r.label in COMPONENTS for r in rows])
    value = np.array([r.damage for r in rows])
    cluster, rig = (np.array([getattr(r, k) for r in rows]) for k in ("cluster", "rig"))
    right = np.array([r.choice == r.label for r in rows])
    called = held_out_calls(value, damaged, rig)
    low, high = auc_interval(value, damaged, cluster)
    return {
        "forced": int(right[damaged].sum()),
        "by class": [int(sum(right[i] for i, r in enumerate(rows) if r.label == c)) for c in COMPONENTS],
        "auc": auc(value, damaged), "low": low, "high": high,
        "right": int((called & right & damaged).sum()), "wrong": int((called & ~right & damaged).sum()),
        "missed": int((~called & damaged).sum()), "false": int((called & ~damaged).sum()),
        "seconds": float(np.median([r.seconds for r in rows])),
    }


def as_shipped(rows):
    """The engine with its own thresholds, which were set on these recordings."""
    ill = [r for r in rows if r.label in COMPONENTS]
    fault = [r for r in ill if r.called == "fault"]
    right = sum(r.named == r.label for r in fault)
    unclear = sum(r.named in ("place unclear", "another bearing") for r in fault)
    return (right, len(fault) - right - unclear, unclear, sum(r.called == "indeterminate" for r in ill),
            sum(r.called == "no_fault" for r in ill), sum(r.called == "fault" for r in rows if r.label not in COMPONENTS))


def page(rows, every):
    of = {m: [r for r in rows if r.method == m] for m in ("engine", *METHODS)}
    counts = collections.Counter(r.label for r in of["engine"])
    ill, well = sum(counts[c] for c in COMPONENTS), counts["none"]
    results = {m: judged(r) for m, r in of.items()}
    defects = {k: len({r.cluster for r in of["engine"] if (r.label in COMPONENTS) == k}) for k in (True, False)}
    lines = [
        "# The engine beside published methods", "",
        "Made by `python3 tests/bench/methods.py > docs/validation/methods.md`"
        + (f" of each {every}th recording only" if every > 1 else "") + f" on the {ill + well} labelled recordings of the open sets",
        f"({ill} damaged, of {defects[True]} defects; {well} healthy, in {defects[False]} states of rig and shaft). The methods are implemented",
        "in that file on NumPy alone and get the shaft speed that the engine finds. **The engine's constants were set while looking at",
        "these recordings; those of the methods were not.** Seconds are the median of the processor time for one recording on one thread;",
        "the coherence is timed with the first of its two methods.", "",
        f"| method | forced choice, of {ill} | " + " | ".join(f"{c}, of {counts[c]}" for c in COMPONENTS)
        + " | AUC of damage (95 %) | s |", "| --- |" + " --- |" * 6]
    for m, v in results.items():
        lines.append(f"| {m} | {v['forced']} | " + " | ".join(map(str, v["by class"]))
                     + f" | {v['auc']:.3f} ({v['low']:.2f} - {v['high']:.2f}) | {v['seconds']:.2f} |")
    lines += [
        "", "Forced choice: the component with the highest score, for damaged recordings; damage that the engine gives to another bearing",
        "counts as wrong. AUC: the chance that a damaged recording scores above a healthy one, whatever the rig; its interval draws",
        "defects, not recordings, since recordings of one defect are not independent. Few defects and fewer healthy states make it wide.", "",
        "## With the answer 'no damage'", "",
        "Damage is called from a threshold on; for each rig the threshold is set on the other rigs only.", "",
        f"| method | right component | wrong component | missed, of {ill} | false alarms, of {well} |", "| --- |" + " --- |" * 4]
    lines += [f"| {m} | {v['right']} | {v['wrong']} | {v['missed']} | {v['false']} |" for m, v in results.items()]
    right, wrong, unclear, open_, missed, false = as_shipped(of["engine"])
    lines += ["", f"The engine with its own thresholds, which these recordings set: {right} as labelled, {wrong} another component, "
              f"{unclear} component unclear (or of another bearing),", f"{open_} cannot tell, {missed} missed, {false} false alarms."]
    best = max(METHODS, key=lambda m: results[m]["forced"])
    apart = max(METHODS, key=lambda m: results[m]["auc"])
    engine, other = results["engine"], results[apart]
    lines += ["", "## What it says", "",
              f"- Forced to name a component, the engine is right in {engine['forced']} of {ill}, the best method ({best}) in "
              f"{results[best]['forced']}.",
              f"- Damaged from healthy: AUC {engine['auc']:.3f}, the best method ({apart}) {other['auc']:.3f}; the intervals "
              + ("do not overlap." if other["high"] < engine["low"] else "overlap."),
              f"- Of the {counts['rolling element']} damaged rolling elements no method names more than "
              f"{max(v['by class'][COMPONENTS.index('rolling element')] for v in results.values())}: the others show the lines of a ring, or none.",
              "- These are four rigs. Which method is best on another machine they cannot say."]
    return "\n".join(lines) + "\n"


def from_rows(paths):
    rows = []
    for path in paths:
        with open(path, newline="", encoding="utf-8") as file:
            rows += [Row(**r) for r in csv.DictReader(file)]
    return [r._replace(damage=float(r.damage), seconds=float(r.seconds)) for r in rows]


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--every", type=int, default=1)
    parser.add_argument("--first", type=int, default=0, help="with --every: of so many, the recordings from this one on")
    parser.add_argument("--out", help="also write a row for each recording and method")
    parser.add_argument("--rows", nargs="+", help="print the page from such rows instead of measuring")
    options = parser.parse_args()
    rows = from_rows(options.rows) if options.rows else measured(options.every, options.first)
    if options.out:
        with open(options.out, "w", newline="", encoding="utf-8") as file:
            writer = csv.writer(file)
            writer.writerow(Row._fields)
            writer.writerows(rows)
    print(page(rows, options.every), end="")


if __name__ == "__main__":
    main()
