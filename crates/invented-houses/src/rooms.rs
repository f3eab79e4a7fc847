//! Houses as people build them: a ring of outer walls, rooms within, now and then a court, a garage, a gable.

use crate::house::{House, Wall};
use arbitrary::{Result, Unstructured};
use lumber::Section;
use settings::Settings;
use std::f64::consts::TAU;
use wall_model::OpeningKind;

/// From and to, in inches.
type Line = ((f64, f64), (f64, f64));

impl House {
    /// Rooms within a ring of outer walls, under the usual settings, somehow turned on the sheet.
    ///
    /// # Errors
    /// When the bytes come to an end.
    pub fn of_rooms(u: &mut Unstructured) -> Result<House> {
        let [wide, deep] = [inches(u, 240, 720)?, inches(u, 240, 480)?];
        let outer = if u.ratio(2, 3)? { Section::S2X6 } else { Section::S2X4 };
        let mut walls = Vec::new();
        for line in ring((0.0, 0.0), (wide, deep)) {
            walls.push(wall(u, line, outer, Some(true))?);
        }
        divide(u, (0.0, 0.0), (wide, deep), 3, &mut walls)?;
        if u.ratio(1, 3)? {
            // A garage in one plane with the front, of another height or width.
            let (section, top) =
                (*u.choose(&[Section::S2X4, outer])?, *u.choose(&[97.125, 109.125])?);
            let [long, back] = [inches(u, 200, 300)?, inches(u, 120, 239)?];
            let corners = [(wide, 0.0), (wide + long, 0.0), (wide + long, back), (wide, back)];
            for line in corners.windows(2) {
                let mut wall = wall(u, (line[0], line[1]), section, None)?;
                wall.top = top;
                walls.push(wall);
            }
        }
        if u.ratio(1, 4)? {
            // Far enough from the house to be one of its own, or a court within a room.
            let at = if u.arbitrary()? {
                (wide / 2.0 - 30.0, deep / 2.0 - 30.0)
            } else {
                (wide + 400.0, 0.0)
            };
            for line in ring(at, (at.0 + 60.0, at.1 + 60.0)) {
                walls.push(wall(u, line, Section::S2X4, None)?);
            }
        }
        if u.ratio(1, 4)? {
            // Two opposite walls rise to one side, the wall there with them.
            let rise = deep * *u.choose(&[2.0, 4.0, 6.0])? / 12.0;
            for wall in &mut walls[..4] {
                match (wall.from.1 == 0.0, wall.to.1 == 0.0) {
                    (true, false) => wall.rise = rise,
                    (false, true) => (wall.top, wall.rise) = (wall.top + rise, -rise),
                    (false, false) => wall.top += rise,
                    (true, true) => {}
                }
            }
        }
        let turn = *u.choose(&[0.0, 0.0, 0.0, 0.25, 0.125, 0.02])? * TAU / 2.0;
        let (sin, cos) = f64::sin_cos(turn);
        for wall in &mut walls {
            for p in [&mut wall.from, &mut wall.to] {
                *p = (p.0 * cos - p.1 * sin, p.0 * sin + p.1 * cos);
            }
        }
        Ok(House { settings: Settings::default(), walls })
    }
}

/// Whole quarters of an inch.
fn inches(u: &mut Unstructured, least: u16, most: u16) -> Result<f64> {
    Ok(f64::from(u.int_in_range(least * 4..=most * 4)?) / 4.0)
}

fn ring(low: (f64, f64), high: (f64, f64)) -> [Line; 4] {
    let corners = [low, (high.0, low.1), high, (low.0, high.1)];
    std::array::from_fn(|i| (corners[i], corners[(i + 1) % 4]))
}

/// A wall with doors or windows where there is room for them.
fn wall(
    u: &mut Unstructured,
    line: Line,
    section: Section,
    exterior: Option<bool>,
) -> Result<Wall> {
    let (from, to) = line;
    let length = (to.0 - from.0).hypot(to.1 - from.1);
    let mut openings = Vec::new();
    let mut at = 12.0;
    while u.ratio(1, 2)? {
        let begin = at + inches(u, 0, 120)?;
        let end = begin + *u.choose(&[24.0, 30.0, 36.0, 38.5, 72.0, 192.0])?;
        if end + 12.0 > length {
            break;
        }
        let kind = *u.choose(&[OpeningKind::Door, OpeningKind::Window, OpeningKind::Opening])?;
        openings.push((kind, begin, end));
        at = end + 9.0;
    }
    Ok(Wall { storey: 0, from, to, section, base: 0.0, top: 97.125, rise: 0.0, exterior, openings })
}

/// Partitions across a room, each of both parts divided on.
fn divide(
    u: &mut Unstructured,
    low: (f64, f64),
    high: (f64, f64),
    times: u8,
    walls: &mut Vec<Wall>,
) -> Result<()> {
    let (wide, deep) = (high.0 - low.0, high.1 - low.1);
    if times == 0 || wide.max(deep) < 96.0 || u.ratio(1, 6)? {
        return Ok(());
    }
    let share = f64::from(u.int_in_range(16..=48_u8)?) / 64.0;
    let quarters = |v: f64| (v * 4.0).round() / 4.0;
    // The two corners of both parts that lie on the partition.
    let (end_of_one, start_of_other) = if wide > deep {
        let x = quarters(low.0 + wide * share);
        ((x, high.1), (x, low.1))
    } else {
        let y = quarters(low.1 + deep * share);
        ((high.0, y), (low.0, y))
    };
    let section = *u.choose(&[Section::S2X4, Section::S2X4, Section::S2X4, Section::S2X6])?;
    walls.push(wall(u, (start_of_other, end_of_one), section, None)?);
    divide(u, low, end_of_one, times - 1, walls)?;
    divide(u, start_of_other, high, times - 1, walls)
}
