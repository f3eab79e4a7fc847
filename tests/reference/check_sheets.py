"""Judges the PDF sheets beside plan.json, in each folder given.

    cargo run -p sheets --example write-sheets -- DRAWING DIR [SETTINGS] [PAPER]
    python check_sheets.py DIR ...

Outside sources: PDFium (by pypdfium2) loads the files, extracts their text and draws their pages; ZXing reads
the codes from the drawn pages. Every piece must have one row in the crew tables with its length, one label whose code is its id,
and one place on the cut sheet. Every wall must say where the tape is hooked and, from there, where its openings are; every page with
nails must say what their letters mean. Every page must hold text and leave its margins white. Exits with 1 when
anything differs.
"""

import json
import re
import sys
from collections import Counter
from fractions import Fraction
from math import hypot
from pathlib import Path

import pypdfium2
import zxingcpp

# Half a margin, points: nothing is drawn nearer to the edge.
MARGIN = 18
PLAIN = re.compile(r"[\w-]+")


def texts(page):
    """Every line of text on a page, from its top, with the height of its box."""
    area = page.get_textpage()
    found = []
    for i in range(area.count_rects()):
        left, low, right, high = area.get_rect(i)
        line = area.get_text_bounded(left, low, right, high).replace("\xa0", " ").strip()
        found.append((page.get_height() - high, left, line))
    return found


def plain(text):
    return " ".join(text.replace("\xa0", " ").split())


def check_pages(pdf, name, faults):
    for n, page in enumerate(pdf):
        if not page.get_textpage().get_text_range().strip():
            faults.append(f"{name} page {n + 1}: no text")
        image = page.render(scale=0.5, grayscale=True).to_pil()
        edge = int(MARGIN * 0.5)
        w, h = image.size
        for box in ((0, 0, w, edge), (0, h - edge, w, h), (0, 0, edge, h), (w - edge, 0, w, h)):
            if image.crop(box).getextrema()[0] < 250:
                faults.append(f"{name} page {n + 1}: something in the margin")


def told(inches, metric):
    """A length as the sheets write it: whole millimetres, or feet, inches and sixteenths."""
    if metric:
        return f"{round(inches * 25.4)} mm"
    n = int(inches * 16 + 0.5)
    feet, n = divmod(n, 192)
    whole, n = divmod(n, 16)
    text = f"{whole}" if whole or feet or not n else ""
    if n:
        fraction = Fraction(n, 16)
        text = f"{text} {fraction.numerator}/{fraction.denominator}".strip()
    return f"{feet}'-{text}\"" if feet else f"{text}\""


def openings(plan):
    """Of each opening its run and the words that tell it, stations from the least station of the run's lower plates."""
    for wall in plan["walls"]:
        run = next(r for r in plan["runs"] if r["id"] == wall["run"])
        (x, y), (u, v) = run["start"], run["end"]
        length = hypot(u - x, v - y)
        along = lambda p: ((p[0] - x) * (u - x) + (p[1] - y) * (v - y)) / length
        lower = [p for p in plan["pieces"] if p["run"] == run["id"] and p["layer"] == "lower"]
        if not any(p["marks"] for p in lower):
            continue
        hook = min(along(c) for p in lower for c in p["outline"])
        for o in wall["openings"]:
            way = 1 if along(wall["end"]) >= along(wall["start"]) else -1
            ends = sorted(along(wall["start"]) + way * o[k] - hook for k in ("from", "to"))
            metric = "x" in run["section"] and int(run["section"].split("x")[0]) > 20
            # A tie between two sixteenths may go either way here.
            yield run["id"], {f"{o['kind']} {told(ends[0] + a, metric)} to {told(ends[1] + b, metric)}"
                              for a in (-1e-4, 1e-4) for b in (-1e-4, 1e-4)}


def check_layout(pdf, plan, faults):
    """Where the tape is hooked, openings, and what the letters of nails mean, on the pages of walls."""
    pages = [plain(page.get_textpage().get_text_range()) for page in pdf]
    pages = [p for p in pages if "order of work" in p[:80].lower()]
    body = " ".join(pages)
    marked = {p["run"] for p in plan["pieces"] if p["layer"] == "lower" and p["marks"]}
    hooks = body.count("Hook the tape on the left end (0): ")
    if hooks != len(marked):
        faults.append(f"crew: {len(marked)} walls are marked, {hooks} say where the tape is hooked")
    for run, words in openings(plan):
        if not any(w in body for w in words):
            faults.append(f"crew: {run}: {sorted(words)[0]} is nowhere")
    for n, page in enumerate(pages):
        if re.search(r"Nails(?: of \S+)?: \d+[a-z]", page) and "Nails: a = " not in page:
            faults.append(f"crew: page {n + 1} of the walls does not say what a is")


def check_crew(pdf, plan, faults):
    """Marks stand at the left of the tables, lengths beside them."""
    words = Counter()
    whole = []
    for page in pdf:
        body = page.get_textpage().get_text_range()
        whole.append(body)
        head = body.split("\n")[0]
        if "order of work" not in head.lower():
            continue
        left = min(x for _, x, _ in texts(page))
        # Ticking boxes and marks take the first eighth of the page.
        limit = left + page.get_width() / 8
        lines = page.get_textpage().get_text_bounded(0, 0, limit, page.get_height())
        words.update(plain(line) for line in lines.splitlines())
    body = plain(" ".join(whole))
    for p in plan["pieces"]:
        if not PLAIN.fullmatch(p["mark"]):
            continue
        if words[p["mark"]] != 1:
            faults.append(f"crew: {p['mark']} has {words[p['mark']]} rows")
        if plain(p["length_text"]) not in body:
            faults.append(f"crew: {p['mark']}: {p['length_text']} is nowhere")
    check_layout(pdf, plan, faults)
    rows = sum(words[p["mark"]] for p in plan["pieces"] if PLAIN.fullmatch(p["mark"]))
    for t in plan["ties"]:
        if not re.search(rf"\b{t['junction']}\b", body):
            faults.append(f"crew: the tie at {t['junction']} is missing")
    for run in {p["run"] for p in plan["pieces"]}:
        if not re.search(rf"\b{run}\b", body):
            faults.append(f"crew: {run} is missing")
    return rows


def check_labels(pdf, plan, faults):
    codes = Counter()
    for page in pdf:
        image = page.render(scale=3, grayscale=True).to_pil()
        codes.update(c.text for c in zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.QRCode))
    for p in plan["pieces"]:
        if codes.pop(p["id"], 0) != 1:
            faults.append(f"labels: the code of {p['id']} is not there once")
    faults += [f"labels: a code for {code}" for code in codes]
    return len(plan["pieces"])


def check_cuts(pdf, plan, faults):
    body = plain(" ".join(page.get_textpage().get_text_range() for page in pdf))
    marks = {p["id"]: p for p in plan["pieces"]}
    for board in plan["stock"]["boards"]:
        if not re.search(rf"\b{board['id']}\b", body):
            faults.append(f"cuts: {board['id']} is missing")
        for piece in board["cuts"]:
            p = marks[piece]
            if PLAIN.fullmatch(p["mark"]):
                told = f": {p['mark']} {plain(p['length_text'])} ("
                if body.count(told) != 1:
                    faults.append(f"cuts: {p['mark']} is told {body.count(told)} times")
    return len(plan["stock"]["boards"])


def check(folder):
    plan = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
    faults, told = [], []
    for stem, judge in (("crew", check_crew), ("labels", check_labels), ("cut-sheet", check_cuts)):
        files = sorted(folder.glob(f"{stem}-*.pdf"))
        if not files:
            faults.append(f"no {stem}")
        for file in files:
            pdf = pypdfium2.PdfDocument(file)
            check_pages(pdf, file.name, faults)
            n = judge(pdf, plan, faults)
            pages = len(list(folder.glob(f"{file.stem}-*.svg")))
            if pages and pages != len(pdf):
                faults.append(f"{file.name}: {len(pdf)} pages, {pages} SVG files")
            told.append(f"{file.name} {len(pdf)} pages, {n}")
    print(f"{folder}: {'; '.join(told)}; {len(faults)} faults")
    for fault in faults[:40]:
        print(f"  {fault}")
    return not faults


if __name__ == "__main__":
    results = [check(Path(folder)) for folder in sys.argv[1:]]
    sys.exit(0 if results and all(results) else 1)
