//! What a wall is framed in: the layer its studs are in, their section, and where they lie from its line.

use super::{Framing, RawWall, Reader};
use crate::framing::{self, Candidate, Choice, Loose};
use crate::material::Layers;
use crate::shape::{AT_FACE_IN, Piece};
use crate::words;
use diag::Code;
use diag::codes::{ifc, input};
use diag::words::counted;
use geom::Length;
use lumber::Section;

/// A code and words about a wall.
type Said = (Code, String);

impl Reader<'_, '_, '_> {
    /// The wall's layers as the framing rules want them.
    pub fn candidates(&self, layers: &Layers) -> Vec<Candidate> {
        let each = layers.layers.iter().map(|l| Candidate {
            material: l.material.clone(),
            hint: l.hint.clone(),
            thickness: Length::from_inches(l.thickness * self.unit.inches).unwrap_or_default(),
        });
        each.collect()
    }

    /// Section and framing layer, or a code and words that say why the wall is left out.
    pub fn framing(
        &self,
        wall: &RawWall<'_>,
        choice: &Choice,
        notes: &mut Vec<Said>,
    ) -> Result<Framing, Said> {
        let wanted = wall.rule.and_then(|r| r.section);
        // What a list of materials says where there are no layers, and no section of the settings.
        let loose = if wanted.is_none() && wall.layers.layers.is_empty() {
            framing::choose_loose(&wall.layers.loose, &self.settings.framing)
        } else {
            Loose::Silent
        };
        let (layer, second) = self.layers_of_studs(wall, choice, &loose, notes)?;
        if wall.shape.is_none() {
            return Err((ifc::WALL_SHAPE, "its shape could not be read".to_owned()));
        }
        let (section, by) = match wanted {
            Some(section) => (section, "the settings"),
            None => self.section(wall, layer, &loose, notes).inspect_err(|_| {
                // Without a section nothing lies in that layer; the error names it.
                notes.retain(|(code, _)| *code != ifc::FRAMING_LAYER);
            })?,
        };
        Ok(Framing { section, section_by: by.to_owned(), layer, second })
    }

    /// The layer the studs are in, by its index, and that of a second row; `None` where no layer is told of.
    fn layers_of_studs(
        &self,
        wall: &RawWall<'_>,
        choice: &Choice,
        loose: &Loose,
        notes: &mut Vec<Said>,
    ) -> Result<(Option<usize>, Option<usize>), Said> {
        let type_words = || wall.type_words();
        let not_wood = |material: &str| {
            (ifc::NOT_WOOD, format!("left out, {} is of {material}", type_words()))
        };
        match choice {
            Choice::Layer { index, guessed, why, others } => {
                if *guessed {
                    let what = format!(
                        "layer {} of {} taken as the framing, {why}",
                        index + 1,
                        type_words()
                    );
                    notes.push((ifc::LAYER_GUESSED, what));
                } else if wall.layers.layers.len() > 1 {
                    notes.push((ifc::FRAMING_LAYER, self.layer_words(wall, *index, why)));
                }
                notes.extend(others.iter().map(|n| self.other_row(wall, *n)));
                Ok((Some(*index), None))
            }
            Choice::Rows { rows: [a, b], why, others } => {
                notes.push((ifc::STUD_ROWS, self.rows_words(wall, [*a, *b], why)));
                notes.extend(others.iter().map(|n| self.other_row(wall, *n)));
                Ok((Some(*a), Some(*b)))
            }
            Choice::Tie(a, b) => {
                let what = format!(
                    "left out, layers {} and {} of {} could both be the framing",
                    a + 1,
                    b + 1,
                    type_words()
                );
                Err((ifc::LAYER_TIE, what))
            }
            Choice::NotWood(material) => Err(not_wood(material)),
            Choice::Unknown => {
                if let Loose::NotWood(material) = loose {
                    return Err(not_wood(material));
                }
                if wall.rule.and_then(|r| r.section).is_none()
                    && wall.layers.layers.is_empty()
                    && !words::names_wood(&wall.layers.loose)
                    && words::not_wood_by_type(&wall.type_name)
                {
                    let what = format!("left out, {} is not of wood by its name", type_words());
                    return Err((ifc::NOT_WOOD, what));
                }
                Ok((None, None))
            }
        }
    }

    /// The section of the studs and what it is known by, where the settings name none.
    fn section(
        &self,
        wall: &RawWall<'_>,
        layer: Option<usize>,
        loose: &Loose,
        notes: &mut Vec<Said>,
    ) -> Result<(Section, &'static str), Said> {
        let metric = self.unit.is_metric();
        let of_layer = layer.and_then(|n| self.layer_length(wall, n));
        if let Some(section) = of_layer.and_then(|t| framing::section_of_layer(t, metric)) {
            return Ok((section, "the framing layer's thickness"));
        }
        if let Loose::Sized(n, section) = loose {
            notes.extend(self.named_section(wall, *n, *section)?);
            return Ok((*section, "the name of a material"));
        }
        if let Some(n) = layer {
            let name = wall.layers.layers.get(n).map_or("", |l| l.material.as_str());
            if let Some(section) = framing::section_in_name(name) {
                notes.extend(self.section_in_layer(wall, n, section)?);
                return Ok((section, "the name of the framing layer"));
            }
            // Studs of no known size beside boards: what the wall is thick in all tells nothing of them.
            if wall.layers.layers.len() > 1 {
                return self.assumed_section(wall, layer, notes);
            }
        }
        let whole = self.thickness_in(wall).and_then(Length::from_inches);
        if let Some(section) = whole.and_then(|t| framing::section_of_wall(t, metric)) {
            notes.extend(self.guess_words(wall, section));
            return Ok((section, "the wall's thickness with its finishes"));
        }
        self.assumed_section(wall, layer, notes)
    }

    fn layer_length(&self, wall: &RawWall<'_>, n: usize) -> Option<Length> {
        Length::from_inches(wall.layers.layers.get(n)?.thickness * self.unit.inches)
    }

    /// What is to be said of a wall whose section one of its materials is named by; an error where the wall is
    /// thinner.
    fn named_section(
        &self,
        wall: &RawWall<'_>,
        material: usize,
        section: Section,
    ) -> Result<Option<Said>, Said> {
        let thickness = self.thickness_in(wall);
        let name = wall.layers.loose.get(material).map_or("", String::as_str);
        let Some(over) = thickness.and_then(Length::from_inches).map(|t| t - section.width())
        else {
            return Ok(None);
        };
        let thick = self.text(thickness.unwrap_or_default());
        if over < -Length::sixty_fourths(3) {
            let what = format!(
                "left out, {} is {thick} thick, {} less than the {section} that its material {name} is named as",
                wall.type_words(),
                self.text(-over.to_inches())
            );
            return Err((input::SECTION_UNKNOWN, what));
        }
        Ok((over > Length::sixty_fourths(3)).then(|| {
            let what = format!(
                "{}: planned as {section}, which its material {name} is named as; its materials are listed without thickness and place, so the plates lie in the middle of the wall as drawn, {thick} thick, and the studs may be up to {} to either side",
                wall.type_words(),
                self.text(over.to_inches() / 2.0)
            );
            (ifc::FRAMING_PLACE, what)
        }))
    }

    /// What is to be said of a wall whose framing layer is no stud size and is named by one; an error where the layer
    /// is thinner.
    fn section_in_layer(
        &self,
        wall: &RawWall<'_>,
        n: usize,
        section: Section,
    ) -> Result<Option<Said>, Said> {
        let Some(over) = self.layer_length(wall, n).map(|t| t - section.width()) else {
            return Ok(None);
        };
        let layer = self.named_layer(wall, n);
        if over < -Length::sixty_fourths(3) {
            let what = format!(
                "left out, {layer} is the framing and {} thinner than the {section} it is named as",
                self.text(-over.to_inches())
            );
            return Err((input::SECTION_UNKNOWN, what));
        }
        Ok((over > Length::sixty_fourths(3)).then(|| {
            let what = format!(
                "planned as {section}, which {layer} is named as; the plates lie in the middle of that layer, and the studs may be up to {} to either side",
                self.text(over.to_inches() / 2.0)
            );
            (ifc::FRAMING_PLACE, what)
        }))
    }

    /// A layer in a message: its number, its wall's type, thickness and name.
    fn named_layer(&self, wall: &RawWall<'_>, n: usize) -> String {
        let layers = &wall.layers.layers;
        let (thickness, name) =
            layers.get(n).map_or((0.0, ""), |l| (l.thickness, l.material.as_str()));
        format!(
            "layer {} of {} of {} ({name}, {} thick)",
            n + 1,
            layers.len(),
            wall.type_words(),
            self.text(thickness * self.unit.inches)
        )
    }

    /// What is to be said of a wall whose section is known by its whole thickness alone. A bare wall exactly as
    /// thick as a stud needs no word; everything else is an inference. Where boards are listed beside the studs
    /// it may be thinner studs and boards.
    fn guess_words(&self, wall: &RawWall<'_>, section: Section) -> Option<Said> {
        let thickness = self.thickness_in(wall);
        let whole = thickness.and_then(Length::from_inches);
        let as_stud =
            whole.is_some_and(|t| framing::section_of_layer(t, self.unit.is_metric()).is_some());
        let bare = wall.layers.layers.is_empty() && wall.layers.loose.len() < 2 && as_stud;
        if bare {
            return None;
        }
        let t = thickness.map(|t| self.text(t)).unwrap_or_default();
        let boards = whole.and_then(|t| section.boards_in(t));
        let boards = boards.map_or_else(String::new, |b| {
            let poor = if b.fit_well() { "" } else { ", which does not fit well" };
            format!(" ({b}{poor})")
        });
        let listed = match wall.layers.loose.as_slice() {
            [] | [_] => String::new(),
            names => format!(
                "; its {} are listed without thickness, and none is named by a size of lumber",
                counted(names.len(), "material")
            ),
        };
        let with = if as_stud { "alone" } else { "with its finishes" };
        let what = format!(
            "{}, {t} thick, taken as {section} {with}{boards}, in the middle of the wall{listed}",
            wall.type_words()
        );
        Some((ifc::LAYER_GUESSED, what))
    }

    /// The section of a wall that shows none: that of the settings, of a wall of no known thickness 2x4.
    fn assumed_section(
        &self,
        wall: &RawWall<'_>,
        layer: Option<usize>,
        notes: &mut Vec<Said>,
    ) -> Result<(Section, &'static str), Said> {
        let thickness = self.thickness_in(wall);
        let shown = thickness.map_or_else(
            || "of no known thickness".to_owned(),
            |t| format!("{} thick", self.text(t)),
        );
        if let Some(section) = self.settings.default_section {
            let width = section.width().to_inches();
            let wider = match thickness.is_some_and(|t| width > t + 1.0 / 32.0) {
                true => format!(
                    "; its plates are {} wide, wider than the wall as drawn",
                    self.text(width)
                ),
                false => String::new(),
            };
            let what = format!(
                "{}, {shown}, planned as {section} by default_section{wider}",
                wall.type_words()
            );
            notes.push((input::SECTION_ASSUMED, what));
            return Ok((section, "default_section"));
        }
        if thickness.is_none() {
            let what = format!("{}, {shown}, planned as 2x4", wall.type_words());
            notes.push((input::SECTION_ASSUMED, what));
            return Ok((Section::S2X4, "nothing: 2x4 assumed"));
        }
        let what = match layer.filter(|_| wall.layers.layers.len() > 1) {
            Some(n) => format!(
                "left out, {} is the framing, and studs are made in no such size; section in [[layers]] or default_section says what they are, [framing] which other layer they are in",
                self.named_layer(wall, n)
            ),
            None => format!("left out, {} is {shown}, which is no stud size", wall.type_words()),
        };
        Err((input::SECTION_UNKNOWN, what))
    }

    /// Which layer is the framing and why, and where that puts the plates.
    fn layer_words(&self, wall: &RawWall<'_>, index: usize, why: &str) -> String {
        let layers = &wall.layers;
        let (from, to) = layers.span(index);
        let text = |v: f64| self.text(v * self.unit.inches);
        let aside = (from + to - layers.total()) / 2.0;
        let place = if layers.is_central(index) {
            "in the middle of the wall".to_owned()
        } else {
            format!("{} from the middle of the wall", text(aside.abs()))
        };
        format!(
            "{}: layer {} of {}, {} thick, is the framing, {why}; the plates lie {place}",
            wall.type_words(),
            index + 1,
            layers.layers.len(),
            text(to - from),
        )
    }

    /// Which two layers are framing and why, and where that puts the plates.
    fn rows_words(&self, wall: &RawWall<'_>, rows: [usize; 2], why: &str) -> String {
        let layers = &wall.layers;
        let text = |v: f64| self.text(v * self.unit.inches);
        let [one, two] = rows.map(|n| layers.span(n));
        format!(
            "{}: layers {} and {} of {}, each {} thick and {} apart, are two rows of studs, {why}; each row is planned as a wall of its own",
            wall.type_words(),
            rows[0] + 1,
            rows[1] + 1,
            layers.layers.len(),
            text(one.1 - one.0),
            text(two.0 - one.1),
        )
    }

    /// What is to be said of a further layer named as studs, which gets no plates.
    fn other_row(&self, wall: &RawWall<'_>, n: usize) -> Said {
        let layers = &wall.layers.layers;
        let what = format!(
            "{}: layer {} of {}, {} thick, is named as studs too ({}) and gets no plates",
            wall.type_words(),
            n + 1,
            layers.len(),
            self.text(layers[n].thickness * self.unit.inches),
            layers[n].material
        );
        (ifc::STUD_ROW_LEFT, what)
    }

    /// Offset of the middle of the studs in a layer from a piece's line, left positive, in the file's unit; without a
    /// layer of the wall's middle.
    pub fn framing_offset(
        &self,
        wall: &RawWall<'_>,
        piece: &Piece,
        layer: Option<usize>,
        notes: &mut Vec<Said>,
    ) -> f64 {
        let layers = &wall.layers;
        let total = layers.total();
        let middle_of_body = piece.band.map_or(0.0, |(a, b)| (a + b) / 2.0);
        if layers.layers.is_empty() {
            return middle_of_body;
        }
        let from_axis = wall.shape.as_ref().is_some_and(|s| s.from_axis);
        let slack = AT_FACE_IN / self.unit.inches;
        let matches_body = piece.band.is_none_or(|(a, b)| (b - a - total).abs() <= slack);
        let own_sense = wall.side.map_or(1.0, |s| s.sense);
        let sense = piece.y_left * own_sense;
        let uneven = layer.is_some_and(|n| !layers.is_central(n));
        let stated = wall.side.filter(|_| from_axis).map(|s| piece.y_left * s.offset);
        let start = match (stated, piece.first_face(own_sense)) {
            (Some(start), Some(face)) if matches_body && (start - face).abs() > slack => {
                let off = (start - face).abs() * self.unit.inches;
                notes.push((
                    ifc::LAYER_SIDE,
                    format!("the layers are stated {} beside the body", self.text(off)),
                ));
                face
            }
            (Some(start), _) => start,
            (None, face) => {
                if uneven && wall.side.is_none() {
                    let what = format!(
                        "{} does not say from which face its layers are counted",
                        wall.type_words()
                    );
                    notes.push((ifc::LAYER_SIDE, what));
                }
                face.filter(|_| matches_body).unwrap_or(middle_of_body - sense * total / 2.0)
            }
        };
        let (from, to) = layer.map_or((0.0, total), |n| layers.span(n));
        start + sense * (from + to) / 2.0
    }
}
