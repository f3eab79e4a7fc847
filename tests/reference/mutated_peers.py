"""What the outside libraries make of damaged drawings, for check_mutated.py.

A process of its own, since damage can end it: lines of JSON in, {path, format, ours}; one line of JSON out for each,
a verdict for each reader: {"refused": why}, {"fails": why} where it opens the drawing and then cannot say what is in
it, or {"differs": [what...]} with an empty list where it has the same as platewright. `Peer` is the other end of it.
"""

import json
import os
import subprocess
import sys
import threading

# A peer that says nothing for so long is taken for dead. Nothing is judged by how long it takes.
PATIENCE_S = 120


class Peer:
    """A worker process, begun anew when it dies."""

    def __init__(self):
        self.process = None

    def ask(self, question):
        if self.process is None:
            self.process = subprocess.Popen(
                [sys.executable, __file__], stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
            )
        impatient = threading.Timer(PATIENCE_S, self.process.kill)
        impatient.start()
        try:
            self.process.stdin.write(json.dumps(question) + "\n")
            self.process.stdin.flush()
            return json.loads(self.process.stdout.readline())
        except (OSError, ValueError):
            self.process.kill()
            self.process.wait()
            self.process = None
            return {"peer": {"refused": "it died"}}
        finally:
            impatient.cancel()

    def close(self):
        if self.process is not None:
            self.process.stdin.close()
            self.process.wait()


def of_dxf(path, ours):
    """ezdxf as it is, and by its recovery where that has not the same."""
    import ezdxf
    from ezdxf import recover

    readers = {"ezdxf": ezdxf.readfile, "ezdxf recovery": lambda p: recover.readfile(p)[0]}
    with open(path, "rb") as drawing:
        if drawing.read(10) == b"AutoCAD Bi":
            del readers["ezdxf recovery"]  # which is for text only
    verdicts = {}
    for name, read in readers.items():
        verdicts[name] = verdict_on_dxf(read, path, ours)
        if verdicts[name].get("differs") == []:
            break
    return verdicts


def verdict_on_dxf(read, path, ours):
    import check_dxf
    import check_walls

    try:
        doc = read(path)
    except Exception as why:  # damaged files end in errors of every kind
        return {"refused": told(why)}
    if ours["linework"] is None:
        return {"differs": [f"refused; {len(doc.modelspace())} entities for ezdxf"]}
    faults = []
    try:
        check_dxf.compare(ours["linework"], doc, faults)
        if ours["walls"] is not None:
            check_walls.compare_dxf(ours["walls"], doc, faults)
    except Exception as why:
        return {"fails": told(why)}
    return {"differs": faults[:8]}


def of_ifc(path, ours):
    import check_ifc

    try:
        reference = check_ifc.Reference(path)
    except Exception as why:
        return {"ifcopenshell": {"refused": told(why)}}
    if ours["framed"] is None:
        return {"ifcopenshell": {"differs": [f"refused; {len(reference.walls)} walls for ifcopenshell"]}}
    faults, fails = [], []
    framed = ours["framed"]
    said = framed["said"] or {"left_out": [], "findings": []}
    left_out = dict(said["left_out"])
    pieces = {}
    for wall in framed["walls"]:
        pieces.setdefault(wall["source"][0], []).append(wall)
    unit = ours["inches_per_unit"]
    if unit and abs(reference.unit - unit) > 1e-9 * unit:
        faults.append(f"unit read as {unit} in, ifcopenshell {reference.unit} in")
    codes, whole = check_ifc.codes_by_wall(said)
    for guid in sorted({*reference.walls, *pieces, *left_out}):
        wall = reference.walls.get(guid)
        if wall is None:
            faults.append(f"{guid}: no such wall for ifcopenshell")
            continue
        try:
            shaped = reference.axis(wall) is not None or reference.corners(wall) is not None
            if guid in pieces:
                judge = check_ifc.Judge(guid)
                judge.check(reference, pieces[guid], codes[guid] | whole)
                faults += [f"{guid}: {what}" for what in judge.faults]
            elif guid in left_out and shaped:
                faults.append(f"{guid}: left out ({left_out[guid]})")
            elif guid not in left_out and framed["walls"]:
                faults.append(f"{guid}: neither read nor left out")
        except Exception as why:
            fails.append(f"{guid}: {told(why)}")
    if faults or not fails:
        return {"ifcopenshell": {"differs": faults[:8], "walls": len(reference.walls)}}
    return {"ifcopenshell": {"fails": fails[0], "walls": len(reference.walls)}}


def told(why):
    return f"{type(why).__name__}: {str(why)[:160]}"


def main():
    # Whatever the libraries print must not get between the answers.
    answers = os.fdopen(os.dup(1), "w")
    os.dup2(2, 1)
    import logging

    logging.disable(logging.CRITICAL)
    for line in sys.stdin:
        question = json.loads(line)
        judge = of_dxf if question["format"] == "dxf" else of_ifc
        answers.write(json.dumps(judge(question["path"], question["ours"])) + "\n")
        answers.flush()


if __name__ == "__main__":
    main()
