//! Reading a DXF file: from tags to header values, layer table, blocks and model-space content.
//!
//! Knows: sections and tables, which of them matter to a plan, what a damaged file looks like, how reading goes
//! on from one stretch of a large file to the next. Never touches: what layers mean, where blocks are
//! inserted, units.
//!
//! Read: HEADER, CLASSES (names only), TABLES (layers only), BLOCKS, ENTITIES. OBJECTS, THUMBNAILIMAGE
//! and unknown sections are passed over unread.

use crate::ascii::AsciiTags;
use crate::binary::{BinaryTags, is_binary};
use crate::codepage;
use crate::entity::{After, EntityReader};
use crate::file::{Block, DxfFile, LayerRow, Truncation};
use crate::linework::{Linework, NOT_INSERTED, State};
use crate::source::{Source, TextFile, Window};
use crate::tag::{Skipped, Tag, Tags, shown};
use limits::Watch;
use settings::CodePage;

/// Reads a whole file. Never fails: what cannot be read is in `damage`. Breaks off when time is up.
pub(crate) fn read_file<'s>(
    source: Source<'s>,
    code_page: Option<CodePage>,
    watch: &Watch,
) -> DxfFile<'s> {
    let file = DxfFile::new(source, code_page);
    match source {
        Source::Memory(bytes) if is_binary(bytes) => whole(file, BinaryTags::new(bytes), watch),
        Source::Memory(bytes) => whole(file, AsciiTags::new(bytes), watch),
        Source::Text(text) => {
            let mut room = text.room();
            loop {
                if let Some(read) = by_windows(source, text, code_page, room, watch) {
                    return read;
                }
                // Some part of it that is read at once is larger than that.
                room = room.saturating_mul(16);
            }
        }
    }
}

/// Reads all of these tags.
pub(crate) fn whole<'a>(file: DxfFile<'a>, tags: impl Tags<'a>, watch: &Watch) -> DxfFile<'a> {
    let mut reading = Reading::new(file, tags, watch);
    reading.go(Part::Outside);
    reading.finish()
}

/// Reads a file through a window of `room` bytes; `None` when something does not fit into one.
fn by_windows<'s>(
    source: Source<'s>,
    text: &'s TextFile,
    code_page: Option<CodePage>,
    room: usize,
    watch: &Watch,
) -> Option<DxfFile<'s>> {
    let mut window = Window::default();
    window.slide(text, 0, room);
    let mut part = Part::Outside;
    let file = DxfFile::new(source, code_page);
    let mut reading = Reading::new(file, AsciiTags::new(b""), watch);
    loop {
        let mut tags = AsciiTags::of_window(
            window.bytes(),
            window.base,
            window.goes_on,
            std::mem::take(reading.entities.tags.damage()),
        );
        if window.base == 0 {
            tags.pass_over_the_beginning();
        }
        // An entity that begins in the last part of a window may not end in it.
        let fence = window.base + window.bytes().len() - window.bytes().len() / 8;
        let mut here = reading.with_tags(tags, if window.goes_on { fence } else { usize::MAX });
        here.go(part);
        if here.entities.tags.ran_out() {
            return None;
        }
        let Some(pause) = here.pause.take() else { return Some(here.finish()) };
        let damage = std::mem::take(here.entities.tags.damage());
        reading = here.with_tags(AsciiTags::of_window(b"", 0, true, damage), usize::MAX);
        if pause.at <= window.base {
            return None;
        }
        window.slide(text, pause.at, room);
        part = pause.part;
    }
}

/// Where in a file reading goes on.
enum Part {
    /// Between sections.
    Outside,
    /// Among entities of model space; whether in their own section.
    Entities { in_section: bool },
    /// Between blocks.
    Blocks,
    /// In a block; whether in the section of blocks.
    Block { open: Box<OpenBlock>, in_section: bool },
    /// In a section that is passed over.
    Skipped,
}

/// Reading is to go on from an offset with other bytes.
struct Pause {
    at: usize,
    part: Part,
}

/// A block whose end is not yet read.
struct OpenBlock {
    /// Offset of its head.
    head: usize,
    name: Box<[u8]>,
    is_model: bool,
    is_paper: bool,
    block: Block,
}

struct Reading<'s, 'a, 'w, R> {
    entities: EntityReader<'a, R>,
    file: DxfFile<'s>,
    classes: Vec<Box<[u8]>>,
    saw_entities_end: bool,
    saw_end: bool,
    watch: &'w Watch,
    /// Entities read.
    turn: usize,
    /// What begins at this offset or after it is read with other bytes.
    fence: usize,
    pause: Option<Pause>,
}

/// Where the next tag comes from: read ahead by an entity, or not yet read. With a pause set there is none.
type Ahead<'a> = Option<Tag<'a>>;

impl<'s, 'a, 'w, R: Tags<'a>> Reading<'s, 'a, 'w, R> {
    fn new(mut file: DxfFile<'s>, tags: R, watch: &'w Watch) -> Reading<'s, 'a, 'w, R> {
        // A line takes 150 bytes or so of a file. Room that is not needed is never touched.
        let lines = (file.bytes() / 128) as usize;
        file.model.shapes.reserve(lines);
        file.model.segments.reserve(lines);
        Reading {
            entities: EntityReader::new(tags),
            file,
            classes: Vec::new(),
            saw_entities_end: false,
            saw_end: false,
            watch,
            turn: 0,
            fence: usize::MAX,
            pause: None,
        }
    }

    /// Goes on with other tags of the same file.
    fn with_tags<'b, S: Tags<'b>>(self, tags: S, fence: usize) -> Reading<'s, 'b, 'w, S> {
        let Reading { entities, file, classes, saw_entities_end, saw_end, watch, turn, .. } = self;
        let entities = entities.with_tags(tags);
        let pause = None;
        Reading { entities, file, classes, saw_entities_end, saw_end, watch, turn, fence, pause }
    }

    /// Whether what begins with this tag is read with other bytes.
    fn is_beyond(&self, tag: &Tag<'a>) -> bool {
        tag.pos >= self.fence
    }

    fn pause(&mut self, at: usize, part: Part) -> Ahead<'a> {
        self.pause = Some(Pause { at, part });
        None
    }

    /// Reads on until the end of the bytes at hand, of the file or of the time, or a pause.
    fn go(&mut self, part: Part) {
        let mut ahead = self.go_on_in(part);
        while self.pause.is_none()
            && let Some(tag) = ahead.take().or_else(|| self.entities.tags.next())
        {
            if tag.code == 999 && self.file.comment.is_none() {
                self.file.comment = Some(tag.text().into());
            }
            if tag.code != 0 {
                continue;
            }
            if self.is_beyond(&tag) {
                self.pause(tag.pos, Part::Outside);
                return;
            }
            if self.watch.is_over() {
                return;
            }
            match tag.text() {
                b"EOF" => {
                    self.saw_end = true;
                    return;
                }
                b"SECTION" => ahead = self.section(),
                b"ENDSEC" => {}
                b"BLOCK" => {
                    self.note(tag.pos, "a block stands outside its section");
                    ahead = self.block(tag.pos, false);
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
                    ahead = self.entity_list(tag, false);
                }
            }
        }
    }

    /// Goes on in the middle of a part; the tag after it.
    fn go_on_in(&mut self, part: Part) -> Ahead<'a> {
        match part {
            Part::Outside => None,
            Part::Skipped => self.skip_section(),
            Part::Entities { in_section } => {
                let tag = self.entities.tags.next()?;
                let ahead = self.entity_list(tag, in_section);
                self.saw_entities_end |= in_section && ahead.is_some();
                ahead
            }
            Part::Blocks => {
                let tag = self.entities.tags.next()?;
                self.blocks_from(tag)
            }
            Part::Block { open, in_section } => {
                let tag = self.entities.tags.next()?;
                let after = self.rest_of_block(open, tag, in_section)?;
                if in_section { self.blocks_from(after) } else { Some(after) }
            }
        }
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
                    tag if tag.code == 0 => self.entity_list(tag, true),
                    _ => None,
                };
                self.saw_entities_end |= ahead.is_some();
                ahead
            }
            _ => self.skip_section(),
        }
    }

    fn skip_section(&mut self) -> Ahead<'a> {
        match self.entities.tags.skip_section() {
            Skipped::All => None,
            Skipped::Until(at) => self.pause(at, Part::Skipped),
        }
    }

    /// Whether time is up; asked after every entity.
    fn is_over(&mut self) -> bool {
        self.turn += 1;
        self.watch.is_over_at(self.turn)
    }

    /// Entities up to the end of the section. `None` when the file stops in the middle of one.
    fn entity_list(&mut self, mut tag: Tag<'a>, in_section: bool) -> Ahead<'a> {
        loop {
            if matches!(tag.text(), b"ENDSEC" | b"EOF" | b"SECTION") {
                return Some(tag);
            }
            if self.is_beyond(&tag) {
                return self.pause(tag.pos, Part::Entities { in_section });
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
                (999, _) if self.file.comment.is_none() => {
                    self.file.comment = Some(tag.text().into());
                }
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
                1 => self.classes.push(tag.text().into()),
                _ => {}
            }
        }
    }

    fn tables(&mut self) -> Ahead<'a> {
        let mut row: Option<LayerRow> = None;
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
                        row = Some(LayerRow {
                            name: Box::default(),
                            off: false,
                            frozen: false,
                            broken: None,
                            pos: tag.pos,
                        });
                    }
                    b"ENDSEC" | b"EOF" | b"SECTION" => return Some(tag),
                    _ => {}
                },
                code => {
                    if let Some(r) = &mut row {
                        match code {
                            2 => r.name = tag.text().into(),
                            6 if crate::brokenlines::is_broken(tag.text()) => {
                                r.broken = Some(tag.text().into());
                            }
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
        let tag = self.entities.tags.next()?;
        self.blocks_from(tag)
    }

    fn blocks_from(&mut self, mut tag: Tag<'a>) -> Ahead<'a> {
        loop {
            if self.is_beyond(&tag) {
                return self.pause(tag.pos, Part::Blocks);
            }
            tag = match tag.text() {
                _ if tag.code != 0 => self.entities.tags.next()?,
                b"ENDSEC" | b"EOF" | b"SECTION" => return Some(tag),
                b"BLOCK" => self.block(tag.pos, true)?,
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
    fn block(&mut self, head: usize, in_section: bool) -> Ahead<'a> {
        self.entities.tags.damage().entity = None;
        let mut block = Block::default();
        let mut name: &[u8] = b"";
        let (mut path, mut flags): (&[u8], _) = (b"", 0);
        let tag = loop {
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
        block.xref = (flags & (4 | 8) != 0).then(|| path.into());
        let upper = name.to_ascii_uppercase();
        let is_model = matches!(upper.as_slice(), b"*MODEL_SPACE" | b"$MODEL_SPACE");
        let is_paper = upper.starts_with(b"*PAPER_SPACE") || upper.starts_with(b"$PAPER_SPACE");
        let open = OpenBlock { head, name: name.into(), is_model, is_paper, block };
        self.rest_of_block(Box::new(open), tag, in_section)
    }

    /// What is left of a block from a tag of its content on; the tag after it.
    fn rest_of_block(
        &mut self,
        mut open: Box<OpenBlock>,
        mut tag: Tag<'a>,
        in_section: bool,
    ) -> Ahead<'a> {
        let next = loop {
            match tag.text() {
                b"ENDBLK" => break self.after_endblk(),
                b"ENDSEC" | b"EOF" | b"SECTION" | b"BLOCK" => {
                    self.note(tag.pos, &format!("block {} has no ENDBLK", shown(&open.name)));
                    break Some(tag);
                }
                _ => {}
            }
            if self.is_beyond(&tag) {
                return self.pause(tag.pos, Part::Block { open, in_section });
            }
            // Model and paper space are blocks too; some writers put their entities here.
            let outside = open.is_model || open.is_paper;
            let out = if outside { &mut self.file.model } else { &mut open.block.content };
            match self.entities.entity(tag, out, open.is_paper) {
                After::Tag(_) if self.is_over() => break None,
                After::Tag(next) => tag = next,
                After::CutOff => break None,
            }
        };
        let OpenBlock { head, name, is_model, is_paper, block } = *open;
        let id = self.entities.blocks.id(&name);
        if is_model || is_paper || name.is_empty() {
            return next;
        }
        // The later of two blocks of one name holds, as it would in one program reading after another.
        if self.file.blocks.insert(id, block).is_some() {
            self.note(
                head,
                &format!("block {} is defined twice; the later one was used", shown(&name)),
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

    fn finish(mut self) -> DxfFile<'s> {
        if !self.saw_end {
            self.file.truncated = Some(match self.saw_entities_end {
                true => Truncation::AfterEntities,
                false => Truncation::BeforeTheEnd,
            });
        }
        let EntityReader { mut tags, layers, blocks, types, strings, proxies, mut heights, .. } =
            self.entities;
        heights.sort_by_key(|h| h.0);
        let mut file = self.file;
        file.damage = std::mem::take(tags.damage());
        (file.layer_names, file.block_names, file.type_names) =
            (layers.into_names(), blocks.into_names(), types.into_names());
        file.strings = strings;
        file.heights = heights;
        (file.decoder, file.code_page_told) = codepage::settle(&file);
        tell_unfit_names(&mut file);
        let mut by_class: Vec<_> = proxies.into_iter().collect();
        by_class.sort();
        for ((class, layer), at) in by_class {
            let known = usize::try_from(class - 500).ok().and_then(|i| self.classes.get(i));
            // Empty where the file does not name the class.
            let name = known.map_or_else(String::new, |n| file.decoder.decode(n));
            file.proxies.entry((name, layer)).or_default().extend(at);
        }
        file
    }
}

/// Notes the layer names that do not fit the code page: in the layer table, or where an entity first has one
/// that is in no table.
fn tell_unfit_names(file: &mut DxfFile<'_>) {
    let decoder = &file.decoder;
    let mut places: Vec<(usize, String)> = Vec::new();
    for row in file.layer_rows.iter().filter(|row| !decoder.fits(&row.name)) {
        places.push((row.pos, decoder.decode(&row.name)));
    }
    for (raw, name) in file.layer_names.iter().enumerate().filter(|n| !decoder.fits(n.1)) {
        if file.layer_rows.iter().all(|row| row.name != *name)
            && let Some(pos) = first_on_layer(file, raw as u32)
        {
            places.push((pos as usize, decoder.decode(name)));
        }
    }
    let what = "a layer name does not fit the drawing's code page and was read as Windows-1252";
    for (pos, name) in places {
        file.damage.entity = None;
        file.damage.add(pos, format!("{what}: {name}"));
    }
}

/// Where the first entity of a layer stands, by its raw number.
fn first_on_layer(file: &DxfFile<'_>, layer: u32) -> Option<u32> {
    let blocks = file.blocks.values().map(|b| &b.content);
    let first = |l: &Linework| {
        let shapes = l.shapes.iter().filter(|s| s.layer == layer).map(|s| s.pos);
        let inserts = l.inserts.iter().filter(|i| i.layer == layer).map(|i| i.pos);
        let others = l.others.iter().filter(|(k, _)| k.1 == layer);
        let others = others.flat_map(|(_, count)| count.sample.iter().map(|s| s.1));
        shapes.chain(inserts).chain(others).min()
    };
    blocks.chain([&file.model]).filter_map(first).min()
}
