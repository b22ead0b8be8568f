#!/usr/bin/env bash
# Every C file is as clang-format leaves it.
cd "$(dirname "$0")/.." || exit 1
find src tests -name '*.[ch]' -print0 | xargs -0 clang-format --dry-run -Werror 2>&1 | grep -E 'error' | head -20
[ "${PIPESTATUS[1]}" = 0 ]
