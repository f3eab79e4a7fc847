//! Stock over all lots of a delivery: boards are shared, so fewer offcuts are left.
//!
//! Knows: pieces of many lots, what boards cost, the yard's boards on hand. How boards are chosen and what is
//! proven of it is `stock-cut`'s.

use crate::{NamedBytes, columns, natural};
use export::text::{feet, grade, inches_4, money};
use export::{ExportError, Table, harmless};
use geom::Length;
use lumber::Section;
use serde::Deserialize;
use settings::{FeedSettings, OnHandBoard, StockSettings};
use std::borrow::Cow;
use std::collections::BTreeMap;
use stock_cut::{BoardSize, BoardSource, CutBoard, Demand, OnHand, Stock};

/// A piece of a lot, as the saw needs it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    /// `P12`.
    pub id: String,
    /// Section.
    pub section: Section,
    /// Treated lumber.
    pub treated: bool,
    /// As cut.
    pub length: Length,
    /// The greater of `length` and the length as printed: a board must hold what is cut by either.
    pub room: Length,
}

/// The stock settings a lot was planned under.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Saw {
    /// Feet by section; a section without a list has the usual lengths.
    pub lengths_ft: BTreeMap<String, Vec<u32>>,
    /// Eaten by a cut.
    pub kerf: Length,
    /// Cut off a board's one end.
    pub end_trim: Length,
}

impl Saw {
    /// The stock lengths of a section in feet, ascending, never empty.
    pub fn lengths_for(&self, section: Section) -> Vec<u32> {
        match self.lengths_ft.get(section.name()) {
            Some(lengths) if !lengths.is_empty() => lengths.clone(),
            _ => StockSettings::DEFAULT_FT.to_vec(),
        }
    }
}

#[derive(Deserialize)]
struct PlanJson {
    schema: String,
    settings: SettingsJson,
    pieces: Vec<PieceJson>,
}
#[derive(Deserialize)]
struct SettingsJson {
    stock: StockJson,
}
#[derive(Deserialize)]
struct StockJson {
    lengths_ft: BTreeMap<String, Vec<u32>>,
    kerf: f64,
    end_trim: f64,
    on_hand: Vec<OnHandJson>,
}
#[derive(Deserialize)]
struct OnHandJson {
    section: String,
    treated: bool,
    length: f64,
    label: String,
}
#[derive(Deserialize)]
struct PieceJson {
    id: String,
    section: String,
    treated: bool,
    length_in: f64,
    length_text: String,
}

/// What a `plan.json` says about boards.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ToCut {
    /// Its pieces.
    pub pieces: Vec<Piece>,
    /// The saw they were planned for.
    pub saw: Saw,
    /// Boards that were on hand.
    pub on_hand: Vec<OnHandBoard>,
}

/// The pieces and stock settings of a `plan.json`.
///
/// # Errors
/// What is wrong with it, in plain words.
pub fn read_plan(bytes: &[u8]) -> Result<ToCut, String> {
    let plan: PlanJson = serde_json::from_slice(bytes).map_err(|e| e.to_string())?;
    if plan.schema != "platewright/plan/1" {
        return Err(format!("its schema is '{}', not platewright/plan/1", plan.schema));
    }
    let inches = |x: f64| Length::from_inches(x).ok_or_else(|| format!("{x} is no length"));
    let section =
        |name: &str| Section::from_name(name).ok_or_else(|| format!("section '{name}' is unknown"));
    let piece = |p: PieceJson| {
        let section = section(&p.section)?;
        let length = inches(p.length_in)?;
        let printed = Length::parse(&p.length_text);
        let printed = printed.map_err(|e| format!("length of {}: {e}", p.id))?;
        let room = length.max(printed);
        Ok(Piece { id: p.id, section, treated: p.treated, length, room })
    };
    let own = |b: OnHandJson| -> Result<OnHandBoard, String> {
        let (section, length) = (section(&b.section)?, inches(b.length)?);
        Ok(OnHandBoard { section, treated: b.treated, length, label: b.label })
    };
    let stock = plan.settings.stock;
    let on_hand: Result<Vec<OnHandBoard>, String> = stock.on_hand.into_iter().map(own).collect();
    let saw = Saw {
        lengths_ft: stock.lengths_ft,
        kerf: inches(stock.kerf)?,
        end_trim: inches(stock.end_trim)?,
    };
    let pieces: Result<Vec<Piece>, String> = plan.pieces.into_iter().map(piece).collect();
    Ok(ToCut { pieces: pieces?, saw, on_hand: on_hand? })
}

/// A lot that takes part.
#[derive(Clone, Debug)]
pub struct PoolLot<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its delivery.
    pub group: &'a str,
    /// Its pieces.
    pub pieces: Vec<Piece>,
    /// Its stock settings: lots that differ in them do not share boards.
    pub stock: &'a StockSettings,
    /// Feet it buys by itself, by section and grade.
    pub apart_ft: BTreeMap<(Section, bool), u64>,
}

/// `pool.csv`, what is bought and proven, and `pool-stock.csv`, what is cut from each board, for the lots
/// of one delivery after the other. Boards on hand go to the first that can use them.
pub struct Pools {
    summary: Table,
    boards: Table,
    boards_so_far: usize,
    /// In the order given; those that are cut already are gone.
    on_hand: BTreeMap<u32, OnHandBoard>,
}

impl Pools {
    /// Nothing yet; tables in that form.
    ///
    /// # Errors
    /// As [`crate::tables`].
    pub fn new(form: FeedSettings, on_hand: Vec<OnHandBoard>) -> Result<Pools, ExportError> {
        Ok(Pools {
            summary: Table::of(&columns::POOL, form)?,
            boards: Table::of(&columns::POOL_STOCK, form)?,
            boards_so_far: 0,
            on_hand: (0..).zip(on_hand).collect(),
        })
    }

    /// Adds the lots of one group; the same boards in whatever order they come.
    ///
    /// # Errors
    /// As [`crate::tables`], or a piece that no board can give.
    pub fn add(&mut self, group: &str, mut lots: Vec<PoolLot>) -> Result<(), ExportError> {
        lots.sort_by(|a, b| natural(a.name, b.name));
        // Lots of unlike stock settings stand in line by the first lot that has them.
        let mut classes: Vec<(&StockSettings, Vec<&PoolLot>)> = Vec::new();
        for lot in &lots {
            match classes.iter_mut().find(|(s, _)| *s == lot.stock) {
                Some((_, members)) => members.push(lot),
                None => classes.push((lot.stock, vec![lot])),
            }
        }
        for (stock, members) in classes {
            let mut by: BTreeMap<(Section, bool), Vec<(&PoolLot, &Piece)>> = BTreeMap::new();
            for lot in members {
                for p in &lot.pieces {
                    by.entry((p.section, p.treated)).or_default().push((lot, p));
                }
            }
            for (lumber, pieces) in by {
                self.lumber(group, stock, lumber, &pieces)?;
            }
        }
        Ok(())
    }

    fn lumber(
        &mut self,
        group: &str,
        settings: &StockSettings,
        (section, treated): (Section, bool),
        pieces: &[(&PoolLot, &Piece)],
    ) -> Result<(), ExportError> {
        let sizes = settings.costs_for(section, treated).into_iter();
        let stock = Stock {
            boards: sizes.map(|(length_ft, cost)| BoardSize { length_ft, cost }).collect(),
            kerf: settings.kerf,
            end_trim: settings.end_trim,
        };
        let demand =
            |(id, (_, p)): (u32, &(&PoolLot, &Piece))| Demand { id, length: stock.on_tape(p.room) };
        let demands: Vec<Demand> = (0u32..).zip(pieces).map(demand).collect();
        let fitting = self.on_hand.iter();
        let fitting = fitting.filter(|(_, b)| (b.section, b.treated) == (section, treated));
        let on_hand: Vec<OnHand> =
            fitting.map(|(id, b)| OnHand { id: *id, length: b.length }).collect();
        let cutting = stock_cut::cut_with(&demands, &stock, &on_hand)
            .map_err(|e| ExportError::Csv(format!("pool of {group}: {e}")))?;
        let own = cutting.boards.iter().filter(|b| matches!(b.source, BoardSource::OnHand { .. }));
        let own = own.count();
        let apart: BTreeMap<&str, u64> = pieces
            .iter()
            .map(|(lot, _)| (lot.name, lot.apart_ft.get(&(section, treated)).copied().unwrap_or(0)))
            .collect();
        let bought_ft = (cutting.bought.nm() / Length::feet(1).nm()) as u64;
        let apart_ft: u64 = apart.values().sum();
        let priced = settings.prices_for(section, treated).is_some();
        let price = |c: i64| if priced { money(c) } else { String::new() };
        self.summary.row(&[
            &harmless(group),
            section.name(),
            grade(treated),
            &apart.len().to_string(),
            &pieces.len().to_string(),
            &(cutting.boards.len() - own).to_string(),
            &bought_ft.to_string(),
            &feet(cutting.lower_bound_length),
            if cutting.is_proven_optimal() { "yes" } else { "no" },
            &apart_ft.to_string(),
            &(apart_ft as i64 - bought_ft as i64).to_string(),
            &price(cutting.cost),
            &price(cutting.lower_bound_cost),
            &own.to_string(),
        ])?;
        self.cuts(group, (section, treated), pieces, &cutting.boards, &stock)
    }

    fn cuts(
        &mut self,
        group: &str,
        (section, treated): (Section, bool),
        pieces: &[(&PoolLot, &Piece)],
        boards: &[CutBoard],
        stock: &Stock,
    ) -> Result<(), ExportError> {
        for board in boards {
            self.boards_so_far += 1;
            let own = match board.source {
                BoardSource::OnHand { id, .. } => self.on_hand.remove(&id),
                BoardSource::Bought { .. } => None,
            };
            let from = match &own {
                None => Cow::Borrowed("buy"),
                Some(b) if b.label.is_empty() => Cow::Borrowed("on hand"),
                Some(b) => harmless(&b.label),
            };
            let cut: Vec<&(&PoolLot, &Piece)> =
                board.cuts.iter().filter_map(|id| pieces.get(*id as usize)).collect();
            let used: Length = cut.iter().map(|(_, p)| p.length).sum();
            let left = board.length() - stock.end_trim - used - stock.kerf * cut.len() as i64;
            for (i, (lot, p)) in cut.into_iter().enumerate() {
                self.boards.row(&[
                    &harmless(group),
                    &format!("PB{}", self.boards_so_far),
                    section.name(),
                    grade(treated),
                    &feet(board.length()),
                    &(i + 1).to_string(),
                    &harmless(lot.name),
                    &p.id,
                    &inches_4(p.length),
                    &inches_4(left.max(Length::ZERO)),
                    &from,
                ])?;
            }
        }
        Ok(())
    }

    /// The two files.
    ///
    /// # Errors
    /// As [`crate::tables`].
    pub fn finish(self) -> Result<Vec<NamedBytes>, ExportError> {
        Ok(vec![
            ("pool.csv", self.summary.finish()?.into_bytes()),
            ("pool-stock.csv", self.boards.finish()?.into_bytes()),
        ])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lot<'a>(name: &'a str, stock: &'a StockSettings, inches: &[i64]) -> PoolLot<'a> {
        let piece = |(i, n): (usize, &i64)| Piece {
            id: format!("P{}", i + 1),
            section: Section::S2X4,
            treated: false,
            length: Length::inches(*n),
            room: Length::inches(*n),
        };
        let pieces = inches.iter().enumerate().map(piece).collect();
        let apart_ft = BTreeMap::from([((Section::S2X4, false), 8)]);
        PoolLot { name, group: "", pieces, stock, apart_ft }
    }
    fn files(lots: Vec<PoolLot>) -> Vec<String> {
        with_yard(lots, Vec::new())
    }
    fn with_yard(lots: Vec<PoolLot>, on_hand: Vec<OnHandBoard>) -> Vec<String> {
        let mut pools = Pools::new(FeedSettings::default(), on_hand).unwrap();
        pools.add("", lots).unwrap();
        let text = |(_, b)| String::from_utf8(b).unwrap();
        pools.finish().unwrap().into_iter().map(text).collect()
    }

    #[test]
    fn two_lots_share_a_board_when_their_saws_agree() {
        let stock = StockSettings {
            lengths_ft: BTreeMap::from([("2x4".to_owned(), vec![8])]),
            ..StockSettings::default()
        };
        // 47 + 1/8 + 48 is within 96; each by itself needs a board.
        let both = files(vec![lot("1", &stock, &[47]), lot("2", &stock, &[48])]);
        assert!(both[0].ends_with(",2x4,,2,2,1,8,8,yes,16,8,,,0\r\n"), "{}", both[0]);
        assert!(both[1].contains(",PB1,2x4,,8,1,2,P1,48.0000,0.7500,buy"), "{}", both[1]);
        assert_eq!(both, files(vec![lot("2", &stock, &[48]), lot("1", &stock, &[47])]));
        let other = StockSettings { kerf: Length::inches(0), ..stock.clone() };
        let apart = files(vec![lot("1", &stock, &[47]), lot("2", &other, &[48])]);
        assert_eq!(apart[0].lines().count(), 3, "{}", apart[0]);
    }

    #[test]
    fn boards_on_hand_are_cut_before_any_is_bought() {
        let stock = StockSettings {
            lengths_ft: BTreeMap::from([("2x4".to_owned(), vec![8])]),
            ..StockSettings::default()
        };
        let board = |inches: i64, treated, label: &str| OnHandBoard {
            section: Section::S2X4,
            treated,
            length: Length::inches(inches),
            label: label.into(),
        };
        // The treated one is no use, the short one is too short; 50 holds 48.
        let yard = vec![board(50, true, ""), board(47, false, ""), board(50, false, "=rack")];
        let both = with_yard(vec![lot("1", &stock, &[90]), lot("2", &stock, &[48])], yard);
        assert!(both[0].ends_with("2x4,,2,2,1,8,8,yes,16,8,,,1\r\n"), "{}", both[0]);
        assert!(both[1].contains(",PB1,2x4,,4.1667,1,2,P1,48.0000,1.8750,'=rack"), "{}", both[1]);
        assert!(both[1].contains(",PB2,2x4,,8,1,1,P1,90.0000,5.8750,buy"), "{}", both[1]);
    }

    /// By hand: 47.98 in is 48 in on the tape; two of these and a kerf of 0.03 in are more than 96 in, which two as
    /// they are would not be.
    #[test]
    fn lengths_are_taken_up_to_the_tape() {
        let inches = |x: f64| Length::from_inches(x).unwrap();
        let stock = StockSettings {
            lengths_ft: BTreeMap::from([("2x4".to_owned(), vec![8])]),
            kerf: inches(0.03),
            ..StockSettings::default()
        };
        let mut odd = lot("1", &stock, &[48, 48]);
        for p in &mut odd.pieces {
            (p.length, p.room) = (inches(47.98), inches(47.98));
        }
        let both = files(vec![odd]);
        assert!(both[0].contains(",2x4,,1,2,2,16,16,yes,"), "{}", both[0]);
    }
}
