//! Entities: from tags to linework.
//!
//! Knows: the group codes that all entities share and those of a LINE, who reads the others (`polylines`, `figures`,
//! `inserts`, `mline`, `hatch`, `annotation`), and how to pass over what nobody reads. Never touches: sections, layers' meaning, units, where blocks are inserted.
//!
//! Group codes: Autodesk DXF reference, "ENTITIES section" (FACTS 8.2). Subclass markers are not
//! looked at, so that files without them read the same.

use crate::affine::{Plane, plane};
use crate::annotation::RawStrings;
use crate::interner::Interner;
use crate::linework::{Kind, Linework, NOT_INSERTED, Shape, State, mark};
use crate::polylines::Vertex;
use crate::surfaces::Face;
use crate::tag::{Tag, Tags, Value, shown};
use rustc_hash::FxHashMap;
use std::marker::PhantomData;

/// What any entity may have.
pub(crate) struct Common<'a> {
    handle: &'a [u8],
    /// Name of its layer.
    pub layer: &'a [u8],
    /// Whether it is in paper space.
    pub paper: bool,
    /// See [`mark`].
    pub marks: u16,
    /// Extrusion direction.
    pub normal: [f64; 3],
    embedded: bool,
}

impl<'a> Common<'a> {
    pub fn new() -> Common<'a> {
        Common {
            handle: b"",
            // An entity without a layer is on layer 0.
            layer: b"0",
            paper: false,
            marks: 0,
            normal: [0.0, 0.0, 1.0],
            embedded: false,
        }
    }
    /// Handle as a number; those without a readable one come last.
    pub fn handle_number(&self) -> u64 {
        handle_number(self.handle)
    }
}

/// The head of an entity whose name is one that is read, but for small letters.
fn in_capitals<'a>(head: Tag<'a>) -> Option<Tag<'a>> {
    const READ: [&[u8]; 19] = [
        b"LINE",
        b"LWPOLYLINE",
        b"POLYLINE",
        b"VERTEX",
        b"SEQEND",
        b"ARC",
        b"INSERT",
        b"MLINE",
        b"CIRCLE",
        b"ELLIPSE",
        b"SPLINE",
        b"HATCH",
        b"SOLID",
        b"TRACE",
        b"3DFACE",
        b"MESH",
        b"TEXT",
        b"MTEXT",
        b"DIMENSION",
    ];
    let text = head.text();
    let name = READ.into_iter().find(|name| name.eq_ignore_ascii_case(text) && *name != text)?;
    Some(Tag { value: Value::Text(name), ..head })
}

/// A handle as a number, the greatest number when it is none.
pub(crate) fn handle_number(handle: &[u8]) -> u64 {
    if handle.is_empty() || handle.len() > 16 {
        return u64::MAX;
    }
    let digit = |b: &u8| char::from(*b).to_digit(16).map(u64::from);
    handle.iter().try_fold(0, |n, b| Some(n << 4 | digit(b)?)).unwrap_or(u64::MAX)
}

/// What followed an entity.
pub(crate) enum After<'a> {
    /// The next `0` tag.
    Tag(Tag<'a>),
    /// The end of the bytes, in the middle of the entity.
    CutOff,
}

/// Reads entities. Holds what is shared by all of a file.
pub(crate) struct EntityReader<'a, R> {
    /// The tags.
    pub tags: R,
    /// Layer names.
    pub layers: Interner,
    /// Block names.
    pub blocks: Interner,
    /// Entity type names that are not read.
    pub types: Interner,
    /// Strings of texts and dimensions.
    pub strings: RawStrings,
    /// Vertices of the polyline being read.
    pub vertices: Vec<Vertex>,
    /// Faces of the polyface mesh being read.
    pub faces: Vec<Face>,
    /// Proxy entities: number of the class behind each, and the layer.
    pub proxies: FxHashMap<(i64, u32), Vec<u32>>,
    /// Heights of what does not lie at zero, by offset; of a line that is not level its lower end's.
    pub heights: Vec<(u32, f64)>,
    bytes: PhantomData<&'a [u8]>,
}

/// What became of one tag.
pub(crate) enum Field<'a> {
    /// It belongs to the entity.
    Tag(Tag<'a>),
    /// The entity is over.
    End(After<'a>),
}

impl<'a, R: Tags<'a>> EntityReader<'a, R> {
    /// A reader of these tags.
    pub fn new(tags: R) -> EntityReader<'a, R> {
        EntityReader {
            tags,
            layers: Interner::default(),
            blocks: Interner::default(),
            types: Interner::default(),
            strings: RawStrings::default(),
            vertices: Vec::new(),
            faces: Vec::new(),
            proxies: FxHashMap::default(),
            heights: Vec::new(),
            bytes: PhantomData,
        }
    }

    /// Goes on with other tags of the same file.
    pub fn with_tags<'b, S: Tags<'b>>(self, tags: S) -> EntityReader<'b, S> {
        let EntityReader {
            layers, blocks, types, strings, vertices, faces, proxies, heights, ..
        } = self;
        let bytes = PhantomData;
        EntityReader {
            tags,
            layers,
            blocks,
            types,
            strings,
            vertices,
            faces,
            proxies,
            heights,
            bytes,
        }
    }

    /// Reads the entity that `head` begins into `out`; `paper` when its container is a paper space.
    pub fn entity(&mut self, head: Tag<'a>, out: &mut Linework, paper: bool) -> After<'a> {
        let mut c = Common::new();
        c.paper = paper;
        let damage = self.tags.damage();
        damage.entity = Some(head.pos);
        let (told, before) = (damage.count, out.shapes.len());
        self.preamble(head, &mut c);
        let after = self.entity_of_type(head, c, out);
        let lost = |s: &Shape| s.marks & mark::BAD != 0;
        if self.tags.damage().count == told
            && out.shapes.len() > before
            && out.shapes.last().is_some_and(lost)
        {
            self.tags.damage().add(
                head.pos,
                "a coordinate is missing; it, or the part it belongs to, was left out",
            );
        }
        after
    }

    fn entity_of_type(
        &mut self,
        head: Tag<'a>,
        mut c: Common<'a>,
        out: &mut Linework,
    ) -> After<'a> {
        match head.text() {
            b"LINE" | b"3DLINE" => self.line(head, c, out),
            b"LWPOLYLINE" => self.lwpolyline(head, c, out),
            b"POLYLINE" => self.polyline(head, c, out),
            b"ARC" => self.arc(head, c, out),
            b"INSERT" => self.insert(head, c, out),
            b"MLINE" => self.mline(head, c, out),
            b"CIRCLE" => self.circle(head, c, out),
            b"ELLIPSE" => self.ellipse(head, c, out),
            b"SPLINE" => self.spline(head, c, out),
            b"HATCH" => self.hatch(head, c, out),
            b"SOLID" => self.corners(head, c, Kind::Solid, out),
            b"TRACE" => self.corners(head, c, Kind::Trace, out),
            b"3DFACE" => self.corners(head, c, Kind::Face, out),
            b"MESH" => self.mesh(head, c, out),
            b"TEXT" => self.text(head, c, Some(Kind::Text), out),
            b"MTEXT" => self.mtext(head, c, out),
            b"DIMENSION" => self.dimension(head, c, out),
            b"ATTDEF" => self.text(head, c, Some(Kind::Attdef), out),
            // Parts of a POLYLINE or INSERT, not entities of their own.
            b"ATTRIB" => self.text(head, c, None, out),
            b"SEQEND" => self.pass_over(&mut c),
            b"VERTEX" => {
                self.tags.damage().add(head.pos, "a VERTEX stands outside any POLYLINE");
                self.pass_over(&mut c)
            }
            _ => match in_capitals(head) {
                Some(right) => {
                    let (was, name) = (shown(head.text()), shown(right.text()));
                    self.tags.damage().add(head.pos, format!("`{was}` was read as {name}"));
                    self.entity_of_type(right, c, out)
                }
                None => self.other(head, c, out),
            },
        }
    }

    /// What [`EntityReader::field`] would make of the first tags, taken at once where they are of the usual kind.
    fn preamble(&mut self, head: Tag<'a>, c: &mut Common<'a>) {
        let seen = self.tags.preamble(head.raw_text());
        c.handle = seen.handle.unwrap_or(c.handle);
        c.layer = seen.layer.unwrap_or(c.layer);
        c.marks |= seen.line_type.map_or(0, crate::brokenlines::marks);
    }

    /// The next tag of an entity that is not the same for all of them.
    #[inline(always)]
    pub fn field(&mut self, c: &mut Common<'a>) -> Field<'a> {
        loop {
            let Some(tag) = self.tags.next_telling() else { return Field::End(After::CutOff) };
            match tag.code {
                0 => return Field::End(After::Tag(tag)),
                10..60 if !c.embedded => return Field::Tag(tag),
                _ if c.embedded => {}
                5 => self.handle(c, tag),
                6 => c.marks |= crate::brokenlines::marks(tag.text()),
                8 => c.layer = tag.text(),
                60 if tag.flag(self.tags.damage()) & 1 == 1 => c.marks |= mark::INVISIBLE,
                67 => c.paper |= tag.flag(self.tags.damage()) == 1,
                // What follows describes an object inside the entity, with the same codes again.
                101 => c.embedded = true,
                210 => c.normal[0] = tag.real(self.tags.damage()),
                220 => c.normal[1] = tag.real(self.tags.damage()),
                230 => c.normal[2] = tag.real(self.tags.damage()),
                _ => return Field::Tag(tag),
            }
        }
    }

    /// A second handle means that the `0` line between two entities was lost.
    fn handle(&mut self, c: &mut Common<'a>, tag: Tag<'a>) {
        if !c.handle.is_empty() {
            let what = "a second handle in one entity; the line that begins the second one is lost, and only one was read";
            self.tags.damage().add(tag.pos, what);
        }
        c.handle = tag.text();
    }

    /// A coordinate that is given twice: the later one holds, and is told, since one of the two is of another
    /// group.
    #[inline]
    pub fn once(&mut self, t: &Tag<'a>, slot: &mut f64) {
        if !slot.is_nan() && (10..40).contains(&t.code) {
            let code = t.code;
            self.tags.damage().add(t.pos, format!("group {code} stands there a second time"));
        }
        *slot = t.real(self.tags.damage());
    }

    /// Takes the next tag when it has this code and is written in the usual way. Entities write their numbers one after
    /// the other, and to know which is due is faster than to see which it is.
    #[inline(always)]
    pub fn next_of(&mut self, code: i32, slot: &mut f64) {
        if let Some(v) = self.tags.number_of(code) {
            *slot = v;
        }
    }

    /// The same of a coordinate that [`EntityReader::once`] would take without a word.
    #[inline(always)]
    pub fn first_of(&mut self, code: i32, slot: &mut f64) {
        if slot.is_nan() {
            self.next_of(code, slot);
        }
    }

    /// Reads an entity of which only some numbers matter: the last value of each of these codes.
    pub fn numbers<const N: usize>(
        &mut self,
        c: &mut Common<'a>,
        codes: [i32; N],
        absent: [f64; N],
    ) -> ([f64; N], After<'a>) {
        let mut values = absent;
        loop {
            match self.field(c) {
                Field::Tag(t) => {
                    let slot = codes.iter().zip(&mut values).find(|(code, _)| **code == t.code);
                    if let Some((_, value)) = slot {
                        self.once(&t, value);
                    }
                }
                Field::End(after) => return (values, after),
            }
        }
    }

    pub fn pass_over(&mut self, c: &mut Common<'a>) -> After<'a> {
        loop {
            if let Field::End(after) = self.field(c) {
                return after;
            }
        }
    }

    /// Counts an entity that gives no linework.
    pub fn count(&mut self, head: Tag<'a>, c: &Common<'a>, state: State, out: &mut Linework) {
        let layer = self.layers.id(c.layer);
        let type_ = self.types.id(head.text());
        let key = (c.handle_number(), head.pos as u32, NOT_INSERTED);
        out.others.entry((type_, layer, state)).or_default().add(1, key);
    }

    /// Counts an entity and says that it is done, when it is cut off, in paper space or invisible.
    pub fn settled(
        &mut self,
        head: Tag<'a>,
        c: &Common<'a>,
        after: &After<'a>,
        out: &mut Linework,
    ) -> bool {
        let state = match after {
            _ if c.paper => State::Paper,
            After::CutOff => State::CutOff,
            After::Tag(_) => return false,
        };
        self.count(head, c, state, out);
        true
    }

    fn other(&mut self, head: Tag<'a>, mut c: Common<'a>, out: &mut Linework) -> After<'a> {
        let name = |b: &u8| b.is_ascii_alphanumeric() || matches!(b, b'_' | b'-' | b'$' | b'.');
        if !head.text().iter().all(name) && head.text().iter().any(u8::is_ascii_graphic) {
            let told = format!("`{}` is no type of entity", shown(head.text()));
            self.tags.damage().add(head.pos, told);
        }
        let is_proxy = head.text() == b"ACAD_PROXY_ENTITY";
        let mut class = 0;
        let after = loop {
            match self.field(&mut c) {
                Field::Tag(t) if is_proxy && t.code == 91 => class = t.int(),
                Field::Tag(_) => {}
                Field::End(after) => break after,
            }
        };
        if self.settled(head, &c, &after, out) {
            return after;
        }
        let invisible = c.marks & mark::INVISIBLE != 0;
        if is_proxy && !invisible {
            let layer = self.layers.id(c.layer);
            self.proxies.entry((class, layer)).or_default().push(head.pos as u32);
        }
        let state = if invisible { State::Invisible } else { State::NotRead };
        self.count(head, &c, state, out);
        after
    }

    fn line(&mut self, head: Tag<'a>, mut c: Common<'a>, out: &mut Linework) -> After<'a> {
        let (mut a, mut b, mut z) = ([f64::NAN; 2], [f64::NAN; 2], [0.0_f64; 2]);
        let after = loop {
            match self.field(&mut c) {
                Field::Tag(t) => match t.code {
                    10 => {
                        self.once(&t, &mut a[0]);
                        self.first_of(20, &mut a[1]);
                        self.next_of(30, &mut z[0]);
                        self.first_of(11, &mut b[0]);
                        self.first_of(21, &mut b[1]);
                        self.next_of(31, &mut z[1]);
                    }
                    20 => self.once(&t, &mut a[1]),
                    11 => self.once(&t, &mut b[0]),
                    21 => self.once(&t, &mut b[1]),
                    30 => z[0] = t.real(self.tags.damage()),
                    31 => z[1] = t.real(self.tags.damage()),
                    _ => {}
                },
                Field::End(after) => break after,
            }
        };
        if self.settled(head, &c, &after, out) {
            return after;
        }
        let raised = if z.iter().any(|z| z.abs() > 1e-6) { mark::RAISED } else { 0 };
        if raised != 0 {
            self.heights.push((head.pos as u32, z[0].min(z[1])));
        }
        // A LINE is in world coordinates whatever its extrusion direction says.
        out.begin(
            self.layers.id(c.layer),
            head.pos as u32,
            NOT_INSERTED,
            Kind::Line,
            c.marks | raised,
        );
        out.push_segment(a, b, None);
        after
    }

    /// Begins its shape.
    pub fn begin(
        &mut self,
        head: Tag<'a>,
        c: &Common<'a>,
        kind: Kind,
        elevation: f64,
        out: &mut Linework,
    ) {
        let mut marks = c.marks;
        if plane(c.normal) == Plane::Tilted {
            marks |= mark::TILTED;
        }
        if elevation.abs() > 1e-6 {
            marks |= mark::RAISED;
            self.heights.push((head.pos as u32, elevation));
        }
        out.begin(self.layers.id(c.layer), head.pos as u32, NOT_INSERTED, kind, marks);
    }
}
