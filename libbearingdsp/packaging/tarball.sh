#!/bin/sh
# Makes a tarball of the tool that runs on any x86-64 Linux with glibc 2.31 or later (Debian 11, Ubuntu 20.04 and what
# came after), from wherever it is unpacked. The objects of the build are linked again, with the libraries of Debian 11:
# what a program needs of the C library is settled when it is linked. Needs Debian's servers the first time.
# usage: sh libbearingdsp/packaging/tarball.sh [BUILD [WORK]]   BUILD: build/release, where the tool is built if it is not
#                                                 WORK: build/tarball, for the tarball and what was fetched
set -eu
here=$(CDPATH='' cd -- "$(dirname -- "$0")" && pwd)
source=$(dirname "$(dirname "$here")")
build=$(cd "${1:-$source/build/release}" && pwd)
mkdir -p "${2:-$source/build/tarball}"
work=$(cd "${2:-$source/build/tarball}" && pwd)
[ -e "$work/sysroot/older_glibc.o" ] || sh "$here/sysroot.sh" "$work/sysroot"
cmake --build "$build" --target bearingdsp_cli bearingdsp_no_sound bearingdsp_manual >"$work/build.log" 2>&1 || {
  tail -n 30 "$work/build.log" >&2
  exit 1
}

version=$(sed -n 's/^CMAKE_PROJECT_VERSION:STATIC=//p' "$build/CMakeCache.txt")
name=bearingdsp-$version-linux-x86_64
tree=$work/stage/$name
rm -rf "$work/stage" "$work/$name.tar.gz"
cmake --install "$build" --component tool --prefix "$tree" >"$work/install.log"

# The archives of this system but for libsndfile (LGPL), which whoever gets the tool may replace.
older=$work/sysroot/usr/lib/x86_64-linux-gnu
archive() { c++ -print-file-name="lib$1.a"; }
# shellcheck disable=SC2016
(cd "$build/cli" && c++ --sysroot="$work/sysroot" -B"$older" -L"$older" -L"$work/sysroot/lib/x86_64-linux-gnu" -s \
  -static-libstdc++ -Wl,--disable-new-dtags,-rpath,'$ORIGIN/../lib/bearingdsp' -o "$tree/bin/bearingdsp" @objects.txt \
  "$work/sysroot/older_glibc.o" "$(archive fftw3)" "$(archive fftw3f)" "$(archive sqlite3)" "$(archive z)" \
  "$older/libsndfile.so.1" -pthread -ldl -lm)

# libsndfile and what it needs, replaceable; the tool finds them from its own place.
mkdir -p "$tree/lib/bearingdsp"
for library in libsndfile.so.1 libFLAC.so.8 libogg.so.0 libvorbis.so.0 libvorbisenc.so.2 libopus.so.0; do
  cp -L "$older/$library" "$tree/lib/bearingdsp/$library"
done
cp -L "$work/sysroot/lib/x86_64-linux-gnu/libgcc_s.so.1" "$tree/lib/bearingdsp/"

# Their licences, and of which Debian packages they are.
terms=$tree/share/doc/bearingdsp/licences
mkdir -p "$terms"
for package in libsndfile1 libflac8 libogg0 libvorbis0a libvorbisenc2 libopus0 gcc-10-base libc6; do
  cp -L "$work/sysroot/usr/share/doc/$package/copyright" "$terms/$package.txt"
  dpkg-deb -W --showformat '${Package} ${Version}\n' "$work/sysroot/apt/packages/${package}_"*.deb
done >"$terms/packages.txt"
for package in libfftw3-dev libsqlite3-dev zlib1g-dev libfmt-dev nlohmann-json3-dev libtomlplusplus-dev libeigen3-dev libcli11-dev \
  libfast-float-dev "libstdc++-$(c++ -dumpversion)-dev"; do
  cp -L "/usr/share/doc/$package/copyright" "$terms/$package.txt"
  dpkg-query -W -f '${Package} ${Version}\n' "$package"
done >>"$terms/packages.txt"
sndfile=$(sed -n 's/^libsndfile1 \([0-9.]*\).*/\1/p' "$terms/packages.txt")
cmake -D FILE="$tree/share/doc/bearingdsp/bearingdsp.spdx.json" -D VERSIONS="libsndfile=$sndfile" -P "$here/bill.cmake"
cp "$here/TARBALL.txt" "$tree/README.txt"

# The same build, the same bytes.
tar -C "$work/stage" --sort=name --owner=0 --group=0 --numeric-owner --mtime="@${SOURCE_DATE_EPOCH:-0}" -cf - "$name" |
  gzip -9n >"$work/$name.tar.gz.new"
mv "$work/$name.tar.gz.new" "$work/$name.tar.gz"
echo "$work/$name.tar.gz"
