#!/usr/bin/env bash
# Fuzzes one target: run.sh TARGET SECONDS [libFuzzer flags]. Starts from the saved corpus, the fixtures, and the shared
# corpus where it exists beside this checkout: all of them read in place, never written to. What it finds goes to a scratch
# folder outside the repository, $FUZZ_SCRATCH or platewright-fuzz among the temporary files:
#   TARGET/corpus/     inputs that reach something new; the next run goes on from them
#   TARGET/found/      what earlier runs found and save.sh kept
#   TARGET/findings/   inputs that stop the program, that take too long or too much memory
#   TARGET/log         what the last run printed
# At the end it says how many edges the second half of its executions added: few, and the run has come to its plateau.
# OWN_INPUTS=1 leaves the shared corpus out and keeps its own folder, TARGET/own/: only such inputs may ever be committed (save.sh).
set -euo pipefail
cd "$(dirname "$0")"

target=${1:?usage: run.sh TARGET SECONDS [libFuzzer flags]}
seconds=${2:?usage: run.sh TARGET SECONDS [libFuzzer flags]}
shift 2
scratch=${FUZZ_SCRATCH:-${TMPDIR:-/tmp}/platewright-fuzz}/$target
mine=$scratch/corpus
[ -z "${OWN_INPUTS:-}" ] || mine=$scratch/own
mkdir -p "$mine" "$scratch/findings"

. ./seeds.sh
seeds_of "$target"
rm -rf "$scratch/found"
found_of "$target" "$scratch/found"
if [ -z "${OWN_INPUTS:-}" ]; then
    shared_seeds_of "$target"
fi

programs=${FUZZ_PROGRAMS:-$(./build.sh)}
# A second is long for 64 KiB. The clock on the wall decides: FUZZ_TIMEOUT=120 on a machine that is busy with other work.
status=0
nice -n "${FUZZ_NICE:-15}" "$programs/$target" -max_total_time="$seconds" -timeout="${FUZZ_TIMEOUT:-25}" -rss_limit_mb=2048 -max_len=65536 -len_control=20 \
    -print_final_stats=1 -artifact_prefix="$scratch/findings/" "${flags[@]}" "$@" "$mine" "${seeds[@]}" 2>&1 | tee "$scratch/log" || status=$?
awk -f growth.awk "$scratch/log"
exit "$status"
