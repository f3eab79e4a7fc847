"""Compares what platewright reads of a DXF file, before anything is taken for a wall, with what ezdxf reads.

Input: the lines `dump-linework` prints, one JSON object a drawing:
  file, path, damage, model_entities: {type: count},
  drawn: [{kind, layer, entity, lines: [[x1, y1, x2, y2]...], arcs: [[cx, cy, ux, uy, vx, vy, sweep]...]}...],
  texts: [{layer, entity, at: [x, y], height, text}...]
in drawing units, blocks inserted. Compared: how many entities of each type model space has; every straight
line and every arc on every layer, in both directions; splines by ends, length and extents; texts by words
and place. Not compared: what stands tilted in space (no part of a plan, left out by platewright).
`--table FILE` writes the table of files between the markers of that Markdown file. Exits with 1 when anything differs.
"""

import json
import math
import sys
from collections import Counter, defaultdict

import ezdxf
from ezdxf import DXFError, recover
from ezdxf.entities import DXFTagStorage
from ezdxf.math import BSpline, ConstructionEllipse, OCS, Vec3, bulge_to_arc

import tables

# Places agree to this share of the drawing's extents (ezdxf goes another way through blocks and
# rounds differently), and to at least this many drawing units.
RELATIVE, ABSOLUTE = 1e-9, 1e-6
# platewright's chords stay within 1/2000 of a spline's control polygon.
SPLINE = 1 / 500


def value_of(entity, name, default):
    """An attribute, also of entities that ezdxf only keeps as tags (3DLINE of the first releases)."""
    if isinstance(entity, DXFTagStorage):
        codes = {"layer": 8, "extrusion": 210, "start": 10, "end": 11}
        tags = (tag for group in entity.xtags.subclasses for tag in group)
        return next((tag.value for tag in tags if tag.code == codes[name]), default)
    return entity.dxf.get(name, default) if entity.dxf.is_supported(name) else default


def upright(entity):
    """Whether the entity's plane is level, so that it is part of a plan."""
    n = Vec3(value_of(entity, "extrusion", (0, 0, 1)))
    return math.hypot(n.x, n.y) <= 1e-4 * n.magnitude


class Reference:
    """Model space as ezdxf has it, by layer."""

    def __init__(self, doc):
        self.doc = doc
        # 3DLINE of the first releases is the LINE of later ones.
        self.counts = Counter(entity.dxftype().replace("3DLINE", "LINE") for entity in doc.modelspace())
        self.lines, self.arcs, self.splines = defaultdict(list), defaultdict(list), defaultdict(list)
        self.texts = defaultdict(list)
        self.skipped = Counter()
        for entity in doc.modelspace():
            self.visit(entity, None, set())

    def visit(self, entity, inherited, inside):
        layer = value_of(entity, "layer", "0")
        layer = (inherited if inherited is not None and layer == "0" else layer).lower()
        kind = entity.dxftype()
        if kind == "INSERT":
            return self.insert(entity, layer, inside)
        read = getattr(self, "read_" + kind.lower().replace("3d", "d3"), None)
        if read is None:
            return
        if not upright(entity) and kind not in ("LINE", "3DFACE", "SPLINE"):
            self.skipped["tilted " + kind] += 1
            return
        read(entity, layer)

    def insert(self, insert, layer, inside):
        for attribute in insert.attribs:
            if not attribute.is_invisible:
                own = attribute.dxf.get("layer", "0").lower()
                self.add_text(attribute, own, attribute.plain_text())
        block = insert.block()
        name = insert.dxf.get("name", "").lower()
        if block is None or name in inside or block.block.is_xref or block.block.is_xref_overlay:
            return
        if not upright(insert):
            self.skipped["tilted INSERT"] += 1
            return
        for one in insert.multi_insert() if insert.mcount > 1 else [insert]:
            for part in one.virtual_entities():
                self.visit(part, layer, inside | {name})

    # Straight lines and arcs, in world coordinates.
    def line(self, layer, a, b):
        a, b = (a[0], a[1]), (b[0], b[1])
        if a != b:
            self.lines[layer].append(line_key(a, b))

    def arc(self, layer, tool):
        """A ConstructionEllipse, world coordinates."""
        span = tool.param_span
        if math.isclose(span, math.tau, abs_tol=1e-6) or span < 1e-9:
            span = math.tau
        u, v = tool.major_axis, tool.minor_axis
        c, s = math.cos(tool.start_param), math.sin(tool.start_param)
        u, v = u * c + v * s, v * c - u * s
        self.arcs[layer].append(arc_key([tool.center.x, tool.center.y, u.x, u.y, v.x, v.y, span]))

    def spline(self, layer, tool):
        points = [p.vec2 for p in tool.flattening(extent(tool.control_points) / 10000 or 1e-9, segments=16)]
        self.splines[layer].append(curve_key([(p.x, p.y) for p in points]))

    def ring(self, layer, points, ocs, closed=True):
        """Vertices (x, y, bulge) in an entity's own plane."""
        points = list(points)
        pairs = list(zip(points, points[1:] + points[:1])) if closed else list(zip(points, points[1:]))
        for (x, y, bulge), (x2, y2, _) in pairs:
            if abs(bulge) <= 1e-9 or (x, y) == (x2, y2):
                self.line(layer, ocs.to_wcs(Vec3(x, y)), ocs.to_wcs(Vec3(x2, y2)))
                continue
            center, start, end, radius = bulge_to_arc((x, y), (x2, y2), bulge)
            self.circle_arc(layer, Vec3(center), radius, math.degrees(start), math.degrees(end), ocs)

    def circle_arc(self, layer, center, radius, start, end, ocs):
        tool = ConstructionEllipse.from_arc(center, radius, ocs.uz, start, end)
        self.arc(layer, tool)

    # One method an entity type.
    def read_line(self, e, layer):
        self.line(layer, e.dxf.start, e.dxf.end)

    def read_d3line(self, e, layer):
        self.line(layer, value_of(e, "start", None), value_of(e, "end", None))

    def read_arc(self, e, layer):
        tool = ConstructionEllipse.from_arc(
            e.dxf.center, abs(e.dxf.radius), Vec3(e.dxf.extrusion), e.dxf.start_angle, e.dxf.end_angle
        )
        if e.dxf.radius:
            self.arc(layer, tool)

    def read_circle(self, e, layer):
        if e.dxf.radius:
            self.circle_arc(layer, e.dxf.center, abs(e.dxf.radius), 0, 360, e.ocs())

    def read_ellipse(self, e, layer):
        self.arc(layer, e.construction_tool())

    def read_lwpolyline(self, e, layer):
        self.ring(layer, e.get_points("xyb"), e.ocs(), e.closed)

    def read_polyline(self, e, layer):
        if e.is_poly_face_mesh:
            places = [v.dxf.location for v in e.vertices if v.is_poly_face_mesh_vertex]
            records = [v for v in e.vertices if v.is_face_record]
            faces = [[n for n in (v.dxf.get(f"vtx{k}", 0) for k in range(4)) if n] for v in records]
            shown = [([abs(n) - 1 for n in face], [n > 0 for n in face]) for face in faces]
            return self.surface(layer, places, shown)
        if e.is_polygon_mesh:
            return
        spline_frame = 16
        points = [
            (v.dxf.location.x, v.dxf.location.y, v.dxf.get("bulge", 0) if e.is_2d_polyline else 0)
            for v in e.vertices
            if not v.dxf.flags & spline_frame
        ]
        self.ring(layer, points, e.ocs() if e.is_2d_polyline else OCS(), e.is_closed)

    def read_mesh(self, e, layer):
        if e.dxf.subdivision_levels == 0:
            self.surface(layer, e.vertices, [(face, [True] * len(face)) for face in e.faces])

    def surface(self, layer, places, faces):
        """Edges of faces in plan, each once."""
        seen = set()
        for corners, shown in faces:
            for i, visible in enumerate(shown):
                a, b = (Vec3(places[corners[k % len(corners)]]) for k in (i, i + 1))
                edge = frozenset([(a.x, a.y), (b.x, b.y)])
                if visible and edge not in seen:
                    seen.add(edge)
                    self.line(layer, a, b)

    def read_spline(self, e, layer):
        self.spline(layer, e.construction_tool())

    def read_solid(self, e, layer):
        a, b, c, d = [e.ocs().to_wcs(p) for p in (e.dxf.vtx0, e.dxf.vtx1, e.dxf.vtx2, e.dxf.vtx3)]
        for p, q in ((a, b), (b, d), (d, c), (c, a)):
            self.line(layer, p, q)

    read_trace = read_solid

    def read_d3face(self, e, layer):
        p = [e.dxf.vtx0, e.dxf.vtx1, e.dxf.vtx2, e.dxf.vtx3]
        for i in range(4):
            if not e.is_invisible_edge(i):
                self.line(layer, p[i], p[(i + 1) % 4])

    def read_mline(self, e, layer):
        """The middle between the outermost elements, along each vertex's miter."""
        middles = []
        for v in e.vertices:
            offsets = [p[0] for p in v.line_params if p]
            along = (min(offsets) + max(offsets)) / 2 if offsets else 0
            middles.append(v.location + v.miter_direction * along)
        if e.is_closed:
            middles.append(middles[0])
        for p, q in zip(middles, middles[1:]):
            self.line(layer, p, q)

    def read_hatch(self, e, layer):
        ocs = e.ocs()
        flat = lambda p: ocs.to_wcs(Vec3(p[0], p[1]))
        for boundary in e.paths:
            if hasattr(boundary, "vertices"):
                self.ring(layer, [(v[0], v[1], v[2]) for v in boundary.vertices], ocs)
                continue
            for edge in boundary.edges:
                kind = type(edge).__name__
                if kind == "LineEdge":
                    self.line(layer, flat(edge.start), flat(edge.end))
                elif kind == "ArcEdge":
                    self.circle_arc(layer, Vec3(edge.center), edge.radius, edge.start_angle, edge.end_angle, ocs)
                elif kind == "EllipseEdge":
                    tool = edge.construction_tool()
                    world = ConstructionEllipse(
                        flat(tool.center), flat(tool.major_axis), ocs.uz, tool.ratio, tool.start_param, tool.end_param
                    )
                    self.arc(layer, world)
                else:
                    tool = edge.construction_tool()
                    self.spline(layer, BSpline([flat(p) for p in tool.control_points], tool.order, tool.knots(), tool.weights() or None))

    def add_text(self, e, layer, words):
        if e.dxftype() == "MTEXT":
            at = e.dxf.insert
        else:
            _, at, _ = e.get_placement()
            at = e.ocs().to_wcs(at)
        if words.strip():
            self.texts[layer].append((words_of(words), at.x, at.y))

    def read_text(self, e, layer):
        self.add_text(e, layer, e.plain_text())

    def read_mtext(self, e, layer):
        self.add_text(e, layer, e.plain_text())

    def read_attdef(self, e, layer):
        if e.is_const and not e.is_invisible:
            self.add_text(e, layer, e.plain_text())


def words_of(text):
    """Without blanks: where a line of MTEXT is broken, and whether a blank sets off a fraction, is a matter of taste."""
    return "".join(c for c in text if not c.isspace() and c.isprintable()).replace("Ø", "⌀").lower()


def extent(points):
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return max(max(xs) - min(xs), max(ys) - min(ys)) if xs else 0.0


def arc_key(arc):
    """What stays the same whichever pair of half axes describes it: ends and middle, or the whole ellipse."""
    cx, cy, ux, uy, vx, vy, sweep = arc
    if abs(sweep) > math.tau - 1e-6:
        squares, area = ux * ux + uy * uy + vx * vx + vy * vy, abs(ux * vy - uy * vx)
        return (cx, cy, math.sqrt(squares), math.sqrt(area), 0.0, 0.0)
    at = lambda t: (cx + ux * math.cos(t) + vx * math.sin(t), cy + uy * math.cos(t) + vy * math.sin(t))
    a, m, b = at(0), at(sweep / 2), at(sweep)
    first, last = in_order(a, b)
    return (*first, *m, *last)


def in_order(a, b):
    """The end that is farther left first, in a way that rounding does not turn around."""
    return (a, b) if (a[0] + a[1] * math.pi) <= (b[0] + b[1] * math.pi) else (b, a)


def line_key(a, b):
    first, last = in_order(a, b)
    return (*first, *last)


def curve_key(points):
    length = sum(math.dist(p, q) for p, q in zip(points, points[1:]))
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return (min(xs), min(ys), max(xs), max(ys), length)


def unmatched(found, wanted, tolerance):
    """What of two lists of vectors has no partner in the other within the tolerance (a number, or a function of a vector)."""
    size = tolerance if isinstance(tolerance, float) else max([tolerance(v) for v in wanted] or [1.0])
    cell = 4 * max(size, 1e-12)
    grid = defaultdict(list)
    for i, v in enumerate(wanted):
        grid[(math.floor(v[0] / cell), math.floor(v[1] / cell))].append(i)
    taken, left = set(), []
    for v in found:
        x, y = math.floor(v[0] / cell), math.floor(v[1] / cell)
        near = (i for dx in (-1, 0, 1) for dy in (-1, 0, 1) for i in grid.get((x + dx, y + dy), ()))
        hit = next(
            (
                i
                for i in near
                if i not in taken
                and max(abs(p - q) for p, q in zip(v, wanted[i])) <= (size if isinstance(tolerance, float) else tolerance(v))
            ),
            None,
        )
        left.append(v) if hit is None else taken.add(hit)
    return left, [w for i, w in enumerate(wanted) if i not in taken]


def ours(drawing):
    lines, arcs, splines, texts = (defaultdict(list) for _ in range(4))
    for d in drawing["drawn"]:
        layer = d["layer"].lower()
        if d["kind"] == "SPLINE":
            points = [tuple(d["lines"][0][:2])] + [tuple(g[2:]) for g in d["lines"]]
            splines[layer].append(curve_key(points))
            continue
        for x1, y1, x2, y2 in d["lines"]:
            lines[layer].append(line_key((x1, y1), (x2, y2)))
        for arc in d["arcs"]:
            if math.hypot(arc[2], arc[3]) > 0:
                arcs[layer].append(arc_key(arc))
    for t in drawing["texts"]:
        if words_of(t["text"]):
            texts[t["layer"].lower()].append((words_of(t["text"]), *t["at"]))
    return lines, arcs, splines, texts


def open_drawing(path):
    """As it is where possible: ezdxf's recovery throws away entities that it thinks are of no use."""
    try:
        return ezdxf.readfile(path)
    except Exception:  # damaged files end in errors of many kinds
        return recover.readfile(path)[0]


def check(drawing, faults, row=None):
    try:
        doc = open_drawing(drawing["path"])
    except (DXFError, OSError, ValueError, UnicodeError) as why:
        return f"ezdxf does not read it ({type(why).__name__})"
    return compare(drawing, doc, faults, row)


def compare(drawing, doc, faults, row=None):
    """Holds what platewright read of a drawing against what ezdxf has of it; what was compared, in words. `row` gets
    the numbers: of each kind how many ezdxf has and how many of them platewright has as well."""
    row = {} if row is None else row
    try:
        want = Reference(doc)
    except (DXFError, ValueError, ZeroDivisionError) as why:  # null axes, rows of blocks that are none
        return f"ezdxf reads it and cannot work it out ({type(why).__name__}: {why})"
    got = {k: v for k, v in drawing["model_entities"].items()}
    if got != dict(want.counts):
        wrong = {k: (got.get(k, 0), want.counts.get(k, 0)) for k in {*got, *want.counts} if got.get(k, 0) != want.counts.get(k, 0)}
        faults.append(f"entities read and those of ezdxf: {wrong}")
    lines, arcs, splines, texts = ours(drawing)
    reach = max((abs(v) for of in (*want.lines.values(), *want.arcs.values()) for row in of for v in row), default=0.0)
    tolerance = max(ABSOLUTE, RELATIVE * reach)
    compared, agreed = Counter(), Counter()

    def hold(what, found, wanted, tolerance):
        for layer in sorted({*found, *wanted}):
            missing, extra = [], []
            extra, missing = unmatched(found.get(layer, []), wanted.get(layer, []), tolerance)
            compared[what] += len(wanted.get(layer, []))
            agreed[what] += len(wanted.get(layer, [])) - len(missing)
            if missing:
                faults.append(f"{what} on {layer} only ezdxf has: {len(missing)}, such as {missing[0]}")
            if extra:
                faults.append(f"{what} on {layer} that ezdxf does not have: {len(extra)}, such as {extra[0]}")

    hold("lines", lines, want.lines, tolerance)
    hold("arcs", arcs, want.arcs, tolerance)
    hold("splines", splines, want.splines, lambda v: max(v[2] - v[0], v[3] - v[1]) * SPLINE + tolerance)
    for layer in sorted({*texts, *want.texts}):
        words = lambda rows: Counter(r[0] for r in rows)
        mine, theirs = words(texts.get(layer, [])), words(want.texts.get(layer, []))
        compared["texts"] += sum(theirs.values())
        agreed["texts"] += sum((theirs & mine).values())
        if mine != theirs:
            faults.append(f"texts on {layer}: only ours {list((mine - theirs).items())[:3]}, only ezdxf {list((theirs - mine).items())[:3]}")
            continue
        for word in theirs:
            place = lambda rows: [r[1:] for r in rows if r[0] == word]
            left, _ = unmatched(place(texts[layer]), place(want.texts[layer]), tolerance)
            if left:
                faults.append(f"text {word!r} on {layer} stands at {left[0]}, not where ezdxf has it")
    row |= {"entities": sum(want.counts.values()), "compared": compared, "agreed": agreed, "tilted": sum(want.skipped.values())}
    skipped = f"; left out: {dict(want.skipped)}" if want.skipped else ""
    return f"{sum(want.counts.values())} entities, {dict(compared)}{skipped}"


def table(rows):
    """The numbers of all files; those of the project's own tests in one row."""
    out = ["| file | entities | lines | arcs | splines | texts | recall | |", "|---|---:|---:|---:|---:|---:|---:|---|"]
    for name, row in rows:
        if not row:
            out.append(f"| {name} | | | | | | | ezdxf does not read it |")
            continue
        compared, agreed = row["compared"], row["agreed"]
        kinds = " | ".join(str(compared[k]) for k in ("lines", "arcs", "splines", "texts"))
        wanted = sum(compared.values())
        recall = f"{100 * sum(agreed.values()) / wanted:.4g} %" if wanted else ""
        tilted = f"{row['tilted']} tilted in space, no part of a plan" if row["tilted"] else ""
        note = tilted or ("" if wanted else "nothing in model space")
        out.append(f"| {name} | {row['entities']} | {kinds} | {recall} | {note} |")
    return "\n".join(out)


def main(path, target):
    bad, rows = 0, []
    for line in open(path, encoding="utf-8"):
        drawing = json.loads(line)
        faults, row = [], {}
        told = check(drawing, faults, row)
        rows.append((drawing["file"], row))
        print(f"{'FAULT' if faults else 'ok'} {drawing['file']}: {told}")
        for fault in faults[:12]:
            print(f"    {fault}")
        bad += bool(faults)
    if target:
        tables.put(target, table(rows))
    return 1 if bad else 0


if __name__ == "__main__":
    arguments = sys.argv[1:]
    target = arguments.pop(arguments.index("--table") + 1) if "--table" in arguments else None
    sys.exit(main([a for a in arguments if a != "--table"][0], target))
