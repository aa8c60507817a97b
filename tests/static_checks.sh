#!/usr/bin/env bash
# clang-tidy over the sources of the four folders, two files at a time; checks in .clang-tidy.
#   bash tests/static_checks.sh [FILE.cpp]...
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
. models/setup.sh

# A folder of its own: only the compile commands are wanted, without GCC's precompiled headers.
configure build-tidy CMAKE_BUILD_TYPE=Release CMAKE_DISABLE_PRECOMPILE_HEADERS=ON \
    NOONSHELL_TESTS=OFF > /dev/null
if (($# == 0)); then
    mapfile -t files < <(git ls-files 'geometry/*.cpp' 'solar/*.cpp' 'thermal/*.cpp' 'cli/*.cpp')
    set -- "${files[@]}"
fi
printf '%s\0' "$@" |
    xargs -0 -P "$(nproc)" -n 1 clang-tidy -p build-tidy --quiet --warnings-as-errors='*' \
        2> >(grep -vE '^[0-9]+ warnings? (generated|treated)|^Suppressed|^Use -header' >&2 || true)
echo "clang-tidy: $# files without a finding"
