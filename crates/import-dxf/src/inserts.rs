//! Inserts of blocks: from tags to where a block lands.
//!
//! Knows: the group codes of INSERT, its array and own plane. Never touches: what the block holds (`flatten`).

use crate::affine::{Affine, Plane, plane};
use crate::entity::{After, Common, EntityReader, Field};
use crate::linework::{Array, Insert, Linework, mark};
use crate::tag::{Tag, Tags};

impl<'a, R: Tags<'a>> EntityReader<'a, R> {
    pub fn insert(&mut self, head: Tag<'a>, mut c: Common<'a>, out: &mut Linework) -> After<'a> {
        let (mut name, mut at): (&[u8], _) = (b"", [f64::NAN; 2]);
        let (mut scale, mut turn) = ([1.0, 1.0], 0.0);
        // Of no use to a plan: how high it stands, how high it is.
        let mut height = 0.0;
        let (mut columns, mut rows, mut spacing) = (1, 1, [0.0, 0.0]);
        let after = loop {
            match self.field(&mut c) {
                Field::Tag(t) => match t.code {
                    2 => name = t.text(),
                    10 => {
                        self.once(&t, &mut at[0]);
                        self.first_of(20, &mut at[1]);
                        self.next_of(30, &mut height);
                        self.next_of(41, &mut scale[0]);
                        self.next_of(42, &mut scale[1]);
                        self.next_of(43, &mut height);
                        self.next_of(50, &mut turn);
                    }
                    20 => self.once(&t, &mut at[1]),
                    41 => scale[0] = t.real(self.tags.damage()),
                    42 => scale[1] = t.real(self.tags.damage()),
                    44 => spacing[0] = t.real(self.tags.damage()),
                    45 => spacing[1] = t.real(self.tags.damage()),
                    50 => turn = t.real(self.tags.damage()),
                    70 => columns = t.flag(self.tags.damage()).clamp(1, 32_767) as u32,
                    71 => rows = t.flag(self.tags.damage()).clamp(1, 32_767) as u32,
                    _ => {}
                },
                Field::End(after) => break after,
            }
        };
        if at.iter().any(|v| v.is_nan()) {
            let what = "the place of the insert is missing; it was left out";
            self.tags.damage().add(head.pos, what);
        }
        if self.settled(head, &c, &after, out) {
            return after;
        }
        let mut marks = c.marks;
        let own = match plane(c.normal) {
            Plane::Level(m) => m,
            Plane::Tilted => {
                marks |= mark::TILTED;
                Affine::IDENTITY
            }
        };
        let turned = own.after(&Affine::shift(at)).after(&Affine::turn_degrees(turn));
        // An unreadable step puts even a single one nowhere.
        let array = (columns, rows) != (1, 1) || spacing.iter().any(|v| v.is_nan());
        out.inserts.push(Insert {
            layer: self.layers.id(c.layer),
            pos: head.pos as u32,
            handle: c.handle_number(),
            block: self.blocks.id(name),
            map: turned.after(&Affine::scale(scale[0], scale[1])),
            array: array.then(|| {
                Box::new(Array {
                    column_step: turned.vector([spacing[0], 0.0]),
                    row_step: turned.vector([0.0, spacing[1]]),
                    columns,
                    rows,
                })
            }),
            marks,
        });
        after
    }
}
