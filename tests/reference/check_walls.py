"""Compares walls as platewright reads them with what ezdxf and ifcopenshell read from the same file.

Input: the lines `dump-walls` prints, one JSON object a drawing:
  file, path, format, inches_per_unit, walls: [{source: [entity...], start: [x, y], end: [x, y]}]
with coordinates in inches of the drawing's own frame. Exits with 1 when anything differs.
"""

import json
import math
import sys
from collections import defaultdict

# Lengths are rounded to a nanometre and freed of decimal noise of up to 10 micrometres at each end.
TOLERANCE_IN = 0.002


def length(wall):
    return math.dist(wall["start"], wall["end"])


def by_entity(walls):
    """Total length read for each entity that alone accounts for its walls."""
    total, shared = defaultdict(float), set()
    for wall in walls:
        if len(wall["source"]) == 1:
            total[wall["source"][0]] += length(wall)
        else:
            shared.update(wall["source"])
    return {entity: inches for entity, inches in total.items() if entity not in shared}


def dxf_lines(doc):
    """Length in drawing units of every straight line entity, by handle path `insert/.../entity`."""
    lengths = {}

    def add(handle, length):
        """Damaged drawings may hold a handle twice."""
        lengths[handle] = lengths.get(handle, 0.0) + length

    def visit(entity, prefix):
        source = entity.source_of_copy or entity
        handle = f"{prefix}{source.dxf.handle}"
        kind = entity.dxftype()
        if kind == "LINE":
            a, b = entity.dxf.start, entity.dxf.end
            add(handle, math.hypot(b.x - a.x, b.y - a.y))
        elif kind == "LWPOLYLINE" and not entity.has_arc:
            points = list(entity.get_points("xy"))
            if entity.closed:
                points.append(points[0])
            add(handle, sum(math.dist(a, b) for a, b in zip(points, points[1:])))
        elif kind == "POLYLINE" and entity.is_2d_polyline and not entity.has_arc:
            points = [(v.dxf.location.x, v.dxf.location.y) for v in entity.vertices]
            if entity.is_closed:
                points.append(points[0])
            add(handle, sum(math.dist(a, b) for a, b in zip(points, points[1:])))
        elif kind == "INSERT" and not entity.mcount > 1:
            for part in entity.virtual_entities():
                visit(part, f"{handle}/")

    for entity in doc.modelspace():
        visit(entity, "")
    return lengths


# $INSUNITS codes (Autodesk DXF reference) and inches in each.
INSUNITS = {1: 1.0, 2: 12.0, 4: 1 / 25.4, 5: 1 / 2.54, 6: 1000 / 25.4, 10: 36.0, 14: 100 / 25.4}


def check_dxf(drawing, faults):
    from ezdxf import recover

    return compare_dxf(drawing, recover.readfile(drawing["path"])[0], faults)


def compare_dxf(drawing, doc, faults):
    """Holds the walls read of a drawing against what ezdxf has of it; how many entities were compared."""
    per_unit = drawing["inches_per_unit"]
    stated = INSUNITS.get(doc.header.get("$INSUNITS", 0))
    if stated and not math.isclose(stated, per_unit, rel_tol=1e-12):
        faults.append(f"unit read as {per_unit} in, ezdxf reads {stated} in")
    lines = dxf_lines(doc)
    compared = 0
    for entity, inches in by_entity(drawing["walls"]).items():
        if entity not in lines:
            continue
        compared += 1
        want = lines[entity] * per_unit
        if abs(inches - want) > TOLERANCE_IN * 8:
            faults.append(f"entity {entity}: read {inches} in, ezdxf {want} in")
    return compared


def check_ifc(drawing, faults):
    import ifcopenshell
    import ifcopenshell.util.placement
    import ifcopenshell.util.unit

    model = ifcopenshell.open(drawing["path"])
    to_inches = ifcopenshell.util.unit.calculate_unit_scale(model) / 0.0254
    if not math.isclose(to_inches, drawing["inches_per_unit"], rel_tol=1e-9):
        faults.append(f"unit read as {drawing['inches_per_unit']} in, ifcopenshell {to_inches} in")
    compared = 0
    totals = by_entity(drawing["walls"])
    for wall in drawing["walls"]:
        if len(wall["source"]) != 1:
            continue
        guid = wall["source"][0]
        try:
            element = model.by_guid(guid)
        except RuntimeError:
            faults.append(f"{guid}: ifcopenshell knows no such element")
            continue
        ends = axis_ends(element)
        # Where the body ends elsewhere than the axis, which is told, the body holds; check_ifc.py judges that.
        if guid in drawing.get("by_body", ()):
            continue
        # Where one element gave several walls (a body read as faces), the axis is no measure.
        if ends is None or abs(totals.get(guid, -1) - length(wall)) > 1e-9:
            continue
        compared += 1
        matrix = ifcopenshell.util.placement.get_local_placement(element.ObjectPlacement)
        a, b = ([c * to_inches for c in place(matrix, p)] for p in ends)
        check_axis(guid, wall, a, b, faults)
    return compared


def axis_ends(element):
    """Both ends of a two-point axis in the wall's own frame."""
    if not element.Representation:
        return None
    for representation in element.Representation.Representations:
        if representation.RepresentationIdentifier == "Axis" and len(representation.Items) == 1:
            curve = representation.Items[0]
            if curve.is_a("IfcPolyline") and len(curve.Points) == 2:
                return [p.Coordinates for p in curve.Points]
    return None


def place(matrix, point):
    x, y, z = (list(point) + [0.0])[:3]
    return [matrix[row][0] * x + matrix[row][1] * y + matrix[row][2] * z + matrix[row][3] for row in (0, 1)]


def check_axis(guid, wall, a, b, faults):
    """The framing centreline is the axis, moved sideways at most: same length, same direction."""
    want = math.dist(a, b)
    if abs(length(wall) - want) > TOLERANCE_IN * 2:
        faults.append(f"{guid}: read {length(wall)} in, axis {want} in")
        return
    start, end = wall["start"], wall["end"]
    if math.dist(start, a) > math.dist(start, b):
        a, b = b, a
    along = ((b[0] - a[0]) / want, (b[1] - a[1]) / want)
    for got, axis in ((start, a), (end, b)):
        slip = (got[0] - axis[0]) * along[0] + (got[1] - axis[1]) * along[1]
        if abs(slip) > TOLERANCE_IN * 2:
            faults.append(f"{guid}: an end lies {slip} in along the axis from where it should")


def main(path):
    bad = total = 0
    for line in open(path, encoding="utf-8"):
        drawing = json.loads(line)
        faults = []
        check = check_dxf if drawing["format"] == "dxf" else check_ifc
        try:
            compared = check(drawing, faults)
        except Exception as e:  # the outside library may refuse a file that we read
            print(f"{drawing['file']}: not judged, the outside library says {type(e).__name__}: {e}")
            continue
        total += compared
        print(f"{drawing['file']}: {len(drawing['walls'])} walls, {compared} entities compared, {len(faults)} differ")
        for fault in faults[:10]:
            print(f"  {fault}")
        bad += len(faults)
    print(f"{total} entities compared, {bad} differ")
    if total == 0:
        print("nothing was compared: that is a fault too")
    return 1 if bad or total == 0 else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
