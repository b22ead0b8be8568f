#!/usr/bin/env bash
# Installs what is missing on Debian 12: `setup.sh build` what the program is built and run with, `setup.sh tests` what its tests need besides, `setup.sh bench` the
# libraries that the benchmarks measure against.
set -eu

build="gcc meson ninja-build pkgconf gettext itstool libxml2-utils libglib2.0-dev libgtk-4-dev libjson-glib-dev
 libgtk-4-bin libglib2.0-bin adwaita-icon-theme gsettings-desktop-schemas fonts-dejavu-core desktop-file-utils"
tests="clang clang-format libclang-rt-14-dev xvfb xauth xdotool openbox dbus dbus-x11 at-spi2-core python3 python3-gi gir1.2-atspi-2.0
 python3-jsonschema python3-ezdxf python3-numpy poppler-utils qpdf librsvg2-bin imagemagick locales appstream
 yelp-tools x11-utils"
bench="g++ libgsl-dev libgeos-dev lib2geom-dev libboost-dev xvfb xauth"

case "${1:-build}" in
  build) want="$build" ;;
  tests) want="$build $tests" ;;
  bench) want="$build $bench" ;;
  list) echo $build; echo $tests; echo $bench; exit 0 ;;
  *) echo "setup.sh: build, tests or bench" >&2; exit 2 ;;
esac

missing=""
for package in $want; do
  state=$(dpkg-query -W -f '${db:Status-Status}' "$package" 2>/dev/null || true)
  [ "$state" = installed ] || missing="$missing $package"
done
[ -n "$missing" ] || exit 0

as_root=""
[ "$(id -u)" = 0 ] || as_root=sudo
echo "Installing:$missing"
export DEBIAN_FRONTEND=noninteractive
$as_root apt-get update -qq
$as_root apt-get install -y -qq --no-install-recommends $missing >/dev/null
