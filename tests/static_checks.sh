#!/usr/bin/env bash
# clang-tidy over the sources of the four folders; checks in .clang-tidy.
#   bash tests/static_checks.sh [FILE.cpp]...
#
# Without names, the files of a folder are checked twenty at a time as one source: their headers,
# most of the work, are then gone through once. Twenty in which something is found, or that cannot be
# one source since two of their own names are equal, are checked once more one by one. The path
# analyser, slow and with little to find that the sanitizers do not, is for named files only.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
. models/setup.sh

# A folder of its own: only the compile commands are wanted, without GCC's precompiled headers.
configure build-tidy CMAKE_BUILD_TYPE=Release CMAKE_DISABLE_PRECOMPILE_HEADERS=ON \
    NOONSHELL_TESTS=OFF > /dev/null

# check FILE...: two at a time.
check() {
    printf '%s\0' "$@" |
        xargs -0 -P "$(nproc)" -n 1 clang-tidy -p build-tidy --quiet "$checks" --warnings-as-errors='*' \
            2> >(grep -vE '^[0-9]+ warnings? (generated|treated)|^Suppressed|^Use -header' >&2 || true)
}

if (($#)); then
    checks="--checks="
    check "$@"
    echo "clang-tidy: $# files without a finding"
    exit
fi

export checks="--checks=-clang-analyzer-*"
export groups=build-tidy/groups
rm -rf "$groups"
mkdir -p "$groups"
at_a_time=20
declare -A members
{
    echo '['
    separator=""
    for folder in geometry solar thermal cli; do
        mapfile -t files < <(git ls-files "$folder/*.cpp")
        as_others=$(grep -m1 "\"command\".* -c $PWD/$folder/" build-tidy/compile_commands.json)
        for ((first = 0; first < ${#files[@]}; first += at_a_time)); do
            group="$PWD/$groups/${folder}_$((first / at_a_time)).cpp"
            members[$group]="${files[*]:first:at_a_time}"
            for file in ${members[$group]}; do
                printf '#line 1 "%s"\n' "$file"
                cat "$file"
            done > "$group"
            printf '%s{ "directory": "%s", "file": "%s",\n%s }\n' "$separator" "$PWD/build-tidy" \
                "$group" "${as_others%" $PWD"*} $group\""
            separator=","
        done
    done
    echo ']'
} > "$groups/compile_commands.json"

# A group that passes leaves a mark.
printf '%s\0' "${!members[@]}" | xargs -0 -P "$(nproc)" -I{} bash -c \
    'clang-tidy -p "$groups" --quiet "$checks" --warnings-as-errors="*" "$1" > "$1.log" 2>&1 && touch "$1.passed" || true' _ {}
again=()
for group in "${!members[@]}"; do
    [[ -f "$group.passed" ]] || again+=(${members[$group]})
done
if ((${#again[@]})); then
    echo "clang-tidy: ${#again[@]} files one by one (build-tidy/groups/*.log tells why)"
    check "${again[@]}"
fi
echo "clang-tidy: $(git ls-files {geometry,solar,thermal,cli}/'*.cpp' | wc -l) files without a finding"
