"""Ways to damage an IFC file, for check_mutated.py; see mutations.py."""

import re

from mutations import IFC, Nothing, flipped, registering

INSTANCE = re.compile(rb"#(\d+)\s*=\s*([A-Za-z0-9_]+)\s*\((.*?)\)\s*;[ \t]*\r?\n?", re.S)
# What walls are read from; most damage is done here.
TELLING = re.compile(
    rb"IFC(WALL|LOCALPLACEMENT|AXIS2|CARTESIANPOINT|DIRECTION|POLYLINE|SHAPEREP|PRODUCTDEF|EXTRUDED|RECTANGLE|ARBITRARYCLOSED|SIUNIT|UNITASS|CONVERSION|"
    rb"MATERIALLAYER|RELCONTAINED|RELASSOCIATESMAT|BUILDINGSTOREY|RELAGG|OPENING|RELVOIDS|INDEXEDPOLY|CARTESIANPOINTLIST|BOOLEAN|PROJECT)",
    re.I,
)
REAL = re.compile(rb"(?<=[(,])-?\d+\.\d*(?:E[-+]?\d+)?(?=[,)])")
REFERENCE = re.compile(rb"(?<=[(,])#\d+(?=[,)])")
STRING = re.compile(rb"'(?:[^']|'')*'")


class Model:
    """A STEP file: what stands before the instances, the instances as they are written, and what comes after."""

    def __init__(self, data):
        found = list(INSTANCE.finditer(data))
        self.data = data
        self.spans = [m.span() for m in found]
        self.classes = [m.group(2) for m in found]
        self.head = data[: self.spans[0][0]] if found else data
        self.tail = data[self.spans[-1][1] :] if found else b""
        self.rows = [data[a:b] for a, b in self.spans]

    def bytes(self):
        return self.head + b"".join(self.rows) + self.tail

    def pick(self, rng, holds=None):
        """An instance that holds such a thing; four times in five one that walls are read from."""
        fits = [i for i, row in enumerate(self.rows) if holds is None or holds.search(row)]
        telling = [i for i in fits if TELLING.match(self.classes[i])]
        pool = telling if telling and rng.random() < 0.8 else fits
        if not pool:
            raise Nothing
        # Each class as often as another: points would else be all there is.
        kind = rng.choice(sorted({self.classes[i] for i in pool}))
        return rng.choice([i for i in pool if self.classes[i] == kind])


ifc = registering(IFC, Model)


def within(name, pattern, make):
    """A mutation of one such piece of an instance."""

    @ifc(name)
    def _(rng, m):
        i = m.pick(rng, pattern)
        hit = rng.choice(list(pattern.finditer(m.rows[i])))
        a, b = hit.span()
        m.rows[i] = m.rows[i][:a] + make(rng, hit.group(), m) + m.rows[i][b:]


def an_id(rng, m):
    return re.match(rb"#\d+", rng.choice(m.rows)).group()


# Only where the value stays what it was: what is read can then be held against the undamaged drawing.
WHOLE = re.compile(rb"(?<=[(,])-?\d+\.0*(?=[,)])")
within("real without its point", WHOLE, lambda rng, t, m: t.split(b".")[0])
within("real is a word", REAL, lambda rng, t, m: rng.choice([b"nan", b"inf", b"1.#QNAN", b".T.", b"abc", b"-", b"."]))
within("real huge", REAL, lambda rng, t, m: rng.choice([b"1.E308", b"1.E400", b"-1.E19", b"9" * 40 + b"."]))
within("real with a comma", REAL, lambda rng, t, m: t.replace(b".", b","))
within("real written otherwise", REAL, lambda rng, t, m: rng.choice([b"+" + t.lstrip(b"-"), b"%.12E" % float(t), (b"%.12e" % float(t)), b"0" + t.lstrip(b"-")]))
within("real with D exponent", REAL, lambda rng, t, m: (b"%.6E" % float(t)).replace(b"E", b"D"))
within("real with a tail", REAL, lambda rng, t, m: t + rng.choice([b"abc", b" 7", b".5", b"'"]))
within("real is a string", REAL, lambda rng, t, m: b"'" + t + b"'")
within("real left out", REAL, lambda rng, t, m: rng.choice([b"$", b"*", b""]))
within("real is a reference", REAL, lambda rng, t, m: an_id(rng, m))
within("reference left out", REFERENCE, lambda rng, t, m: rng.choice([b"$", b"*"]))
within("reference into nothing", REFERENCE, lambda rng, t, m: rng.choice([b"#999999999", b"#0", b"#99999999999999999999"]))
within("reference to another thing", REFERENCE, lambda rng, t, m: an_id(rng, m))
within("reference is a number", REFERENCE, lambda rng, t, m: t[1:])
within("reference with blanks", REFERENCE, lambda rng, t, m: rng.choice([b" " + t, t + b"\n", b"# " + t[1:], b"#0" + t[1:]]))
within("string never closed", STRING, lambda rng, t, m: t[:-1])
within("string with a broken escape", STRING, lambda rng, t, m: t[:-1] + rng.choice([b"\\X2\\D8", b"\\X\\Z", b"\\X2\\00E4", b"\\S\\", b"\\", b"\\X4\\FFFFFFFF\\X0\\"]) + b"'")
within("byte of a string flipped", STRING, lambda rng, t, m: b"'" + flipped(rng, t[1:-1]) + b"'")
within("high bytes in a string", STRING, lambda rng, t, m: t[:-1] + bytes(rng.randrange(0x80, 0x100) for _ in range(3)) + b"'")
within("line break in a string", STRING, lambda rng, t, m: t[:2] + b"\r\n" + t[2:])
within("string left out", STRING, lambda rng, t, m: b"$")
within("quote in a string", STRING, lambda rng, t, m: t[:2] + b"'" + t[2:])
within("bracket lost", re.compile(rb"[()]"), lambda rng, t, m: b"")
within("bracket doubled", re.compile(rb"[()]"), lambda rng, t, m: t + t)
within("semicolon lost", re.compile(rb";"), lambda rng, t, m: b"")
within("semicolon put in", re.compile(rb","), lambda rng, t, m: rng.choice([b";,", b",;"]))
within("comma lost", re.compile(rb","), lambda rng, t, m: b"")
within("comma doubled", re.compile(rb","), lambda rng, t, m: b",,")
within("comment put in", re.compile(rb"[,(]"), lambda rng, t, m: t + rng.choice([b"/* a, comment; */", b"/* ' */", b"/**/", b"/* #1=IFCWALL(); */"]))
within("comment never closed", re.compile(rb"[,(]"), lambda rng, t, m: t + b"/* ")
within("keyword in small letters", re.compile(rb"(?<==)\s*[A-Z0-9_]+"), lambda rng, t, m: t.lower())
within("keyword in mixed letters", re.compile(rb"(?<==)\s*[A-Z0-9_]+"), lambda rng, t, m: t[:4] + t[4:].lower())
within("keyword unknown", re.compile(rb"(?<==)\s*[A-Z0-9_]+"), lambda rng, t, m: t + rng.choice([b"X", b"STANDARDCASE", b"_2"]))
within("number of an instance", re.compile(rb"^#\d+"), lambda rng, t, m: rng.choice([an_id(rng, m), b"#0", b"#987654321", b"#18446744073709551616", b"# 1", b"1"]))
within("enumeration changed", re.compile(rb"\.[A-Z0-9_]+\."), lambda rng, t, m: rng.choice([b".NOTDEFINED.", b"$", t.lower(), t[1:], b".MILLI.", b".METRE."]))
within("blanks and line breaks put in", re.compile(rb"[,(=]"), lambda rng, t, m: t + rng.choice([b" ", b"\r\n", b"\n\n", b"\t", b"\n  "]))
within("list emptied", re.compile(rb"\([^()']*\)"), lambda rng, t, m: b"()")
within("list longer", re.compile(rb"\([^()']+\)"), lambda rng, t, m: t[:-1] + b"," + t[1:])


@ifc("instance deleted")
def _(rng, m):
    m.rows.pop(m.pick(rng))


@ifc("instance doubled")
def _(rng, m):
    m.rows.insert(rng.randrange(len(m.rows)), m.rows[m.pick(rng)])


@ifc("number given twice")
def _(rng, m):
    a, b = m.pick(rng), m.pick(rng)
    m.rows[b] = re.sub(rb"^#\d+", re.match(rb"#\d+", m.rows[a]).group(), m.rows[b])


@ifc("instances in another order")
def _(rng, m):
    (rng.shuffle if rng.random() < 0.5 else list.reverse)(m.rows)


@ifc("last argument lost")
def _(rng, m):
    i = m.pick(rng, re.compile(rb","))
    cut = m.rows[i].rstrip().rfind(b",")
    m.rows[i] = m.rows[i][:cut] + b");\n"


@ifc("argument put in")
def _(rng, m):
    i = m.pick(rng)
    m.rows[i] = m.rows[i].replace(b"(", rng.choice([b"($,", b"(1.,", b"('x',"]), 1)


@ifc("all on one line")
def _(rng, m):
    m.rows = [row.rstrip() for row in m.rows]


@ifc("line ends")
def _(rng, m):
    end = rng.choice([b"\r\n", b"\r", b"\n\n"])
    return m.bytes().replace(b"\r\n", b"\n").replace(b"\n", end)


@ifc("schema changed")
def _(rng, m):
    m.head = re.sub(rb"FILE_SCHEMA\s*\(\('[^']*'\)\)", rng.choice([b"FILE_SCHEMA(('IFC2X3'))", b"FILE_SCHEMA(('IFC4'))", b"FILE_SCHEMA(('IFC4X3'))", b"FILE_SCHEMA(('IFC9'))", b"FILE_SCHEMA(())", b"FILE_SCHEMA($)"]), m.head)


@ifc("header spoilt")
def _(rng, m):
    lines = m.head.split(b"\n")
    i = rng.randrange(len(lines))
    how = rng.choice(["lost", "doubled", "unclosed"])
    lines[i : i + 1] = [] if how == "lost" else [lines[i]] * 2 if how == "doubled" else [lines[i].replace(b")", b"", 1)]
    m.head = b"\n".join(lines)


@ifc("DATA or ENDSEC lost")
def _(rng, m):
    word = rng.choice([b"DATA;", b"ENDSEC;", b"HEADER;", b"END-ISO-10303-21;"])
    return m.bytes().replace(word, b"", 1) if rng.random() < 0.5 else word.join(m.bytes().split(word)[:-1] or [b""]) + m.bytes().split(word)[-1]


IFC["cut anywhere"] = lambda rng, data: data[: rng.randrange(len(data) // 3, len(data))]
IFC["byte-order mark"] = lambda rng, data: rng.choice([b"\xef\xbb\xbf", b"\xef\xbb\xbf\n", b"\n\n", b"/* first */\n"]) + data
IFC["trash after the end"] = lambda rng, data: data + rng.choice([b"\0\0\0", b"#1=IFCWALL();\n", b"trash\n", b"\x1a"])
