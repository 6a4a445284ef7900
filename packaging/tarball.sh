#!/bin/sh
# Makes a tarball of the tool that runs on any x86-64 Linux with glibc 2.31 or later (Debian 11, Ubuntu 20.04 and what
# came after), from wherever it is unpacked. Needs the packages of tests/prepare.sh, Debian's servers and minutes.
# usage: sh packaging/tarball.sh [WORK]     WORK (build/tarball): build folder, kept; the tarball is put in it
set -eu
here=$(CDPATH= cd -- "$(dirname -- "$0")" && pwd)
source=$(dirname "$here")
mkdir -p "${1:-$source/build/tarball}"
work=$(cd "${1:-$source/build/tarball}" && pwd)
[ -e "$work/sysroot/older_glibc.o" ] || sh "$here/sysroot.sh" "$work/sysroot"

cache=
if command -v ccache >/dev/null 2>&1; then cache=-DCMAKE_CXX_COMPILER_LAUNCHER=ccache; fi
# shellcheck disable=SC2086
cmake -G Ninja -S "$source" -B "$work/build" -D CMAKE_BUILD_TYPE=Release -D BEARINGDSP_PYTHON=OFF \
  -D CMAKE_INSTALL_PREFIX=/usr -D CMAKE_TOOLCHAIN_FILE="$here/toolchain.cmake" -D BEARINGDSP_SYSROOT="$work/sysroot" \
  $cache >"$work/configure.log" 2>&1 || { tail -n 20 "$work/configure.log" >&2; exit 1; }
cmake --build "$work/build" >"$work/build.log" 2>&1 || { tail -n 30 "$work/build.log" >&2; exit 1; }

version=$(sed -n 's/^CMAKE_PROJECT_VERSION:STATIC=//p' "$work/build/CMakeCache.txt")
name=bearingdsp-$version-linux-x86_64
rm -rf "$work/stage" "$work/$name.tar.gz"
DESTDIR="$work/stage" cmake --install "$work/build" --strip >"$work/install.log"
tree=$work/stage/$name
mv "$work/stage/usr" "$tree"
# The tool alone: the library is for the compiler and the system that it was built with.
rm -rf "$tree/include" "$tree/lib"

# libsndfile and what it needs, replaceable; the tool finds them from its own place.
mkdir -p "$tree/lib/bearingdsp"
older=$work/sysroot/usr/lib/x86_64-linux-gnu
for library in libsndfile.so.1 libFLAC.so.8 libogg.so.0 libvorbis.so.0 libvorbisenc.so.2 libopus.so.0; do
  cp -L "$older/$library" "$tree/lib/bearingdsp/$library"
done
cp -L "$work/sysroot/lib/x86_64-linux-gnu/libgcc_s.so.1" "$tree/lib/bearingdsp/"

# Their licences, and where the source of each is.
terms=$tree/share/doc/bearingdsp/licences
mkdir -p "$terms"
for package in libfftw3-double3 libsndfile1 libflac8 libogg0 libvorbis0a libopus0 libsqlite3-0 zlib1g libc6 gcc-10-base; do
  cp -L "$work/sysroot/usr/share/doc/$package/copyright" "$terms/$package.txt"
done
for package in libfmt-dev nlohmann-json3-dev libtomlplusplus-dev libcli11-dev libfast-float-dev libstdc++6; do
  cp -L "/usr/share/doc/$package/copyright" "$terms/$package.txt"
done
(cd "$work/sysroot/apt/packages" && ls ./*.deb | sed 's#^./##; s#%3a#:#; s#_amd64.deb##; s#_all.deb##; s#_# #' |
  grep -vE -- '-dev ') >"$terms/packages.txt"
cp "$here/TARBALL.txt" "$tree/README.txt"

# The same build, the same bytes.
tar -C "$work/stage" --sort=name --owner=0 --group=0 --numeric-owner --mtime="@${SOURCE_DATE_EPOCH:-0}" -cf - "$name" |
  gzip -9n >"$work/$name.tar.gz.new"
mv "$work/$name.tar.gz.new" "$work/$name.tar.gz"
echo "$work/$name.tar.gz"
