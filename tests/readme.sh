#!/bin/sh
# readme.sh [--update] [PAGE...]: keeps README.md and other pages honest: runs a page's marked commands in the
# repository's folder and compares what they print with what the page says they print, character by character, numbers to
# a tolerance (tests/same_output.py says which).
#   <!-- run -->  or  <!-- run exit=1 -->   before a block: its commands are run
#   <!-- prints -->                         before the block with their output
# `--update` writes the present output into the pages instead; without PAGE into every page that has such blocks:
# README.md, balance.md, plant-folder.md, both tutorials and, where the open datasets are, docs/validation/figures.md. BUILD_DIR says where the tool
# is built.
set -eu
cd "$(dirname "$0")/.."
update=
if [ "${1:-}" = --update ]; then
  update=yes
  shift
  . tests/datasets.sh
fi
if [ "$#" -ne 1 ]; then
  [ "$#" -gt 0 ] || set -- README.md docs/balance.md docs/plant-folder.md docs/tutorial-technician.md docs/tutorial-analyst.md docs/validation/figures.md
  failed=0
  for page in "$@"; do
    code=0
    sh tests/readme.sh ${update:+--update} "$page" || code=$?
    [ "$code" -eq 0 ] || [ "$code" -eq 77 ] || failed=1
  done
  exit "$failed"
fi
page=$1
build=${BUILD_DIR:-build/release}
build=$(cd "$build" && pwd)
work=$build/tests/pages/$(basename "$page" .md)
rm -rf "$work"
mkdir -p "$work"
PATH=$build/cli:$PATH
export PATH
# A store that is left from the last time would make every recording known already.
rm -f build/readme-history.db*

# Blocks go to N.sh, N.code (exit code that is expected) and N.expected.
awk -v work="$work" '
  /^<!-- run/ { n++; code = 0; if (match($0, /exit=[0-9]+/)) code = substr($0, RSTART + 5, RLENGTH - 5)
                print code > (work "/" n ".code"); next_is = ".sh"; next }
  /^<!-- prints -->/ { next_is = ".expected"; next }
  /^```/ { if (inside) inside = 0
           else if (next_is != "") { inside = 1; file = work "/" n next_is; printf "" > file; next_is = "" }
           next }
  inside { print > file }
' "$page"
# Recordings of others are never in the repository.
if [ -z "${BEARINGDSP_DATASETS:-}" ] && grep -qs BEARINGDSP_DATASETS "$work"/*.sh; then
  echo "skipped: the open datasets are not here (BEARINGDSP_DATASETS)"
  exit 77
fi

blocks=0
wrong=0
while [ -f "$work/$((blocks + 1)).sh" ]; do
  blocks=$((blocks + 1))
  block=$work/$blocks
  code=0
  sh -eu "$block.sh" >"$block.out" 2>"$block.err" </dev/null || code=$?
  if [ "$code" -ne "$(cat "$block.code")" ]; then
    echo "block $blocks ended with $code instead of $(cat "$block.code"):"
    cat "$block.sh" "$block.err"
    wrong=1
  fi
  [ -f "$block.expected" ] && [ -z "$update" ] || continue
  python3 tests/same_output.py "$block.expected" "$block.out" || {
    echo "$page prints something else (block $blocks); if the new output is meant: sh tests/readme.sh --update $page"
    wrong=1
  }
done
[ "$blocks" -gt 0 ] || { echo "$page has no marked block"; exit 1; }

if [ -n "$update" ] && [ "$wrong" -eq 0 ]; then
  awk -v work="$work" '
    /^<!-- run/ { n++ }
    /^<!-- prints -->/ { replace = 1 }
    /^```/ && replace == 1 { print; replace = 2; file = work "/" n ".out"
                             while ((getline line < file) > 0) print line; next }
    /^```/ && replace == 2 { replace = 0 }
    replace == 2 { next }
    { print }
  ' "$page" >"$work/page.md"
  cp "$work/page.md" "$page"
fi
[ "$wrong" -eq 0 ] || exit 1
echo "$page: $blocks blocks are right"
