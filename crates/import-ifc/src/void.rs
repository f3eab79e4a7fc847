//! What a void in a wall is to its framing.
//!
//! Knows: heights and widths of voids, how high two plates are, what goes between two studs. Never touches: shapes,
//! which wall a void is in.

use crate::classes::Kind;
use crate::cuts::Cut;
use crate::walls::Reader;
use wall_model::OpeningKind;

/// A sill lower than this above the wall's foot lets people through: 6 in (common practice, no
/// source).
const THRESHOLD_IN: f64 = 6.0;

/// A void against the wall it is cut from, in inches.
pub struct Void {
    /// Stations from where its wall's line begins.
    pub along: (f64, f64),
    /// Heights above the wall's foot.
    z: (f64, f64),
    /// Height of the planned top above the foot, the lowest at its jambs, where it is known.
    top: Option<f64>,
    /// What fits between two studs.
    bay: f64,
}

/// What a void is to the framing.
pub enum VoidKind {
    /// A door, window or passage.
    Opening(OpeningKind),
    /// It leaves nothing, up through both top plates.
    Broken,
    /// A beam pocket or the like: it cuts top plates and is no wider than the space between two studs.
    Pocket,
    /// A duct, pipe or box that goes between two studs.
    Small,
}

/// What an opening is by the element that fills it.
pub fn filled_with(filler: Option<Kind>) -> Option<OpeningKind> {
    match filler {
        Some(Kind::Door) => Some(OpeningKind::Door),
        Some(Kind::Window) => Some(OpeningKind::Window),
        _ => None,
    }
}

/// Two plates are this high together, and one half of it: 3 in (2x lumber; 76 mm of 38 mm).
const PLATES_IN: f64 = 3.0;

/// What reaches this little into a plate does not cut it: 1/4 in (common practice, no source).
pub const PLATE_SLACK_IN: f64 = 0.25;

impl Void {
    /// In a wall whose line begins and ends at the stations of `line` and whose foot is at this height: from where to
    /// where, over which stretches of which pieces, and between which heights. All in the file's unit.
    pub fn of(
        reader: &Reader<'_, '_, '_>,
        (line, foot): ((f64, f64), f64),
        along: (f64, f64),
        over: &[(&Cut, (f64, f64))],
        z: (f64, f64),
    ) -> Void {
        let inches = reader.unit.inches;
        let top = over.iter().map(|(cut, (from, to))| {
            let (a, b) = cut.tops?;
            let at = |s: f64| a + (b - a) * (s / cut.length()).clamp(0.0, 1.0);
            Some(at(*from).min(at(*to)))
        });
        let top = top.reduce(|a, b| Some(a?.min(b?))).flatten();
        Void {
            // Zero without a sign, so that like voids share a finding.
            along: ((along.0 - line.0) * inches + 0.0, (along.1 - line.0) * inches + 0.0),
            z: ((z.0 - foot) * inches, (z.1 - foot) * inches),
            top: top.map(|top| (top - foot) * inches),
            bay: (reader.settings.studs.spacing.to_inches() - 1.5).max(0.0),
        }
    }
    fn width(&self) -> f64 {
        self.along.1 - self.along.0
    }
    /// Whether it reaches this far under the top.
    fn reaches(&self, under_top: f64) -> bool {
        self.top.is_some_and(|top| self.z.1 > top - under_top + PLATE_SLACK_IN)
    }
    pub fn kind(&self, filler: Option<Kind>) -> VoidKind {
        let low = self.z.0 <= THRESHOLD_IN;
        if low && self.reaches(PLATES_IN / 2.0) {
            return VoidKind::Broken;
        }
        if let Some(kind) = filled_with(filler) {
            return VoidKind::Opening(kind);
        }
        if self.width() <= self.bay {
            if !low && self.reaches(PLATES_IN) {
                return VoidKind::Pocket;
            }
            if self.z.1 - self.z.0.max(0.0) <= self.bay {
                return VoidKind::Small;
            }
        }
        VoidKind::Opening(if low { OpeningKind::Opening } else { OpeningKind::Window })
    }
    /// Which top plates it cuts, in words.
    pub fn plates(&self, reader: &Reader<'_, '_, '_>) -> Option<String> {
        let which = match (self.reaches(PLATES_IN), self.reaches(PLATES_IN / 2.0)) {
            (false, _) => return None,
            (true, false) => "lower top plate",
            (true, true) => "lower and upper top plates",
        };
        Some(format!(
            "a void from {} to {} along it reaches {} above its foot and cuts the {which}, which are planned through",
            reader.text(self.along.0),
            reader.text(self.along.1),
            reader.text(self.z.1)
        ))
    }
}
