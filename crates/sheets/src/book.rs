//! Pages that follow each other: head and foot of each, where the next thing goes, and when a new page
//! is due.

use crate::Paper;
use crate::font::{Fonts, Weight};
use crate::page::{INK, Page, pen};
use crate::words::Names;

/// Margin of every sheet, points: half an inch, which every printer can leave and a clip can hold.
const MARGIN: f64 = 36.0;

/// A set of pages in the making.
pub(crate) struct Book<'a> {
    pub fonts: &'a Fonts,
    pub names: &'a Names,
    /// All sizes are for letter paper and grow with the width of the paper.
    pub k: f64,
    paper: Paper,
    title: &'static str,
    pages: Vec<Page>,
    heading: String,
    /// Lines that stand at the head of every page from the next one on.
    running: Vec<String>,
    /// Where content begins on the page in hand.
    first: f64,
    /// Where the next thing goes.
    pub y: f64,
}

impl<'a> Book<'a> {
    /// A book without pages.
    pub fn new(fonts: &'a Fonts, paper: Paper, names: &'a Names, title: &'static str) -> Book<'a> {
        let k = if paper == Paper::Tabloid { 1.25 } else { 1.0 };
        Book {
            fonts,
            names,
            k,
            paper,
            title,
            pages: Vec::new(),
            heading: String::new(),
            running: Vec::new(),
            first: 0.0,
            y: 0.0,
        }
    }

    /// Width and height of an upright or a lying page.
    fn size(&self, lies: bool) -> (f64, f64) {
        let (w, h) = self.paper.size();
        if lies { (h, w) } else { (w, h) }
    }

    /// What of an upright or a lying page is free for content: left, top, right, bottom.
    pub fn frame(&self, lies: bool) -> [f64; 4] {
        let (w, h) = self.size(lies);
        [MARGIN, MARGIN + 27.0 * self.k, w - MARGIN, h - MARGIN - 16.0 * self.k]
    }

    /// Text for the head of every upright page from the next one on; none ends it.
    pub fn run_on(&mut self, texts: &[String]) {
        let [left, _, right, _] = self.frame(false);
        let wrap = |t: &String| self.fonts.wrapped(Weight::Book, 8.5 * self.k, t, right - left);
        self.running = texts.iter().flat_map(wrap).collect();
    }

    /// A new page.
    pub fn start(&mut self, heading: &str, lies: bool) {
        self.open(heading, "", lies);
    }

    /// A new page; `more` is told behind the heading however long that is.
    fn open(&mut self, heading: &str, more: &str, lies: bool) {
        let (w, h) = self.size(lies);
        let k = self.k;
        let mut page = Page::new(w, h);
        let base = MARGIN + 14.0 * k;
        let room = (w - 2.0 * MARGIN) * 0.34;
        let text = self.fonts.fitted(Weight::Book, 9.0 * k, &self.names.house, room);
        let x = w - MARGIN - self.fonts.width(Weight::Book, 9.0 * k, &text);
        self.title(&mut page, heading, more, x - MARGIN - 14.0 * k);
        page.text((x, base), 9.0 * k, Weight::Book, text);
        page.line((MARGIN, base + 6.0 * k), (w - MARGIN, base + 6.0 * k), pen(2.0));
        self.pages.push(page);
        self.heading = heading.to_owned();
        self.y = self.frame(lies)[1];
        let [left, ..] = self.frame(lies);
        let lines = self.running.clone();
        for line in &lines {
            self.y += 10.8 * k;
            let y = self.y - 1.6 * k;
            self.put((left, y), 8.5, Weight::Book, line);
        }
        if !lines.is_empty() {
            self.y += 4.0 * k;
        }
        self.first = self.y;
    }

    /// A page's title, as large as there is room for; a long one in two lines, and only what is longer
    /// than that is cut.
    fn title(&self, page: &mut Page, heading: &str, more: &str, room: f64) {
        let k = self.k;
        let base = MARGIN + 14.0 * k;
        let whole = format!("{heading}{more}");
        let fits = |size: &f64| self.fonts.width(Weight::Bold, size * k, &whole) <= room;
        if let Some(size) = [15.0, 13.5, 12.0].into_iter().find(fits) {
            return page.text((MARGIN, base), size * k, Weight::Bold, whole);
        }
        let size = 10.0 * k;
        let lines = self.fonts.wrapped(Weight::Bold, size, &whole, room);
        if let [first, second] = lines.as_slice() {
            page.text((MARGIN, base - 8.5 * k), size, Weight::Bold, first.clone());
            return page.text((MARGIN, base + 2.0 * k), size, Weight::Bold, second.clone());
        }
        let first = lines.into_iter().next().unwrap_or_default();
        let rest = heading.get(first.len()..).unwrap_or_default().trim_start();
        let left = room - self.fonts.width(Weight::Bold, size, more);
        let second = self.fonts.fitted(Weight::Bold, size, rest, left) + more;
        page.text((MARGIN, base - 8.5 * k), size, Weight::Bold, first);
        page.text((MARGIN, base + 2.0 * k), size, Weight::Bold, second);
    }

    /// Makes room for something `height` tall on an upright page; true where that took a new page.
    pub fn need(&mut self, height: f64) -> bool {
        let [_, _, _, bottom] = self.frame(false);
        let fits = self.y + height <= bottom;
        if self.pages.is_empty() || (!fits && self.y > self.first) {
            let heading = self.heading.clone();
            self.open(&heading, " (continued)", false);
            return true;
        }
        false
    }

    /// The page in hand.
    pub fn page(&mut self) -> &mut Page {
        if self.pages.is_empty() {
            self.start("", false);
        }
        let last = self.pages.len() - 1;
        &mut self.pages[last]
    }

    /// Text on the page in hand; its size is for letter paper.
    pub fn put(&mut self, (x, y): (f64, f64), size: f64, weight: Weight, text: &str) {
        let size = size * self.k;
        self.page().text((x, y), size, weight, text);
    }

    /// Text that ends at `x`.
    pub fn put_right(&mut self, (x, y): (f64, f64), size: f64, weight: Weight, text: &str) {
        let width = self.fonts.width(weight, size * self.k, text);
        self.put((x - width, y), size, weight, text);
    }

    /// A paragraph across an upright page, `indent` in from its left (for letter paper).
    pub fn paragraph(&mut self, indent: f64, size: f64, weight: Weight, text: &str) {
        let [left, _, right, _] = self.frame(false);
        let left = left + indent * self.k;
        let step = size * 1.28 * self.k;
        for line in self.fonts.wrapped(weight, size * self.k, text, right - left) {
            self.need(step);
            self.y += step;
            let at = (left, self.y - step * 0.22);
            self.put(at, size, weight, &line);
        }
    }

    /// A heading within a page, with at least `more` of what follows it.
    pub fn subheading(&mut self, text: &str, more: f64) {
        let k = self.k;
        self.need((20.0 + more) * k);
        let [left, _, right, _] = self.frame(false);
        self.y += 15.5 * k;
        let text = self.fonts.fitted(Weight::Bold, 12.0 * k, text, right - left);
        self.put((left, self.y), 12.0, Weight::Bold, &text);
        let y = self.y + 3.0 * k;
        self.page().line((left, y), (right, y), pen(1.0));
        self.y += 5.0 * k;
    }

    /// The pages with their feet.
    pub fn finish(mut self) -> Vec<Page> {
        if self.pages.is_empty() {
            self.start(self.title, false);
        }
        let (k, count) = (self.k, self.pages.len());
        for (i, page) in self.pages.iter_mut().enumerate() {
            let base = page.height - MARGIN;
            let right = page.width - MARGIN;
            page.line((MARGIN, base - 10.0 * k), (right, base - 10.0 * k), pen(0.9));
            let number = format!("{}  {} / {count}", self.title, i + 1);
            let x = right - self.fonts.width(Weight::Bold, 9.0 * k, &number);
            page.text((x, base), 9.0 * k, Weight::Bold, number);
            let note = "Not engineering: local code, the stamped drawings and the building official decide.";
            let note = self.fonts.fitted(Weight::Book, 7.5 * k, note, x - MARGIN - 8.0);
            page.text((MARGIN, base), 7.5 * k, Weight::Book, note);
        }
        self.pages
    }

    /// A box to tick, its upper left corner at `at`.
    pub fn tick_box(&mut self, at: (f64, f64)) {
        let side = 9.0 * self.k;
        self.page().rect(at, (side, side), None, pen(1.2));
    }

    /// How wide [`Book::round_name`] draws a name.
    pub fn round_width(&self, size: f64, name: &str) -> f64 {
        let size = size * self.k;
        self.fonts.width(Weight::Bold, size, name) + size * 0.9
    }

    /// A round box with a name in it, the middle of its left end at `at`; its width.
    pub fn round_name(&mut self, (x, y): (f64, f64), size: f64, name: &str) -> f64 {
        let width = self.round_width(size, name);
        let size = size * self.k;
        let high = size * 1.35;
        let page = self.page();
        round_box(page, (x, y - high / 2.0), (width, high));
        page.text((x + size * 0.45, y + size * 0.36), size, Weight::Bold, name);
        width
    }
}

/// A box with round ends.
pub(crate) fn round_box(page: &mut Page, (x, y): (f64, f64), (w, h): (f64, f64)) {
    use crate::page::{PAPER, Step};
    let r = h / 2.0;
    let k = r * 0.552_285;
    let steps = vec![
        Step::Move((x + r, y)),
        Step::Line((x + w - r, y)),
        Step::Curve((x + w - r + k, y), (x + w, y + r - k), (x + w, y + r)),
        Step::Curve((x + w, y + r + k), (x + w - r + k, y + h), (x + w - r, y + h)),
        Step::Line((x + r, y + h)),
        Step::Curve((x + r - k, y + h), (x, y + r + k), (x, y + r)),
        Step::Curve((x, y + r - k), (x + r - k, y), (x + r, y)),
        Step::Close,
    ];
    page.path(steps, PAPER, pen(1.0));
}

/// The sign of a severity, as in the report: full square, triangle, open circle.
pub(crate) fn severity_sign(page: &mut Page, (x, y): (f64, f64), r: f64, severity: diag::Severity) {
    match severity {
        diag::Severity::Error => page.rect((x - r, y - r), (2.0 * r, 2.0 * r), INK, None),
        diag::Severity::Warning => {
            page.ring(&[(x, y - r * 1.2), (x + r * 1.2, y + r), (x - r * 1.2, y + r)], INK, None)
        }
        diag::Severity::Note => page.circle((x, y), r, None, pen(1.0)),
    }
}
