//! The boards plates are cut from.

use geom::Length;
use lumber::Section;
use std::collections::BTreeMap;

/// Settings of the boards plates are cut from.
#[derive(Clone, Debug, PartialEq)]
pub struct StockSettings {
    /// Lengths to be had for each section, whole feet, ascending. Sections not named here get
    /// [`StockSettings::DEFAULT_FT`].
    pub lengths_ft: BTreeMap<String, Vec<u32>>,
    /// What a board costs, in hundredths, by lumber name ([`lumber_name`]) and length in feet. A list
    /// here has every length that can be bought; lumber without a list is chosen by length.
    pub prices: BTreeMap<String, BTreeMap<u32, u32>>,
    /// What a saw cut eats. Default 1/8 in.
    pub kerf: Length,
    /// What is cut off each board's end before the first piece. Default 0.
    pub end_trim: Length,
    /// Boards there are already, one entry each; cut before any is bought. Not part of the settings
    /// file: they come from a list of their own ([`crate::on_hand`]).
    pub on_hand: Vec<OnHandBoard>,
}

/// A board there is already: a whole one, or what was left over.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct OnHandBoard {
    /// Section.
    pub section: Section,
    /// Treated lumber.
    pub treated: bool,
    /// Length.
    pub length: Length,
    /// What the yard calls it; may be empty.
    pub label: String,
}

/// `2x6`, `2x6 treated`.
pub fn lumber_name(section: Section, treated: bool) -> String {
    if treated { format!("{} treated", section.name()) } else { section.name().to_owned() }
}

impl StockSettings {
    /// 8 to 16 ft by 2 (stocked everywhere, FACTS section 5).
    pub const DEFAULT_FT: [u32; 5] = [8, 10, 12, 14, 16];

    /// The stock lengths of a section in feet, ascending, never empty.
    pub fn lengths_for(&self, section: Section) -> Vec<u32> {
        match self.lengths_ft.get(section.name()) {
            Some(v) if !v.is_empty() => v.clone(),
            _ => StockSettings::DEFAULT_FT.to_vec(),
        }
    }
    /// The prices of a lumber, in hundredths by feet, where there is a list.
    pub fn prices_for(&self, section: Section, treated: bool) -> Option<&BTreeMap<u32, u32>> {
        self.prices.get(&lumber_name(section, treated))
    }
    /// What can be bought: feet and cost, ascending by feet. The cost is the price in hundredths, or the
    /// feet where there is no list.
    pub fn costs_for(&self, section: Section, treated: bool) -> Vec<(u32, u32)> {
        let prices = self.prices_for(section, treated);
        let cost = |ft: u32| prices.map_or(Some(ft), |p| p.get(&ft).copied());
        self.lengths_for(section).into_iter().filter_map(|ft| Some((ft, cost(ft)?))).collect()
    }
    /// The longest piece that can be cut of a section: longest board less its end trim.
    pub fn longest_piece(&self, section: Section) -> Length {
        let ft = self.lengths_for(section).into_iter().max().unwrap_or(16);
        Length::feet(i64::from(ft)) - self.end_trim
    }
}

impl Default for StockSettings {
    fn default() -> Self {
        StockSettings {
            lengths_ft: BTreeMap::new(),
            prices: BTreeMap::new(),
            kerf: Length::sixteenths(2),
            end_trim: Length::ZERO,
            on_hand: Vec::new(),
        }
    }
}
