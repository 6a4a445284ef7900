#!/bin/sh
# clang-tidy over everything, or over the files given; every finding is an error. Takes minutes, so it
# is not part of run.sh. Needs clang-tidy and a configured build/release (sh tests/run.sh makes one).
set -eu
cd "$(dirname "$0")/.."
. tests/prepare.sh
# shellcheck disable=SC2086
install_missing $packages clang-tidy
configure
if [ $# -eq 0 ]; then
  # The sources of the build, one a line; the header checks that CMake makes are not ours.
  set -- $(sed -n 's/^ *"file": "\(.*\)",*$/\1/p' build/release/compile_commands.json |
    grep -v '/build/' | sort -u)
fi
printf '%s\n' "$@" | xargs -P "$(nproc)" -n 1 clang-tidy -p build/release --quiet 2>build/tidy.log || {
  echo "clang-tidy objects; the full log is in build/tidy.log" >&2
  exit 1
}
echo "clang-tidy: $# files without a finding"
