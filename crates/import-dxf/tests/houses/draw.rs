//! Ways to draw a house: centrelines clean and messy, wide lines, faces, closed outlines, mirrored blocks.

use crate::house::{Dice, House, HouseWall, Line, faces, outlines};
use geom::Unit;

/// How a drawing is messed up.
pub struct Style {
    pub dice: Dice,
    pub turn: f64,
    pub shift: [f64; 2],
    pub mess: bool,
    pub unit: Unit,
}

impl Style {
    /// Square to the sheet, in inches.
    pub fn plain(dice: Dice, mess: bool) -> Style {
        Style { dice, turn: 0.0, shift: [0.0; 2], mess, unit: Unit::Inch }
    }
    /// Drawing units in an inch.
    pub fn scale(&self) -> f64 {
        1.0 / self.unit.inches()
    }
    pub fn put(&self, p: [f64; 2]) -> [f64; 2] {
        let (s, c) = if self.turn == 0.0 { (0.0, 1.0) } else { self.turn.to_radians().sin_cos() };
        let at = [p[0] * c - p[1] * s + self.shift[0], p[0] * s + p[1] * c + self.shift[1]];
        at.map(|v| v * self.scale())
    }
    /// Lines out of order, backwards, broken, twice over.
    pub fn mess_up(&mut self, lines: Vec<Line>) -> Vec<Line> {
        if !self.mess {
            return lines;
        }
        let mut out = Vec::new();
        for (a, b) in lines {
            let at = |t: f64| [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t];
            let cut =
                if self.dice.chance(30) { 0.1 + self.dice.below(80) as f64 / 100.0 } else { 1.0 };
            // The second piece may overlap the first.
            let back = if self.dice.chance(50) { cut * 0.5 } else { cut };
            out.push((a, at(cut)));
            if cut < 1.0 {
                out.push((at(back), b));
            }
            if self.dice.chance(15) {
                out.push((a, b));
            }
        }
        for l in &mut out {
            if self.dice.chance(50) {
                *l = (l.1, l.0);
            }
        }
        self.dice.shuffle(&mut out);
        out
    }
}

pub fn dxf(entities: &str) -> String {
    format!(
        "  0\nSECTION\n  2\nHEADER\n  9\n$ACADVER\n  1\nAC1015\n  9\n$INSUNITS\n 70\n1\n  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n{entities}  0\nENDSEC\n  0\nEOF\n"
    )
}

pub fn line_entity(style: &Style, handle: usize, layer: &str, l: &Line) -> String {
    let (a, b) = (style.put(l.0), style.put(l.1));
    format!(
        "  0\nLINE\n  5\n{:X}\n  8\n{layer}\n 10\n{:?}\n 20\n{:?}\n 11\n{:?}\n 21\n{:?}\n",
        handle + 256,
        a[0],
        a[1],
        b[0],
        b[1]
    )
}

pub fn loop_entity(style: &Style, handle: usize, points: &[[f64; 2]]) -> String {
    let mut out = format!(
        "  0\nLWPOLYLINE\n  5\n{:X}\n  8\nA-WALL\n 90\n{}\n 70\n1\n",
        handle + 256,
        points.len()
    );
    for p in points {
        let p = style.put(*p);
        out += &format!(" 10\n{:?}\n 20\n{:?}\n", p[0], p[1]);
    }
    out
}

pub fn centrelines(house: &House, style: &mut Style) -> String {
    // Broken and doubled centrelines are another test's matter: here they are the witness.
    let mut out = String::new();
    for (i, w) in house.walls.iter().enumerate() {
        let layer = if w.thickness > 4.0 { "A-WALL-2X6" } else { "A-WALL-2X4" };
        out += &line_entity(style, i, layer, &(w.point(w.from, 0.0), w.point(w.to, 0.0)));
    }
    dxf(&out)
}

/// Centrelines as people draw them: in pieces, backwards, twice, a little short or long, a little off
/// square. Every slip stays within the tolerance of 3/8 in.
pub fn messy_centrelines(house: &House, style: &mut Style) -> String {
    let mut pieces: Vec<(&'static str, Line)> = Vec::new();
    for w in &house.walls {
        let layer = if w.thickness > 4.0 { "A-WALL-2X6" } else { "A-WALL-2X4" };
        let mut cuts = vec![w.from, w.to];
        if style.dice.chance(40) {
            let share = 0.2 + style.dice.below(60) as f64 / 100.0;
            let at = w.from + (w.to - w.from) * share;
            // A seam beside a crossing wall is another matter: which of the two the wall meets.
            let beside = |o: &HouseWall| o.along_x != w.along_x && (o.at - at).abs() < 6.0;
            if !house.walls.iter().any(beside) {
                cuts.insert(1, at);
            }
        }
        for ends in cuts.windows(2) {
            let twice = 1 + usize::from(style.dice.chance(15));
            for _ in 0..twice {
                // Up to 1/8 in short or long at each end.
                let mut slip = || (style.dice.below(17) as f64 - 8.0) / 64.0;
                let (from, to) = (ends[0] + slip(), ends[1] + slip());
                // 0.02 degrees, but no more than 1/8 in over the piece.
                let steep = 0.02_f64.to_radians().tan().min(0.125 / (to - from));
                let off = (to - from) / 2.0 * steep * (style.dice.below(3) as f64 - 1.0);
                let line = (w.point(from, -off), w.point(to, off));
                pieces.push((layer, if style.dice.chance(50) { (line.1, line.0) } else { line }));
            }
        }
    }
    style.dice.shuffle(&mut pieces);
    let text = pieces.iter().enumerate().map(|(i, (layer, l))| line_entity(style, i, layer, l));
    dxf(&text.collect::<String>())
}

/// One polyline a wall, as wide as the wall.
pub fn wide_lines(house: &House, style: &mut Style) -> String {
    let all = house.walls.iter().enumerate();
    let lines = all.map(|(i, w)| {
        let ends = (w.point(w.from, 0.0), w.point(w.to, 0.0));
        wide_entity(style, i, "A-WALL", w.thickness, &ends)
    });
    dxf(&lines.collect::<String>())
}

/// A polyline of two points with a width, inches.
pub fn wide_entity(style: &Style, handle: usize, layer: &str, width: f64, l: &Line) -> String {
    let mut out = format!(
        "  0\nLWPOLYLINE\n  5\n{:X}\n  8\n{layer}\n 90\n2\n 70\n0\n 43\n{:?}\n",
        handle + 256,
        width * style.scale()
    );
    for p in [l.0, l.1].map(|p| style.put(p)) {
        out += &format!(" 10\n{:?}\n 20\n{:?}\n", p[0], p[1]);
    }
    out
}

/// Mirror and turn as INSERT does: scale, turn by quarters, move.
#[derive(Clone, Copy)]
pub struct Placing {
    pub scale: [f64; 2],
    pub quarters: u64,
    pub at: [f64; 2],
}

impl Placing {
    pub fn of(dice: &mut Dice) -> Placing {
        let sign = |d: &mut Dice| if d.chance(50) { -1.0 } else { 1.0 };
        Placing {
            scale: [sign(dice), sign(dice)],
            quarters: dice.below(4),
            at: [dice.below(4000) as f64 - 2000.0, dice.below(4000) as f64 - 2000.0],
        }
    }
    /// Where a point must be in the block to land here.
    pub fn back(&self, p: [f64; 2]) -> [f64; 2] {
        let d = [p[0] - self.at[0], p[1] - self.at[1]];
        let turned = match self.quarters {
            0 => d,
            1 => [d[1], -d[0]],
            2 => [-d[0], -d[1]],
            _ => [-d[1], d[0]],
        };
        [turned[0] / self.scale[0], turned[1] / self.scale[1]]
    }
    pub fn insert(&self, handle: usize, layer: &str, block: &str) -> String {
        format!(
            "  0\nINSERT\n  5\n{:X}\n  8\n{layer}\n  2\n{block}\n 10\n{:?}\n 20\n{:?}\n 41\n{:?}\n 42\n{:?}\n 50\n{:?}\n",
            handle + 256,
            self.at[0],
            self.at[1],
            self.scale[0],
            self.scale[1],
            self.quarters as f64 * 90.0
        )
    }
}

/// The faces inside blocks that are mirrored and turned: each line in one of two inner blocks on layer
/// 0, those in an outer block, that in the model.
pub fn mirrored_blocks(house: &House, style: &mut Style) -> String {
    let outer = Placing::of(&mut style.dice);
    let inner = [Placing::of(&mut style.dice), Placing::of(&mut style.dice)];
    let mut blocks = [String::new(), String::new()];
    for (i, l) in faces(house, true).iter().enumerate() {
        let which = style.dice.below(2) as usize;
        let place = |p: [f64; 2]| inner[which].back(outer.back(style.put(p)));
        let plain = Style::plain(Dice(0), false);
        blocks[which] += &line_entity(&plain, i, "0", &(place(l.0), place(l.1)));
    }
    let block = |name: &str, entities: &str| {
        format!(
            "  0\nBLOCK\n  8\n0\n  2\n{name}\n 70\n0\n 10\n0.0\n 20\n0.0\n{entities}  0\nENDBLK\n"
        )
    };
    let nested = inner[0].insert(90_001, "0", "ONE") + &inner[1].insert(90_002, "0", "TWO");
    let all =
        [block("ONE", &blocks[0]), block("TWO", &blocks[1]), block("HOUSE", &nested)].concat();
    dxf(&outer.insert(90_003, "A-WALL", "HOUSE")).replacen(
        "  0\nSECTION\n  2\nENTITIES\n",
        &format!("  0\nSECTION\n  2\nBLOCKS\n{all}  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n"),
        1,
    )
}

pub fn face_drawing(house: &House, style: &mut Style, jambs: bool) -> String {
    let lines = style.mess_up(faces(house, jambs));
    let text: String =
        lines.iter().enumerate().map(|(i, l)| line_entity(style, i, "A-WALL", l)).collect();
    dxf(&text)
}

pub fn outline_drawing(house: &House, style: &mut Style) -> String {
    let mut loops = outlines(house);
    style.dice.shuffle(&mut loops);
    for l in &mut loops {
        if style.mess && style.dice.chance(50) {
            l.reverse();
        }
    }
    let text: String = loops.iter().enumerate().map(|(i, l)| loop_entity(style, i, l)).collect();
    dxf(&text)
}
