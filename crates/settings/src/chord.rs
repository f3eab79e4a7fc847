//! The chord force that a plan's splices are compared with, if the user gives one.

/// A species group of the NDS by the specific gravity of its wood.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Species {
    /// Specific gravity 0.55.
    SouthernPine,
    /// Specific gravity 0.50.
    DouglasFirLarch,
    /// Specific gravity 0.43.
    HemFir,
    /// Specific gravity 0.42.
    SprucePineFir,
}

impl Species {
    /// The word used in settings: `southern-pine`, `douglas-fir-larch`, `hem-fir`, `spruce-pine-fir`.
    pub const fn name(self) -> &'static str {
        match self {
            Species::SouthernPine => "southern-pine",
            Species::DouglasFirLarch => "douglas-fir-larch",
            Species::HemFir => "hem-fir",
            Species::SprucePineFir => "spruce-pine-fir",
        }
    }
}

/// How the force is given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ChordForce {
    /// As worked out by whoever designs the diaphragm, pounds.
    Pounds(f64),
    /// A simply supported diaphragm under an even load.
    Diaphragm {
        /// Pounds per foot of span.
        load_plf: f64,
        /// Between the walls that hold it, feet.
        span_ft: f64,
        /// From chord to chord, feet.
        depth_ft: f64,
    },
}

/// What a splice of the top plates is compared with.
#[derive(Clone, Debug, PartialEq)]
pub struct ChordSettings {
    /// The force.
    pub force: ChordForce,
    /// The plates' wood. Default spruce-pine-fir, the weakest of the four.
    pub species: Species,
    /// Load duration factor (NDS 2.3.2): 1.6 for wind and earthquake, the default.
    pub duration: f64,
    /// The nail by name and size, such as `16d box (3-1/2 x 0.135)`; `None` takes the plan's own.
    pub nail: Option<String>,
}
