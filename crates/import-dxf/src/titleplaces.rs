//! Which drawing on a sheet a title belongs to.
//!
//! Knows: where titles stand. Never touches: what their words mean (`titles`), walls.

use crate::account::{Fate, Reason};
use crate::affine::Xy;
use crate::linework::mark;
use crate::patches::{Box4, apart, of_point};
use crate::region::Group;
use crate::survey::Survey;
use crate::titles::{DrawingKind, Title, may_be_title, title};
use std::collections::BTreeSet;

/// A title is no farther from its drawing than this, inches, or than [`TITLE_SHARE`] of its height.
const TITLE_IN: f64 = 240.0;
/// See [`TITLE_IN`].
const TITLE_SHARE: f64 = 0.35;
/// Distance of a title above a drawing counts this much more than below it.
const ABOVE: f64 = 2.0;

/// Texts that stand at groups of walls as titles do, as tall as the titles that are understood, in words that are
/// not.
pub(crate) fn likely_titles(
    s: &Survey<'_>,
    k: f64,
    titles: &[(Xy, Title)],
    groups: &[Group],
) -> Vec<(Xy, Title)> {
    let known: BTreeSet<&str> = titles.iter().map(|t| t.1.text.as_str()).collect();
    let texts = s.drawing.lines.texts.iter().filter(|t| is_shown(s, t));
    let with_words = texts.filter(|t| t.at.iter().all(|v| v.is_finite())).map(|t| {
        let text = s.file.plain_text(t.string);
        (
            [t.at[0] * k, t.at[1] * k],
            t.height,
            text.split_whitespace().collect::<Vec<_>>().join(" "),
        )
    });
    let all: Vec<(Xy, f64, String)> = with_words.collect();
    let of_titles = all.iter().filter(|t| known.contains(t.2.as_str())).map(|t| t.1);
    let least = of_titles.fold(f64::INFINITY, f64::min) * 0.9;
    let outside = |p: Xy| groups.iter().all(|g| apart(&g.bounds, &of_point(p)) > 0.0);
    all.into_iter()
        .filter(|t| t.1 >= least && !known.contains(t.2.as_str()) && outside(t.0))
        .filter(|t| may_be_title(&t.2))
        .map(|(at, _, text)| {
            let kind = DrawingKind::FloorPlan;
            (at, Title { text, kind, storey: None, number: None, variant: false })
        })
        .collect()
}

fn is_shown(s: &Survey<'_>, t: &crate::linework::Text) -> bool {
    let fate = s.fates.get(t.shape as usize);
    t.marks & (mark::INVISIBLE | mark::FROZEN) == 0
        && !matches!(fate, Some(Fate::Left(Reason::Off | Reason::Frozen | Reason::Invisible)))
}

/// Titles with their place in inches.
pub(crate) fn titles(s: &Survey<'_>, k: f64) -> Vec<(Xy, Title)> {
    let texts: Vec<_> = s.drawing.lines.texts.iter().filter(|t| is_shown(s, t)).collect();
    let mut heights: Vec<f64> = texts.iter().map(|t| t.height).filter(|h| h.is_finite()).collect();
    heights.sort_by(f64::total_cmp);
    // Titles are at least as tall as most of what is written.
    let tall = heights.get(heights.len() / 2).copied().unwrap_or(0.0) * 0.99;
    let mut out: Vec<(Xy, Title)> = texts
        .iter()
        .filter(|t| t.height >= tall && t.at.iter().all(|v| v.is_finite()))
        .filter_map(|t| Some(([t.at[0] * k, t.at[1] * k], title(&s.file.plain_text(t.string))?)))
        .collect();
    out.sort_by(|a, b| {
        a.0[0].total_cmp(&b.0[0]).then(a.0[1].total_cmp(&b.0[1])).then(a.1.text.cmp(&b.1.text))
    });
    out
}

/// For each title the box it belongs to, and how near it is.
pub(crate) fn assign(
    titles: &[(Xy, Title)],
    boxes: &[Box4],
    with_walls: usize,
) -> Vec<Option<(usize, f64)>> {
    let near = |p: Xy, t: &Title| {
        boxes
            .iter()
            .enumerate()
            .filter_map(|(i, b)| {
                let d = apart(b, &of_point(p));
                let height = b[3] - b[1];
                // The middle of a plan has marks of sections and elevations, not their titles.
                let inside = p[1] > b[1] + height * 0.15 && p[1] < b[3] - height * 0.05 && d <= 0.0;
                if i < with_walls && t.kind != DrawingKind::FloorPlan && inside {
                    return None;
                }
                let far = if p[1] > b[3] { d * ABOVE } else { d };
                (far <= TITLE_IN.max(height * TITLE_SHARE)).then_some((far, i))
            })
            .min_by(|x, y| x.0.total_cmp(&y.0).then(x.1.cmp(&y.1)))
            .map(|(d, i)| (i, d))
    };
    titles.iter().map(|(p, t)| near(*p, t)).collect()
}

/// The title of a box: a floor plan's before others, then the nearest.
pub(crate) fn best_title(
    of: &[Option<(usize, f64)>],
    titles: &[(Xy, Title)],
    i: usize,
) -> Option<Title> {
    of.iter()
        .zip(titles)
        .filter_map(|(o, t)| o.filter(|o| o.0 == i).map(|o| (o.1, t)))
        .min_by(|x, y| {
            let rank = |t: &Title| (t.kind != DrawingKind::FloorPlan, t.storey.is_none());
            rank(&x.1.1)
                .cmp(&rank(&y.1.1))
                .then(x.0.total_cmp(&y.0))
                .then(x.1.1.text.cmp(&y.1.1.text))
        })
        .map(|x| x.1.1.clone())
}
