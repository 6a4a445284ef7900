"""plot() of the values that are curves or maps, on axes of matplotlib.

Each takes ``ax`` (axes to draw on; None: the current ones) and the options of the matplotlib call, and
returns the axes. matplotlib is imported by the call, not by the package.
"""

from __future__ import annotations

from typing import Any, Dict, List, Optional

import numpy as np

from . import _bearingdsp as _b


def _axes(ax: Any) -> Any:
    if ax is not None:
        return ax
    try:
        import matplotlib.pyplot as pyplot  # type: ignore[import]
    except ImportError:
        raise ImportError("plot() needs matplotlib, which is not installed; install it (python3-matplotlib)") from None
    return pyplot.gca()


def _labelled(ax: Any, x: str, y: str, title: str = "") -> Any:
    ax.set_xlabel(x)
    ax.set_ylabel(y)
    if title:
        ax.set_title(title, wrap=True)
    return ax


_quantity = {"m/s2": "acceleration / (m/s²)", "m/s": "velocity / (m/s)", "m": "displacement / m", "V": "voltage / V"}


def plot_capture(self: Any, ax: Optional[Any] = None, *, channel: Optional[str] = None, **options: Any) -> Any:
    """Samples against time, s: all channels, or the one that is named."""
    ax = _axes(ax)
    shown = [self[channel]] if channel is not None else self.channels
    for c in shown:
        ax.plot(np.arange(len(c.samples)) / self.rate_hz, c.samples, **{"lw": 0.6, "label": c.name, **options})
    if len(shown) > 1:
        ax.legend()
    return _labelled(ax, "time / s", _quantity.get(shown[0].unit.symbol, "samples"))


def plot_spectrum(self: Any, ax: Optional[Any] = None, **options: Any) -> Any:
    """Lines against frequency, Hz, on a logarithmic scale."""
    ax = _axes(ax)
    ax.semilogy(self.frequency_hz, np.maximum(self.y, np.finfo(float).tiny), **{"lw": 0.7, **options})
    unit = {"amplitude": "amplitude / U", "power": "power / U²", "density": "density / (U²/Hz)"}
    return _labelled(ax, "frequency / Hz", unit[self.scaling])


def plot_envelope(
    self: Any, ax: Optional[Any] = None, *, shaft_hz: Optional[float] = None, orders: Optional[Any] = None, **options: Any
) -> Any:
    """Modulation depth against frequency, Hz, or against orders of shaft_hz; orders marks BPFO, BPFI, BSF and FTF."""
    if orders is not None and shaft_hz is None:
        raise ValueError("orders without shaft_hz: their frequencies are not known; give shaft_hz")
    ax = _axes(ax)
    unit = 1.0 if shaft_hz is None else 1.0 / shaft_hz
    ax.plot(unit * self.frequency_hz[1:], np.sqrt(self.depth2[1:]), **{"lw": 0.7, "color": "0.25", **options})
    if orders is not None:
        for name, order in (("BPFO", orders.bpfo), ("BPFI", orders.bpfi), ("BSF", orders.bsf), ("FTF", orders.ftf)):
            ax.axvline(order, ls=":", lw=0.9, color={"BPFO": "C3", "BPFI": "C0", "BSF": "C2", "FTF": "C1"}[name], label=name)
        ax.legend()
    return _labelled(ax, "frequency / Hz" if shaft_hz is None else "orders of the shaft", "modulation depth")


def plot_coherence(self: Any, ax: Optional[Any] = None, **options: Any) -> Any:
    """The map: cyclic frequency, Hz, across; frequency of the carrier, Hz, upwards."""
    ax = _axes(ax)
    magnitude = self.magnitude
    ax.imshow(
        magnitude,
        **{
            "origin": "lower",
            "aspect": "auto",
            "extent": (0, magnitude.shape[1] * self.step_hz, self.bands[0].low_hz, self.bands[-1].high_hz),
            **options,
        },
    )
    return _labelled(ax, "cyclic frequency / Hz", "frequency / Hz", f"coherence; chance reaches {self.by_chance:.3g}")


def plot_kurtogram(self: Any, ax: Optional[Any] = None, **options: Any) -> Any:
    """Kurtosis of each band at its middle: frequency, Hz, across; a row for each width. A cross marks the best band."""
    ax = _axes(ax)
    rows: Dict[int, List[int]] = {}
    for i, band in enumerate(self.bands):
        rows.setdefault(round((band.high_hz - band.low_hz) / 10), []).append(i)
    shades = {"vmin": min(0.0, float(self.kurtosis.min())), "vmax": float(self.kurtosis.max()), **options}
    for y, width in enumerate(sorted(rows, reverse=True)):
        row = sorted(rows[width], key=lambda i: self.bands[i].low_hz)
        middles = np.array([(self.bands[i].low_hz + self.bands[i].high_hz) / 2 for i in row])
        edges = np.concatenate(([self.bands[row[0]].low_hz], (middles[1:] + middles[:-1]) / 2, [self.bands[row[-1]].high_hz]))
        ax.pcolormesh(edges, [y - 0.5, y + 0.5], self.kurtosis[row][None, :], **shades)
        for i, middle in zip(row, middles):
            if self.bands[i] == self.best:
                ax.plot(middle, y, "x", color="C3")
    ax.set_yticks(range(len(rows)), [f"{10 * w:.0f}" for w in sorted(rows, reverse=True)])
    ax.invert_yaxis()
    low, high = self.best
    return _labelled(ax, "frequency / Hz", "width of the band / Hz", f"kurtosis up to {self.kurtosis.max():.3g}, at {low:.0f} to {high:.0f} Hz")


def plot_averaged_coherence(self: Any, ax: Optional[Any] = None, **options: Any) -> Any:
    """The map: cyclic frequency, Hz, across; frequency of the carrier, Hz, upwards."""
    ax = _axes(ax)
    ax.pcolormesh(self.cyclic_hz, self.carrier_hz, self.squared.T, **{"vmin": 0, "shading": "nearest", **options})
    return _labelled(ax, "cyclic frequency / Hz", "frequency / Hz", f"squared coherence; noise reaches {self.by_chance:.3g}")


def plot_curve(self: Any, ax: Optional[Any] = None, **options: Any) -> Any:
    """The curve with its title and units."""
    ax = _axes(ax)
    ax.plot(self.x, self.y, **{"lw": 0.7, **options})
    return _labelled(ax, self.x_unit, self.y_unit, self.title)


def plot_track(self: Any, ax: Optional[Any] = None, **options: Any) -> Any:
    """Speed against time: rpm between the points of the track."""
    ax = _axes(ax)
    rpm = 60 * np.diff(self.revolutions) / np.diff(self.time_s)
    ax.plot((self.time_s[1:] + self.time_s[:-1]) / 2, rpm, **options)
    return _labelled(ax, "time / s", "speed / rpm")


def plot_diagnosis(self: Any, ax: Optional[Any] = None, **options: Any) -> Any:
    """Strength of the series of each component; what reaches further is stronger evidence for damage."""
    ax = _axes(ax)
    families = sorted(self.families, key=lambda f: int(f.part), reverse=True)
    ax.barh([f.part.words for f in families], [f.strength for f in families], **options)
    return _labelled(ax, "strength of the harmonic series", "", self.headline)


def complete() -> None:
    """Gives the types their plot()."""
    for kind, plot in (
        (_b.Capture, plot_capture),
        (_b.Spectrum, plot_spectrum),
        (_b.EnvelopeSpectrum, plot_envelope),
        (_b.CoherenceMap, plot_coherence),
        (_b.AveragedCoherence, plot_averaged_coherence),
        (_b.Kurtogram, plot_kurtogram),
        (_b.Curve, plot_curve),
        (_b.PhaseTrack, plot_track),
        (_b.Diagnosis, plot_diagnosis),
    ):
        kind.plot = plot  # type: ignore[attr-defined]
