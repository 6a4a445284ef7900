#!/bin/sh
# Makes a page of each kind in the current folder: diagnosis.html, axes.html (three axes), compare.html, trend.html,
# round.html (a route of one point), acceptance.html, validation.html, job cards on one sheet (card.html, of a sealed ball
# bearing on a drive; card-rollers.html; card-taper.html; card-pair.html) and in full (card-long.html), triage.html, damage.html, summary.html, and route.html and
# summary-many.html (200 points of twelve visits). usage: make_pages.sh BINARY. All recordings are invented.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
binary=$1
plans=$here/../../testdata/plans
# A fault that is found (1) and a recording that cannot tell (3) are answers.
answer() {
  code=0
  "$binary" "$@" >/dev/null || code=$?
  case $code in 0 | 1 | 3) ;; *) exit "$code" ;; esac
}

# An invented capture of 10 s at 51.2 kHz, under a name that would be markup.
name='<img src=x onerror=alert(1)>.wav'
answer simulate --bearing 6205 --rpm 1772 --duration 10 --rate 51200 --defect outer:8 --seed 5 --out "$name" --force
answer diagnose "$name" --bearing 6205 --rpm 1772 --unit m/s2 --report diagnosis.html --picture diagnosis.svg \
  --force

# Three axes of one point, in a file whose name has no blank to break at.
for axis in 1 2 3; do
  answer simulate --bearing 6205 --rpm 1772 --duration 2 --rate 25600 --defect inner:10 --seed "$axis" --out "axis-$axis.csv" \
    --force
done
name=$(printf 'a%.0s' $(seq 120)).csv
paste -d, axis-1.csv axis-2.csv axis-3.csv | cut -d, -f 1,2,4,6 | sed '1s/.*/time,x,y,z/' >"$name"
answer diagnose "$name" --bearing 6205 --rpm 1772 --unit m/s2 --report axes.html --force

rm -rf rounds history.db*
mkdir -p rounds none
number=0
for visit in 2026-01-05:0 2026-01-19:0 2026-02-02:0 2026-02-16:0 2026-03-02:0 2026-03-16:0.5 \
  2026-03-30:1.2 2026-04-13:2 2026-04-27:3.2 2026-05-11:5 2026-05-25:8 2026-06-08:12; do
  number=$((number + 1))
  defect=
  [ "${visit#*:}" = 0 ] || defect="--defect outer:${visit#*:}"
  # shellcheck disable=SC2086
  answer simulate --plan "$plans/round_planer-feed.json" --out "rounds/${visit%:*}.wav" --force --seed "1$number" $defect
done
cat >machines.toml <<'END'
[[machine]]
name = "planer-feed"
power_kw = 1.5
rated_rpm = 1432
frame = "IEC 90L"
mounting = "rigid"
bearing.DE = { designation = "6205" }
[[machine.point]]
name = "DE horizontal"
end = "DE"
unit = "m/s2"
full_scale = 128
END
cat >route.toml <<'END'
name = "One point"
machines = "machines.toml"
[[point]]
machine = "planer-feed"
point = "DE horizontal"
files = "{date}.wav"
END
answer route run rounds --route route.toml --store history.db
answer trend planer-feed --store history.db --report trend.html --picture trend.svg --force
answer compare rounds/2026-06-08.wav rounds/2026-01-05.wav --bearing 6205 --rpm 1432 --unit m/s2 --full-scale 128 \
  --report compare.html --picture compare.svg --force

answer route run rounds --route route.toml --store history.db --report round.html --force
answer acceptance rounds/2026-06-08.wav rounds/2026-01-05.wav --bearing 6205 --rpm 1432 --unit m/s2 --full-scale 128 \
  --shaft-height 90 --mounting rigid --report acceptance.html --force
answer replacement 6205-2Z/C3 --rpm 1432 --shaft-height 90 --vfd --belt --name 'planer feed' --job-card card.html --force
answer replacement 6205-2Z/C3 --rpm 1432 --shaft-height 90 --vfd --belt --job-card card-long.html --long --force
answer replacement NU316 --rpm 1480 --shaft-height 315 --vfd --job-card card-rollers.html --force
answer replacement 22218-K/C3 --rpm 990 --job-card card-taper.html --force
answer replacement 30309 --rpm 1460 --shaft-height 160 --job-card card-pair.html --force
answer replacement 6316 --rpm 1480 --shaft-height 315 --vfd --belt --magnet-rotor --explosion-protected \
  --job-card card-dangers.html --force
answer checks --belt --vfd --bearing '6312 C3' --sheet checks.html --force
answer summary --store history.db --report summary.html --force
answer triage --heard growl --power-off fades --grease-shot 'comes back' --report triage.html --force
answer cause --seen rust --show damage.html --force
{
  echo dataset,file,signal,unit,rpm,bearing,fault
  for visit in 2026-01-05:none 2026-01-19:none 2026-05-25:outer 2026-06-08:outer; do
    echo "made,rounds/${visit%:*}.wav,,,1432,6205,${visit#*:}" | sed 's/outer$/outer ring/'
  done
} >manifest.csv
printf 'name,rolling_elements,element_diameter,pitch_diameter\n6205,9,7.94,39.04\n' >bearings.csv
answer validate manifest.csv --report validation.html --force

if command -v python3 >/dev/null 2>&1 && python3 -c 'import sqlite3' 2>/dev/null; then
  python3 "$here/many_points.py" history.db planer-feed 200 many-machines.toml many-route.toml
  answer route run none --route many-route.toml --store history.db --report route.html --force
  answer summary --store history.db --report summary-many.html --force
else
  echo "no page of 200 points: no python3 with sqlite3"
fi
