#!/usr/bin/env bash
# Installs what is missing, builds, and opens the program on the caravan guard's jerkin.  Where there is no display it runs the example's checks and writes its
# sheets instead.  Another document may be named.
set -eu
cd "$(dirname "$0")/.."
bash src/setup.sh build
[ -f build/build.ninja ] || meson setup build --buildtype=release >/dev/null
ninja -C build src/panelwright data/gschemas.compiled
document=${1:-data/caravan-guard.panelwright}
if [ -n "${DISPLAY:-}${WAYLAND_DISPLAY:-}" ]; then
  exec meson devenv -C build "$PWD/build/src/panelwright" "$(realpath "$document")"
fi
echo "There is no display: checking the example and writing its sheets instead."
status=0
build/src/panelwright check "$document" || status=$?
sheets=build/$(basename "$document" .panelwright).pdf
build/src/panelwright sheet "$document" --output "$sheets"
echo "Sheets: $sheets"
exit $status
