//! A DXF file: from bytes to header values, layer table, blocks and model-space content.
//!
//! Knows: sections and tables, which of them matter to a plan, what a damaged file looks like. Never
//! touches: what layers mean, where blocks are inserted, units.
//!
//! Read: HEADER, CLASSES (names only), TABLES (layers only), BLOCKS, ENTITIES. OBJECTS, THUMBNAILIMAGE
//! and unknown sections are passed over unread.

use crate::affine::Xy;
use crate::annotation::RawString;
use crate::ascii::{AsciiTags, line_end};
use crate::binary::{BinaryTags, is_binary};
use crate::entity::{After, EntityReader, Interner};
use crate::linework::{Linework, NOT_INSERTED, State};
use crate::plain;
use crate::tag::{Damage, Place, Tag, Tags, shown};
use crate::text::Decoder;
use limits::Watch;
use rustc_hash::FxHashMap;
use std::cell::OnceCell;
use std::collections::BTreeMap;

/// Header values a plan depends on.
#[derive(Clone, Debug, Default)]
pub(crate) struct Header {
    /// `$ACADVER`, empty when the file does not say.
    pub version: String,
    /// `$DWGCODEPAGE`.
    pub code_page: String,
    /// `$INSUNITS`.
    pub insunits: Option<i64>,
    /// `$MEASUREMENT`: 0 imperial, 1 metric; which line types and hatches are taken, no unit.
    pub measurement: Option<i64>,
    /// `$LUNITS`: 3 engineering, 4 architectural show feet and inches.
    pub lunits: Option<i64>,
}

/// A row of the layer table.
#[derive(Clone, Copy, Debug)]
pub(crate) struct LayerRow<'a> {
    /// Name as in the file.
    pub name: &'a [u8],
    /// Negative colour.
    pub off: bool,
    /// Flag 1.
    pub frozen: bool,
    /// Offset in the file.
    pub pos: usize,
}

/// A block definition.
#[derive(Clone, Debug, Default)]
pub(crate) struct Block<'a> {
    /// Base point: it lands where the block is inserted.
    pub base: Xy,
    /// Path of the file, when the block is an external reference.
    pub xref: Option<&'a [u8]>,
    /// Content.
    pub content: Linework,
}

/// Where a file that lacks its end marker stops.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Truncation {
    /// In or before the entities: walls may be missing.
    BeforeTheEnd,
    /// After them: nothing a plan needs is missing.
    AfterEntities,
}

/// What was read.
pub(crate) struct DxfFile<'a> {
    bytes: &'a [u8],
    binary: bool,
    /// Header.
    pub header: Header,
    /// First comment (group 999) of the file, where programs like to name themselves.
    pub comment: Option<&'a [u8]>,
    /// Layer table.
    pub layer_rows: Vec<LayerRow<'a>>,
    /// Layer names by raw number.
    pub layer_names: Vec<&'a [u8]>,
    /// Block names by raw number.
    pub block_names: Vec<&'a [u8]>,
    /// Entity type names by number.
    pub type_names: Vec<&'a [u8]>,
    /// Strings of texts and dimensions, by number.
    pub strings: Vec<RawString<'a>>,
    /// Blocks by raw number.
    pub blocks: FxHashMap<u32, Block<'a>>,
    /// Model space.
    pub model: Linework,
    /// Proxy entities of model space and blocks: class name, raw layer, offsets.
    pub proxies: BTreeMap<(String, u32), Vec<u32>>,
    /// Damage met.
    pub damage: Damage,
    /// Set when the end marker is missing.
    pub truncated: Option<Truncation>,
    /// How strings are decoded.
    pub decoder: Decoder,
    lines: OnceCell<LineIndex>,
}

/// Files must be smaller than this: offsets are kept in 32 bits.
pub(crate) const MAX_BYTES: u64 = u32::MAX as u64;

/// Reads a whole file. Never fails: what cannot be read is in `damage`. Breaks off when time is up.
pub(crate) fn read_file<'a>(bytes: &'a [u8], watch: &Watch) -> DxfFile<'a> {
    match is_binary(bytes) {
        true => Reading::new(bytes, BinaryTags::new(bytes), true, watch).run(),
        false => Reading::new(bytes, AsciiTags::new(bytes), false, watch).run(),
    }
}

struct Reading<'a, 'w, R> {
    entities: EntityReader<'a, R>,
    file: DxfFile<'a>,
    classes: Vec<&'a [u8]>,
    saw_entities_end: bool,
    saw_end: bool,
    watch: &'w Watch,
    /// Entities read.
    turn: usize,
}

/// Where the next tag comes from: read ahead by an entity, or not yet read.
type Ahead<'a> = Option<Tag<'a>>;

impl<'a, 'w, R: Tags<'a>> Reading<'a, 'w, R> {
    fn new(bytes: &'a [u8], tags: R, binary: bool, watch: &'w Watch) -> Reading<'a, 'w, R> {
        Reading {
            entities: EntityReader::new(tags),
            file: DxfFile {
                bytes,
                binary,
                header: Header::default(),
                comment: None,
                layer_rows: Vec::new(),
                layer_names: Vec::new(),
                block_names: Vec::new(),
                type_names: Vec::new(),
                strings: Vec::new(),
                blocks: FxHashMap::default(),
                model: Linework::default(),
                proxies: BTreeMap::new(),
                damage: Damage::default(),
                truncated: None,
                decoder: Decoder::for_file("", ""),
                lines: OnceCell::new(),
            },
            classes: Vec::new(),
            saw_entities_end: false,
            saw_end: false,
            watch,
            turn: 0,
        }
    }

    fn run(mut self) -> DxfFile<'a> {
        // A line takes 150 bytes or so of a file. Room that is not needed is never touched.
        let lines = self.file.bytes.len() / 128;
        self.file.model.shapes.reserve(lines);
        self.file.model.segments.reserve(lines);
        let mut ahead: Ahead<'a> = None;
        while let Some(tag) = ahead.take().or_else(|| self.entities.tags.next()) {
            if tag.code == 999 && self.file.comment.is_none() {
                self.file.comment = Some(tag.text());
            }
            if tag.code != 0 {
                continue;
            }
            if self.watch.is_over() {
                break;
            }
            match tag.text() {
                b"EOF" => {
                    self.saw_end = true;
                    break;
                }
                b"SECTION" => ahead = self.section(),
                b"ENDSEC" => {}
                b"BLOCK" => {
                    self.note(tag.pos, "a block stands outside its section");
                    ahead = self.block(tag.pos);
                }
                b"ENDBLK" | b"CLASS" | b"TABLE" | b"ENDTAB" | b"LAYER" | b"LTYPE" | b"STYLE"
                | b"VPORT" | b"APPID" | b"DIMSTYLE" | b"BLOCK_RECORD" | b"DICTIONARY" => {
                    let name = shown(tag.text());
                    self.note(
                        tag.pos,
                        &format!("{name} stands outside any section; it was left out"),
                    );
                }
                _ => {
                    // Entities after the end of their section, or in one whose start was lost: kept,
                    // since they were drawn.
                    self.note(tag.pos, "an entity stands outside any section");
                    ahead = self.entity_list(tag);
                }
            }
        }
        self.finish()
    }

    /// Notes damage that is in no entity.
    fn note(&mut self, pos: usize, what: &str) {
        let damage = self.entities.tags.damage();
        damage.entity = None;
        damage.add(pos, what);
    }

    fn section(&mut self) -> Ahead<'a> {
        self.entities.tags.damage().entity = None;
        let name = self.entities.tags.next()?;
        if name.code != 2 {
            self.note(name.pos, "a section has no name");
            return Some(name);
        }
        match name.text() {
            b"HEADER" => self.header(),
            b"CLASSES" => self.classes(),
            b"TABLES" => self.tables(),
            b"BLOCKS" => self.blocks(),
            b"ENTITIES" => {
                let ahead = match self.entities.tags.next()? {
                    tag if tag.code == 0 => self.entity_list(tag),
                    _ => None,
                };
                self.saw_entities_end |= ahead.is_some();
                ahead
            }
            _ => {
                self.entities.tags.skip_section();
                None
            }
        }
    }

    /// Whether time is up; asked after every entity.
    fn is_over(&mut self) -> bool {
        self.turn += 1;
        self.watch.is_over_at(self.turn)
    }

    /// Entities up to the end of the section. `None` when the file stops in the middle of one.
    fn entity_list(&mut self, mut tag: Tag<'a>) -> Ahead<'a> {
        loop {
            if matches!(tag.text(), b"ENDSEC" | b"EOF" | b"SECTION") {
                return Some(tag);
            }
            match self.entities.entity(tag, &mut self.file.model, false) {
                After::Tag(_) if self.is_over() => return None,
                After::Tag(next) => tag = next,
                After::CutOff => return None,
            }
        }
    }

    fn header(&mut self) -> Ahead<'a> {
        let mut variable: &[u8] = b"";
        loop {
            let tag = self.entities.tags.next()?;
            let text = || String::from_utf8_lossy(tag.text()).into_owned();
            let header = &mut self.file.header;
            match (tag.code, variable) {
                (0, _) => return Some(tag),
                (9, _) => variable = tag.text(),
                (1, b"$ACADVER") => header.version = text(),
                (3, b"$DWGCODEPAGE") => header.code_page = text(),
                (70, b"$INSUNITS") => header.insunits = Some(tag.flag(self.entities.tags.damage())),
                (70, b"$MEASUREMENT") => {
                    header.measurement = Some(tag.flag(self.entities.tags.damage()))
                }
                (70, b"$LUNITS") => header.lunits = Some(tag.flag(self.entities.tags.damage())),
                (999, _) if self.file.comment.is_none() => self.file.comment = Some(tag.text()),
                _ => {}
            }
        }
    }

    /// Class names, in order: a proxy entity names its class as 500 plus the place in this list.
    fn classes(&mut self) -> Ahead<'a> {
        loop {
            let tag = self.entities.tags.next()?;
            match tag.code {
                0 if !tag.starts("CLASS") => return Some(tag),
                1 => self.classes.push(tag.text()),
                _ => {}
            }
        }
    }

    fn tables(&mut self) -> Ahead<'a> {
        let mut row: Option<LayerRow<'a>> = None;
        loop {
            let tag = self.entities.tags.next();
            if tag.is_none_or(|t| t.code == 0)
                && let Some(done) = row.take()
            {
                if done.name.is_empty() {
                    self.note(done.pos, "a row of the layer table has no name");
                } else {
                    self.file.layer_rows.push(done);
                }
            }
            let tag = tag?;
            match tag.code {
                0 => match tag.text() {
                    b"LAYER" => {
                        row = Some(LayerRow { name: b"", off: false, frozen: false, pos: tag.pos });
                    }
                    b"ENDSEC" | b"EOF" | b"SECTION" => return Some(tag),
                    _ => {}
                },
                code => {
                    if let Some(r) = &mut row {
                        match code {
                            2 => r.name = tag.text(),
                            62 => r.off = tag.flag(self.entities.tags.damage()) < 0,
                            70 => r.frozen = tag.flag(self.entities.tags.damage()) & 1 == 1,
                            _ => {}
                        }
                    }
                }
            }
        }
    }

    fn blocks(&mut self) -> Ahead<'a> {
        let mut tag = self.entities.tags.next()?;
        loop {
            tag = match tag.text() {
                _ if tag.code != 0 => self.entities.tags.next()?,
                b"ENDSEC" | b"EOF" | b"SECTION" => return Some(tag),
                b"BLOCK" => self.block(tag.pos)?,
                b"ENDBLK" => {
                    self.note(tag.pos, "a block ends that did not begin");
                    self.after_endblk()?
                }
                // What a lost BLOCK or a stray ENDBLK leaves without a block cannot be placed.
                _ => self.stray(tag)?,
            };
        }
    }

    /// An entity that is in no block: counted, not drawn.
    fn stray(&mut self, tag: Tag<'a>) -> Ahead<'a> {
        self.note(tag.pos, "an entity stands outside any block; it was left out and counted");
        let mut lost = Linework::default();
        let after = self.entities.entity(tag, &mut lost, false);
        for s in &lost.shapes {
            let type_ = self.entities.types.id(s.kind.name().as_bytes());
            let slot = self.file.model.others.entry((type_, s.layer, State::Stray));
            slot.or_default().add(1, (u64::MAX, s.pos, NOT_INSERTED));
        }
        for i in &lost.inserts {
            let type_ = self.entities.types.id(b"INSERT");
            let slot = self.file.model.others.entry((type_, i.layer, State::Stray));
            slot.or_default().add(1, (i.handle, i.pos, NOT_INSERTED));
        }
        for ((type_, layer, _), count) in lost.others {
            let slot = self.file.model.others.entry((type_, layer, State::Stray)).or_default();
            for key in count.sample {
                slot.add(1, key);
            }
        }
        match after {
            After::Tag(next) => Some(next),
            After::CutOff => None,
        }
    }

    /// The block that begins at `head`; the tag after it.
    fn block(&mut self, head: usize) -> Ahead<'a> {
        self.entities.tags.damage().entity = None;
        let mut block = Block::default();
        let mut name: &[u8] = b"";
        let (mut path, mut flags): (&[u8], _) = (b"", 0);
        let mut tag = loop {
            let t = self.entities.tags.next()?;
            match t.code {
                0 => break t,
                1 => path = t.text(),
                2 => name = t.text(),
                10 => block.base[0] = t.real(self.entities.tags.damage()),
                20 => block.base[1] = t.real(self.entities.tags.damage()),
                70 => flags = t.flag(self.entities.tags.damage()),
                _ => {}
            }
        };
        // 4 external reference, 8 overlay.
        block.xref = (flags & (4 | 8) != 0).then_some(path);
        let upper = name.to_ascii_uppercase();
        let is_model = matches!(upper.as_slice(), b"*MODEL_SPACE" | b"$MODEL_SPACE");
        let is_paper = upper.starts_with(b"*PAPER_SPACE") || upper.starts_with(b"$PAPER_SPACE");
        let next = loop {
            match tag.text() {
                b"ENDBLK" => break self.after_endblk(),
                b"ENDSEC" | b"EOF" | b"SECTION" | b"BLOCK" => {
                    self.note(tag.pos, &format!("block {} has no ENDBLK", shown(name)));
                    break Some(tag);
                }
                _ => {}
            }
            // Model and paper space are blocks too; some writers put their entities here.
            let out = if is_model || is_paper { &mut self.file.model } else { &mut block.content };
            match self.entities.entity(tag, out, is_paper) {
                After::Tag(_) if self.is_over() => break None,
                After::Tag(next) => tag = next,
                After::CutOff => break None,
            }
        };
        let id = self.entities.blocks.id(name);
        if is_model || is_paper || name.is_empty() {
            return next;
        }
        // The later of two blocks of one name holds, as it would in one program reading after another.
        if self.file.blocks.insert(id, block).is_some() {
            self.note(
                head,
                &format!("block {} is defined twice; the later one was used", shown(name)),
            );
        }
        next
    }

    fn after_endblk(&mut self) -> Ahead<'a> {
        loop {
            let tag = self.entities.tags.next()?;
            if tag.code == 0 {
                return Some(tag);
            }
        }
    }

    fn finish(mut self) -> DxfFile<'a> {
        if !self.saw_end {
            self.file.truncated = Some(match self.saw_entities_end {
                true => Truncation::AfterEntities,
                false => Truncation::BeforeTheEnd,
            });
        }
        let EntityReader { mut tags, layers, blocks, types, strings, proxies, .. } = self.entities;
        let names = |i: Interner<'a>| i.names().to_vec();
        let mut file = self.file;
        file.damage = std::mem::take(tags.damage());
        (file.layer_names, file.block_names, file.type_names) =
            (names(layers), names(blocks), names(types));
        file.strings = strings;
        file.decoder = Decoder::for_file(&file.header.version, &file.header.code_page);
        for row in &file.layer_rows {
            if !file.decoder.fits(row.name) {
                let what = "a layer name does not fit the drawing's code page and was read as \
                            Windows-1252";
                file.damage.entity = None;
                file.damage.add(row.pos, format!("{what}: {}", file.decoder.decode(row.name)));
            }
        }
        let mut by_class: Vec<_> = proxies.into_iter().collect();
        by_class.sort();
        for ((class, layer), at) in by_class {
            let known = usize::try_from(class - 500).ok().and_then(|i| self.classes.get(i));
            let name = known.map_or_else(|| "unknown class".to_owned(), |n| file.decoder.decode(n));
            file.proxies.entry((name, layer)).or_default().extend(at);
        }
        file
    }
}

impl<'a> DxfFile<'a> {
    /// The bytes.
    pub fn bytes(&self) -> &'a [u8] {
        self.bytes
    }
    /// The handle of the entity at this offset, as text; `line 12` (of a binary file `byte 12`) where
    /// it has none.
    pub fn handle(&self, pos: u32) -> String {
        let raw = self.raw_handle(pos);
        // As handles are: a few digits.
        if let Ok(plain) = std::str::from_utf8(raw)
            && (1..=32).contains(&raw.len())
            && raw.iter().all(u8::is_ascii_alphanumeric)
        {
            return plain.to_owned();
        }
        if !raw.is_empty() {
            return self.decoder.decode(raw).chars().filter(|c| !c.is_control()).take(32).collect();
        }
        self.place(pos as usize)
    }
    /// The handle of the entity at this offset as it stands in the file; empty where it has none.
    pub fn raw_handle(&self, pos: u32) -> &'a [u8] {
        match self.binary {
            true => first_handle(BinaryTags::at(self.bytes, pos as usize)),
            false => first_handle(AsciiTags::at(self.bytes, pos as usize)),
        }
    }
    /// `line 12`, or `byte 12` of a binary file.
    pub fn place(&self, pos: usize) -> String {
        match self.binary {
            true => format!("byte {pos}"),
            false => format!("line {}", self.line_number(pos)),
        }
    }
    /// A place of damage in words: line, entity, what.
    pub fn damage_text(&self, d: &Place) -> String {
        let place = self.place(d.pos);
        match d.entity.map(|pos| (self.entity_name(pos), self.handle(pos as u32))) {
            Some((name, handle)) if !name.is_empty() => {
                format!("{place}, {name} {handle}: {}", d.what)
            }
            _ => format!("{place}: {}", d.what),
        }
    }
    fn entity_name(&self, pos: usize) -> String {
        let tag = match self.binary {
            true => BinaryTags::at(self.bytes, pos).next(),
            false => AsciiTags::at(self.bytes, pos).next(),
        };
        tag.map(|t| shown(t.text())).unwrap_or_default()
    }
    fn line_number(&self, pos: usize) -> usize {
        let index = self.lines.get_or_init(|| LineIndex::of(self.bytes));
        index.line(self.bytes, pos)
    }
    /// What a string of a text or dimension says: escapes decoded, formatting taken off, paragraphs on
    /// lines of their own. Empty for [`crate::linework::NO_STRING`].
    pub fn plain_text(&self, string: u32) -> String {
        let Some(raw) = self.strings.get(string as usize) else { return String::new() };
        let text = self.decoder.decode(&raw.bytes);
        match raw.formatted {
            true => plain::of_mtext(&text),
            false => plain::of_text(&text),
        }
    }
    /// Type name of an entity without linework.
    pub fn type_name(&self, type_: u32) -> String {
        self.type_names.get(type_ as usize).map_or_else(String::new, |n| self.decoder.decode(n))
    }
    /// Name of a block.
    pub fn block_name(&self, block: u32) -> String {
        self.block_names.get(block as usize).map_or_else(String::new, |n| self.decoder.decode(n))
    }
}

fn first_handle<'a>(mut tags: impl Tags<'a>) -> &'a [u8] {
    tags.next();
    while let Some(tag) = tags.next() {
        match tag.code {
            0 | 1000.. => break,
            5 => return tag.text(),
            _ => {}
        }
    }
    b""
}

/// Line numbers at some places of a text file, so that naming many entities by line does not count
/// the whole file each time.
#[derive(Clone, Debug)]
struct LineIndex {
    /// Offset of a line's start, and its number; one for every [`LineIndex::STEP`] bytes or so.
    marks: Vec<(usize, usize)>,
}

impl LineIndex {
    const STEP: usize = 1 << 16;

    fn of(bytes: &[u8]) -> LineIndex {
        let mut marks = vec![(0, 1)];
        let (mut at, mut line, mut next) = (0, 1, LineIndex::STEP);
        while let Some(i) = memchr::memchr2(b'\n', b'\r', &bytes[at..]) {
            at += i + line_end(&bytes[at + i..]);
            line += 1;
            if at >= next {
                marks.push((at, line));
                next = at + LineIndex::STEP;
            }
        }
        LineIndex { marks }
    }
    fn line(&self, bytes: &[u8], pos: usize) -> usize {
        let mark = self.marks.partition_point(|m| m.0 <= pos).saturating_sub(1);
        let (mut at, mut line) = self.marks.get(mark).copied().unwrap_or((0, 1));
        let before = bytes.get(..pos).unwrap_or(bytes);
        while let Some(i) = before.get(at..).and_then(|b| memchr::memchr2(b'\n', b'\r', b)) {
            at += i + line_end(&before[at + i..]);
            line += 1;
        }
        line
    }
}
