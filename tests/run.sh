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

require_packages build test
if [[ "${1:-}" == --sanitize ]]; then
    shift
    dir=build-asan
    export ASAN_OPTIONS="detect_leaks=1:strict_string_checks=1:detect_stack_use_after_return=0"
    export LSAN_OPTIONS="suppressions=$PWD/tests/leaks.supp:print_suppressions=0"
    export UBSAN_OPTIONS="print_stacktrace=1:halt_on_error=1"
    . tests/sanitized_build.sh
    configure_sanitized
else
    dir=build
    settings=(CMAKE_BUILD_TYPE=Release NOONSHELL_TESTS=ON)
    if [[ "${CI:-}" == true ]]; then settings+=(NOONSHELL_WERROR=ON); fi
    configure "$dir" "${settings[@]}"
fi
build "$dir"
ctest --test-dir "$dir" --parallel "$(nproc)" --output-on-failure --no-tests=error "$@"
