"""Reads a drawing, plans its plates, and prints what a yard and a crew ask for.

    python plan_a_house.py house.dxf house.toml out
"""

import sys
from pathlib import Path

import platewright


def main(drawing_path: str, settings_path: str, out: str) -> int:
    try:
        drawing = platewright.read_drawing(drawing_path, settings=settings_path)
        plan = drawing.plan()
    except platewright.Refused as refused:
        for finding in refused.findings:
            print(f"{finding.code}: {finding.message}\n  {finding.remedy}", file=sys.stderr)
        return 2

    graph = plan.graph_summary()
    corners = graph["junctions_by_kind"].get("L", 0)
    print(f"{drawing.file_name}: {graph['walls']} walls, {graph['wall_length_text']}, {corners} corners")

    longest = max(plan.pieces(), key=lambda piece: piece["length_nm"])
    print(f"longest piece: {longest['mark']}, {longest['section']}, {longest['length_text']}")

    # With pandas: the length of plates to cut, by section and layer, in feet.
    pieces = plan.frame("pieces")
    feet = pieces.groupby(["section", "layer"])["length_nm"].sum() / (12 * 25_400_000)
    print(feet.round(1).to_string())

    for finding in plan.findings:
        if finding.severity != "note":
            print(finding)

    # The very bytes that the command line writes.
    folder = Path(out)
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in plan.files(project="Willow Bend").items():
        (folder / name).write_bytes(content)
    return 1 if plan.has_errors else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:4]))
