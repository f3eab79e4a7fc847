#!/usr/bin/env bash
# What the program may be made of, by deny.toml: licences, bans, sources; security advisories where their database can be had.
# Without cargo-deny (cargo install cargo-deny --locked, ten minutes) the licences and sources are looked at all the same.
set -euo pipefail
cd "$(dirname "$0")/../.."
if cargo deny --version >/dev/null 2>&1; then
    cargo deny --offline --locked check licenses bans sources
    if ! cargo deny --locked fetch db >/dev/null 2>&1; then
        echo "skipped: advisories, for their database cannot be had from here"
    else
        cargo deny --locked check advisories
    fi
else
    echo "skipped: bans and advisories, for cargo-deny is not installed"
fi
python3 tests/reference/check_dependencies.py
