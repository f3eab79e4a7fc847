//! Texts and dimensions: from tags to what is written where.
//!
//! Knows: the group codes of TEXT, MTEXT, ATTRIB, ATTDEF and DIMENSION. Never touches: what the texts
//! say (see `plain`), what is made of them.
//!
//! Group codes: Autodesk DXF reference, "ENTITIES section". TEXT and attributes lie in their own
//! plane, MTEXT and the measured points of a DIMENSION in the world's.

use crate::affine::{Affine, Plane, Xy, exact_sin_cos, norm, plane, sub};
use crate::entity::{After, Common, EntityReader, Field};
use crate::linework::{
    Dimension, Kind, Linework, Measures, NO_SHAPE, NO_STRING, NOT_INSERTED, Text,
};
use crate::tag::{Tag, Tags};
use std::borrow::Cow;

/// Strings as they stand in the file, by number.
#[derive(Clone, Debug, Default)]
pub(crate) struct RawStrings {
    /// One after the other.
    bytes: Vec<u8>,
    /// Where each ends, and whether it has MTEXT's formatting.
    each: Vec<(u32, bool)>,
}

impl RawStrings {
    fn add(&mut self, string: &[u8], formatted: bool) -> u32 {
        self.bytes.extend_from_slice(string);
        self.each.push((self.bytes.len() as u32, formatted));
        self.each.len() as u32 - 1
    }
    /// The bytes of each.
    pub fn each(&self) -> impl Iterator<Item = &[u8]> {
        let starts = std::iter::once(0).chain(self.each.iter().map(|e| e.0 as usize));
        let each = starts.zip(&self.each).map(|(start, e)| self.bytes.get(start..e.0 as usize));
        each.map(Option::unwrap_or_default)
    }
    /// Bytes of a string, the pieces put together, and whether it has MTEXT's formatting.
    pub fn get(&self, string: u32) -> Option<(&[u8], bool)> {
        let string = string as usize;
        let (end, formatted) = *self.each.get(string)?;
        let start =
            string.checked_sub(1).and_then(|before| self.each.get(before)).map_or(0, |e| e.0);
        Some((self.bytes.get(start as usize..end as usize)?, formatted))
    }
}

/// Bytes of one string that are kept. A plan's texts are short; what is longer is a novel or an attack.
const LONGEST: usize = 4096;

impl<'a, R: Tags<'a>> EntityReader<'a, R> {
    fn string(&mut self, bytes: &[u8], formatted: bool) -> u32 {
        if bytes.is_empty() { NO_STRING } else { self.strings.add(bytes, formatted) }
    }

    /// TEXT, a constant ATTDEF, and ATTRIB, which has no shape of its own.
    pub fn text(
        &mut self,
        head: Tag<'a>,
        mut c: Common<'a>,
        kind: Option<Kind>,
        out: &mut Linework,
    ) -> After<'a> {
        let (mut first, mut second) = ([f64::NAN; 2], [f64::NAN; 2]);
        let (mut height, mut turn, mut value): (_, _, &[u8]) = (0.0, 0.0, b"");
        let (mut across, mut upright, mut flags) = (0, 0, 0);
        // Of no use to a plan.
        let mut elevation = 0.0;
        let after = loop {
            match self.field(&mut c) {
                Field::Tag(t) => match t.code {
                    1 => value = cut(t.text()),
                    10 => {
                        first[0] = t.real(self.tags.damage());
                        self.next_of(20, &mut first[1]);
                        self.next_of(30, &mut elevation);
                        self.next_of(40, &mut height);
                    }
                    20 => first[1] = t.real(self.tags.damage()),
                    11 => second[0] = t.real(self.tags.damage()),
                    21 => second[1] = t.real(self.tags.damage()),
                    40 => height = t.real(self.tags.damage()),
                    50 => turn = t.real(self.tags.damage()),
                    70 => flags = t.int(),
                    72 => across = t.int(),
                    73 | 74 => upright = t.int(),
                    _ => {}
                },
                Field::End(after) => break after,
            }
        };
        match kind {
            Some(_) if self.settled(head, &c, &after, out) => return after,
            None if c.paper || matches!(after, After::CutOff) => return after,
            Some(kind) => self.begin(head, &c, kind, 0.0, out),
            None => {}
        }
        // Of an attribute, 1: invisible. Of its definition, 2: constant, the same in every insert.
        let hidden = match kind {
            Some(Kind::Attdef) => flags & 3 != 2,
            Some(_) => false,
            None => flags & 1 == 1,
        };
        // The second point is where the text is aligned to, but for left-aligned texts, which have
        // none, and those fitted between both points (3, 5).
        let aligned = !matches!((across, upright), (0, 0) | (3 | 5, _)) && second[0].is_finite();
        let at = if aligned { second } else { first };
        let (sin, cos) = exact_sin_cos(turn);
        if let (Plane::Level(m), false) = (plane(c.normal), hidden) {
            let text = (value, false);
            self.push_text(head, &c, m.point(at), m.vector([cos, sin]), height, text, kind, out);
        }
        after
    }

    pub fn mtext(&mut self, head: Tag<'a>, mut c: Common<'a>, out: &mut Linework) -> After<'a> {
        let (mut at, mut height) = ([f64::NAN; 2], 0.0);
        let mut along = [1.0, 0.0];
        let mut value: Cow<'a, [u8]> = Cow::Borrowed(b"");
        let after = loop {
            match self.field(&mut c) {
                Field::Tag(t) => match t.code {
                    // Pieces of 250 bytes come first, the rest last. Blanks at the ends count.
                    1 | 3 => add_piece(&mut value, t.raw_text()),
                    10 => at[0] = t.real(self.tags.damage()),
                    20 => at[1] = t.real(self.tags.damage()),
                    // The later of direction and angle holds. The reference says radians, programs
                    // write degrees (ezdxf, "MText.dxf.rotation").
                    11 => along[0] = t.real(self.tags.damage()),
                    21 => along[1] = t.real(self.tags.damage()),
                    40 => height = t.real(self.tags.damage()),
                    50 => {
                        let (sin, cos) = exact_sin_cos(t.real(self.tags.damage()));
                        along = [cos, sin];
                    }
                    _ => {}
                },
                Field::End(after) => break after,
            }
        };
        if self.settled(head, &c, &after, out) {
            return after;
        }
        self.begin(head, &c, Kind::Mtext, 0.0, out);
        if plane(c.normal) != Plane::Tilted {
            let kind = Some(Kind::Mtext);
            self.push_text(head, &c, at, along, height, (&value, true), kind, out);
        }
        after
    }

    #[allow(clippy::too_many_arguments)]
    fn push_text(
        &mut self,
        head: Tag<'a>,
        c: &Common<'a>,
        at: Xy,
        along: Xy,
        height: f64,
        (value, formatted): (&[u8], bool),
        kind: Option<Kind>,
        out: &mut Linework,
    ) {
        let (length, string) = (norm(along), self.string(value, formatted));
        if string == NO_STRING || !at.iter().all(|v| v.is_finite()) {
            return;
        }
        let sound = length.is_finite() && length > 0.0;
        let along = if sound { along.map(|v| v / length) } else { [1.0, 0.0] };
        out.texts.push(Text {
            at,
            along,
            height: if height.is_finite() { height.abs() } else { 0.0 },
            string,
            layer: self.layers.id(c.layer),
            pos: head.pos as u32,
            via: NOT_INSERTED,
            shape: kind.map_or(NO_SHAPE, |_| out.shapes.len() as u32 - 1),
            marks: c.marks,
        });
    }

    pub fn dimension(&mut self, head: Tag<'a>, mut c: Common<'a>, out: &mut Linework) -> After<'a> {
        let mut points = [[f64::NAN; 2]; 3];
        let (mut picture, mut typed): (&[u8], &[u8]) = (b"", b"");
        let (mut measured, mut turn, mut flags) = (None, 0.0, 0);
        let after = loop {
            match self.field(&mut c) {
                Field::Tag(t) => match t.code {
                    1 => typed = cut(t.text()),
                    2 => picture = t.text(),
                    10 => points[0][0] = t.real(self.tags.damage()),
                    20 => points[0][1] = t.real(self.tags.damage()),
                    13 => points[1][0] = t.real(self.tags.damage()),
                    23 => points[1][1] = t.real(self.tags.damage()),
                    14 => points[2][0] = t.real(self.tags.damage()),
                    24 => points[2][1] = t.real(self.tags.damage()),
                    42 => measured = Some(t.real(self.tags.damage())),
                    50 => turn = t.real(self.tags.damage()),
                    70 => flags = t.int(),
                    _ => {}
                },
                Field::End(after) => break after,
            }
        };
        if self.settled(head, &c, &after, out) {
            return after;
        }
        self.begin(head, &c, Kind::Dimension, 0.0, out);
        let measures = match flags & 7 {
            0 => Measures::Linear,
            1 => Measures::Aligned,
            _ => Measures::Other,
        };
        let between = match measures {
            Measures::Other => [points[0]; 2],
            _ => [points[1], points[2]],
        };
        let Plane::Level(m) = plane(c.normal) else { return after };
        let along = match measures {
            Measures::Aligned => unit(sub(between[1], between[0])),
            _ => {
                let (sin, cos) = exact_sin_cos(turn);
                Some(m.vector([cos, sin]))
            }
        };
        if !between.iter().flatten().all(|v| v.is_finite()) {
            return after;
        }
        // Two points in one place have no direction; their distance is nothing along any.
        let along = along.filter(|v| v.iter().all(|x| x.is_finite())).unwrap_or([1.0, 0.0]);
        let typed = self.string(typed, true);
        out.dimensions.push(Dimension {
            shape: out.shapes.len() as u32 - 1,
            measures,
            between,
            along,
            // Negative and zero: not yet measured by the program that wrote it.
            measured: measured.filter(|v| v.is_finite() && *v > 0.0),
            typed,
            shown: NO_STRING,
            picture: self.blocks.id(picture),
        });
        after
    }
}

impl Text {
    /// Where it lands under a map.
    pub fn mapped(&self, m: &Affine) -> Text {
        let along = unit(m.vector(self.along)).unwrap_or(self.along);
        let height = self.height * m.width_factor(self.along);
        Text { at: m.point(self.at), along, height, ..*self }
    }
}

impl Dimension {
    /// Where it lands under a map. The direction turns as the line between the points would if it ran
    /// along it.
    pub fn mapped(&self, m: &Affine) -> Dimension {
        let between = self.between.map(|p| m.point(p));
        Dimension { between, along: unit(m.vector(self.along)).unwrap_or(self.along), ..*self }
    }
}

fn unit(v: Xy) -> Option<Xy> {
    let length = norm(v);
    (length.is_finite() && length > 0.0).then(|| v.map(|x| x / length))
}

fn cut(bytes: &[u8]) -> &[u8] {
    bytes.get(..LONGEST).unwrap_or(bytes)
}

fn add_piece<'a>(value: &mut Cow<'a, [u8]>, piece: &'a [u8]) {
    let room = LONGEST.saturating_sub(value.len());
    let piece = piece.get(..room).unwrap_or(piece);
    if value.is_empty() {
        *value = Cow::Borrowed(piece);
    } else if !piece.is_empty() {
        value.to_mut().extend_from_slice(piece);
    }
}
