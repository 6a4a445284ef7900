"""Is a rolling bearing of an electric motor failing? The library bearingdsp, for NumPy.

Names follow the C++ library; where a number could be taken for another, its name says the unit
(speed_rpm, rate_hz, duration_s). Orders are multiples of the shaft's rotational frequency. Arrays
of results share the library's memory and are read-only where an object owns them: copy to change.

    import bearingdsp
    capture = bearingdsp.read_capture("capture.wav", unit="m/s2", full_scale=128)
    print(bearingdsp.diagnose(capture, bearing="6205", speed_rpm=1432).headline)

Results are values: equal to their copies, hashable, pickled (to be read by the same version), shown as
tables in notebooks; as_dict() and to_frame() turn them into dicts and pandas tables, and curves and maps
have plot(ax=None) for matplotlib.
"""

from __future__ import annotations

import json as _json
from typing import Any as _Any, Mapping as _Mapping, Union as _Union

from . import _bearingdsp, _plots, _reference, _values
from ._bearingdsp import *  # noqa: F401,F403  the compiled half, listed in _bearingdsp.pyi
from ._bearingdsp import Simulation as _Simulation, __version__
from ._values import as_dict, to_frame
from .errors import (
    BadArgument,
    CorruptFile,
    DatabaseFailure,
    Error,
    InternalError,
    IoFailure,
    MissingMetadata,
    NoSpeed,
    NotFound,
    TooShort,
    UnsupportedFormat,
)


def _plain(value: _Any) -> _Any:
    # NumPy's numbers and arrays in a plan.
    if hasattr(value, "tolist"):
        return value.tolist()
    raise TypeError(f"{type(value).__name__} in a plan is neither number, text, list nor dict")


def simulate(plan: _Union[str, _Mapping[str, _Any]]) -> _Simulation:
    """A capture with a known truth: what a defect would look like.

    plan: a dict with the keys of docs/simulation.md, or JSON text. Everything left out has its
    default; an unknown key is refused with near misses. The same plan gives the same samples.

        simulate({"seed": 7, "bearing": {"designation": "6208"}, "speed_rpm": 1470,
                  "defects": [{"part": "outer ring", "severity_m_s2": 8}]})

    Raises BadArgument with the path of the key.
    """
    text = plan if isinstance(plan, str) else _json.dumps(plan, default=_plain)
    return _bearingdsp.simulate_json(text)


__all__ = [n for n in dir(_bearingdsp) if not n.startswith("_") and n != "simulate_json"] + [
    "BadArgument",
    "CorruptFile",
    "DatabaseFailure",
    "Error",
    "InternalError",
    "IoFailure",
    "MissingMetadata",
    "NoSpeed",
    "NotFound",
    "TooShort",
    "UnsupportedFormat",
    "as_dict",
    "simulate",
    "to_frame",
]

_reference.complete()
_values.complete()
_plots.complete()
