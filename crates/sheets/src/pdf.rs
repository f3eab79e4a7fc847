//! Pages to PDF: vector, selectable text, the used letters of the fonts embedded, no date and no
//! random id, so that the same pages give the same bytes.

use crate::SheetError;
use crate::font::{Fonts, Weight, turns, visual};
use crate::page::{Item, Page, Step};
use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Rect, Ref, Str, TextStr};
use subsetter::GlyphRemapper;

const NAMES: [Name; 2] = [Name(b"F1"), Name(b"F2")];
const CID_SYSTEM: SystemInfo =
    SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };

/// What of a font is used: new glyph ids, the character each stands for, and its width.
struct Used {
    mapper: GlyphRemapper,
    glyphs: Vec<(u16, char, f32)>,
}

/// The document.
pub(crate) fn write(pages: &[Page], fonts: &Fonts, title: &str) -> Result<Vec<u8>, SheetError> {
    let mut next = 1;
    let mut id = || {
        next += 1;
        Ref::new(next - 1)
    };
    let (catalog, tree, info) = (id(), id(), id());
    let font_ids = [id(), id()];
    let mut pdf = Pdf::new();
    let mut used = [(); 2].map(|()| Used { mapper: GlyphRemapper::new(), glyphs: Vec::new() });
    let page_ids: Vec<Ref> = pages.iter().map(|_| id()).collect();
    for (page, page_id) in pages.iter().zip(&page_ids) {
        let content_id = id();
        let mut out = pdf.page(*page_id);
        out.media_box(Rect::new(0.0, 0.0, page.width as f32, page.height as f32));
        out.parent(tree);
        out.contents(content_id);
        let mut resources = out.resources();
        resources.fonts().pairs(NAMES.into_iter().zip(font_ids));
        resources.finish();
        out.finish();
        let content = content(page, fonts, &mut used);
        let small = miniz_oxide::deflate::compress_to_vec_zlib(&content, 1);
        pdf.stream(content_id, &small).filter(Filter::FlateDecode);
    }
    for ((weight, used), font_id) in Weight::ALL.into_iter().zip(&used).zip(font_ids) {
        embed(&mut pdf, fonts, weight, used, font_id, [id(), id(), id(), id()])?;
    }
    pdf.pages(tree).kids(page_ids.iter().copied()).count(page_ids.len() as i32);
    pdf.document_info(info).title(TextStr(title)).producer(TextStr("platewright"));
    let mut root = pdf.catalog(catalog);
    root.pages(tree);
    root.viewer_preferences().display_doc_title(true);
    root.finish();
    Ok(pdf.finish())
}

/// Rounded to a hundredth of a point, which no eye sees, and so a short number in the file.
fn short(value: f64) -> f32 {
    ((value * 100.0).round() / 100.0) as f32
}

fn content(page: &Page, fonts: &Fonts, used: &mut [Used; 2]) -> Vec<u8> {
    let mut out = Content::new();
    let x = |x: f64| short(x);
    let y = |y: f64| short(page.height - y);
    for item in &page.items {
        match item {
            Item::Path { steps, fill, pen } => {
                if let Some(grey) = fill {
                    out.set_fill_gray(*grey as f32);
                }
                if let Some(pen) = pen {
                    out.set_stroke_gray(0.0).set_line_width(pen.width as f32);
                    let lengths = pen.dash.lengths(pen.width);
                    out.set_dash_pattern(lengths.into_iter().map(|l| l as f32), 0.0);
                }
                for step in steps {
                    match *step {
                        Step::Move(p) => out.move_to(x(p.0), y(p.1)),
                        Step::Line(p) => out.line_to(x(p.0), y(p.1)),
                        Step::Curve(a, b, c) => {
                            out.cubic_to(x(a.0), y(a.1), x(b.0), y(b.1), x(c.0), y(c.1))
                        }
                        Step::Close => out.close_path(),
                    };
                }
                match (fill.is_some(), pen.is_some()) {
                    (true, true) => out.fill_even_odd_and_stroke(),
                    (true, false) => out.fill_even_odd(),
                    (false, true) => out.stroke(),
                    (false, false) => out.end_path(),
                };
            }
            Item::Text { at, angle, size, weight, white, text } => {
                let face = fonts.face(*weight);
                let used = &mut used[*weight as usize];
                let mut codes = Vec::with_capacity(text.len() * 2);
                for c in visual(text).chars() {
                    let glyph = face.glyph(c);
                    let before = used.mapper.num_gids();
                    let new = used.mapper.remap(glyph.id);
                    if new >= before {
                        let c = if face.has(c) { c } else { '\u{fffd}' };
                        let c = if c == '\u{a0}' { ' ' } else { c };
                        used.glyphs.push((new, c, glyph.advance as f32));
                    }
                    codes.extend_from_slice(&new.to_be_bytes());
                }
                // Text as it is read, where it is not what is seen.
                let unlike = turns(text) || text.chars().any(|c| !face.has(c));
                if unlike {
                    out.begin_marked_content_with_properties(Name(b"Span"))
                        .properties()
                        .actual_text(TextStr(text));
                }
                out.set_fill_gray(if *white { 1.0 } else { 0.0 });
                out.begin_text();
                out.set_font(NAMES[*weight as usize], *size as f32);
                let (sin, cos) = (-angle).to_radians().sin_cos();
                let [sin, cos] = [sin as f32, cos as f32];
                out.set_text_matrix([cos, sin, -sin, cos, x(at.0), y(at.1)]);
                out.show(Str(&codes));
                out.end_text();
                if unlike {
                    out.end_marked_content();
                }
            }
            Item::Grid { at, module, runs } => {
                // Counted in modules, so that a code is some dozens of short numbers.
                let side = *module as f32;
                out.save_state().set_fill_gray(0.0);
                out.transform([side, 0.0, 0.0, -side, x(at.0), y(at.1)]);
                for (column, row, count) in runs {
                    out.rect((*column).into(), (*row).into(), (*count).into(), 1.0);
                }
                out.fill_nonzero().restore_state();
            }
            Item::Clip([left, top, right, bottom]) => {
                out.save_state();
                let (w, h) = ((right - left) as f32, (bottom - top) as f32);
                out.rect(x(*left), y(*bottom), w, h).clip_nonzero().end_path();
            }
            Item::Unclip => {
                out.restore_state();
            }
        }
    }
    out.finish().to_vec()
}

/// Puts the used letters of a font into the document.
fn embed(
    pdf: &mut Pdf,
    fonts: &Fonts,
    weight: Weight,
    used: &Used,
    font_id: Ref,
    [cid_id, descriptor_id, cmap_id, data_id]: [Ref; 4],
) -> Result<(), SheetError> {
    let face = fonts.face(weight);
    // The tag is to tell subsets of one font apart; these are the only ones in the document.
    let base = match weight {
        Weight::Book => "PLATEA+DejaVuSansCondensed",
        Weight::Bold => "PLATEB+DejaVuSansCondensed-Bold",
    };
    let base = Name(base.as_bytes());
    pdf.type0_font(font_id)
        .base_font(base)
        .encoding_predefined(Name(b"Identity-H"))
        .descendant_font(cid_id)
        .to_unicode(cmap_id);
    let mut cid = pdf.cid_font(cid_id);
    cid.subtype(CidFontType::Type2);
    cid.base_font(base);
    cid.system_info(CID_SYSTEM);
    cid.font_descriptor(descriptor_id);
    cid.default_width(0.0);
    cid.cid_to_gid_map_predefined(Name(b"Identity"));
    let mut widths = cid.widths();
    for (id, _, width) in &used.glyphs {
        widths.consecutive(*id, [*width]);
    }
    widths.finish();
    cid.finish();
    let parsed = &face.parsed;
    let em = 1000.0 / f32::from(parsed.units_per_em());
    let b = parsed.global_bounding_box();
    let [left, bottom, right, top] =
        [b.x_min, b.y_min, b.x_max, b.y_max].map(|v| f32::from(v) * em);
    let mut flags = FontFlags::SYMBOLIC;
    if weight == Weight::Bold {
        flags |= FontFlags::FORCE_BOLD;
    }
    pdf.font_descriptor(descriptor_id)
        .name(base)
        .flags(flags)
        .bbox(Rect::new(left, bottom, right, top))
        .italic_angle(0.0)
        .ascent(f32::from(parsed.ascender()) * em)
        .descent(f32::from(parsed.descender()) * em)
        .cap_height(parsed.capital_height().map_or(729.0, |h| f32::from(h) * em))
        .stem_v(if weight == Weight::Bold { 150.0 } else { 90.0 })
        .font_file2(data_id);
    let mut cmap = UnicodeCmap::new(Name(b"Custom"), CID_SYSTEM);
    for (id, c, _) in &used.glyphs {
        cmap.pair(*id, *c);
    }
    pdf.cmap(cmap_id, &cmap.finish());
    let subset = subsetter::subset(face.data, 0, &used.mapper)
        .map_err(|e| SheetError::Font(format!("it cannot be cut down: {e}")))?;
    let small = miniz_oxide::deflate::compress_to_vec_zlib(&subset, 3);
    pdf.stream(data_id, &small)
        .filter(Filter::FlateDecode)
        .pair(Name(b"Length1"), subset.len() as i32);
    Ok(())
}
