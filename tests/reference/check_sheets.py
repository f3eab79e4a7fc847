"""Judges the PDF sheets beside plan.json, in each folder given.

    cargo run -p sheets --example write-sheets -- DRAWING DIR [SETTINGS] [PAPER]
    python check_sheets.py DIR ...

Outside sources: PDFium (by pypdfium2) loads the files, extracts their text and draws their pages; ZXing reads
the codes from the drawn pages. Every piece must have one row in the crew tables with its length, one label whose code is its id,
and one place on the cut sheet; bevels must stand on the labels. Every wall must say where the tape is hooked and, from there, where its
openings are and where a wall that crosses it parts its plates; a raked wall also the marks along its slope; every page with
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


def holes(plan):
    """Of each run its hook and its openings by station on it: from, to, kind. Openings that share a point stand together."""
    for run in plan["runs"]:
        (x, y), (u, v) = run["start"], run["end"]
        length = hypot(u - x, v - y)
        along = lambda p: ((p[0] - x) * (u - x) + (p[1] - y) * (v - y)) / length
        lower = [p for p in plan["pieces"] if p["run"] == run["id"] and p["layer"] == "lower"]
        if not any(p["marks"] for p in lower):
            continue
        hook = min(along(c) for p in lower for c in p["outline"])
        found = []
        for wall in (w for w in plan["walls"] if w["run"] == run["id"]):
            way = 1 if along(wall["end"]) >= along(wall["start"]) else -1
            for o in wall["openings"]:
                found.append((*sorted(along(wall["start"]) + way * o[k] - hook for k in ("from", "to")), o["kind"]))
        groups = []
        for o in sorted(found):
            if groups and o[0] <= max(p[1] for p in groups[-1]) + 1e-6:
                groups[-1].append(o)
            else:
                groups.append([o])
        metric = "x" in run["section"] and int(run["section"].split("x")[0]) > 20
        yield run["id"], metric, groups


def openings(plan):
    """Of each hole its run and the words that tell it, stations from the least station of the run's lower plates; openings
    that overlap are one hole, of all their kinds, and where they differ each is told as well."""
    for run, metric, groups in holes(plan):
        # A tie between two sixteenths may go either way here.
        near = lambda a, b: [f"{told(a + i, metric)} to {told(b + j, metric)}" for i in (-1e-4, 1e-4) for j in (-1e-4, 1e-4)]
        for group in groups:
            low, high = group[0][0], max(o[1] for o in group)
            kinds = " and ".join(dict.fromkeys(o[2] for o in group))
            yield run, {f"{kinds} {text}" for text in near(low, high)}
            if any(abs(o[0] - low) > 0.02 or abs(o[1] - high) > 0.02 for o in group):
                for o in group:
                    yield run, {f"{o[2]} {text}" for text in near(o[0], o[1])}


def crossings(plan):
    """Where the lower plates of a run stop at a wall that passes between them, square to it, and begin again: its words."""
    for run in plan["runs"]:
        lower = [p for p in plan["pieces"] if p["run"] == run["id"] and p["layer"] == "lower"]
        lower.sort(key=lambda p: p["from"])
        metric = "x" in run["section"] and int(run["section"].split("x")[0]) > 20
        for a, b in zip(lower, lower[1:]):
            if b["from"] - a["to"] > 0.5 and a["marks"]:
                ends = [p - lower[0]["from"] for p in (a["to"], b["from"])]
                yield run["id"], {f"stop at {told(ends[0] + i, metric)}, begin again at {told(ends[1] + j, metric)}"
                                  for i in (-1e-4, 1e-4) for j in (-1e-4, 1e-4)}


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
    for run, words in crossings(plan):
        if not any(w in body for w in words):
            faults.append(f"crew: {run}: {sorted(words)[0]} is nowhere")
    raked = {p["run"] for p in plan["pieces"] if p["rake"] and p["layer"] == "lower" and p["marks"]}
    slopes = body.count("Lower top plate, along its slope")
    if slopes != len(raked):
        faults.append(f"crew: {len(raked)} raked walls are marked, {slopes} along their slope")
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
    body = plain(" ".join(page.get_textpage().get_text_range() for page in pdf))
    # One cut across a plate that lies level: the angle from square and the edge that stays longer.
    hands = Counter()
    for p in plan["pieces"]:
        for name, end in zip(("start", "end"), p["ends"]):
            off = round(abs(90 - end["cut_deg"]), 2)
            if off and end["tilt_deg"] == 90:
                hands[f"{name} {off:g}\u00b0, {'left' if end['cut_deg'] < 90 else 'right'} longer"] += 1
    for words, count in hands.items():
        # Ends of several cuts say "see crew sheet" instead.
        if not body.count(words) and "cuts, see crew sheet" not in body:
            faults.append(f"labels: {words} is nowhere, wanted {count} times")
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
