#!/usr/bin/env bash
# Every test in one command: packages, build, CTest.
#   bash tests/run.sh [--sanitize] [option of ctest]...
#
#   --sanitize     build in build-asan with AddressSanitizer and UndefinedBehaviorSanitizer
#   anything else  goes to ctest: -R solar. (by name), --rerun-failed, --verbose
#
# With CI=true in the environment warnings are errors. A second run installs and rebuilds nothing.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
. models/setup.sh

dir=build
settings=(CMAKE_BUILD_TYPE=Release)
if [[ "${1:-}" == --sanitize ]]; then
    shift
    dir=build-asan
    # No NDEBUG: the assertions of the libraries' headers are on as well.
    settings=(CMAKE_BUILD_TYPE=Sanitize "CMAKE_CXX_FLAGS=-O1 -g1" NOONSHELL_SANITIZE=ON
        CMAKE_UNITY_BUILD=ON) # eight sources of a folder as one: half the time
    export ASAN_OPTIONS="detect_leaks=1:strict_string_checks=1:detect_stack_use_after_return=0"
    export LSAN_OPTIONS="suppressions=$PWD/tests/leaks.supp:print_suppressions=0"
    export UBSAN_OPTIONS="print_stacktrace=1:halt_on_error=1"
fi
settings+=(NOONSHELL_TESTS=ON)
if [[ "${CI:-}" == true ]]; then settings+=(NOONSHELL_WERROR=ON); fi

require_packages build test
configure "$dir" "${settings[@]}"
build "$dir"
ctest --test-dir "$dir" --parallel "$(nproc)" --output-on-failure --no-tests=error "$@"
