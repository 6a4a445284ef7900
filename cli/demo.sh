#!/bin/sh
# Builds the tool, then uses it as a new user would: a plant folder for a small sawmill that does not exist, its
# machines, a recording to diagnose, twelve surveys, and what comes after them. Works on a bare Debian 12: installs what is
# missing first. The recordings are made by this program's own simulator (testdata/README.md).
set -eu
cd "$(dirname "$0")/.."
. tests/prepare.sh

# shellcheck disable=SC2086
install_missing $packages
build bearingdsp_cli
repository=$PWD
PATH=$repository/build/release/cli:$PATH
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
  bearingdsp "$@" 2>&1 </dev/null || code=$?
  printf '(exit code %d)\n' "$code"
  case $code in 0 | 1 | 3) ;; *) exit "$code" ;; esac
}

# made FILE PLAN OPTION...: a recording of the plant, instead of the recorder.
made() {
  out=recordings/$1
  plan=$repository/testdata/plans/$2
  shift 2
  bearingdsp simulate --plan "$plan" --out "$out" "$@" >/dev/null
}

# survey DAY NUMBER IMPACTS: makes the recordings of one. The outer ring of the planer feed starts with nothing and grows;
# the power pack is out of line; the conveyor is healthy; at the fan the recorder was stopped at once on the last day.
survey() {
  defect=
  [ "$3" = 0 ] || defect="--defect outer:$3"
  # shellcheck disable=SC2086
  made "planer-feed_$1.wav" round_planer-feed.json --seed "1$2" $defect
  made "power-pack_$1.wav" hydraulic-power-pack_2026-03-09_DE_vertical.json --seed "2$2" --duration 2
  made "chip-conveyor_$1.wav" round_chip-conveyor.json --seed "3$2"
  [ "$2" != 12 ] || made "fan_$1_NDE_horizontal.wav" dust-extraction-fan_2026-03-09_NDE_horizontal.json
}

mkdir -p build
rm -rf build/sawmill
cd build
step 'A plant folder remembers what is the same for all recordings' \
  init sawmill --name Sawmill --mains 50
cd sawmill
printf '\n(all commands from here on are typed in %s)\n' "$PWD"
step 'The sensor with its recorder: full scale is 128 m/s2' \
  sensor add recorder --unit m/s2 --full-scale 128
step 'The machines, each from its nameplate' \
  machine add planer-feed --bearing '6205-2Z C3' --rpm 1432 --power 1.5 --frame 'IEC 90L' --mounting rigid -q
step 'The hydraulic power pack' \
  machine add power-pack --bearing '6206 C3' --rpm 2925 --power 4 --frame 'IEC 112M' --mounting rigid \
  --point 'DE vertical' -q
step 'The chip conveyor' \
  machine add chip-conveyor --bearing '6208-2Z C3' --rpm 955 --power 2.2 --frame 'IEC 112M' --mounting rigid -q
step 'The dust-extraction fan, measured at both ends' \
  machine add fan --bearing '6208-2Z C3' --bearing-nde '6208-2Z C3' --rpm 1478 --power 7.5 --frame 'IEC 132M' \
  --mounting flexible --point 'DE horizontal' --point 'NDE horizontal' -q
step 'All of them' machine list
for machine in planer-feed power-pack chip-conveyor fan; do
  step "The survey route: $machine" route add $machine
done

cp "$repository/testdata/planer-feed/2026-05-11_DE_horizontal.wav" recordings/planer-feed.wav
step 'The first answer: is the bearing of the planer feed failing?' \
  diagnose recordings/planer-feed.wav --report planer-feed.html
step 'What the recording contains, and whether it can be trusted' \
  inspect recordings/planer-feed.wav
rm recordings/planer-feed.wav
made fan_2026-06-08_DE_horizontal.wav dust-extraction-fan_2026-03-02_DE_horizontal.json
step 'Dust-extraction fan: high vibration, but is it the bearing?' \
  diagnose recordings/fan_2026-06-08_DE_horizontal.wav
made fan_2026-06-08_NDE_horizontal.wav dust-extraction-fan_2026-03-09_NDE_horizontal.json
step 'The same fan, other end: the recorder was stopped after a quarter of a second' \
  diagnose recordings/fan_2026-06-08_NDE_horizontal.wav
rm recordings/fan_2026-06-08_NDE_horizontal.*

printf '\n(making the recordings of twelve surveys)\n'
number=0
for visit in 2026-01-05:0 2026-01-19:0 2026-02-02:0 2026-02-16:0 2026-03-02:0 2026-03-16:0.5 \
  2026-03-30:1.2 2026-04-13:2 2026-04-27:3.2 2026-05-11:5 2026-05-25:8 2026-06-08:12; do
  number=$((number + 1))
  survey "${visit%:*}" "$number" "${visit#*:}"
done
step 'Twelve surveys: which machines need attention?' \
  route run --report survey.html
step 'The first of them: since when, how fast, and how long until the limit?' \
  trend planer-feed
step 'One page for the plant manager' \
  summary --report summary.html
step 'What is due, for the calendar' \
  calendar --out reports/due.ics
step 'The features of every recording as a table' \
  export --out reports/features.csv

step "The ring of the planer feed's bearing is hard to read: which type can it be?" \
  bearing '62?5-2Z C3'
step 'Does it suit the motor, and how is it mounted without damage? With a job card' \
  replacement --machine planer-feed --end DE --job-card reports/job-card.html
step 'The old bearing shows grooves like a washboard: why?' \
  cause --seen fluting --fact 'variable-frequency drive'

bearingdsp simulate --plan "$repository/testdata/plans/new-bearing_planer-feed.json" --out recordings/planer-feed_2026-06-15.wav \
  >/dev/null
step 'The bearing was replaced: did that fix the fault?' \
  compare recordings/planer-feed_2026-06-08.wav recordings/planer-feed_2026-06-15.wav

printf '\nThe recordings are invented (testdata/README.md). The plant folder: build/sawmill\n'
printf 'The tool: build/release/cli/bearingdsp\n'
printf 'Pages to open in a browser: %s\n' 'build/sawmill/reports/*.html'
