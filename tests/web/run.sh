#!/bin/sh
# The report pages in a real browser. usage: run.sh BINARY SCRATCH-FOLDER. Leaves with 77 (skipped), saying what
# is missing, where there is no Node, no Chromium, or the tool was built without the plotting code.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
binary=$1
scratch=$2
skip() {
  echo "skipped: $1"
  exit 77
}
command -v node >/dev/null 2>&1 || skip "no node (Debian package nodejs)"
if [ -z "${CHROMIUM:-}" ] && ! command -v chromium >/dev/null 2>&1; then
  skip "no chromium (Debian package chromium)"
fi
mkdir -p "$scratch"
# The accessibility checker, by lock file; without it the other tests run.
if ! cmp -s "$here/package-lock.json" "$scratch/fetched.json"; then
  cp "$here/package.json" "$here/package-lock.json" "$scratch"
  if command -v npm >/dev/null 2>&1 &&
    (cd "$scratch" && npm ci --ignore-scripts --no-audit --no-fund --prefer-offline >npm.log 2>&1 </dev/null); then
    cp "$here/package-lock.json" "$scratch/fetched.json"
  fi
fi
cd "$scratch"
sh "$here/make_pages.sh" "$(realpath "$binary")"
grep -q uPlot diagnosis.html || skip "the tool was built without the plotting code (no npm when it was configured)"
code=0
node --test --test-reporter=spec "$here"/*.test.mjs >page.log 2>&1 || code=$?
cat page.log
[ "$code" -eq 0 ] || exit "$code"
# A test among them that could not run is not passed by the others.
if grep -Eq '^[^0-9a-z]*skipped [1-9]' page.log; then skip "some tests of the pages: $(sed -n 's/.*# //p' page.log | sort -u | head -n 1)"; fi
