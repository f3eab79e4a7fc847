#!/usr/bin/env python3
"""Judges every mutant of the planner, the wall graph and the verifier by the tests of these three crates.

cargo-mutants (on the PATH) lists the mutants; building and testing them one after the other, as it does, takes days. This weaves them all into
one copy of the sources (src/main.rs), builds that once, sees which test comes by which mutant, and runs for each mutant only the tests that do, the
quickest first, until one fails. Mutants that do not compile are left out, as cargo-mutants leaves them out.

    run.py SCRATCH [--jobs N] [--longest SECONDS] [--count N] [--again]

SCRATCH keeps the sources as they are when it begins, the build, and SCRATCH/verdicts.tsv, a line for each mutant: its number, its verdict (caught, hangs,
missed, unreached, foreign: does not compile, fixed: in a constant), its name. Mutants come in an order of chance, the same in every run, so that the first N are a fair sample; a
run that is broken off goes on from there. Python 3.11, nothing beside its own library.
"""

import argparse
import json
import os
import random
import re
import signal
import subprocess
import sys
import tomllib
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
# What cargo gives to tests, such as the seed of property tests.
GIVEN = tomllib.loads((ROOT / ".cargo/config.toml").read_text()).get("env", {}) | {
    # One mutant's failure is no case for the next, and need not be made small.
    "PROPTEST_DISABLE_FAILURE_PERSISTENCE": "true",
    "PROPTEST_MAX_SHRINK_ITERS": "0",
}
PACKAGES = ["wall-graph", "plan-verify", "plate-plan"]

SWITCH = """
mod chosen {
    use std::sync::OnceLock;
    use std::sync::atomic::{AtomicBool, AtomicU32, Ordering::Relaxed};

    const UNASKED: u32 = u32::MAX;
    const NONE: u32 = u32::MAX - 1;
    static CHOSEN: AtomicU32 = AtomicU32::new(UNASKED);

    /// Whether this mutant is the chosen one.
    #[inline]
    pub fn mutant(number: u32) -> bool {
        let chosen = CHOSEN.load(Relaxed);
        if chosen < NONE { chosen == number } else { none_yet(number) }
    }

    /// Where none is chosen, those that are come by are written down, each once.
    #[cold]
    fn none_yet(number: u32) -> bool {
        static REACHED: OnceLock<(Option<std::path::PathBuf>, Vec<AtomicBool>)> = OnceLock::new();
        if CHOSEN.load(Relaxed) == UNASKED {
            let chosen = std::env::var("MUTANT").map_or(NONE, |n| n.parse().expect("MUTANT is a number"));
            CHOSEN.store(chosen, Relaxed);
            return mutant(number);
        }
        let (file, seen) = REACHED.get_or_init(|| {
            let file = std::env::var_os("MUTANTS_REACHED").map(Into::into);
            (file, (0..65536).map(|_| AtomicBool::new(false)).collect())
        });
        if let Some(file) = file && !seen[number as usize].swap(true, Relaxed) {
            use std::io::Write;
            let mut file = std::fs::OpenOptions::new().create(true).append(true).open(file).expect("a file that can be written");
            file.write_all(format!("{number}\\n").as_bytes()).expect("a file that can be written");
        }
        false
    }
}
pub use chosen::mutant;
"""


def run(command, **more):
    return subprocess.run([str(c) for c in command], check=True, text=True, stdout=subprocess.PIPE, **more).stdout


class Build:
    """The copy of the sources with all mutants in it that compile."""

    def __init__(self, scratch):
        self.scratch = scratch
        self.sources = scratch / "sources"
        self.tree = scratch / "tree"
        self.list = scratch / "mutants.json"
        self.left_out = scratch / "left-out"
        self.env = os.environ | {
            "RUSTFLAGS": "--cap-lints allow",
            "CARGO_TARGET_DIR": str(scratch / "target"),
            "CARGO_PROFILE_DEV_DEBUG": "0",
            "CARGO_PROFILE_DEV_OPT_LEVEL": "2",
            "CARGO_INCREMENTAL": "0",
        }

    def prepare(self):
        packages = [a for p in PACKAGES for a in ("-p", p)]
        self.list.write_text(run(["cargo", "mutants", "--list", "--json", *packages], cwd=ROOT))
        tracked = run(["git", "ls-files", "-z", "--", "Cargo.toml", "Cargo.lock", "rust-toolchain.toml", "crates", "tests", "benches", "fixtures"], cwd=ROOT)
        for name in filter(None, tracked.split("\0")):
            for copy in (self.sources, self.tree):
                (copy / name).parent.mkdir(parents=True, exist_ok=True)
                (copy / name).write_bytes((ROOT / name).read_bytes())
        geom = self.tree / "crates/geom/src/lib.rs"
        geom.write_text(geom.read_text() + SWITCH)
        self.left_out.write_text("")
        self.scratch.joinpath("fixed").write_text("")

    def weave(self):
        env = os.environ | {"CARGO_TARGET_DIR": str(self.scratch / "target-weave")}
        fixed = run(
            ["cargo", "run", "-q", "--release", "--locked", "--manifest-path", HERE / "Cargo.toml", "--", self.list, self.left_out, self.sources, self.tree],
            env=env,
        )
        self.scratch.joinpath("fixed").write_text(fixed)

    def programs(self):
        """Builds, leaving out what does not compile, and returns the test programs, each with its package's folder."""
        packages = [a for p in PACKAGES for a in ("-p", p)]
        while True:
            self.weave()
            built = subprocess.run(
                ["cargo", "build", "--tests", "--locked", "--keep-going", "--message-format", "json", *packages],
                cwd=self.tree, env=self.env, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
            )
            messages = [json.loads(line) for line in built.stdout.splitlines() if line.startswith("{")]
            if built.returncode == 0:
                return [
                    (Path(m["executable"]), Path(m["manifest_path"]).parent)
                    for m in messages
                    if m["reason"] == "compiler-artifact" and m["executable"] and m["profile"]["test"]
                ]
            bad = set()
            for m in messages:
                if m["reason"] == "compiler-message" and m["message"]["level"] == "error":
                    bad |= self.blamed(m["message"])
            if not bad:
                sys.exit("the woven sources do not compile, and no mutant can be blamed:\n" + built.stderr[-4000:])
            print(f"{len(bad)} mutants do not compile", flush=True)
            with self.left_out.open("a") as f:
                f.write("".join(f"{n}\n" for n in sorted(bad)))

    def blamed(self, message):
        """The mutants in whose lines a message of the compiler points, or else the last before."""
        if (message["code"] or {}).get("code") == "E0004":
            return self.arms(message)
        inside, before = set(), set()
        for span in filter(lambda s: s["is_primary"], message["spans"]):
            while span["expansion"] and not span["file_name"].startswith("crates/"):
                span = span["expansion"]["span"]
            if not span["file_name"].startswith("crates/"):
                continue
            lines = (self.tree / span["file_name"]).read_text().split("\n")
            line = span["line_start"] - 1
            # A mutant lies on lines of its own, between the line that opens it and the one that closes it.
            for above in range(line - 1, -1, -1):
                if opened := re.findall(r"/\*<(\d+)>\*/$", lines[above]):
                    within = not any("/*<>*/" in between for between in lines[above + 1 : line + 1])
                    (inside if within else before).add(int(opened[-1]))
                    break
        return inside or before

    def arms(self, message):
        """The arms that may be left out of a match of which the compiler misses some: those down to where it would add them."""
        found = set()
        start = next(span for span in message["spans"] if span["is_primary"])
        for place in (span for child in message["children"] for span in child["spans"] if span["suggested_replacement"]):
            lines = (self.tree / start["file_name"]).read_text().split("\n")[start["line_start"] - 1 : place["line_end"]]
            found |= {int(n) for line in lines for n in re.findall(r"if /\*<(\d+)>\*/$", line)}
        return found


class Tests:
    """Every test by itself: how long it takes and which mutants it comes by."""

    def __init__(self, scratch, programs, jobs, longest, names):
        self.seconds, self.of_mutant, self.caught = {}, {}, Counter()
        # What was seen of the same programs before holds.
        seen = scratch / "tests.json"
        key = [[str(program), program.stat().st_mtime] for program, _ in programs]
        known = json.loads(seen.read_text()) if seen.exists() else None
        if known is None or known["programs"] != key:
            todo = []
            for number, (program, folder) in enumerate(programs):
                for line in run([program, "--list", "--format", "terse"], cwd=folder).splitlines():
                    if line.endswith(": test"):
                        todo.append((number, program, folder, line.removesuffix(": test")))
            with ThreadPoolExecutor(jobs) as pool:
                known = {"programs": key, "tests": list(pool.map(lambda k: look(scratch, *k), enumerate(todo)))}
            seen.write_text(json.dumps(known))
        for number, name, seconds, reached in known["tests"]:
            # Those catch more than all others.
            if longest is None or seconds <= longest or name.endswith("_as_before"):
                test = (*programs[number], name)
                self.seconds[test] = seconds
                # What the planner makes otherwise of a house is seen before its plan is broken: in the list of houses.
                broken = name == "what_is_broken_is_seen_as_before"
                for mutant in reached:
                    if not broken or names[mutant].startswith("crates/plan-verify/"):
                        self.of_mutant.setdefault(mutant, []).append(test)

    def verdict(self, mutant):
        tests = self.of_mutant.get(mutant)
        if not tests:
            return "unreached"
        for program, folder, names, seconds in self.groups(tests):
            # By time of the processor, whoever else is at it; the system sees to it even where this program is gone.
            done = subprocess.run(
                ["prlimit", f"--cpu={3 + round(10 * seconds)}", program, "--exact", "--test-threads", "1", *names],
                cwd=folder, env=os.environ | GIVEN | {"MUTANT": str(mutant)}, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            )
            if done.returncode in (-signal.SIGXCPU, -signal.SIGKILL):
                return "hangs"
            if done.returncode:
                self.caught[names[-1]] += 1
                return "caught"
        return "missed"

    def groups(self, tests):
        """Tests of one program together up to a fifth of a second, quick ones first."""
        groups = {}
        for test in sorted(tests, key=lambda t: (self.seconds[t], t)):
            program, folder, name = test
            names, seconds = groups.get((program, folder, "open"), ([], 0))
            if names and seconds + self.seconds[test] > 0.2:
                groups[program, folder, names[0]] = (names, seconds)
                names, seconds = [], 0
            groups[program, folder, "open"] = (names + [name], seconds + self.seconds[test])
        groups = [(program, folder, names, seconds) for (program, folder, _), (names, seconds) in groups.items()]
        # What has caught many comes early; a verdict does not depend on it.
        return sorted(groups, key=lambda g: g[3] / (1 + self.caught[g[2][-1]]))


def look(scratch, place, test):
    """What one test takes of the processor, in seconds, and the mutants it comes by."""
    number, program, folder, name = test
    file = scratch / f"reached-{place}"
    file.unlink(missing_ok=True)
    child = subprocess.Popen(
        [program, "--exact", name], cwd=folder, env=os.environ | GIVEN | {"MUTANTS_REACHED": str(file)}, stdout=subprocess.DEVNULL
    )
    _, status, used = os.wait4(child.pid, 0)
    if status:
        sys.exit(f"{name} fails without any mutant")
    reached = [int(n) for n in file.read_text().split()] if file.exists() else []
    file.unlink(missing_ok=True)
    return number, name, used.ru_utime + used.ru_stime, reached


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("scratch", type=Path)
    parser.add_argument("--jobs", type=int, default=os.cpu_count())
    parser.add_argument("--longest", type=float, help="without tests that take longer, as_before apart")
    parser.add_argument("--count", type=int, help="judge the first N of the order alone")
    parser.add_argument("--again", action="store_true", help="judge those again that were missed, or hung")
    args = parser.parse_args()
    scratch = args.scratch.resolve()
    build = Build(scratch)
    if not build.list.exists():
        scratch.mkdir(parents=True, exist_ok=True)
        build.prepare()
    names = [m["name"] for m in json.loads(build.list.read_text())]
    programs = build.programs()
    foreign = {int(n) for n in build.left_out.read_text().split()}
    fixed = {int(n) for n in (scratch / "fixed").read_text().split()}
    tests = Tests(scratch, programs, args.jobs, args.longest, names)
    print(f"{len(names)} mutants, {len(foreign)} do not compile, {len(fixed)} in constants; {len(tests.seconds)} tests of {sum(tests.seconds.values()):.0f} s", flush=True)
    verdicts = scratch / "verdicts.tsv"
    known = {}
    if verdicts.exists():
        for line in verdicts.read_text().splitlines():
            number, verdict, _ = line.split("\t")
            known[int(number)] = verdict
    order = random.Random(1).sample(range(len(names)), len(names))[: args.count]
    todo = [n for n in order if n not in known or (args.again and known[n] in ("missed", "hangs"))]

    def judged(number):
        if number in foreign:
            return number, "foreign"
        if number in fixed:
            return number, "fixed"
        return number, tests.verdict(number)

    # A later line of a mutant takes the place of an earlier one.
    with verdicts.open("a") as file, ThreadPoolExecutor(args.jobs) as pool:
        for number, verdict in pool.map(judged, todo):
            known[number] = verdict
            file.write(f"{number}\t{verdict}\t{names[number]}\n")
            file.flush()
    print(Counter(known[n] for n in order))


if __name__ == "__main__":
    main()
