"""Reads DXF files with platewright, with the `dxf` crate and with ezdxf, one after another in one run.

Usage: peers_dxf.py [--megabytes N] [--no-ezdxf] [FILES...]; needs ezdxf (tests/reference/requirements.txt)
and cargo. Without files: two synthetic drawings of N megabytes (default 8). Prints CPU seconds of the process,
megabytes a second and its peak memory, all with opening the file by each reader's own means: ours and the `dxf`
crate read it piece by piece.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
EZDXF = """
import sys
import ezdxf, ezdxf.recover
try:
    doc = ezdxf.readfile(sys.argv[1])
except Exception:
    doc, _ = ezdxf.recover.readfile(sys.argv[1])
count = 0
stack = list(doc.modelspace())
while stack:
    entity = stack.pop()
    if entity.dxftype() == "INSERT":
        for one in entity.multi_insert() if entity.mcount > 1 else [entity]:
            stack.extend(one.virtual_entities())
    else:
        count += 1
print(count)
"""


def build():
    command = ["cargo", "build", "--release", "--quiet", "-p", "platewright-benches", "--example", "read-dxf"]
    subprocess.run(command, cwd=ROOT, check=True)
    about = subprocess.run(["cargo", "metadata", "--format-version", "1", "--no-deps"], cwd=ROOT, check=True, capture_output=True)
    return Path(json.loads(about.stdout)["target_directory"]) / "release" / "examples" / "read-dxf"


def measure(command):
    """CPU seconds, peak memory in MiB, what it printed."""
    with tempfile.TemporaryFile("w+") as out:
        child = subprocess.Popen(command, stdout=out, stderr=subprocess.DEVNULL)
        _, status, usage = os.wait4(child.pid, 0)
        out.seek(0)
        return usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024, out.read().strip() if status == 0 else "failed"


def main():
    ask = argparse.ArgumentParser()
    ask.add_argument("--megabytes", type=int, default=8)
    ask.add_argument("--no-ezdxf", action="store_true")
    ask.add_argument("files", nargs="*")
    asked = ask.parse_args()
    reader = build()
    with tempfile.TemporaryDirectory() as folder:
        files = asked.files
        for content in [] if files else ["lines", "blocks"]:
            path = f"{folder}/{content}.dxf"
            subprocess.run([reader, "write", content, str(asked.megabytes), path], check=True)
            files.append(path)
        ways = [("file only", [reader, "file"]), ("platewright, linework", [reader, "lines"])]
        ways.append(("the same, file held", [reader, "lines-held"]))
        ways += [("platewright, walls", [reader, "walls"]), ("dxf crate, entities", [reader, "crate"])]
        ways.append(("dxf crate, linework", [reader, "crate-lines"]))
        if not asked.no_ezdxf:
            ways.append(("ezdxf, blocks inserted", [sys.executable, "-c", EZDXF]))
        for path in files:
            size = os.path.getsize(path) / 1e6
            print(f"{Path(path).name}, {size:.1f} MB")
            for name, command in ways:
                cpu, memory, counted = measure([*command, path])
                print(f"  {name:24} {cpu:9.3f} CPU s {size / max(cpu, 1e-3):9.1f} MB/s {memory:8.0f} MiB   {counted}")


main()
