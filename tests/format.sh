#!/bin/sh
# Fails, and shows where, if clang-format would change a source file. `--fix` rewrites instead.
set -eu
cd "$(dirname "$0")/.."
command -v clang-format >/dev/null 2>&1 || { echo "clang-format is not installed" >&2; exit 2; }
mode='--dry-run --Werror --ferror-limit=3'
if [ "${1:-}" = --fix ]; then mode=-i; fi
# shellcheck disable=SC2086
find libbearingdsp cli tests -name '*.?pp' -print0 |
  LC_ALL=C xargs -0 -P "$(nproc)" -n 16 clang-format $mode || {
  echo "formatting differs: sh tests/format.sh --fix" >&2
  exit 1
}
