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
for target in "${targets[@]}"; do
    seeds_of "$target"
    mkdir -p "$scratch/$target"
    # All that is saved and no more: what a run of chance finds is no reason to refuse another change. run.sh looks farther.
    if ! "$programs/$target" -runs=0 -timeout=120 -rss_limit_mb=2048 -max_len=65536 \
        -artifact_prefix="$scratch/" "${flags[@]}" "$scratch/$target" "${seeds[@]}" >"$scratch/$target.log" 2>&1; then
        tail -n 60 "$scratch/$target.log"
        echo "fuzz target $target failed; its input, for $target FILE:"
        for input in "$scratch"/crash-* "$scratch"/timeout-* "$scratch"/oom-*; do
            [ ! -f "$input" ] || base64 "$input"
        done
        exit 1
    fi
    printf '%s: %s\n' "$target" "$(grep -E '^#[0-9]+.DONE' "$scratch/$target.log")"
done
