"""Ways to damage a drawing, for check_mutated.py: each takes a source of chance and a drawing's bytes, and gives
other bytes, or None where the drawing has nothing to damage in that way.

`DXF`, `BINARY` and `IFC` name them. The same chance gives the same bytes.
"""

# Group codes whose values are numbers that linework is made of.
NUMBERS = {*range(10, 60), *range(210, 240)}
WORDS = {1, 2, 3, 6, 7, 8}


class Nothing(Exception):
    """The drawing has nothing to damage in this way."""


def choose(rng, things):
    if not things:
        raise Nothing
    return rng.choice(things)


def guarded(change, kind):
    """The mutation that a change of a parsed drawing is."""

    def mutate(rng, data):
        parsed = kind(data)
        try:
            done = change(rng, parsed)
        except Nothing:
            return None
        return done if isinstance(done, bytes) else parsed.bytes()

    return mutate


class Pairs:
    """A text DXF as pairs of lines, without line ends."""

    def __init__(self, data):
        self.end = b"\r\n" if b"\r\n" in data[:2000] else b"\n"
        lines = [line.rstrip(b"\r") for line in data.split(b"\n")]
        self.pairs = [[code, value] for code, value in zip(lines[::2], lines[1::2])]
        section = b""
        self.sections, self.entities = [], []
        for i, (code, value) in enumerate(self.pairs):
            if code.strip() == b"2" and i and self.pairs[i - 1][1].strip() == b"SECTION":
                section = value.strip()
            if code.strip() == b"0" and section in (b"ENTITIES", b"BLOCKS"):
                self.entities.append(i)
            self.sections.append(section)

    def bytes(self):
        return self.end.join(line for pair in self.pairs for line in pair) + self.end

    def code(self, i):
        return int(self.pairs[i][0]) if self.pairs[i][0].strip().isdigit() else -1

    def drawn(self, wanted=None, rng=None):
        """A pair of what is drawn, of these codes; mostly in the entities, else in the blocks."""
        where = [(b"ENTITIES",), (b"BLOCKS",)] if rng.random() < 0.8 else [(b"BLOCKS", b"TABLES", b"HEADER"), (b"ENTITIES",)]
        for sections in where:
            found = [i for i, s in enumerate(self.sections) if s in sections and self.code(i) != 0 and (wanted is None or self.code(i) in wanted)]
            if found:
                return rng.choice(found)
        raise Nothing

    def words(self, *names):
        """Places of `0 name`."""
        return [i for i, (code, value) in enumerate(self.pairs) if code.strip() == b"0" and value.strip() in names]

    def entity(self, rng):
        """First pair of an entity and the first of the next one."""
        ends = (b"BLOCK", b"ENDBLK", b"ENDSEC", b"SECTION")
        whole = [(a, b) for a, b in zip(self.entities, self.entities[1:]) if self.pairs[a][1].strip() not in ends]
        return choose(rng, whole)


DXF, BINARY, IFC = {}, {}, {}


def dxf(name):
    """A mutation that changes pairs in place, or gives bytes."""

    def known(change):
        DXF[name] = guarded(change, Pairs)
        return change

    return known


def at_pair(name, codes, change):
    """A mutation of one pair of these codes."""

    @dxf(name)
    def _(rng, p):
        change(rng, p, p.drawn(codes, rng))


def value(name, codes, make):
    def change(rng, p, i):
        p.pairs[i][1] = make(rng, p.pairs[i][1])

    at_pair(name, codes, change)


def number_of(text):
    try:
        return float(text)
    except ValueError:
        return 12.5


value("number empty", NUMBERS, lambda rng, v: b"")
value("number nan", NUMBERS, lambda rng, v: rng.choice([b"nan", b"NaN", b"1.#QNAN", b"inf", b"-1.#IND"]))
value("number huge", NUMBERS, lambda rng, v: rng.choice([b"1e308", b"1e400", b"-1e19", b"9" * 40]))
value("number with comma", NUMBERS, lambda rng, v: v.replace(b".", b",") if b"." in v else v + b",0")
value("number with exponent", NUMBERS, lambda rng, v: b"%.16E" % number_of(v))
value("number with D exponent", NUMBERS, lambda rng, v: (b"%.16E" % number_of(v)).replace(b"E", b"D"))
value("number is a word", NUMBERS, lambda rng, v: rng.choice([b"abc", b"-", b".", b"0x1F", b"1_000"]))
value("number with a tail", NUMBERS, lambda rng, v: v + rng.choice([b"abc", b" in", b"'", b".5", b" 7"]))
value("number with plus and blanks", NUMBERS, lambda rng, v: b"\t " + (v.strip() if v.strip().startswith(b"-") else b"+" + v.strip()) + b"  ")
value("number without digits before the point", NUMBERS, lambda rng, v: rng.choice([b".5", b"-.5", b"5.", b"00012.50"]))
value("flag spoilt", {60, 62, 66, 67, 70, 71, 72, 73, 90}, lambda rng, v: rng.choice([b"x", b"", b"1.0", b"1 ", b"99999999999", b"-1", b"1,0"]))
value("handle of another", {5}, lambda rng, v: rng.choice([b"1", b"10", b"2A", b"A1"]))
value("handle is no handle", {5}, lambda rng, v: rng.choice([b"XYZ", b"-7", b"1.5", b"A" * 40]))
value("handle empty", {5}, lambda rng, v: b"")
value("handle zero", {5}, lambda rng, v: b"0")
value("layer of an entity", {8}, lambda rng, v: rng.choice([v.swapcase(), b"NO SUCH LAYER", b"", b"A" * 300, v + b" "]))
value("byte of a string flipped", WORDS, lambda rng, v: flipped(rng, v))
value("high bytes in a string", WORDS, lambda rng, v: v + bytes(rng.randrange(0x80, 0x100) for _ in range(3)))
value("NUL in a string", WORDS, lambda rng, v: v[:2] + b"\0" + v[2:])
value("broken escape", {1, 2, 8}, lambda rng, v: v + rng.choice([b"\\U+", b"\\U+D800", b"\\M+1", b"^", b"%%", b"{\\H2x;"]))
value("line break in a string", {1, 3}, lambda rng, v: v[:1] + b"\n" + v[1:])
value("block name", {2}, lambda rng, v: rng.choice([b"", b"NO-SUCH", b"*U99999", v.swapcase(), v + b" "]))
value("direction down", {230}, lambda rng, v: rng.choice([b"-1.0", b"0.0", b"0.5"]))
value("owner changed", {330, 331, 340, 360}, lambda rng, v: rng.choice([b"0", b"FFFF", b"", b"ZZ"]))
value("subclass marker", {100}, lambda rng, v: rng.choice([b"AcDbNothing", b"", b"AcDbLine", b"AcDbEntity"]))


def flipped(rng, text):
    if not text:
        return b"?"
    i = rng.randrange(len(text))
    return text[:i] + bytes([text[i] ^ 1 << rng.randrange(8)]) + text[i + 1 :]


def change_code(rng, p, i):
    p.pairs[i][0] = rng.choice([b" 10", b" 11", b" 20", b"  8", b"  5", b"999", b"-10", b"1071", b"  2", b"100"])


def swap(rng, p, i):
    if i + 1 < len(p.pairs) and p.code(i + 1) != 0:
        p.pairs[i], p.pairs[i + 1] = p.pairs[i + 1], p.pairs[i]


def insert(pair):
    return lambda rng, p, i: p.pairs.insert(i, list(pair))


at_pair("pair deleted", None, lambda rng, p, i: p.pairs.pop(i))
at_pair("pair doubled", None, lambda rng, p, i: p.pairs.insert(i, list(p.pairs[i])))
at_pair("pairs swapped", None, swap)
at_pair("code and value swapped", None, lambda rng, p, i: p.pairs[i].reverse())
at_pair("group code changed", None, change_code)
at_pair("group code is no number", None, lambda rng, p, i: p.pairs[i].__setitem__(0, rng.choice([b"1O", b"", b"ten", b"1.0"])))
at_pair("group code written otherwise", None, lambda rng, p, i: p.pairs[i].__setitem__(0, rng.choice([b"%d", b"      %d", b"%d   ", b"+%d", b"0%d"]) % p.code(i)))
at_pair("comment put in", None, insert([b"999", b"a comment"]))
at_pair("group inside an application's list", None, insert([b"102", b"{ACAD_REACTORS"]))
at_pair("extended data in the middle", None, insert([b"1001", b"ACAD"]))


@dxf("line deleted")
def _(rng, p):
    lines = p.bytes().split(p.end)
    lines.pop(2 * p.drawn(rng=rng) + rng.randrange(2))
    return p.end.join(lines)


@dxf("blank lines put in")
def _(rng, p):
    lines = p.bytes().split(p.end)
    lines.insert(2 * p.drawn(rng=rng) + rng.randrange(2), b"")
    return p.end.join(lines)


@dxf("cut anywhere")
def _(rng, p):
    data = p.bytes()
    return data[: rng.randrange(len(data) // 3, len(data))]


@dxf("cut between pairs")
def _(rng, p):
    del p.pairs[rng.choice(p.entities or [2]) + rng.randrange(6) :]


def lost(name, *words):
    @dxf(name)
    def _(rng, p):
        p.pairs.pop(choose(rng, p.words(*words)))


lost("ENDSEC lost", b"ENDSEC")
lost("ENDBLK lost", b"ENDBLK")
lost("BLOCK lost", b"BLOCK")
lost("SEQEND lost", b"SEQEND")
lost("VERTEX lost", b"VERTEX")
lost("SECTION lost", b"SECTION")
lost("ENDTAB lost", b"ENDTAB")
lost("EOF lost", b"EOF")
lost("head of an entity lost", b"LINE", b"LWPOLYLINE", b"INSERT", b"ARC", b"POLYLINE", b"TEXT")


@dxf("section's name changed")
def _(rng, p):
    i = choose(rng, p.words(b"SECTION"))
    p.pairs[i + 1][1] = rng.choice([b"ENTITYS", b"", b"entities", b"ENTITIES "])


@dxf("keyword in small letters")
def _(rng, p):
    i = choose(rng, p.entities)
    p.pairs[i][1] = p.pairs[i][1].lower()


@dxf("layer row renamed")
def _(rng, p):
    rows = [i + k for i in p.words(b"LAYER") for k in range(1, 9) if i + k < len(p.pairs) and p.code(i + k) == 2]
    p.pairs[choose(rng, rows)][1] = rng.choice([b"0", b"", b"A-FURN", b"\xff\xfe"])


@dxf("entity doubled")
def _(rng, p):
    span = p.entity(rng)
    p.pairs[span[0] : span[0]] = [list(pair) for pair in p.pairs[slice(*span)]]


@dxf("entity deleted")
def _(rng, p):
    span = p.entity(rng)
    del p.pairs[slice(*span)]


@dxf("section deleted")
def _(rng, p):
    without_section(rng, p)


@dxf("section moved to the end")
def _(rng, p):
    cut = without_section(rng, p)
    at = (p.words(b"EOF") or [len(p.pairs)])[-1]
    p.pairs[at:at] = cut


def without_section(rng, p):
    i = choose(rng, p.words(b"SECTION"))
    end = next((k for k in p.words(b"ENDSEC") if k > i), len(p.pairs)) + 1
    cut = p.pairs[i:end]
    del p.pairs[i:end]
    return cut


def header(name, variable, values):
    @dxf(name)
    def _(rng, p):
        at = [i + 1 for i, (c, v) in enumerate(p.pairs[:-1]) if c.strip() == b"9" and v.strip() == variable]
        p.pairs[choose(rng, at)][1] = rng.choice(values)


header("release changed", b"$ACADVER", [b"AC1009", b"AC1032", b"AC9999", b"", b"ac1015", b"AC1015 "])
header("unit changed", b"$INSUNITS", [b"0", b"4", b"6", b"99", b"", b"x", b"1.0", b"-1"])
header("code page changed", b"$DWGCODEPAGE", [b"ANSI_932", b"ANSI_9999", b"", b"UTF-8", b"dos850"])

DXF["byte-order mark"] = lambda rng, data: rng.choice([b"\xef\xbb\xbf", b"\xef\xbb\xbf\n", b"\n\n", b" \r\n"]) + data
DXF["trash after the end"] = lambda rng, data: data + rng.choice([b"\x1a\0\0\0", b"  0\nLINE\n", b"trash\n" * 3, b"\n\n\n"])


@dxf("line ends")
def _(rng, p):
    lines = p.bytes().split(p.end)
    how = rng.choice([[b"\r\n"], [b"\r"], [b"\n"], [b"\n", b"\r\n"], [b"\n", b"\r\n", b"\r"], [b"\r\r\n"]])
    return b"".join(line + rng.choice(how) for line in lines)


def any_byte(rng, data):
    data = bytearray(data)
    for _ in range(rng.choice([1, 1, 3])):
        data[rng.randrange(len(data))] = rng.randrange(256)
    return bytes(data)


def bytes_lost(rng, data):
    at = rng.randrange(len(data))
    return data[:at] + data[at + rng.choice([1, 2, 30]) :]


def block_repeated(rng, data):
    at = rng.randrange(len(data))
    return data[:at] + data[at : at + 512] + data[at:]


for family in (DXF, BINARY, IFC):
    family["any byte changed"] = any_byte
    family["bytes lost"] = bytes_lost
    family["block of bytes repeated"] = block_repeated
BINARY["cut anywhere"] = lambda rng, data: data[: rng.randrange(len(data) // 3, len(data))]
