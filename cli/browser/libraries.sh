#!/bin/sh
# FFTW, libsndfile with FLAC, and zlib for WebAssembly, from the source packages of the system's own release: nothing of them
# is in this repository. usage: libraries.sh FOLDER. Afterwards FOLDER/root holds include and lib; what is there is kept.
set -eu
mkdir -p "$1"
work=$(cd "$1" && pwd)
root=$work/root
export NODE_PATH="${NODE_PATH:-/usr/share/nodejs}"
mkdir -p "$work/src" "$root/lib" "$root/include" "$work/apt/parts" "$work/apt/lists/partial" "$work/apt/archives/partial"

# The sources of the packages that the system fetches, by a list of our own.
apt_get() {
  apt-get -q -o Dir::Etc::sourcelist=/dev/null -o "Dir::Etc::sourceparts=$work/apt/parts" \
    -o "Dir::State::lists=$work/apt/lists" -o "Dir::Cache=$work/apt" "$@"
}
fetch() {
  set -- fftw3 libsndfile flac zlib
  for name; do [ -d "$work/src/$name" ] || missing=1; done
  [ -n "${missing:-}" ] || return 0
  for list in /etc/apt/sources.list /etc/apt/sources.list.d/*.list; do
    [ ! -s "$list" ] || sed -n 's/^deb /deb-src /p' "$list" >"$work/apt/parts/$(basename "$list" .list).list"
  done
  for list in /etc/apt/sources.list.d/*.sources; do
    [ ! -s "$list" ] || sed 's/^Types:.*/Types: deb-src/' "$list" >"$work/apt/parts/$(basename "$list")"
  done
  apt_get update >"$work/fetch.log" 2>&1
  for name; do
    (cd "$work/src" && apt_get source --download-only "$name" >>"$work/fetch.log" 2>&1 &&
      rm -rf "$name" && dpkg-source --no-check -x "$name"_*.dsc "$name" >>"$work/fetch.log" 2>&1)
  done
}

# compile LIBRARY "FLAGS" FILE...: those that are not compiled yet, then the archive. emcc takes longer to start than to
# compile such a file: the compiler behind it is called with the flags that it names.
flags="$(emcc --cflags) -O2 -msimd128 -w"
compile() {
  library=$1
  more=$(echo "$2" | tr '\n' ' ')
  shift 2
  mkdir -p "$work/o/$library"
  for file; do
    object=$work/o/$library/$(echo "${file#./}" | tr / _).o
    [ -s "$object" ] || echo "$file $object"
  done | xargs -r -P"${CMAKE_BUILD_PARALLEL_LEVEL:-2}" -L1 sh -c 'clang-14 '"$flags $more"' -c "$0" -o "$1"'
  rm -f "$root/lib/$library.a"
  emar rcs "$root/lib/$library.a" "$work/o/$library"/*.o
}
made() { [ -s "$root/lib/$1.a" ]; }

fftw() {
  (
    cd "$work/src/fftw3"
    mkdir -p "$work/fftw"
    : >"$work/fftw/config.h" # all of it is in the flags: its configure would start emcc three hundred times
    common="-DHAVE_CONFIG_H -DDISABLE_FORTRAN=1 -DPACKAGE=\\\"fftw\\\" -DPACKAGE_VERSION=\\\"3.3\\\" -DVERSION=\\\"3.3\\\"
      -DFFTW_CC=\\\"clang\\\" -DHAVE_STDDEF_H=1 -DHAVE_STDLIB_H=1 -DHAVE_STRING_H=1 -DHAVE_STDINT_H=1 -DHAVE_INTTYPES_H=1
      -DHAVE_SYS_TYPES_H=1 -DHAVE_UNISTD_H=1 -DHAVE_SYS_TIME_H=1 -DTIME_WITH_SYS_TIME=1 -DHAVE_GETTIMEOFDAY=1 -DHAVE_UINTPTR_T=1
      -DHAVE_ABORT=1 -DHAVE_POSIX_MEMALIGN=1 -DHAVE_DECL_POSIX_MEMALIGN=1 -DHAVE_DECL_SINL=1 -DHAVE_DECL_COSL=1 -DSIZEOF_INT=4
      -DSIZEOF_UNSIGNED_INT=4 -DSIZEOF_UNSIGNED_LONG=4 -DSIZEOF_UNSIGNED_LONG_LONG=8 -DSIZEOF_VOID_P=4 -DSIZEOF_SIZE_T=4
      -DSIZEOF_FLOAT=4 -DSIZEOF_DOUBLE=8 -I$work/fftw -I. -Ikernel -Idft -Idft/scalar -Irdft -Irdft/scalar -Ireodft -Iapi
      -Isimd-support"
    files=$(find kernel api dft rdft reodft simd-support -name '*.c' ! -path '*/simd/*' ! -name 'f77*')
    # shellcheck disable=SC2086
    compile libfftw3 "$common" $files
    # shellcheck disable=SC2086
    compile libfftw3f "$common -DFFTW_SINGLE=1" $files
    cp api/fftw3.h "$root/include"
  )
}
flac() {
  (
    cd "$work/src/flac/src/libFLAC"
    # shellcheck disable=SC2046
    compile libFLAC "-DPACKAGE_VERSION=\\\"1.4\\\" -DFLAC__HAS_OGG=0 -DFLAC__NO_ASM -DFLAC__NO_DLL -DHAVE_LROUND=1
      -DHAVE_STDINT_H=1 -DHAVE_INTTYPES_H=1 -DNDEBUG -DHAVE_FSEEKO=1 -DCPU_IS_BIG_ENDIAN=0 -DWORDS_BIGENDIAN=0 -DENABLE_64_BIT_WORDS=0 -Iinclude -I../../include" \
      $(ls ./*.c | grep -v '_intrin_\|ogg_')
  )
}
sndfile() {
  (
    cd "$work/src/libsndfile/src"
    mkdir -p "$work/sndfile"
    : >"$work/sndfile/config.h" # all of it is in the flags
    common="-DHAVE_UNISTD_H=1 -DHAVE_STDINT_H=1 -DHAVE_INTTYPES_H=1 -DHAVE_SYS_TYPES_H=1 -DHAVE_SYS_STAT_H=1 -DHAVE_STRING_H=1
      -DHAVE_STDLIB_H=1 -DHAVE_STDBOOL_H=1 -DHAVE_LRINT=1 -DHAVE_LRINTF=1 -DHAVE_FSTAT=1 -DHAVE_FSYNC=1 -DHAVE_LSEEK=1
      -DHAVE_GETTIMEOFDAY=1 -DHAVE_GMTIME=1 -DHAVE_GMTIME_R=1 -DHAVE_LOCALTIME=1 -DHAVE_LOCALTIME_R=1
      -DHAVE_FTRUNCATE=1 -DHAVE_OPEN=1 -DHAVE_READ=1 -DHAVE_WRITE=1 -DHAVE_SNPRINTF=1 -DHAVE_VSNPRINTF=1
      -DCPU_IS_LITTLE_ENDIAN=1 -DCPU_IS_BIG_ENDIAN=0 -DCPU_CLIPS_POSITIVE=0 -DCPU_CLIPS_NEGATIVE=0 -DCOMPILER_IS_GCC=1
      -DHAVE_MPEG=0 -DOS_IS_WIN32=0 -DUSE_WINDOWS_API=0 -DPACKAGE_NAME=\\\"libsndfile\\\" -DPACKAGE=\\\"libsndfile\\\"
      -DPACKAGE_VERSION=\\\"1.2.0\\\" -DVERSION=\\\"1.2.0\\\" -DSIZEOF_WCHAR_T=4 -I$work/sndfile -I. -I../include"
    # FLAC alone of the compressed formats: its file is the one that gets the define.
    compile libsndfile "$common -DHAVE_EXTERNAL_XIPH_LIBS=1 -DFLAC__NO_DLL -I$work/src/flac/include" ./flac.c
    # shellcheck disable=SC2046
    compile libsndfile "$common -DHAVE_EXTERNAL_XIPH_LIBS=0" \
      $(ls ./*.c ./ALAC/*.c ./G72x/*.c ./GSM610/*.c | grep -v '/test_\|/flac.c\|g72x_test\|mpeg_\|windows.c')
    cp ../include/sndfile.h "$root/include"
  )
}
zlib() {
  (
    cd "$work/src/zlib"
    # shellcheck disable=SC2046
    compile libz "-DHAVE_UNISTD_H" $(ls ./*.c)
    cp zlib.h zconf.h "$root/include"
  )
}

fetch
made libfftw3f || fftw
made libFLAC || flac
made libsndfile || sndfile
made libz || zlib
# Header-only ones as they are installed, and nothing else of the folder that they are in.
for name in nlohmann toml++ eigen3 fast_float fmt CLI sqlite3.h; do
  [ ! -e "/usr/include/$name" ] || ln -sfn "/usr/include/$name" "$root/include/$name"
done
