#!/usr/bin/env bash
# The demo in one command: packages, Release build, a year of sun and heat on the invented station.
#   bash models/demo.sh [option of noonshell run]...
# Results go to out/station. A second run installs nothing and rebuilds nothing.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
. models/setup.sh

require_packages build
# The tests need more packages; a build folder that has them keeps them.
if [[ ! -f build/build.ninja ]]; then
    configure build CMAKE_BUILD_TYPE=Release NOONSHELL_TESTS=OFF
fi
build build noonshell

echo "demo: build/noonshell run models/station.toml --out out/station $*"
build/noonshell run models/station.toml --out out/station "$@"
echo "demo: the program is build/noonshell; the files are in $PWD/out/station:"
ls -l out/station
