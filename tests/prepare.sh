# Sourced by tests/run.sh and cli/demo.sh: installs what is missing, then builds. Never run by itself.
# The one list of packages. `packages` builds everything; `check_packages` is what only the tests need.
packages="g++ cmake ninja-build pkg-config libfftw3-dev libsndfile1-dev libmatio-dev zlib1g-dev
  libhdf5-dev libsqlite3-dev libfast-float-dev libfmt-dev nlohmann-json3-dev libtomlplusplus-dev libcli11-dev
  libeigen3-dev portaudio19-dev libasound2-dev doctest-dev"
check_packages="clang-format locales doxygen dpkg-dev file python3-dev pybind11-dev python3-numpy python3-scipy
  python3-matplotlib python3-distributed python3-fsspec python3-sklearn python3-icalendar python3-venv python3-pip mypy octave
  octave-signal debootstrap"
# A browser that is there already, under this or another name, will do.
[ -n "${CHROMIUM:-}" ] || command -v chromium >/dev/null 2>&1 || check_packages="$check_packages chromium"
# Fetches the plotting library of the report pages. Some systems have it from elsewhere than Debian.
command -v npm >/dev/null 2>&1 || packages="$packages npm"

# watched FAR LOG COMMAND...: runs it with its output in LOG. Each 15 s a line says what `FAR LOG` tells: how far it is.
watched() {
  far=$1
  log=$2
  shift 2
  "$@" >"$log" 2>&1 </dev/null &
  job=$!
  # What runs in the background does not see Ctrl-C itself.
  trap 'kill "$job" 2>/dev/null; exit 130' INT TERM
  seconds=0
  while kill -0 "$job" 2>/dev/null; do
    sleep 1
    seconds=$((seconds + 1))
    [ $((seconds % 15)) -ne 0 ] || echo "$("$far" "$log") after $seconds s"
  done
  finished=0
  wait "$job" || finished=$?
  trap - INT TERM
  return "$finished"
}
installed_so_far() {
  awk '/newly installed/ { for (i = 2; i <= NF; i++) if ($i == "newly") all = " of " $(i - 1) }
    /^Get:/ { fetched++ } /^Unpacking/ { unpacked++ } /^Setting up/ { ready++ }
    END { printf "installing: %d packages fetched, %d unpacked, %d%s ready", fetched, unpacked, ready, all }' "$1"
}
configured_so_far() { echo "configuring: $(sed -n 's/^-- *//p' "$1" | tail -n 1)"; }
built_so_far() { echo "building: $(sed -n 's/^\[\([0-9]*\)\/\([0-9]*\)\].*/\1 of \2/p' "$1" | tail -n 1) steps"; }

# install_missing PACKAGE...: asks nothing; touches nothing if all are there.
install_missing() {
  if ! command -v dpkg-query >/dev/null 2>&1; then
    echo "this is not a Debian system: install what corresponds to: $*" >&2
    return 0
  fi
  installed=" $(dpkg-query -W -f '${db:Status-Abbrev} ${Package}\n' "$@" 2>/dev/null |
    sed -n 's/^ii  *//p' | tr '\n' ' ')"
  missing=
  for package in "$@"; do
    case $installed in *" $package "*) ;; *) missing="$missing $package" ;; esac
  done
  [ -n "$missing" ] || return 0

  if [ "$(id -u)" -eq 0 ]; then
    as_root=
  elif command -v sudo >/dev/null 2>&1 && sudo -n true 2>/dev/null; then
    as_root="sudo -n"
  elif command -v sudo >/dev/null 2>&1 && [ -t 0 ] && [ -z "${CI:-}" ]; then
    as_root=sudo
  else
    echo "packages are missing and this user may not install them; as root, run:" >&2
    echo "  apt-get install --no-install-recommends$missing" >&2
    exit 2
  fi
  echo "installing:$missing"
  mkdir -p build
  # A list that cannot be fetched need not matter: what counts is whether the packages come.
  [ "$as_root" != sudo ] || sudo -v # asks for the password before what follows is in the background
  watched installed_so_far build/apt-update.log $as_root env DEBIAN_FRONTEND=noninteractive apt-get -q update || true
  # shellcheck disable=SC2086
  if ! watched installed_so_far build/apt.log $as_root env DEBIAN_FRONTEND=noninteractive apt-get -q install -y \
    --no-install-recommends -o Dpkg::Use-Pty=0 -o DPkg::Lock::Timeout=120 $missing; then
    tail -n 3 build/apt-update.log >&2
    tail -n 15 build/apt.log >&2
    echo "apt-get could not install the packages above; see build/apt.log" >&2
    exit 2
  fi
  # What came may let more be built, as the Python module: a build folder made before looks again.
  if [ -f build/release/build.ninja ]; then cmake build/release >build/configure.log 2>&1 || true; fi
}

# configure: once, by preset; again if the presets changed. CMake itself sees to everything else.
configure() {
  if [ -f build/release/build.ninja ] && [ ! CMakePresets.json -nt build/release/build.ninja ]; then
    return 0
  fi
  cache=
  if command -v ccache >/dev/null 2>&1; then cache=-DCMAKE_CXX_COMPILER_LAUNCHER=ccache; fi
  echo "configuring"
  mkdir -p build
  # shellcheck disable=SC2086
  watched configured_so_far build/configure.log cmake --preset release $cache || {
    tail -n 30 build/configure.log >&2
    exit 2
  }
  touch build/release/build.ninja
}

# build TARGET...: a few hundred milliseconds if nothing changed.
build() {
  configure
  echo "building"
  if [ -t 1 ]; then
    cmake --build --preset release --target "$@"
  else
    # Into a pipe or a file.
    watched built_so_far build/build.log cmake --build --preset release --target "$@" || {
      grep -E 'error|FAILED' build/build.log >&2 || tail -n 30 build/build.log >&2
      echo "the build failed; see build/build.log" >&2
      exit 2
    }
  fi
}
