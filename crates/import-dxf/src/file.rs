//! A DXF file as it was read: header values, layer table, blocks, model-space content, damage.
//!
//! Knows: what is kept of a file, and how to look up an entity's handle and line by its offset. Never
//! touches: how it is read (see `reading`), what layers mean, where blocks are inserted, units.

use crate::affine::Xy;
use crate::annotation::RawStrings;
use crate::entity::handle_number;
use crate::linework::Linework;
use crate::lookup::Lookup;
use crate::plain;
use crate::source::Source;
use crate::tag::{Damage, Place, shown};
use crate::text::Decoder;
use diag::Finding;
use rustc_hash::FxHashMap;
use settings::CodePage;
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

impl Header {
    /// Whether strings are UTF-8 by the file's release.
    pub fn is_unicode(&self) -> bool {
        self.version.strip_prefix("AC").and_then(|v| v.parse::<u32>().ok()) >= Some(1021)
    }
}

/// A row of the layer table.
#[derive(Clone, Debug)]
pub(crate) struct LayerRow {
    /// Name as in the file.
    pub name: Box<[u8]>,
    /// Negative colour.
    pub off: bool,
    /// Flag 1.
    pub frozen: bool,
    /// Line type, where it is hidden, dashed or dotted.
    pub broken: Option<Box<[u8]>>,
    /// Offset in the file.
    pub pos: usize,
}

/// A block definition.
#[derive(Clone, Debug, Default)]
pub(crate) struct Block {
    /// Base point: it lands where the block is inserted.
    pub base: Xy,
    /// Path of the file, when the block is an external reference.
    pub xref: Option<Box<[u8]>>,
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
    lookup: Lookup<'a>,
    /// The code page of the settings.
    pub code_page_set: Option<CodePage>,
    /// Header.
    pub header: Header,
    /// First comment (group 999) of the file, where programs like to name themselves.
    pub comment: Option<Box<[u8]>>,
    /// Layer table.
    pub layer_rows: Vec<LayerRow>,
    /// Layer names by raw number.
    pub layer_names: Vec<Box<[u8]>>,
    /// Block names by raw number.
    pub block_names: Vec<Box<[u8]>>,
    /// Entity type names by number.
    pub type_names: Vec<Box<[u8]>>,
    /// Strings of texts and dimensions, by number.
    pub strings: RawStrings,
    /// Blocks by raw number.
    pub blocks: FxHashMap<u32, Block>,
    /// Model space.
    pub model: Linework,
    /// Proxy entities of model space and blocks: class name, raw layer, offsets.
    pub proxies: BTreeMap<(String, u32), Vec<u32>>,
    /// Heights of entities that do not lie at zero, by offset, in order.
    pub heights: Vec<(u32, f64)>,
    /// Damage met.
    pub damage: Damage,
    /// Set when the end marker is missing.
    pub truncated: Option<Truncation>,
    /// How strings are decoded.
    pub decoder: Decoder,
    /// What there is to say of that.
    pub code_page_told: Option<Finding>,
}

/// Files must be smaller than this: offsets are kept in 32 bits.
pub(crate) const MAX_BYTES: u64 = u32::MAX as u64;

impl<'a> DxfFile<'a> {
    /// Nothing read yet; `code_page_set` is what the settings say.
    pub fn new(source: Source<'a>, code_page_set: Option<CodePage>) -> DxfFile<'a> {
        DxfFile {
            code_page_set,
            lookup: Lookup::new(source),
            header: Header::default(),
            comment: None,
            layer_rows: Vec::new(),
            layer_names: Vec::new(),
            block_names: Vec::new(),
            type_names: Vec::new(),
            strings: RawStrings::default(),
            blocks: FxHashMap::default(),
            model: Linework::default(),
            proxies: BTreeMap::new(),
            heights: Vec::new(),
            damage: Damage::default(),
            truncated: None,
            decoder: Decoder::unicode(),
            code_page_told: None,
        }
    }
    /// The height that the entity at this offset is drawn at, in drawing units.
    pub fn height(&self, pos: u32) -> f64 {
        let found = self.heights.binary_search_by_key(&pos, |h| h.0);
        found.ok().and_then(|i| self.heights.get(i)).map_or(0.0, |h| h.1)
    }
    /// How many bytes the file has.
    pub fn bytes(&self) -> u64 {
        self.lookup.bytes()
    }
    /// Whether it is a binary file.
    pub fn is_binary(&self) -> bool {
        self.lookup.binary
    }
    /// The handle of the entity at this offset, as text; `line 12` (of a binary file `byte 12`) where
    /// it has none.
    pub fn handle(&self, pos: u32) -> String {
        let own = self.lookup.handle(pos as usize, |raw| match std::str::from_utf8(raw) {
            // As handles are: a few digits.
            Ok(plain)
                if (1..=32).contains(&raw.len()) && raw.iter().all(u8::is_ascii_alphanumeric) =>
            {
                Some(plain.to_owned())
            }
            _ if raw.is_empty() => None,
            _ => {
                let text = self.decoder.decode(raw);
                Some(text.chars().filter(|c| !c.is_control()).take(32).collect())
            }
        });
        own.unwrap_or_else(|| self.place(pos as usize))
    }
    /// The handle of the entity at this offset as a number; the greatest where it has none that is one.
    pub fn handle_number(&self, pos: u32) -> u64 {
        self.lookup.handle(pos as usize, handle_number)
    }
    /// `line 12`, or `byte 12` of a binary file.
    pub fn place(&self, pos: usize) -> String {
        match self.lookup.binary {
            true => format!("byte {pos}"),
            false => format!("line {}", self.lookup.line_number(pos)),
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
        self.lookup.name(pos, shown)
    }
    /// What a string of a text or dimension says: escapes decoded, formatting taken off, paragraphs on
    /// lines of their own. Empty for [`crate::linework::NO_STRING`].
    pub fn plain_text(&self, string: u32) -> String {
        let Some((raw, formatted)) = self.strings.get(string) else { return String::new() };
        let text = self.decoder.decode(raw);
        match formatted {
            true => plain::of_mtext(&text),
            false => plain::of_text(&text),
        }
    }
    /// Whether there is a digit in a string, its codes included.
    pub fn has_digit(&self, string: u32) -> bool {
        self.strings.get(string).is_some_and(|(raw, _)| raw.iter().any(u8::is_ascii_digit))
    }
    /// Type name of an entity without linework.
    pub fn type_name(&self, type_: u32) -> String {
        self.type_names.get(type_ as usize).map_or_else(String::new, |n| self.decoder.decode(n))
    }
    /// The line type that the entity at this offset names.
    pub fn line_type(&self, pos: u32) -> String {
        self.lookup.line_type(pos as usize, |raw| self.decoder.decode(raw))
    }
    /// Name of a block.
    pub fn block_name(&self, block: u32) -> String {
        self.block_names.get(block as usize).map_or_else(String::new, |n| self.decoder.decode(n))
    }
}
