//! From the walls of the file to walls of the model: type, rule, layers, framing, section, heights.

mod parts;
mod section;

use crate::bow::Bow;
use crate::classes::Kind;
use crate::file::File;
use crate::geometry::Shapes;
use crate::geometry::placement::PlacementMemo;
use crate::inventory::{Fate, Inventory};
use crate::material::{self, Layers, Side};
use crate::relations::{Relations, Status, WallFlags};
use crate::report::Report;
use crate::shape::{self, Piece, Scale, Trouble, WallShape};
use crate::step::Record;
use crate::units::LengthUnit;
use crate::words;
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
    pub fn type_words(&self) -> String {
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
    /// Number of a second row's layer, of a wall with two rows of studs.
    pub second: Option<usize>,
}

impl Framing {
    /// The layer of each row of studs.
    pub fn rows(&self) -> impl Iterator<Item = Option<usize>> + use<> {
        std::iter::once(self.layer).chain(self.second.map(Some))
    }
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
            if !words::is_wall_word(&name) && !words::is_wall_word(&type_name) {
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

    /// The same to a quarter inch, so that like walls share a finding.
    pub fn text_near(&self, inches: f64) -> String {
        self.text((inches * 4.0).round() / 4.0 + 0.0)
    }

    /// Thickness of the whole wall in inches: its layers together, else its body.
    pub fn thickness_in(&self, wall: &RawWall<'_>) -> Option<f64> {
        let total = wall.layers.total();
        let band = wall.shape.as_ref().and_then(|s| s.pieces.first()).and_then(|p| p.band);
        let total = if total > 0.0 { Some(total) } else { band.map(|(a, b)| b - a) };
        total.map(|t| t * self.unit.inches)
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
