"""The plan as Python sees it."""

import json
import pickle
import subprocess
import sys
import threading
import time
import types
import typing
from pathlib import Path

import pandas
import pytest

import platewright
from platewright import rows

FIXTURES = Path(__file__).resolve().parents[3] / "fixtures"
ROW_OF_TABLE = {
    "storeys": rows.StoreyRow, "walls": rows.WallRow, "openings": rows.OpeningRow, "sources": rows.SourceRow,
    "runs": rows.RunRow, "junctions": rows.JunctionRow, "arms": rows.ArmRow, "pieces": rows.PieceRow,
    "notches": rows.NotchRow, "marks": rows.MarkRow, "nails": rows.NailRow, "ties": rows.TieRow,
    "joints": rows.JointRow, "boards": rows.BoardRow, "stock": rows.StockRow, "fasteners": rows.FastenerRow,
    "rules": rows.RuleRow, "checks": rows.CheckRow, "findings": rows.FindingRow,
}
RAKED = '[[layers]]\nmatch = "A-WALL*"\nuse = "wall"\nrise_in_12 = 5\nuphill = "inward-y"\n'


@pytest.fixture(scope="module")
def plan(demo):
    return platewright.read_drawing(demo / "willow-bend.dxf", settings=demo / "demo.toml").plan()


def is_of(value, hint):
    """Whether a value is of an annotated type, down to the items of lists and tuples. A bool is no int here."""
    origin, args = typing.get_origin(hint), typing.get_args(hint)
    if origin is types.UnionType:
        return any(is_of(value, arg) for arg in args)
    if origin is list:
        return type(value) is list and all(is_of(item, args[0]) for item in value)
    if origin is tuple:
        return type(value) is tuple and len(value) == len(args) and all(map(is_of, value, args))
    if origin is dict:
        return type(value) is dict and all(is_of(k, args[0]) and is_of(v, args[1]) for k, v in value.items())
    if typing.is_typeddict(hint):
        hints = typing.get_type_hints(hint)
        return list(value) == list(hints) and all(is_of(value[key], hint) for key, hint in hints.items())
    return type(value) is hint


@pytest.mark.parametrize(
    ("drawing", "toml", "flags"),
    [
        ("demo/willow-bend.dxf", None, ["--settings", "demo/demo.toml"]),
        ("demo/willow-bend.ifc", None, ["--settings", "demo/demo.toml"]),
        ("demo/willow-bend.dxf", 'mirror = "x"\n[plates]\nexterior_tee = "lap"\n', ["--mirror", "x", "--exterior-tee", "lap"]),
        ("guide/shed.dxf", None, []),
    ],
)
def test_every_file_is_the_command_lines_byte_for_byte(program, tmp_path, drawing, toml, flags):
    flags = [str(FIXTURES / f) if f.endswith(".toml") else f for f in flags]
    ran = subprocess.run(
        [program, "plan", FIXTURES / drawing, "-o", tmp_path, *flags], capture_output=True, check=False
    )
    settings = flags[1] if flags[:1] == ["--settings"] else None
    here = platewright.read_drawing(FIXTURES / drawing, settings=settings, settings_toml=toml).plan()
    assert ran.returncode == (1 if here.has_errors else 0), ran.stderr
    files = here.files()
    assert sorted(files) == sorted(path.name for path in tmp_path.iterdir())
    for name, content in files.items():
        assert content == (tmp_path / name).read_bytes(), name
    assert here.plan_json() == files["plan.json"]


def test_the_same_from_bytes(demo, plan):
    data = (demo / "willow-bend.dxf").read_bytes()
    again = platewright.read_drawing_bytes(data, "willow-bend.dxf", settings_toml=(demo / "demo.toml").read_text())
    assert again.plan().plan_json() == plan.plan_json()


def test_rows_are_as_declared(plan, demo):
    raked = platewright.read_drawing(demo / "willow-bend.dxf", settings_toml=RAKED).plan()
    assert tuple(ROW_OF_TABLE) == plan.TABLES
    for one in (plan, raked):
        for table, row_type in ROW_OF_TABLE.items():
            table_rows = one.table(table)
            assert table_rows or table in ("notches", "findings"), table
            for row in table_rows:
                assert is_of(row, row_type), (table, row)
            if table != "findings":
                assert getattr(one, table)() == table_rows
    assert any(piece["edge_nm"] is not None for piece in raked.pieces())
    assert is_of(plan.graph_summary(), rows.GraphSummary)
    assert is_of(plan.ledger(), rows.Ledger)


def test_drawing_rows_are_as_declared(demo):
    drawing = platewright.read_drawing(demo / "willow-bend.ifc")
    assert drawing.TABLES == ("storeys", "walls", "findings")
    assert (drawing.format, drawing.file_name) == ("ifc", "willow-bend.ifc")
    assert drawing.walls()
    for table, row_type in (("storeys", rows.StoreyRow), ("walls", rows.DrawnWallRow), ("findings", rows.FindingRow)):
        for row in drawing.table(table):
            assert is_of(row, row_type), (table, row)
    assert is_of(drawing.graph_summary(), rows.GraphSummary)
    ledger = drawing.ledger()
    assert is_of(ledger, rows.Ledger)
    assert ledger["used"] + sum(row["count"] for row in ledger["ignored"]) == ledger["entities_read"]


def test_rows_say_what_plan_json_says(plan):
    written = json.loads(plan.plan_json())
    assert [(p["piece"], p["mark"], p["length_in"], p["length_text"]) for p in plan.pieces()] == [
        (p["id"], p["mark"], p["length_in"], p["length_text"]) for p in written["pieces"]
    ]
    for piece, other in zip(plan.pieces(), written["pieces"], strict=True):
        assert [[x / 25_400_000, y / 25_400_000] for x, y in piece["outline_nm"]] == other["outline"]
        assert (piece["from_in"], piece["to_in"], piece["z_in"]) == (other["from"], other["to"], other["z"])
        ends = [(piece[f"{e}_cut_deg"], piece[f"{e}_tilt_deg"], piece[f"{e}_against"]) for e in ("start", "end")]
        assert ends == [(e["cut_deg"], e["tilt_deg"], e["against"]) for e in other["ends"]]
    for wall, other in zip(plan.walls(), written["walls"], strict=True):
        assert [wall["start_x_in"], wall["start_y_in"]] == other["start"]
        assert [wall["end_x_in"], wall["end_y_in"]] == other["end"]
        assert (wall["top_in"], wall["bearing"], wall["exterior"]) == (other["top"], other["bearing"], other["exterior"])
    for part in ("notches", "marks", "nails"):
        assert len(plan.table(part)) == sum(len(p[part]) for p in written["pieces"])
    assert [f.message for f in plan.findings] == [f["message"] for f in written["findings"]]
    assert plan.ledger() == written["ledger"]
    kinds = [j["kind"] for j in written["junctions"]]
    assert plan.graph_summary()["junctions_by_kind"] == {k: kinds.count(k) for k in set(kinds)}
    for kind, row_key in (("boards", "pieces"),):
        assert [b[row_key] for b in plan.boards()] == [b["cuts"] for b in written["stock"][kind]]


def test_lengths_are_exact_integers(plan):
    for piece in plan.pieces():
        assert piece["length_nm"] == piece["to_nm"] - piece["from_nm"]
        assert piece["length_in"] == piece["length_nm"] / 25_400_000


def test_frames_have_the_same_columns_and_types_with_and_without_rows(plan, demo):
    data = (FIXTURES / "guide/shed.dxf").read_bytes()
    shed = platewright.read_drawing_bytes(data, "shed.dxf").plan()
    for table in plan.TABLES:
        frame = plan.frame(table)
        assert isinstance(frame, pandas.DataFrame)
        assert list(frame.columns) == list(typing.get_type_hints(ROW_OF_TABLE[table])), table
        assert len(frame) == len(plan.table(table))
        assert frame.dtypes.astype(str).tolist() == shed.frame(table).dtypes.astype(str).tolist(), table
    pieces = plan.frame("pieces")
    assert str(pieces["length_nm"].dtype) == "Int64"
    assert pieces["length_nm"].sum() == sum(p["length_nm"] for p in plan.pieces())
    assert pieces["edge_nm"].isna().all()


@pytest.mark.parametrize(
    ("data", "settings", "code"),
    [
        (b"", None, "file-empty"),
        (b"%PDF-1.7 not a drawing", None, "file-foreign"),
        (b"  0\nSECTION\n  2\nENTITIES\n  0\nENDSEC\n  0\nEOF\n", None, None),
        (b"", "no_such_key = 1\n", "settings-bad"),
    ],
)
def test_a_refusal_carries_its_findings(data, settings, code):
    with pytest.raises(platewright.Refused) as caught:
        platewright.read_drawing_bytes(data, "bad.dxf", settings_toml=settings).plan()
    findings = caught.value.findings
    assert findings and findings[0].severity == "error"
    assert code is None or findings[0].code == code
    assert findings[0].message in str(caught.value)
    assert all(f.remedy and f.title and f.meaning and f.rule for f in findings)
    again = pickle.loads(pickle.dumps(caught.value))
    assert again.findings == findings


def test_every_truncation_is_refused_or_planned(demo):
    data = (demo / "willow-bend.dxf").read_bytes()
    ends = range(0, len(data), max(1, len(data) // 40))
    outcomes = set()
    for end in ends:
        try:
            outcomes.add(bool(platewright.read_drawing_bytes(data[:end], "cut.dxf").plan().pieces()))
        except platewright.Refused as refused:
            assert all(f.code != "internal-error" for f in refused.findings)
            outcomes.add("refused")
    assert "refused" in outcomes


def test_mistakes_in_the_call_are_told(demo, tmp_path):
    house = demo / "willow-bend.dxf"
    with pytest.raises(ValueError, match="not both"):
        platewright.read_drawing(house, settings=demo / "demo.toml", settings_toml="")
    with pytest.raises(ValueError, match="in, ft, mm, cm, m"):
        platewright.read_drawing(house, units="yards")
    with pytest.raises(ValueError, match="without a folder"):
        platewright.read_drawing_bytes(b"", "a/b.dxf")
    with pytest.raises(FileNotFoundError, match="nowhere.dxf"):
        platewright.read_drawing(tmp_path / "nowhere.dxf")
    with pytest.raises(IsADirectoryError):
        platewright.read_drawing(tmp_path)
    with pytest.raises(KeyError, match="pieces"):
        platewright.read_drawing(house).plan().frame("plates")


def test_units_override_the_drawing(demo):
    inches = platewright.read_drawing(demo / "willow-bend.dxf")
    metres = platewright.read_drawing(demo / "willow-bend.dxf", units="m")
    assert (inches.units, metres.units) == ("in", "m")
    longest = [max(wall["length_in"] for wall in drawing.walls()) for drawing in (inches, metres)]
    assert longest[1] == pytest.approx(longest[0] / 0.0254, rel=1e-6)


def test_python_runs_while_a_plan_is_made(demo):
    """Python's lock is free meanwhile. Were it held, this thread would have a turn or two just before and after the plan."""
    drawing = platewright.read_drawing(demo / "willow-bend.dxf")
    begun, done = threading.Event(), threading.Event()

    def work():
        begun.set()
        drawing.plan()
        done.set()

    for _ in range(50):
        begun.clear()
        done.clear()
        turns = 0
        worker = threading.Thread(target=work)
        worker.start()
        begun.wait()
        while not done.is_set():
            time.sleep(0)
            turns += 1
        worker.join()
        if turns > 20:
            return
    pytest.fail("no turn was had while planning")


def test_plans_of_many_threads_are_equal(demo, plan):
    drawing = platewright.read_drawing(demo / "willow-bend.dxf", settings=demo / "demo.toml")
    results = []
    workers = [threading.Thread(target=lambda: results.append(drawing.plan().plan_json())) for _ in range(4)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    assert set(results) == {plan.plan_json()} and len(results) == 4


def test_a_frame_without_pandas_says_what_to_install(plan, monkeypatch):
    monkeypatch.setitem(sys.modules, "pandas", None)
    with pytest.raises(ModuleNotFoundError, match="pip install pandas"):
        plan.frame("pieces")
    assert plan.pieces()
