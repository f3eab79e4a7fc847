"""Reads damaged drawings with platewright and with ezdxf or ifcopenshell, and judges where they differ.

    cargo build --release -p platewright && cargo build --release -p import-dxf -p import-ifc -p platewright-tests --examples
    python check_mutated.py target/release [--many N] [--seed TEXT] [--kind WORDS] [--keep FOLDER]

Every kind of damage in mutations.py and mutations_ifc.py is done to a few drawings: those of the project and, where
the folder exists, small ones of the shared corpus. The same seed gives the same files. `--many N` does each kind N
times, to larger drawings as well. Judged, as docs/reliability.md tells:

- both read it: the same linework and walls (the comparisons of check_dxf.py, check_walls.py and check_ifc.py);
- only one reads it, or they differ: for one of the reasons in `EXPLAINED`, and platewright must have said something
  that names a place, unless the reason is the outside library's own;
- no panic, and every ledger sums.

Exits with 1 when anything else happens.
"""

import argparse
import json
import os
import random
import subprocess
import sys
import tempfile
from collections import Counter, defaultdict
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import SimpleQueue

import mutations
import mutations_ifc  # fills mutations.IFC
from mutated_peers import Peer
from mutated_verdicts import EXPLAINED, verdict

ROOT = Path(__file__).resolve().parents[2]
CORPUS = ROOT.parent / "shared" / "corpus"
# Sizes of corpus drawings that are damaged: in CI, and in long runs.
SMALL, LARGE = 100_000, 500_000
BATCH = 40


def drawings(largest):
    """Paths by format. Binary drawings are damaged byte by byte only."""
    own = ["fixtures/demo/willow-bend.dxf", "fixtures/guide/shed.dxf", "fixtures/dxf/unknown-layers.dxf", "fixtures/demo/willow-bend.ifc"]
    paths = [ROOT / p for p in own] + sorted((ROOT / "out" / "dxf").glob("*.dxf"))
    if CORPUS.is_dir():
        paths += [p for p in sorted(CORPUS.glob("*/*")) if p.suffix in (".dxf", ".ifc", ".ifczip") and p.stat().st_size <= largest]
    else:
        print("left out: no shared corpus beside this checkout")
    by_format = defaultdict(list)
    for path in paths:
        start = path.read_bytes()[:30]
        binary = start.startswith(b"AutoCAD Binary DXF") or start.startswith(b"PK")
        by_format["binary " + path.suffix[1:4] if binary else path.suffix[1:]].append(path)
    return by_format


FAMILIES = {"dxf": mutations.DXF, "ifc": mutations.IFC, "binary dxf": mutations.BINARY, "binary ifc": mutations.BINARY}


def damaged(by_format, seed, each, only, folder):
    """Writes the damaged drawings; for each its path, format, kind of damage and undamaged drawing."""
    cases = []
    for form, paths in sorted(by_format.items()):
        if not paths:
            continue
        read = {p: p.read_bytes() for p in paths}
        for kind, mutate in FAMILIES[form].items():
            if only and only not in kind:
                continue
            for n in range(each):
                rng = random.Random(f"{seed}/{form}/{kind}/{n}")
                for _ in range(12):
                    path = rng.choice(paths)
                    data = mutate(rng, read[path])
                    if data is not None and data != read[path]:
                        break
                else:
                    continue
                suffix = path.suffix
                name = f"{form}-{kind}-{n}".replace(" ", "-").replace("'", "") + suffix
                (folder / name).write_bytes(data)
                cases.append({"path": str(folder / name), "format": form[-3:], "kind": kind, "of": path})
    return cases


def run(command):
    return subprocess.run(command, capture_output=True, text=True, encoding="utf-8", errors="replace")


class Program:
    """platewright and its dumps."""

    def __init__(self, folder):
        dumps = Path(folder) / "examples"
        self.cli, self.linework, self.walls, self.ifc = (
            str(p) for p in (Path(folder) / "platewright", dumps / "dump-linework", dumps / "dump-walls", dumps / "dump-ifc")
        )

    def dump(self, program, paths):
        """What a dump prints of each path. One that panics takes its batch with it, so each is then asked alone."""
        done = run([program, *paths])
        if done.returncode != 0 and len(paths) > 1:
            return {k: v for p in paths for k, v in self.dump(program, [p]).items()}
        if done.returncode != 0:
            return {paths[0]: {"path": paths[0], "panic": done.stderr[-400:]}}
        return {row["path"]: row for row in map(json.loads, done.stdout.splitlines())}

    def read(self, cases):
        """Everything platewright has to say of a batch of drawings of one format."""
        paths = [case["path"] for case in cases]
        dumps = [self.linework, self.walls] if cases[0]["format"] == "dxf" else [self.ifc]
        dumped = [self.dump(program, paths) for program in dumps]
        return [self.one(path, [d.get(path) for d in dumped]) for path in paths]

    def one(self, path, dumped):
        done = run([self.cli, "inspect", "--json", path])
        ours = {"status": done.returncode, "panic": None, "said": [], "linework": None, "walls": None, "framed": None, "inches_per_unit": None}
        if done.returncode not in (0, 1, 2) or "panicked" in done.stderr or any(d and "panic" in d for d in dumped):
            ours["panic"] = done.stderr[-400:] + "".join((d or {}).get("panic", "") for d in dumped)
            return ours
        if done.returncode == 2:
            ours["said"] = [line.replace(f"{Path(path).name}: ", "") for line in done.stderr.splitlines() if line.startswith(("error", "warning", "note"))]
            return ours
        seen = json.loads(done.stdout)
        ledger = seen["ledger"]
        ours["sums"] = ledger["entities_read"] == ledger["used"] + sum(i["count"] for i in ledger["ignored"])
        ours["said"] = [f"{f['severity']}[{f['code']}]: {f['message']}" for f in seen["findings"]]
        if len(dumped) == 2:
            ours["linework"], ours["walls"] = dumped
        elif dumped[0] and "framed" in dumped[0]:
            ours.update(framed=dumped[0]["framed"], inches_per_unit=dumped[0]["inches_per_unit"])
        return ours


def main():
    options = argparse.ArgumentParser()
    options.add_argument("program", help="folder of the built program: target/release")
    options.add_argument("--many", type=int, help="each kind of damage so many times, to larger drawings as well")
    options.add_argument("--seed", default="1")
    options.add_argument("--kind", help="only kinds of damage with these words")
    options.add_argument("--keep", help="keep the damaged drawings in this folder")
    asked = options.parse_args()
    by_format = drawings(LARGE if asked.many else SMALL)
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(asked.keep or temporary)
        folder.mkdir(parents=True, exist_ok=True)
        whole = [{"path": str(p), "format": f[-3:], "kind": "none", "of": p} for f, paths in by_format.items() for p in paths]
        program = Program(asked.program)
        read_and_ask(program, whole, {})
        # What differs undamaged, or is refused, says nothing when damaged.
        sound = {row["of"]: row for row in whole if any(v.get("differs") == [] for v in row["peers"].values())}
        by_format = {f: [p for p in paths if p in sound] for f, paths in by_format.items()}
        cases = damaged(by_format, asked.seed, asked.many or 3, asked.kind, folder)
        read_and_ask(program, cases, sound)
        return judge(cases, sound)


def judge(cases, sound):
    """Prints what came of every kind of damage; 1 when there is a fault."""
    table, faults = defaultdict(Counter), 0
    for row in cases:
        name, fault = verdict(row, sound[row["of"]]["ours"])
        table[row["format"]][name] += 1
        if not fault:
            continue
        faults += 1
        print(f"FAULT {name}: {row['kind']}, {Path(row['path']).name} of {row['of'].name}")
        print(f"    platewright: status {row['ours']['status']} {row['ours']['panic'] or ''}")
        for line in row["ours"]["new"][:4]:
            print(f"      {line[:300]}")
        for peer, said in row["peers"].items():
            print(f"    {peer}: {str(said)[:600]}")
    for form, counts in table.items():
        print(f"{form}: {sum(counts.values())} damaged drawings")
        for name, n in counts.most_common():
            print(f"  {n:5} {name}")
    explained = (ROOT / "docs" / "reliability.md").read_text(encoding="utf-8")
    for name in (reason[0] for reason in EXPLAINED):
        if f"| {name} |" not in explained:
            faults += 1
            print(f"FAULT {name}: docs/reliability.md does not explain it")
    print(f"{len(cases)} damaged drawings, {faults} faults")
    return 1 if faults or not cases else 0


def read_and_ask(program, rows, sound):
    """What platewright and the outside libraries make of every drawing."""
    workers = os.cpu_count() or 1
    batches = []
    for form in ("dxf", "ifc"):
        of_form = [row for row in rows if row["format"] == form]
        batches += [of_form[i : i + BATCH] for i in range(0, len(of_form), BATCH)]
    peers = SimpleQueue()
    for _ in range(workers):
        peers.put(Peer())

    def ask(row):
        peer = peers.get()
        row["peers"] = peer.ask({"path": row["path"], "format": row["format"], "ours": row["ours"]})
        peers.put(peer)

    with ThreadPoolExecutor(workers) as pool:
        for batch, read in zip(batches, pool.map(program.read, batches)):
            for row, ours in zip(batch, read):
                row["ours"] = ours
                # Walls of several faces are no one's but ours: where the undamaged drawing has such, lines are compared alone.
                before = sound.get(row["of"])
                if before and not before["ours"]["walls"]:
                    ours["walls"] = None
                ours["new"] = list((Counter(ours["said"]) - Counter(before["ours"]["said"] if before else [])).elements())
        list(pool.map(ask, rows))
        for row in rows:
            # What pairs of lines are taken for is not ezdxf's to say.
            if not sound and row["ours"]["walls"] and all(v.get("differs") != [] for v in row["peers"].values()):
                row["ours"]["walls"] = None
                ask(row)
    for _ in range(workers):
        peers.get().close()


if __name__ == "__main__":
    sys.exit(main())
