# Sourced by models/demo.sh and tests/run.sh, from the top folder: installs what is missing from
# models/debian-packages.txt and configures builds. Does nothing where nothing is missing.
# shellcheck shell=bash

# Prints the packages of the named sections, one a line.
listed_packages() {
    local wanted=" $* " section="" line
    while read -r line; do
        line="${line%%#*}"
        line="${line%"${line##*[![:space:]]}"}"
        case "$line" in
            "") ;;
            "["*"]") section="${line:1:-1}" ;;
            *) [[ "$wanted" == *" $section "* ]] && echo "$line" ;;
        esac
    done < models/debian-packages.txt
    return 0
}

# Prints those of the given packages that are not installed.
missing_packages() {
    local package
    for package in "$@"; do
        case "$package" in
            nodejs | npm)
                if command -v node > /dev/null && command -v npm > /dev/null; then continue; fi
                ;;
        esac
        [[ "$(dpkg-query -W -f '${db:Status-Status}' "$package" 2> /dev/null)" == installed ]] ||
            echo "$package"
    done
}

# require_packages SECTION...: installs what is missing, or says what to type and stops.
require_packages() {
    local listed missing
    if ! command -v dpkg-query > /dev/null || ! command -v apt-get > /dev/null; then
        echo "set-up: this is no Debian system; install by hand what models/debian-packages.txt lists," \
            "then build with cmake (see DEVELOPERS.md)" >&2
        exit 1
    fi
    mapfile -t listed < <(listed_packages "$@")
    mapfile -t missing < <(missing_packages "${listed[@]}")
    if ((${#missing[@]} == 0)); then return 0; fi

    local install=(apt-get install --yes --no-install-recommends "${missing[@]}")
    local as_root=()
    if ((EUID != 0)); then
        if command -v sudo > /dev/null && sudo -n true 2> /dev/null; then
            as_root=(sudo -n)
        else
            echo "set-up: ${#missing[@]} packages are missing and only root can install them. Type:" >&2
            echo "    sudo apt-get update && sudo ${install[*]}" >&2
            echo "and run this script again." >&2
            exit 1
        fi
    fi
    echo "set-up: installing ${missing[*]}"
    "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get update --quiet
    "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive "${install[@]}"
}

# configure DIR NAME=VALUE...: runs cmake only where a value differs from what DIR was set up with;
# Ninja itself notices changed CMake files.
configure() {
    local dir="$1" setting same=true
    shift
    [[ -f "$dir/build.ninja" ]] || same=false
    for setting in "$@"; do
        $same || break
        grep -qE "^${setting%%=*}:[A-Z]+=${setting#*=}\$" "$dir/CMakeCache.txt" || same=false
    done
    $same || cmake -S . -B "$dir" -G Ninja "${@/#/-D}"
}

# build DIR [TARGET...]
build() {
    local dir="$1"
    shift
    cmake --build "$dir" --parallel "$(nproc)" ${1:+--target "$@"}
}
