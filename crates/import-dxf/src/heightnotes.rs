//! Heights that the drawing tells in words, beside the tops its walls are planned with.
//!
//! Knows: texts and typed dimensions with heights of plates, walls and ceilings, the plan each stands in.
//! Never touches: the words themselves (`heightwords`), how tops are set: a plan drawing has none, so
//! they are the settings'.

use crate::affine::Xy;
use crate::heightwords::{HeightOf, heights};
use crate::linework::{NO_STRING, mark};
use crate::patches::{apart, of_point};
use crate::region::Region;
use crate::report::{NAMED, Placed};
use crate::survey::{Survey, plural};
use crate::walls::WallLine;
use diag::codes::dxf;
use diag::{Finding, SourceRef};
use geom::Length;
use std::collections::{BTreeMap, BTreeSet};

/// Tops and written heights that differ by no more are the same, inches: people round to the eighth.
const SAME_IN: f64 = 0.125;
/// A note this near a plan is of that plan, inches.
const NEAR_IN: f64 = 12.0;

/// A height that the drawing tells.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct HeightNote {
    /// The storey whose plan it stands in; empty where it stands beside the plans and is of all of them.
    pub storey: String,
    /// Of what.
    pub of: HeightOf,
    /// Above the floor.
    pub height: Length,
    /// As written, in one line.
    pub text: String,
    /// How many times.
    pub times: usize,
    /// The first place it is written.
    pub source: SourceRef,
    /// Whether some wall of the storey, or of all, is planned so: its top there, or for a ceiling there or higher.
    pub met: bool,
}

/// A text, where it is from and where it stands, inches.
type Written = (SourceRef, Xy, String);

/// The heights told in words, in order of storey and height, each once, and what does not fit the walls.
pub(crate) fn height_notes(
    s: &Survey<'_>,
    k: f64,
    metric: bool,
    (regions, storeys): (&[Region], &[String]),
    (walls, of): (&[WallLine], &[usize]),
) -> (Vec<HeightNote>, Vec<Placed>) {
    let mut groups: BTreeMap<(Option<usize>, HeightOf, Length), Vec<Written>> = BTreeMap::new();
    for (source, at, text) in written(s, k) {
        let told = heights(&text, metric);
        if told.is_empty() {
            continue;
        }
        let inside =
            |r: &&Region| r.planned && apart(&r.bounds.map(|v| v * k), &of_point(at)) <= NEAR_IN;
        let storey = regions
            .iter()
            .find(inside)
            .and_then(|r| storeys.iter().position(|name| *name == r.storey));
        for (what, height) in told {
            groups.entry((storey, what, height)).or_default().push((
                source.clone(),
                at,
                text.clone(),
            ));
        }
    }
    let mut notes = Vec::new();
    let mut told = Vec::new();
    for ((storey, what, height), mut places) in groups {
        places.sort_by(|a, b| a.0.cmp(&b.0).then(a.2.cmp(&b.2)));
        let Some((source, at, text)) = places.first().cloned() else { continue };
        // Under a roof the top is the roof's, and a note speaks of its lower end at best.
        let own = walls
            .iter()
            .zip(of)
            .filter(|(w, of)| w.spec.roof.is_none() && storey.is_none_or(|n| n == **of));
        let tops: BTreeSet<Length> = own.map(|(w, _)| w.spec.top).collect();
        let written_in = height.to_inches();
        let fits = |top: &Length| match what {
            HeightOf::Ceiling => top.to_inches() >= written_in - SAME_IN,
            _ => (top.to_inches() - written_in).abs() <= SAME_IN,
        };
        let met = tops.is_empty() || tops.iter().any(fits);
        let name = storey.and_then(|n| storeys.get(n)).cloned().unwrap_or_default();
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let note =
            HeightNote { storey: name, of: what, height, text, times: places.len(), source, met };
        if !met {
            told.push(Placed {
                finding: unmet(&note, &tops, storeys.len() > 1),
                at_in: storey.map(|_| at),
            });
        }
        notes.push(note);
    }
    let more = told.len().saturating_sub(NAMED);
    told.truncate(NAMED);
    if more > 0 {
        let words = format!("{more} more written {} fit no wall.", plural(more as u64, "height"));
        told.push(Finding::new(dxf::HEIGHT_NOTE, words).into());
    }
    (notes, told)
}

fn unmet(note: &HeightNote, tops: &BTreeSet<Length>, several: bool) -> Finding {
    let HeightNote { of, height, text, times, source, storey, .. } = note;
    let shown: Vec<String> = tops.iter().take(4).map(|t| t.feet_inches().to_string()).collect();
    let shown =
        if tops.len() > 4 { format!("{}, ...", shown.join(", ")) } else { shown.join(", ") };
    let more = match times - 1 {
        0 => String::new(),
        n => format!(", and {n} more {} of it", plural(n as u64, "note")),
    };
    let whose = match (several, storey.is_empty()) {
        (true, false) => format!(" on {storey}"),
        _ => String::new(),
    };
    let (trouble, set) = match of {
        HeightOf::Ceiling => {
            ("is as high", "A ceiling needs plates at its height or above it: set")
        }
        _ => ("ends there", "If the note holds, set"),
    };
    let entity = match source.layer.is_empty() {
        true => source.entity.clone(),
        false => format!("{} on layer {}", source.entity, source.layer),
    };
    let setting = match of {
        HeightOf::Ceiling => "default_top in the settings".to_owned(),
        _ => format!(
            "default_top = {} in the settings",
            crate::inspect::toml_string(&height.feet_inches().to_string())
        ),
    };
    Finding::new(
        dxf::HEIGHT_NOTE,
        format!(
            "\u{201c}{}\u{201d} is written in the drawing ({entity}{more}): {} at {}. No wall{whose} {trouble}; {} \
             planned with the top of the upper plate at {shown}. {set} {setting}, or top under [[layers]] for \
             the walls it is about.",
            shortened(text),
            of.name(),
            height.feet_inches(),
            if *of == HeightOf::Ceiling || tops.len() != 1 { "they are" } else { "all are" },
        ),
    )
    .about(source.entity.clone())
    .from(std::slice::from_ref(source))
}

/// The first words of a long text.
fn shortened(text: &str) -> String {
    const LONGEST: usize = 60;
    match text.chars().count() > LONGEST {
        true => text.chars().take(LONGEST).collect::<String>() + "...",
        false => text.to_owned(),
    }
}

/// Every visible text with a digit in it, and its place in inches: texts, attributes, typed dimensions.
fn written(s: &Survey<'_>, k: f64) -> Vec<Written> {
    let hidden = |shape: u32| s.fates.get(shape as usize).is_some_and(|f| f.is_unseen());
    let mut out = Vec::new();
    let mut add = |source: SourceRef, at: Xy, string: u32| {
        if string == NO_STRING || !s.file.has_digit(string) || !at.iter().all(|v| v.is_finite()) {
            return;
        }
        out.push((source, [at[0] * k, at[1] * k], s.file.plain_text(string)));
    };
    for t in &s.drawing.lines.texts {
        if t.marks & (mark::INVISIBLE | mark::FROZEN) == 0 && !hidden(t.shape) {
            let source = SourceRef {
                entity: s.drawing.entity(&s.file, t.pos, t.via),
                layer: s.drawing.layer_name(t.layer).to_owned(),
            };
            add(source, t.at, t.string);
        }
    }
    for d in &s.drawing.lines.dimensions {
        if !hidden(d.shape) {
            let [a, b] = d.between;
            add(s.source(d.shape as usize), [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0], d.typed);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::Dxf;
    use crate::{inspect, read};
    use settings::Settings;

    /// A house with texts of a height each, at a place.
    fn house_with_notes(notes: &[(&str, [f64; 2])]) -> String {
        let mut d = Dxf::inches().house();
        for (i, (text, [x, y])) in notes.iter().enumerate() {
            d = d.raw(&format!(
                "  0\nTEXT\n  5\nA{i}\n  8\nA-ANNO\n 10\n{x:?}\n 20\n{y:?}\n 40\n6.0\n  1\n{text}\n"
            ));
        }
        d.text()
    }

    #[test]
    fn heights_written_in_the_drawing_are_held_against_the_tops() {
        let text = house_with_notes(&[
            ("9'-1 1/8\" PLATE HT.", [100.0, 100.0]),
            ("PLATE HT. 9'-1 1/8\"", [300.0, 100.0]),
            ("9'-0\" CLG.", [200.0, 200.0]),
            ("STUDY 12'-0\" x 10'-0\"", [200.0, 250.0]),
        ]);
        let out = read(text.as_bytes(), &Settings::default()).unwrap();
        let told: Vec<&Finding> =
            out.findings.iter().filter(|f| f.code == dxf::HEIGHT_NOTE).collect();
        assert_eq!(told.len(), 2, "{told:#?}");
        assert!(told[0].message.contains("(A0 on layer A-ANNO"), "{}", told[0].message);
        assert!(told[0].message.contains("and 1 more note of it"), "{}", told[0].message);
        assert!(told[0].message.contains("default_top = \"9'-1 1/8\\\"\""), "{}", told[0].message);
        assert!(told[1].message.contains("ceiling at 9'-0\""), "{}", told[1].message);
        assert!(told.iter().all(|f| f.at.is_some()));

        // Obeyed, nothing is left to say, and inspect lists them all the same.
        let top = Length::sixteenths(109 * 16 + 2);
        let settings = Settings { default_top: top, ..Settings::default() };
        let out = read(text.as_bytes(), &settings).unwrap();
        assert!(out.findings.iter().all(|f| f.code != dxf::HEIGHT_NOTE));
        let seen = inspect(text.as_bytes(), &settings).unwrap();
        let listed: Vec<_> =
            seen.heights.iter().map(|h| (h.of, h.height, h.times, h.met)).collect();
        assert_eq!(
            listed,
            [(HeightOf::Plate, top, 2, true), (HeightOf::Ceiling, Length::inches(108), 1, true)]
        );
    }

    #[test]
    fn a_height_beside_the_plan_is_about_all_of_it_and_hidden_ones_are_about_nothing() {
        let text = house_with_notes(&[("WALL HEIGHT 10'-0\"", [900.0, 100.0])]);
        let out = read(text.as_bytes(), &Settings::default()).unwrap();
        let told = out.findings.iter().find(|f| f.code == dxf::HEIGHT_NOTE).expect("told");
        assert!(told.at.is_none() && told.message.contains("walls at 10'-0\""), "{}", told.message);
        let hidden = text.replace("A-ANNO\n 10", "A-ANNO\n 60\n1\n 10");
        let out = read(hidden.as_bytes(), &Settings::default()).unwrap();
        assert!(out.findings.iter().all(|f| f.code != dxf::HEIGHT_NOTE));
    }
}
