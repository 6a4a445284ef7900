#!/bin/sh
# Builds everything and runs every test; arguments go to ctest (-R NAME). Works on a bare Debian 12: installs what is
# missing first. The last lines say what failed and what was skipped, by reason; the last is alone
# "N passed, N failed, N skipped".
#   BEARINGDSP_DATASETS      folder of the open datasets, unpacked; see tests/datasets.sh
#   BEARINGDSP_MOST_SKIPPED  more skipped tests than this are a failure (any number may be, where it is not set)
set -eu
cd "$(dirname "$0")/.."
. tests/prepare.sh

# shellcheck disable=SC2086
install_missing $packages $check_packages

. tests/datasets.sh

# A slip of the format is reported at the start and the end, but does not hide what the tests say.
formatted=yes
sh tests/format.sh || formatted=no
build all

# Numbers must not depend on the user's language, nor times on the zone: test where both are unusual.
# The locale is made inside the build folder, so nothing of the system is changed.
if [ ! -d build/locale/de_DE.UTF-8 ] && command -v localedef >/dev/null 2>&1; then
  mkdir -p build/locale
  localedef -i de_DE -f UTF-8 build/locale/de_DE.UTF-8 >/dev/null 2>&1 || rm -rf build/locale
fi
if [ -d build/locale/de_DE.UTF-8 ]; then
  export LOCPATH="$PWD/build/locale" LC_ALL=de_DE.UTF-8
else
  echo "no de_DE locale could be made: the tests run without a decimal comma"
fi
export TZ=Asia/Kathmandu
unset LANGUAGE

results=$PWD/build/tests.xml
rm -f "$results"
code=0
ctest --preset everything -j "$(nproc)" --output-junit "$results" --test-output-size-passed 65536 "$@" </dev/null ||
  code=$?
if [ "$formatted" = no ]; then
  echo "the format differs: sh tests/format.sh --fix"
  code=1
fi
exec python3 tests/summary.py "$results" "$code" "${BEARINGDSP_MOST_SKIPPED:-}"
