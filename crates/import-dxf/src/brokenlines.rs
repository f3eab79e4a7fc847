//! Lines of the wall layers that are drawn hidden, dashed or dotted.
//!
//! Knows: the names of such line types, of entities and of layers. Never touches: geometry beyond lengths.
//!
//! In a plan such a line is what is above or below the cut (a beam, a header, an overhang) or what is to go
//! (ISO 128-2 and the National CAD Standard, from memory): no wall of this floor. They are left out, with a
//! warning, unless most of the walls are drawn so.

use crate::account::{Fate, Reason};
use crate::affine::{norm, sub};
use crate::file::DxfFile;
use crate::flatten::Drawing;
use crate::layers::{LayerRole, Usage};
use crate::linework::{Shape, mark};
use crate::report::NAMED;
use crate::survey::Survey;
use diag::codes::dxf;
use diag::words::{counted, is, was};
use diag::{Finding, SourceRef};
use std::collections::BTreeMap;

/// How such line types begin, after the prefix of a bound reference. Not centre lines: walls are drawn so.
const BEGIN: &[&str] = &[
    "HIDDEN",
    "DASHED",
    "DASH2",
    "DOT",
    "PHANTOM",
    "ACAD_ISO02",
    "ACAD_ISO03",
    "ACAD_ISO07",
    "VERDECKT",
    "GESTRICHELT",
    "STRICHLINIERT",
    "TRATTEGGIAT",
    "OCULT",
    "TRAZOS",
    "TRACEJAD",
    "CACHE",
    "INTERROMPU",
    "DEMO",
];

/// Whether a line type of this name is broken.
pub(crate) fn is_broken(name: &[u8]) -> bool {
    let own = name.rsplit(|b| matches!(b, b'$' | b'|')).next().unwrap_or(name);
    let begins =
        |w: &&str| own.get(..w.len()).is_some_and(|o| o.eq_ignore_ascii_case(w.as_bytes()));
    own.eq_ignore_ascii_case(b"DASH") || BEGIN.iter().any(begins)
}

/// The marks of an entity that names this line type.
pub(crate) fn marks(name: &[u8]) -> u16 {
    match name {
        _ if name.eq_ignore_ascii_case(b"BYLAYER") => 0,
        _ if is_broken(name) => mark::BROKEN | mark::OWN_LINE_TYPE,
        _ => mark::OWN_LINE_TYPE,
    }
}

fn is_drawn_broken(drawing: &Drawing, shape: &Shape) -> bool {
    let of_layer = || drawing.layers.get(shape.layer as usize).is_some_and(|l| l.broken.is_some());
    match shape.marks & mark::OWN_LINE_TYPE != 0 {
        true => shape.marks & mark::BROKEN != 0,
        false => of_layer(),
    }
}

/// Leaves them out, where they are less than half of the walls' lines.
pub(crate) fn leave_out(drawing: &Drawing, roles: &[LayerRole], fates: &mut [Fate]) {
    let lines = &drawing.lines;
    let is_wall = |l: u32| roles.get(l as usize).is_some_and(|r| r.usage == Usage::Wall);
    let mut broken: Vec<usize> = Vec::new();
    let (mut of_broken, mut all) = (0.0, 0.0);
    for (i, shape) in lines.shapes.iter().enumerate() {
        if fates.get(i) != Some(&Fate::Open) || !is_wall(shape.layer) {
            continue;
        }
        let own = lines.segments_of(i).filter_map(|j| lines.segments.get(j));
        let length: f64 = own.map(|g| norm(sub(g.b, g.a))).sum();
        all += length;
        if is_drawn_broken(drawing, shape) {
            of_broken += length;
            broken.push(i);
        }
    }
    if of_broken * 2.0 >= all {
        return;
    }
    for i in broken {
        if let Some(slot) = fates.get_mut(i) {
            *slot = Fate::Left(Reason::Broken);
        }
    }
}

fn line_type(file: &DxfFile<'_>, drawing: &Drawing, shape: &Shape) -> String {
    let of_layer = || drawing.layers.get(shape.layer as usize).and_then(|l| l.broken.clone());
    match shape.marks & mark::OWN_LINE_TYPE != 0 {
        true => file.line_type(shape.pos),
        false => of_layer().unwrap_or_default(),
    }
}

/// Says which there are, by layer and line type, and what became of them.
pub(crate) fn findings(s: &Survey<'_>) -> Vec<Finding> {
    let mut groups: BTreeMap<(u32, String, bool), Vec<SourceRef>> = BTreeMap::new();
    for (i, shape) in s.drawing.lines.shapes.iter().enumerate() {
        let left = match s.fates.get(i) {
            Some(Fate::Left(Reason::Broken)) => true,
            Some(Fate::Used) => false,
            _ => continue,
        };
        if s.usage(shape.layer) == Usage::Wall && is_drawn_broken(&s.drawing, shape) {
            let name = line_type(&s.file, &s.drawing, shape);
            groups.entry((shape.layer, name, left)).or_default().push(s.source(i));
        }
    }
    let say = |((layer, name, left), mut sources): ((u32, String, bool), Vec<SourceRef>)| {
        let count = sources.len();
        sources.sort();
        sources.truncate(NAMED);
        let layer = s.drawing.layer_name(layer);
        let what = match left {
            true => {
                "left out: lines drawn so are what is above or below, or is to be demolished. If there is a wall \
                 of this floor among them, its plates are missing: give it a continuous line type"
            }
            false => {
                "planned as walls, since most of the walls are drawn so. If there are beams, headers or walls to \
                 be demolished among them, put these on another layer"
            }
        };
        let message = format!(
            "{} on wall layer {layer} {} drawn in line type {name} and {} {what}.",
            counted(count, "line"),
            is(count),
            was(count)
        );
        Finding::new(dxf::BROKEN_LINES, message).about(layer).from(&sources)
    };
    groups.into_iter().map(say).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{Dxf, line};
    use crate::tests::{ok, with};

    #[test]
    fn names_of_line_types() {
        for broken in
            ["HIDDEN", "Hidden2", "DASHED", "DASHEDX2", "x$0$DASHED2", "ACAD_ISO02W100", "DOT"]
        {
            assert!(is_broken(broken.as_bytes()), "{broken}");
        }
        for not in ["Continuous", "CENTER", "DASHDOT", "ByLayer", "", "ACAD_ISO04W100", "BORDER"] {
            assert!(!is_broken(not.as_bytes()), "{not}");
        }
    }

    fn beam(line_type: &str) -> String {
        line("B1", "A-WALL", [0.0, 180.0], [480.0, 180.0])
            .replace("  8\nA-WALL\n", &format!("  8\nA-WALL\n  6\n{line_type}\n"))
    }

    #[test]
    fn a_hidden_beam_on_the_wall_layer_is_no_wall() {
        let o = ok(&Dxf::inches().house().raw(&beam("HIDDEN")));
        assert_eq!(o.value.walls.len(), 4);
        let told = with(&o.findings, "dxf-broken-lines");
        assert_eq!(told.len(), 1);
        for part in ["1 line", "A-WALL", "HIDDEN", "left out"] {
            assert!(told[0].message.contains(part), "{part}: {}", told[0].message);
        }
        // A continuous line, and one of the layer's line type.
        assert_eq!(ok(&Dxf::inches().house().raw(&beam("Continuous"))).value.walls.len(), 5);
        assert_eq!(ok(&Dxf::inches().house().raw(&beam("BYLAYER"))).value.walls.len(), 5);
    }

    #[test]
    fn a_layer_of_dashed_lines_among_others_and_alone() {
        let layer = "  0\nLAYER\n  2\nA-WALL-BEAM\n 70\n0\n 62\n7\n  6\nDASHED\n";
        let d = Dxf::inches().raw_layer(layer);
        let beam = d.clone().house().line("A-WALL-BEAM", [0.0, 180.0], [480.0, 180.0]);
        let o = ok(&beam);
        assert_eq!(o.value.walls.len(), 4);
        assert!(with(&o.findings, "dxf-broken-lines")[0].message.contains("DASHED"));
        // All walls so: they are what there is.
        let all = [[0.0, 0.0], [480.0, 0.0], [480.0, 360.0], [0.0, 360.0]];
        let o = ok(&d.polyline("A-WALL-BEAM", &all, true));
        assert_eq!(o.value.walls.len(), 4);
        assert!(with(&o.findings, "dxf-broken-lines")[0].message.contains("planned as walls"));
    }
}
