//! Invented houses of any bytes.
//!
//! Random coordinates would hardly ever meet. A wall starts on a grid, at the end of an earlier wall or
//! somewhere along one, runs mostly along one of eight directions, and now and then is nudged by some
//! sixty-fourths: what drawings hold.

use arbitrary::{Arbitrary, Result, Unstructured};
use diag::{Ledger, SourceRef};
use geom::Length;
use lumber::Section;
use settings::parse::{from_toml, to_toml};
use settings::{ExteriorTee, Settings};
use std::f64::consts::TAU;
use std::fmt;
use wall_model::{Draft, DraftOpening, DraftStorey, DraftWall, Format, OpeningKind, UnitsDecision};

/// More walls make no new meetings, only slower runs.
const MOST_WALLS: usize = 16;
/// Between lines of the grid, inches: no multiple of boards or stud spacings.
const GRID_IN: f64 = 61.0;

/// Walls, and the settings to plan them under.
#[derive(Clone)]
pub struct House {
    /// Such as a settings file can give.
    pub settings: Settings,
    pub(crate) walls: Vec<Wall>,
}

#[derive(Clone, PartialEq)]
pub(crate) struct Wall {
    pub storey: usize,
    pub from: (f64, f64),
    pub to: (f64, f64),
    pub section: Section,
    pub base: f64,
    pub top: f64,
    pub rise: f64,
    pub exterior: Option<bool>,
    pub openings: Vec<(OpeningKind, f64, f64)>,
}

impl<'a> Arbitrary<'a> for House {
    fn arbitrary(u: &mut Unstructured<'a>) -> Result<House> {
        let settings = settings(u)?;
        let mut walls: Vec<Wall> = Vec::new();
        while !u.is_empty() && walls.len() < MOST_WALLS {
            let wall = wall(u, &walls)?;
            // Twins that differ in nothing but their name have no order of their own.
            if !walls.contains(&wall) {
                walls.push(wall);
            }
        }
        if walls.is_empty() {
            Err(arbitrary::Error::NotEnoughData)
        } else {
            Ok(House { settings, walls })
        }
    }
}

/// A wall from about one place, or through it: on directions of 45 degrees or a little or anyhow off them, of any width, on
/// one of three heights or raked.
fn wall_at_one_place(u: &mut Unstructured) -> Result<Wall> {
    let place = 300.0;
    let turn = f64::from(u.int_in_range(0..=7_u8)?) * TAU / 8.0;
    let off = match u.arbitrary::<u8>()? {
        0..128 => 0.0,
        128..176 => f64::from(u.arbitrary::<i8>()?) / 127.0 * 0.05,
        176..216 => f64::from(u.arbitrary::<i8>()?) / 127.0 * 0.005,
        _ => f64::from(u.arbitrary::<i8>()?) / 127.0 * TAU / 16.0,
    };
    let (dy, dx) = (turn + off).sin_cos();
    let nudge = match u.arbitrary::<u8>()? {
        0..144 => (0.0, 0.0),
        144..208 => {
            (f64::from(u.arbitrary::<i8>()?) / 64.0, f64::from(u.arbitrary::<i8>()?) / 64.0)
        }
        _ => (f64::from(u.arbitrary::<i8>()?) / 32.0, f64::from(u.arbitrary::<i8>()?) / 32.0),
    };
    let from = (place + nudge.0, place + nudge.1);
    let length = f64::from(u.int_in_range(60..=240_u16)?);
    let to = (from.0 + dx * length, from.1 + dy * length);
    let back = if u.ratio(1, 6)? { f64::from(u.int_in_range(20..=120_u8)?) } else { 0.0 };
    let from = (from.0 - dx * back, from.1 - dy * back);
    let sections: Vec<Section> = Section::all().collect();
    let section = match u.int_in_range(0..=7_u8)? {
        0..3 => Section::S2X4,
        3..6 => Section::S2X6,
        _ => *u.choose(&sections)?,
    };
    let pitch = if u.ratio(1, 8)? { *u.choose(&[1.0, 3.0, 6.0, 12.0, -3.0, -12.0])? } else { 0.0 };
    Ok(Wall {
        storey: 0,
        from,
        to,
        section,
        base: 0.0,
        top: *u.choose(&[97.125, 97.125, 97.125, 109.125, 121.125])?,
        rise: (to.0 - from.0).hypot(to.1 - from.1) * pitch / 12.0,
        exterior: None,
        openings: Vec::new(),
    })
}

fn wall(u: &mut Unstructured, earlier: &[Wall]) -> Result<Wall> {
    let along = |w: &Wall, share: f64| {
        let between = |a: f64, b: f64| sixteenth(a + (b - a) * share);
        (between(w.from.0, w.to.0), between(w.from.1, w.to.1))
    };
    let mut from = match (u.int_in_range(0..=3)?, earlier.len()) {
        (2, 1..) => {
            let w = u.choose(earlier)?;
            if u.arbitrary()? { w.from } else { w.to }
        }
        (3, 1..) => along(u.choose(earlier)?, f64::from(u.arbitrary::<u8>()?) / 255.0),
        _ => {
            let mut line = || Ok(f64::from(u.int_in_range(0..=8_u8)?) * GRID_IN);
            (line()?, line()?)
        }
    };
    let nudge: u8 = u.arbitrary()?;
    if nudge >= 208 {
        from.0 += f64::from(u.arbitrary::<i8>()?) / 64.0;
        from.1 += f64::from(u.arbitrary::<i8>()?) / 16.0;
    }
    let turn: u8 = u.arbitrary()?;
    let length: u8 = u.arbitrary()?;
    // Most on the grid, some as short as an inch.
    let length = match length {
        0..192 => f64::from(length % 6 + 1) * GRID_IN,
        _ => f64::from(u.int_in_range(16..=4000_u16)?) / 16.0,
    };
    let (dx, dy) = match turn {
        0..224 => [(1.0, 0.0), (0.0, 1.0), (1.0, 1.0), (1.0, -1.0)][usize::from(turn % 8 / 2)],
        _ => (f64::from(u.arbitrary::<u16>()?) / 65536.0 * TAU).sin_cos(),
    };
    let back = if turn & 1 == 1 { -1.0 } else { 1.0 };
    let to = (from.0 + dx * length * back, from.1 + dy * length * back);
    let look: u8 = u.arbitrary()?;
    let sections: Vec<Section> = Section::all().collect();
    let section = match look % 8 {
        0..4 => Section::S2X4,
        4..6 => Section::S2X6,
        _ => *u.choose(&sections)?,
    };
    let top = match look / 8 % 8 {
        0..5 => 97.125,
        5 | 6 => 121.125,
        _ => f64::from(u.int_in_range(13..=480_u16)?),
    };
    let pitch = match look / 64 {
        3 => *u.choose(&[0.25, 1.0, 3.0, 6.0, 12.0, 21.7, -3.0, -12.0])?,
        _ => 0.0,
    };
    let more: u8 = u.arbitrary()?;
    let mut openings = Vec::new();
    for _ in 0..more % 4 {
        let (at, wide): (u8, u8) = u.arbitrary()?;
        let kinds = [OpeningKind::Door, OpeningKind::Window, OpeningKind::Opening];
        let at = f64::from(at) * 1.5 - 4.0;
        openings.push((kinds[usize::from(wide % 3)], at, at + f64::from(wide) / 2.0));
    }
    Ok(Wall {
        storey: usize::from(more >= 240),
        from,
        to,
        section,
        base: if more / 16 == 7 { f64::from(u.int_in_range(0..=12_u8)?) } else { 0.0 },
        top,
        rise: (to.0 - from.0).hypot(to.1 - from.1) * pitch / 12.0,
        exterior: [None, Some(true), Some(false), None][usize::from(more / 4 % 4)],
        openings,
    })
}

fn sixteenth(inches: f64) -> f64 {
    (inches * 16.0).round() / 16.0
}

/// The usual settings half the time, else any that a settings file can give.
fn settings(u: &mut Unstructured) -> Result<Settings> {
    let mut s = Settings::default();
    if u.arbitrary()? {
        return Ok(s);
    }
    let mut length = |least: i64, most: i64| Ok(Length::sixteenths(u.int_in_range(least..=most)?));
    s.plates.joint_offset = Some(length(5 * 16, 192 * 16)?).filter(|l| *l >= Length::inches(6));
    s.plates.upper_clearance = length(0, 16)?;
    s.plates.notch_depth = length(8, 180)?;
    s.plates.notch_side_clearance = length(0, 16)?;
    s.plates.short_piece = length(0, 96 * 16)?;
    s.studs.spacing = length(8 * 16, 48 * 16)?;
    s.stock.kerf = length(0, 16)?;
    s.stock.end_trim = length(0, 24 * 16)?;
    s.graph.snap = length(1, 20)?;
    s.plates.exterior_tee =
        *u.choose(&[ExteriorTee::Notch, ExteriorTee::Lap, ExteriorTee::Strap])?;
    s.plates.bottom_stops_at_doors = u.arbitrary()?;
    s.plates.on_concrete = u.arbitrary()?;
    let names: Vec<&str> = rule_sets::names().collect();
    s.rules = (*u.choose(&names)?).to_owned();
    for section in Section::all() {
        if u.ratio(1, 4)? {
            let mut feet = Vec::new();
            for _ in 0..u.int_in_range(1..=4)? {
                // Settings allow no shorter boards than 4 ft; bytes kept from before they said so still make a house.
                feet.push(u.int_in_range(1..=40)?.max(4));
            }
            feet.sort_unstable();
            feet.dedup();
            s.stock.lengths_ft.insert(section.name().to_owned(), feet);
        }
    }
    // Whatever a settings file would not be allowed to say is no case.
    from_toml(&to_toml(&s), "settings").map_err(|_| arbitrary::Error::IncorrectFormat)
}

impl House {
    /// Three or four walls at about one place.
    ///
    /// # Errors
    /// When the bytes come to an end.
    pub fn at_one_place(u: &mut Unstructured) -> Result<House> {
        let mut walls: Vec<Wall> = Vec::new();
        for _ in 0..u.int_in_range(3..=4_u8)? {
            let wall = wall_at_one_place(u)?;
            if !walls.contains(&wall) {
                walls.push(wall);
            }
        }
        Ok(House { settings: Settings::default(), walls })
    }
    /// The house with something less: its settings, a wall, an opening, a height.
    pub fn smaller(&self) -> impl Iterator<Item = House> {
        let usual = Settings::default();
        let settings = (self.settings != usual)
            .then(|| House { settings: Settings::default(), walls: self.walls.clone() });
        let edits = (0..self.walls.len()).flat_map(|i| (0..6).map(move |what| (i, what)));
        let less = move |(i, what): (usize, u8)| {
            let mut less = self.clone();
            let wall = less.walls.get_mut(i)?;
            match what {
                0 => drop(less.walls.remove(i)),
                1 => drop(wall.openings.pop()),
                2 => (wall.top, wall.rise) = (97.125, 0.0),
                3 => (wall.base, wall.storey) = (0.0, 0),
                4 => wall.section = Section::S2X4,
                _ => wall.exterior = None,
            }
            (less.walls != self.walls).then_some(less)
        };
        settings.into_iter().chain(edits.filter_map(less))
    }
    /// As an importer would hand it over; `backwards`: its walls in the other order.
    pub fn draft(&self, backwards: bool) -> Draft {
        let mut walls: Vec<DraftWall> =
            self.walls.iter().enumerate().map(|(i, wall)| wall.draft(i)).collect();
        if backwards {
            walls.reverse();
        }
        let storey = |k: u8| DraftStorey {
            name: format!("Storey {}", k + 1),
            elevation_in: f64::from(k) * 108.0,
        };
        drawn(vec![storey(0), storey(1)], walls)
    }
}

/// Walls as an importer hands them over from a drawing in inches, nothing of it left out.
pub fn drawn(storeys: Vec<DraftStorey>, walls: Vec<DraftWall>) -> Draft {
    let mut ledger = Ledger::default();
    walls.iter().for_each(|_| ledger.use_one());
    Draft {
        format: Format::Dxf,
        version: String::new(),
        written_by: String::new(),
        units: UnitsDecision { name: "in".into(), inches_per_unit: 1.0, decided_by: String::new() },
        storeys,
        walls,
        ledger,
    }
}

impl Wall {
    fn draft(&self, number: usize) -> DraftWall {
        let opening = |&(kind, from_in, to_in): &(OpeningKind, f64, f64)| DraftOpening {
            kind,
            from_in,
            to_in,
            source: Vec::new(),
        };
        DraftWall {
            storey: self.storey,
            start_in: self.from,
            end_in: self.to,
            drawn_thickness_in: self.section.width().to_inches(),
            section: self.section,
            base_in: self.base,
            top_in: self.top,
            rise_in: self.rise,
            roof: None,
            exterior: self.exterior,
            bearing: None,
            openings: self.openings.iter().map(opening).collect(),
            source: vec![SourceRef { entity: format!("{number:X}"), layer: "A-WALL".into() }],
        }
    }
}

/// The case for a person, to be made a test of.
impl fmt::Display for House {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "{}", to_toml(&self.settings))?;
        for w in &self.walls {
            let Wall { storey, from, to, section, base, top, rise, exterior, openings } = w;
            write!(f, "w({:?}, {:?}, {:?}, {:?}, \"{section}\")", from.0, from.1, to.0, to.1)?;
            write!(f, " storey {storey} base {base:?} top {top:?} rise {rise:?}")?;
            writeln!(f, " exterior {exterior:?} openings {openings:?}")?;
        }
        Ok(())
    }
}

impl fmt::Debug for House {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}
