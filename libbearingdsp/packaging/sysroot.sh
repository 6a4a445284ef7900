#!/bin/sh
# Lays out the libraries of Debian 11 (glibc 2.31) in a folder, to link a tool that runs on it and on all that came
# later. Needs no root and installs nothing; fetches 10 MB of packages, checked by Debian's signatures.
# usage: sh libbearingdsp/packaging/sysroot.sh FOLDER
set -eu
here=$(CDPATH='' cd -- "$(dirname -- "$0")" && pwd)
root=$1
rm -rf "$root" "$root.new"
mkdir -p "$root.new"
root=$(cd "$root.new" && pwd)
apt=$root/apt
mkdir -p "$apt/lists/partial" "$apt/archives/partial" "$apt/packages"
: >"$apt/status"

# From where this system gets its own packages. With the security updates: these libraries read files of others.
# A server that no longer has Debian 11 cannot serve.
servers=$(apt-get indextargets --format '$(REPO_URI)' | sort -u)
main=$(echo "$servers" | grep -v security | head -n 1)
security=$(echo "$servers" | grep security | head -n 1)
fetch() {
  signed='deb [signed-by=/usr/share/keyrings/debian-archive-keyring.gpg]'
  printf '%s\n' "$signed $main bullseye main" ${security:+"$signed $security bullseye-security main"} >"$apt/sources"
  set -- -q -o Dir::State="$apt" -o Dir::State::status="$apt/status" -o Dir::Cache="$apt" -o Dir::Etc::sourcelist="$apt/sources" \
    -o Dir::Etc::sourceparts=/dev/null -o APT::Architecture=amd64 -o APT::Sandbox::User="$(id -un)" -o Acquire::Check-Valid-Until=false
  apt-get "$@" update --error-on=any && (cd "$apt/packages" && apt-get "$@" download \
    libc6 libc6-dev linux-libc-dev libgcc-s1 gcc-10-base libsndfile1 libflac8 libogg0 libvorbis0a libvorbisenc2 libopus0)
}
fetch >"$apt/log" 2>&1 || {
  tail -n 5 "$apt/log" >&2
  echo "the packages of Debian 11 cannot be fetched" >&2
  exit 1
}
for package in "$apt"/packages/*.deb; do dpkg-deb -x "$package" "$root"; done

# Links to absolute paths would lead out of the folder.
find "$root" -type l -lname '/*' | while read -r link; do ln -srfn "$root$(readlink "$link")" "$link"; done
rm -rf "$apt/lists" "$apt/archives"
gcc --sysroot="$root" -O2 -c "$here/older_glibc.c" -o "$root/older_glibc.o"
mv "$root" "${root%.new}"
