#!/usr/bin/env bash
# The report and the office page in a real browser. Needs Node 20 and a Chromium of the system ($CHROMIUM, or
# /usr/bin/chromium); where one is missing the tests are skipped, unless CI_REQUIRE_BROWSER=1.
# $PLATEWRIGHT is the program to test; without it, it is built.
set -euo pipefail
cd "$(dirname "$0")"

skip() {
    echo "skipped: $1"
    if [ "${CI_REQUIRE_BROWSER:-}" = 1 ]; then
        exit 1
    fi
    exit 0
}
browser=${CHROMIUM:-/usr/bin/chromium}
[ -x "$browser" ] || skip "no Chromium at $browser"
command -v node >/dev/null || skip "no Node"
command -v npm >/dev/null || skip "no npm"

if [ ! -d node_modules ] || [ package-lock.json -nt node_modules ]; then
    npm ci --ignore-scripts --no-audit --no-fund
    touch node_modules
fi
if [ -z "${PLATEWRIGHT:-}" ]; then
    (cd ../.. && cargo build --release --locked --quiet -p platewright)
    target=${CARGO_TARGET_DIR:-../../target}
    PLATEWRIGHT=$target/release/platewright
fi
reports=../../out/browser
node make-reports.mjs "$PLATEWRIGHT" "$reports"
PLATEWRIGHT=$(realpath "$PLATEWRIGHT") REPORTS=$reports node --test --test-concurrency=2 .
