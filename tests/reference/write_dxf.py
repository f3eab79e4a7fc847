"""Writes drawings with every entity that platewright reads, for check_dxf.py: as text of several releases and in binary.

Usage: write_dxf.py FOLDER. Nothing in them is random; they are judged, not kept.
"""

import math
import sys
from pathlib import Path

import ezdxf
from ezdxf.render import forms

UP, DOWN = (0, 0, 1), (0, 0, -1)


def draw(out, old, normal):
    """One of each, on layers of their own. R12 has fewer kinds."""
    at = {"extrusion": normal}
    on = lambda layer: {**at, "layer": layer}
    out.add_line((0, 0), (120, 30), {"layer": "LINES"})
    out.add_line((5, 5, 3), (5, 90, 3), {"layer": "0"})
    out.add_arc((40, 20), 12, 30, 250, dxfattribs=on("ARCS"))
    out.add_arc((40, 20), 14, 300, 20, dxfattribs=on("0"))
    out.add_circle((70, 20), 9, dxfattribs=on("ARCS"))
    path = [(0, 0, 0), (20, 0, 0.5), (30, 10, -0.25), (30, 40, 0), (0, 40, 1)]
    flat = out.add_polyline2d([p[:2] for p in path], close=True, dxfattribs=on("OLD-PATHS"))
    for vertex, (_, _, bulge) in zip(flat.vertices, path):
        vertex.dxf.bulge = bulge
    out.add_polyline3d([(0, 0, 0), (10, 5, 20), (30, 5, 10)], dxfattribs={"layer": "OLD-PATHS"})
    out.add_solid([(0, 0), (8, 0), (0, 3), (8, 3)], dxfattribs=on("FILLED"))
    out.add_trace([(0, 10), (8, 10), (0, 13), (6, 14)], dxfattribs=on("FILLED"))
    face = out.add_3dface([(0, 0, 0), (10, 0, 0), (10, 4, 2), (0, 4, 2)], dxfattribs={"layer": "FACES"})
    face.dxf.invisible_edges = 2
    box = forms.extrude([(60, 60, 0), (100, 60, 0), (100, 64, 0), (60, 64, 0)], [(0, 0, 0), (0, 0, 97)])
    polyface = box.render_polyface(out, dxfattribs={"layer": "SURFACES"})
    record = next(v for v in polyface.vertices if v.is_face_record)
    record.dxf.vtx1 = -record.dxf.vtx1
    out.add_text("BED %%c 45%%d", height=4, dxfattribs={**on("TEXTS"), "insert": (10, 12)})
    out.add_text("Wände", height=4, rotation=90, dxfattribs=on("TEXTS")).set_placement(
        (50, 60), align=ezdxf.enums.TextEntityAlignment.MIDDLE_CENTER
    )
    if old:
        return
    out.add_lwpolyline(path, format="xyb", close=True, dxfattribs=on("PATHS"))
    out.add_lwpolyline([(0, 50), (90, 50), (90, 70)], dxfattribs={**on("PATHS"), "const_width": 4.5})
    box.translate(0, 20, 0).render_mesh(out, dxfattribs={"layer": "SURFACES"})
    smooth = box.translate(0, 20, 0).render_mesh(out, dxfattribs={"layer": "SURFACES"})
    smooth.dxf.subdivision_levels = 2
    out.add_ellipse((20, 80), (30, 10), 0.4, dxfattribs=on("ELLIPSES"))
    out.add_ellipse((20, 80), (30, 10), 0.6, 0.5, 4.0, dxfattribs=on("ELLIPSES"))
    points = [(0, 0), (10, 20), (30, -10), (40, 5), (60, 30), (70, 0)]
    out.add_open_spline(points, degree=3, dxfattribs={"layer": "SPLINES"})
    out.add_rational_spline(points, [1, 2, 1, 3, 1, 1], degree=2, dxfattribs={"layer": "SPLINES"})
    out.add_mtext("{\\fArial;ROOM\\P101} \\H0.5x;A", dxfattribs={"layer": "TEXTS", "insert": (5, 95), "char_height": 3})
    ring = out.add_hatch(color=1, dxfattribs=on("HATCHES"))
    ring.paths.add_polyline_path([(0, 0), (40, 0, 0.4), (40, 20), (0, 20)], is_closed=True)
    ring.paths.add_polyline_path([(10, 5), (20, 5), (20, 10)], is_closed=True)
    edges = out.add_hatch(dxfattribs=on("HATCHES"))
    path = edges.paths.add_edge_path()
    path.add_line((0, 0), (30, 0))
    path.add_arc((30, 10), 10, 270, 90, ccw=True)
    path.add_arc((15, 20), 15, 0, 180, ccw=False)
    path.add_ellipse((0, 10), (0, 10), 0.5, 0, 180, ccw=True)
    path.add_ellipse((0, 10), (0, 10), 0.7, 20, 120, ccw=False)


def draw_fits(out):
    """Splines by fit points, in the same block: ezdxf lays the curve anew through the points of a stretched one."""
    points = [(100, 0), (110, 20), (130, -10), (140, 5), (160, 30), (170, 0)]
    out.add_spline(points, dxfattribs={"layer": "FITS"})
    out.add_spline([(100, 40), (130, 70), (170, 50)], dxfattribs={"layer": "FITS"})
    bent = out.add_spline([(100, 80), (150, 95), (170, 80)], dxfattribs={"layer": "FITS"})
    bent.dxf.start_tangent, bent.dxf.end_tangent = (0, 1), (1, -1)


def draw_mlines(out):
    """In a block of their own that is only turned: ezdxf makes the offsets of a mirrored MLINE anew, on the other side, and keeps those of a scaled one."""
    out.add_mline([(0, 100), (80, 100), (80, 140)], dxfattribs={"layer": "MLINES", "scale_factor": 5.5})
    out.add_mline(
        [(0, 150), (40, 150), (60, 190), (0, 190)],
        close=True,
        dxfattribs={"layer": "MLINES", "scale_factor": 3.5, "justification": 1},
    )


def drawing(version):
    doc = ezdxf.new(version)
    old = version == "R12"
    if not old:
        doc.header["$INSUNITS"] = 1
    for name, normal in (("UP", UP), ("DOWN", DOWN)):
        block = doc.blocks.new(name, base_point=(3, 4))
        draw(block, old, normal)
        block.add_attdef("NO", (1, 2), dxfattribs={"height": 2, "layer": "TEXTS"})
    outer = doc.blocks.new("OUTER")
    outer.add_blockref("UP", (10, 0), {"layer": "0", "rotation": 30, "xscale": -1})
    outer.add_blockref("DOWN", (0, 200), {"layer": "INNER", "yscale": 2, "xscale": 2})
    msp = doc.modelspace()
    if not old:
        multi = doc.blocks.new("MULTI")
        for out in (msp, multi):
            draw_mlines(out)
            draw_fits(out)
        msp.add_blockref("MULTI", (0, 5000), {"rotation": 30})
    draw(msp, old, UP)
    draw(msp, old, DOWN)
    places = [
        ("UP", {}),
        ("UP", {"rotation": 90}),
        ("UP", {"xscale": -1}),
        ("DOWN", {"xscale": 2, "yscale": 2, "rotation": 45}),
        ("UP", {"extrusion": DOWN, "rotation": 20}),
        ("UP", {"xscale": 2, "yscale": 0.5}),
        ("DOWN", {"xscale": -3, "yscale": 1, "rotation": 10}),
        ("OUTER", {"rotation": -60}),
        ("OUTER", {"xscale": 0.5, "yscale": 0.5, "extrusion": DOWN}),
        ("UP", {"row_count": 2, "column_count": 3, "row_spacing": 250, "column_spacing": 180, "rotation": 15}),
    ]
    for i, (name, attribs) in enumerate(places):
        insert = msp.add_blockref(name, (1000 * (i + 1), 37.5 * i), {"layer": f"PLACE-{i}", **attribs})
        insert.add_attrib("NO", str(100 + i), (1000 * (i + 1), 5), dxfattribs={"height": 2, "layer": "TEXTS"})
    if not old:
        msp.add_linear_dim(base=(0, -20), p1=(0, 0), p2=(120, 0)).render()
    return doc


def main():
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    for version in ("R12", "R2000", "R2004", "R2007", "R2013", "R2018"):
        doc = drawing(version)
        doc.saveas(folder / f"all_{version}.dxf")
        if version in ("R12", "R2000", "R2018"):
            doc.saveas(folder / f"all_{version}_binary.dxf", fmt="bin")


main()
