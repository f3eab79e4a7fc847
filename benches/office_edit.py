"""How long an edit of one wall takes in the office, from the request to the last byte of the new plan.

    office_edit.py PLATEWRIGHT [EDITS]     a release build; it serves a folder of its own on a free loopback port

Two rows of rooms of 41 walls, invented here; each edit gives another wall another section. A figure of merit, no test.
"""

import json
import os
import subprocess
import sys
import tempfile
import time
import urllib.request


def rooms(across=19, wide=120, deep=144, most=41):
    """Walls as (layer, x1, y1, x2, y2), inches."""
    outside, inside = "A-WALL-EXTR-2X4", "A-WALL-INTR-2X4"
    length = across * wide
    walls = [(outside, 0, y, length, y) for y in (0, deep, -deep)]
    for i in range(across + 1):
        layer = outside if i in (0, across) else inside
        walls += [(layer, i * wide, 0, i * wide, deep), (layer, i * wide, -deep, i * wide, 0)]
    return walls[:most]


def dxf(walls):
    tags = [(0, "SECTION"), (2, "HEADER"), (9, "$INSUNITS"), (70, 1), (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES")]
    for n, (layer, x1, y1, x2, y2) in enumerate(walls):
        tags += [(0, "LINE"), (5, f"{n + 256:X}"), (8, layer), (10, x1), (20, y1), (11, x2), (21, y2)]
    tags += [(0, "ENDSEC"), (0, "EOF")]
    return "".join(f"{code}\n{value}\n" for code, value in tags).encode()


def cpu_ms(pid):
    """What a process has used of the processor (Linux; 0 elsewhere): says more than the clock on a busy machine."""
    try:
        with open(f"/proc/{pid}/stat", encoding="ascii") as stat:
            fields = stat.read().rsplit(")", 1)[1].split()
    except OSError:
        return 0
    return (int(fields[11]) + int(fields[12])) * 1000 / os.sysconf("SC_CLK_TCK")


def main():
    edits = int(sys.argv[2]) if len(sys.argv) > 2 else 100
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.argv[1], "serve", "--no-open", "--folder", folder]
        server = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
        try:
            page = server.stdout.readline().strip().rstrip("/")

            def ask(method, path, body=None, typed="application/json"):
                sent = urllib.request.Request(page + path, body, {"content-type": typed}, method=method)
                return json.load(urllib.request.urlopen(sent))

            drawing = dxf(rooms())
            job = ask("POST", "/api/jobs?name=rooms.dxf", drawing, "application/octet-stream")["job"]["id"]
            while ask("GET", f"/api/jobs/{job}")["state"] in ("waiting", "working"):
                time.sleep(0.02)
            plan = ask("GET", f"/api/jobs/{job}/plan")
            walls, whole, planning = plan["walls"], [], []
            used = cpu_ms(server.pid)
            for n in range(edits):
                change = {"wall": walls[n % len(walls)]["ref"], "section": "2x6"}
                put = {"edition": plan["edition"], "overrides": {"version": 1, "walls": [change]}}
                begun = time.perf_counter()
                plan = ask("PUT", f"/api/jobs/{job}/overrides", json.dumps(put).encode())
                whole.append((time.perf_counter() - begun) * 1000)
                planning.append(plan["millis"])
            used = cpu_ms(server.pid) - used
            whole.sort()
            planning.sort()
            middle, late = len(whole) // 2, len(whole) * 95 // 100
            print(f"{len(walls)} walls, {edits} edits: {whole[middle]:.0f} ms, 95 of 100 within {whole[late]:.0f} ms; planning {planning[middle]} ms, the server's processor {used / edits:.0f} ms an edit")
        finally:
            server.terminate()
            server.wait(timeout=10)


if __name__ == "__main__":
    main()
