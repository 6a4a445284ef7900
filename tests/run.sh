#!/bin/sh
# Builds everything and runs every test. Works on a bare Debian 12: installs what is missing first.
set -eu
cd "$(dirname "$0")/.."
. tests/prepare.sh

# shellcheck disable=SC2086
install_missing $packages $check_packages

# A slip of the format is told at the start and the end, but does not hide what the tests say.
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

ctest --preset everything -j "$(nproc)" "$@" </dev/null
[ "$formatted" = yes ] || {
  echo "the tests passed, but the format differs: sh tests/format.sh --fix" >&2
  exit 1
}
