"""Licences and sources of every crate in Cargo.lock, tests' own included, by the lists of deny.toml."""

import json
import re
import subprocess
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
REGISTRY = "registry+https://github.com/rust-lang/crates.io-index"


def satisfied(expression, allowed):
    """Whether the allowed licences satisfy an SPDX expression; `/` is the old way to write OR."""
    text = re.sub(r"\s*/\s*", " OR ", expression)
    words = re.findall(r"[()]|[^()\s]+(?: WITH \S+)?", text)
    operators = {"OR": "or", "AND": "and", "(": "(", ")": ")"}
    tokens = [operators[word] if word in operators else str(word in allowed) for word in words]
    return bool(eval(" ".join(tokens), {"__builtins__": {}}))


def main():
    rules = tomllib.loads((ROOT / "deny.toml").read_text(encoding="utf-8"))["licenses"]
    exceptions = {e["crate"]: set(e["allow"]) for e in rules["exceptions"]}
    metadata = json.loads(
        subprocess.check_output(["cargo", "metadata", "--format-version", "1", "--locked", "--all-features"], cwd=ROOT)
    )
    wrong = []
    for package in metadata["packages"]:
        name = f"{package['name']} {package['version']}"
        if package["source"] not in (None, REGISTRY):
            wrong.append(f"{name} comes from {package['source']}")
        allowed = set(rules["allow"]) | exceptions.get(package["name"], set())
        if not package["license"] or not satisfied(package["license"], allowed):
            wrong.append(f"{name} is under {package['license']}")
    # A check that cannot say no is none.
    assert satisfied("(MIT OR GPL-3.0) AND Zlib", {"MIT", "Zlib"})
    assert not satisfied("(MIT OR Zlib) AND GPL-3.0", {"MIT", "Zlib"})
    assert not satisfied("Apache-2.0 WITH LLVM-exception", {"Apache-2.0"}) and satisfied("MIT/GPL-2.0", {"MIT"})
    print("\n".join(wrong) or f"{len(metadata['packages'])} crates: every licence and source is allowed")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
