#!/usr/bin/env bash
# Builds every fuzz target, and runs each over its saved corpus. Needs stable Rust; a C++ compiler,
# for libFuzzer itself, comes from Debian's packages where there is none.
set -euo pipefail
cd "$(dirname "$0")"

if ! command -v c++ >/dev/null; then
    (apt-get update -qq && apt-get install -y -qq --no-install-recommends g++) >/dev/null 2>&1 || true
fi
. ./seeds.sh
programs=$(./build.sh smoke)
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
# All that is saved and no more: what a run of chance finds is no reason to refuse another change. run.sh looks farther.
replay() {
    local target=$1 inputs=$scratch/$1-inputs
    seeds_of "$target"
    found_of "$target" "$scratch/$target-found"
    mkdir -p "$inputs" "$scratch/$target"
    if ! "$programs/$target" -runs=0 -timeout=120 -rss_limit_mb=2048 -max_len=65536 \
        -artifact_prefix="$scratch/$target/" "${flags[@]}" "$inputs" "${seeds[@]}" >"$scratch/$target.log" 2>&1; then
        tail -n 60 "$scratch/$target.log"
        echo "fuzz target $target failed; its input, for $target FILE:"
        for input in "$scratch/$target"/*; do
            [ ! -f "$input" ] || base64 "$input"
        done
        return 1
    fi
    printf '%s: %s\n' "$target" "$(grep -E '^#[0-9]+.DONE' "$scratch/$target.log")"
}
# Two at a time, those that take longest first.
order=(plan_from_ifc plan_from_dxf walls_to_proof)
for target in "${targets[@]}"; do
    [[ " ${order[*]} " == *" $target "* ]] || order+=("$target")
done
export -f replay seeds_of found_of
export scratch programs
printf '%s\n' "${order[@]}" | xargs -P 2 -I '{}' bash -euo pipefail -c 'replay {}'
