//! Layout of `plan.json`: one item of a list a line, so that a person can read it and two plans can
//! be compared line by line, without the bulk of one number a line.

use serde_json::ser::Formatter;
use std::io::{self, Write};

/// How deep new lines are begun: the document's fields, and the items of its lists.
const OPEN_DEPTH: usize = 2;

/// New lines down to [`OPEN_DEPTH`], everything deeper on one line. Whole numbers have no `.0`.
#[derive(Default)]
pub(crate) struct Lines {
    depth: usize,
}

impl Lines {
    fn begin<W: Write + ?Sized>(&mut self, w: &mut W, bracket: &[u8]) -> io::Result<()> {
        self.depth += 1;
        w.write_all(bracket)
    }
    fn end<W: Write + ?Sized>(&mut self, w: &mut W, bracket: &[u8]) -> io::Result<()> {
        self.depth -= 1;
        if self.depth < OPEN_DEPTH {
            self.line(w)?;
        }
        w.write_all(bracket)
    }
    fn item<W: Write + ?Sized>(&mut self, w: &mut W, first: bool) -> io::Result<()> {
        if !first {
            w.write_all(b",")?;
        }
        match self.depth <= OPEN_DEPTH {
            true => self.line(w),
            false if first => Ok(()),
            false => w.write_all(b" "),
        }
    }
    fn line<W: Write + ?Sized>(&self, w: &mut W) -> io::Result<()> {
        w.write_all(b"\n")?;
        (0..self.depth).try_for_each(|_| w.write_all(b" "))
    }
}

impl Formatter for Lines {
    fn begin_array<W: Write + ?Sized>(&mut self, w: &mut W) -> io::Result<()> {
        self.begin(w, b"[")
    }
    fn end_array<W: Write + ?Sized>(&mut self, w: &mut W) -> io::Result<()> {
        self.end(w, b"]")
    }
    fn begin_array_value<W: Write + ?Sized>(&mut self, w: &mut W, first: bool) -> io::Result<()> {
        self.item(w, first)
    }
    fn begin_object<W: Write + ?Sized>(&mut self, w: &mut W) -> io::Result<()> {
        self.begin(w, b"{")
    }
    fn end_object<W: Write + ?Sized>(&mut self, w: &mut W) -> io::Result<()> {
        self.end(w, b"}")
    }
    fn begin_object_key<W: Write + ?Sized>(&mut self, w: &mut W, first: bool) -> io::Result<()> {
        self.item(w, first)
    }
    fn begin_object_value<W: Write + ?Sized>(&mut self, w: &mut W) -> io::Result<()> {
        w.write_all(b": ")
    }
    fn write_f64<W: Write + ?Sized>(&mut self, w: &mut W, value: f64) -> io::Result<()> {
        // Below 2^53 every whole number is an f64 and an i64 alike.
        if value.fract() == 0.0 && value.abs() < 9.0e15 {
            return self.write_i64(w, value as i64);
        }
        serde_json::ser::CompactFormatter.write_f64(w, value)
    }
}

#[cfg(test)]
mod tests {
    use super::Lines;
    use serde::Serialize;

    fn written(value: &serde_json::Value) -> String {
        let mut out = Vec::new();
        let mut s = serde_json::Serializer::with_formatter(&mut out, Lines::default());
        value.serialize(&mut s).unwrap();
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn one_item_a_line() {
        let v = serde_json::json!({ "a": [{ "x": [1.0, 2.5] }, { "x": [] }], "b": {}, "c": [] });
        let want = "{\n \"a\": [\n  {\"x\": [1, 2.5]},\n  {\"x\": []}\n ],\n \"b\": {\n },\n \"c\": [\n ]\n}";
        assert_eq!(written(&v), want);
    }

    #[test]
    fn numbers_are_shortest_and_exact() {
        for n in [-2_000_i64, -1, 0, 1, 3, 94 * 16 + 1, 12_345] {
            let inches = n as f64 / 16.0;
            let text = written(&inches.into());
            assert_eq!(text.parse::<f64>(), Ok(inches));
            assert!(text.len() <= 9, "{text}");
        }
        assert_eq!(written(&94.0.into()), "94");
        assert_eq!(written(&93.9375.into()), "93.9375");
        assert_eq!(written(&(-0.0).into()), "0");
    }
}
