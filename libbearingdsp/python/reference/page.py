#!/usr/bin/env python3
"""Writes the reference of the Python package as one page of HTML, from the texts of the package itself.

    PYTHONPATH=build/release/python python3 libbearingdsp/python/reference/page.py OUT.html
"""

import html
import inspect
import sys

import bearingdsp
from bearingdsp import _values

STYLE = """body{font:16px/1.5 sans-serif;max-width:60em;margin:2em auto;padding:0 1em;color:#222;background:#fff}
pre{background:#f4f4f4;padding:.8em;overflow-x:auto;white-space:pre-wrap}code{background:#f4f4f4}
table{border-collapse:collapse}td,th{border:1px solid #bbb;padding:.2em .5em;text-align:left;vertical-align:top}
nav{columns:3}h2{border-bottom:1px solid #bbb}"""


def signature(thing):
    try:
        return str(inspect.signature(thing)).replace("(self, ", "(").replace("(self)", "()")
    except (TypeError, ValueError):
        return ""


def text_of(thing):
    return f"<pre>{html.escape(inspect.getdoc(thing) or '')}</pre>"


def methods(kind):
    for name, value in vars(kind).items():
        if not name.startswith("_") and callable(value) and not isinstance(value, type):
            yield name, value


def entry(name, thing):
    parts = [f"<h3 id='{name}'><code>{html.escape(name)}{html.escape(signature(thing))}</code></h3>", text_of(thing)]
    if not isinstance(thing, type):
        return parts
    if hasattr(thing, "__members__"):
        return parts + ["<p>" + ", ".join(f"<code>{m}</code>" for m in thing.__members__) + "</p>"]
    rows = [(p, getattr(thing, p).__doc__) for p in _values.properties(thing)]
    if rows:
        parts.append("<table><tr><th>property</th><th>meaning</th></tr>" + "".join(
            f"<tr><td><code>{html.escape(p)}</code></td><td>{html.escape(doc)}</td></tr>" for p, doc in rows) + "</table>")
    for method, value in methods(thing):
        parts += [f"<h4><code>{html.escape(name)}.{html.escape(method)}{html.escape(signature(value))}</code></h4>", text_of(value)]
    return parts


def page():
    things = {name: getattr(bearingdsp, name) for name in sorted(bearingdsp.__all__, key=str.lower)}
    groups = (
        ("Functions", {n: t for n, t in things.items() if not isinstance(t, type)}),
        ("Values", {n: t for n, t in things.items() if isinstance(t, type) and not issubclass(t, BaseException)}),
        ("Errors", {n: t for n, t in things.items() if isinstance(t, type) and issubclass(t, BaseException)}),
    )
    parts = [f"<!doctype html><html lang='en'><meta charset='utf-8'><title>bearingdsp {bearingdsp.__version__}: Python reference</title>",
             f"<style>{STYLE}</style><h1>bearingdsp {bearingdsp.__version__}: Python reference</h1>", text_of(bearingdsp)]
    for title, members in groups:
        parts.append(f"<h2>{title}</h2><nav>" + "<br>".join(f"<a href='#{n}'>{n}</a>" for n in members) + "</nav>")
        for name, thing in members.items():
            parts += entry(name, thing)
    return "\n".join(parts) + "\n</html>\n"


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    text = page()
    with open(sys.argv[1], "w", encoding="utf-8") as out:
        out.write(text)
