"""IFC reading beside its peers in one run: open, then every wall's axis and placement.

    python benches/peers_ifc.py FILES [--town MB]

Ours and ifc-lite-core (by its fastest calls) run as `ifc-once`, ifcopenshell in a fresh Python, each in a
process of its own, so that peak memory is its own. Seconds are medians of nine runs (of three for
ifcopenshell), of the processor (all threads together) and of the clock; ratios are of both. Nothing is
fetched. Needs ifcopenshell (tests/reference/requirements.txt) and cargo.
"""

import json
import os
import subprocess
import sys
import tempfile

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))

IFCOPENSHELL = r"""
import json, resource, statistics, sys, time
import ifcopenshell, ifcopenshell.util.placement
def now():
    return time.process_time(), time.perf_counter()
def spent(since):
    return [b - a for a, b in zip(since, now())]
opened, walls = [], []
for _ in range(3):
    t = now()
    model = ifcopenshell.open(sys.argv[1])
    opened.append(spent(t))
    t = now()
    n = 0
    for wall in model.by_type("IfcWall"):
        matrix = ifcopenshell.util.placement.get_local_placement(wall.ObjectPlacement)
        for r in wall.Representation.Representations:
            if r.RepresentationIdentifier == "Axis":
                for p in r.Items[0].Points:
                    x, y = p.Coordinates[:2]
                    [matrix[i][0] * x + matrix[i][1] * y + matrix[i][3] for i in range(3)]
                n += 1
    walls.append(spent(t))
    del model
middle = lambda runs: " ".join(str(statistics.median(each)) for each in zip(*runs))
print(middle(opened), middle(walls), n, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
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
    *seconds, count, kib = done.stdout.split()
    return [float(x) for x in seconds], int(count), int(kib) / 1024


def measure(once, path):
    size = os.path.getsize(path) / 1e6
    rows = {who: run([once, who, path]) for who in ("ours", "ifc-lite-core")}
    rows["ifcopenshell"] = run([sys.executable, "-c", IFCOPENSHELL, path])
    rows["ours, whole reading to the wall model"] = run([once, "whole", path])
    ours, axes, _ = rows["ours"]
    print(f"\n{os.path.basename(path)}, {size:.1f} MB ({size * 1e6 / 2**20:.0f} MiB), {axes} axes\n")
    print("| | open, CPU s | clock s | walls, CPU s | clock s | peak MiB | open, ours is, CPU (clock) | walls, ours is, CPU (clock) |")
    print("|---|---:|---:|---:|---:|---:|---:|---:|")
    for who, (seconds, count, mib) in rows.items():
        times = [f"{x:.4f}" if x else "" for x in seconds]
        ratio = ["", ""]
        if not who.startswith("ours"):
            times_ours = [theirs / mine for theirs, mine in zip(seconds, ours)]
            ratio = [f"{times_ours[n]:.1f}x ({times_ours[n + 1]:.1f}x)" for n in (0, 2)]
        note = "" if count == axes else f" ({count} walls)"
        print(f"| {who}{note} | {' | '.join(times)} | {mib:.0f} | {' | '.join(ratio)} |")


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
