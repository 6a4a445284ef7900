"""Breaks lines of physics on purpose, one at a time, and moves each constant that decides stage and urgency by 20 %
down and up, and says which tests notice. A break that none notices is a test that is missing.

    python3 tests/mutations.py [--build COMMAND] [--tests build/release/tests/unit_tests] [--first N]
    [--only EXPRESSION] [--list]

All breaks are compiled in at once, each behind a number that the environment gives, so that one build serves all of
them; the sources are put back in any case. Files with changes that are not committed are refused.
"""

import argparse
import os
import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
SOURCE = ROOT / "libbearingdsp" / "src"
SWITCH = "BEARINGDSP_BREAK"

# File, an expression that stands in it once, what it is broken to, in words.
BREAKS = (
    ("bearing/geometry.cpp", "half_z * relative * (1 - x)", "half_z * relative * (1 + x)",
     "BPFO with the sign of BPFI"),
    ("bearing/geometry.cpp", "relative * (1 - x * x) / (2 * ratio)", "relative * (1 - x * x) / ratio",
     "BSF twice as high"),
    ("bearing/geometry.cpp", "angle * std::numbers::pi / 180", "angle", "contact angle in radians"),
    ("dsp/spectrum.cpp", "1 / (rate.value() * w2)", "1 / (rate.value() * real(n))",
     "density without the window's power"),
    ("dsp/spectrum.cpp", "own_mirror(k, n) ? 1.0 : 2.0", "2.0", "0 Hz and half the rate counted twice"),
    ("dsp/integrate.cpp", "-gain / (2 * pi * f.value() * real(e.size()))",
     "gain / (2 * pi * f.value() * real(e.size()))", "velocity of the wrong sign"),
    ("dsp/integrate.cpp", "std::pow(2 * pi * f, power_of_omega)", "std::pow(f, power_of_omega)",
     "velocity level without 2 pi"),
    ("dsp/statistics.cpp", "total(s4) / r.variance / r.variance", "total(s4) / r.variance / r.variance - 3",
     "excess kurtosis for kurtosis"),
    ("dsp/tails.cpp", "x / a - 1 - std::log(x / a)", "x / a - 1", "tail of the gamma distribution"),
    ("spectra/envelope_spectrum.cpp", "spread - 1", "spread - 2",
     "spectral kurtosis of a real, not a complex, envelope"),
    ("spectra/envelope_spectrum.cpp", "2 / (0.5 * static_cast<double>(m))", "2 / static_cast<double>(m)",
     "modulation depth without the window's gain"),
    ("evidence/bearing_evidence.cpp", "2 * orders.bsf, model.element_harmonics, tolerance, orders.ftf, true, mains",
     "2 * orders.bsf, model.element_harmonics, tolerance, Order{1}, true, mains", "rolling element with sidebands of the shaft"),
    ("evidence/bearing_evidence.cpp", "orders.bpfi, model.ring_harmonics, tolerance, Order{1}, true, mains",
     "orders.bpfi, model.ring_harmonics, tolerance, orders.ftf, true, mains", "inner ring with sidebands of the cage"),
    ("speed/tacho.cpp", "intervals / per_revolution / (t.back() - t.front())",
     "(intervals + 1) / per_revolution / (t.back() - t.front())", "pulses counted for intervals"),
    ("speed/estimate.cpp", "Hz{synchronous * (1 - max_slip)}", "Hz{synchronous / (1 + max_slip)}",
     "slip of the wrong base"),
    ("condition/separate.cpp", "(coherence - 1 / averages) / (1 - 1 / averages)", "coherence",
     "bias of the coherence kept"),
    ("machine/limits.cpp", "{1.12, 2.8, 7.1}", "{1.12, 2.8, 4.5}", "zone C/D of class II"),
    ("replacement/rating_life.cpp", "rollers ? 10.0 / 3.0 : 3.0", "3.0", "rollers with the balls' exponent"),
    ("replacement/mounting.cpp", "steel_expansion * bore_mm * 1000", "steel_expansion * bore_mm * 500",
     "a bore that grows by the radius"),
    ("replacement/lubrication.cpp", "(70 - duty.temperature_c) / 15", "(70 - duty.temperature_c) / 30",
     "grease that halves its life every 30 K"),
    ("capture/reader.cpp", "1000.0 / *sensitivity * standard_gravity", "1000.0 / *sensitivity",
     "a sensor's sensitivity per m/s2 instead of per g"),
    ("verdict/foreign_family.cpp", "impact_order(part.part, orders).value() * (1 + part.score.slip)",
     "impact_order(part.part, orders).value()", "a family whose slip is forgotten"),
    ("verdict/foreign_family.cpp", "std::abs(order - k * foreign - m) <= tolerance",
     "std::abs(order - k * foreign) <= tolerance", "a foreign family without sidebands"),
    ("verdict/foreign_family.cpp", "all > 0 ? left / all : 1.0", "1.0",
     "lines of a foreign family counted as the bearing's own"),
    ("verdict/ends.cpp", "2 * f.fitted", "f.fitted", "an element that strikes one ring only"),
    ("verdict/ends.cpp", "20 * std::log10(a / b)", "10 * std::log10(a / b)", "levels of amplitude taken for power"),
    ("verdict/judgement.cpp", "orders.bpfi.value() * (1 + inner.score.slip)",
     "orders.bpfi.value() * (1 + outer.score.slip)", "both rings' families with the slip of one"),
    ("verdict/judgement.cpp", "std::pow(m.sideband_odds, sidebands)", "1.0", "sidebands say nothing of ring or element"),
    ("comparison/levels.cpp", "db_per_decade_of_speed * std::abs(std::log10(*r.after.speed / *r.before.speed))",
     "0.5 * db_per_decade_of_speed * std::abs(std::log10(*r.after.speed / *r.before.speed))",
     "levels that grow with the speed, not its square"),
    ("comparison/levels.cpp", "std::hypot(change.scatter_db, o.rebuilding_db)", "change.scatter_db",
     "a rebuilt motor that passes on what the old one did"),
    ("comparison/levels.cpp", "std::max(1.0, n / pieces_alike)", "n", "pieces of a recording taken for independent"),
    ("comparison/hits.cpp", "values.size() / 4", "values.size() / 2", "knocks in half of the recording taken for hits"),
    ("comparison/decide.cpp", "strongest(r, &FamilyChange::before) >= clearly * strongest(r, &FamilyChange::after)",
     "strongest(r, &FamilyChange::before) >= strongest(r, &FamilyChange::after)", "no weaker a family is a weaker one"),
    ("history/trend.cpp", "1.0 + 1.0 / static_cast<double>(level.baseline->readings)", "1.0",
     "a baseline that is known exactly"),
    ("history/trend.cpp", "above[i] >= 0 && over >= 2", "above[i] >= 0", "one reading raises an alarm"),
    ("history/trend.cpp", "p.time >= start", "true", "a new bearing compared with the one before it"),
    ("history/growth.cpp", "normal_per_mad * median(values)", "median(values)", "median deviation taken for a sigma"),
    ("history/forecast.cpp", "o_.variance_at(rate * ahead) + options.piece_db * gain", "o_.variance_at(rate * ahead)",
     "growth without randomness of its own"),
    ("dataset/metrics.cpp", "(p + z2 / (2 * n)) / (1 + z2 / n)", "p", "an interval about the counted share"),
    ("verdict/assessment.cpp", "class_limits(4)", "class_limits(3)", "zone C for every class from class III on"),
    ("verdict/assessment.cpp", "class_limits(1)", "class_limits(2)", "acceptable for every class up to class II"),
    ("verdict/assessment.cpp", "class_limits(2).value().bc", "class_limits(1).value().bc", "limits needed beyond zone B of class I"),
)

# What decides how far damage has come, what has to be done and by when: file and name of the constant.
CONSTANTS = (
    ("verdict/stage.cpp", "wide_share"),
    ("verdict/stage.cpp", "full_depth"),
    ("verdict/stage.cpp", "several_harmonics"),
    ("verdict/stage.cpp", "raised_floor_db"),
    ("../include/bearingdsp/verdict/assessment.hpp", "other_fault_from"),
    ("verdict/assessment.cpp", "suspected_share"),
    ("verdict/assessment.cpp", "check_from"),
    ("verdict/assessment.cpp", "order_from"),
    ("verdict/assessment.cpp", "very_likely_from"),
    ("verdict/assessment.cpp", "max_actions"),
    ("history/standing.cpp", "looked_at"),
    ("history/standing.cpp", "enough"),
    ("history/dates.cpp", "lonely_before"),
    ("history/dates.cpp", "healthy_ends_it"),
)


WAYS = ("less", "more")


def definition(text, name):
    """The match of a constant's definition: its head, its value, its end."""
    found = list(re.finditer(rf"(constexpr [\w:]+ {name}(?: = |{{))([^;{{}}]+)(}}?;)", text))
    if len(found) != 1:
        raise SystemExit(f"{name} is defined {len(found)} times, not once")
    return found[0]


def moved(value, way):
    """20 %, a small whole number by one."""
    if re.fullmatch(r"\d", value):
        return f"{value} {'-' if way == 'less' else '+'} 1"
    return f"({value}) * {4 if way == 'less' else 6} / 5"


def all_breaks(only):
    """File, words, and what puts the break into a text."""
    every = []
    for file, old, new, words in BREAKS:
        every.append((file, words, f"`{old}` -> `{new}`"))
    for file, name in CONSTANTS:
        value = definition((SOURCE / file).read_text(encoding="utf-8"), name)[2]
        every += [(file, f"{name} {value} {way}", f"`{value}` -> `{moved(value, way)}`") for way in WAYS]
    return [(number, *b) for number, b in enumerate(every, 1) if re.search(only, b[0])]


# Sources of one folder are compiled together.
PREAMBLE = f"""#ifndef {SWITCH}_CHOSEN
#define {SWITCH}_CHOSEN
#include <cstdlib>
static inline int bearingdsp_break() {{
  static const int chosen = std::getenv("{SWITCH}") == nullptr ? 0 : std::atoi(std::getenv("{SWITCH}"));
  return chosen;
}}
#endif
"""


def broken(text, number, old, new):
    if text.count(old) != 1:
        raise SystemExit(f"break {number}: '{old}' stands {text.count(old)} times, not once")
    # Lists of several values cannot be chosen by an operator: each that differs is.
    if "," in old and "(" not in old.split(",")[0]:
        brace = old.startswith("{")
        a, b = (re.split(r",\s*", s.strip("{}") if brace else s) for s in (old, new))
        parts = [x if x == y else f"(bearingdsp_break() == {number} ? {y} : {x})" for x, y in zip(a, b)]
        chosen = ", ".join(parts)
        return text.replace(old, f"{{{chosen}}}" if brace else chosen)
    return text.replace(old, f"(bearingdsp_break() == {number} ? ({new}) : ({old}))")


def put_breaks(files):
    for path in files:
        text = (SOURCE / path).read_text(encoding="utf-8")
        for number, (file, old, new, _) in enumerate(BREAKS, 1):
            if file == path:
                text = broken(text, number, old, new)
        for i, (file, name) in enumerate(CONSTANTS):
            if file == path:
                at = definition(text, name)
                less = len(BREAKS) + 2 * i + 1
                chosen = (f"(bearingdsp_break() == {less} ? {moved(at[2], 'less')} : bearingdsp_break() == {less + 1} "
                          f"? {moved(at[2], 'more')} : {at[2]})")
                text = text[: at.start()] + at[1] + chosen + at[3] + text[at.end() :]
        # What is chosen when the program runs is no constant of the compiler any more.
        lines = [re.sub(r"^(\s*)(inline )?constexpr ", r"\1const ", line) if "bearingdsp_break" in line else line
                 for line in text.split("\n")]
        text = "\n".join(lines).replace("constexpr std::array<ZoneRow, 4> classes", "const std::array<ZoneRow, 4> classes")
        (SOURCE / path).write_text(PREAMBLE + text, encoding="utf-8")


def failed_cases(tests, number, room=None):
    """Of all tests, or first of a room's own: most breaks are noticed there, in a second."""
    own = [f"--source-file=*/{room}/*"] if room else []
    done = subprocess.run([tests, "--abort-after=6", "--no-path-filenames", *own], capture_output=True, text=True,
                          env={**os.environ, SWITCH: str(number)}, check=False)
    names = []
    for part in re.split(r"^TEST CASE:\s+", done.stdout, flags=re.M)[1:]:
        name = part.split("\n", 1)[0]
        if "ERROR:" in part and name not in names:  # a case may also only have something to say
            names.append(name)
    return failed_cases(tests, number) if room and done.returncode == 0 else (done.returncode, names)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n")[0])
    parser.add_argument("--build", default="cmake --build build/release --target unit_tests")
    parser.add_argument("--tests", default=str(ROOT / "build/release/tests/unit_tests"))
    parser.add_argument("--first", type=int, default=1, metavar="N", help="try the breaks from this one on")
    parser.add_argument("--list", action="store_true", help="only say what would be broken")
    parser.add_argument("--only", default="", metavar="EXPRESSION", help="breaks of the files whose path matches")
    given = parser.parse_args()
    chosen = all_breaks(given.only)
    if given.list:
        for number, file, words, change in chosen:
            print(f"{number}. {words}: {file}: {change}")
        return 0
    broken_files = {b[1] for b in chosen}
    files = sorted(str((SOURCE / file).resolve().relative_to(ROOT)) for file in broken_files)
    git = ["git", "-C", str(ROOT)]
    if subprocess.run([*git, "diff", "--quiet", "HEAD", "--", *files], check=False).returncode:
        raise SystemExit("commit or put back the changes of these files first: " + ", ".join(files))
    try:
        put_breaks(broken_files)
        subprocess.run(given.build, shell=True, cwd=ROOT, check=True, stdout=subprocess.DEVNULL)
        tests = Path(given.tests).with_name("unit_tests_to_break")
        tests.write_bytes(Path(given.tests).read_bytes())
        tests.chmod(0o755)
    finally:
        subprocess.run([*git, "checkout", "--quiet", "HEAD", "--", *files], check=True)
    code, names = failed_cases(str(tests), 0)
    if code:
        raise SystemExit(f"the tests fail without any break: {names}")
    missed = tried = 0
    for number, file, words, _ in chosen:
        if number < given.first:
            continue
        code, names = failed_cases(str(tests), number, Path(file).parent.name)
        tried += 1
        missed += code == 0
        where = f"{Path(file).parent.name}/{Path(file).name}"
        print(f"| {number} | {words} | `{where}` | {'; '.join(names[:2]) if code else '**none**'} |", flush=True)
    tests.unlink()
    print(f"{tried - missed} of {tried} noticed")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
