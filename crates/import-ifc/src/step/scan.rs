//! The one pass over the file: every entity's place, and the ids of the classes asked for.

use super::index::Index;
use super::lex::{self, End};
use crate::classes::{Kind, kind_at};
use memchr::memchr;

/// How many places of one kind of damage are remembered.
const PLACES: usize = 5;

/// What was wrong with the text of the file.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Damage {
    /// `END-ISO-10303-21` is missing, or a statement is cut off.
    pub truncated: bool,
    /// Statements that are not well formed.
    pub malformed: usize,
    /// Places of the first few of them: `#id` or `byte n`.
    pub places: Vec<String>,
    /// Ids defined more than once; the first definition is used.
    pub doubles: Vec<u64>,
    /// A comment is opened and never closed.
    pub open_comment: bool,
}

impl Damage {
    fn at(&mut self, place: impl FnOnce() -> String) {
        self.malformed += 1;
        if self.places.len() < PLACES {
            self.places.push(place());
        }
    }
}

/// What the scan found.
#[derive(Debug)]
pub struct Scan {
    /// Every entity.
    pub index: Index,
    /// Ids of the entities of each [`Kind`], ascending, no repeats.
    pub by_kind: Vec<Vec<u64>>,
    /// What was wrong.
    pub damage: Damage,
}

/// Words that may start a statement outside the entities.
const KEYWORDS: [&[u8]; 14] = [
    b"ISO-10303-21",
    b"HEADER",
    b"ENDSEC",
    b"DATA",
    b"FILE_DESCRIPTION",
    b"FILE_NAME",
    b"FILE_SCHEMA",
    b"FILE_POPULATION",
    b"SECTION_LANGUAGE",
    b"SECTION_CONTEXT",
    b"SCHEMA_POPULATION",
    b"ANCHOR",
    b"REFERENCE",
    b"SIGNATURE",
];

/// A statement shorter than this cannot hold two entities of any size that matters; longer ones are
/// looked through for a lost semicolon.
const MAY_HIDE_ANOTHER: usize = 40;

/// Scans a file of less than 4 GiB (the caller checks).
pub fn scan(bytes: &[u8]) -> Scan {
    // An entity is rarely under 40 bytes; pages never written to cost nothing.
    let guess = bytes.len() / 40 + 16;
    let (mut ids, mut offsets) = (Vec::with_capacity(guess), Vec::with_capacity(guess));
    let mut by_kind: Vec<Vec<u64>> = vec![Vec::new(); Kind::COUNT];
    let mut damage = Damage { truncated: true, ..Damage::default() };
    let mut at = 0;
    // The end of the statement being looked at, when it is known already: several entities without
    // semicolons share one end, and looking for it again each time would take quadratic time.
    let mut known_end = 0;
    // No statement ends any more: the file is cut off, or a stray quote swallowed the rest.
    let mut salvage = false;
    loop {
        at = lex::skip_between(bytes, at, &mut damage.open_comment);
        if bytes.get(at) != Some(&b'#') {
            match other_statement(bytes, at, &mut damage) {
                Some(next) => at = next,
                None => break,
            }
            continue;
        }
        let start = at;
        let Some((id, body)) = lex::entity_start(bytes, at) else {
            damage.at(|| format!("byte {start}"));
            match lex::next_entity(bytes, at + 1) {
                Some(next) => at = next,
                None => {
                    damage.truncated &= !has_end(bytes, start);
                    break;
                }
            }
            continue;
        };
        let mut name = body;
        while bytes.get(name) == Some(&b' ') {
            name += 1;
        }
        if let Some(kind) = kind_at(bytes, name) {
            by_kind[kind as usize].push(id);
        }
        ids.push(id);
        offsets.push(start as u32);
        if let Some(end) = lex::plain_end(bytes, name) {
            at = end;
            continue;
        }
        let end = if name < known_end {
            End::At(known_end)
        } else if salvage {
            End::OutOfBytes
        } else {
            lex::statement_end(bytes, name)
        };
        match end {
            End::At(end) | End::Broken(end) => {
                known_end = end;
                at = end;
                if end - body > MAY_HIDE_ANOTHER
                    && memchr(b'=', &bytes[body..end]).is_some()
                    && let Some(hidden) = hidden_entity(bytes, body, end)
                {
                    damage.at(|| format!("#{id}"));
                    at = hidden;
                } else if !closes(bytes, body, end) {
                    damage.at(|| format!("#{id}"));
                }
            }
            End::OutOfBytes => {
                damage.at(|| format!("#{id}"));
                salvage = true;
                match lex::next_entity(bytes, body) {
                    Some(next) => at = next,
                    None => break,
                }
            }
        }
    }
    let (index, doubles) = Index::new(ids, offsets);
    damage.doubles = doubles;
    for list in &mut by_kind {
        list.sort_unstable();
        list.dedup();
    }
    Scan { index, by_kind, damage }
}

/// Passes over a statement that is no entity; `None` at the end of the file.
fn other_statement(bytes: &[u8], at: usize, damage: &mut Damage) -> Option<usize> {
    let rest = bytes.get(at..).filter(|r| !r.is_empty())?;
    if rest.starts_with(b"END-ISO-10303-21") {
        damage.truncated = false;
        return None;
    }
    if KEYWORDS.iter().any(|k| rest.starts_with(k)) {
        return match lex::statement_end(bytes, at) {
            End::At(end) | End::Broken(end) => Some(end),
            End::OutOfBytes => {
                damage.at(|| format!("byte {at}"));
                lex::next_entity(bytes, at)
            }
        };
    }
    // A byte order mark may stand before everything.
    if at == 0 && rest.starts_with(b"\xEF\xBB\xBF") {
        return Some(3);
    }
    damage.at(|| format!("byte {at}"));
    let next = lex::next_entity(bytes, at);
    if next.is_none() {
        damage.truncated &= !has_end(bytes, at);
    }
    next
}

/// Whether the file's last word comes after `at`.
fn has_end(bytes: &[u8], at: usize) -> bool {
    bytes.get(at..).is_some_and(|r| memchr::memmem::find(r, b"END-ISO-10303-21").is_some())
}

/// Whether the statement that ends at `end` (after its `;`) ends in a closing parenthesis.
fn closes(bytes: &[u8], body: usize, end: usize) -> bool {
    let Some(text) = bytes[body..end].strip_suffix(b";") else { return false };
    let text = text.trim_ascii_end();
    // A comment may stand before the semicolon.
    text.ends_with(b")") || text.ends_with(b"*/")
}

/// Where another entity starts inside a statement, when a semicolon was lost. Strings and comments
/// may hold anything.
fn hidden_entity(bytes: &[u8], body: usize, end: usize) -> Option<usize> {
    let mut at = body;
    while at < end {
        match bytes[at] {
            b'\'' => match lex::string_end(bytes, at + 1) {
                End::At(next) => at = next,
                _ => return None,
            },
            b'/' if bytes.get(at + 1) == Some(&b'*') => {
                at = lex::inner_comment_end(bytes, at);
            }
            b'#' if lex::entity_start(bytes, at).is_some() => return Some(at),
            _ => at += 1,
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(s: &Scan, id: u64) -> Option<usize> {
        s.index.offset(id)
    }

    #[test]
    fn whole_file() {
        let text = b"ISO-10303-21;\r\nHEADER;\nFILE_SCHEMA(('IFC4'));\nENDSEC;\nDATA;\n#1=IFCWALL('a;#9=IFCWALL()');/* #8=IFCWALL(); */ #20\n =\tIFCX\n(1);#3= IFCWALL(/* ' */);\nENDSEC;\nEND-ISO-10303-21;\n";
        let s = scan(text);
        assert_eq!(s.damage, Damage::default());
        assert_eq!(s.index.len(), 3);
        assert_eq!(s.by_kind[Kind::Wall as usize], [1, 3]);
        assert!(at(&s, 20).is_some() && at(&s, 9).is_none() && at(&s, 8).is_none());
    }

    #[test]
    fn a_lost_semicolon_loses_no_wall() {
        let s = scan(b"DATA;\n#1=IFCCARTESIANPOINT((0.,0.,0.))\n#2=IFCWALL('x',$);\n#3=IFCWALL('a=b #7=c',$);\nENDSEC;END-ISO-10303-21;");
        assert_eq!(s.by_kind[Kind::Wall as usize], [2, 3]);
        assert_eq!((s.damage.malformed, s.damage.truncated), (1, false));
        assert_eq!(s.damage.places, ["#1"]);
    }

    #[test]
    fn a_lost_quote_costs_one_statement() {
        let s = scan(b"DATA;\n#1=IFCWALL('x,$);\n#2=IFCWALL('y',$);\nENDSEC;\nEND-ISO-10303-21;");
        assert_eq!(s.by_kind[Kind::Wall as usize], [1, 2]);
        assert_eq!(s.damage.malformed, 1);
    }

    #[test]
    fn junk_between_statements() {
        let s = scan(b"DATA;\n#1=IFCWALL('x');\t*//*\n#2=IFCWALL('y');\n##=;\n#3=IFCWALL();\nENDSEC;\nEND-ISO-10303-21;");
        assert_eq!(s.by_kind[Kind::Wall as usize], [1, 2, 3]);
        assert!(s.damage.malformed >= 2);
    }

    #[test]
    fn cut_off() {
        let s = scan(b"DATA;\n#1=IFCWALL('x');\n#2=IFCWALL('y");
        assert!(s.damage.truncated);
        assert_eq!(s.by_kind[Kind::Wall as usize], [1, 2]);
    }
}
