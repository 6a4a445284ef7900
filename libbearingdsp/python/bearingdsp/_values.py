"""What every value type can do beside its own methods: show itself, become a dict or a table row.

The compiled half gives each type equality, hash, copy and pickle from its members; here its properties
are enough, so a new property needs nothing else.
"""

from __future__ import annotations

import html
from typing import Any, Dict, Iterable, List

import numpy as np

from . import _bearingdsp


def properties(kind: type) -> List[str]:
    """Names of the properties of a type, in the order in which they were defined."""
    return [name for name, value in vars(kind).items() if isinstance(value, property)]


def value_types() -> List[type]:
    """The types whose properties say all of a value."""
    kinds = [k for k in vars(_bearingdsp).values() if isinstance(k, type) and k.__module__.startswith("bearingdsp")]
    return [k for k in kinds if properties(k) and not hasattr(k, "__members__")]


def _short(value: Any) -> str:
    if isinstance(value, np.ndarray):
        return f"<{' x '.join(map(str, value.shape))} {value.dtype}>"
    if isinstance(value, (list, tuple)) and (len(value) > 4 or any(type(v) in _kinds for v in value)):
        return f"<{len(value)} {type(value[0]).__name__}>"
    if isinstance(value, float):
        return f"{value:.6g}"
    if hasattr(type(value), "__members__"):
        return f"{type(value).__name__}.{value.name}"
    if isinstance(value, dict):
        return f"<dict of {len(value)}>"
    return repr(value)


def _repr(self: Any) -> str:
    kind = type(self)
    return f"{kind.__name__}({', '.join(f'{n}={_short(getattr(self, n))}' for n in properties(kind))})"


def _repr_html(self: Any) -> str:
    """The properties as a table, as notebooks show it."""
    kind = type(self)
    rows = "".join(
        f"<tr><th style='text-align:left'>{html.escape(n)}</th><td style='text-align:left'>"
        f"{html.escape(_short(getattr(self, n)))}</td><td style='text-align:left'>"
        f"{html.escape((getattr(kind, n).__doc__ or '').splitlines()[0])}</td></tr>"
        for n in properties(kind)
    )
    return f"<table><caption>{html.escape(kind.__name__)}</caption>{rows}</table>"


def _diagnosis_html(self: Any) -> str:
    """The headline, the reasons and the series that were looked for."""
    reasons = "".join(f"<li>{html.escape(r)}</li>" for r in self.reasons)
    rows = "".join(
        f"<tr><td style='text-align:left'>{html.escape(f.part.words)}</td><td>{f.fitted:.4g}</td>"
        f"<td>{f.harmonics_detected}</td><td>{f.strength:.3g}</td></tr>"
        for f in self.families
    )
    table = "<table><tr><th>component</th><th>order</th><th>harmonics</th><th>strength</th></tr>" + rows + "</table>"
    return f"<p><b>{html.escape(self.headline)}</b></p><ul>{reasons}</ul>{table if rows else ''}"


def as_dict(value: Any) -> Dict[str, Any]:
    """The properties of a value by name; values inside it become dicts, enumerators their words.

    Arrays stay arrays. A Diagnosis also has to_dict(), the document of the tool's ``--json``.
    """

    def plain(item: Any) -> Any:
        if type(item) in _kinds:
            return as_dict(item)
        if hasattr(type(item), "__members__"):
            return item.words if hasattr(item, "words") else item.name
        if isinstance(item, (list, tuple)):
            return [plain(i) for i in item]
        return item

    if type(value) not in _kinds:
        raise TypeError(f"{type(value).__name__} is no value of bearingdsp; give a Diagnosis, an Outcome ...")
    return {name: plain(getattr(value, name)) for name in properties(type(value))}


def to_frame(values: Iterable[Any]) -> Any:
    """Values of one type as a pandas DataFrame: a row each, a column for each property.

    For the outcomes of validate(), the families or figures of a Diagnosis, rows of the catalogue ...
    Needs pandas, which the package does not install: on Debian ``apt-get install python3-pandas``.
    """
    try:
        import pandas  # type: ignore[import]
    except ImportError:
        raise ImportError(
            "to_frame() needs pandas, which is not installed; install it (python3-pandas), or use as_dict()"
        ) from None
    rows = list(values)
    if any(type(row) is not type(rows[0]) for row in rows):
        raise TypeError("the values are of several types; give a list of one")
    columns = properties(type(rows[0])) if rows else []
    return pandas.DataFrame([as_dict(row) for row in rows], columns=columns)


_kinds = set(value_types())


def complete() -> None:
    """Gives the types what they lack."""
    for kind in value_types():
        if "__repr__" not in vars(kind):
            kind.__repr__ = _repr  # type: ignore[assignment]
        kind._repr_html_ = _diagnosis_html if kind.__name__ == "Diagnosis" else _repr_html  # type: ignore[attr-defined]
