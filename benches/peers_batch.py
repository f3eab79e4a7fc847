"""Plans a generated subdivision with platewright, and beside it reads the same drawings with ezdxf, in one run.

Usage: peers_batch.py [--plans N] [--lots N] [--bad N]; needs ezdxf (tests/reference/requirements.txt) and cargo.
The ezdxf loop only opens each lot's drawing and walks its entities; it plans and writes nothing. A second loop opens
each different drawing once. GNU parallel, where it is there, runs `platewright plan` once for each lot.
Prints wall seconds, CPU seconds and peak memory of the process.
"""

import argparse
import csv
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
EZDXF = """
import csv, sys
from pathlib import Path
import ezdxf
folder, once = Path(sys.argv[1]), sys.argv[2] == "once"
files = [row["file"] for row in csv.DictReader(open(folder / "lots.csv"))]
entities = 0
for name in sorted(set(files)) if once else files:
    try:
        entities += sum(1 for _ in ezdxf.readfile(folder / name).modelspace())
    except Exception:
        pass
print(entities)
"""


def build():
    command = ["cargo", "build", "--release", "--quiet"]
    subprocess.run([*command, "-p", "platewright"], cwd=ROOT, check=True)
    subprocess.run([*command, "-p", "platewright-benches", "--example", "write-subdivision"], cwd=ROOT, check=True)
    about = subprocess.run(["cargo", "metadata", "--format-version", "1", "--no-deps"], cwd=ROOT, check=True, capture_output=True)
    release = Path(json.loads(about.stdout)["target_directory"]) / "release"
    return release / "platewright", release / "examples" / "write-subdivision"


def measure(command):
    """Wall seconds, CPU seconds with children, peak memory in MiB."""
    start = time.perf_counter()
    child = subprocess.Popen([str(c) for c in command], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, _, usage = os.wait4(child.pid, 0)
    return time.perf_counter() - start, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


def main():
    ask = argparse.ArgumentParser()
    ask.add_argument("--plans", type=int, default=24)
    ask.add_argument("--lots", type=int, default=500)
    ask.add_argument("--bad", type=int, default=6)
    asked = ask.parse_args()
    program, writer = build()
    with tempfile.TemporaryDirectory() as folder:
        drawings, out = f"{folder}/in", f"{folder}/out"
        subprocess.run([writer, drawings, str(asked.plans), str(asked.lots), str(asked.bad)], check=True)
        lots = list(csv.DictReader(open(f"{drawings}/lots.csv")))
        size = sum(os.path.getsize(f"{drawings}/{row['file']}") for row in lots) / 1e6
        print(f"{len(lots)} lots of {asked.plans} plans, {asked.bad} bad drawings, {size:.1f} MB as each lot reads them")
        batch = [program, "batch", f"{drawings}/lots.csv", "-o", out]
        ways = [("platewright batch", batch), ("the same again", batch), ("planned anew", [*batch, "--force"])]
        ways += [("roll-ups with --pool", [*batch, "--rollup-only", "--pool"])]
        ways += [("ezdxf reads, lot by lot", [sys.executable, "-c", EZDXF, drawings, "all"])]
        ways += [("ezdxf reads, each once", [sys.executable, "-c", EZDXF, drawings, "once"])]
        if shutil.which("parallel"):
            one = f"{program} plan {drawings}/{{2}} -o {folder}/alone/{{1}} --mirror {{3}}"
            ways.append(("GNU parallel, plan", ["parallel", "--colsep", ",", "--skip-first-line", one, "::::", f"{drawings}/lots.csv"]))
        for name, command in ways:
            wall, cpu, memory = measure(command)
            print(f"  {name:26} {wall:8.3f} s {cpu:8.3f} CPU s {memory:7.0f} MiB {len(lots) / wall:9.0f} lots/s")


main()
