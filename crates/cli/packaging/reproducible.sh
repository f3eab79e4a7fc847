#!/usr/bin/env bash
# Builds the release twice from the last commit, in two folders of different names with different target folders, and
# compares the programs byte for byte: reproducible.sh [FOLDER]. A quarter of an hour; not part of .ci/run.
#
# What the same bytes take: the same commit, Cargo.lock and Rust release, and the flags below, which take the folders of this
# machine out of the debug information. The first program stays in FOLDER/one/target/release.
set -euo pipefail
cd "$(dirname "$0")/../../.."
out=$(realpath -m "${1:-out/reproducible}")
rm -rf "$out"
commit=$(git rev-parse HEAD)
sysroot=$(rustc --print sysroot)
cargo_home=${CARGO_HOME:-$HOME/.cargo}

build() {
    local folder=$1
    mkdir -p "$folder/source"
    git archive "$commit" | tar -x -C "$folder/source"
    (
        cd "$folder/source"
        export CARGO_TARGET_DIR=$folder/target CARGO_INCREMENTAL=0
        export RUSTFLAGS="--remap-path-prefix=$folder/source=/platewright --remap-path-prefix=$folder/target=/target --remap-path-prefix=$cargo_home=/cargo --remap-path-prefix=$sysroot=/rust"
        nice -n 15 cargo build --release --locked --quiet -p platewright
    )
    sha256sum <"$folder/target/release/platewright" | cut -d ' ' -f 1
}
one=$(build "$out/one")
two=$(build "$out/another-name/deeper")
echo "$one  one"
echo "$two  another-name/deeper"
if [ "$one" != "$two" ]; then
    echo "the two builds differ"
    exit 1
fi
if grep -aq -e "$out" -e "$cargo_home" "$out/one/target/release/platewright"; then
    echo "the program holds a folder of this machine"
    exit 1
fi
echo "the two builds of $commit are equal"
