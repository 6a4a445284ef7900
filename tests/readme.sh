#!/bin/sh
# readme.sh [--update] [FILE]: keeps README.md, or another page, honest: runs its marked commands in the
# repository's folder and compares what they print with what it says they print. Numbers and order may move
# with the engine; the words in use may not.
#   <!-- run -->  or  <!-- run exit=1 -->   before a block: its commands are run
#   <!-- prints -->                         before the block with their output
# `--update` writes the present output into the page. BUILD_DIR says where the tool is built.
set -eu
cd "$(dirname "$0")/.."
update=
if [ "${1:-}" = --update ]; then
  update=yes
  shift
fi
page=${1:-README.md}
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

blocks=0
wrong=0
# The words that are used, each once: numbers move, and with them the wrapping and the order of rows.
# EXACT=yes compares every character instead.
skeleton() { if [ -n "${EXACT:-}" ]; then cat "$1"; else grep -oE '[A-Za-z]{3,}' "$1" | sort -u; fi; }
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
  [ -f "$block.expected" ] || continue
  skeleton "$block.expected" >"$block.want"
  skeleton "$block.out" >"$block.got"
  if [ -z "$update" ] && ! diff -u "$block.want" "$block.got"; then
    echo "$page prints something else (block $blocks); if the new output is meant: sh tests/readme.sh --update $page"
    wrong=1
  fi
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
