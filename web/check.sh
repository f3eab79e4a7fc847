#!/usr/bin/env bash
# The pages' sources: types are sound, and what is committed in the crates is what they build to. Needs
# Node 20; where it is missing the check is skipped, unless CI_REQUIRE_BROWSER=1.
set -euo pipefail
cd "$(dirname "$0")"

if ! command -v node >/dev/null || ! command -v npm >/dev/null; then
    echo "skipped: no Node"
    if [ "${CI_REQUIRE_BROWSER:-}" = 1 ]; then
        exit 1
    fi
    exit 0
fi
npm ci --ignore-scripts --no-audit --no-fund
npm run --silent types
npx --no-install tsc --noEmit
node test.mjs
built=../out/web
rm -rf "$built"
node build.mjs "$built"
(cd "$built" && find . -type f | LC_ALL=C sort) | while read -r file; do
    if ! cmp "$built/$file" "../$file"; then
        echo "$file is not what web/ builds to: run node web/build.mjs and commit it"
        exit 1
    fi
done
hash=$(node -p 'require("crypto").createHash("sha256").update(fs.readFileSync(process.argv[1])).digest("base64")' ../crates/export/src/report/report.js)
if ! grep -qF "\"$hash\"" ../crates/export/src/html/mod.rs; then
    echo "the report's policy does not name its script: put $hash into SCRIPT_SHA256 in crates/export/src/html/mod.rs"
    exit 1
fi
echo "the committed pages are what web/ builds to"
