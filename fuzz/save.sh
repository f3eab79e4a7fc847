#!/usr/bin/env bash
# Keeps what runs with OWN_INPUTS=1 have found: save.sh TARGET. Of all inputs of a target, those saved before and those in its scratch
# folder, as few stay as reach every edge that all of them reach; they are packed into corpus/found/TARGET.tar.xz.
set -euo pipefail
cd "$(dirname "$0")"

target=${1:?usage: save.sh TARGET}
scratch=${FUZZ_SCRATCH:-${TMPDIR:-/tmp}/platewright-fuzz}/$target
. ./seeds.sh
seeds_of "$target"
programs=${FUZZ_PROGRAMS:-$(./build.sh)}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir -p "$work/seeds" "$work/least" "$work/slow" "$scratch/own"
# What the seeds reach needs no further input.
for seed in "${seeds[@]}"; do
    find "$seed" -maxdepth 1 -type f -exec cp -t "$work/seeds" {} +
done
cp "$work/seeds"/* "$work/least" 2>/dev/null || true
# What was saved before is no seed: it is chosen from anew.
found_of "$target" "$work/found"
"$programs/$target" -set_cover_merge=1 -use_counters=0 -timeout=120 -rss_limit_mb=4096 -max_len=65536 -artifact_prefix="$work/slow/" \
    "$work/least" "$work/found" "$scratch/own" >"$work/log" 2>&1 || { tail -n 20 "$work/log"; exit 1; }
for seed in "$work/seeds"/*; do
    rm -f "$work/least/$(basename "$seed")"
done
mkdir -p corpus/found
python3 pack.py pack "$work/least" "corpus/found/$target.tar.xz"
printf '%s: %s inputs, %s bytes\n' "$target" "$(find "$work/least" -type f | wc -l)" "$(stat -c %s "corpus/found/$target.tar.xz")"
