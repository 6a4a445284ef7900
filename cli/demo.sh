#!/bin/sh
# Builds the tool and diagnoses the demo captures. Works on a bare Debian 12: installs what is missing first.
# The captures were made by this program's own simulator for a sawmill that does not exist; what is true of
# each is in testdata/README.md.
set -eu
cd "$(dirname "$0")/.."
. tests/prepare.sh

# shellcheck disable=SC2086
install_missing $packages
build bearingdsp_cli
PATH=$PWD/build/release/cli:$PATH
export PATH

# step TEXT ARGUMENT...: says what is being asked, shows the command, runs it. A fault that is found (1) or
# a recording that cannot tell (3) is an answer; only a failure (2) ends the demo.
step() {
  printf '\n== %s\n$ bearingdsp' "$1"
  shift
  for word; do
    # As it would have to be typed.
    case $word in *[!A-Za-z0-9_./:,=+-]*) printf " '%s'" "$word" ;; *) printf ' %s' "$word" ;; esac
  done
  printf '\n\n'
  code=0
  bearingdsp "$@" </dev/null || code=$?
  printf '(exit code %d)\n' "$code"
  case $code in 0 | 1 | 3) ;; *) exit "$code" ;; esac
}

# The recorder of the demo writes fractions of its range, which is 128 m/s2.
range='--unit m/s2 --full-scale 128'
fan=testdata/dust-extraction-fan
feed=testdata/planer-feed
pack=testdata/hydraulic-power-pack

# round DAY NUMBER IMPACTS: makes the recordings of one visit. The outer ring of the planer feed starts with
# nothing and grows; power pack 2 is out of line; the conveyor is sound; at the fan the recorder was stopped
# at once on the last day.
round() {
  mkdir -p "$rounds/$1"
  defect=
  [ "$3" = 0 ] || defect="--defect outer:$3"
  # shellcheck disable=SC2086
  made "$1/planer-feed.wav" round_planer-feed.json --seed "1$2" $defect
  made "$1/power-pack-2.wav" hydraulic-power-pack_2026-03-09_DE_vertical.json --seed "2$2" --duration 2
  made "$1/chip-conveyor.wav" round_chip-conveyor.json --seed "3$2"
  [ "$2" != 12 ] || made "$1/dust-extraction-fan.wav" dust-extraction-fan_2026-03-09_NDE_horizontal.json
}
made() {
  out=$rounds/$1
  plan=testdata/plans/$2
  shift 2
  bearingdsp simulate --plan "$plan" --out "$out" --force "$@" >/dev/null
}

rounds=build/demo-rounds
rm -rf "$rounds"
echo "making the recordings of twelve rounds"
number=0
for visit in 2026-01-05:0 2026-01-19:0 2026-02-02:0 2026-02-16:0 2026-03-02:0 2026-03-16:0.5 \
  2026-03-30:1.2 2026-04-13:2 2026-04-27:3.2 2026-05-11:5 2026-05-25:8 2026-06-08:12; do
  number=$((number + 1))
  round "${visit%:*}" "$number" "${visit#*:}"
done

step 'Twelve surveys of the sawmill: which machines need attention?' \
  route run $rounds --route testdata/rounds.toml --store $rounds/history.db --report $rounds/report.html
step 'The first of them: since when, how fast, and how long until the limit?' \
  trend planer-feed --store $rounds/history.db
step 'Defect frequencies of a 6205 bearing at the speed of the planer feed' \
  frequencies --bearing 6205 --rpm 1432
# shellcheck disable=SC2086
step 'What a recording contains, and whether it can be trusted' \
  inspect $feed/2026-05-11_DE_horizontal.wav $range
# shellcheck disable=SC2086
step 'Planer feed, drive end: is its bearing failing?' \
  diagnose $feed/2026-05-11_DE_horizontal.wav --bearing 6205 --rpm 1432 $range --report build/planer-feed.html --force
step 'Hydraulic power pack 1, from a recorder that writes a table' \
  diagnose $pack/2026-03-02_DE_horizontal.csv --bearing 6206 --rpm 2925
# shellcheck disable=SC2086
step 'Dust-extraction fan: high vibration, but is it the bearing?' \
  diagnose $fan/2026-03-02_DE_horizontal.wav --bearing 6208 --rpm 1478 $range
# shellcheck disable=SC2086
step 'The same fan, other end: the recorder was stopped after a quarter of a second' \
  diagnose $fan/2026-03-09_NDE_horizontal.wav --bearing 6208 --rpm 1478 $range
step 'The ring of the planer feed'"'"'s bearing is hard to read: which type can it be?' \
  bearing '62?5-2Z C3'
step 'Does it suit the motor, and how is it mounted without damage?' \
  replacement 6205-2Z/C3 --rpm 1432 --shaft-height 90 --vfd --dusty --name 'planer feed' --position DE
step 'The old bearing shows grooves like a washboard: why?' \
  cause --seen fluting --fact 'variable-frequency drive'

bearingdsp simulate --plan testdata/plans/new-bearing_planer-feed.json --out build/demo-new-bearing.wav \
  --force >build/demo-new-bearing.txt
# shellcheck disable=SC2086
step 'The bearing of the planer feed was replaced: did that fix the fault?' \
  compare $feed/2026-05-11_DE_horizontal.wav build/demo-new-bearing.wav --bearing 6205 --rpm 1432 $range

printf '\nThe demo captures are invented (testdata/README.md). The tool: %s\n' build/release/cli/bearingdsp
printf 'Pages to open in a browser: %s and build/planer-feed.html\n' "$rounds/report.html"
