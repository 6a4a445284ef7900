#!/bin/sh
# A new user on a machine with nothing but the base of a distribution; run by ctest as
#   clean_root.sh RELEASE PACKAGE WORK      (RELEASE of Debian; PACKAGE is a .deb or .tar.gz, or a folder that holds one)
# Prints the commands, the seconds and the answers.
set -eu
release=$1 package=$2 work=$3
if [ -d "$package" ]; then package=$(find "$package" -maxdepth 1 -name '*.deb' -o -maxdepth 1 -name '*.tar.gz' | head -n 1); fi
if [ ! -s "$package" ]; then
  echo "skipped: there is no package, because the test that makes it was skipped"
  exit 77
fi
if ! command -v debootstrap >/dev/null 2>&1 || [ "$(id -u)" -ne 0 ]; then
  echo "skipped: a clean root needs debootstrap and root"
  exit 77
fi
root=$work/$release
umount "$root/proc" 2>/dev/null || true
rm -rf --one-file-system "$root"
mkdir -p "$root"
debootstrap --variant=minbase "$release" "$root" >"$work/$release.log" 2>&1 || {
  rm -rf "$root"
  echo "skipped: Debian $release cannot be fetched"
  exit 77
}
trap 'umount "$root/proc" 2>/dev/null || true; rm -rf --one-file-system "$root"' EXIT
mount -t proc proc "$root/proc"
cp /etc/resolv.conf "$root/etc/resolv.conf"
mkdir "$root/new-user"
cp "$package" "$root/new-user/"
name=$(basename "$package")

# typed EXIT-CODE COMMAND: runs it in the root as it would be typed.
typed() {
  expected=$1
  shift
  printf '\n$ %s\n' "$*"
  start=$(date +%s%N)
  code=0
  chroot "$root" env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin HOME=/new-user LANG=C.UTF-8 DEBIAN_FRONTEND=noninteractive \
    sh -c "cd /new-user && $*" >"$work/$release.out" 2>&1 </dev/null || code=$?
  tail -n "${shown:-30}" "$work/$release.out"
  printf '(%s s, exit code %d)\n' "$(echo "$start $(date +%s%N)" | awk '{ printf "%.1f", ($2 - $1) / 1e9 }')" "$code"
  [ "$code" -eq "$expected" ] || { echo "exit code $expected was expected"; exit 1; }
}
sawmill=/usr/share/bearingdsp/examples/sawmill
tool=bearingdsp
case $name in
*.deb)
  chroot "$root" apt-get -q update >"$work/$release.out" 2>&1
  shown=2
  typed 0 "apt-get install -q -y --no-install-recommends ./$name"
  shown=
  ;;
*)
  folder=${name%.tar.gz}
  typed 0 "tar -xzf $name"
  tool=$folder/bin/bearingdsp
  sawmill=$folder/share/bearingdsp/examples/sawmill
  ;;
esac
# A recording that this machine makes: the drive end of the planer feed.
typed 0 "$tool simulate --plan $sawmill/plans/planer-feed_2026-05-11_DE_horizontal.json --out fan.wav"
typed 1 "$tool diagnose fan.wav --bearing 6205 --rpm 1432 --unit m/s2"
grep -q 'Outer ring of the bearing damaged' "$work/$release.out"
case $tool in */*) tool=../$tool ;; esac
typed 1 "cp -r $sawmill mill && cd mill && $tool diagnose planer-feed/2026-05-11_DE_horizontal.wav -q"
grep -q 'outer ring' "$work/$release.out"
case $name in *.deb) shown=2 && typed 0 "apt-get remove -q -y bearingdsp && ! command -v bearingdsp" ;; esac
