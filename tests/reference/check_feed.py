"""Judges the saw's files and the tables of a subdivision: CSV, Parquet and their JSON Schema.

    python check_feed.py PROGRAM DRAWING FOLDER

PROGRAM (platewright) plans DRAWING for lots whose names and groups are what spreadsheets spoil (leading zeros, fractions,
formulas, other alphabets), in two forms: the usual one, and millimetres with decimal commas. FOLDER is written anew.
Outside sources: jsonschema validates every row; pandas and DuckDB load every CSV; pyarrow and DuckDB load every Parquet file;
LibreOffice, where it is installed, loads the CSV files and gives them back as XLSX, which openpyxl reads. Everything must
hold cell by cell what the CSV says to Python's own csv module. Exits with 1 when anything differs.
"""

import csv
import datetime
import json
import math
import shutil
import subprocess
import sys
import time
from pathlib import Path

import duckdb
import openpyxl
import pandas
import pyarrow
import pyarrow.parquet
from jsonschema import Draft202012Validator

LOTS = [
    ("007", "3/4", "2027-03-31"),
    ("=1+1", "=SUM(A1:A9)", ""),
    ("-2+3", "-5", ""),
    ("Größe 平 ½", "Žluťoučký; \"kůň\"", "2027-04-01"),
    ("1e5", "0012", ""),
    ("Lot 1, north", "@x", ""),
]
PROJECT = "+cmd|' /C calc'!A0"
FORMS = {"point": [], "comma": ["--feed-unit", "mm", "--feed-decimal", "comma"]}
# Free text: a spreadsheet that guesses may take it for a number or a date. All other columns must survive guessing.
FREE = {"lot", "group", "name", "project", "due"}

# Tables that LibreOffice also loads with their text columns marked as text.
MARKED = ["point/cuts", "point/lots", "point/review", "comma/cuts", "comma/lots"]

differences = []
expected = False


def differ(where, what):
    differences.append(f"{where}: {what}")
    if len(differences) <= 20 and not expected:
        print(f"DIFFERENT {where}: {what}")


class Table:
    """A CSV file as Python's csv module has it, in its form."""

    def __init__(self, path, comma):
        self.path, self.comma, self.separator = path, comma, ";" if comma else ","
        text = path.read_bytes().decode("utf-8")
        assert not text.startswith("\ufeff") and text.endswith("\r\n"), path
        rows = list(csv.reader(text.splitlines(keepends=True), delimiter=self.separator, strict=True))
        self.columns, self.rows = rows[0], rows[1:]
        assert all(len(r) == len(self.columns) for r in self.rows), path
        for row in self.rows:
            for cell in row:
                if cell[:1] in "=+-@\t\r＝＋－＠" and cell[:1] and not number(cell, comma):
                    differ(path, f"{cell!r} would be run as a formula")

    def cells(self):
        for i, row in enumerate(self.rows):
            yield from ((i, c, cell) for c, cell in zip(self.columns, row))


def number(text, comma):
    try:
        return math.isfinite(float(text.replace(",", ".") if comma else text))
    except ValueError:
        return False


def value(text, comma):
    return None if text == "" else float(text.replace(",", ".") if comma else text)


def same(got, wanted):
    return got is None if wanted is None else got is not None and math.isclose(float(got), wanted, rel_tol=1e-15)


def run(*command):
    subprocess.run([str(c) for c in command], check=True, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)


def make(program, drawing, folder):
    shutil.rmtree(folder, ignore_errors=True)
    (folder / "in").mkdir(parents=True)
    shutil.copy(drawing, folder / "in" / drawing.name)
    with open(folder / "in" / "lots.csv", "w", encoding="utf-8", newline="") as file:
        lists = csv.writer(file)
        lists.writerow(["lot", "group", "due", "file", "mirror"])
        for i, (lot, group, due) in enumerate(LOTS):
            lists.writerow([lot, group, due, drawing.name, "xy"[i % 2]])
    for form, flags in FORMS.items():
        run(program, "batch", folder / "in" / "lots.csv", "-o", folder / form, "--project", PROJECT, "--pool", "--parquet", *flags)
        run(program, "plan", drawing, "-o", folder / f"plan-{form}", "--lot", "=7", "--parquet", *flags)


def by_parquet(table, path):
    """pyarrow and DuckDB against the CSV; the names of the number columns."""
    whole = pyarrow.parquet.read_table(path)
    if whole.column_names != table.columns or whole.num_rows != len(table.rows):
        return differ(path, f"columns {whole.column_names}, {whole.num_rows} rows")
    by_duck = duckdb.sql(f"select * from read_parquet('{path}')").fetchall()
    numbers = set()
    for at, column in enumerate(table.columns):
        kind = whole.schema.field(column).type
        if kind in (pyarrow.int64(), pyarrow.float64()):
            numbers.add(column)
        elif kind != pyarrow.string():
            differ(path, f"{column} is {kind}")
        for i, got in enumerate(whole.column(column).to_pylist()):
            text, duck = table.rows[i][at], by_duck[i][at]
            if column in numbers:
                wanted = value(text, table.comma)
                good = same(got, wanted) and same(duck, wanted)
            else:
                good = got == duck == text
            if not good:
                differ(path, f"row {i + 1}, {column}: {got!r} and {duck!r} for {text!r}")
    return numbers


def by_pandas(table, numbers):
    usual = {"sep": table.separator, "decimal": "," if table.comma else "."}
    text = pandas.read_csv(table.path, dtype=str, keep_default_na=False, sep=table.separator)
    typed = pandas.read_csv(table.path, dtype={c: str for c in table.columns if c not in numbers}, keep_default_na=False, na_values={c: [""] for c in numbers}, **usual)
    guessed = pandas.read_csv(table.path, **usual)
    for i, column, cell in table.cells():
        if text.at[i, column] != cell:
            differ(f"pandas {table.path}", f"{text.at[i, column]!r} for {cell!r}")
        if column in numbers:
            for frame in (typed, guessed):
                got = None if pandas.isna(frame.at[i, column]) else frame.at[i, column]
                if not same(got, value(cell, table.comma)):
                    differ(f"pandas {table.path}", f"row {i + 1}, {column}: {got!r} for {cell!r}")
        elif typed.at[i, column] != cell:
            differ(f"pandas {table.path}", f"row {i + 1}, {column}: {typed.at[i, column]!r} for {cell!r}")
        elif column not in FREE and cell and str(guessed.at[i, column]) != cell:
            differ(f"pandas, guessing, {table.path}", f"row {i + 1}, {column}: {guessed.at[i, column]!r} for {cell!r}")


def by_duckdb(table, numbers):
    name = str(table.path).replace("'", "''")
    form = f"delim='{table.separator}', header=true, quote='\"', decimal_separator='{',' if table.comma else '.'}'"
    text = duckdb.sql(f"select * from read_csv('{name}', all_varchar=true, delim='{table.separator}', header=true, quote='\"')")
    types = {c: "DOUBLE" if c in numbers else "VARCHAR" for c in table.columns}
    typed = duckdb.sql(f"select * from read_csv('{name}', {form}, columns={types!r})")
    if text.columns != table.columns:
        return differ(f"DuckDB {table.path}", f"columns {text.columns}")
    text, typed = text.fetchall(), typed.fetchall()
    if len(text) != len(table.rows):
        return differ(f"DuckDB {table.path}", f"{len(text)} rows")
    for i, row in enumerate(table.rows):
        for at, (column, cell) in enumerate(zip(table.columns, row)):
            good = (text[i][at] or "") == cell
            good &= same(typed[i][at], value(cell, table.comma)) if column in numbers else (typed[i][at] or "") == cell
            if not good:
                differ(f"DuckDB {table.path}", f"row {i + 1}, {column}: {text[i][at]!r}, {typed[i][at]!r} for {cell!r}")


def by_libreoffice(office, tables, numbers, folder):
    """Tables as XLSX as the program guesses, all of a folder at once; some also with their text columns marked as text."""
    profile = f"-env:UserInstallation=file://{folder.resolve()}/profile"

    def load(to, paths, comma, marks=""):
        options = f"{59 if comma else 44},34,76,1,{marks},{1031 if comma else 1033},false,true"  # German, US English
        run(office, profile, "--headless", "--convert-to", "xlsx", f"--infilter=CSV:{options}", "--outdir", to, *paths)

    for place in sorted({name.split("/")[0] for name in tables}):
        own = {name: t for name, t in tables.items() if name.split("/")[0] == place}
        to = folder / "office" / place
        load(to, [t.path for t in own.values()], place.endswith("comma"))
        for name, table in own.items():
            by_sheet(f"LibreOffice, guessing, {name}", to / f"{table.path.stem}.xlsx", table, numbers[name], FREE)
    for name in MARKED:
        table, to = tables[name], folder / "office" / "marked" / name.split("/")[0]
        marks = "/".join(f"{i}/{1 if c in numbers[name] else 2}" for i, c in enumerate(table.columns, 1))
        load(to, [table.path], table.comma, marks)
        by_sheet(f"LibreOffice {name}", to / f"{table.path.stem}.xlsx", table, numbers[name], set())


def by_sheet(where, path, table, numbers, free):
    sheet = openpyxl.load_workbook(path).active
    if sheet.max_row != 1 + len(table.rows):
        differ(where, f"{sheet.max_row} rows")
    for i, row in enumerate([table.columns, *table.rows]):
        for at, (column, cell) in enumerate(zip(table.columns, row)):
            got = sheet.cell(i + 1, at + 1)
            if got.data_type == "f":
                differ(where, f"{cell!r} became a formula")
            elif i > 0 and column in numbers:
                if not same(got.value, value(cell, table.comma)):
                    differ(where, f"row {i}, {column}: {got.value!r} for {cell!r}")
            elif (column not in free or i == 0) and shown(got.value) != cell:
                differ(where, f"row {i}, {column}: {got.value!r} for {cell!r}")


def shown(got):
    if isinstance(got, datetime.datetime):
        return got.date().isoformat()
    return "" if got is None else str(got)


def by_schema(program, folder):
    """Every row of every lot, as the schema's own description makes an object of it."""
    schema = json.loads(subprocess.run([program, "schema", "--feed"], check=True, capture_output=True).stdout)
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)

    def objects(table, row_kind):
        fields = schema["$defs"][row_kind]["properties"]
        kinds = {c: fields[c].get("type", "string") for c in table.columns if c in fields}
        is_number = {c for c, k in kinds.items() if {"integer", "number"} & set([k] if isinstance(k, str) else k)}
        whole = {c for c in is_number if "integer" in kinds[c]}

        def cell(column, text):
            got = value(text, table.comma) if column in is_number else text
            return int(got) if column in whole and got is not None else got

        return [{c: cell(c, text) for c, text in zip(table.columns, row)} for row in table.rows]

    rows = 0
    for form in FORMS:
        comma = form == "comma"
        folders = [folder / f"plan-{form}"] + [f.parent for f in (folder / form).glob("*/lot.json")]
        assert len(folders) == 1 + len(LOTS), folders
        for lot in folders:
            feed = {
                "cuts.csv": objects(Table(lot / "cuts.csv", comma), "cuts_row"),
                "cuts-grouped.csv": objects(Table(lot / "cuts-grouped.csv", comma), "cuts_grouped_row"),
                "stock.csv": objects(Table(lot / "stock.csv", comma), "stock_row"),
                "result.csv": objects(Table(lot / "stock.csv", comma), "result_row"),
            }
            rows += sum(len(r) for r in feed.values())
            for error in validator.iter_errors(feed):
                differ(f"schema {lot}", f"{error.json_path}: {error.message}")
            feed["cuts.csv"][0]["layer"] = "middle"
            assert not validator.is_valid(feed), "the schema lets a wrong layer pass"
        pooled = objects(Table(folder / form / "pool-stock.csv", comma), "result_row")
        for error in validator.iter_errors({"result.csv": pooled}):
            differ(f"schema {form} pool-stock.csv", f"{error.json_path}: {error.message}")
    return rows


def main():
    program, drawing, folder = Path(sys.argv[1]).resolve(), Path(sys.argv[2]), Path(sys.argv[3])
    make(program, drawing, folder)
    print(f"{by_schema(program, folder)} rows hold to the schema of the feed")
    tables, numbers = {}, {}
    for form in FORMS:
        for place in (folder / form, folder / f"plan-{form}"):
            for path in sorted(place.glob("*.parquet")):
                table = Table(path.with_suffix(".csv"), form == "comma")
                name = f"{place.name}/{path.stem}"
                tables[name], numbers[name] = table, by_parquet(table, path) or set()
                by_pandas(table, numbers[name])
                by_duckdb(table, numbers[name])
    assert len(tables) == 2 * (8 + 2), list(tables)
    lots = {row[0] for row in tables["point/lots"].rows}
    assert lots == {lot if lot[0] not in "=-" else f"'{lot}" for lot, _, _ in LOTS}, lots
    cells = sum(len(t.rows) * len(t.columns) for t in tables.values())
    print(f"{len(tables)} tables, {cells} cells: the same in pandas, DuckDB, pyarrow")
    office = shutil.which("soffice") or shutil.which("libreoffice")
    if office:
        start = time.time()
        by_libreoffice(office, tables, numbers, folder)
        print(f"{len(tables)} tables loaded by LibreOffice in {time.time() - start:.0f} s")
    else:
        print("skipped: no LibreOffice")
    # The judge must be able to say no.
    global expected
    found, expected = len(differences), True
    broken = tables["point/cuts"]
    broken.rows[0] = [f"{cell}0" for cell in broken.rows[0]]
    by_parquet(broken, broken.path.with_suffix(".parquet"))
    by_pandas(broken, numbers["point/cuts"])
    by_duckdb(broken, numbers["point/cuts"])
    assert len(differences) > found + 3, "damage was not noticed"
    if found:
        print(f"{found} differences")
        sys.exit(1)


main()
