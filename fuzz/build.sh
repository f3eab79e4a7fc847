#!/usr/bin/env bash
# Builds every fuzz target with stable Rust (build.sh [PROFILE]), and prints the folder the programs are in. The flags are those of the
# compiler's own coverage pass, as libFuzzer wants it; no sanitizer, since no crate of the product has `unsafe`.
set -euo pipefail
cd "$(dirname "$0")"

host=$(rustc -vV | sed -n 's/^host: //p')
target_dir=${CARGO_TARGET_DIR:-$PWD/../target}/fuzz
profile=${1:-release}
export RUSTFLAGS="-Cpasses=sancov-module -Cllvm-args=-sanitizer-coverage-level=4 \
-Cllvm-args=-sanitizer-coverage-inline-8bit-counters -Cllvm-args=-sanitizer-coverage-pc-table \
-Cllvm-args=-simplifycfg-branch-fold-threshold=0 --cfg fuzzing"
# What is compared with what takes half of the time, and serves where words and numbers of a file are guessed: not for replays (smoke), nor
# for houses made of bytes (untraced).
if [ "$profile" = release ]; then
    RUSTFLAGS+=" -Cllvm-args=-sanitizer-coverage-trace-compares"
fi
# With --target, build scripts and macros are left without the pass: they have no fuzzer to link to.
nice -n "${FUZZ_NICE:-15}" cargo build --profile "$profile" --locked --bins --target "$host" --target-dir "$target_dir" >&2
echo "$target_dir/$host/$profile"
