"""IFC reading beside its peers in one run: open, then every wall's axis and placement.

    python benches/peers_ifc.py FILES [--town MB]

Ours and ifc-lite-core (by its fastest calls) run as `ifc-once`, ifcopenshell in a fresh Python, each in a
process of its own, so that peak memory is its own. Seconds are the least of seven runs (of three for
ifcopenshell); nothing is fetched. Needs ifcopenshell (tests/reference/requirements.txt) and cargo.
"""

import json
import os
import subprocess
import sys
import tempfile

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))

IFCOPENSHELL = r"""
import json, resource, sys, time
import ifcopenshell, ifcopenshell.util.placement
opened, walls = [], []
for _ in range(3):
    t = time.process_time()
    model = ifcopenshell.open(sys.argv[1])
    opened.append(time.process_time() - t)
    t = time.process_time()
    n = 0
    for wall in model.by_type("IfcWall"):
        matrix = ifcopenshell.util.placement.get_local_placement(wall.ObjectPlacement)
        for r in wall.Representation.Representations:
            if r.RepresentationIdentifier == "Axis":
                for p in r.Items[0].Points:
                    x, y = p.Coordinates[:2]
                    [matrix[i][0] * x + matrix[i][1] * y + matrix[i][3] for i in range(3)]
                n += 1
    walls.append(time.process_time() - t)
    del model
print(min(opened), min(walls), n, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def build():
    command = ["cargo", "build", "--release", "--quiet", "-p", "platewright-benches", "--example", "ifc-once", "--message-format", "json"]
    out = subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout
    for line in out.splitlines():
        message = json.loads(line)
        if message.get("executable") and message["target"]["name"] == "ifc-once":
            return message["executable"]
    raise SystemExit("cargo built no ifc-once")


def run(command):
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    opened, walls, count, kib = done.stdout.split()
    return float(opened), float(walls), int(count), int(kib) / 1024


def measure(once, path):
    size = os.path.getsize(path) / 1e6
    rows = {who: run([once, who, path]) for who in ("ours", "ifc-lite-core")}
    rows["ifcopenshell"] = run([sys.executable, "-c", IFCOPENSHELL, path])
    whole = run([once, "whole", path])
    ours = rows["ours"]
    print(f"\n{os.path.basename(path)}, {size:.1f} MB, {ours[2]} axes\n")
    print("| | open, s | MB/s | walls, s | peak MiB | open, ours is | walls, ours is |")
    print("|---|---:|---:|---:|---:|---:|---:|")
    for who, (opened, walls, count, mib) in rows.items():
        ratios = "| |" if who == "ours" else f"| {opened / ours[0]:.1f}x | {walls / ours[1]:.1f}x |"
        note = "" if count == ours[2] else f" ({count} axes)"
        print(f"| {who}{note} | {opened:.4f} | {size / opened:.0f} | {walls:.4f} | {mib:.0f} {ratios}")
    print(f"| ours, whole reading to the wall model | {whole[0]:.4f} | {size / whole[0]:.0f} | | {whole[3]:.0f} | | |")


def main(arguments):
    town = None
    if "--town" in arguments:
        at = arguments.index("--town")
        town = arguments[at + 1]
        del arguments[at : at + 2]
    once = build()
    for path in arguments:
        measure(once, path)
    if town:
        with tempfile.TemporaryDirectory() as folder:
            path = os.path.join(folder, "town.ifc")
            subprocess.run([once, "write", town, path], check=True)
            measure(once, path)


if __name__ == "__main__":
    main(sys.argv[1:])
