"""What is right about a damaged drawing that platewright and an outside library read differently, for check_mutated.py.

Every reason here is explained in docs/reliability.md, under the same name; `check_mutated.py` looks.
"""

import re

# Reasons why platewright and the outside library differ though platewright is right, or as right as can be: a name, what platewright
# newly says, what the outside library says or how it differs, and which kinds of damage. Each a pattern that must be found. Those
# that ask for no word of platewright's are of damage by which it loses nothing.
WORDS = "in a string|broken escape|of a string|layer of an entity|any byte|bytes lost|block of bytes"
EXPLAINED = [
    # DXF
    ("a line that is no group code", r"stands where a group code belongs", "", ""),
    ("two entities run into one", r"a second handle in one entity", "", ""),
    ("a name of an entity that is none", r"is no type of entity|was read as [A-Z]", "", ""),
    ("blocks and sections out of balance", r"outside (any|its)|no ENDBLK|did not begin|defined twice; the later|has no name", "", ""),
    ("a number that is none", r"group -?\d+: `[^`]*` is not a number", "", ""),
    ("a coordinate missing or twice", r"coordinate is missing|place of the insert|parameters of an element|a second time", "", ""),
    ("a number in another form", r"group -?\d+: `[^`]*` was read as", "", ""),
    ("a block that is not there", r"dxf-missing-block", "", ""),
    ("cut off", r"file-truncated", "", ""),
    ("letters of another code page", "", r"^(lines|arcs|texts|splines) on ", WORDS),
    ("line ends mixed", "", "", "line ends"),
    ("a point's groups apart", "", r"Missing required", "pairs swapped"),
    ("a handle that is none", "", r"Invalid handle", ""),
    ("a section's name with blanks", "", r"^entities read", "section's name"),
    ("a curve with a value missing", "", r"^splines on|^(arcs|lines) on hatches|knot values|control- or fit points|float division", ""),
    ("words alone", "", r"^texts? ", ""),
    ("extended data in the middle", "", r"XDATA|only ezdxf has|does not have", "extended data"),
    ("parts without their whole", "", r"SEQEND|VERTEX", ""),
    ("no beginning", r"file-foreign", "", "SECTION lost|bytes lost|any byte"),
    ("a copy of a part", "", r"Missing required|Invalid handle", "block of bytes"),
    ("a number the other breaks down over", "", r"division|infinity|overflow|NaN", "number huge|direction|real huge"),
    # IFC
    ("a number given twice", r"entity numbers are defined twice", "", ""),
    ("a statement out of form", r"statements are not well formed", "", ""),
    ("a value that is none", r"Missing or not what it must be", "", ""),
    ("a shape read in part", r"ifc-shape-in-part|ifc-wall-shape", "", ""),
    ("units that no project names", r"those of #\d+ were taken", "", ""),
    ("out of reach", r"coordinate-bad", "left out", ""),
    ("a GlobalId that is none", "", r"#\d+: no such wall", ""),
    ("listed twice", "", r"^unit read as|radius|thickness", "list longer"),
    ("a real without its point", "", "", "real without"),
    ("grammar the other stumbles over", "", "", "bracket|argument|keyword|comma|semicolon|comment|escape|bytes|any byte|enumeration|list"),
    ("a header spoilt", "", r"no such wall|refused|parse", "header spoilt|schema changed|DATA or ENDSEC"),
]


# Reasons by which what is read differs from the undamaged drawing, as it must: the damage is another drawing, well formed.
ANOTHER = {"a copy of a part", "a number the other breaks down over", "listed twice"}


def core(ours, all_of_it=True):
    """What a plan is made of, without names of entities: equal when nothing was lost. Without layers, splines and hatches
    where not all is asked for: no wall is read from those two."""
    if ours["framed"] is not None:
        # A storey may have lost its name.
        walls = [w if all_of_it else {**w, "storey": None} for w in ours["framed"]["walls"]]
        return [walls, ours["inches_per_unit"]]
    if ours["linework"] is None:
        return None
    drawn = [d for d in ours["linework"]["drawn"] if all_of_it or d["kind"] not in ("SPLINE", "HATCH")]
    lines = sorted((d["layer"].lower() if all_of_it else "", d["kind"], d["lines"], d["arcs"]) for d in drawn)
    walls = (ours["walls"] or {"walls": []})["walls"] if all_of_it else []
    return [lines, sorted((w["start"], w["end"]) for w in walls)]


def verdict(row, before):
    """A name for what came of it, and whether that is a fault. `before` is what platewright made of the undamaged drawing."""
    ours, peers = row["ours"], row["peers"]
    if ours["panic"]:
        return "platewright broke down", True
    reads = [v for v in peers.values() if "differs" in v]
    if ours["status"] == 2:
        if not ours["said"]:
            return "refused without a word", True
        if not reads:
            return "neither reads it", False
    elif not ours["sums"]:
        return "the ledger does not sum", True
    elif any(v["differs"] == [] for v in reads):
        return "both read the same", False
    elif not reads and core(ours) == core(before):
        return "read whole, refused by the other", False
    told = "\n".join(ours["new"])
    theirs = "\n".join([*(d for v in reads for d in v["differs"]), *(v.get("refused", v.get("fails", "")) for v in peers.values())])
    for name, said, differs, kinds in EXPLAINED:
        # Without a word only what loses nothing.
        holds = re.search(said, told) if said else name in ANOTHER or core(ours, False) == core(before, False)
        if holds and re.search(differs, theirs, re.M) and re.search(kinds, row["kind"]):
            return name, False
    if not reads and told and ours["status"] != 2:
        return "read around and told, refused by the other", False
    return ("they differ" if told else "they differ and nothing was said"), True
