#!/usr/bin/env bash
# Fuzzes the parsers of users' files with libFuzzer, under AddressSanitizer and
# UndefinedBehaviorSanitizer, from the seeds in tests/fuzz/corpus/.
#   bash tests/fuzz.sh [--full] [SECONDS [TARGET]...]
#
#   SECONDS   of each target, 30 unless given
#   TARGET    step, site_file, weather; all unless given
#   --full    the step target runs the whole reader, CAD kernel and all, some dozen times a second
#
# What the fuzzer learns is kept in build-asan/fuzz-corpus/TARGET and used the next time. Input that
# breaks something is kept as build-asan/fuzz-found/TARGET-*; run build-asan/TARGET_fuzz FILE to see it
# again. With CI=true in the environment every run draws the same numbers.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
. models/setup.sh
. tests/sanitized_build.sh

# Leaks of the CAD kernel are its own; what our code leaks the sanitized tests find.
export ASAN_OPTIONS="detect_leaks=0:allocator_may_return_null=1"
export UBSAN_OPTIONS="print_stacktrace=1"
full=()
if [[ "${1:-}" == --full ]]; then
    # A kernel that crashes in its child process is no finding: the reader makes an error of it.
    full=(--full -handle_segv=0 -handle_bus=0 -handle_fpe=0 -handle_ill=0)
    ASAN_OPTIONS+=":handle_segv=0:handle_sigbus=0:handle_sigfpe=0:handle_sigill=0"
    shift
fi
seconds="${1:-30}"
shift || true
if (($# == 0)); then set -- step site_file weather; fi

require_packages build test
configure_sanitized
build build-asan "${@/%/_fuzz}"

mkdir -p build-asan/fuzz-found
for target in "$@"; do
    mkdir -p "build-asan/fuzz-corpus/$target"
    options=(-max_total_time="$seconds" -timeout=30 -rss_limit_mb=2048 -print_final_stats=1
        -verbosity=0 -artifact_prefix="build-asan/fuzz-found/$target-")
    [[ -f "tests/fuzz/$target.dict" ]] && options+=(-dict="tests/fuzz/$target.dict")
    [[ "${CI:-}" == true ]] && options+=(-seed=1)
    printf 'fuzzing %s for %s s\n' "$target" "$seconds"
    "build-asan/${target}_fuzz" "${options[@]}" "${full[@]}" "build-asan/fuzz-corpus/$target" \
        "tests/fuzz/corpus/$target" 2> "build-asan/$target.log" || {
        tail -n 60 "build-asan/$target.log" >&2
        exit 1
    }
    grep -E '^stat::(number_of_executed_units|average_exec_per_sec)' "build-asan/$target.log"
done
