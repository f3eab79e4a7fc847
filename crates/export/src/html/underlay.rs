//! What lies under the plates: the drawing's own lines, read and left out, and the walls that were
//! made of them.

use super::drawing::Drawing;
use super::ink::{self, Path, whole};
use geom::Length;
use std::collections::BTreeMap;

/// The drawing's lines on this storey, one path a layer and fate. What was left out has the number of
/// its reason in the ledger.
pub(super) fn lines(d: &mut Drawing, out: &mut String) {
    let doc = d.view.doc;
    let reasons: BTreeMap<&str, usize> =
        doc.ledger.ignored().enumerate().map(|(i, (reason, _))| (reason, i + 1)).collect();
    let here = |s: Option<wall_model::StoreyId>| s.is_none_or(|s| s.0 as usize == d.sheet.storey);
    for group in doc.linework.groups.iter().filter(|g| here(g.storey)) {
        out.push_str("<path class=\"");
        match &group.left_out {
            None => out.push_str("used\""),
            Some(reason) => {
                out.push_str("left\"");
                if let Some(number) = reasons.get(reason.as_str()) {
                    out.push_str(" data-l=\"");
                    whole(out, *number);
                    out.push('"');
                }
            }
        }
        out.push_str(" data-layer=\"");
        ink::text(out, &group.layer);
        out.push_str("\" d=\"");
        let mut last = None;
        for [x1, y1, x2, y2] in &group.lines_in {
            if ![x1, y1, x2, y2].iter().all(|v| v.is_finite() && v.abs() < 1.0e9) {
                continue;
            }
            // A tenth of an inch is fine enough for a picture.
            let place = |x: &f32, y: &f32| [x, y].map(|v| (f64::from(*v) * 10.0).round() / 10.0);
            let ([ax, ay], [bx, by]) = (place(x1, y1), place(x2, y2));
            let (a, b) = ((ax, -ay), (bx, -by));
            let mut path = Path::on(out);
            match last {
                Some(last) => path.again(last, a),
                None => path.from(a),
            }
            .to(b);
            last = Some(b);
        }
        out.push_str("\"/>");
    }
}

impl Drawing<'_> {
    /// Every wall as drawn, finishes included, about its framing centreline.
    pub(super) fn wall_bodies(&mut self, out: &mut String) {
        let mut centres = String::new();
        for w in &self.sheet.walls {
            let wall = &self.view.doc.floor.walls[*w];
            let frame = self.view.frame(wall.run);
            let (a, b) = (frame.locate(wall.start).0, frame.locate(wall.end).0);
            let half = wall.drawn_thickness.half();
            out.push_str("<path data-w=\"");
            whole(out, w + 1);
            out.push_str("\" d=\"");
            let corners = [(a, -half), (b, -half), (b, half), (a, half)];
            Path::on(out).ring(corners.into_iter().map(|(s, o)| self.on_run(wall.run, s, o)));
            out.push_str("\"/>");
            let ends = [a, b].map(|s| self.on_run(wall.run, s, Length::ZERO));
            Path::on(&mut centres).from(ends[0]).to(ends[1]);
        }
        for part in ["<path class=\"centre\" d=\"", &centres, "\"/>"] {
            out.push_str(part);
        }
    }
}
