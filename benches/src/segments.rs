//! Wall segments at constant density for the junction benchmark: a field of rooms, one segment a side
//! of a room, ends up to a quarter of an inch off and every seventh room turned by a partition.

use diag::{Ledger, SourceRef};
use lumber::Section;
use wall_model::{Draft, DraftStorey, DraftWall, Format, UnitsDecision, WallModel};

/// About `count` walls. The same every time.
pub fn field(count: usize) -> WallModel {
    let side = ((count as f64 / 2.15).sqrt().round() as usize).max(1);
    let mut state = 0x9E37_79B9_7F4A_7C15_u64;
    let mut slip = move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state % 1000) as f64 / 4000.0
    };
    let (width, depth) = (120.0, 108.0);
    let mut walls = Vec::new();
    let mut ledger = Ledger::default();
    let mut add = |a: (f64, f64), b: (f64, f64)| {
        ledger.use_one();
        walls.push(DraftWall {
            storey: 0,
            start_in: a,
            end_in: b,
            drawn_thickness_in: 4.5,
            section: Section::S2X4,
            base_in: 0.0,
            top_in: 97.125,
            rise_in: 0.0,
            roof: None,
            exterior: Some(false),
            bearing: None,
            openings: vec![],
            source: vec![SourceRef { entity: String::new(), layer: String::new() }],
        });
    };
    for row in 0..=side {
        for column in 0..side {
            let (x, y) = (column as f64 * width, row as f64 * depth);
            add((x + slip(), y), (x + width - slip(), y));
            let (x, y) = (row as f64 * width, column as f64 * depth);
            add((x, y + slip()), (x, y + depth - slip()));
            if row < side && (row * side + column).is_multiple_of(7) {
                let (x, y) = (column as f64 * width, row as f64 * depth);
                add((x + 40.0, y + slip()), (x + 40.0, y + depth));
            }
        }
    }
    let units =
        UnitsDecision { name: "in".into(), inches_per_unit: 1.0, decided_by: String::new() };
    Draft {
        format: Format::Dxf,
        version: String::new(),
        written_by: String::new(),
        units,
        storeys: vec![DraftStorey { name: "Field".into(), elevation_in: 0.0 }],
        walls,
        ledger,
    }
    .finish(settings::Mirror::None)
    .value
}
