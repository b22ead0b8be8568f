#!/usr/bin/env bash
# Everything that must hold before a change goes in: installs what is missing, checks layout and rooms, builds with gcc and clang with warnings as errors, runs all
# tests headless, and again under ASan and UBSan, there all but the window's under a locale that writes commas.  Ends with "N passed, N failed".
set -u
cd "$(dirname "$0")/.."
top=$PWD
build=${PW_TEST_BUILD:-$top/build-test}
bash src/setup.sh tests || exit 1

comma=de_DE.UTF-8
if ! locale -a 2>/dev/null | grep -qi '^de_DE.utf-\?8$'; then
  mkdir -p "$build-locale"
  localedef -i de_DE -f UTF-8 "$build-locale/de_DE.UTF-8" 2>/dev/null || true
  export LOCPATH="$build-locale"
fi

# Debian's own Python has the modules; another one earlier on the path would not.
export PATH="/usr/bin:/bin:$PATH" LC_ALL=C.UTF-8
fails=0
note() { printf '== %s\n' "$*"; }
must() { note "$1"; shift; "$@" || { fails=$((fails + 1)); echo "FAILED: $*"; }; }

setup() {
  dir=$1; shift
  [ -f "$dir/build.ninja" ] || meson setup "$dir" -Dwerror=true "$@" >"$dir.log" 2>&1 || { cat "$dir.log"; return 1; }
  ninja -C "$dir" >"$dir.log" 2>&1 || { grep -E 'error|warning|FAILED' "$dir.log" | head -40; return 1; }
}

# A private bus and a private screen, so that nothing of the user's session is touched; no GL, whose drivers leak.
headless() {
  env -u DISPLAY -u WAYLAND_DISPLAY GDK_BACKEND=x11 GDK_DEBUG=gl-disable GSK_RENDERER=cairo GSETTINGS_BACKEND=memory NO_AT_BRIDGE=1 \
    xvfb-run -a -s "-screen 0 1600x1000x24 -noreset" dbus-run-session -- "$@" 2>&1 | grep -v 'Failed to set fd limit'
  return "${PIPESTATUS[0]}"
}

must "layout and rooms" python3 tests/check-rooms.py
must "formatting" tests/check-format.sh
must "build (gcc, warnings as errors)" setup "$build" --buildtype=debugoptimized -Ddebug=false
note "tests"
headless meson test -C "$build" --no-rebuild --print-errorlogs --timeout-multiplier 3
asan() { CC=clang setup "$build-asan" --buildtype=debug -Doptimization=1 -Ddebug=false -Db_sanitize=address,undefined -Db_lundef=false; }
must "build (clang, warnings as errors, ASan and UBSan)" asan
# Photos of twelve megapixels and six thousand bodies would take most of the time; their code is run above, and with small input here.
note "window tests under ASan and UBSan"
export ASAN_OPTIONS=detect_leaks=1 LSAN_OPTIONS=suppressions=$top/tests/support/lsan.supp:print_suppressions=0
export UBSAN_OPTIONS=print_stacktrace=1:halt_on_error=1
headless meson test -C "$build-asan" --no-rebuild --print-errorlogs --timeout-multiplier 8 --suite app
# What is not the window runs there under a locale that writes commas: one run for both.
note "tests under ASan and UBSan and a comma locale"
LC_ALL=$comma LANGUAGE=C headless meson test -C "$build-asan" --no-rebuild --print-errorlogs --timeout-multiplier 8 --logbase comma \
  --no-suite app --no-suite trace-photos --no-suite survey --no-suite data
unset ASAN_OPTIONS LSAN_OPTIONS UBSAN_OPTIONS

python3 tests/tally.py "$fails" "$build/meson-logs/testlog.json" "$build-asan/meson-logs/testlog.json" "$build-asan/meson-logs/comma.json"
