"""Judges plates.dxf and plates.ifc beside plan.json, in each folder given.

    cargo run -p drawings --example write-drawings -- DRAWING DIR [SETTINGS]
    python check_drawings.py DIR ...

Outside sources: ezdxf loads the DXF and audits it; ifcopenshell validates the IFC against the schema, its
rules included, and its geometry kernel builds every plate. All outlines and heights are compared with plan.json; every
piece must be there once. Exits with 1 when anything differs.
"""

import json
import math
import sys
from pathlib import Path

import ezdxf
import ifcopenshell
import ifcopenshell.geom
import ifcopenshell.util.element
import ifcopenshell.util.placement
import ifcopenshell.util.unit
import ifcopenshell.validate
from ezdxf import units as dxf_units

TOLERANCE_IN = 0.001
# The kernel works in metres and in single steps of its own.
KERNEL_IN = 0.005
LAYERS = {"bottom": "BOTTOM", "lower": "LOWER", "upper": "UPPER"}


def same_ring(a, b, tolerance=TOLERANCE_IN):
    """Whether two closed rings have the same corners in the same order, wherever they begin."""
    if len(a) != len(b):
        return False
    turns = range(len(a))
    near = lambda p, q: math.dist(p, q) <= tolerance
    return any(all(near(a[i], b[(i + turn) % len(b)]) for i in turns) for turn in turns)


def wanted(plan):
    """Of every piece: its outline at the drawing's coordinates, underside at its start, thickness measured
    plumb, and how far above the first the underside is at each corner; inches."""
    ox, oy = plan["origin"]
    runs = {r["id"]: r for r in plan["runs"]}

    def rises(p):
        (x, y), (u, v) = runs[p["run"]]["start"], runs[p["run"]]["end"]
        along = lambda q: ((q[0] - x) * (u - x) + (q[1] - y) * (v - y)) / math.hypot(u - x, v - y)
        slope = p["rake"]["rise_in_12"] / 12 if p["rake"] else 0.0
        return [slope * (along(q) - p["from"]) for q in p["outline"]]

    secant = lambda p: math.hypot(1, p["rake"]["rise_in_12"] / 12) if p["rake"] else 1.0
    levels = {s["id"]: s["elevation"] for s in plan["storeys"]}
    thickness = lambda section: 38 / 25.4 if not section.startswith("2x") else 1.5
    return {
        p["id"]: (
            [(x + ox, y + oy) for x, y in p["outline"]],
            levels[p["storey"]] + p["z"],
            thickness(p["section"]) * secant(p),
            rises(p),
            p,
        )
        for p in plan["pieces"]
    }


def check_dxf(path, plan, faults):
    doc = ezdxf.readfile(path)
    auditor = doc.audit()
    for entry in auditor.errors + auditor.fixes:
        faults.append(f"dxf: audit: {entry.code} {entry.message}")
    per_unit = dxf_units.conversion_factor(doc.units, dxf_units.IN)
    told = plan["source"]["units"]["inches_per_unit"]
    if abs(per_unit / told - 1) > 1e-6:
        faults.append(f"dxf: {per_unit} inches in a unit, the drawing has {told}")
    left = wanted(plan)
    marks = {}
    for entity in doc.modelspace():
        layer = entity.dxf.layer
        if layer.startswith("PW-TEXT"):
            marks.setdefault(layer, []).append(entity.plain_text())
        if not layer.startswith("PW-PLATE"):
            continue
        data = dict(v.value.split("=", 1) for v in entity.get_xdata("PLATEWRIGHT") if v.code == 1000 and "=" in v.value)
        outline, z, thick, _, piece = left.pop(data["piece"])
        ring = [(x * per_unit, y * per_unit) for x, y in entity.get_points("xy")]
        if not entity.closed or not same_ring(ring, outline):
            faults.append(f"dxf: {data['piece']}: another outline")
        if abs(entity.dxf.elevation * per_unit - z) > TOLERANCE_IN or abs(entity.dxf.thickness * per_unit - thick) > TOLERANCE_IN:
            faults.append(f"dxf: {data['piece']}: another height")
        if LAYERS[piece["layer"]] not in layer:
            faults.append(f"dxf: {data['piece']} is on {layer}")
    faults += [f"dxf: {piece} is missing" for piece in left]
    walls = sum(e.dxf.layer.startswith("PW-WALL") for e in doc.modelspace())
    if walls != len(plan["walls"]):
        faults.append(f"dxf: {walls} walls of {len(plan['walls'])}")
    if sum(map(len, marks.values())) != len(plan["pieces"]):
        faults.append("dxf: not a mark for every piece")
    return len(plan["pieces"]) - len(left)


def check_ifc(path, plan, faults):
    model = ifcopenshell.open(path)
    log = ifcopenshell.validate.json_logger()
    ifcopenshell.validate.validate(model, log, express_rules=True)
    faults += [f"ifc: {s.get('message') or s}" for s in log.statements]
    per_unit = ifcopenshell.util.unit.calculate_unit_scale(model) / 0.0254
    told = plan["source"]["units"]["inches_per_unit"]
    if abs(per_unit / told - 1) > 1e-6:
        faults.append(f"ifc: {per_unit} inches in a unit, the drawing has {told}")
    left = wanted(plan)
    settings = ifcopenshell.geom.settings()
    settings.set("use-world-coords", True)
    for member in model.by_type("IfcMember"):
        outline, z, thick, rises, piece = left.pop(member.Tag)
        matrix = ifcopenshell.util.placement.get_local_placement(member.ObjectPlacement)
        (solid,) = member.Representation.Representations[0].Items
        points = [p.Coordinates for p in solid.SweptArea.OuterCurve.Points][:-1]
        world = [matrix @ (x, y, 0, 1) for x, y in points]
        ring = [(p[0] * per_unit, p[1] * per_unit) for p in world]
        if not same_ring(ring, outline):
            faults.append(f"ifc: {member.Tag}: another outline")
        corner = min(range(len(outline)), key=lambda i: math.dist(outline[i], ring[0]))
        if abs(world[0][2] * per_unit - z - rises[corner]) > TOLERANCE_IN or abs(solid.Depth * per_unit - thick) > TOLERANCE_IN:
            faults.append(f"ifc: {member.Tag}: another height")
        verts = ifcopenshell.geom.create_shape(settings, member).geometry.verts
        xs, ys, zs = ([v / 0.0254 for v in verts[i::3]] for i in range(3))
        box = [min(xs), max(xs), min(ys), max(ys), min(zs), max(zs)]
        want = [f(p[i] for p in outline) for i in (0, 1) for f in (min, max)]
        want += [z + min(rises), z + max(rises) + thick]
        if any(abs(a - b) > KERNEL_IN for a, b in zip(box, want)):
            faults.append(f"ifc: {member.Tag}: the kernel makes another body")
        values = ifcopenshell.util.element.get_psets(member)["Platewright_Plate"]
        if (
            member.PredefinedType != "PLATE"
            or values["Layer"] != piece["layer"]
            or values["Section"] != piece["section"]
            or values["Mark"] != piece["mark"][:255]
            or abs(values["Length"] * per_unit - piece["length_in"]) > TOLERANCE_IN
        ):
            faults.append(f"ifc: {member.Tag}: other properties")
        storey = ifcopenshell.util.element.get_container(member)
        number = int(piece["storey"][1:]) - 1
        if abs(storey.Elevation * per_unit - plan["storeys"][number]["elevation"]) > TOLERANCE_IN:
            faults.append(f"ifc: {member.Tag} is in another storey")
    faults += [f"ifc: {piece} is missing" for piece in left]
    return len(plan["pieces"]) - len(left)


def check(folder):
    plan = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
    faults = []
    dxf = check_dxf(folder / "plates.dxf", plan, faults)
    ifc = check_ifc(folder / "plates.ifc", plan, faults)
    print(f"{folder}: {dxf} plates in the DXF, {ifc} in the IFC, {len(faults)} faults")
    for fault in faults[:40]:
        print(f"  {fault}")
    return not faults


if __name__ == "__main__":
    results = [check(Path(folder)) for folder in sys.argv[1:]]
    sys.exit(0 if results and all(results) else 1)
