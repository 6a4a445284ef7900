"""Breaks lines of physics on purpose, one at a time, and says which tests notice. A break that none notices is a test
that is missing.

    python3 tests/mutations.py [--build COMMAND] [--tests build/release/tests/unit_tests] [--first N]
    [--list]

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
    ("speed/tacho.cpp", "intervals / p / span", "(intervals + 1) / p / span", "pulses counted for intervals"),
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
)

PREAMBLE = f"""#include <cstdlib>
static inline int bearingdsp_break() {{
  static const int chosen = std::getenv("{SWITCH}") == nullptr ? 0 : std::atoi(std::getenv("{SWITCH}"));
  return chosen;
}}
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


def put_breaks():
    for path in {b[0] for b in BREAKS}:
        text = (SOURCE / path).read_text(encoding="utf-8")
        for number, (file, old, new, _) in enumerate(BREAKS, 1):
            if file == path:
                text = broken(text, number, old, new)
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
    given = parser.parse_args()
    files = sorted({str((SOURCE / b[0]).relative_to(ROOT)) for b in BREAKS})
    if given.list:
        for number, (file, old, new, words) in enumerate(BREAKS, 1):
            print(f"{number}. {words}: {file}: `{old}` -> `{new}`")
        return 0
    git = ["git", "-C", str(ROOT)]
    if subprocess.run([*git, "diff", "--quiet", "HEAD", "--", *files], check=False).returncode:
        raise SystemExit("commit or put back the changes of these files first: " + ", ".join(files))
    try:
        put_breaks()
        subprocess.run(given.build, shell=True, cwd=ROOT, check=True, stdout=subprocess.DEVNULL)
        tests = Path(given.tests).with_name("unit_tests_to_break")
        tests.write_bytes(Path(given.tests).read_bytes())
        tests.chmod(0o755)
    finally:
        subprocess.run([*git, "checkout", "--quiet", "HEAD", "--", *files], check=True)
    code, names = failed_cases(str(tests), 0)
    if code:
        raise SystemExit(f"the tests fail without any break: {names}")
    missed = 0
    for number, (file, _, _, words) in list(enumerate(BREAKS, 1))[given.first - 1 :]:
        code, names = failed_cases(str(tests), number, file.split("/")[0])
        missed += code == 0
        print(f"| {number} | {words} | `{file}` | {'; '.join(names[:2]) if code else '**none**'} |", flush=True)
    tests.unlink()
    tried = len(BREAKS) - given.first + 1
    print(f"{tried - missed} of {tried} noticed")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
