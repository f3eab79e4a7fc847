//! The form of the tables for the saw and the yard.

/// Which unit the lengths of `cuts.csv` and `cuts-grouped.csv` are in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum FeedUnit {
    /// `length_in` and `length_mm`; notches in inches.
    #[default]
    Both,
    /// `length_in` alone; notches in inches.
    Inches,
    /// `length_mm` alone; notches in millimetres.
    Millimetres,
}

impl FeedUnit {
    /// The word used in settings: `both`, `in`, `mm`.
    pub const fn name(self) -> &'static str {
        match self {
            FeedUnit::Both => "both",
            FeedUnit::Inches => "in",
            FeedUnit::Millimetres => "mm",
        }
    }
}

/// What stands between the whole and the part of a number, in every CSV file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DecimalSign {
    /// `94.5`; commas part the columns.
    #[default]
    Point,
    /// `94,5`; semicolons part the columns, as spreadsheets have it where the comma is the decimal sign.
    Comma,
}

impl DecimalSign {
    /// The word used in settings: `point`, `comma`.
    pub const fn name(self) -> &'static str {
        match self {
            DecimalSign::Point => "point",
            DecimalSign::Comma => "comma",
        }
    }
}

/// The form of the tables; no number of the plan depends on it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct FeedSettings {
    /// Unit of lengths.
    pub unit: FeedUnit,
    /// Decimal sign.
    pub decimal: DecimalSign,
}
