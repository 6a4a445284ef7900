#!/usr/bin/env python3
"""Writes dsp_vectors.json: what numpy and scipy say about small inputs that the C++ tests repeat.

Run with numpy 1.24, scipy 1.10 and mpmath 1.2; the versions used are written into the file. The build and the
tests never run this.
"""
import json
import pathlib

import mpmath
import numpy as np
import scipy
from scipy import signal, special, stats


def arr(a):
    return [float(v) for v in np.asarray(a).ravel()]


def main():
    mpmath.mp.dps = 60
    rng = np.random.default_rng(20240229)
    x = np.round(rng.standard_normal(257) + 0.5 * np.sin(0.4 * np.arange(257)) + 0.3, 6)
    out = {"made_with": {"numpy": np.__version__, "scipy": scipy.__version__,
                         "mpmath": mpmath.__version__}, "x": arr(x)}

    out["statistics"] = {
        "mean": float(np.mean(x)),
        "rms": float(np.sqrt(np.mean(x**2))),
        "variance": float(np.var(x)),
        "skewness": float(stats.skew(x)),
        "kurtosis": float(stats.kurtosis(x, fisher=False)),
        "median": float(np.median(x)),
        "quantiles": [[q, float(np.quantile(x, q))] for q in (0, 0.1, 0.25, 0.333, 0.9, 1)],
        "mad": float(stats.median_abs_deviation(x)),
        "remove_line": arr(signal.detrend(x)),
    }
    out["running_median"] = [
        {"half": h, "y": arr(scipy.ndimage.median_filter(x, size=2 * h + 1, mode="mirror"))}
        for h in (1, 7, 40)
    ]
    names = {"rectangular": "boxcar", "hann": "hann", "hamming": "hamming",
             "blackman": "blackman", "flat_top": "flattop", "kaiser": ("kaiser", 8.6)}
    out["windows"] = [
        {"kind": k, "n": n, "periodic": p, "w": arr(signal.get_window(v, n, fftbins=p))}
        for k, v in names.items() for n in (16, 17) for p in (True, False)
    ]
    out["welch"] = []
    for n, noverlap, scaling, trend, win in (
            (64, 32, "density", "constant", "hann"), (63, 20, "density", "linear", "hamming"),
            (100, 75, "spectrum", "constant", "blackman"), (257, 0, "spectrum", False, "flattop")):
        f, p = signal.welch(x, fs=100.0, window=win, nperseg=n, noverlap=noverlap,
                            detrend=trend, scaling=scaling)
        out["welch"].append({"segment": n, "overlap": noverlap / n, "scaling": scaling,
                             "trend": str(trend), "window": win, "y": arr(p)})
    out["envelope"] = {"odd": arr(np.abs(signal.hilbert(x))),
                       "even": arr(np.abs(signal.hilbert(x[:256])))}

    out["gamma_q"] = []
    for a in (0.1, 0.5, 1, 2.5, 3, 10, 40, 150, 1000, 10000):
        for r in (1e-6, 0.01, 0.3, 0.9, 1.0, 1.1, 1.5, 2.5, 6):
            xx = a * r
            q = float(mpmath.gammainc(a, xx, mpmath.inf, regularized=True))
            p = float(mpmath.gammainc(a, 0, xx, regularized=True))
            out["gamma_q"].append([a, xx, q, p])
    out["log_gamma_q"] = []
    for a in (0.5, 1, 3, 12, 100, 2000):
        for r in (0.5, 1, 1.5, 3, 10, 100, 1000):
            v = mpmath.log(mpmath.gammainc(a, mpmath.mpf(a * r), mpmath.inf, regularized=True))
            out["log_gamma_q"].append([a, a * r, float(v)])
    ps = [1e-300, 1e-100, 1e-20, 1e-9, 1e-4, 0.01, 0.02425, 0.1, 0.3, 0.5, 0.6, 0.9, 0.99, 0.999999]
    out["normal_quantile"] = [[p, float(special.ndtri(p))] for p in ps]
    out["gamma_median"] = [[a, float(special.gammaincinv(a, 0.5))]
                           for a in (0.5, 1, 1.5, 2, 3, 5, 8, 20, 100, 1000)]
    out["gamma_q_inverse"] = [[a, q, float(special.gammainccinv(a, q))]
                              for a in (0.5, 1, 3, 20, 300)
                              for q in (0.999, 0.5, 0.01, 1e-6, 1e-12)]

    out["butterworth"] = []
    for order, kind, w in ((2, "lowpass", 0.1), (4, "lowpass", 0.37), (5, "lowpass", 0.2),
                           (3, "highpass", 0.3), (4, "highpass", 0.02),
                           (4, "bandpass", (0.1, 0.4)), (3, "bandpass", (0.02, 0.03))):
        sos = signal.butter(order, w, kind, output="sos")
        f, h = signal.sosfreqz(sos, worN=np.array([0.003, 0.02, 0.1, 0.5, 1.0, 2.0, 3.0]))
        out["butterworth"].append({
            "order": order, "kind": kind, "edges": arr(w), "w": arr(f), "magnitude": arr(np.abs(h)),
            "phase": arr(np.angle(h)), "filtered": arr(signal.sosfilt(sos, x))[::8]})
    path = pathlib.Path(__file__).with_name("dsp_vectors.json")
    path.write_text(json.dumps(out, separators=(",", ":")) + "\n")
    print(path.name, path.stat().st_size, "bytes")


main()
