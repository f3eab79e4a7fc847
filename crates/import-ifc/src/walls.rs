//! From the walls of the file to walls of the model: type, rule, layers, framing, section, heights.

use crate::bow::Bow;
use crate::classes::Kind;
use crate::file::File;
use crate::framing::{self, Candidate, Choice, Loose};
use crate::geometry::Shapes;
use crate::geometry::placement::PlacementMemo;
use crate::inventory::{Fate, Inventory};
use crate::material::{self, Layer, Layers, Side};
use crate::relations::{Relations, Status, WallFlags};
use crate::report::Report;
use crate::shape::{self, Piece, Scale, Trouble, WallShape};
use crate::step::Record;
use crate::units::LengthUnit;
use diag::codes::{ifc, input};
use diag::words::counted;
use diag::{Code, SourceRef};
use geom::Length;
use lumber::Section;
use rustc_hash::{FxHashMap, FxHashSet};
use settings::{CurvedWalls, LayerRule, LayerUse, Settings};
use std::rc::Rc;

/// So near a sixteenth of an inch a length is told by it: 0.002 in.
const TAPE: Length = Length::from_nm(50_800);
/// From here on a sixteenth is near enough for any length: 3 ft.
const LONG: Length = Length::from_nm(914_400_000);

/// Coordinates beyond 100 000 km are damage.
pub const FARTHEST_IN: f64 = 1000.0 * REACH_IN;

/// Walls farther than 100 km from the middle one are no part of the building.
pub const REACH_IN: f64 = 100_000.0 / 0.0254;

/// Why a wall beyond either is left out.
pub fn too_far(name: &str) -> String {
    format!("\"{name}\" left out, over 100 000 km from zero or 100 km from the other walls")
}

/// What is needed to read walls.
pub struct Reader<'r, 'f, 'a> {
    /// Shapes of the file.
    pub shapes: &'r Shapes<'f, 'a>,
    /// Placements known so far.
    pub memo: &'r PlacementMemo,
    /// Who belongs to whom.
    pub relations: &'r Relations,
    /// The unit in force.
    pub unit: &'r LengthUnit,
    /// Settings in force.
    pub settings: &'r Settings,
}

/// A wall of the file that is a candidate for the model.
pub struct RawWall<'s> {
    /// Entity id.
    pub id: u64,
    /// Its source.
    pub source: SourceRef,
    /// Name of its type.
    pub type_name: String,
    /// Settings entry that matches it.
    pub rule: Option<&'s LayerRule>,
    /// Shape, or why there is none (already reported).
    pub shape: Option<WallShape>,
    /// Its layers.
    pub layers: Rc<Layers>,
    /// Entity of the layers.
    pub definition: Option<u64>,
    /// Where they lie.
    pub side: Option<Side>,
    /// Exterior, bearing.
    pub flags: WallFlags,
    /// Products it is made of, doors and windows aside.
    pub parts: Vec<u64>,
}

impl RawWall<'_> {
    /// Its type in a message.
    fn type_words(&self) -> String {
        match self.type_name.trim() {
            "" => "a type without a name".to_owned(),
            name => format!("type {name}"),
        }
    }
}

/// The framing of a wall: section, where its centre lies, and how both were found.
#[derive(Clone, Debug)]
pub struct Framing {
    /// The section.
    pub section: Section,
    /// Who says so.
    pub section_by: String,
    /// Number of the framing layer, where one was chosen.
    pub layer: Option<usize>,
}

impl<'a> Reader<'_, '_, 'a> {
    fn file(&self) -> &File<'a> {
        self.shapes.file
    }

    /// Every wall of the file, by entity id; walls that are settled here already (parts, ignored by
    /// settings) get their fate and are not returned.
    pub fn raw_walls<'s>(
        &'s self,
        inventory: &mut Inventory,
        report: &mut Report,
    ) -> Vec<RawWall<'s>> {
        let mut layers: FxHashMap<u64, Rc<Layers>> = FxHashMap::default();
        let walls: FxHashSet<u64> = self.file().ids(Kind::Wall).iter().copied().collect();
        let has_shape = |id: u64| self.file().find(id).is_some_and(|r| !r.param(6).is_empty());
        // A wall without a shape of its own that is made of walls is read as those walls.
        let mut made_of_walls: FxHashSet<u64> = FxHashSet::default();
        for id in self.file().ids(Kind::Wall) {
            if let Some(whole) = self.relations.whole_of(*id).filter(|w| walls.contains(w))
                && !has_shape(whole)
            {
                made_of_walls.insert(whole);
            }
        }
        let mut out = Vec::new();
        let proxies = self.file().all(Kind::Proxy).filter(|r| self.is_wall_by_settings(r));
        for r in self.file().all(Kind::Wall).chain(proxies) {
            if self.shapes.is_over() {
                break;
            }
            let whole = self.relations.whole_of(r.id).filter(|w| walls.contains(w));
            if whole.is_some_and(|w| !made_of_walls.contains(&w)) {
                inventory.ignore(r.id, "part of a wall");
                continue;
            }
            if made_of_walls.contains(&r.id) {
                inventory.ignore(r.id, "wall made of other walls");
                continue;
            }
            if let Some(wall) = self.raw_wall(&r, &mut layers, inventory, report) {
                out.push(wall);
            }
        }
        out
    }

    /// Whether a settings entry for walls, more than wildcards, names a proxy.
    pub fn is_wall_by_settings(&self, r: &Record<'a>) -> bool {
        let rules = &self.settings.layers;
        if !rules.iter().any(|rule| rule.usage == LayerUse::Wall) {
            return false;
        }
        let wall_type = self.relations.type_of.get(&r.id).copied();
        let name = self.file().name(r);
        let type_name = self.type_name(r, wall_type, &Layers::default(), &name);
        self.rule(r, &type_name, &name).is_some_and(|rule| {
            rule.usage == LayerUse::Wall && rule.pattern.contains(|c| c != '*' && c != '?')
        })
    }

    fn raw_wall<'s>(
        &'s self,
        r: &Record<'a>,
        cache: &mut FxHashMap<u64, Rc<Layers>>,
        inventory: &mut Inventory,
        report: &mut Report,
    ) -> Option<RawWall<'s>> {
        let wall_type = self.relations.type_of.get(&r.id).copied();
        let material = self.relations.material.get(&r.id);
        let of_type = wall_type.and_then(|t| self.relations.material.get(&t));
        let (definition, side) = match material.or(of_type) {
            Some(m) => {
                let (definition, side) = material::usage(self.file(), *m);
                (Some(definition), side)
            }
            None => (None, None),
        };
        let layers = match definition {
            Some(d) => {
                cache.entry(d).or_insert_with(|| Rc::new(material::read(self.file(), d))).clone()
            }
            None => Rc::new(Layers::default()),
        };
        let name = self.file().name(r);
        let type_name = self.type_name(r, wall_type, &layers, &name);
        let source = inventory.source(self.file(), r, &type_name);
        let rule = self.rule(r, &type_name, &name);
        if let Some(rule) = rule.filter(|rule| rule.usage != LayerUse::Wall) {
            let why = format!("settings: {} is {}", rule.pattern, rule.usage.name());
            inventory.ignore(r.id, why);
            return None;
        }
        let parts = self.parts(r.id);
        for part in &parts {
            inventory.ignore(*part, "part of a wall");
        }
        let flags = self.relations.wall_flags(self.file(), r.id);
        // A settings entry that names it (not by wildcards alone) has the last word.
        let wanted = rule.is_some_and(|rule| rule.pattern.contains(|c| c != '*' && c != '?'));
        if let Some(status) = flags.status.and_then(Status::words).filter(|_| !wanted) {
            report.add(ifc::WALL_NOT_NEW, "wall", format!("left out, {status}"), &source);
            inventory.ignore(r.id, format!("wall that is {status}"));
            return None;
        }
        let shape = match shape::wall_shape(self.shapes, self.memo, r, &parts, &self.scale()) {
            Ok(shape) => {
                if let Some(bow) = shape.bow {
                    let words = self.parts_words(bow, &shape.pieces);
                    report.add(ifc::WALL_IN_PARTS, "wall", words, &source);
                }
                if r.param(5).is_empty() {
                    let words = "no placement, so read as drawn from the zero of the model";
                    report.add(ifc::PLACEMENT_MISSING, "wall", words, &source);
                }
                Some(shape)
            }
            Err(trouble) => {
                let (code, what) = match trouble {
                    Trouble::Curved(bow) => {
                        let words =
                            bow.map_or("its body is curved".to_owned(), |b| self.bow_words(b));
                        (ifc::WALL_CURVED, format!("left out, {words}"))
                    }
                    Trouble::Far => (input::COORDINATE_BAD, too_far(&name)),
                    Trouble::Unreadable(why) => (ifc::WALL_SHAPE, format!("left out, {why}")),
                };
                report.add(code, "wall", what, &source);
                inventory.ignore(r.id, code.info().title);
                None
            }
        };
        let by_parts = shape
            .as_ref()
            .filter(|s| s.of_parts && layers.layers.is_empty())
            .and_then(|s| self.layers_of_parts(s, &parts));
        let (layers, definition, side) = match (by_parts, shape.as_ref().map(|s| &*s.pieces)) {
            (Some(found), Some([piece])) => {
                // From the right face of the line to the left one.
                let from = piece.band.map_or(0.0, |b| b.0);
                let side = Side { offset: from * piece.y_left, sense: piece.y_left };
                (Rc::new(found), Some(r.id), Some(side))
            }
            _ => (layers, definition, side),
        };
        Some(RawWall {
            id: r.id,
            source,
            type_name,
            rule,
            shape,
            layers,
            definition,
            side,
            flags,
            parts,
        })
    }

    /// The products a wall is made of. Doors and windows that hang on it are none of its parts, and
    /// walls are read by themselves.
    fn parts(&self, wall: u64) -> Vec<u64> {
        let mut parts = self.relations.parts_of(wall);
        let kinds = [Kind::Product, Kind::Proxy];
        parts.retain(|id| kinds.iter().any(|k| self.file().ids(*k).binary_search(id).is_ok()));
        parts
    }

    /// The layers of a wall drawn as parts that lie side by side, from its right face to its left; none
    /// where the parts are studs and plates or lie otherwise.
    fn layers_of_parts(&self, shape: &WallShape, parts: &[u64]) -> Option<Layers> {
        let [piece] = shape.pieces.as_slice() else { return None };
        let (low, high) = piece.band?;
        let length = (piece.end.0 - piece.start.0).hypot(piece.end.1 - piece.start.1);
        let mut rows: Vec<((f64, f64), String)> = Vec::new();
        for r in parts.iter().filter_map(|id| self.file().find(*id)) {
            let Ok(world) = self.shapes.world(self.memo, r.param(5)) else { continue };
            let body = shape::corners_of_body(self.shapes, &r, &world);
            let Some([along, across, _]) = shape::measure(piece, &body) else { continue };
            if along.1 - along.0 > 0.5 * length {
                rows.push((across, self.material_of_part(&r)));
            }
        }
        if rows.len() < 2 {
            return None;
        }
        rows.sort_by(|a, b| a.0.0.total_cmp(&b.0.0).then_with(|| a.1.cmp(&b.1)));
        let slack = 1e-3 * (high - low);
        let mut layers = Vec::new();
        let layer =
            |material: String, thickness| Layer { material, hint: String::new(), thickness };
        let mut at = low;
        for ((from, to), material) in rows {
            if from < at - slack || to - from <= slack {
                return None;
            }
            if from > at + slack {
                layers.push(layer(String::new(), from - at));
            }
            layers.push(layer(material, to - from));
            at = to;
        }
        ((high - at).abs() <= slack).then(|| Layers { layers, ..Layers::default() })
    }

    /// What a part is made of by name: its material, else the name of its type or its own.
    fn material_of_part(&self, part: &Record<'_>) -> String {
        let of_type = self.relations.type_of.get(&part.id).copied();
        let materials = &self.relations.material;
        let material = materials.get(&part.id).or_else(|| materials.get(&of_type?));
        let by_material = material.and_then(|m| {
            let l = material::read(self.file(), material::usage(self.file(), *m).0);
            l.loose.into_iter().chain(l.layers.into_iter().map(|l| l.material)).next()
        });
        let type_name = || of_type.and_then(|t| self.file().find(t)).map(|t| self.file().name(&t));
        let named = by_material.filter(|n| !n.is_empty()).or_else(type_name);
        named.filter(|n| !n.is_empty()).unwrap_or_else(|| self.file().name(part))
    }

    /// What shapes are judged by.
    fn scale(&self) -> Scale {
        let unit = self.unit.inches;
        let in_parts = self.settings.curved_walls == CurvedWalls::StraightParts;
        Scale {
            long: 24.0 / unit,
            farthest: FARTHEST_IN / unit,
            off_curve: in_parts.then(|| CurvedWalls::OFF.to_inches() / unit),
        }
    }

    /// What is said of a curved wall that is planned as straight parts.
    fn parts_words(&self, bow: Bow, parts: &[Piece]) -> String {
        let length = |p: &Piece| (p.end.0 - p.start.0).hypot(p.end.1 - p.start.1);
        let each = parts.first().map_or(0.0, length) * self.unit.inches;
        format!(
            "{}: planned as {} of {}",
            self.bow_words(bow),
            counted(parts.len(), "straight part"),
            self.text(each)
        )
    }

    /// How a curved wall runs: enough to lay it out by hand.
    fn bow_words(&self, bow: Bow) -> String {
        let text = |v: f64| self.text(v * self.unit.inches);
        let at = |p: (f64, f64)| format!("({}, {})", text(p.0), text(p.1));
        let radius = bow.arc.map_or_else(
            || "curved with changing radius".to_owned(),
            |a| format!("curved with radius {}", text(a.radius)),
        );
        format!(
            "{radius}, {} long, from {} to {}",
            text(bow.length),
            at(bow.ends.0),
            at(bow.ends.1)
        )
    }

    /// Says which proxies are named and shaped like walls and not taken for any.
    pub fn report_proxies(&self, report: &mut Report, inventory: &Inventory) {
        for r in self.file().all(Kind::Proxy).filter(|r| inventory.fate(r.id).is_none()) {
            let wall_type = self.relations.type_of.get(&r.id).copied();
            let name = self.file().name(&r);
            let type_name = self.type_name(&r, wall_type, &Layers::default(), &name);
            if !framing::is_wall_word(&name) && !framing::is_wall_word(&type_name) {
                continue;
            }
            if shape::wall_shape(self.shapes, self.memo, &r, &[], &self.scale()).is_ok() {
                let source = inventory.source(self.file(), &r, &type_name);
                let what = format!("named \"{type_name}\", and shaped like a wall; not read");
                report.add(ifc::PROXY_WALL, "element of no class", what, &source);
            }
        }
    }

    /// Name of the type entity, else of the layer set, else the object type, else the wall's name.
    fn type_name(
        &self,
        r: &Record<'_>,
        wall_type: Option<u64>,
        layers: &Layers,
        name: &str,
    ) -> String {
        let of_type = wall_type.and_then(|t| self.file().find(t)).map(|t| self.file().name(&t));
        let object_type = r.param(4).text().unwrap_or_default().trim().to_owned();
        let candidates = [of_type.unwrap_or_default(), layers.set_name.clone(), object_type];
        candidates.into_iter().find(|n| !n.is_empty()).unwrap_or_else(|| name.to_owned())
    }

    /// The first settings entry that matches the type's name, the wall's name or one of its
    /// presentation layers.
    fn rule(&self, r: &Record<'_>, type_name: &str, name: &str) -> Option<&LayerRule> {
        if self.settings.layers.is_empty() {
            return None;
        }
        let on: Vec<&str> = shape::representation_ids(self.shapes, r)
            .iter()
            .filter_map(|id| self.relations.presentation.get(id))
            .map(|n| &**n)
            .collect();
        let names = [type_name, name];
        let all = || names.iter().copied().chain(on.iter().copied());
        self.settings.layers.iter().find(|rule| all().any(|n| rule.matches(n)))
    }

    /// A length for a message: millimetres in a metric file, else feet and inches; thicknesses and the like that
    /// are no sixteenths, as decimal inches.
    pub fn text(&self, inches: f64) -> String {
        if self.unit.is_metric() {
            return format!("{:.0} mm", inches * 25.4);
        }
        let exact = Length::from_inches(inches).unwrap_or_default();
        let on_tape = exact.round_to(Length::SIXTEENTH);
        if exact.abs() < LONG && (exact - on_tape).abs() > TAPE {
            return format!("{:.3} in", exact.to_inches());
        }
        on_tape.feet_inches().to_string()
    }

    /// The wall's layers as the framing rules want them.
    pub fn candidates(&self, layers: &Layers) -> Vec<Candidate> {
        let each = layers.layers.iter().map(|l| Candidate {
            material: l.material.clone(),
            hint: l.hint.clone(),
            thickness: Length::from_inches(l.thickness * self.unit.inches).unwrap_or_default(),
        });
        each.collect()
    }

    /// Thickness of the whole wall in inches: its layers together, else its body.
    pub fn thickness_in(&self, wall: &RawWall<'_>) -> Option<f64> {
        let total = wall.layers.total();
        let band = wall.shape.as_ref().and_then(|s| s.pieces.first()).and_then(|p| p.band);
        let total = if total > 0.0 { Some(total) } else { band.map(|(a, b)| b - a) };
        total.map(|t| t * self.unit.inches)
    }

    /// Section and framing layer, or a code and words that say why the wall is left out.
    pub fn framing(
        &self,
        wall: &RawWall<'_>,
        choice: &Choice,
        notes: &mut Vec<(Code, String)>,
    ) -> Result<Framing, (Code, String)> {
        let metric = self.unit.is_metric();
        let wanted = wall.rule.and_then(|r| r.section);
        let layer_length =
            |n: usize| Length::from_inches(wall.layers.layers.get(n)?.thickness * self.unit.inches);
        // What a list of materials says where there are no layers, and no section of the settings.
        let loose = if wanted.is_none() && wall.layers.layers.is_empty() {
            framing::choose_loose(&wall.layers.loose, &self.settings.framing)
        } else {
            Loose::Silent
        };
        let layer = match choice {
            Choice::Layer { index, guessed, why } => {
                if *guessed {
                    notes.push((
                        ifc::LAYER_GUESSED,
                        format!(
                            "layer {} of {} taken as the framing, {why}",
                            index + 1,
                            wall.type_words()
                        ),
                    ));
                } else if wall.layers.layers.len() > 1 {
                    notes.push((ifc::FRAMING_LAYER, self.layer_words(wall, *index, why)));
                }
                Some(*index)
            }
            Choice::Tie(a, b) => {
                let what = format!(
                    "left out, layers {} and {} of {} could both be the framing",
                    a + 1,
                    b + 1,
                    wall.type_words()
                );
                return Err((ifc::LAYER_TIE, what));
            }
            Choice::NotWood(material) => {
                return Err((
                    ifc::NOT_WOOD,
                    format!("left out, {} is of {material}", wall.type_words()),
                ));
            }
            Choice::Unknown => {
                if let Loose::NotWood(material) = &loose {
                    return Err((
                        ifc::NOT_WOOD,
                        format!("left out, {} is of {material}", wall.type_words()),
                    ));
                }
                if wanted.is_none()
                    && wall.layers.layers.is_empty()
                    && !framing::names_wood(&wall.layers.loose)
                    && framing::not_wood_by_type(&wall.type_name)
                {
                    let what =
                        format!("left out, {} is not of wood by its name", wall.type_words());
                    return Err((ifc::NOT_WOOD, what));
                }
                None
            }
        };
        if wall.shape.is_none() {
            return Err((ifc::WALL_SHAPE, "its shape could not be read".to_owned()));
        }
        let answer = |section, section_by: &str| {
            Ok(Framing { section, section_by: section_by.to_owned(), layer })
        };
        if let Some(section) = wanted {
            return answer(section, "the settings");
        }
        if let Some(section) =
            layer.and_then(layer_length).and_then(|t| framing::section_of_layer(t, metric))
        {
            return answer(section, "the framing layer's thickness");
        }
        let thickness = self.thickness_in(wall);
        let whole = thickness.and_then(Length::from_inches);
        if let Loose::Sized(n, section) = loose {
            let name = wall.layers.loose.get(n).map_or("", String::as_str);
            let over = whole.map(|t| t - section.width());
            if let Some(over) = over.filter(|o| *o < -Length::sixty_fourths(3)) {
                let what = format!(
                    "left out, {} is {} thick, {} less than the {section} that its material {name} is named as",
                    wall.type_words(),
                    self.text(thickness.unwrap_or_default()),
                    self.text(-over.to_inches())
                );
                return Err((input::SECTION_UNKNOWN, what));
            }
            if let Some(over) = over.filter(|o| *o > Length::sixty_fourths(3)) {
                let what = format!(
                    "{}: planned as {section}, which its material {name} is named as; its materials are listed without thickness and place, so the plates lie in the middle of the wall as drawn, {} thick, and the studs may be up to {} to either side",
                    wall.type_words(),
                    self.text(thickness.unwrap_or_default()),
                    self.text(over.to_inches() / 2.0)
                );
                notes.push((ifc::FRAMING_PLACE, what));
            }
            return answer(section, "the name of a material");
        }
        if let Some(section) = whole.and_then(|t| framing::section_of_wall(t, metric)) {
            // A bare wall exactly as thick as a stud needs no word; everything else is an inference.
            // Where boards are listed beside the studs it may be thinner studs and boards.
            let bare = wall.layers.layers.is_empty()
                && wall.layers.loose.len() < 2
                && whole.is_some_and(|t| framing::section_of_layer(t, metric).is_some());
            if !bare && layer.is_none() {
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
                let bare = whole.is_some_and(|t| framing::section_of_layer(t, metric).is_some());
                let with = if bare { "alone" } else { "with its finishes" };
                notes.push((ifc::LAYER_GUESSED, format!("{}, {t} thick, taken as {section} {with}{boards}, in the middle of the wall{listed}", wall.type_words())));
            }
            return answer(section, "the wall's thickness with its finishes");
        }
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
            notes.push((
                input::SECTION_ASSUMED,
                format!(
                    "{}, {shown}, planned as {section} by default_section{wider}",
                    wall.type_words()
                ),
            ));
            return answer(section, "default_section");
        }
        if thickness.is_none() {
            notes.push((
                input::SECTION_ASSUMED,
                format!("{}, {shown}, planned as 2x4", wall.type_words()),
            ));
            return answer(Section::S2X4, "nothing: 2x4 assumed");
        }
        let layer = layer.and_then(|n| Some((n, layer_length(n)?)));
        let layer = layer.map_or_else(String::new, |(n, t)| {
            format!(
                " with {} of {} between its finishes",
                self.text(t.to_inches()),
                wall.layers.layers[n].material
            )
        });
        Err((
            input::SECTION_UNKNOWN,
            format!("left out, {} is {shown}{layer}, which is no stud size", wall.type_words()),
        ))
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

    /// Offset of the framing's middle from a piece's line, left positive, in the file's unit.
    pub fn framing_offset(
        &self,
        wall: &RawWall<'_>,
        piece: &Piece,
        framing: &Framing,
        notes: &mut Vec<(Code, String)>,
    ) -> f64 {
        let layers = &wall.layers;
        let total = layers.total();
        let middle_of_body = piece.band.map_or(0.0, |(a, b)| (a + b) / 2.0);
        if layers.layers.is_empty() {
            return middle_of_body;
        }
        let from_axis = wall.shape.as_ref().is_some_and(|s| s.from_axis);
        let slack = 0.0625 / self.unit.inches;
        let matches_body = piece.band.is_none_or(|(a, b)| (b - a - total).abs() <= slack);
        let sense = piece.y_left * wall.side.map_or(1.0, |s| s.sense);
        let face = |(low, high): (f64, f64)| if sense > 0.0 { low } else { high };
        let uneven = framing.layer.is_some_and(|n| !layers.is_central(n));
        let stated = wall.side.filter(|_| from_axis).map(|s| piece.y_left * s.offset);
        let start = match (stated, piece.band) {
            (Some(start), Some(band)) if matches_body && (start - face(band)).abs() > slack => {
                let off = (start - face(band)).abs() * self.unit.inches;
                notes.push((
                    ifc::LAYER_SIDE,
                    format!("the layers are stated {} beside the body", self.text(off)),
                ));
                face(band)
            }
            (Some(start), _) => start,
            (None, band) => {
                if uneven && wall.side.is_none() {
                    let what = format!(
                        "{} does not say from which face its layers are counted",
                        wall.type_words()
                    );
                    notes.push((ifc::LAYER_SIDE, what));
                }
                band.filter(|_| matches_body).map_or(middle_of_body - sense * total / 2.0, face)
            }
        };
        let (from, to) = framing.layer.map_or((0.0, total), |n| layers.span(n));
        start + sense * (from + to) / 2.0
    }

    /// Reports and ignores a wall that gets no plates.
    pub fn leave_out(
        &self,
        wall: &RawWall<'_>,
        code: Code,
        what: String,
        inventory: &mut Inventory,
        report: &mut Report,
    ) {
        report.add(code, "wall", what, &wall.source);
        inventory.decide(wall.id, Fate::Ignored(code.info().title.to_owned()));
    }
}
