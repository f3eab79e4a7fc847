//! Typed values out of a TOML tree, each mistake noted with its line.

use super::nearest;
use diag::{Finding, Refusal, codes::input};
use geom::Length;
use lumber::Section;
use std::fmt;
use std::ops::RangeInclusive;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A value with its place in the text.
pub(super) type Value<'i> = Spanned<DeValue<'i>>;

/// A table and the keys it may have.
pub(crate) struct Known {
    pub name: &'static str,
    pub keys: &'static [&'static str],
}

/// Lengths that are taken.
#[derive(Clone, Copy)]
pub(super) struct Range {
    pub least: Length,
    pub most: Length,
}

impl Range {
    pub fn holds(self, l: Length) -> bool {
        (self.least..=self.most).contains(&l)
    }
}
impl fmt::Display for Range {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} to {} inches", self.least.to_inches(), self.most.to_inches())
    }
}

/// The text being read and the mistakes found so far.
pub(super) struct Reading<'a> {
    text: &'a str,
    file_name: &'a str,
    tables: &'static [Known],
    /// Path of the key at hand, `plates.notch_depth`, for messages.
    pub key: String,
    mistakes: Vec<(usize, Finding)>,
}

impl<'a> Reading<'a> {
    pub fn new(text: &'a str, file_name: &'a str, tables: &'static [Known]) -> Reading<'a> {
        Reading { text, file_name, tables, key: String::new(), mistakes: Vec::new() }
    }

    /// `Err` with every mistake, in file order, if there is one.
    pub fn finish(mut self) -> Result<(), Refusal> {
        if self.mistakes.is_empty() {
            return Ok(());
        }
        self.mistakes.sort_by_key(|(at, _)| *at);
        Err(Refusal { findings: self.mistakes.into_iter().map(|(_, f)| f).collect() })
    }

    /// Notes a mistake at a byte of the text.
    pub fn bad(&mut self, at: usize, subject: &str, what: String) {
        let line = 1 + self.text.bytes().take(at).filter(|b| *b == b'\n').count();
        let stop = if what.ends_with('?') { "" } else { "." };
        let message = format!("{}, line {line}: {what}{stop}", self.file_name);
        self.mistakes.push((at, Finding::new(input::SETTINGS_BAD, message).about(subject)));
    }
    /// Notes a mistake in the value of the key at hand.
    pub fn bad_value(&mut self, v: &Value, what: String) {
        let key = self.key.clone();
        self.bad(v.span().start, &key, format!("{key}: {what}"));
    }
    /// Notes a value of the wrong kind.
    pub fn wrong_type(&mut self, v: &Value, wanted: &str) {
        self.bad_value(v, format!("expected {wanted}, found {}", kind(v.get_ref())));
    }

    /// Hands every known key of a table to `take` and notes the unknown ones.
    pub fn each<'v, 'i>(
        &mut self,
        table: &'v DeTable<'i>,
        name: &'static str,
        mut take: impl FnMut(&mut Self, &str, &'v Value<'i>),
    ) {
        let keys = self.tables.iter().find(|t| t.name == name).map_or(&[][..], |t| t.keys);
        for (key, v) in table {
            let word = key.get_ref().as_ref();
            let dot = if name.is_empty() { "" } else { "." };
            self.key = format!("{name}{dot}{word}");
            if keys.contains(&word) {
                take(self, word, v);
            } else {
                let what = self.unknown_key(word, name, keys);
                let subject = self.key.clone();
                self.bad(key.span().start, &subject, what);
            }
        }
    }

    fn unknown_key(&self, word: &str, name: &str, keys: &[&str]) -> String {
        let place = |name: &str| match name {
            "" => "the top level of the file".to_owned(),
            "layers" => "[[layers]]".to_owned(),
            name => format!("[{name}]"),
        };
        let here = place(name);
        let shown: String = word.chars().take(60).flat_map(char::escape_debug).collect();
        let exactly = self.tables.iter().find(|t| t.name != name && t.keys.contains(&word));
        if let Some(other) = exactly {
            return format!("'{word}' is not a key of {here}; it belongs in {}", place(other.name));
        }
        match nearest(word, keys.iter().copied()) {
            Some(near) => format!("unknown key '{shown}' in {here}; did you mean '{near}'?"),
            None => {
                format!("unknown key '{shown}' in {here}; the keys there are {}", keys.join(", "))
            }
        }
    }

    pub fn table<'v, 'i>(&mut self, v: &'v Value<'i>) -> Option<&'v DeTable<'i>> {
        let table = v.get_ref().as_table();
        if table.is_none() {
            self.wrong_type(v, "a table");
        }
        table
    }
    pub fn boolean(&mut self, v: &Value) -> Option<bool> {
        let b = v.get_ref().as_bool();
        if b.is_none() {
            self.wrong_type(v, "true or false");
        }
        b
    }
    /// A text that is not empty.
    pub fn text(&mut self, v: &Value) -> Option<String> {
        match v.get_ref().as_str() {
            Some(s) if !s.trim().is_empty() => Some(s.to_owned()),
            Some(_) => {
                self.bad_value(v, "the text is empty".to_owned());
                None
            }
            None => {
                self.wrong_type(v, "a text in quotation marks");
                None
            }
        }
    }
    /// A text, or a list of texts.
    pub fn text_or_texts(&mut self, v: &Value) -> Vec<String> {
        match v.get_ref().as_array() {
            Some(list) => list.iter().filter_map(|t| self.text(t)).collect(),
            None if v.get_ref().as_str().is_some() => self.text(v).into_iter().collect(),
            None => {
                self.wrong_type(v, "a text in quotation marks, or a list of them");
                Vec::new()
            }
        }
    }
    /// One of a few words.
    pub fn word<T: Copy>(&mut self, v: &Value, choices: &[(&str, T)]) -> Option<T> {
        let allowed: Vec<String> = choices.iter().map(|(w, _)| format!("\"{w}\"")).collect();
        let Some(word) = v.get_ref().as_str() else {
            self.wrong_type(v, &format!("one of {}", allowed.join(", ")));
            return None;
        };
        let found = choices.iter().find(|(w, _)| *w == word).map(|(_, t)| *t);
        if found.is_none() {
            let shown: String = word.chars().take(60).flat_map(char::escape_debug).collect();
            self.bad_value(v, format!("\"{shown}\" is not one of {}", allowed.join(", ")));
        }
        found
    }
    pub fn section(&mut self, v: &Value) -> Option<Section> {
        let Some(name) = v.get_ref().as_str() else {
            self.wrong_type(v, "a section in quotation marks, such as \"2x4\"");
            return None;
        };
        let section = Section::from_name(name);
        if section.is_none() {
            self.bad_value(v, no_section(name));
        }
        section
    }
    /// A length within a range, from a number of inches or a text with its unit.
    pub fn length(&mut self, v: &Value, range: Range) -> Option<Length> {
        let inches = |n: Option<f64>| n.and_then(Length::from_inches);
        let read = match v.get_ref() {
            DeValue::Integer(n) => Ok(inches(whole(n).map(|n| n as f64))),
            DeValue::Float(n) => Ok(inches(n.as_str().parse().ok())),
            DeValue::String(s) => Length::parse(s).map(Some),
            _ => {
                self.wrong_type(v, "a length: inches as a number, or a text such as \"89mm\"");
                return None;
            }
        };
        match read {
            Ok(Some(l)) if range.holds(l) => Some(l),
            Ok(_) => {
                let given = &self.text[v.span()];
                let given: String = given.chars().take(40).collect();
                self.bad_value(v, format!("{given} is out of range; allowed is {range}"));
                None
            }
            Err(e) => {
                self.bad_value(v, e.to_string());
                None
            }
        }
    }
    /// Like [`Reading::length`], kept only when it is good.
    pub fn length_into(&mut self, v: &Value, range: Range, slot: &mut Length) {
        if let Some(l) = self.length(v, range) {
            *slot = l;
        }
    }
    /// A number within a range.
    pub fn number(&mut self, v: &Value, range: RangeInclusive<f64>, unit: &str) -> Option<f64> {
        let read = match v.get_ref() {
            DeValue::Integer(n) => whole(n).map(|n| n as f64),
            DeValue::Float(n) => n.as_str().replace('_', "").parse().ok(),
            _ => {
                self.wrong_type(v, "a number");
                return None;
            }
        };
        let held = read.filter(|n| range.contains(n));
        if held.is_none() {
            let given: String = self.text[v.span()].chars().take(40).collect();
            let (least, most) = (range.start(), range.end());
            self.bad_value(v, format!("{given} will not do; allowed is {least} to {most} {unit}"));
        }
        held
    }
    /// A whole number within a range.
    pub fn whole_number(&mut self, v: &Value, range: RangeInclusive<u64>) -> Option<u64> {
        let wanted = format!("a whole number from {} to {}", range.start(), range.end());
        let DeValue::Integer(n) = v.get_ref() else {
            self.wrong_type(v, &wanted);
            return None;
        };
        let number = whole(n).and_then(|n| u64::try_from(n).ok()).filter(|n| range.contains(n));
        if number.is_none() {
            self.bad_value(v, format!("expected {wanted}"));
        }
        number
    }
    /// A list of whole numbers, not empty, each within a range.
    pub fn whole_numbers(
        &mut self,
        v: &Value,
        range: RangeInclusive<i64>,
        unit: &str,
    ) -> Option<Vec<u32>> {
        let wanted = format!(
            "a list of whole {unit} from {} to {}, such as [8, 10, 12]",
            range.start(),
            range.end()
        );
        let Some(array) = v.get_ref().as_array() else {
            self.wrong_type(v, &wanted);
            return None;
        };
        let mut out = Vec::new();
        for item in array {
            let number = match item.get_ref() {
                DeValue::Integer(n) => whole(n).filter(|n| range.contains(n)),
                _ => None,
            };
            match number.and_then(|n| u32::try_from(n).ok()) {
                Some(n) => out.push(n),
                None => {
                    let given: String = self.text[item.span()].chars().take(40).collect();
                    self.bad_value(item, format!("{given} will not do; expected {wanted}"));
                    return None;
                }
            }
        }
        if out.is_empty() {
            self.bad_value(v, format!("the list is empty; expected {wanted}"));
            return None;
        }
        Some(out)
    }
}

/// What to say about a name that is no section.
pub(crate) fn no_section(name: &str) -> String {
    let known: Vec<&str> = Section::all().map(Section::name).collect();
    let shown: String = name.chars().take(40).flat_map(char::escape_debug).collect();
    format!("\"{shown}\" is not a section; known are {}", known.join(", "))
}

fn whole(n: &toml::de::DeInteger) -> Option<i64> {
    i64::from_str_radix(n.as_str(), n.radix()).ok()
}

fn kind(v: &DeValue) -> &'static str {
    match v {
        DeValue::String(_) => "a text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}
