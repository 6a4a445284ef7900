#!/bin/sh
# clang-tidy over everything, or over the files given; every finding is an error. Takes minutes, so it
# is not part of run.sh. It reads the sources one by one, so it has a build folder of its own.
set -eu
cd "$(dirname "$0")/.."
. tests/prepare.sh
# shellcheck disable=SC2086
install_missing $packages clang-tidy
mkdir -p build
cmake --preset release -B build/tidy -DBEARINGDSP_UNITY=OFF >build/configure.log 2>&1 || {
  tail -n 30 build/configure.log >&2
  exit 2
}
if [ $# -eq 0 ]; then
  # The sources of the build, one a line; the header checks that CMake makes are not ours.
  set -- $(sed -n 's/^ *"file": "\(.*\)",*$/\1/p' build/tidy/compile_commands.json |
    grep -v '/build/' | sort -u)
fi
# The build is that of GCC, whose warnings clang does not all know.
printf '%s\n' "$@" | xargs -P "$(nproc)" -n 1 clang-tidy -p build/tidy --quiet \
  --extra-arg=-Wno-unknown-warning-option 2>build/tidy.log || {
  echo "clang-tidy objects; the full log is in build/tidy.log" >&2
  exit 1
}
echo "clang-tidy: $# files without a finding"
