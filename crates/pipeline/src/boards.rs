//! From pieces to boards: the only place where plates meet the cutting-stock solver, which knows
//! nothing of walls.

use diag::{Finding, codes};
use geom::Length;
use limits::Watch;
use lumber::Section;
use plan_model::{Board, BoardSource, Cost, Piece, PieceId, Plan, SectionStock, piece_name};
use settings::Settings;
use std::collections::BTreeMap;
use stock_cut::{BoardSize, Cutting, Demand, OnHand, Stock};

/// Boards for every piece, and how good the choice is.
#[derive(Clone, Debug, Default)]
pub struct Boards {
    /// By section.
    pub boards: Vec<Board>,
    /// One line a section.
    pub summary: Vec<SectionStock>,
    /// Pieces that no board can give.
    pub findings: Vec<Finding>,
}

/// Chooses boards section by section, treated lumber apart from the rest.
///
/// A piece takes the greater of its exact and its printed length, so that a board holds what is cut
/// by either, taken up to the tape ([`Stock::on_tape`]). Bounds hold for these lengths; offcuts and lengths used
/// are told by the exact ones. A piece that no board can give is on none, with a finding; the others are cut
/// all the same.
pub fn choose(plan: &Plan, settings: &Settings) -> Boards {
    choose_within(plan, settings, &Watch::endless())
}

/// The same; breaks off when time is up, and the caller throws it away.
pub fn choose_within(plan: &Plan, settings: &Settings, watch: &Watch) -> Boards {
    let mut by_lumber: BTreeMap<(Section, bool), Vec<(u32, Length)>> = BTreeMap::new();
    for (i, piece) in plan.pieces.iter().enumerate() {
        let length = piece.length.max(piece.printed);
        by_lumber
            .entry((piece.section, plan.is_treated(piece)))
            .or_default()
            .push((i as u32, length));
    }
    let mut out = Boards::default();
    for ((section, treated), pieces) in by_lumber {
        if watch.is_over() {
            break;
        }
        let costs = settings.stock.costs_for(section, treated).into_iter();
        let stock = Stock {
            boards: costs.map(|(length_ft, cost)| BoardSize { length_ft, cost }).collect(),
            kerf: settings.stock.kerf,
            end_trim: settings.stock.end_trim,
        };
        let demand = |(id, length): (u32, Length)| Demand { id, length: stock.on_tape(length) };
        let mut demands: Vec<Demand> = pieces.into_iter().map(demand).collect();
        let on_hand = settings.stock.on_hand.iter().enumerate();
        let on_hand: Vec<OnHand> = on_hand
            .filter(|(_, b)| (b.section, b.treated) == (section, treated))
            .map(|(i, b)| OnHand { id: i as u32, length: b.length })
            .collect();
        let priced = settings.stock.prices_for(section, treated).is_some();
        let cut = stock_cut::cut_with(&demands, &stock, &on_hand).or_else(|too_long| {
            out.findings
                .extend(too_long.ids.iter().map(|id| no_board(plan, *id, too_long.longest)));
            demands.retain(|d| !too_long.ids.contains(&d.id));
            stock_cut::cut_with(&demands, &stock, &on_hand)
        });
        match cut {
            Ok(cutting) => out.add((section, treated), cutting, priced, &plan.pieces, &stock),
            Err(too_long) => out.findings.push(
                Finding::new(
                    codes::output::INTERNAL,
                    format!("No boards of {section}: {too_long}."),
                )
                .about(section.name()),
            ),
        }
    }
    out
}

/// The planner has said of its wall that the boards are too short; here is what that leaves uncut.
fn no_board(plan: &Plan, id: u32, longest: Length) -> Finding {
    let name = piece_name(PieceId(id));
    let Some(p) = plan.pieces.get(id as usize) else {
        return Finding::new(codes::output::INTERNAL, format!("{name} does not exist."))
            .about(name);
    };
    let message = format!(
        "Piece {} is {} long and the longest {} gives {}: it is on no board.",
        p.mark,
        p.length.feet_inches(),
        p.section,
        longest.feet_inches()
    );
    let finding = Finding::new(codes::plan::PIECE_TOO_LONG, message).about(name);
    p.outline.first().map_or(finding.clone(), |at| finding.at(*at))
}

impl Boards {
    fn add(
        &mut self,
        (section, treated): (Section, bool),
        cutting: Cutting,
        priced: bool,
        pieces: &[Piece],
        stock: &Stock,
    ) {
        let length_of = |id: &u32| pieces.get(*id as usize).map_or(Length::ZERO, |p| p.length);
        let mut used = Length::ZERO;
        let (mut bought, mut on_hand) = (0, 0);
        for b in cutting.boards {
            let cut: Length = b.cuts.iter().map(length_of).sum();
            let source = match b.source {
                stock_cut::BoardSource::Bought { length_ft } => {
                    bought += 1;
                    used += cut;
                    BoardSource::Bought { length_ft }
                }
                stock_cut::BoardSource::OnHand { id, length } => {
                    on_hand += 1;
                    BoardSource::OnHand { index: id, length }
                }
            };
            let usable = b.length() - stock.end_trim;
            // One kerf after each piece; the last one may fall off the board's end.
            let left = usable - cut - stock.kerf * b.cuts.len() as i64;
            self.boards.push(Board {
                section,
                treated,
                source,
                cuts: b.cuts.into_iter().map(PieceId).collect(),
                offcut: left.max(Length::ZERO),
            });
        }
        self.summary.push(SectionStock {
            section,
            treated,
            boards: bought,
            on_hand,
            lower_bound_length: cutting.lower_bound_length,
            lower_bound_boards: cutting.lower_bound_boards,
            bought: cutting.bought,
            used,
            cost: priced.then_some(Cost {
                hundredths: cutting.cost,
                lower_bound: cutting.lower_bound_cost,
            }),
        });
    }
}

#[cfg(test)]
mod tests {
    use crate::{Job, plan};
    use diag::codes;
    use geom::Length;
    use settings::Settings;
    use std::collections::BTreeSet;

    /// Boards of a foot for the 2x4s, a joint at most every 6 in: no wall can be cut. What is short enough is cut
    /// all the same, and the rest is named; it is no fault of the program.
    #[test]
    fn what_no_board_can_give_is_named_and_the_rest_is_cut() {
        let mut settings = Settings::default();
        settings.stock.lengths_ft.insert("2x4".into(), vec![1]);
        settings.stock.end_trim = Length::sixteenths(98);
        settings.plates.bottom_stops_at_doors = true;
        let bytes = include_bytes!("../../../fixtures/guide/shed.dxf");
        let job = Job { file_name: "shed.dxf", bytes: bytes[..].into(), settings: &settings };
        let document = plan(job).unwrap_or_else(|why| panic!("{why}"));
        let findings = || document.findings.iter();
        assert!(findings().all(|f| f.code != codes::output::INTERNAL), "{:?}", document.findings);
        let long = findings().filter(|f| f.code == codes::plan::PIECE_TOO_LONG);
        let named: BTreeSet<&str> =
            long.map(|f| f.subject.as_str()).filter(|s| s.starts_with('P')).collect();
        let cut: usize = document.boards.iter().map(|b| b.cuts.len()).sum();
        assert!(!named.is_empty(), "{cut} cut");
        assert_eq!(named.len() + cut, document.plan.pieces.len());
    }
}
