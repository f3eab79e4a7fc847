"""The rows of every table, as lists of dicts have them; the columns of a frame have the same names.

Names say the unit: _nm whole nanometres (exact), _in inches, _deg degrees, _text as printed. Places are in the plan's own
frame. Ids (W3, R2, J7, P12 ...) are those of plan.json.
"""

from typing import TypedDict


class StoreyRow(TypedDict):
    """A floor of the building, lowest first. `elevation` is above the project's zero."""

    storey: str
    name: str
    elevation_nm: int
    elevation_in: float


class DrawnWallRow(TypedDict):
    """A wall as read, by its framing centreline. Heights are above the storey; `top` is at the wall's start, and `rise` how much
    higher it is at the end. None where nothing tells."""

    storey: str
    start_x_nm: int
    start_x_in: float
    start_y_nm: int
    start_y_in: float
    end_x_nm: int
    end_x_in: float
    end_y_nm: int
    end_y_in: float
    length_nm: int
    length_in: float
    length_text: str
    section: str
    width_nm: int
    width_in: float
    drawn_thickness_nm: int
    drawn_thickness_in: float
    base_nm: int
    base_in: float
    top_nm: int
    top_in: float
    rise_nm: int
    rise_in: float
    exterior: bool | None
    bearing: bool | None
    openings: int
    entities: list[str]
    layers: list[str]


class WallRow(TypedDict):
    """A wall whose ends have been brought to nodes. Otherwise as DrawnWallRow."""

    wall: str
    run: str
    storey: str
    start_x_nm: int
    start_x_in: float
    start_y_nm: int
    start_y_in: float
    end_x_nm: int
    end_x_in: float
    end_y_nm: int
    end_y_in: float
    length_nm: int
    length_in: float
    length_text: str
    section: str
    width_nm: int
    width_in: float
    drawn_thickness_nm: int
    drawn_thickness_in: float
    base_nm: int
    base_in: float
    top_nm: int
    top_in: float
    rise_nm: int
    rise_in: float
    exterior: bool
    bearing: bool | None


class OpeningRow(TypedDict):
    """A hole in a wall: "door", "window" or "opening", by stations from the wall's start."""

    wall: str
    kind: str
    from_nm: int
    from_in: float
    to_nm: int
    to_in: float
    width_nm: int
    width_in: float
    entities: list[str]


class SourceRow(TypedDict):
    """An entity of the drawing that a wall came from: DXF handle and layer, or IFC GlobalId and class."""

    wall: str
    entity: str
    layer: str


class RunRow(TypedDict):
    """A straight chain of walls of one section, one base and one top."""

    run: str
    storey: str
    start_x_nm: int
    start_x_in: float
    start_y_nm: int
    start_y_in: float
    end_x_nm: int
    end_x_in: float
    end_y_nm: int
    end_y_in: float
    length_nm: int
    length_in: float
    length_text: str
    section: str
    width_nm: int
    width_in: float
    base_nm: int
    base_in: float
    top_nm: int
    top_in: float
    rise_nm: int
    rise_in: float
    walls: list[str]
    start_junction: str
    end_junction: str


class JunctionRow(TypedDict):
    """A place where runs meet or end: "L", "T", "X", "inline", "end" or "other". `step` is the difference of their tops."""

    junction: str
    storey: str
    at_x_nm: int
    at_x_in: float
    at_y_nm: int
    at_y_in: float
    kind: str
    runs: list[str]
    angle_deg: float
    step_nm: int
    step_in: float


class ArmRow(TypedDict):
    """A run at a junction: it has its "start" or "end" there or passes "through"."""

    junction: str
    run: str
    at: str


class PieceRow(TypedDict):
    """A plate to cut. `length` is as cut, long point to long point, and `length_text` as printed (upper plates are rounded down);
    `from` and `to` are stations on the run, `z` its underside above the storey. `z_end` and `edge` (along one face) only on a slope. Cuts
    are degrees between cut and length, 90 = square; tilts of the blade, 90 = upright. `outline_nm` is the plan polygon, counter-clockwise."""

    piece: str
    mark: str
    run: str
    storey: str
    layer: str
    section: str
    treated: bool
    length_nm: int
    length_in: float
    length_text: str
    width_nm: int
    width_in: float
    from_nm: int
    from_in: float
    to_nm: int
    to_in: float
    z_nm: int
    z_in: float
    z_end_nm: int | None
    z_end_in: float | None
    edge_nm: int | None
    edge_in: float | None
    start_cut_deg: float
    start_tilt_deg: float
    start_against: str
    end_cut_deg: float
    end_tilt_deg: float
    end_against: str
    outline_nm: list[tuple[int, int]]


class NotchRow(TypedDict):
    """A bite out of a piece's edge, by stations from the piece's start; `stem` is the run that ties in there."""

    piece: str
    from_nm: int
    from_in: float
    to_nm: int
    to_in: float
    depth_nm: int
    depth_in: float
    side: str
    stem: str


class MarkRow(TypedDict):
    """A pencil mark on a piece: "stud", "king", "trimmer", "tee", "corner", "opening", "anchor"."""

    piece: str
    kind: str
    at_nm: int
    at_in: float


class NailRow(TypedDict):
    """Nails at one station of a piece, driven into the "floor", a "stud" or the "plate" below."""

    piece: str
    nail: str
    count: int
    at_nm: int
    at_in: float
    into: str


class TieRow(TypedDict):
    """What holds two runs together at a junction: "lap", "notch", "strap", "screw" or "none"."""

    junction: str
    kind: str
    pieces: list[str]
    overlap_nm: int
    overlap_in: float
    hardware: str


class JointRow(TypedDict):
    """A place where a layer of a run is interrupted ("break", "lap-gap") or has its "end". `offset` is the clear distance to the
    nearest joint of the other top layer."""

    run: str
    layer: str
    kind: str
    at_nm: int
    at_in: float
    half_gap_nm: int
    half_gap_in: float
    on_stud: bool
    offset_nm: int | None
    offset_in: float | None


class BoardRow(TypedDict):
    """A board: to buy (`bought_ft`), or on hand (`on_hand`, the yard's label). `pieces` in cutting order."""

    board: str
    section: str
    treated: bool
    length_nm: int
    length_in: float
    bought_ft: int | None
    on_hand: str | None
    pieces: list[str]
    offcut_nm: int
    offcut_in: float


class StockRow(TypedDict):
    """Boards of one lumber summed, and the least length that any choice of boards buys."""

    section: str
    treated: bool
    boards: int
    on_hand: int
    bought_nm: int
    bought_in: float
    used_nm: int
    used_in: float
    lower_bound_nm: int
    lower_bound_in: float
    lower_bound_boards: int
    cost_hundredths: int | None
    lower_bound_cost_hundredths: int | None


class FastenerRow(TypedDict):
    """Nails or hardware of one kind, for one purpose."""

    nail: str
    count: int
    purpose: str


class RuleRow(TypedDict):
    """A rule in force and its source."""

    text: str
    source: str


class CheckRow(TypedDict):
    """A line of the verifier's proof; each breach has a finding."""

    item: int
    what: str
    looked_at: int
    breaches: int


class FindingRow(TypedDict):
    """A finding, flat. `at` is None where it is no place."""

    code: str
    severity: str
    message: str
    title: str
    subject: str
    at_x_nm: int | None
    at_x_in: float | None
    at_y_nm: int | None
    at_y_in: float | None
    entities: list[str]


class IgnoredRow(TypedDict):
    """Entities that were not used, for one reason; a few by handle or id."""

    reason: str
    count: int
    sample: list[str]


class Ledger(TypedDict):
    """What became of every entity: used + ignored = read."""

    entities_read: int
    used: int
    ignored: list[IgnoredRow]


class GraphSummary(TypedDict):
    """How walls hang together. A near miss is a free end just short of another wall."""

    storeys: int
    walls: int
    runs: int
    junctions: int
    junctions_by_kind: dict[str, int]
    near_misses: int
    wall_length_nm: int
    wall_length_in: float
    wall_length_text: str
