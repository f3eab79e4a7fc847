//! The sheets people carry: crew sheets, piece labels, and the cut sheet of every board, as PDF and as
//! one SVG a page.
//!
//! Knows: how a finished document is laid out on paper, so that it is read in black and white, in sun
//! and rain. Never touches: files, clocks, drawings, any decision about the plan.
//!
//! Everything is drawn once into a list of lines and letters (`page`) and then written twice (`pdf`,
//! `svg`). `docs/sheets.md` tells what is on the sheets, `docs/visual-language.md` how drawings are to
//! be read.

mod across;
mod book;
mod crew;
mod cut;
mod font;
mod front;
mod holes;
mod ink;
mod labels;
mod layout;
mod nails;
mod order;
mod page;
mod pdf;
mod places;
mod plan;
mod room;
mod sketch;
mod svg;
mod tags;
mod ties;
mod words;

#[cfg(test)]
mod tests;

use book::Book;
pub use export::ExportError;
use export::view::View;
use font::Fonts;
use page::Page;
use plan_model::Document;

/// The paper sheets are laid out for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// 8.5 x 11 in.
    Letter,
    /// 210 x 297 mm.
    A4,
    /// 11 x 17 in.
    Tabloid,
}

impl Paper {
    /// All of them.
    pub const ALL: [Paper; 3] = [Paper::Letter, Paper::A4, Paper::Tabloid];
    /// `letter`, `a4`, `tabloid`.
    pub const fn name(self) -> &'static str {
        match self {
            Paper::Letter => "letter",
            Paper::A4 => "a4",
            Paper::Tabloid => "tabloid",
        }
    }
    /// The paper of that name.
    pub fn from_name(name: &str) -> Option<Paper> {
        Paper::ALL.into_iter().find(|p| p.name().eq_ignore_ascii_case(name.trim()))
    }
    /// Width and height of an upright sheet, points (1/72 in). ISO 216 for A4, ANSI/ASME Y14.1 A and B
    /// for the others (from memory).
    pub(crate) const fn size(self) -> (f64, f64) {
        match self {
            Paper::Letter => (612.0, 792.0),
            Paper::A4 => (595.28, 841.89),
            Paper::Tabloid => (792.0, 1224.0),
        }
    }
}

/// Why there are no sheets. All of these are faults of the program, not of the drawing.
#[derive(Debug, thiserror::Error)]
pub enum SheetError {
    /// The document holds an id that points at nothing, or a number that is none.
    #[error(transparent)]
    Document(#[from] ExportError),
    /// The fonts the program carries are of no use.
    #[error("a font of the sheets: {0}")]
    Font(String),
    /// A code for a label could not be made.
    #[error("the code of piece {0} could not be made")]
    Code(String),
}

/// Every sheet, for one paper: `crew-letter.pdf`, `labels-letter.pdf`, `cut-sheet-letter.pdf`, and
/// each of their pages as `crew-letter-01.svg` and so on. `project` and `lot` are free text, and may be
/// empty.
///
/// # Errors
/// See [`SheetError`].
pub fn all(
    doc: &Document,
    project: &str,
    lot: &str,
    paper: Paper,
) -> Result<Vec<(String, Vec<u8>)>, SheetError> {
    let sets = laid_out(doc, project, lot, paper)?;
    let mut files = sets.iter().map(Set::pdf).collect::<Result<Vec<_>, _>>()?;
    files.extend(sets.iter().flat_map(Set::svgs));
    Ok(files)
}

/// As [`all`], without the SVG pages.
///
/// # Errors
/// See [`SheetError`].
pub fn pdfs(
    doc: &Document,
    project: &str,
    lot: &str,
    paper: Paper,
) -> Result<Vec<(String, Vec<u8>)>, SheetError> {
    laid_out(doc, project, lot, paper)?.iter().map(Set::pdf).collect()
}

/// Pages that make one PDF.
struct Set {
    name: String,
    title: String,
    pages: Vec<Page>,
    fonts: std::rc::Rc<Fonts>,
}

impl Set {
    fn pdf(&self) -> Result<(String, Vec<u8>), SheetError> {
        Ok((format!("{}.pdf", self.name), pdf::write(&self.pages, &self.fonts, &self.title)?))
    }
    fn svgs(&self) -> impl Iterator<Item = (String, Vec<u8>)> {
        // As many digits as the last page has, so that files sort by page.
        let digits = self.pages.len().to_string().len().max(2);
        self.pages.iter().enumerate().map(move |(i, page)| {
            let name = format!("{}-{:0digits$}.svg", self.name, i + 1);
            (name, svg::write(page, &self.fonts, &self.title))
        })
    }
}

fn laid_out(
    doc: &Document,
    project: &str,
    lot: &str,
    paper: Paper,
) -> Result<Vec<Set>, SheetError> {
    let fonts = std::rc::Rc::new(Fonts::new()?);
    let view = View::of(doc)?;
    let names = words::Names::of(doc, project, lot);
    let set = |what: &str, title: &str, book: Book| Set {
        name: format!("{what}-{}", paper.name()),
        title: format!("{}: {title}", names.house),
        pages: book.finish(),
        fonts: fonts.clone(),
    };
    let mut crew = Book::new(&fonts, paper, &names, "Crew sheets");
    let key = nails::NailKey::of(doc);
    front::front(&mut crew, &view, &names, &key);
    for storey in 0..doc.floor.storeys.len() {
        crew::storey(&mut crew, &view, storey, &key);
    }
    let mut tags = Book::new(&fonts, paper, &names, "Piece labels");
    tags::tags(&mut tags, &view, &names)?;
    let mut cuts = Book::new(&fonts, paper, &names, "Cut sheet");
    cut::boards(&mut cuts, &view);
    Ok(vec![
        set("crew", "crew sheets", crew),
        set("labels", "piece labels", tags),
        set("cut-sheet", "cut sheet", cuts),
    ])
}
