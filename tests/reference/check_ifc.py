"""Compares IFC walls as platewright reads them with what ifcopenshell makes of the same file.

    cargo run --release -p import-ifc --example dump-ifc -- FILES > ifc.jsonl
    python check_ifc.py ifc.jsonl [--table docs/ifc-support.md]

Outside sources: ifcopenshell's parser, its utilities for placement, unit, container and layer sets, and
its geometry kernel (`ifcopenshell.geom`, openings not cut) for footprints and heights; shapely for the
smallest rectangle around a footprint. Nothing here is shared with the importer.

For every wall: its unit, its length and its place along and across, its thickness, its storey, its foot
and its top. A wall that was left out is listed with the reason and with what the reference makes of it.
`--table` writes the table of files between the markers of that Markdown file. Exits with 1 when anything
differs, or when a wall was left out without a reason.
"""

import json
import math
import sys
from collections import Counter, defaultdict

import ifcopenshell
import ifcopenshell.geom
import ifcopenshell.util.element
import ifcopenshell.util.placement
import ifcopenshell.util.unit
import numpy
from shapely import MultiPoint

import tables

# Coordinates are rounded to a nanometre and freed of decimal noise of up to 10 micrometres; the reference
# tessellates in its own precision and reads coordinates that files round to a micrometre or worse.
TOLERANCE_IN = 0.005
# Storeys, feet and tops: exporters round elevations to a millimetre.
HEIGHT_TOLERANCE_IN = 0.05
# Sine of the angle between our line and the reference's.
ANGLE = 2e-3
# Tops that differ by less are level for the importer: an eighth of an inch.
LEVEL_IN = 0.13



class Reference:
    """One file as ifcopenshell has it, in inches."""

    def __init__(self, path):
        self.model = open_model(path)
        self.unit = ifcopenshell.util.unit.calculate_unit_scale(self.model) / 0.0254
        self.settings = ifcopenshell.geom.settings()
        self.settings.set("use-world-coords", True)
        self.settings.set("disable-opening-subtractions", True)
        self.walls = {}
        shared = Counter(w.GlobalId for w in self.model.by_type("IfcWall"))
        for wall in self.model.by_type("IfcWall"):
            guid = wall.GlobalId if shared[wall.GlobalId] == 1 else f"{wall.GlobalId}#{wall.id()}"
            self.walls[guid] = wall

    def corners(self, wall):
        """Corners of the wall's body, its parts' bodies where it has none of its own."""
        return numpy.concatenate(found) if (found := self.bodies(wall)) else None

    def bodies(self, wall):
        """Corners of the wall's body, or of each of its parts where it has none of its own."""
        all_corners = []
        own = wall.Representation and body_of(wall)
        for element in [wall] if own else parts(wall):
            if not element.Representation:
                continue
            try:
                shape = ifcopenshell.geom.create_shape(self.settings, element)
            except RuntimeError:
                continue
            verts = numpy.array(shape.geometry.verts).reshape(-1, 3) / 0.0254
            if len(verts):
                all_corners.append(verts)
        return all_corners

    def voids(self, wall):
        """Corners of the openings that go from the wall's foot up into its upper top plate."""
        own = self.corners(wall)
        found = []
        for rel in (getattr(wall, "HasOpenings", None) or []) if own is not None else []:
            element = rel.RelatedOpeningElement
            if element is None or not element.Representation:
                continue
            try:
                shape = ifcopenshell.geom.create_shape(self.settings, element)
            except RuntimeError:
                continue
            verts = numpy.array(shape.geometry.verts).reshape(-1, 3) / 0.0254
            if len(verts) and verts[:, 2].min() <= own[:, 2].min() + 6 and verts[:, 2].max() > own[:, 2].max() - 1.5:
                found.append(verts)
        return found

    def axis(self, wall):
        """Points of the axis in plan, None for a curve that is no polyline."""
        if not wall.Representation:
            return None
        for representation in wall.Representation.Representations:
            if (representation.RepresentationIdentifier or "").lower() != "axis":
                continue
            points = [p for item in representation.Items for p in curve_points(item) or [None]]
            if None in points or len(points) < 2:
                return None
            matrix = ifcopenshell.util.placement.get_local_placement(wall.ObjectPlacement)
            return [place(matrix, p, self.unit) for p in points]
        return None

    def y_direction(self, wall):
        """The wall's own y in plan."""
        matrix = ifcopenshell.util.placement.get_local_placement(wall.ObjectPlacement)
        return (matrix[0][1], matrix[1][1])

    def storey(self, wall):
        container = ifcopenshell.util.element.get_container(wall)
        while container is not None and not container.is_a("IfcBuildingStorey"):
            container = ifcopenshell.util.element.get_aggregate(container)
        return container

    def layers(self, wall):
        """Thicknesses of the layers and, where a usage says so, where they start and in which sense."""
        material = ifcopenshell.util.element.get_material(wall, should_skip_usage=False)
        if material is None:
            return [], None
        usage = material if material.is_a("IfcMaterialLayerSetUsage") else None
        layer_set = usage.ForLayerSet if usage else material
        if not layer_set.is_a("IfcMaterialLayerSet"):
            return [], None
        thick = [layer.LayerThickness * self.unit for layer in layer_set.MaterialLayers if layer.LayerThickness > 0]
        if usage is None or usage.LayerSetDirection != "AXIS2":
            return thick, None
        return thick, (usage.OffsetFromReferenceLine * self.unit, 1 if usage.DirectionSense == "POSITIVE" else -1)


def open_model(path):
    """Editions before IFC2x3 differ in nothing that walls are read from, but the parser knows no schema
    of theirs: they are read as IFC2x3."""
    try:
        return ifcopenshell.open(path)
    except Exception:
        text = open(path, encoding="latin-1").read()
        if "IFC2X_FINAL" not in text[:5000]:
            raise
        return ifcopenshell.file.from_string(text.replace("IFC2X_FINAL", "IFC2X3", 1))


def body_of(element):
    """Whether it has a body of its own."""
    flat = ("axis", "footprint", "box", "cog")
    return any((r.RepresentationIdentifier or "").lower() not in flat for r in element.Representation.Representations)


def parts(element, depth=0):
    for rel in getattr(element, "IsDecomposedBy", None) or []:
        for part in rel.RelatedObjects:
            yield part
            if depth < 8:
                yield from parts(part, depth + 1)


def curve_points(item):
    """Points of a polyline in its own coordinates."""
    if item.is_a("IfcPolyline"):
        return [p.Coordinates for p in item.Points]
    if item.is_a("IfcIndexedPolyCurve"):
        if item.Segments and any(s.is_a("IfcArcIndex") for s in item.Segments):
            return None
        return list(item.Points.CoordList)
    if item.is_a("IfcTrimmedCurve") and item.BasisCurve.is_a("IfcLine"):
        ends = [[t for t in trim if isinstance(t, ifcopenshell.entity_instance) and t.is_a("IfcCartesianPoint")] for trim in (item.Trim1, item.Trim2)]
        if all(ends):
            return [e[0].Coordinates for e in ends]
        line = item.BasisCurve
        ratios = line.Dir.Orientation.DirectionRatios
        size = math.hypot(*ratios)
        at = [t.wrappedValue for trim in (item.Trim1, item.Trim2) for t in trim]
        start = line.Pnt.Coordinates
        return [[s + r / size * line.Dir.Magnitude * t for s, r in zip(start, ratios)] for t in at]
    if item.is_a("IfcCompositeCurve"):
        out = []
        for segment in item.Segments:
            points = curve_points(segment.ParentCurve)
            if points is None:
                return None
            points = list(points if segment.SameSense else reversed(points))
            out.extend(points[1:] if out else points)
        return out
    if item.is_a("IfcGeometricCurveSet"):
        out = [curve_points(e) for e in item.Elements]
        return None if None in out else [p for points in out for p in points]
    return None


def place(matrix, point, unit):
    x, y, z = (list(point) + [0.0])[:3]
    return tuple((matrix[r][0] * x + matrix[r][1] * y + matrix[r][2] * z + matrix[r][3]) * unit for r in (0, 1))


def length(wall):
    return math.dist(wall["start"], wall["end"])


def in_one_line(pieces):
    """The pieces, with those that go on from each other's ends along one line joined."""
    joined = []
    for piece in sorted(pieces, key=lambda p: (p["start"], p["end"])):
        last = joined[-1] if joined else None
        if last and math.dist(last["end"], piece["start"]) <= TOLERANCE_IN:
            (a, b), (c, d) = direction(last), direction(piece)
            if abs(a * d - b * c) <= ANGLE and a * c + b * d > 0:
                joined[-1] = {**last, "end": piece["end"]}
                continue
        joined.append(piece)
    return joined


class Judge:
    """What differs for one wall."""

    def __init__(self, guid):
        self.guid, self.faults, self.by = guid, [], []

    def same(self, what, got, want, tolerance=TOLERANCE_IN):
        if abs(got - want) > tolerance:
            self.faults.append(f"{what}: read {got:.4f} in, reference {want:.4f} in")

    def check(self, reference, pieces, codes):
        wall = reference.walls[self.guid]
        corners = reference.corners(wall)
        axis = reference.axis(wall)
        if {"ifc-axis-short", "ifc-axis-long", "ifc-wall-broken"} & set(codes) and corners is not None:
            # Told to end otherwise than its axis: each end where the axis or where the body ends.
            self.by.append("ends")
            self.ends(axis, corners, pieces)
            self.across(reference, wall, corners, axis, pieces[0], codes)
            self.heights(reference, wall, corners, pieces, codes)
            return
        if len(pieces) > 1 or reference.voids(wall):
            pieces = self.through_voids(reference, wall, pieces)
        # A raked or stepped top has a part for each leg; in plan they are one piece.
        straight = in_one_line(pieces) if "ifc-top-not-level" in codes else pieces
        if "ifc-wall-in-parts" in codes:
            if corners is not None:
                self.by.append("arc")
                self.along_arc(corners, pieces)
        elif axis:
            self.by.append("axis")
            self.along_axis(axis, straight)
        if corners is not None and len(straight) == 1:
            self.by.append("footprint")
            self.in_footprint(corners, straight[0], axis is None, codes)
            self.across(reference, wall, corners, axis, straight[0], codes)
        self.heights(reference, wall, corners, pieces, codes)

    def along_axis(self, axis, pieces):
        corners = straightened(axis)
        spans = list(zip(corners, corners[1:]))
        if len(spans) != len(pieces):
            self.faults.append(f"{len(pieces)} pieces, the axis has {len(spans)}")
            return
        for a, b in spans:
            want = math.dist(a, b)
            along = ((b[0] - a[0]) / want, (b[1] - a[1]) / want)
            # The piece nearest to this span; it may run either way.
            piece = min(pieces, key=lambda p: min(math.dist(p["start"], a) + math.dist(p["end"], b), math.dist(p["start"], b) + math.dist(p["end"], a)))
            self.same("length", length(piece), want)
            ends = sorted(((p[0] - a[0]) * along[0] + (p[1] - a[1]) * along[1]) for p in (piece["start"], piece["end"]))
            self.same("start along the axis", ends[0], 0.0)
            self.same("end along the axis", ends[1], want)
            aside = [(p[1] - a[1]) * along[0] - (p[0] - a[0]) * along[1] for p in (piece["start"], piece["end"])]
            self.same("distances of both ends from the axis", aside[0], aside[1])

    def through_voids(self, reference, wall, pieces):
        """The pieces, with those joined, and the outer ones carried on, between which a void of the file leaves nothing of the
        wall: from its foot to less than an inch and a half under its top. Nothing else joins them."""
        d, at = direction(pieces[0]), pieces[0]["start"]
        voids = []
        for corners in reference.voids(wall):
            along, _ = project(corners, at, d)
            voids.append((along.min(), along.max()))
        row = []
        for piece in pieces:
            points = numpy.array([piece["start"], piece["end"]])
            along, aside = project(points, at, d)
            if numpy.abs(aside).max() > TOLERANCE_IN:
                return pieces
            row.append([along.min(), along.max()])
        row.sort()
        close = lambda a, b: abs(a - b) <= TOLERANCE_IN
        joined = [row[0]]
        for span in row[1:]:
            if any(close(v[0], joined[-1][1]) and close(v[1], span[0]) for v in voids):
                joined[-1][1] = span[1]
            else:
                joined.append(span)
        axis = reference.axis(wall)
        if axis:
            along, _ = project(numpy.array(axis), at, d)
            for v in voids:
                if close(v[1], joined[0][0]) and v[0] <= along.min() + 3:
                    joined[0][0] = along.min()
                if close(v[0], joined[-1][1]) and v[1] >= along.max() - 3:
                    joined[-1][1] = along.max()
        place = lambda s: (at[0] + d[0] * s, at[1] + d[1] * s)
        if len(joined) == len(row) and all(a == b for a, b in zip(joined, sorted(row))) and len(joined) > 1:
            return pieces
        return [{**pieces[0], "start": place(a), "end": place(b)} for a, b in joined]

    def ends(self, axis, corners, pieces):
        """Both ends of what may be broken in between, on one line."""
        d = direction(pieces[0])
        along, _ = project(corners, pieces[0]["start"], d)
        points = numpy.array([p[end] for p in pieces for end in ("start", "end")])
        ours, aside = project(points, pieces[0]["start"], d)
        self.same("pieces on one line", numpy.abs(aside).max(), 0.0)
        reached = [(along.min(), along.max())]
        if axis:
            by_axis, _ = project(numpy.array(axis), pieces[0]["start"], d)
            reached.append((by_axis.min(), by_axis.max()))
        for n, (what, got) in enumerate((("start", ours.min()), ("end", ours.max()))):
            want = min((r[n] for r in reached), key=lambda v: abs(v - got))
            self.same(f"{what} by axis or body", got, want)

    def along_arc(self, corners, pieces):
        """Straight parts of a curved wall: all ends on one circle, halfway between the two on which the body's
        corners lie, from end to end of them, no part farther off the circle than 1/4 in."""
        ends = numpy.array([p[end] for p in pieces for end in ("start", "end")])
        # x^2 + y^2 = 2 a x + 2 b y + c
        solved, *_ = numpy.linalg.lstsq(numpy.c_[2 * ends, numpy.ones(len(ends))], (ends**2).sum(axis=1), rcond=None)
        centre = solved[:2]
        polar = lambda points: (numpy.hypot(*(points - centre).T), numpy.arctan2(*(points - centre).T[::-1]))
        (radii, angles), (faces, around) = polar(ends), polar(corners[:, :2])
        low, high = faces.min(), faces.max()
        for radius in faces[numpy.minimum(faces - low, high - faces) > TOLERANCE_IN]:
            self.faults.append(f"a corner of the body at {radius:.4f} in from the centre of the parts, its faces at {low:.4f} and {high:.4f}")
        self.same("radius", radii.mean(), (low + high) / 2, 2 * TOLERANCE_IN)
        self.same("ends on one circle", radii.max(), radii.min(), 2 * TOLERANCE_IN)
        self.same("thickness by footprint", pieces[0]["thickness"], high - low)
        middle = math.atan2(numpy.sin(angles).sum(), numpy.cos(angles).sum())
        turned = lambda a: (a - middle + math.pi) % (2 * math.pi)
        for what, pick in (("start along the arc", numpy.min), ("end along the arc", numpy.max)):
            self.same(what, pick(turned(angles)) * radii.mean(), pick(turned(around)) * radii.mean(), 2 * TOLERANCE_IN)
        half = max(length(p) for p in pieces) / 2
        if radii.mean() - math.sqrt(radii.mean() ** 2 - half**2) > 0.25 + TOLERANCE_IN:
            self.faults.append(f"a part of {2 * half:.3f} in is more than 1/4 in off the arc")

    def in_footprint(self, corners, piece, no_axis, codes):
        d = direction(piece)
        along, across = project(corners, piece["start"], d)
        band = (across.min(), across.max())
        if not band[0] - TOLERANCE_IN <= 0 <= band[1] + TOLERANCE_IN:
            self.faults.append(f"centreline outside the footprint: {band}")
        if not no_axis:
            return
        # The two long faces, and halfway between where each of them ends.
        near = lambda face: along[numpy.abs(across - face) < 0.02 * (band[1] - band[0])]
        low, high = near(band[0]), near(band[1])
        self.same("start by footprint", 0.0, (low.min() + high.min()) / 2)
        self.same("end by footprint", length(piece), (low.max() + high.max()) / 2)
        rectangle = MultiPoint(corners[:, :2]).minimum_rotated_rectangle
        if rectangle.geom_type == "Polygon":
            ring = list(rectangle.exterior.coords)
            sides = [(math.dist(p, q), (q[0] - p[0], q[1] - p[1])) for p, q in zip(ring, ring[1:])]
            longest, way = max(sides)
            sine = abs(way[0] * d[1] - way[1] * d[0]) / longest
            if sine > ANGLE and longest > 2 * min(sides)[0]:
                self.faults.append(f"direction off by {math.degrees(math.asin(sine)):.2f} degrees")

    def across(self, reference, wall, corners, axis, piece, codes):
        """Thickness, and the centreline in the middle of a layer, or of the whole wall."""
        d = direction(piece)
        _, across = project(corners, piece["start"], d)
        layers, usage = reference.layers(wall)
        body = across.max() - across.min()
        if layers:
            self.same("thickness by layers", piece["thickness"], sum(layers))
        else:
            self.same("thickness by footprint", piece["thickness"], body)
        middles = [(across.min() + across.max()) / 2]
        edges = [0.0]
        for t in layers:
            edges.append(edges[-1] + t)
        spots = [(a + b) / 2 for a, b in zip(edges, edges[1:])] + [edges[-1] / 2]
        if layers and axis and usage and len(straightened(axis)) == 2:
            # From the axis, along the wall's own y, which is left or right of our line.
            y = reference.y_direction(wall)
            left = -d[1] * y[0] + d[0] * y[1] > 0
            a = axis[0]
            at = (a[1] - piece["start"][1]) * d[0] - (a[0] - piece["start"][0]) * d[1]
            for s in spots:
                offset = usage[0] + usage[1] * s
                middles.append(at + (offset if left else -offset))
        if not layers:
            # Parts side by side are its layers.
            for part in reference.bodies(wall):
                _, own = project(part, piece["start"], d)
                middles.append((own.min() + own.max()) / 2)
        if layers:
            # From either face of the body.
            middles += [across.min() + s for s in spots] + [across.max() - s for s in spots]
        off = min(abs(m) for m in middles)
        if off > TOLERANCE_IN * 2:
            self.faults.append(f"centreline {off:.4f} in off the middle of every layer")

    def heights(self, reference, wall, corners, pieces, codes):
        storey = reference.storey(wall)
        for piece in pieces:
            if storey is not None:
                name = (storey.Name or storey.LongName or "").strip()
                if piece["storey"] != name:
                    self.faults.append(f"storey {piece['storey']}, reference {name}")
                stated = storey.Elevation
                if stated is None:
                    stated = ifcopenshell.util.placement.get_local_placement(storey.ObjectPlacement)[2][3]
                self.same("storey elevation", piece["elevation"], stated * reference.unit, HEIGHT_TOLERANCE_IN)
            if corners is None:
                continue
            zero = zero_of(reference, storey, codes)
            low, high = corners[:, 2].min(), corners[:, 2].max()
            if zero is not None:
                self.same("foot", piece["base"] + zero, low, HEIGHT_TOLERANCE_IN)
                up = zero
            else:
                up = low - piece["base"]
            for top in (piece["top"] + up, piece["top_end"] + up):
                if "ifc-top-not-level" in codes:
                    if not low < top <= high + LEVEL_IN:
                        self.faults.append(f"top {top:.3f} in, reference between {low:.3f} and {high:.3f} in")
                else:
                    self.same("top", top, high, LEVEL_IN)


def zero_of(reference, storey, codes):
    """World height that a storey's walls are measured from; None where placement and statement differ."""
    if storey is None:
        return None
    placed = None
    if storey.ObjectPlacement is not None:
        placed = ifcopenshell.util.placement.get_local_placement(storey.ObjectPlacement)[2][3] * reference.unit
    stated = None if storey.Elevation is None else storey.Elevation * reference.unit
    if "ifc-storey-height" in codes:
        return None
    return stated if placed is None else placed


def direction(piece):
    n = length(piece)
    return ((piece["end"][0] - piece["start"][0]) / n, (piece["end"][1] - piece["start"][1]) / n)


def project(corners, start, d):
    x, y = corners[:, 0] - start[0], corners[:, 1] - start[1]
    return x * d[0] + y * d[1], y * d[0] - x * d[1]


def straightened(points):
    """Without repeated points and without corners in a straight line."""
    out = []
    for p in points:
        if out and math.dist(out[-1], p) < 1e-6:
            continue
        if len(out) > 1:
            (ax, ay), (bx, by) = out[-2], out[-1]
            u, v = (bx - ax, by - ay), (p[0] - bx, p[1] - by)
            cross, dot = u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1]
            if dot > 0 and abs(cross) < 1e-4 * dot:
                out.pop()
        out.append(p)
    return out


def codes_by_wall(said):
    codes, whole = defaultdict(set), set()
    for finding in (said or {}).get("findings", []):
        if finding["code"] == "ifc-storey-height":
            whole.add(finding["code"])
        for source in finding["source"]:
            codes[source].add(finding["code"])
    return codes, whole


def judge(drawing):
    """One row of the table; faults are printed."""
    row = {"file": drawing["file"], "faults": 0, "note": ""}
    if "refused" in drawing:
        row["note"] = f"refused: {drawing['refused']}"
        return row
    framed = drawing["framed"]
    pieces = defaultdict(list)
    for wall in framed["walls"]:
        for source in wall["source"]:
            pieces[source].append(wall)
    left_out = dict((framed["said"] or {}).get("left_out", []))
    planned = {s for w in drawing["as_drawn"]["walls"] for s in w["source"]}
    not_planned = dict((drawing["as_drawn"]["said"] or {}).get("left_out", []))
    row.update(walls=drawing["walls_in_file"], read=len(pieces), planned=len(planned))
    row["left_out"] = Counter(left_out.values())
    row["not_planned"] = Counter(why for guid, why in not_planned.items() if guid not in left_out)
    try:
        reference = Reference(drawing["path"])
    except FileNotFoundError as e:
        fault(row, "file", str(e))
        return row
    except Exception as e:
        row["note"] = f"not judged, ifcopenshell says {type(e).__name__}: {str(e)[:80]}"
        return row
    if not reference.walls and drawing["walls_in_file"]:
        row["note"] = "not judged, ifcopenshell finds no wall in this damaged file"
        return row
    if drawing["inches_per_unit"] and not math.isclose(reference.unit, drawing["inches_per_unit"], rel_tol=1e-9):
        fault(row, "unit", f"read as {drawing['inches_per_unit']} in, ifcopenshell {reference.unit} in")
    if len(reference.walls) != drawing["walls_in_file"]:
        fault(row, "walls", f"{drawing['walls_in_file']} counted, ifcopenshell {len(reference.walls)}")
    codes, whole = codes_by_wall(framed["said"])
    row["reference"], row["agree"], row["by"] = 0, 0, Counter()
    for guid, wall in sorted(reference.walls.items()):
        shaped = reference.axis(wall) is not None or reference.corners(wall) is not None
        row["reference"] += shaped
        if guid in pieces and not row["by"] and len(pieces[guid]) == 1 and reference.storey(wall) and reference.corners(wall) is not None:
            for kind in blind_spots(reference, guid, pieces[guid], codes[guid] | whole):
                fault(row, guid, f"the judge does not see a wall that is {kind}")
        if guid in pieces:
            j = Judge(guid)
            j.check(reference, pieces[guid], codes[guid] | whole)
            row["by"]["+".join(j.by) or "nothing"] += 1
            row["agree"] += not j.faults
            for what in j.faults:
                fault(row, guid, what)
        elif guid not in left_out:
            fault(row, guid, "neither read nor left out with a reason")
        else:
            said = [f["message"] for f in framed["said"]["findings"] if guid in f["source"] and "left out" in f["message"]]
            print(f"  {guid} left out ({left_out[guid]}){'' if shaped else ', no shape by ifcopenshell either'}: {said[0] if said else ''}")
    return row


def blind_spots(reference, guid, pieces, codes):
    """The judge must be able to say no: what is wrong in one wall must be found, kind by kind."""
    piece = pieces[0]
    (ax, ay), (bx, by) = piece["start"], piece["end"]
    d = direction(piece)
    bent = {
        "longer": {"end": [bx + 0.1 * d[0], by + 0.1 * d[1]]},
        "moved along": {"start": [ax + d[0], ay + d[1]], "end": [bx + d[0], by + d[1]]},
        "moved aside": {"start": [ax - 0.2 * d[1], ay + 0.2 * d[0]], "end": [bx - 0.2 * d[1], by + 0.2 * d[0]]},
        "turned": {"start": [ax, ay], "end": [ax - length(piece) * d[1], ay + length(piece) * d[0]]},
        "thicker": {"thickness": piece["thickness"] + 0.1},
        "raised": {"base": piece["base"] + 1.0},
        "higher": {"top": piece["top"] + 240.0},
        "on another storey": {"storey": "no such storey", "elevation": piece["elevation"] + 12.0},
    }
    missed = []
    for kind, change in bent.items():
        j = Judge(guid)
        j.check(reference, [piece | change], codes)
        if not j.faults:
            missed.append(kind)
    return missed


def fault(row, what, message):
    row["faults"] += 1
    if row["faults"] <= 12:
        print(f"  DIFFERS {what}: {message}")


HEAD = "| file | walls | read | reference reads | agree | recall | planned as drawn | left out, or not planned as drawn |\n|---|---:|---:|---:|---:|---:|---:|---|\n"


def line(row):
    if "walls" not in row:
        return f"| {row['file']} | | | | | | | {row['note']} |\n"
    reasons = [f"{n} {why}" for why, n in sorted(row["left_out"].items())]
    reasons += [f"({n} {why})" for why, n in sorted(row["not_planned"].items())]
    if row["note"]:
        reasons.append(row["note"])
        shaped = agree = recall = ""
    else:
        shaped, agree = row["reference"], row["agree"]
        recall = f"{100 * min(row['read'], shaped) / shaped:.0f} %" if shaped else ""
    return f"| {row['file']} | {row['walls']} | {row['read']} | {shaped} | {agree} | {recall} | {row['planned']} | {'; '.join(reasons)} |\n"


def totals(rows):
    judged = [r for r in rows if "agree" in r]
    each = [sum(r[k] for r in judged) for k in ("walls", "read", "reference", "agree", "planned")]
    walls, read, shaped, agree, planned = each
    recall = f"{100 * read / shaped:.1f} %" if shaped else ""
    return f"| **all that the reference reads** | {walls} | {read} | {shaped} | {agree} | {recall} | {planned} | |\n"


def main(path, table):
    rows = []
    for text in open(path, encoding="utf-8"):
        drawing = json.loads(text)
        print(drawing["file"])
        row = judge(drawing)
        rows.append(row)
        print(f"  {row.get('walls', 0)} walls, {row.get('read', 0)} read, {row.get('agree', 0)} agree, {row['faults']} differences {row['note']} {dict(row.get('by', {}))}")
    read, agree = (sum(r.get(k, 0) for r in rows if "agree" in r) for k in ("read", "agree"))
    print(f"{read} walls compared, {agree} agree")
    if table:
        tables.put(table, HEAD + "".join(line(r) for r in rows) + totals(rows))
    return 1 if any(r["faults"] for r in rows) or read == 0 else 0


if __name__ == "__main__":
    arguments = sys.argv[1:]
    target = arguments.pop(arguments.index("--table") + 1) if "--table" in arguments else None
    sys.exit(main([a for a in arguments if a != "--table"][0], target))
