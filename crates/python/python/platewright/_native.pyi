"""The compiled half of platewright. Import from platewright itself."""

from os import PathLike as _PathLike
from typing import Any, Final, final

from pandas import DataFrame

from platewright.findings import Finding
from platewright.rows import (
    ArmRow,
    BoardRow,
    CheckRow,
    DrawnWallRow,
    FastenerRow,
    GraphSummary,
    JointRow,
    JunctionRow,
    Ledger,
    MarkRow,
    NailRow,
    NotchRow,
    OpeningRow,
    PieceRow,
    RuleRow,
    RunRow,
    SourceRow,
    StockRow,
    StoreyRow,
    TieRow,
    WallRow,
)

__all__ = ["VERSION", "Drawing", "Plan", "read_drawing", "read_drawing_bytes"]

VERSION: Final[str]

def read_drawing(
    path: str | _PathLike[str],
    *,
    settings: str | _PathLike[str] | None = None,
    settings_toml: str | None = None,
    units: str | None = None,
    overrides: str | _PathLike[str] | None = None,
) -> Drawing:
    """Reads a drawing from a .dxf, .ifc or .ifczip file.

    settings: path of a settings file (TOML); settings_toml: its text instead.
    units: unit of the drawing, whatever the file says: "in", "ft", "mm", "cm" or "m".
    overrides: path of a reviewer's edits (TOML).

    Raises Refused when the drawing, the settings or the edits cannot be read as such, OSError when a file cannot be
    opened, ValueError for arguments that do not go together.
    """

def read_drawing_bytes(
    data: bytes,
    file_name: str,
    *,
    settings: str | _PathLike[str] | None = None,
    settings_toml: str | None = None,
    units: str | None = None,
    overrides: str | _PathLike[str] | None = None,
) -> Drawing:
    """Reads a drawing that is already in memory; file_name is for messages and plan.json, without a folder."""

@final
class Drawing:
    """A drawing that was read: its walls before anything is planned."""

    TABLES: Final[tuple[str, ...]]
    """Names that table() and frame() take."""
    @property
    def file_name(self) -> str:
        """The file's name alone."""
    @property
    def sha256(self) -> str:
        """SHA-256 of the file, lower-case hex."""
    @property
    def format(self) -> str:
        """"dxf" or "ifc"."""
    @property
    def version(self) -> str:
        """The file's version, as it says."""
    @property
    def units(self) -> str:
        """The drawing's unit: "in", "ft", "mm", "cm", "m", or the file's own word for a rarer one."""
    @property
    def inches_per_unit(self) -> float:
        """Inches in one unit of the drawing."""
    @property
    def units_decided_by(self) -> str:
        """What decided the unit, in one sentence."""
    @property
    def origin_in(self) -> tuple[float, float]:
        """What was taken off the drawing's coordinates, inches."""
    @property
    def findings(self) -> list[Finding]:
        """What the reader has to say, in the order found."""
    def storeys(self) -> list[StoreyRow]:
        """The storeys, lowest first."""
    def walls(self) -> list[DrawnWallRow]:
        """The walls as read, by their framing centreline, before ends are brought together."""
    def table(self, name: str) -> list[dict[str, Any]]:
        """The rows of a table, one of TABLES. Raises KeyError for another name."""
    def frame(self, name: str) -> DataFrame:
        """A table, one of TABLES, as a pandas DataFrame. Raises ModuleNotFoundError without pandas."""
    def ledger(self) -> Ledger:
        """What became of every entity of the drawing."""
    def graph_summary(self) -> GraphSummary:
        """How the walls hang together, without a reviewer's edits."""
    def plan(self) -> Plan:
        """Plans the plates. Other Python threads run meanwhile. Raises Refused when no wall can be planned."""

@final
class Plan:
    """A plan of one drawing's plates, proven by the program's verifier."""

    TABLES: Final[tuple[str, ...]]
    """Names that table() and frame() take."""
    @property
    def file_name(self) -> str:
        """The drawing's file name alone."""
    @property
    def sha256(self) -> str:
        """SHA-256 of the drawing, lower-case hex."""
    @property
    def origin_in(self) -> tuple[float, float]:
        """What was taken off the drawing's coordinates, inches."""
    @property
    def findings(self) -> list[Finding]:
        """Everything a person should know: errors first, then warnings, then notes."""
    @property
    def has_errors(self) -> bool:
        """Whether a wall is left out or a tie could not be made: the command line's exit status 1."""
    def storeys(self) -> list[StoreyRow]:
        """The storeys, lowest first."""
    def walls(self) -> list[WallRow]:
        """The walls, their ends brought to nodes."""
    def openings(self) -> list[OpeningRow]:
        """Doors, windows and other openings, by wall."""
    def sources(self) -> list[SourceRow]:
        """The drawing's entities that each wall came from."""
    def runs(self) -> list[RunRow]:
        """Straight chains of walls of one section, base and top."""
    def junctions(self) -> list[JunctionRow]:
        """Places where runs meet or end."""
    def arms(self) -> list[ArmRow]:
        """The runs at each junction."""
    def pieces(self) -> list[PieceRow]:
        """The plates to cut."""
    def notches(self) -> list[NotchRow]:
        """Bites out of pieces' edges, by piece."""
    def marks(self) -> list[MarkRow]:
        """Pencil marks on pieces, by piece."""
    def nails(self) -> list[NailRow]:
        """Nails, by piece."""
    def ties(self) -> list[TieRow]:
        """What holds runs together at junctions, and splice plates along runs."""
    def joints(self) -> list[JointRow]:
        """Places where a layer of a run is interrupted or ends."""
    def boards(self) -> list[BoardRow]:
        """Boards and what is cut from each."""
    def stock(self) -> list[StockRow]:
        """Boards to buy, summed by lumber."""
    def fasteners(self) -> list[FastenerRow]:
        """Nails and hardware, summed by purpose."""
    def rules(self) -> list[RuleRow]:
        """The rules in force, each with its source."""
    def checks(self) -> list[CheckRow]:
        """What the verifier proved."""
    def table(self, name: str) -> list[dict[str, Any]]:
        """The rows of a table, one of TABLES. Raises KeyError for another name."""
    def frame(self, name: str) -> DataFrame:
        """A table, one of TABLES, as a pandas DataFrame. Raises ModuleNotFoundError without pandas."""
    def ledger(self) -> Ledger:
        """What became of every entity of the drawing."""
    def graph_summary(self) -> GraphSummary:
        """How the walls hang together: walls, runs and junctions counted."""
    def plan_json(self) -> bytes:
        """plan.json, byte for byte as the command line writes it."""
    def files(self, *, project: str = "", lot: str | None = None) -> dict[str, bytes]:
        """The files of the command line's `plan`, name to bytes. lot left out is the file's name without its ending.
        Nothing is written to disk.
        """
