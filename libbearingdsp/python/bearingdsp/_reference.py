"""Signatures and texts of the compiled functions, as inspect and help() expect them.

Names mean the same in every function, so each is described once, here. The text of a function itself
stands with its binding.
"""

from __future__ import annotations

import re
from typing import Any, Dict, Iterator, List, NamedTuple, Tuple

from . import _bearingdsp

#: Type and meaning of each parameter, whatever the function.
PARAMETERS: Dict[str, Tuple[str, str]] = {
    "after": ("list of Capture", "Recordings after the work."),
    "axes": ("list of RecordSpectrum", "Flattened spectra of equal length and rate: the axes of one measuring point."),
    "band": ("Band or (float, float)", "Lower and upper end, Hz."),
    "bearing": (
        "str, BearingGeometry, DefectOrders, list of DefectOrders or None",
        "A designation, the sizes inside, orders, several to choose among, or not known.",
    ),
    "before": ("list of Capture", "Recordings before the work."),
    "bins": ("int", "How many equal bins from 0 to 1."),
    "bits": ("int", "16, 24 or 32 bits a sample; 32 are floats."),
    "blind_speed": ("bool", "Withhold the known speed."),
    "block": ("int", "Samples of a block; 0: chosen by the length."),
    "bore_mm": ("float", "Bore, mm."),
    "capture": ("Capture", "The recording."),
    "channels": ("str, list of str or None", "Channels to analyse; None: every vibration channel."),
    "csv": ("str", "Text of the table."),
    "curve": ("list of DetectionPoint", "From detection_curve()."),
    "curves": ("str", "Curves that are kept for pictures: 'none', 'envelope' or 'all'."),
    "cyclic_hz": ("array_like", "Cyclic frequencies, Hz, above 0 and below rate_hz."),
    "data": ("bytes", "Content of the file."),
    "dataset": ("str", "Group of the printed rates."),
    "days": ("array_like", "Days of the readings, rising."),
    "delay": ("int", "Samples by which the recording is delayed; 0: chosen by the length."),
    "designation": ("str", "Designation of a bearing, as '6205-2RS1/C3'."),
    "detector": ("str or callable", "How a line is read: 'rms', 'peak' or 'peak_to_peak'. Of validate(): called with Capture and LabelledRecord."),
    "diagnosed": ("callable or None", "Called as diagnosed(record, diagnosis) after each recording."),
    "diagnoses": ("sequence of Diagnosis", "Of one measuring point with one bearing; of features_csv(): one for each recording."),
    "evidence": ("BearingEvidence", "From bearing_evidence()."),
    "examination": ("Examination", "From examine()."),
    "file": ("str", "Name of the recording."),
    "full_scale": ("float or None", "Largest magnitude of the recorder, in the unit of the samples."),
    "fundamental_hz": ("float", "Frequency whose multiples are removed, Hz."),
    "geometry": ("BearingGeometry", "The sizes inside the bearing."),
    "half": ("int", "Lines to each side of the running median."),
    "happened": ("array_like of bool", "What came of each forecast."),
    "harmonics": ("int", "How many multiples; 0: all below half the rate."),
    "high_hz": ("float", "Upper end, Hz; for filters 0 is none."),
    "hysteresis": ("float", "Fraction of the range that the signal has to cross, 0 .. 1."),
    "inner_turns": ("float", "Turns of the inner ring per revolution of the shaft."),
    "jobs": ("int", "Threads; 0: all cores."),
    "kaiser_beta": ("float", "Shape of the Kaiser window; the others do not use it."),
    "kind": ("str", "rectangular, hann, hamming, blackman, flat_top or kaiser."),
    "label": ("str", "True condition: 'none', 'outer ring', 'inner ring', 'rolling element', 'cage' or 'several'."),
    "level_db": ("array_like", "Level of each reading above the baseline, dB."),
    "limit_db": ("float", "Limit above the baseline, dB."),
    "line_frequency_hz": ("float or None", "Mains, 50 or 60 Hz; None: not known."),
    "low_hz": ("float", "Lower end, Hz; for filters 0 is none."),
    "mains_hz": ("list of float", "Mains frequencies whose impulses are kept out, Hz."),
    "manifest": ("Manifest", "The labelled recordings."),
    "model": (
        "Model, dict, path or None",
        "Constants of the engine: a Model, those that differ by name, a table, or as shipped.",
    ),
    "n": ("int", "Length."),
    "name": ("str", "Stands for the path in messages; or the name that is looked up."),
    "named": ("str", "The component that was named, 'none', 'cannot tell' or 'failed'."),
    "names": ("list of str", "Names of the channels; empty: as in the file, or 'channel 1' ..."),
    "narrowest_hz": ("float", "Width of the narrowest band, Hz."),
    "noted_speed_rpm": ("float or None", "Speed that was noted with the recording, rpm."),
    "order_resolution": ("float", "Width of a line in orders: about 1 over the revolutions recorded."),
    "orders": ("DefectOrders", "Defect orders of the bearing; None where the function allows it."),
    "outcomes": ("list of Outcome", "From validate() or parse_results()."),
    "outer_turns": ("float", "Turns of the outer ring per revolution of the shaft."),
    "outside_diameter_mm": ("float", "Outside diameter, mm."),
    "overlap": ("float", "Fraction of a segment shared with the next, 0 <= overlap < 1."),
    "part": ("Part", "Component of the bearing."),
    "passes": ("int", "How often the recording is run through."),
    "path": ("str or os.PathLike", "The file."),
    "period": ("int", "Samples of a period."),
    "periodic": ("bool", "True for spectra, False (symmetric) for filters."),
    "plan": ("dict or str", "Keys of docs/simulation.md, or JSON text."),
    "plans": ("FftPlans or None", "Transform plans kept from call to call; None: made for this one."),
    "probability": ("array_like of float", "Forecasts, 0 .. 1."),
    "probability_damage": ("float", "That the bearing is damaged, 0 .. 1."),
    "probability_place": ("float", "Of the component that is named, 0 .. 1."),
    "progress": ("callable or None", "Called as progress(done, all) after each recording."),
    "pulses_per_revolution": ("float", "Pulses of the tacho in a revolution, above 0."),
    "radial_ball": ("bool", "Whether it is known to be a radial ball bearing."),
    "range_probability": ("float", "Of the range, between 0 and 1."),
    "rate_hz": ("float", "Samples per second, above 0."),
    "ratio": ("float", "New rate over old rate."),
    "reason": ("str", "A sentence for the table."),
    "recording": ("Capture or array_like", "The recording: [n] or [channels, n], axes of one measuring point."),
    "records": ("list of LabelledRecord", "The recordings."),
    "rolling_elements": ("int", "Elements in a row, counted."),
    "rows": ("list of CatalogueEntry", "From find_bearing()."),
    "samples": ("array_like", "Samples [n] or [channels, n]; masked samples and NaN are gaps."),
    "samples_per_revolution": ("float", "Rate of the result, samples per revolution."),
    "scaling": ("str", "'density' (U^2/Hz), 'power' (U^2) or 'amplitude' (U)."),
    "segment": ("int", "Samples of a segment."),
    "select": ("str, int, list or None", "Channels to read, by name, pattern, number or range."),
    "sensitivity_mv_per_g": ("list of float", "Of the accelerometer: one, or one a channel; mV/g."),
    "sha256": ("str", "Checksum of the file, lower-case hexadecimal; empty: not checked."),
    "shaft_hz": ("float", "Rotational frequency of the shaft, Hz."),
    "sigma_db": ("float", "Standard deviation of the readings that the baseline is made of, dB."),
    "signal": ("str", "Signal in the file, as in docs/manifest.md; empty: all."),
    "sizes_mm": ("(float, float, float) or None", "Bore, outside diameter and width, measured; mm."),
    "slip": ("float", "Fraction by which the cage lags, 0 <= slip < 0.5."),
    "slope_hz": ("float", "Width of the slopes, Hz."),
    "smoothing_hz": ("float", "Width over which the level is smoothed, Hz."),
    "spectrum": ("Spectrum or RecordSpectrum", "From the function that makes it."),
    "speed_range_rpm": ("(float, float) or None", "Where the speed is looked for, rpm."),
    "speed_rpm": ("float or None", "Nominal speed, rpm; checked and refined. None: looked for."),
    "speed_tolerance": ("float", "How far off the nominal speed may be, as a fraction."),
    "split": ("str", "Name of a group of recordings."),
    "step": ("float", "Normalised step of the adaptation, below 2."),
    "successes": ("int", "How often it happened."),
    "tacho": ("str", "Name of the shaft marker's signal; empty: none."),
    "tacho_channel": ("str", "Name of the channel of the shaft marker; empty: none."),
    "taps": ("int", "Length of the predictor."),
    "time_column": ("str", "Number or name of the column of time; empty: found."),
    "tolerance": ("float", "Half-width of the search as a fraction, for slip and speed."),
    "track": ("PhaseTrack or None", "Angle of the shaft against time."),
    "trend": ("str", "'keep', 'remove_mean' or 'remove_line'."),
    "trials": ("int", "How often it could have happened."),
    "unit": ("str, list of str, SampleUnit or None", "Unit of the samples: 'g', 'm/s2', 'mm/s', 'V' ..."),
    "up_to_hz": ("float", "Highest frequency of the result, Hz."),
    "values": ("dict", "Constants by name."),
    "width_mm": ("float", "Width, mm."),
    "window": ("str", "rectangular, hann, hamming, blackman, flat_top or kaiser."),
    "x": ("array_like", "Samples of one channel [n], finite."),
    # of constructors and methods
    "bpfi": ("float", "Inner ring, orders."),
    "bpfo": ("float", "Outer ring, orders."),
    "bsf": ("float", "Element spin, orders; not doubled."),
    "contact_angle_deg": ("float", "Contact angle, degrees."),
    "details": ("bool", "Also what only an analyst asks for."),
    "element_diameter": ("float", "Of an element, in the unit of pitch_diameter."),
    "ftf": ("float", "Cage, orders."),
    "pitch_diameter": ("float", "Of the circle through the centres of the elements."),
    "pretty": ("bool", "On several lines."),
    "relative_uncertainty": ("float", "Half-width of the interval that holds the true orders, as a fraction."),
    "revolutions": ("array_like", "Angle of the shaft, revolutions, rising."),
    "source": ("str", "Who states it."),
    "time_s": ("array_like", "Instants, s, rising."),
    "value": ("int", "Number of the enumerator."),
    "width": ("int", "Characters of a line."),
}

#: Where SciPy has the same function under other habits.
SCIPY: Dict[str, str] = {
    "amplitude_spectrum": "scipy.signal.periodogram(scaling='spectrum') gives mean squares: (ours, rms)**2.",
    "analytic_signal": "As scipy.signal.hilbert.",
    "crest_factor": "The mean is not removed; remove it first for an AC level.",
    "envelope": "As abs(scipy.signal.hilbert(x)).",
    "filter_band": "Zero phase by one transform; scipy.signal.sosfiltfilt reaches the same with recursive slopes.",
    "integrate": "Limited to a band; scipy.integrate.cumulative_trapezoid keeps the drift below it.",
    "kurtosis": "3 for Gaussian noise; scipy.stats.kurtosis subtracts 3 unless fisher=False.",
    "make_window": "scipy.signal.get_window(kind, n, fftbins=periodic); flat_top is 'flattop' there.",
    "moments": "Population moments (divided by n), as numpy.var; kurtosis is 3 for Gaussian noise.",
    "real_cepstrum": "Of the whole recording, without a window; SciPy has none.",
    "resample": "The ends are extended, not joined; scipy.signal.resample takes the recording as periodic.",
    "synchronous_average": "numpy.reshape and mean over whole periods.",
    "welch": (
        "scipy.signal.welch has nperseg=256, ours 4096; window, overlap, detrending and scaling are alike. "
        "scaling='power' is 'spectrum' there."
    ),
    "wilson_interval": "scipy.stats.binomtest(k, n).proportion_ci(method='wilson').",
}


class Signature(NamedTuple):
    """What pybind11 writes before the text of a function."""

    parameters: List[Tuple[str, str]]  # name and default, "" where it has none; "*" by itself
    returns: str
    text: str


def _split(text: str) -> List[str]:
    """Parts between the commas that are outside brackets and quotes."""
    parts, depth, quote, start = [], 0, "", 0
    for i, c in enumerate(text):
        if quote:
            quote = "" if c == quote else quote
        elif c in "'\"":
            quote = c
        elif c in "([{<":
            depth += 1
        elif c in ")]}" or (c == ">" and text[i - 1] != "-"):
            depth -= 1
        elif c == "," and depth == 0:
            parts.append(text[start:i].strip())
            start = i + 1
    return [p for p in (*parts, text[start:].strip()) if p]


def _parsed(name: str, doc: str) -> Signature:
    head, _, text = doc.partition("\n")
    if head.startswith(f"{name}(*args"):  # overloads: the first stands for all
        head = next(line[3:] for line in text.splitlines() if line.startswith(f"1. {name}("))
        text = "\n".join(line for line in text.splitlines() if line and not re.match(r"\d+\. |Overloaded", line))
    match = re.fullmatch(rf"{re.escape(name)}\((.*)\) -> (.*)", head)
    if not match:
        raise ValueError(f"{name}: no signature in its text")
    parameters = []
    for part in _split(match[1]):
        left, _, default = part.partition(" = ")
        parameters.append((left.partition(":")[0].strip(), default.strip()))
    returns = match[2].replace("bearingdsp._bearingdsp.", "").replace("numpy.ndarray[numpy.float64]", "numpy.ndarray")
    return Signature(parameters, returns, text.strip())


def _composed(name: str, of: Signature) -> str:
    """Signature for inspect, then the text in NumPy's style."""
    arguments = ", ".join(p + (f"={default}" if default else "") for p, default in of.parameters)
    named = [p for p, _ in of.parameters if p not in ("self", "*", "/")]
    lines = [of.text or f"{name}() of the type."]
    if named and not name.startswith("__"):
        lines += ["", "Parameters", "----------"]
        for p in named:
            kind, meaning = PARAMETERS[p]
            lines += [f"{p} : {kind}", f"    {meaning}"]
    if of.returns != "None" and not name.startswith("__"):
        lines += ["", "Returns", "-------", of.returns]
    if name in SCIPY:
        lines += ["", "Notes", "-----", f"Beside NumPy and SciPy: {SCIPY[name]}"]
    return f"{name}({arguments})\n--\n\n" + "\n".join(lines)


def _functions() -> Iterator[Tuple[str, Any]]:
    for name, value in list(vars(_bearingdsp).items()):
        if isinstance(value, type):
            if value.__module__.startswith("bearingdsp"):
                yield from (
                    (n, v) for n, v in vars(value).items() if type(v).__name__ in ("instancemethod", "builtin_function_or_method")
                )
        elif not name.startswith("_") and type(value).__name__ == "builtin_function_or_method":
            yield name, value


def complete() -> None:
    """Gives every compiled function its signature and its text."""
    for name, function in _functions():
        doc = function.__doc__ or ""
        if "\n--\n" in doc or not doc.startswith(f"{name}("):
            continue  # has them
        _bearingdsp._document(function, _composed(name, _parsed(name, doc)))
