"""Judges items 1 to 3 of the output contract on plan.json files, by shapely's plane geometry.

Exits with 1 when a plan breaks one of them.
"""

import json
import math
import sys

from shapely import LineString, MultiPoint, Point, Polygon, unary_union

# Square inches: corners off the axes are rounded to a nanometre, and GEOS snaps overlays.
AREA = 1e-3
# Radians: walls in line that lean by less are straight, which is less than a ten-thousandth of an inch over half a plate.
STRAIGHT = 5e-5
# Sine of the angle below which two walls bend instead of making a corner (15 degrees).
BEND = 0.2588
# Inches of a wall beside a corner that no plate is cut to.
FINGER = 1.5


def footprint(plan, storey):
    """Each wall's framing width about its centreline, and the corner between prolonged outer faces."""
    walls = [w for w in plan["walls"] if w["storey"] == storey]
    runs = {run["id"]: run for run in plan["runs"]}
    parts = []
    outside = {}  # of each run, the half planes beyond the corners it ends at
    for junction in plan["junctions"]:
        if junction["storey"] != storey:
            continue
        arms = []
        for arm in junction["arms"]:
            run = runs[arm["run"]]
            # Walls with a face flush pass beside the node they share.
            start = {"start": run["start"], "end": run["end"]}.get(arm["at"], junction["at"])
            if arm["at"] != "end":
                arms.append((angle(run), run["width"] / 2, start, run["id"]))
            if arm["at"] != "start":
                back = (angle(run) + 2 * math.pi) % (2 * math.pi) - math.pi
                arms.append((back, run["width"] / 2, start, run["id"]))
        three = corner_of_three(arms, runs) if junction["kind"] == "T" else None
        if three:
            arms, third, butted = three
            if butted is not None:
                outside.setdefault(third[3], []).append(butted)
        corner = list(outer_corner(sorted(arms)))
        for run, face, prolonged in corner:
            outside.setdefault(run, []).append(face)
            parts.append(prolonged.difference(face))
        # What lies between the two stays within their outer faces.
        for run in {arm[3] for arm in arms} - {run for run, _, _ in corner}:
            outside.setdefault(run, []).extend(face for _, face, _ in corner)
    for w in walls:
        band = LineString([w["start"], w["end"]]).buffer(w["width"] / 2, cap_style="flat")
        for face in outside.get(w["run"], []):
            band = band.difference(face)
        parts.append(band)
    return unary_union(parts)


def outer_corner(arms):
    """Where two neighbouring arms are more than half a turn apart: for each of them its run, the half
    plane beyond the other's outer face, which bounds it, and the wall prolonged to where the outer faces
    meet, and the inner ones."""
    for first, second in zip(arms, arms[1:] + arms[:1]):
        if len(arms) < 2 or (second[0] - first[0]) % math.tau < math.pi + STRAIGHT:
            continue
        # Seen from the node, the left face of one arm and the right face of the next are outside.
        for arm, other, side in ((first, second, 1), (second, first, -1)):
            turn, half, start, run = arm
            ring = []
            for face in (side, -side):
                line = through(start, turn).offset_curve(face * half)
                foot = line.interpolate(line.project(Point(start)))
                meet = line.intersection(through(other[2], other[0]).offset_curve(-face * other[1]))
                ahead = (meet.x - foot.x) * math.cos(turn) + (meet.y - foot.y) * math.sin(turn)
                ring.append((foot, meet if ahead < 0 else foot))
            (out, tip), (inner, crotch) = ring
            prolonged = MultiPoint([out, tip, crotch, inner]).convex_hull
            yield run, beyond(other, -side), prolonged


def corner_of_three(arms, runs):
    """Where three walls end at a tee and two of them, one of the line and the stem, are alone as high or else alone as
    wide: these two, which make a corner; the third; and the half plane up to the stem's outer face, where the third
    begins, if it does not stand out beside the corner by more than a finger's width."""
    if len(arms) != 3 or len({arm[3] for arm in arms}) != 3:
        return None

    def sine(a, b):
        return math.sin(b[0] - a[0])

    def in_line(a, b):
        return abs(sine(a, b)) <= STRAIGHT and math.cos(b[0] - a[0]) < 0

    ways = [(arms[i], arms[j], arms[3 - i - j]) for i, j in ((0, 1), (1, 2), (0, 2))]
    line = next((way for way in ways if in_line(way[0], way[1])), None)
    if line is None or abs(sine(line[0], line[2])) < BEND:
        return None
    one, other, stem = line
    top = runs[stem[3]]["top"]
    if runs[stem[3]]["top_end"] != top:
        return None
    high = [runs[arm[3]]["top"] == top == runs[arm[3]]["top_end"] for arm in (one, other)]
    wide = [arm[1] == stem[1] for arm in (one, other)]
    makes_it = wide if high == [True, True] else high
    if makes_it[0] == makes_it[1]:
        return None
    beside, third = (one, other) if makes_it[0] else (other, one)
    aside = through(beside[2], beside[0]).distance(Point(third[2]))
    if aside + third[1] > beside[1] + FINGER:
        return [beside, stem], third, None
    side = 1 if sine(stem, third) > 0 else -1
    own = through(stem[2], stem[0])
    inside = own.buffer(-side * 2000, single_sided=True).union(own.buffer(side * stem[1], single_sided=True))
    return [beside, stem], third, inside


def beyond(arm, side):
    """The half plane outside a face of an arm, as far as it matters."""
    turn, half, start, _ = arm
    return through(start, turn).buffer(side * 2000, single_sided=True).difference(
        through(start, turn).buffer(side * half, single_sided=True)
    )


def through(at, turn, reach=10000.0):
    dx, dy = reach * math.cos(turn), reach * math.sin(turn)
    return LineString([(at[0] - dx, at[1] - dy), (at[0] + dx, at[1] + dy)])


def angle(run):
    return math.atan2(run["end"][1] - run["start"][1], run["end"][0] - run["start"][0])


def outlines(plan, storey, layer):
    return [Polygon(p["outline"]) for p in plan["pieces"] if p["storey"] == storey and p["layer"] == layer]


def check_storey(plan, storey, faults):
    ground = footprint(plan, storey)
    covers = {}
    for layer in ("bottom", "lower", "upper"):
        pieces = outlines(plan, storey, layer)
        for piece in pieces:
            if not piece.is_valid:
                faults.append(f"{storey} {layer}: an outline is not a simple polygon")
        cover = covers[layer] = unary_union(pieces)
        double = sum(p.area for p in pieces) - cover.area
        if abs(double) > AREA:
            faults.append(f"1: {storey} {layer}: {double} sq in overlap")
    stops = plan["settings"]["plates"]["bottom"] == "stop"
    for layer in ("bottom", "lower"):
        missing = ground.difference(covers[layer]).area
        over = covers[layer].difference(ground).area
        if over > AREA or (missing > AREA and not (stops and layer == "bottom")):
            faults.append(f"2: {storey} {layer}: {missing} sq in bare, {over} sq in too much")
    over = covers["upper"].difference(ground).area
    if over > AREA:
        faults.append(f"3: {storey} upper: {over} sq in too much")
    runs = {run["id"]: run for run in plan["runs"]}
    # What stays bare is a clearance wide: it vanishes when the plates grow by one.
    plates = plan["settings"]["plates"]
    run_on = plates["joint_offset"] + plan["settings"]["studs"]["spacing"] + 1
    reach = max(plates["upper_clearance"], plates["notch_side_clearance"]) + 1 / 16 + 1e-6
    bare = ground.difference(covers["upper"].buffer(reach, join_style="mitre"))
    for junction in plan["junctions"]:
        raked = [r for r in (runs[arm["run"]] for arm in junction["arms"]) if r["top_end"] != r["top"]]
        if junction["step"] != 0 or raked:
            bare = bare.difference(Point(junction["at"]).buffer(12))
        elif junction["kind"] == "inline":
            # A narrow plate runs on over the wider wall by the joint offset, and on to the next
            # stud: bare strips beside it, the wider where one face is flush.
            met = [runs[arm["run"]] for arm in junction["arms"]]
            widths = [run["width"] for run in met]
            line = through(met[0]["start"], angle(met[0]))
            beside = max(line.distance(Point(run["start"])) for run in met)
            strip = (max(widths) - min(widths)) / 2 + beside + reach
            near = Point(junction["at"]).buffer(run_on)
            beside = covers["upper"].buffer(strip, join_style="mitre").intersection(near)
            bare = bare.difference(beside)
    if bare.area > AREA:
        faults.append(f"3: {storey} upper: {bare.area} sq in bare at {bare.representative_point()}")


def check(path):
    plan = json.load(open(path, encoding="utf-8"))
    faults = []
    for storey in plan["storeys"]:
        check_storey(plan, storey["id"], faults)
    print(f"{path}: {len(plan['pieces'])} pieces judged, {len(faults)} faults")
    for fault in faults:
        print(f"  {fault}")
    return not faults


if __name__ == "__main__":
    results = [check(path) for path in sys.argv[1:]]
    sys.exit(0 if results and all(results) else 1)
