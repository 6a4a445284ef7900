#!/bin/sh
# Makes every capture of this folder again, with its truth beside it.
# usage: testdata/make.sh [path of the bearingdsp command]
set -eu
here=$(CDPATH= cd -- "$(dirname -- "$0")" && pwd)
tool=${1:-$here/../build/release/cli/bearingdsp}
cd "$here"
make() {
  mkdir -p "$(dirname -- "$2")"
  "$tool" simulate --plan "plans/$1" --out "$2" --force
}
make dust-extraction-fan_2026-03-02_DE_horizontal.json dust-extraction-fan/2026-03-02_DE_horizontal.wav
make dust-extraction-fan_2026-03-02_DE_vertical.json dust-extraction-fan/2026-03-02_DE_vertical.wav
make dust-extraction-fan_2026-03-09_NDE_horizontal.json dust-extraction-fan/2026-03-09_NDE_horizontal.wav
make planer-feed_2026-03-02_DE_horizontal.json planer-feed/2026-03-02_DE_horizontal.wav
make planer-feed_2026-05-11_DE_horizontal.json planer-feed/2026-05-11_DE_horizontal.wav
make planer-feed_2026-05-11_DE_axial.json planer-feed/2026-05-11_DE_axial.txt
make hydraulic-power-pack_2026-03-02_DE_vertical.json hydraulic-power-pack/2026-03-02_DE_vertical.wav
make hydraulic-power-pack_2026-03-02_DE_horizontal.json hydraulic-power-pack/2026-03-02_DE_horizontal.csv
make hydraulic-power-pack_2026-03-09_DE_vertical.json hydraulic-power-pack/2026-03-09_DE_vertical.wav
make hydraulic-power-pack_2026-03-09_NDE_vertical.json hydraulic-power-pack/2026-03-09_NDE_vertical.wav
