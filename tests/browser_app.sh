#!/bin/sh
# The tool as one page, bearingdsp.html: builds it with Emscripten (Debian package emscripten) and tests it in Chromium against
# the native tool. Not part of the build or of tests/run.sh. Leaves with 77 (skipped), saying what is missing.
# usage: sh tests/browser_app.sh [NATIVE-TOOL]
set -eu
cd "$(dirname "$0")/.."
binary=${1:-build/release/cli/bearingdsp}
work=build/browser
skip() {
  echo "skipped: $1"
  exit 77
}
for needed in emcc:emscripten node:nodejs npm:npm dpkg-source:dpkg-dev cmake:cmake ninja:ninja-build; do
  command -v "${needed%:*}" >/dev/null 2>&1 || skip "no ${needed%:*} (Debian package ${needed#*:})"
done
[ -n "${CHROMIUM:-}" ] || command -v chromium >/dev/null 2>&1 || skip "no chromium (Debian package chromium)"
[ -x "$binary" ] || skip "no native tool to compare with: build it first, or name it"
binary=$(realpath "$binary")
# Packages of Debian that a Node from elsewhere does not look for.
export NODE_PATH="${NODE_PATH:-/usr/share/nodejs}"

sh cli/browser/libraries.sh "$work"
mkdir -p "$work/page"
emcmake cmake -S cli/browser -B "$work/page" -G Ninja -DCMAKE_BUILD_TYPE=Release -DCMAKE_CXX_FLAGS_RELEASE=-DNDEBUG \
  "-DBEARINGDSP_ROOT=$PWD/$work/root" >"$work/configure.log" 2>&1 || {
  tail -n 20 "$work/configure.log"
  exit 1
}
cmake --build "$work/page" -j2
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
BEARINGDSP_BINARY=$binary BEARINGDSP_PAGE=$page BEARINGDSP_ROOT=$root node --test --test-reporter=spec \
  "$root/tests/browser/app.test.mjs"
