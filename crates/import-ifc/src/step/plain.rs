//! Runs of statements of the usual kind, found sixty-four bytes at a time.
//!
//! Nearly all of a file is statements that every exporter writes in one way. Whether they are that is
//! told from bit masks of whole blocks, with the same care as [`super::lex`] takes byte by byte; the first
//! statement that is anything else ends the run and is left to the careful reader.

use super::lex;
use fearless_simd::prelude::*;
use fearless_simd::{Level, Simd, dispatch, u8x64};
use wide::u8x16;

/// Longer names are left to the careful reader.
const LONGEST_NAME: usize = 64;

/// Bytes looked at in one go.
const BLOCK: usize = 64;

/// An entity of the usual kind.
#[derive(Clone, Copy)]
pub struct Found {
    /// Its id.
    pub id: u64,
    /// Where its `#` is.
    pub start: usize,
    /// Where its class name starts.
    pub name: usize,
    /// The four bytes after the first three of its class name.
    pub four: [u8; 4],
}

/// Passes over statements of the usual kind from `start` on, where an entity's `#` may stand, and tells
/// the entity of each. Gives the place after the run.
///
/// The usual kind: `#id=`, at most a blank, a class name in letters, then neither `=` nor `/` (a comment, or
/// an entity behind a lost semicolon or quote) up to the first semicolon outside a string, which follows
/// a parenthesis, ends the line, and has an entity on the next line.
#[inline]
pub fn plain_run(level: Level, bytes: &[u8], start: usize, found: impl FnMut(Found)) -> usize {
    dispatch!(level, simd => run(simd, bytes, start, found))
}

#[inline(always)]
fn run<S: Simd>(simd: S, bytes: &[u8], start: usize, mut found: impl FnMut(Found)) -> usize {
    let mut ids = Ids::UNKNOWN;
    let first = bytes.get(start..).and_then(<[u8]>::first_chunk);
    let Some(mut entity) = first.and_then(|head| ids.entity(bytes, start, head, 0)) else {
        return start;
    };
    let mut base = start;
    // All ones where a string goes on from the block before; whether an entity past its `=` does.
    let (mut in_string, mut in_entity) = (0_u64, false);
    while let Some(block) = bytes.get(base..).and_then(<[u8]>::first_chunk) {
        let seen = Seen::of(simd, block);
        let strings = covered(seen.quotes) ^ in_string;
        let ends = seen.semicolons & !strings;
        // Marks and ends must take turns: each entity has its own `=`, and then its end. Where they do,
        // the difference has ones from each mark up to before its end.
        let (entities, goes_on) = ends.borrowing_sub(seen.marks, in_entity);
        let wrong = (seen.marks & !entities) | (ends & entities);
        let before_wrong = (wrong & wrong.wrapping_neg()).wrapping_sub(1);
        let mut left = ends & before_wrong;
        while left != 0 {
            let end = base + left.trailing_zeros() as usize;
            left &= left - 1;
            let tail = bytes.get(end.wrapping_sub(1)..).and_then(<[u8]>::first_chunk);
            let Some((tail, hash)) = tail.and_then(|tail| Some((tail, next_hash(tail)?))) else {
                return entity.start;
            };
            found(entity);
            let next = end - 1 + hash;
            match ids.entity(bytes, next, tail, hash) {
                Some(usual) => entity = usual,
                None => return next,
            }
        }
        // The next block is at hand long before this is known: processors guess that all is well.
        if wrong != 0 {
            break;
        }
        in_string = 0_u64.wrapping_sub(strings >> 63);
        in_entity = goes_on;
        base += BLOCK;
    }
    entity.start
}

/// Bytes that hold the end of a statement of the usual kind and the beginning of the next one: a bracket,
/// a semicolon, a line's end, `#`, up to seven digits, `=`, a blank, and eight bytes of a name.
const HEAD: usize = 32;

/// Where the next line's entity starts, when the semicolon behind the first byte follows a parenthesis and ends the
/// line.
#[inline(always)]
fn next_hash(tail: &[u8; HEAD]) -> Option<usize> {
    const LINE: u32 = u32::from_le_bytes(*b");\n#");
    const LONG_LINE: u32 = u32::from_le_bytes(*b");\r\n");
    match u32::from_le_bytes(*tail.first_chunk()?) {
        LINE => Some(3),
        LONG_LINE if tail[4] == b'#' => Some(4),
        _ => None,
    }
}

/// Eight bytes from `at` on, which is below sixteen.
#[inline(always)]
fn eight(head: &[u8; HEAD], at: usize) -> [u8; 8] {
    *head[at % 16..].first_chunk().unwrap_or(&[0; 8])
}

/// Reads ids, and counts up with them: nearly all files give an entity the id after the last one's, and then its
/// text need only be compared.
struct Ids {
    /// The text of the id that is due, its first digit highest and every digit so much greater that a nine is a
    /// byte's greatest number: counted up, it carries into the digit before as numbers do.
    due: u64,
    /// What makes the text with its `=` of it.
    less: u64,
    /// The bytes of the digits; those of the text with its `=`.
    digits: u64,
    text: u64,
    /// One in the place of the last digit.
    step: u64,
    id: u64,
    /// Length of the text with its `=`.
    len: usize,
}

/// What is added to digits.
const BIAS: u64 = 0x0101_0101_0101_0101 * (0xFF - b'9' as u64);
/// Zeros with that added.
const ZEROS: u64 = 0x0101_0101_0101_0101 * (0xFF - 9);

impl Ids {
    /// No text is due: none is 1 where all its bytes are left out.
    const UNKNOWN: Ids = Ids { due: 0, less: u64::MAX, digits: 0, text: 0, step: 0, id: 0, len: 0 };

    /// The entity at `start`, whose `#` is at `hash` in `head`.
    #[inline(always)]
    fn entity(
        &mut self,
        bytes: &[u8],
        start: usize,
        head: &[u8; HEAD],
        hash: usize,
    ) -> Option<Found> {
        let text = u64::from_be_bytes(eight(head, hash + 1));
        if text & self.text != self.due.wrapping_sub(self.less) && !self.read(bytes, start, text) {
            return long_start(bytes, start);
        }
        let (id, mut at) = (self.id, hash + 1 + self.len);
        self.count_up();
        let mut name = eight(head, at);
        if name[0] == b' ' {
            at += 1;
            name = eight(head, at);
        }
        let [first, _, _, four @ .., _] = name;
        let name = start + at - hash;
        first.is_ascii_alphabetic().then_some(Found { id, start, name, four })
    }

    /// What is due after an id.
    #[inline(always)]
    fn count_up(&mut self) {
        self.id = self.id.wrapping_add(1);
        let more = self.due.wrapping_add(self.step);
        if more == 0 {
            // After nothing but nines comes a longer text.
            *self = Ids::UNKNOWN;
            return;
        }
        // Nines have become nothing and are to be zeros.
        let nothing = (1 << (more.trailing_zeros() & 0x38)) - 1;
        self.due = more | ZEROS & self.digits & nothing;
    }

    /// Reads an id that was not due; whether it is of the usual kind.
    #[inline(always)]
    fn read(&mut self, bytes: &[u8], start: usize, text: u64) -> bool {
        let Some((id, name)) = short_start(bytes, start) else {
            *self = Ids::UNKNOWN;
            return false;
        };
        let len = name - start - 1;
        let below = 8 * (8 - len);
        let whole = u64::MAX << below;
        let digits = whole << 8;
        let less = (BIAS & digits).wrapping_sub(u64::from(b'=') << below);
        let due = (text & digits).wrapping_add(BIAS & digits);
        *self = Ids { due, less, digits, text: whole, step: 256 << below, id, len };
        true
    }
}

/// The entity at `start` whose id is long, or not right before its `=`.
#[inline(never)]
fn long_start(bytes: &[u8], start: usize) -> Option<Found> {
    let (id, mut name) = lex::entity_start(bytes, start)?;
    name += usize::from(bytes.get(name) == Some(&b' '));
    let [first, _, _, four @ .., _] = *bytes.get(name..)?.first_chunk::<8>()?;
    first.is_ascii_alphabetic().then_some(Found { id, start, name, four })
}

/// Where in a block what stands, a bit a byte.
struct Seen {
    quotes: u64,
    semicolons: u64,
    /// `=` and `/`.
    marks: u64,
}

impl Seen {
    #[inline(always)]
    fn of<S: Simd>(simd: S, block: &[u8; BLOCK]) -> Seen {
        let bytes = u8x64::simd_from(simd, *block);
        let is = |b: u8| bytes.simd_eq(u8x64::splat(simd, b));
        Seen {
            quotes: is(b'\'').to_bitmask(),
            semicolons: is(b';').to_bitmask(),
            marks: (is(b'=') | is(b'/')).to_bitmask(),
        }
    }
}

/// Ones from each odd bit (the first, the third ...) up to before the next even one.
#[inline]
fn covered(mut bits: u64) -> u64 {
    for by in [1, 2, 4, 8, 16, 32] {
        bits ^= bits << by;
    }
    bits
}

/// [`lex::entity_start`] for the ids of nearly all files: at most seven digits, and the `=` right after them.
#[inline]
pub fn short_start(bytes: &[u8], start: usize) -> Option<(u64, usize)> {
    let (id, len) = numerals::leading_whole(bytes.get(start + 1..)?)?;
    let equals = start + 1 + len;
    (bytes[start] == b'#' && bytes.get(equals) == Some(&b'=')).then_some((id, equals + 1))
}

/// How long the class name is that the bytes start with, when an opening bracket comes right after it. Sixteen
/// bytes are looked at in one go: below the digits come brackets and all blanks, and next above them what
/// no name holds.
#[inline]
pub fn name_end(bytes: &[u8]) -> Option<usize> {
    let (blocks, _) = bytes.as_chunks::<16>();
    for (n, block) in blocks.iter().take(LONGEST_NAME / 16).enumerate() {
        let block = u8x16::new(*block);
        let low = block.simd_eq(block.min(u8x16::splat(b'0' - 1)));
        // `8` and `9` are among these; no class of IFC has them.
        let odd = (block & u8x16::splat(0xF8)).simd_eq(u8x16::splat(0x38));
        let first = (low | odd | block).to_bitmask().trailing_zeros() as usize;
        if first < 16 {
            let len = n * 16 + first;
            return (bytes[len] == b'(').then_some(len);
        }
    }
    None
}

/// Where a string of up to 64 bytes ends whose opening quote is just before `start`; `None` of longer ones and
/// of those that [`lex::string_end`] looks at twice: with a quote, a backslash or a line's end in them.
#[inline]
pub fn short_string_end(bytes: &[u8], start: usize) -> Option<usize> {
    let (blocks, _) = bytes.get(start..)?.as_chunks::<16>();
    for (n, block) in blocks.iter().take(4).enumerate() {
        let block = u8x16::new(*block);
        let is = |b: u8| block.simd_eq(u8x16::splat(b));
        let first = (is(b'\'') | is(b'\\') | is(b'\n')).to_bitmask().trailing_zeros() as usize;
        if first < 16 {
            let at = start + n * 16 + first;
            let ends = bytes[at] == b'\'' && *bytes.get(at + 1)? != b'\'';
            return ends.then_some(at + 1);
        }
    }
    None
}

/// What follows `head` in the entity at `start`, when that is all there is behind its id but for a blank.
#[inline]
fn after_head<'b, const N: usize>(
    bytes: &'b [u8],
    start: usize,
    head: &[u8; N],
) -> Option<&'b [u8]> {
    let (_, mut at) = short_start(bytes, start)?;
    at += usize::from(bytes.get(at) == Some(&b' '));
    let (found, rest) = bytes.get(at..)?.split_first_chunk()?;
    (found == head).then_some(rest)
}

/// The two or three numbers, the third 0 where there are two, of the entity at `start` when all of it is
/// written in the usual way: its id, at most a blank, `head` with the brackets, numbers and the end.
#[inline]
pub fn triple<const N: usize>(bytes: &[u8], start: usize, head: &[u8; N]) -> Option<[f64; 3]> {
    let mut rest = after_head(bytes, start, head)?;
    let mut triple = [0.0; 3];
    for (n, place) in triple.iter_mut().enumerate() {
        let (v, len) = numerals::leading_decimal(rest)?;
        *place = v;
        match rest.get(len..)? {
            [b',', after @ ..] if n < 2 => rest = after,
            [b')', b')', b';', ..] if n > 0 => return Some(triple),
            _ => return None,
        }
    }
    None
}

/// The references, `None` where `$` stands, of the entity at `start` when it is nothing but `N` of them and all of it
/// is written in the usual way: its id, at most a blank, `head` with the brackets, references and `end`.
#[inline]
pub fn references<const H: usize, const N: usize>(
    bytes: &[u8],
    start: usize,
    head: &[u8; H],
    end: &[u8],
) -> Option<[Option<u64>; N]> {
    let mut rest = after_head(bytes, start, head)?;
    let mut all = [None; N];
    for (n, place) in all.iter_mut().enumerate() {
        rest = match rest {
            [b'#', digits @ ..] => {
                let (id, len) = numerals::leading_whole(digits)?;
                *place = Some(id);
                digits.get(len..)?
            }
            [b'$', after @ ..] => after,
            _ => return None,
        };
        if n + 1 < N {
            rest = rest.strip_prefix(b",")?;
        }
    }
    rest.starts_with(end).then_some(all)
}

#[cfg(test)]
mod tests {
    use super::super::lex::End;
    use super::*;
    use proptest::prelude::*;

    fn run(text: &str) -> (Vec<(u64, usize, usize)>, usize) {
        // What the processor can do must make no difference.
        let [wide, narrow] = [Level::new(), Level::baseline()].map(|level| {
            let mut all = Vec::new();
            let end = plain_run(level, text.as_bytes(), 0, |e| {
                assert_eq!(text.as_bytes()[e.name + 3..e.name + 7], e.four);
                all.push((e.id, e.start, e.name));
            });
            (all, end)
        });
        assert_eq!(wide, narrow);
        wide
    }
    /// What comes after the statements looked at: enough for a whole block.
    fn padded(text: &str) -> String {
        format!("{text}#9=LAST({});\n", "1,".repeat(40))
    }

    #[test]
    fn short_ids_are_read_as_all_others() {
        for id in ["0", "1", "12", "987", "1234", "98765", "123456", "9999999", "00012", "12345678"]
        {
            for after in ["=", " =", "", "x="] {
                let text = format!("#{id}{after}IFCX(1,2,3);");
                if let Some(got) = short_start(text.as_bytes(), 0) {
                    assert_eq!(lex::entity_start(text.as_bytes(), 0), Some(got), "{text}");
                }
            }
        }
        assert_eq!(short_start(b"#9876543=IFCX", 0), Some((9_876_543, 9)));
        assert_eq!(short_start(b"#\xC91=IFCX()", 0), None);
    }

    #[test]
    fn names_end_at_their_bracket() {
        for name in [
            "",
            "A",
            "IFCWALL",
            "IFCSLABS",
            "IfcAxis2Placement3D",
            "IFCRELCONTAINEDINSPATIALSTRUCTURE",
        ] {
            for after in ["(", " (", "/**/(", ";(", "\t(", "8(", "=(", "\u{e9}("] {
                let text = format!("{name}{after}1.,2.,3.,4.,5.);");
                let want = (after == "(").then_some(name.len());
                assert_eq!(name_end(text.as_bytes()), want, "{text}");
            }
            assert_eq!(name_end(name.as_bytes()), None);
        }
    }

    #[test]
    fn short_strings_end_as_all_others() {
        for inside in ["", "x", "it''s", "''", "\\S\\'", "a\nb", "\\X2\\00E4\\X0\\", "\u{e9}"] {
            for fill in 0..70 {
                let text = format!("{}{inside}',$);\n#2=IFCX(1.,2.,3.);", "n".repeat(fill));
                let got = short_string_end(text.as_bytes(), 0);
                if let Some(end) = got {
                    assert_eq!(lex::string_end(text.as_bytes(), 0), End::At(end), "{text}");
                }
                let usual = matches!(inside, "" | "x" | "\u{e9}");
                assert!(fill > 60 || got.is_some() == usual, "{text}");
            }
        }
        assert_eq!(short_string_end(b"abcdefghijklmno'", 0), None);
    }

    #[test]
    fn usual_triples() {
        let read = |inside: &str| {
            let text = format!("#12={inside};\n#13=IFCDIRECTION((0.,0.,1.));\n");
            triple(text.as_bytes(), 0, b"IFCDIRECTION((")
        };
        assert_eq!(read("IFCDIRECTION((1.5,-2.,3.25))"), Some([1.5, -2.0, 3.25]));
        assert_eq!(read(" IFCDIRECTION((1.,0.))"), Some([1.0, 0.0, 0.0]));
        for odd in [
            "IFCDIRECTION((1.))",
            "IFCDIRECTION((1.,2.,3.,4.))",
            "IFCDIRECTION((1.E0,2.))",
            "IFCDIRECTION((1., 2.))",
            "IFCDIRECTION((1.,2.),$)",
            "IFCDIRECTION((1.,2.)",
            "IFCDIRECTION((1.,$))",
            "IFCCARTESIANPOINT((1.,2.))",
            "ifcdirection((1.,2.))",
            "IFCDIRECTION((1.,2.) )",
        ] {
            assert_eq!(read(odd), None, "{odd}");
        }
    }

    #[test]
    fn usual_references() {
        let read = |inside: &str| {
            let text = format!("#12={inside};\n#13=IFCDIRECTION((0.,0.,1.));\n");
            references::<_, 2>(text.as_bytes(), 0, b"IFCLOCALPLACEMENT(", b");")
        };
        assert_eq!(read("IFCLOCALPLACEMENT(#7,#1234567)"), Some([Some(7), Some(1_234_567)]));
        assert_eq!(read(" IFCLOCALPLACEMENT($,#8)"), Some([None, Some(8)]));
        for odd in [
            "IFCLOCALPLACEMENT(#7)",
            "IFCLOCALPLACEMENT(#7,#8,#9)",
            "IFCLOCALPLACEMENT(#7,#8,)",
            "IFCLOCALPLACEMENT(#7, #8)",
            "IFCLOCALPLACEMENT(*,#8)",
            "IFCLOCALPLACEMENT(#,#8)",
            "IFCLOCALPLACEMENT(#7,#12345678)",
            "IFCLOCALPLACEMENT(#7,#8) ",
            "IFCLOCALPLACEMENT(#7,#8",
            "IfcLocalPlacement(#7,#8)",
            "IFCGRIDPLACEMENT(#7,#8)",
        ] {
            assert_eq!(read(odd), None, "{odd}");
        }
    }

    #[test]
    fn usual_statements_are_passed_over() {
        for line in ["(1,'a''b',#3)", "('a;b')", "()", "(('',''),1.E-5,$)"] {
            for (before, end) in [("", "\n"), (" ", "\r\n")] {
                let text = padded(&format!("#1={before}A{line};{end}#123 = Bc{line};{end}"));
                let (all, at) = run(&text);
                let ids: Vec<u64> = all.iter().map(|e| e.0).collect();
                assert_eq!((ids, &text[at..at + 7]), (vec![1, 123], "#9=LAST"), "{text}");
                assert!(all.iter().all(|e| text[e.1..].starts_with('#')));
                assert!(text[all[0].2..].starts_with('A') && text[all[1].2..].starts_with("Bc"));
            }
        }
    }

    #[test]
    fn ids_are_counted_up_and_read_where_they_are_not() {
        let rows =
            [1..130, 995..1012, 9_989..10_012, 9_999_980..10_000_020, 7..8, 99..102, 98..100];
        let far = [u64::MAX - 1, u64::MAX, 0, 1, 12_345_678_901];
        let ids: Vec<u64> = rows.into_iter().flatten().chain(far).collect();
        for end in ["\n", "\r\n"] {
            let lines: Vec<String> = ids.iter().map(|id| format!("#{id}= IFCX(1);{end}")).collect();
            let (all, _) = run(&padded(&lines.concat()));
            let got: Vec<u64> = all.iter().map(|e| e.0).collect();
            assert_eq!(got, ids);
        }
        // Digits that only look as if counted up, and zeros before them.
        for (text, want) in [
            ("#9=A(1);\n#:=A(2);\n", 1),
            ("#19=A(1);\n#1:=A(2);\n", 1),
            ("#008=A(1);\n#009=A(1);\n#010=A(2);\n", 3),
        ] {
            assert_eq!(run(&padded(text)).0.len(), want, "{text}");
        }
    }

    #[test]
    fn others_end_the_run() {
        for other in [
            "#2=A('a);\n",
            "#2=A(1);#3=B();\n",
            "#2=A(1/*;*/);\n",
            "#2=A(1,2;\n",
            "#2=A(1)\n#3=B();\n",
            "#2=A('x=y');\n",
            "#2=A('x/y');\n",
            "#2=A('x','y);\n",
            "#2=A(1);\n\n",
            "#2=A(1);\r",
            "#2=(A()B());\n",
            "#2=\tA();\n",
            "ENDSEC;\n",
            "##2=A();\n",
            "#99999999999999999999=A();\n",
        ] {
            let text = padded(&format!("#1=A();\n{other}"));
            let (all, at) = run(&text);
            let whole = all.len() == 1 && at == 8 || other.starts_with("END") && at == 0;
            assert!(whole, "{other:?}: {all:?} {at}");
        }
    }

    proptest! {
        /// A run's statements end where the careful reader ends them, and hide no entity.
        #[test]
        fn runs_agree_with_the_careful_reader(tokens in proptest::collection::vec(prop_oneof![
            Just(");\n#7=A("), Just(");\r\n#12= B("), Just(");\n#3= C('"), Just("'"), Just("''"), Just(";"), Just("="), Just("/"), Just("/*"),
            Just("*/"), Just("1,"), Just("(x"), Just(")"), Just("\n"), Just("\n#4=C("), Just("\\S\\"), Just(" ")], 0..120))
        {
            let text = padded(&format!("#1=A({});\n", tokens.concat()));
            let (all, at) = run(&text);
            let starts: Vec<usize> = all.iter().map(|e| e.1).chain([at]).collect();
            for (entity, pair) in all.iter().zip(starts.windows(2)) {
                let (id, body) = lex::entity_start(text.as_bytes(), pair[0]).unwrap();
                prop_assert_eq!(id, entity.0);
                let End::At(end) = lex::statement_end(text.as_bytes(), body) else {
                    // A page directive's quote is no end of a string.
                    prop_assert!(text.contains("\\S\\"));
                    continue;
                };
                prop_assert!(text[..end].ends_with(");") && text[end..pair[1]].trim().is_empty() || text.contains("\\S\\"));
                prop_assert!(!text[body..end].contains('=') || text.contains("\\S\\"));
            }
        }
    }
}
