"""platewright: reads the walls of an architect's DXF or IFC file and plans their wooden plates.

    import platewright
    plan = platewright.read_drawing("house.dxf").plan()
    for piece in plan.pieces():
        print(piece["mark"], piece["length_text"])

Lengths are whole nanometres (names end in _nm; exact, 25 400 000 to the inch), inches (_in) and the text that
is printed (_text). The plan is an aid, not a design: the adopted local code, the stamped drawings and the building
official decide.
"""

from platewright._native import VERSION as __version__
from platewright._native import Drawing, Plan, read_drawing, read_drawing_bytes
from platewright.findings import Finding, Refused

__all__ = [
    "Drawing",
    "Finding",
    "Plan",
    "Refused",
    "__version__",
    "read_drawing",
    "read_drawing_bytes",
]
