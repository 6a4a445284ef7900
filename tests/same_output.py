#!/usr/bin/env python3
"""Whether a program printed what a page says it prints: character by character, its numbers to a tolerance.

usage: same_output.py SAID PRINTED      (exit code 1, and the first lines that differ, where it is not the same)

Whole numbers are exact. A number with decimals may be off by one unit of its last printed place or by half a per cent,
for mathematical functions and transforms round differently from machine to machine. A bar of a drawn curve may be one step
(of eight) off, and a column beside a number may be padded otherwise. All else is compared as it is.
"""
import re
import sys

BARS = " ▁▂▃▄▅▆▇█"
NUMBER = re.compile(r"\d+\.\d+|\d+")
SHARE = 0.005


def same_number(said, printed):
    if said == printed:
        return True
    if "." not in said or "." not in printed:
        return False
    places = min(len(text.split(".")[1]) for text in (said, printed))
    off = abs(float(said) - float(printed))
    return off <= max(1.001 * 10.0**-places, SHARE * abs(float(said)))


def is_picture(line):
    return any(c in line for c in BARS[1:])


def same_picture(said, printed):
    return len(said) == len(printed) and all(
        a == b or (a in BARS and b in BARS and abs(BARS.index(a) - BARS.index(b)) == 1) for a, b in zip(said, printed))


def same_words(said, printed):
    """The text between the numbers; spaces beside a number pad a column."""
    def pieces(line):
        between = NUMBER.split(line)
        inner = [re.sub(r"^ +| +$", " ", part) for part in between]
        # What a line begins with is its indent, unless a number is all there is.
        inner[0] = re.sub(r" +$", " ", between[0])
        return inner

    return pieces(said) == pieces(printed)


def same_line(said, printed):
    if said == printed:
        return True
    if is_picture(said) or is_picture(printed):
        # The height of the axis stands before the picture.
        a, b = (re.split("(?=[│┤])", line, maxsplit=1) for line in (said, printed))
        return len(a) == len(b) and same_picture(a[-1], b[-1]) and (len(a) == 1 or same_line(a[0], b[0]))
    ours, theirs = NUMBER.findall(said), NUMBER.findall(printed)
    return len(ours) == len(theirs) and all(map(same_number, ours, theirs)) and same_words(said, printed)


def differences(said, printed):
    for i in range(max(len(said), len(printed))):
        a, b = (text[i] if i < len(text) else None for text in (said, printed))
        if a is None or b is None or not same_line(a, b):
            yield i + 1, a, b


def main():
    said, printed = (open(path, encoding="utf-8").read().split("\n") for path in sys.argv[1:3])
    shown = 0
    for number, a, b in differences(said, printed):
        if shown == 12:
            print("  ...")
            break
        shown += 1
        print(f"  line {number}\n    page:    {'(nothing)' if a is None else a}\n    printed: {'(nothing)' if b is None else b}")
    return 1 if shown else 0


if __name__ == "__main__":
    sys.exit(main())
