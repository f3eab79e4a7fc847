//! The one pass over the file: every entity's place, and the ids of the classes asked for.

use super::index::{Builder, Index};
use super::lex::{self, End};
use super::plain::plain_run;
use crate::classes::{Kind, Lookup};
use fearless_simd::Level;
use memchr::memchr;

/// How many places of one kind of damage are remembered.
const PLACES: usize = 5;

/// What was wrong with the text of the file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
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
    /// Takes the damage of the rest of the file.
    fn append(&mut self, later: Damage) {
        self.truncated = later.truncated;
        self.malformed += later.malformed;
        let room = PLACES.saturating_sub(self.places.len());
        self.places.extend(later.places.into_iter().take(room));
        self.open_comment |= later.open_comment;
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

/// Files smaller than this are scanned in one part: a second thread costs more there than it saves.
const WORTH_PARTING: usize = 8 << 20;

/// How many entities whose classes may matter are looked at at a time.
const SOME: usize = 64;

/// How far from the middle the second part of a file may begin.
const MIDDLE: usize = 1 << 20;

/// Scans a file of less than 4 GiB (the caller checks). Large files are scanned in two halves at a time.
///
/// The second half begins where an entity seems to start. What was found from there on counts only if the
/// scan of the first half comes to begin a statement at that very place, as one scan of the whole would
/// have; else the first scan goes on through the second half too.
pub fn scan(bytes: &[u8]) -> Scan {
    let several = std::thread::available_parallelism().is_ok_and(|n| n.get() > 1);
    let middle = (several && bytes.len() >= WORTH_PARTING).then(|| middle(bytes)).flatten();
    match middle {
        Some(middle) => scan_parted(bytes, middle),
        None => Scanner::new(bytes, 0).run(bytes.len()).finish(),
    }
}

fn scan_parted(bytes: &[u8], middle: usize) -> Scan {
    std::thread::scope(|threads| {
        let later = threads.spawn(|| Scanner::new(bytes, middle).run(bytes.len()));
        let first = Scanner::new(bytes, 0).run(middle);
        match later.join() {
            Ok(later) if first.begins_anew_at(middle) => first.append(later).finish(),
            _ => first.run(bytes.len()).finish(),
        }
    })
}

/// A line past the middle that starts with an entity.
fn middle(bytes: &[u8]) -> Option<usize> {
    let mut at = bytes.len() / 2;
    let far = bytes.len().min(at + MIDDLE);
    loop {
        at += memchr(b'\n', bytes.get(at..far)?)? + 1;
        if lex::entity_start(bytes, at).is_some() {
            return Some(at);
        }
    }
}

/// A scan under way.
struct Scanner<'a> {
    bytes: &'a [u8],
    /// What the processor can do.
    level: Level,
    kinds: Lookup,
    /// The next statement is looked for from here on.
    at: usize,
    /// The end of the statement being looked at, when it is known already: several entities without
    /// semicolons share one end, and looking for it again each time would take quadratic time.
    known_end: usize,
    /// No statement ends any more: the file is cut off, or a stray quote swallowed the rest.
    salvage: bool,
    /// Nothing comes after `at`.
    ended: bool,
    index: Builder,
    by_kind: Vec<Vec<u64>>,
    damage: Damage,
}

impl<'a> Scanner<'a> {
    fn new(bytes: &'a [u8], at: usize) -> Scanner<'a> {
        Scanner {
            bytes,
            level: Level::new(),
            kinds: Lookup::new(),
            at,
            known_end: 0,
            salvage: false,
            ended: false,
            index: Builder::new(bytes.len()),
            by_kind: vec![Vec::new(); Kind::COUNT],
            damage: Damage { truncated: true, ..Damage::default() },
        }
    }

    /// Scans up to the first statement at or after `to`.
    fn run(self, to: usize) -> Scanner<'a> {
        // With the next entity's `#` in sight.
        let reach = &self.bytes[..self.bytes.len().min(to.saturating_add(1))];
        self.run_within(to, reach)
    }

    /// The same; runs of statements of the usual kind are taken at once as far as `reach` goes.
    fn run_within(mut self, to: usize, reach: &[u8]) -> Scanner<'a> {
        while !self.ended {
            self.at = lex::skip_between(self.bytes, self.at, &mut self.damage.open_comment);
            if self.bytes.get(self.at) == Some(&b'#') {
                self.plain_entities(reach);
            }
            if self.at >= to {
                break;
            }
            let next = match self.bytes.get(self.at) {
                Some(b'#') => self.entity(),
                _ => other_statement(self.bytes, self.at, &mut self.damage),
            };
            match next {
                Some(next) => self.at = next,
                None => self.ended = true,
            }
        }
        self
    }

    /// Takes the entities of the usual kind that follow, as far as `reach` goes.
    fn plain_entities(&mut self, reach: &[u8]) {
        let Scanner { level, kinds, index, by_kind, .. } = self;
        let table = kinds.table();
        // Which classes matter nobody can guess, a processor neither: they are looked at by themselves.
        let mut some = [(0, 0); SOME];
        let mut count = 0;
        let mut sort = |some: &[(u64, u32)]| {
            for (id, name) in some {
                if let Some(kind) = kinds.at(reach, *name as usize) {
                    by_kind[kind as usize].push(*id);
                }
            }
        };
        self.at = plain_run(
            *level,
            reach,
            self.at,
            #[inline(always)]
            |entity| {
                index.add(entity.id, entity.start as u32);
                some[count % SOME] = (entity.id, entity.name as u32);
                count += usize::from(table.may_begin(entity.four));
                if count == SOME {
                    sort(&some);
                    count = 0;
                }
            },
        );
        sort(&some[..count]);
    }

    /// Takes any entity; where to go on, or `None` when nothing follows.
    fn entity(&mut self) -> Option<usize> {
        let (bytes, start) = (self.bytes, self.at);
        let Some((id, body)) = lex::entity_start(bytes, start) else {
            self.damage.at(|| format!("byte {start}"));
            let next = lex::next_entity(bytes, start + 1);
            if next.is_none() {
                self.damage.truncated &= !has_end(bytes, start);
            }
            return next;
        };
        let name = lex::skip_inside(bytes, body);
        if let Some(kind) = self.kinds.at(bytes, name) {
            self.by_kind[kind as usize].push(id);
        }
        self.index.add(id, start as u32);
        // Comments are rare, and a second look at every statement is not cheap.
        let mut comment = name < self.known_end || bytes[body..name].contains(&b'/');
        let end = if name < self.known_end {
            End::At(self.known_end)
        } else if self.salvage {
            End::OutOfBytes
        } else {
            lex::statement_end_past(bytes, name, &mut comment)
        };
        match end {
            End::At(end) | End::Broken(end) => {
                self.known_end = end;
                if end - body > MAY_HIDE_ANOTHER
                    && memchr(b'=', &bytes[body..end]).is_some()
                    && let Some(hidden) = hidden_entity(bytes, body, end)
                {
                    self.damage.at(|| format!("#{id}"));
                    return Some(hidden);
                }
                if !closes(bytes, body, end) || comment && opens_comment(bytes, body, end) {
                    self.damage.at(|| format!("#{id}"));
                }
                Some(end)
            }
            End::OutOfBytes => {
                self.damage.at(|| format!("#{id}"));
                self.salvage = true;
                lex::next_entity(bytes, body)
            }
        }
    }

    /// Whether it goes on at that place as a scan does that begins there.
    fn begins_anew_at(&self, place: usize) -> bool {
        self.at == place
            && self.known_end <= place
            && !(self.ended || self.salvage || self.damage.open_comment)
    }

    /// Takes what was found in the rest of the file.
    fn append(mut self, later: Scanner<'_>) -> Scanner<'a> {
        self.index.append(later.index);
        for (all, more) in self.by_kind.iter_mut().zip(later.by_kind) {
            all.extend(more);
        }
        self.damage.append(later.damage);
        self
    }

    fn finish(mut self) -> Scan {
        let (index, doubles) = self.index.finish();
        self.damage.doubles = doubles;
        for list in &mut self.by_kind {
            list.sort_unstable();
            list.dedup();
        }
        Scan { index, by_kind: self.by_kind, damage: self.damage }
    }
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

/// Whether a comment is opened in the statement and not closed, or closed only after the beginning of another
/// entity.
fn opens_comment(bytes: &[u8], body: usize, end: usize) -> bool {
    let mut at = body;
    while let Some(n) = bytes.get(at..end).and_then(|text| memchr::memchr2(b'\'', b'/', text)) {
        at += n + 1;
        if bytes[at - 1] == b'\'' {
            match lex::string_end(bytes, at) {
                End::At(next) => at = next,
                _ => return false,
            }
        } else if bytes.get(at) == Some(&b'*') {
            let after = lex::inner_comment_end(bytes, at - 1);
            let text = bytes.get(at..after).unwrap_or_default();
            let mut lines = memchr::memchr_iter(b'\n', text).map(|n| at + n + 1);
            if after == at + 1 || lines.any(|line| lex::entity_start(bytes, line).is_some()) {
                return true;
            }
            at = after;
        }
    }
    false
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
    use proptest::prelude::*;

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
    fn comments_between_all_tokens_of_a_statement() {
        let c = "/* c; ' */ /* #9=IFCWALL(); */";
        let line = |id| format!("#{id}{c}={c}IFCWALL{c}({c}'a'{c},{c}${c}){c};\n");
        let text = format!("DATA{c};\n{}{}ENDSEC{c};\nEND-ISO-10303-21;\n", line(1), line(2));
        let s = scan(text.as_bytes());
        assert_eq!(s.damage, Damage::default());
        assert_eq!(s.by_kind[Kind::Wall as usize], [1, 2]);
        assert_eq!(s.index.len(), 2);
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
    fn a_comment_never_closed_is_damage() {
        let s = scan(b"DATA;\n#3=IFCWALL(/**/'a', /* 'b */'');\n#1=IFCWALL(/* 'x');\n#2=IFCWALL('a /* b');\nENDSEC;\nEND-ISO-10303-21;");
        assert_eq!((s.damage.malformed, s.damage.places), (1, vec!["#1".to_owned()]));
        assert_eq!(s.by_kind[Kind::Wall as usize], [1, 2, 3]);
        // By the grammar all up to the next end of a comment is one.
        let s = scan(b"DATA;\n#1=IFCWALL(/* 'x');\n#2=IFCWALL('a');\n#3=IFCWALL(/**/'a');\nENDSEC;\nEND-ISO-10303-21;");
        assert_eq!((s.damage.malformed, s.damage.places), (1, vec!["#1".to_owned()]));
    }

    #[test]
    fn cut_off() {
        let s = scan(b"DATA;\n#1=IFCWALL('x');\n#2=IFCWALL('y");
        assert!(s.damage.truncated);
        assert_eq!(s.by_kind[Kind::Wall as usize], [1, 2]);
    }

    /// One statement after the other, none taken on sight.
    fn assert_careful_finds_the_same(one: &Scan, bytes: &[u8]) {
        let careful = Scanner::new(bytes, 0).run_within(bytes.len(), b"");
        let salvage = careful.salvage;
        let mut careful = careful.finish();
        if salvage {
            // After a cut each statement taken by itself counts as damage, those taken on sight do not.
            careful.damage = one.damage.clone();
        }
        assert_same(one, &careful, bytes);
    }
    fn in_one(bytes: &[u8]) -> Scan {
        Scanner::new(bytes, 0).run(bytes.len()).finish()
    }
    fn assert_same(a: &Scan, b: &Scan, bytes: &[u8]) {
        assert_eq!((&a.damage, &a.by_kind), (&b.damage, &b.by_kind));
        assert_eq!(a.index.len(), b.index.len());
        let starts = (0..bytes.len()).filter_map(|at| lex::entity_start(bytes, at));
        for (id, _) in starts {
            assert_eq!(a.index.offset(id), b.index.offset(id), "#{id}");
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 600, ..ProptestConfig::default() })]

        /// Whether statements are taken on sight or not, and wherever the file is parted.
        #[test]
        fn every_way_finds_the_same(tokens in proptest::collection::vec(prop_oneof![
            6 => (1..40_u32, prop_oneof![Just("\n"), Just("\r\n"), Just(" "), Just("\n\n")]).prop_map(|(id, end)| format!("#{id}= IFCWALL('a b',$,(1.,2.));{end}")),
            4 => (1..40_u32).prop_map(|id| format!("#{id}=IFCPROPERTYSINGLEVALUE('it''s; so',$,IFCLABEL('x/y'),$);\n")),
            1 => (1..40_u32).prop_map(|id| format!("#{id}=IFCX('lost,$);\n")),
            1 => (1..40_u32).prop_map(|id| format!("#{id}=IFCX('lost',$)\n")),
            1 => Just("/* a; #7=IFCWALL( */".to_owned()),
            1 => (1..40_u32).prop_map(|id| format!("#{id}/* a; ' */=IFCWALL('a b',$)/**/;\n")),
            1 => Just("/*".to_owned()), 1 => Just("*/".to_owned()), 1 => Just("'".to_owned()), 1 => Just("\n".to_owned()),
            1 => Just("ENDSEC;\n".to_owned()), 1 => Just("END-ISO-10303-21;\n".to_owned()), 1 => Just("##".to_owned())], 0..60),
            from in 0..3000_usize)
        {
            let text = tokens.concat();
            let bytes = text.as_bytes();
            let one = in_one(bytes);
            assert_careful_finds_the_same(&one, bytes);
            if let Some(middle) = lex::next_entity(bytes, from.min(bytes.len())) {
                assert_same(&one, &scan_parted(bytes, middle), bytes);
            }
        }
    }

    #[test]
    fn every_way_finds_the_same_in_real_files() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../../shared/corpus/ifc");
        let Ok(files) = std::fs::read_dir(folder) else {
            println!("skipped: no corpus beside the workspace");
            return;
        };
        for path in
            files.map(|f| f.unwrap().path()).filter(|p| p.extension().is_some_and(|e| e == "ifc"))
        {
            let bytes = std::fs::read(&path).unwrap();
            let one = in_one(&bytes);
            assert_careful_finds_the_same(&one, &bytes);
            // A file without line ends is scanned in one part.
            let Some(middle) = middle(&bytes) else { continue };
            assert!(Scanner::new(&bytes, 0).run(middle).begins_anew_at(middle), "{path:?}");
            assert_same(&one, &scan_parted(&bytes, middle), &bytes);
        }
    }
}
