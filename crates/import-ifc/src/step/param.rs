//! One entity's class and parameters, borrowed from the file, looked at one by one.

use super::lex::{self, End};
use super::{plain, text};
use std::borrow::Cow;

/// Bytes of class names.
const NAME: [bool; 256] = {
    let mut table = [false; 256];
    let mut b = 0_u8;
    while b < 128 {
        table[b as usize] = b.is_ascii_alphanumeric() || b == b'_';
        b += 1;
    }
    table
};

/// Bytes of numbers and enumerations, and of lists of them and of references.
const BARE: [bool; 256] = {
    let mut table = NAME;
    let (mut n, more) = (0, b".+-$*#,");
    while n < more.len() {
        table[more[n] as usize] = true;
        n += 1;
    }
    table
};

/// One entity.
#[derive(Clone, Copy, Debug)]
pub struct Record<'a> {
    /// Its id.
    pub id: u64,
    /// Class name as written, normally upper case; empty for a complex instance.
    pub class: &'a [u8],
    params: Params<'a>,
}

impl<'a> Record<'a> {
    /// The entity whose `#` is at `offset`.
    pub fn read(bytes: &'a [u8], offset: usize) -> Option<Record<'a>> {
        let (id, body) = match plain::short_start(bytes, offset) {
            Some(known) => known,
            None => lex::entity_start(bytes, offset)?,
        };
        let start = lex::skip_inside(bytes, body);
        let rest = bytes.get(start..)?;
        if let Some(len) = plain::name_end(rest) {
            let params = Params { bytes, at: start + len + 1, done: false };
            return Some(Record { id, class: &rest[..len], params });
        }
        let len = rest.iter().position(|b| !NAME[usize::from(*b)])?;
        let params = Params::after_name(bytes, start + len)?;
        Some(Record { id, class: &rest[..len], params })
    }
    /// Whether it is of that class, given in upper case.
    pub fn is(&self, class: &str) -> bool {
        self.class == class.as_bytes() || self.class.eq_ignore_ascii_case(class.as_bytes())
    }
    /// Class name in upper case, for matching.
    pub fn upper(&self) -> Cow<'a, [u8]> {
        if self.class.iter().any(u8::is_ascii_lowercase) {
            Cow::Owned(self.class.to_ascii_uppercase())
        } else {
            Cow::Borrowed(self.class)
        }
    }
    /// Class name as text.
    pub fn class_name(&self) -> String {
        String::from_utf8_lossy(self.class).into_owned()
    }
    /// Parameter number `n` from 0; a missing one reads as `$`.
    pub fn param(&self, n: usize) -> Param<'a> {
        self.params.into_iter().nth(n).unwrap_or(Param { text: b"$" })
    }
    /// The members of the list that is parameter `n`, without looking for the list's end first; none
    /// when it is no list.
    pub fn list(&self, n: usize) -> Params<'a> {
        let mut before = self.params;
        if n > 0 && before.nth(n - 1).is_none() {
            return Params::EMPTY;
        }
        before.next_list()
    }
    /// Ids of the list of references that is parameter `n`; members that are none are left out.
    pub fn references(&self, n: usize) -> impl Iterator<Item = u64> + use<'a> {
        self.list(n).references()
    }
    /// Every parameter.
    pub fn values(&self) -> Params<'a> {
        self.params
    }
    /// The first `N` parameters; missing ones read as `$`.
    pub fn take<const N: usize>(&self) -> [Param<'a>; N] {
        let mut each = self.params;
        std::array::from_fn(|_| each.next().unwrap_or(Param { text: b"$" }))
    }
}

/// Parameters in order. Ends at the closing parenthesis, at a `;` outside strings, where another
/// entity starts, or where the file ends.
#[derive(Clone, Copy, Debug)]
pub struct Params<'a> {
    bytes: &'a [u8],
    at: usize,
    done: bool,
}

impl<'a> Params<'a> {
    const EMPTY: Params<'static> = Params { bytes: b"", at: 0, done: true };

    /// The parameters that open at or after `at`, past blanks.
    pub fn after_name(bytes: &'a [u8], at: usize) -> Option<Params<'a>> {
        let open = lex::skip_inside(bytes, at);
        (bytes.get(open) == Some(&b'(')).then_some(Params { bytes, at: open + 1, done: false })
    }

    /// Whether the parameters just read to their end stop at their own closing bracket, with the end of the
    /// statement right behind it.
    pub fn end_well(&self) -> bool {
        let closed = self.at.checked_sub(1).and_then(|end| self.bytes.get(end)) == Some(&b')');
        self.done && closed && self.bytes.get(lex::skip_inside(self.bytes, self.at)) == Some(&b';')
    }

    /// The next parameter, read as a reference.
    #[inline]
    pub fn next_reference(&mut self) -> Option<Option<u64>> {
        if let Some([b'#', rest @ ..]) = self.bytes.get(self.at..)
            && !self.done
            && let Some((id, len)) = numerals::leading_whole(rest)
            && let Some(after @ (b',' | b')')) = rest.get(len)
        {
            self.at += len + 2;
            self.done = *after == b')';
            return Some(Some(id));
        }
        self.next().map(|p| p.reference())
    }

    /// The members of the list that is the next parameter, as of [`Record::list`].
    pub fn next_list(self) -> Params<'a> {
        let start = lex::skip_inside(self.bytes, self.at);
        match self.bytes.get(start) {
            Some(b'(') if !self.done => Params { at: start + 1, ..self },
            _ => Params::EMPTY,
        }
    }

    /// Ids of the references among the parameters.
    pub fn references(mut self) -> impl Iterator<Item = u64> + use<'a> {
        std::iter::from_fn(move || self.next_reference()).flatten()
    }

    /// The next parameter, read as a number.
    #[inline]
    pub fn next_number(&mut self) -> Option<Option<f64>> {
        let rest = self.bytes.get(self.at..).unwrap_or_default();
        if !self.done
            && let Some((x, len)) = numerals::leading_decimal(rest)
            && let Some(after @ (b',' | b')')) = rest.get(len)
        {
            self.at += len + 1;
            self.done = *after == b')';
            return Some(Some(x));
        }
        if let Some(rest @ [b'0'..=b'9' | b'-' | b'.', ..]) = self.bytes.get(self.at..)
            && !self.done
            && let Ok((x, len)) = fast_float2::parse_partial::<f64, _>(rest)
            && let Some(after @ (b',' | b')')) = rest.get(len)
            && x.is_finite()
        {
            self.at += len + 1;
            self.done = *after == b')';
            return Some(Some(x));
        }
        self.next().map(|p| p.number())
    }

    /// The end of the parameter that starts at `start` when it is of the usual kind: one token, or a
    /// list of tokens that are no strings, right before a comma or the closing parenthesis.
    #[inline]
    fn plain_end(&self, start: usize) -> Option<usize> {
        let bare = |from: usize, and: u8| {
            let more = |b: &u8| !BARE[usize::from(*b)] || *b == and;
            self.bytes.get(from..)?.iter().position(more).map(|n| from + n)
        };
        let end = match self.bytes.get(start)? {
            b'$' | b'*' => start + 1,
            b'#' => match numerals::leading_whole(&self.bytes[start + 1..]) {
                Some((_, len)) => start + 1 + len,
                None => lex::digits(self.bytes, start + 1)?.1,
            },
            b'\'' => match plain::short_string_end(self.bytes, start + 1) {
                Some(end) => end,
                None => match lex::string_end(self.bytes, start + 1) {
                    End::At(end) => end,
                    _ => return None,
                },
            },
            b'(' => {
                let close = bare(start + 1, b')')?;
                (self.bytes[close] == b')').then_some(close + 1)?
            }
            b'0'..=b'9' | b'-' | b'.' => bare(start, b',')?,
            _ => return None,
        };
        matches!(self.bytes.get(end)?, b',' | b')').then_some(end)
    }

    /// The parameter that starts at `start`, whatever it is.
    fn next_of_any_kind(&mut self, start: usize) -> Option<Param<'a>> {
        let mut at = start;
        let mut depth = 0_usize;
        // Where what is neither blank nor comment ends: comments may stand behind a value too.
        let mut solid = start;
        let end = loop {
            match self.bytes.get(at) {
                Some(b'\'') => match lex::string_end(self.bytes, at + 1) {
                    End::At(next) => {
                        at = next;
                        solid = at;
                    }
                    End::Broken(_) | End::OutOfBytes => {
                        self.done = true;
                        // The quote alone, so that it does not pass for a value left out.
                        solid = at + 1;
                        break solid;
                    }
                },
                Some(b'(') => {
                    depth += 1;
                    at += 1;
                    solid = at;
                }
                Some(b')') if depth > 0 => {
                    depth -= 1;
                    at += 1;
                    solid = at;
                }
                Some(b',') if depth == 0 => break at,
                Some(b'/') if self.bytes.get(at + 1) == Some(&b'*') => {
                    at = lex::inner_comment_end(self.bytes, at);
                }
                Some(b')' | b';') | None => {
                    self.done = true;
                    break at;
                }
                // A statement that was never closed ends where the next one starts.
                // References follow a bracket or a comma.
                Some(b'#')
                    if !matches!(self.bytes.get(at.wrapping_sub(1)), Some(b'(' | b','))
                        && lex::entity_start(self.bytes, at).is_some() =>
                {
                    self.done = true;
                    break at;
                }
                Some(b) => {
                    at += 1;
                    if !b.is_ascii_whitespace() {
                        solid = at;
                    }
                }
            }
        };
        self.at = end + 1;
        let text = self.bytes.get(start..solid).unwrap_or_default().trim_ascii_end();
        // `()` holds nothing; `(1,)` ends in nothing worth having.
        (!(self.done && text.is_empty())).then_some(Param { text })
    }
}

impl<'a> Iterator for Params<'a> {
    type Item = Param<'a>;

    #[inline]
    fn next(&mut self) -> Option<Param<'a>> {
        if self.done {
            return None;
        }
        let start = lex::skip_inside(self.bytes, self.at);
        if let Some(end) = self.plain_end(start) {
            self.done = self.bytes[end] == b')';
            self.at = end + 1;
            return Some(Param { text: &self.bytes[start..end] });
        }
        self.next_of_any_kind(start)
    }
}

/// One parameter, as its text.
#[derive(Clone, Copy, Debug)]
pub struct Param<'a> {
    text: &'a [u8],
}

impl<'a> Param<'a> {
    /// Its text.
    pub fn bytes(&self) -> &'a [u8] {
        self.text
    }
    /// `$` or `*`.
    pub fn is_empty(&self) -> bool {
        matches!(self.text, b"$" | b"*" | b"")
    }
    /// The id of `#id`.
    pub fn reference(&self) -> Option<u64> {
        let (id, end) = lex::digits(self.text, 1)?;
        (self.text[0] == b'#' && end == self.text.len()).then_some(id)
    }
    /// A finite number, bare or in a typed parameter such as `IFCLENGTHMEASURE(1.)`.
    pub fn number(&self) -> Option<f64> {
        let text = match self.text.first()? {
            b'+' => &self.text[1..],
            b'0'..=b'9' | b'-' | b'.' => self.text,
            _ => return self.typed()?.1.bare_number(),
        };
        Param { text }.bare_number()
    }
    fn bare_number(&self) -> Option<f64> {
        if !matches!(self.text.first()?, b'0'..=b'9' | b'-' | b'.') {
            return None;
        }
        fast_float2::parse::<f64, _>(self.text).ok().filter(|x| x.is_finite())
    }
    /// A whole number.
    pub fn integer(&self) -> Option<u64> {
        let (n, end) = lex::digits(self.text, 0)?;
        (end == self.text.len()).then_some(n)
    }
    /// The name between the dots of an enumeration.
    pub fn name(&self) -> Option<&'a [u8]> {
        self.text.strip_prefix(b".")?.strip_suffix(b".")
    }
    /// `.T.` or `.F.`, bare or in a typed parameter; `None` for `.U.` and everything else.
    pub fn truth(&self) -> Option<bool> {
        let bare = self.typed().map_or(*self, |(_, inner)| inner);
        match bare.name()? {
            b"T" | b"t" => Some(true),
            b"F" | b"f" => Some(false),
            _ => None,
        }
    }
    /// A string, decoded, bare or in a typed parameter.
    pub fn text(&self) -> Option<String> {
        let bare = self.typed().map_or(*self, |(_, inner)| inner);
        Some(text::decode(bare.raw_string()?))
    }
    /// What is wrong with the writing of a string, bare or in a typed parameter.
    pub fn text_flaw(&self) -> Option<&'static str> {
        let bare = match self.text.first()? {
            b'\'' => *self,
            b if b.is_ascii_alphabetic() => self.typed()?.1,
            _ => return None,
        };
        text::flaw(bare.raw_string()?)
    }
    /// The bytes between the quotes of a string.
    pub fn raw_string(&self) -> Option<&'a [u8]> {
        self.text.strip_prefix(b"'")?.strip_suffix(b"'")
    }
    /// The members of a list; none when it is no list. A list in a typed parameter
    /// (`IFCLINEINDEX((1,2))`) is reached by [`Param::typed`].
    pub fn list(&self) -> Params<'a> {
        match self.text.first() {
            Some(b'(') => Params { bytes: self.text, at: 1, done: false },
            _ => Params::EMPTY,
        }
    }
    /// Type name and content of a typed parameter.
    pub fn typed(&self) -> Option<(&'a [u8], Param<'a>)> {
        if !self.text.first()?.is_ascii_alphabetic() {
            return None;
        }
        let len = self.text.iter().position(|b| !NAME[usize::from(*b)])?;
        let inner = Params::after_name(self.text, len)?.next()?;
        Some((&self.text[..len], inner))
    }
    /// Ids of a list of references; members that are none are left out.
    pub fn references(&self) -> impl Iterator<Item = u64> + use<'a> {
        self.list().references()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Record<'_> {
        Record::read(text.as_bytes(), 0).unwrap()
    }

    #[test]
    fn every_kind_of_parameter() {
        let r = read(
            "#7 = IFCX ( $ , *, #12,-1.5E-1,.ATEND., 'it''s, (ok)' ,(1,(2,3),'a)'),IFCLABEL('x'),IFCLENGTHMEASURE( 2. ),(),.T., /* , */ 4 );",
        );
        assert_eq!((r.id, r.class), (7, b"IFCX".as_slice()));
        let p: Vec<Param> = r.params.collect();
        assert_eq!(p.len(), 12);
        assert!(p[0].is_empty() && p[1].is_empty());
        assert_eq!(p[2].reference(), Some(12));
        assert_eq!(p[3].number(), Some(-0.15));
        assert_eq!(p[4].name(), Some(b"ATEND".as_slice()));
        assert_eq!(p[5].text().as_deref(), Some("it's, (ok)"));
        let inner: Vec<Param> = p[6].list().collect();
        assert_eq!((inner.len(), inner[1].list().count()), (3, 2));
        assert_eq!(p[7].text().as_deref(), Some("x"));
        assert_eq!(p[8].number(), Some(2.0));
        assert_eq!(p[9].list().count(), 0);
        assert_eq!(p[10].truth(), Some(true));
        assert_eq!(p[11].integer(), Some(4));
    }

    /// ISO 10303-21: comments stand between any two tokens (from memory).
    #[test]
    fn comments_behind_every_token() {
        let plain = "#7=IFCX($,*,#12,-1.5E-1,.ATEND.,'it''s',(1,(2,3),'a'),IFCLABEL('x'),(),.T.);";
        let tokens = plain.split_inclusive([',', '(', ')', '=', ';']);
        let mut full = String::new();
        for token in tokens {
            let (word, mark) = token.split_at(token.len() - 1);
            full += &format!("{word}/* ( */ {mark} /* ');#1=A(', */");
        }
        let (a, b) = (read(plain), read(&full));
        assert_eq!((a.id, a.class), (b.id, b.class), "{full}");
        fn shown(params: Params<'_>) -> Vec<String> {
            let of = |p: Param<'_>| match (p.list().count(), p.typed()) {
                (0, None) => format!("{:?}", String::from_utf8_lossy(p.bytes())),
                (0, Some((name, p))) => format!("{name:?}{:?}", String::from_utf8_lossy(p.bytes())),
                _ => format!("{:?}", shown(p.list())),
            };
            params.map(of).collect()
        }
        let (mut want, got) = (shown(a.values()), shown(b.values()));
        // An empty list keeps its comment.
        want[8] = got[8].clone();
        assert_eq!(want, got);
        assert!(b.param(8).list().next().is_none());
        let mut all = b.values();
        assert!(all.by_ref().count() == 10 && all.end_well());
    }

    #[test]
    fn numbers_and_references_are_the_same_on_both_ways() {
        for list in [
            "1.,2",
            "#1,#12345678,#99",
            "#1 ,#2,$,#,#3a, #4,*,#5,",
            "(#1),'#2',#3",
            "-1.5E-1 ,.5,3.",
            "1.,2.,",
            "1.,$",
            "",
            "1e999,2.",
            "1.,IFCX(2.)",
            "/**/1.,'a'",
            "+1.,-.",
            "1",
            "nan",
        ] {
            let text = format!("#1=IFCX(({list}));");
            let r = read(&text);
            let one: Vec<Option<f64>> = r.param(0).list().map(|p| p.number()).collect();
            let mut each = r.list(0);
            let two: Vec<Option<f64>> = std::iter::from_fn(|| each.next_number()).collect();
            assert_eq!(one, two, "{text}");
            let one: Vec<Option<u64>> = r.param(0).list().map(|p| p.reference()).collect();
            let mut each = r.list(0);
            let two: Vec<Option<u64>> = std::iter::from_fn(|| each.next_reference()).collect();
            assert_eq!(one, two, "{text}");
        }
    }

    #[test]
    fn wrong_types_are_nothing() {
        let r = read("#1=IFCX('a',#2,nan,inf,#x,1.2.3,$);");
        for p in r.params {
            assert_eq!(p.number(), None);
            assert_eq!(p.list().count(), 0);
        }
        assert_eq!(r.param(4).reference(), None);
        assert_eq!(r.param(99).reference(), None);
    }

    #[test]
    fn deep_nesting_is_only_counted() {
        let deep = format!("#1=IFCX({}{});", "(".repeat(200_000), ")".repeat(200_000));
        assert_eq!(read(&deep).params.count(), 1);
    }
}
