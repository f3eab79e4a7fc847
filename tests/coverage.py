"""The table of tests/coverage.sh: lines and functions by crate, from llvm-cov, tests' own lines left out."""

import json
import re
import subprocess
import sys
from collections import defaultdict
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def objects(out):
    """Every program that was built, from cargo's messages."""
    for line in (out / "build.json").read_text(encoding="utf-8").splitlines():
        message = json.loads(line)
        if message.get("executable"):
            yield message["executable"]


def tests_from(path):
    """The line that a file's own tests begin at."""
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        if re.match(r"\s*#\[cfg\(test\)\]", line):
            return number
    return sys.maxsize


def is_of_tests(path):
    return re.search(r"(^|/)(tests|testing|reading_tests|\w+_tests)(\.rs|/)", path.as_posix().split("/src/")[-1])


def main(cov, out):
    programs = sorted(set(objects(out)))
    call = [cov, "export", "--format=lcov", f"--instr-profile={out / 'all.profdata'}", programs[0]]
    call += [f"--object={p}" for p in programs[1:]]
    lcov = subprocess.run(call, check=True, stdout=subprocess.PIPE, text=True).stdout

    hits = defaultdict(dict)
    path = None
    for line in lcov.splitlines():
        if line.startswith("SF:"):
            path = Path(line[3:])
            inside = path.is_relative_to(ROOT / "crates") and "src" in path.parts
            limit = tests_from(path) if inside and not is_of_tests(path) else 0
        elif line.startswith("DA:"):
            number, count = line[3:].split(",")[:2]
            if int(number) < limit:
                seen = hits[path]
                seen[int(number)] = max(seen.get(int(number), 0), int(count))

    crates = defaultdict(lambda: [0, 0])
    missed = []
    for path in sorted(hits):
        lines = hits[path]
        name = path.relative_to(ROOT / "crates").parts[0]
        crates[name][0] += len(lines)
        crates[name][1] += sum(count > 0 for count in lines.values())
        missed += [f"{path.relative_to(ROOT)}:{n}" for n, count in sorted(lines.items()) if count == 0]
    (out / "lines.txt").write_text("\n".join(missed) + "\n", encoding="utf-8")
    print("| crate | lines | run by tests |\n|---|---|---|")
    total = [sum(c[i] for c in crates.values()) for i in (0, 1)]
    for name, (lines, run) in [*sorted(crates.items()), ("all", total)]:
        print(f"| {name} | {lines} | {100 * run / max(lines, 1):.1f} % |")


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]))
