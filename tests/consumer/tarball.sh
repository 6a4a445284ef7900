#!/bin/sh
# Makes the tarball and uses it as on an older system; run by ctest as
#   tarball.sh SOURCE BUILD WORK TOOL      (TOOL is what BUILD made; what was fetched is kept in WORK)
set -eu
source=$1 build=$2 work=$3 tool=$4
if ! command -v apt-get >/dev/null 2>&1 || [ "$(uname -m)" != x86_64 ] || ! [ -d /usr/share/doc/libtomlplusplus-dev ]; then
  echo "skipped: the tarball is made on a Debian for x86-64"
  exit 77
fi
mkdir -p "$work"
if ! [ -e "$work/sysroot/older_glibc.o" ] && ! sh "$source/libbearingdsp/packaging/sysroot.sh" "$work/sysroot"; then
  echo "skipped: the packages of Debian 11 cannot be fetched"
  exit 77
fi
tarball=$(sh "$source/libbearingdsp/packaging/tarball.sh" "$build" "$work")
first=$(sha256sum <"$tarball")
tarball=$(sh "$source/libbearingdsp/packaging/tarball.sh" "$build" "$work")
[ "$first" = "$(sha256sum <"$tarball")" ] || { echo "two tarballs of one build differ"; exit 1; }

rm -rf "$work/moved"
mkdir "$work/moved"
tar -C "$work/moved" --strip-components=1 -xzf "$tarball"
cd "$work/moved"
for wanted in README.txt share/man/man1/bearingdsp.1 share/bash-completion/completions/bearingdsp \
  share/zsh/vendor-completions/_bearingdsp share/fish/vendor_completions.d/bearingdsp.fish share/doc/bearingdsp/LICENSE \
  share/doc/bearingdsp/bearingdsp.spdx.json share/doc/bearingdsp/licences/libsndfile1.txt \
  share/doc/bearingdsp/licences/libfftw3-dev.txt share/bearingdsp/examples/sawmill/plant.toml; do
  [ -s "$wanted" ] || { echo "the tarball lacks $wanted"; exit 1; }
done

# No symbol of the C library that is newer than 2.31, and no library but its own and those of the C library.
for program in bin/bearingdsp lib/bearingdsp/*; do
  newest=$(objdump -T "$program" | sed -n 's/.*GLIBC_\([0-9.]*\).*/\1/p' | sort -V | tail -n 1)
  echo "$program: glibc $newest"
  [ "$(printf '%s\n2.31\n' "$newest" | sort -V | tail -n 1)" = 2.31 ] || { echo "$program needs glibc $newest"; exit 1; }
  objdump -p "$program" | sed -n 's/^ *NEEDED *//p' | while read -r needed; do
    case $needed in libc.so.6 | libm.so.6 | libpthread.so.0 | libdl.so.2 | librt.so.1 | ld-linux-x86-64.so.2) ;;
    *) [ -f "lib/bearingdsp/$needed" ] || { echo "$program needs $needed, which is not in the tarball"; exit 1; } ;;
    esac
  done
done

# Run by the loader and the C library of Debian 11, it answers as the tool of this build does.
older=$work/sysroot/lib/x86_64-linux-gnu
old() { "$older/ld-2.31.so" --library-path "$older" "$work/moved/bin/bearingdsp" "$@"; }
cd share/bearingdsp/examples/sawmill
for recording in planer-feed/2026-05-11_DE_horizontal.wav hydraulic-power-pack/2026-03-02_DE_horizontal.csv; do
  code=0
  old diagnose "$recording" >"$work/old.txt" || code=$?
  [ "$code" -eq 1 ] || { echo "diagnose $recording gave $code"; exit 1; }
  "$tool" diagnose "$recording" >"$work/new.txt" || true
  diff "$work/old.txt" "$work/new.txt"
done
head -n 3 "$work/old.txt"
# Through libsndfile, and through SQLite.
old inspect "$source/tests/fuzz/corpus/audio/pcm16.flac" --unit g | grep -q 'FLAC'
code=0
old route run -q >/dev/null || code=$?
[ "$code" -eq 1 ] && [ -s history.db ] || { echo "route run gave $code"; exit 1; }
old history list >/dev/null
