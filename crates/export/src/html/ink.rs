//! Puts numbers, paths and text on the page without a detour: a report holds tens of thousands of
//! numbers, and a formatter for each of them was most of what writing it cost.

use super::words::shown;
use std::fmt::Write;

/// A coordinate of a drawing in hundredths of an inch (less than a hairline).
fn hundredths(inches: f64) -> i64 {
    (inches * 100.0).round() as i64
}

/// A whole number.
pub(crate) fn whole(out: &mut String, value: usize) {
    let mut digits = [0_u8; 20];
    let mut at = digits.len();
    let mut rest = value;
    loop {
        at -= 1;
        digits[at] = b'0' + (rest % 10) as u8;
        rest /= 10;
        if rest == 0 {
            break;
        }
    }
    out.extend(digits[at..].iter().map(|d| char::from(*d)));
}

fn push_hundredths(out: &mut String, value: i64) {
    if value < 0 {
        out.push('-');
    }
    let size = value.unsigned_abs();
    let (inches, part) = (size / 100, (size % 100) as u8);
    if inches > 0 || part == 0 {
        whole(out, inches as usize);
    }
    if part > 0 {
        out.push('.');
        out.push(char::from(b'0' + part / 10));
        if part % 10 > 0 {
            out.push(char::from(b'0' + part % 10));
        }
    }
}

/// A number with at most two decimals and no needless letter: `-.5`, `12.25`, `0`.
pub(crate) fn number(out: &mut String, value: f64) {
    push_hundredths(out, hundredths(value));
}

/// A number for JSON, which wants a digit before the point.
pub(crate) fn json_number(out: &mut String, value: f64) {
    let ticks = hundredths(value);
    if ticks < 0 {
        out.push('-');
    }
    if ticks != 0 && ticks.abs() < 100 {
        out.push('0');
    }
    push_hundredths(out, ticks.abs());
}

/// Text of a drawing or of ours, escaped, with odd characters made visible.
pub(crate) fn text(out: &mut String, text: &str) {
    // Writing to a String cannot fail.
    let _ = maud::Escaper::new(out).write_str(&shown(text));
}

/// A stranger's text, kept from turning the reading direction of what is around it.
pub(crate) fn isolated(out: &mut String, stranger: &str) {
    out.push_str("<bdi>");
    text(out, stranger);
    out.push_str("</bdi>");
}

/// A string of JSON that may stand in a `script` element: `<` is written by its number, so that
/// nothing in it can end the element.
pub(crate) fn json(out: &mut String, text: &str) {
    out.push('"');
    for c in shown(text).chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '<' => out.push_str("\\u003c"),
            c => out.push(c), // control characters are gone already
        }
    }
    out.push('"');
}

/// Writes the `d` of a path: first points whole, the others as steps, level and upright ones by a
/// single number. Steps are taken between rounded points, so that they never drift.
pub(crate) struct Path<'a> {
    out: &'a mut String,
    at: (i64, i64),
    start: (i64, i64),
}

impl<'a> Path<'a> {
    /// A path at the end of the page.
    pub fn on(out: &'a mut String) -> Path<'a> {
        Path { out, at: (0, 0), start: (0, 0) }
    }

    /// Begins a stroke.
    pub fn from(&mut self, (x, y): (f64, f64)) -> &mut Self {
        self.at = (hundredths(x), hundredths(y));
        self.start = self.at;
        self.out.push('M');
        self.pair(self.at);
        self
    }

    /// Begins another stroke of a path whose last one ended at `last`, or goes on with that one.
    pub fn again(&mut self, last: (f64, f64), (x, y): (f64, f64)) -> &mut Self {
        let last = (hundredths(last.0), hundredths(last.1));
        self.at = (hundredths(x), hundredths(y));
        self.start = self.at;
        if last != self.at {
            self.out.push('m');
            self.pair((self.at.0 - last.0, self.at.1 - last.1));
        }
        self
    }

    /// Goes on to a point.
    pub fn to(&mut self, (x, y): (f64, f64)) -> &mut Self {
        let next = (hundredths(x), hundredths(y));
        let step = (next.0 - self.at.0, next.1 - self.at.1);
        self.at = next;
        match step {
            (dx, 0) => {
                self.out.push('h');
                push_hundredths(self.out, dx);
            }
            (0, dy) => {
                self.out.push('v');
                push_hundredths(self.out, dy);
            }
            step => {
                self.out.push('l');
                self.pair(step);
            }
        }
        self
    }

    /// Back to where the stroke began.
    pub fn close(&mut self) {
        self.out.push('z');
        self.at = self.start;
    }

    /// A closed figure.
    pub fn ring(&mut self, points: impl Iterator<Item = (f64, f64)>) {
        if self.line(points) {
            self.close();
        }
    }

    /// An open one; whether there was a point at all.
    pub fn line(&mut self, mut points: impl Iterator<Item = (f64, f64)>) -> bool {
        let Some(first) = points.next() else { return false };
        self.from(first);
        points.for_each(|p| {
            self.to(p);
        });
        true
    }

    fn pair(&mut self, (x, y): (i64, i64)) {
        push_hundredths(self.out, x);
        if y >= 0 {
            self.out.push(' ');
        }
        push_hundredths(self.out, y);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short() {
        let cases = [
            (0.0, "0"),
            (-0.001, "0"),
            (1.5, "1.5"),
            (-0.05, "-.05"),
            (12.999, "13"),
            (100.0, "100"),
        ];
        for (value, want) in cases {
            let mut got = String::new();
            number(&mut got, value);
            assert_eq!(got, want);
        }
    }

    #[test]
    fn json_numbers_are_read_back() {
        for value in [0.0, 0.75, -0.5, 12.25, -3.0, 100.0] {
            let mut got = String::new();
            json_number(&mut got, value);
            assert_eq!(serde_json::from_str::<f64>(&got).unwrap(), value);
        }
    }

    #[test]
    fn steps_do_not_drift() {
        let mut d = String::new();
        let thirds = (0..=300).map(|i| (f64::from(i) / 3.0, f64::from(i % 2) / 3.0));
        Path::on(&mut d).line(thirds);
        let (mut x, mut y) = (0.0, 0.0);
        for step in d.trim_start_matches("M0 0").split('l').skip(1) {
            let cut = step.rfind([' ', '-']).unwrap();
            x += step[..cut].parse::<f64>().unwrap();
            y += step[cut..].trim_start().parse::<f64>().unwrap();
        }
        assert!((x - 100.0).abs() < 1e-9 && y.abs() < 1e-9, "{x} {y}");
    }

    #[test]
    fn a_rectangle_takes_one_number_a_side() {
        let mut d = String::new();
        let corners = [(1.0, -2.0), (5.5, -2.0), (5.5, 3.0), (1.0, 3.0)];
        Path::on(&mut d).ring(corners.into_iter());
        assert_eq!(d, "M1-2h4.5v5h-4.5z");
    }

    #[test]
    fn nothing_ends_a_script_element() {
        let mut got = String::new();
        json(&mut got, "</script>\"\\\u{0}\u{202e}");
        assert_eq!(got, "\"\\u003c/script>\\\"\\\\\u{fffd}\u{fffd}\"");
        let back: String = serde_json::from_str(&got).unwrap();
        assert_eq!(back, "</script>\"\\\u{fffd}\u{fffd}");
    }
}
