//! Drawings with one trouble each, made here; nothing in them comes from anybody's file.

use crate::dxf::{self, Options};
use crate::house::{House, INCH, ORDINARY_TOP, Ticks, Wall};
use crate::ifc;

/// A rectangle of 24'-0" by 16'-0" outside, 2x4, with one inside wall that tees into the south wall
/// at 10'-0" and ends free, 8'-0" from the south wall's inner face.
pub fn shed() -> House {
    const HALF: Ticks = 28; // 1-3/4 in
    let (east, north) = (288 * INCH - HALF, 192 * INCH - HALF);
    let wall = |key: &str, exterior: bool, from, to| Wall {
        key: key.to_owned(),
        layer: if exterior { "A-WALL-EXTR-2X4" } else { "A-WALL-INTR-2X4" },
        from,
        to,
        section: "2x4",
        top: ORDINARY_TOP,
        exterior,
        bearing: exterior,
        in_outline: false,
        openings: Vec::new(),
    };
    House {
        title: "SHED - TEST DRAWING, NOT A REAL PLAN",
        walls: vec![
            wall("south", true, (HALF, HALF), (east, HALF)),
            wall("east", true, (east, HALF), (east, north)),
            wall("north", true, (east, north), (HALF, north)),
            wall("west", true, (HALF, north), (HALF, HALF)),
            wall("stem", false, (120 * INCH, HALF), (120 * INCH, 96 * INCH + 2 * HALF)),
        ],
    }
}

/// The shed as DXF, in inches.
pub fn shed_dxf() -> String {
    dxf::write(&shed(), Options { insunits: 1, origin: (0, 0) })
}

/// A LINE on a layer, as DXF tags, with a handle that the shed does not use.
fn line(handle: &str, layer: &str, numbers: [&str; 4]) -> String {
    let [x1, y1, x2, y2] = numbers;
    format!(
        "  0\nLINE\n  5\n{handle}\n330\n1F\n100\nAcDbEntity\n  8\n{layer}\n100\nAcDbLine\n 10\n{x1}\n 20\n{y1}\n 30\n0\n 11\n{x2}\n 21\n{y2}\n 31\n0\n"
    )
}

/// The shed with one more entity at the end of its ENTITIES section.
fn shed_and(entity: &str) -> String {
    let text = shed_dxf();
    let at = text.find("  0\nENDSEC\n  0\nSECTION\n  2\nOBJECTS").unwrap_or(text.len());
    format!("{}{entity}{}", &text[..at], &text[at..])
}

/// Path below `fixtures/`, what is wrong, the bytes.
pub fn files() -> Vec<(&'static str, &'static str, Vec<u8>)> {
    let shed = shed_dxf();
    let shed_ifc = ifc::write(&self::shed());
    let cut = |text: &str, part: usize| text.as_bytes()[..text.len() * part / 100].to_vec();
    let furniture_only = {
        let mut house = self::shed();
        house.walls.clear();
        house
    };
    vec![
        ("dxf/empty.dxf", "no bytes at all", Vec::new()),
        (
            "dxf/dwg-renamed.dxf",
            "a DWG's first bytes under a DXF's name",
            b"AC1032\0\0\0\0\0\x01made for a test\0".to_vec(),
        ),
        (
            "dxf/pdf-renamed.dxf",
            "a PDF's first line under a DXF's name",
            b"%PDF-1.7\n% made for a test, holds nothing\n%%EOF\n".to_vec(),
        ),
        (
            "dxf/lfs-pointer.dxf",
            "a Git LFS pointer in place of the drawing",
            format!(
                "version https://git-lfs.github.com/spec/v1\noid sha256:{}\nsize 1\n",
                "0".repeat(64)
            )
            .into_bytes(),
        ),
        (
            "dxf/web-page.dxf",
            "a log-in page saved as the drawing",
            b"<!DOCTYPE html>\n<html><title>Sign in</title></html>\n".to_vec(),
        ),
        ("dxf/truncated.dxf", "cut off in the middle of its entities", {
            let at = shed.find("AcDbLine\n").map_or(shed.len() / 2, |i| i + 40);
            shed.as_bytes()[..at].to_vec()
        }),
        (
            "dxf/unitless.dxf",
            "$INSUNITS is 0",
            dxf::write(&self::shed(), Options { insunits: 0, origin: (0, 0) }).into_bytes(),
        ),
        (
            "dxf/no-walls.dxf",
            "text, dimensions and furniture only",
            dxf::write(&furniture_only, Options { insunits: 1, origin: (0, 0) }).into_bytes(),
        ),
        (
            "dxf/unknown-layers.dxf",
            "the walls are on layers that no convention knows",
            shed.replace("A-WALL-EXTR-2X4", "LINES-3")
                .replace("A-WALL-INTR-2X4", "LINES-4")
                .into_bytes(),
        ),
        (
            "dxf/zero-length-wall.dxf",
            "one wall has both ends at the same point",
            shed_and(&line("F01", "A-WALL-INTR-2X4", ["60", "60", "60", "60"])).into_bytes(),
        ),
        (
            "dxf/nan-coordinate.dxf",
            "one coordinate is nan",
            shed_and(&line("F01", "A-WALL-INTR-2X4", ["nan", "60", "90", "60"])).into_bytes(),
        ),
        (
            "dxf/huge-coordinate.dxf",
            "one coordinate is 1e300",
            shed_and(&line("F01", "A-WALL-INTR-2X4", ["1e300", "60", "90", "60"])).into_bytes(),
        ),
        (
            "dxf/garbage-number.dxf",
            "one coordinate is not a number",
            shed_and(&line("F01", "A-WALL-INTR-2X4", ["12,5x", "60", "90", "60"])).into_bytes(),
        ),
        ("ifc/empty.ifc", "no bytes at all", Vec::new()),
        ("ifc/truncated.ifc", "cut off in its data section", cut(&shed_ifc, 60)),
        ("ifc/no-walls.ifc", "a project without walls", ifc::write(&furniture_only).into_bytes()),
        (
            "ifc/empty-archive.ifczip",
            "a ZIP archive with nothing in it",
            b"PK\x05\x06\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0".to_vec(),
        ),
        ("ifc/no-units.ifc", "the project assigns no units", drop_units(&shed_ifc).into_bytes()),
        (
            "ifc/huge-coordinate.ifc",
            "one wall is placed at 1e300",
            far_wall(&shed_ifc).into_bytes(),
        ),
    ]
}

/// Without its length unit, and with that without a unit assignment.
fn drop_units(ifc: &str) -> String {
    let about_units = |l: &&str| !l.contains(".LENGTHUNIT.") && !l.contains("IFCUNITASSIGNMENT");
    ifc.lines().filter(about_units).map(|l| format!("{l}\n")).collect()
}

/// The end of the stem, the only wall 2476.5 mm long, is put beyond all measure.
fn far_wall(ifc: &str) -> String {
    let stem = "IFCCARTESIANPOINT((2482.85,0.))";
    debug_assert!(ifc.contains(stem));
    ifc.replacen(stem, "IFCCARTESIANPOINT((1.E+300,0.))", 1)
}
