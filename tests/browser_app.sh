#!/bin/sh
# The tool as one page, bearingdsp.html: builds it with Emscripten and tests it in Chromium against the native tool. Not part
# of the build or of tests/run.sh. Works on a bare Debian 12: installs and builds first what is missing.
#   CMAKE_BUILD_PARALLEL_LEVEL  compilers at a time (one per core, where it is not set)
# usage: sh tests/browser_app.sh [NATIVE-TOOL]
set -eu
cd "$(dirname "$0")/.."
. tests/prepare.sh
work=build/browser
CMAKE_BUILD_PARALLEL_LEVEL=${CMAKE_BUILD_PARALLEL_LEVEL:-$(nproc)}
export CMAKE_BUILD_PARALLEL_LEVEL

page_packages="emscripten dpkg-dev"
command -v node >/dev/null 2>&1 || page_packages="$page_packages nodejs"
[ -n "${CHROMIUM:-}" ] || command -v chromium >/dev/null 2>&1 || page_packages="$page_packages chromium"
# shellcheck disable=SC2086
install_missing $packages $page_packages
. tests/datasets.sh
# Packages of Debian that a Node from elsewhere does not look for.
export NODE_PATH="${NODE_PATH:-/usr/share/nodejs}"

sh cli/browser/libraries.sh "$work"
mkdir -p "$work/page"
emcmake cmake -S cli/browser -B "$work/page" -G Ninja -DCMAKE_BUILD_TYPE=Release -DCMAKE_CXX_FLAGS_RELEASE=-DNDEBUG \
  "-DBEARINGDSP_ROOT=$PWD/$work/root" >"$work/configure.log" 2>&1 || {
  tail -n 20 "$work/configure.log"
  exit 1
}
echo "building the page"
watched built_so_far "$work/build.log" cmake --build "$work/page" || {
  grep -E 'error|FAILED' "$work/build.log" >&2 || tail -n 30 "$work/build.log" >&2
  exit 1
}
if [ $# -eq 0 ]; then build bearingdsp_cli; fi
binary=$(realpath "${1:-build/release/cli/bearingdsp}")
version=$("$binary" --version | sed 's/.* //')
node cli/browser/assemble.mjs "$work/page/bearingdsp_page.js" "$work/page/bearingdsp_page.wasm" "$version" \
  testdata/planer-feed/2026-05-11_DE_horizontal.wav "$work/bearingdsp.html"

mkdir -p "$work/test"
if ! cmp -s tests/web/package-lock.json "$work/test/fetched.json"; then
  cp tests/web/package.json tests/web/package-lock.json "$work/test"
  (cd "$work/test" && npm ci --ignore-scripts --no-audit --no-fund --prefer-offline >npm.log 2>&1 </dev/null &&
    cp package-lock.json fetched.json) || echo "npm could not fetch the accessibility checker: its test is skipped"
fi
page=$(realpath "$work/bearingdsp.html")
root=$PWD
cd "$work/test"
export BEARINGDSP_BINARY=$binary BEARINGDSP_PAGE=$page BEARINGDSP_ROOT=$root
node --test --test-reporter=spec "$root/tests/browser/app.test.mjs"
# Another browser, where it is there: nothing installs it.
FIREFOX=${FIREFOX:-$(command -v firefox-esr || command -v firefox || true)}
export FIREFOX
if [ -n "$FIREFOX" ]; then
  node --test --test-reporter=spec "$root/tests/browser/firefox.test.mjs"
else
  echo "no firefox (Debian package firefox-esr): its test is skipped"
fi
