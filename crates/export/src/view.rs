//! The document with what several writers need beside it, worked out once.

use crate::ExportError;
use crate::check::check;
use crate::groups::Groups;
use crate::shape::Shape;
use geom::{Frame, Length};
use plan_model::{Document, Layer, Piece, PieceId, wall_name};
use settings::FeedUnit;
use wall_model::floor::RunId;

/// A checked document and its derived facts. Everything here is linear in the document, but for
/// sorting.
pub struct View<'a> {
    /// The document; every id in it is good.
    pub doc: &'a Document,
    /// Equal pieces.
    pub groups: Groups,
    /// By piece.
    pub shapes: Vec<Shape>,
    /// By run.
    pub frames: Vec<Frame>,
    /// By run: the end faces, the least and greatest station of its lower pieces (of its nodes,
    /// where there are none). What a crew measures from.
    pub faces: Vec<(Length, Length)>,
    /// By run: the lower piece whose start is the first of those faces.
    pub first_lower: Vec<Option<PieceId>>,
    /// By piece: the board it is cut from, an index into the document's boards.
    pub board_of: Vec<Option<usize>>,
    /// By run: its walls as station from, station to, index.
    run_walls: Vec<Vec<(Length, Length, usize)>>,
}

impl View<'_> {
    /// Checks the document and derives the rest.
    pub fn of(doc: &Document) -> Result<View<'_>, ExportError> {
        check(doc)?;
        let floor = &doc.floor;
        let pieces = &doc.plan.pieces;
        let frames: Vec<Frame> = floor.runs.iter().map(|r| r.frame()).collect();
        let shapes: Vec<Shape> =
            pieces.iter().map(|p| Shape::of(p, &frames[p.run.0 as usize])).collect();
        let mut board_of = vec![None; pieces.len()];
        for (b, board) in doc.boards.iter().enumerate() {
            for piece in &board.cuts {
                board_of[piece.0 as usize] = Some(b);
            }
        }
        let run_walls = floor
            .runs
            .iter()
            .zip(&frames)
            .map(|(run, frame)| {
                let span = |w: &u32| {
                    let wall = &floor.walls[*w as usize];
                    let (a, b) = (frame.locate(wall.start).0, frame.locate(wall.end).0);
                    (a.min(b), a.max(b), *w as usize)
                };
                run.walls.iter().map(span).collect()
            })
            .collect();
        let groups = Groups::of(&doc.plan, &shapes);
        let (faces, first_lower) = faces(doc);
        Ok(View { doc, groups, shapes, frames, faces, first_lower, board_of, run_walls })
    }

    /// Every piece with its id.
    pub fn pieces(&self) -> impl Iterator<Item = (PieceId, &Piece)> {
        self.doc.plan.pieces.iter().enumerate().map(|(i, p)| (PieceId(i as u32), p))
    }

    /// The walls a piece lies on, in order along the run. Never empty for a run that has walls: a
    /// corner piece beyond the last node belongs to the last wall.
    pub fn walls_of(&self, piece: &Piece) -> &[(Length, Length, usize)] {
        let walls = &self.run_walls[piece.run.0 as usize];
        let first = walls.partition_point(|(_, to, _)| *to <= piece.from);
        let last = walls.partition_point(|(from, _, _)| *from < piece.to);
        if first < last {
            return &walls[first..last];
        }
        let nearest = first.min(walls.len().saturating_sub(1));
        walls.get(nearest..=nearest).unwrap_or(&[])
    }

    /// The walls a piece lies on: `W3` or `W3 W4`.
    pub fn wall_names(&self, piece: &Piece) -> String {
        let names: Vec<String> =
            self.walls_of(piece).iter().map(|(_, _, w)| wall_name(*w)).collect();
        names.join(" ")
    }

    /// Notches and compound ends of a piece for a machine, apart by spaces.
    pub fn notch_codes(&self, id: PieceId, unit: FeedUnit) -> String {
        let piece = self.doc.piece(id);
        let notches = piece.notches.iter();
        let mut codes: Vec<String> =
            notches.map(|n| crate::text::notch_code(n, unit == FeedUnit::Millimetres)).collect();
        for (cuts, end) in self.shapes[id.0 as usize].end_cuts.iter().zip(["left", "right"]) {
            if *cuts > 1 {
                codes.push(format!("{end}-end-{cuts}-cuts"));
            }
        }
        codes.join(" ")
    }

    /// The frame of a run.
    pub fn frame(&self, run: RunId) -> &Frame {
        &self.frames[run.0 as usize]
    }
}

fn faces(doc: &Document) -> (Vec<(Length, Length)>, Vec<Option<PieceId>>) {
    let mut faces: Vec<Option<(Length, Length)>> = vec![None; doc.floor.runs.len()];
    let mut first: Vec<Option<PieceId>> = vec![None; doc.floor.runs.len()];
    for (i, p) in doc.plan.pieces.iter().enumerate().filter(|(_, p)| p.layer == Layer::Lower) {
        let run = p.run.0 as usize;
        if faces[run].is_none_or(|(least, _)| p.from < least) {
            first[run] = Some(PieceId(i as u32));
        }
        let (a, b) = faces[run].unwrap_or((p.from, p.to));
        faces[run] = Some((a.min(p.from), b.max(p.to)));
    }
    let nodes = doc.floor.runs.iter().map(|r| (Length::ZERO, r.length()));
    let faces = faces.into_iter().zip(nodes).map(|(f, n)| f.unwrap_or(n)).collect();
    (faces, first)
}
