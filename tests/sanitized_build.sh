# Sourced by tests/run.sh and tests/fuzz.sh: one build, in build-asan, for the tests under
# AddressSanitizer and UndefinedBehaviorSanitizer and for the fuzz targets.
# shellcheck shell=bash

# configure_sanitized [NAME=VALUE]...
configure_sanitized() {
    # -O2, since clang takes no small functions into others below it. Eight sources of a folder as
    # one: half the time. No NDEBUG: the assertions of the libraries' headers are on as well.
    configure build-asan CMAKE_BUILD_TYPE=Sanitize "CMAKE_CXX_FLAGS=-O2 -g1" \
        "CMAKE_CXX_COMPILER=$(command -v clang++)" NOONSHELL_SANITIZE=ON NOONSHELL_TESTS=ON \
        CMAKE_UNITY_BUILD=ON "$@"
}
