//! What a layer (DXF) or a wall type (IFC) is used for, by pattern.

use geom::Length;
use lumber::Section;

/// What the entities of a layer are taken for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LayerUse {
    /// Walls.
    Wall,
    /// Doors: openings down to the floor.
    Door,
    /// Windows: openings above the floor.
    Window,
    /// Openings of either kind, or without a leaf.
    Opening,
    /// Nothing.
    Ignore,
}

impl LayerUse {
    /// The word used in settings: `wall`, `door`, `window`, `opening`, `ignore`.
    pub const fn name(self) -> &'static str {
        match self {
            LayerUse::Wall => "wall",
            LayerUse::Door => "door",
            LayerUse::Window => "window",
            LayerUse::Opening => "opening",
            LayerUse::Ignore => "ignore",
        }
    }
}

/// Which way a roof rises over the walls of a layer, as drawn, before mirroring.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Uphill {
    /// Towards greater x.
    East,
    /// Towards lesser x.
    West,
    /// Towards greater y.
    North,
    /// Towards lesser y.
    South,
    /// From both ends along x to a ridge half-way.
    InwardX,
    /// From both ends along y to a ridge half-way.
    InwardY,
}

impl Uphill {
    /// All of them.
    pub const ALL: [Uphill; 6] = [
        Uphill::East,
        Uphill::West,
        Uphill::North,
        Uphill::South,
        Uphill::InwardX,
        Uphill::InwardY,
    ];
    /// The word used in settings: `east`, `west`, `north`, `south`, `inward-x`, `inward-y`.
    pub const fn name(self) -> &'static str {
        match self {
            Uphill::East => "east",
            Uphill::West => "west",
            Uphill::North => "north",
            Uphill::South => "south",
            Uphill::InwardX => "inward-x",
            Uphill::InwardY => "inward-y",
        }
    }
}

/// A plane, or two that meet at a ridge, that the tops of a layer's walls follow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Roof {
    /// Rise in inches for each 12 in level.
    pub rise_in_12: f64,
    /// Which way.
    pub uphill: Uphill,
}

/// One `[[layers]]` entry. `None` leaves the question to the next source of the answer.
#[derive(Clone, Debug, PartialEq)]
pub struct LayerRule {
    /// Glob over the layer name (`*` any run, `?` one character), case-insensitive. For IFC it is
    /// tried on the wall's type name, its name and its presentation layer.
    pub pattern: String,
    /// What the layer holds.
    pub usage: LayerUse,
    /// Exterior walls?
    pub exterior: Option<bool>,
    /// Bearing walls?
    pub bearing: Option<bool>,
    /// Section of the plates.
    pub section: Option<Section>,
    /// Top of the upper plate above the storey; under a roof, where the layer's walls are lowest.
    pub top: Option<Length>,
    /// The roof its walls run up to; `None` for level tops.
    pub roof: Option<Roof>,
}

impl LayerRule {
    /// Whether the pattern takes this name.
    pub fn matches(&self, name: &str) -> bool {
        glob_match(&self.pattern, name)
    }
}

/// Glob match over whole names: `*` any run, `?` any one character, everything else itself,
/// case-insensitive. Linear in practice, never exponential: only the last `*` is retried.
pub fn glob_match(pattern: &str, name: &str) -> bool {
    let p: Vec<char> = pattern.chars().flat_map(char::to_lowercase).collect();
    let n: Vec<char> = name.chars().flat_map(char::to_lowercase).collect();
    let (mut i, mut j) = (0, 0);
    let mut star: Option<(usize, usize)> = None;
    while j < n.len() {
        match p.get(i) {
            Some('*') => {
                star = Some((i, j));
                i += 1;
            }
            Some('?') => (i, j) = (i + 1, j + 1),
            Some(c) if *c == n[j] => (i, j) = (i + 1, j + 1),
            _ => match &mut star {
                Some((si, sj)) => {
                    *sj += 1;
                    (i, j) = (*si + 1, *sj);
                }
                None => return false,
            },
        }
    }
    p[i..].iter().all(|c| *c == '*')
}

#[cfg(test)]
mod tests {
    use super::glob_match;

    #[test]
    fn globs() {
        assert!(glob_match("A-WALL-EXTR*", "a-wall-extr-2x6"));
        assert!(glob_match("*wall*", "x$0$A-WALL"));
        assert!(glob_match("WALL?", "Walls"));
        assert!(glob_match("*", ""));
        assert!(!glob_match("A-WALL", "A-WALL-EXTR"));
        assert!(!glob_match("?", ""));
        assert!(glob_match("a*b*c", "axxbyyc"));
        assert!(!glob_match("a*b*c", "axxbyy"));
    }
}
