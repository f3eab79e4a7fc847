//! The shapes of the API's answers. Names are fixed by `openapi.json`; a test holds answers against it.

mod drawing;
mod finding;
mod job;
mod plan;
mod reading;
mod walls;

pub(crate) use drawing::{drawing, drawn_bounds};
pub(crate) use finding::FindingOut;
pub(crate) use job::{JobOut, about, codes};
pub(crate) use plan::plan;
pub(crate) use reading::reading;

use crate::frame::Frame;
use diag::{Ledger, SourceRef};
use serde::Serialize;

/// See `Frame` in the API.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct FrameOut {
    pub unit: Option<String>,
    pub inches_per_unit: f64,
    pub mirror: &'static str,
    pub origin: [f64; 2],
    pub plan_offset: Option<[f64; 2]>,
}

impl FrameOut {
    pub fn of(frame: &Frame, plan_offset: Option<[f64; 2]>) -> FrameOut {
        FrameOut {
            unit: frame.unit.clone(),
            inches_per_unit: frame.inches_per_unit(),
            mirror: frame.mirror().name(),
            origin: frame.origin,
            plan_offset,
        }
    }
}

#[derive(Clone, Debug, Serialize)]
pub(crate) struct SourceOut {
    pub entity: String,
    pub layer: String,
}

pub(crate) fn sources(all: &[SourceRef]) -> Vec<SourceOut> {
    let one = |s: &SourceRef| SourceOut { entity: s.entity.clone(), layer: s.layer.clone() };
    all.iter().map(one).collect()
}

#[derive(Clone, Debug, Serialize)]
pub(crate) struct LedgerOut {
    entities_read: u64,
    used: u64,
    ignored: Vec<IgnoredOut>,
}

#[derive(Clone, Debug, Serialize)]
struct IgnoredOut {
    reason: String,
    count: u64,
    sample: Vec<String>,
}

impl LedgerOut {
    pub fn of(ledger: &Ledger) -> LedgerOut {
        let ignored = ledger.ignored().map(|(reason, i)| IgnoredOut {
            reason: reason.to_owned(),
            count: i.count,
            sample: i.sample.clone(),
        });
        LedgerOut { entities_read: ledger.read(), used: ledger.used(), ignored: ignored.collect() }
    }
}

/// Left, bottom, right, top of some places; `None` for none.
pub(crate) fn bounds(points: impl Iterator<Item = [f64; 2]>) -> Option<[f64; 4]> {
    points.fold(None, |b: Option<[f64; 4]>, [x, y]| {
        let [l, d, r, u] = b.unwrap_or([x, y, x, y]);
        Some([l.min(x), d.min(y), r.max(x), u.max(y)])
    })
}
