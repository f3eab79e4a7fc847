#!/usr/bin/env bash
# How much of each crate the tests run: tests/coverage.sh [-p CRATE ...], the whole workspace when left out. Prints the table
# of docs/reliability.md; out/coverage/lines.txt tells the lines that no test runs. Not part of .ci/run.
#
# Needs LLVM's llvm-profdata and llvm-cov: the toolchain's own (rustup component add llvm-tools), else Debian's llvm-22 or llvm-19.
set -euo pipefail
cd "$(dirname "$0")/.."
out=$PWD/out/coverage
rm -rf "$out" && mkdir -p "$out"

own=$(rustc --print sysroot)/lib/rustlib/$(rustc -vV | sed -n 's/^host: //p')/bin
tool() {
    local found
    for found in "$own/$1" "$1-22" "$1-21" "$1-20" "$1-19"; do
        if command -v "$found" >/dev/null; then
            echo "$found"
            return
        fi
    done
    echo "$1 is missing: rustup component add llvm-tools, or apt-get install llvm-19" >&2
    return 1
}
profdata=$(tool llvm-profdata)
cov=$(tool llvm-cov)

# Only our own crates are measured; the others stay as the usual tests built them.
cat >"$out/rustc" <<'WRAPPER'
#!/bin/sh
exec "$@" -C instrument-coverage
WRAPPER
chmod +x "$out/rustc"
export RUSTC_WORKSPACE_WRAPPER=$out/rustc LLVM_PROFILE_FILE="$out/raw/%m-%p.profraw"
which=("$@")
if [ ${#which[@]} -eq 0 ]; then
    which=(--workspace --exclude platewright-benches)
fi
cargo test "${which[@]}" --locked --lib --bins --tests --no-run --message-format=json >"$out/build.json"
cargo test "${which[@]}" --locked --lib --bins --tests --quiet
"$profdata" merge --sparse --failure-mode=all -o "$out/all.profdata" "$out"/raw/*.profraw
rm -rf "$out/raw"
python3 tests/coverage.py "$cov" "$out"
