//! Tables over all lots. They add up what the records say and decide nothing.

use crate::record::{Lumber, Record, Status};
use crate::{Lot, NamedBytes, columns, natural};
use diag::codes::Code;
use export::text::{feet, grade, money};
use export::{ExportError, Table, harmless};
use geom::Length;
use settings::FeedSettings;
use std::collections::BTreeMap;

/// The saw's feed, one for all lots.
pub const CUTS: &str = "cuts.csv";

/// A lot and what became of it.
#[derive(Clone, Debug)]
pub struct Entry<'a> {
    /// The lot.
    pub lot: &'a Lot,
    /// Its record; none for a lot that was not reached.
    pub record: Option<&'a Record>,
    /// Its folder below the output folder, with forward slashes.
    pub folder: String,
}

impl Entry<'_> {
    /// Whether there are results.
    pub fn is_planned(&self) -> bool {
        self.record.is_some_and(|r| r.status != Status::Failed)
    }
    /// `ok`, `warnings`, `errors`, `failed`, or `missing` for a lot that was not reached.
    pub fn status(&self) -> &'static str {
        self.record.map_or("missing", |r| r.status.name())
    }
    /// Path of the report, below the output folder; empty where there is none.
    pub fn report(&self) -> String {
        if self.is_planned() { format!("{}/report.html", self.folder) } else { String::new() }
    }
    fn lumber(&self) -> &[Lumber] {
        self.record.map_or(&[], |r| &r.lumber)
    }
}

/// `lots.csv`, `lumber.csv`, `buy.csv`, `fasteners.csv` and `review.csv`, in that form; entries in any order.
///
/// # Errors
/// When a CSV cannot be composed, which is a fault of the program.
pub fn tables(entries: &[Entry], form: FeedSettings) -> Result<Vec<NamedBytes>, ExportError> {
    let mut all: Vec<&Entry> = entries.iter().collect();
    all.sort_by(|a, b| natural(&a.lot.name, &b.lot.name));
    Ok(vec![
        ("lots.csv", lots(&all, form)?.into_bytes()),
        ("lumber.csv", lumber(&all, form)?.into_bytes()),
        ("buy.csv", buy(&all, form)?.into_bytes()),
        ("fasteners.csv", fasteners(&all, form)?.into_bytes()),
        ("review.csv", review(&all, form)?.into_bytes()),
    ])
}

fn lots(all: &[&Entry], form: FeedSettings) -> Result<String, ExportError> {
    let mut out = Table::of(&columns::LOTS, form)?;
    for e in all {
        let r = e.record;
        let number = |of: fn(&Record) -> u64| r.map_or(String::new(), |r| of(r).to_string());
        let sum = sum_of(e.lumber().iter());
        let planned = |text: String| if e.is_planned() { text } else { String::new() };
        out.row(&[
            &harmless(&e.lot.name),
            &harmless(&e.lot.group),
            &e.lot.due,
            &harmless(&file_name(e)),
            e.status(),
            &number(|r| r.errors),
            &number(|r| r.warnings),
            &number(|r| r.notes),
            &planned(number(|r| r.walls)),
            &planned(number(|r| r.pieces)),
            &planned(sum.boards.values().sum::<u64>().to_string()),
            &planned(sum.bought_ft.to_string()),
            &planned(feet(Length::from_nm(sum.used_nm))),
            &sum.cost.map_or(String::new(), money),
            &harmless(&e.report()),
        ])?;
    }
    out.finish()
}

fn file_name(e: &Entry) -> String {
    e.lot.file.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default()
}

/// Lumber added up. The cost is known only if it is for every part.
#[derive(Clone, Debug, Default)]
struct Sum {
    pieces: u64,
    boards: BTreeMap<u32, u64>,
    bought_ft: u64,
    used_nm: i64,
    least_nm: i64,
    cost: Option<i64>,
}

fn sum_of<'a>(lines: impl Iterator<Item = &'a Lumber>) -> Sum {
    let mut sum: Option<Sum> = None;
    for l in lines {
        let first = sum.is_none();
        let s = sum.get_or_insert_with(Sum::default);
        s.cost = if first { l.cost } else { s.cost.zip(l.cost).map(|(a, b)| a + b) };
        s.pieces += l.pieces;
        s.bought_ft += l.bought_ft;
        s.used_nm += l.used_nm;
        s.least_nm += l.least_nm;
        l.boards.iter().for_each(|(ft, n)| *s.boards.entry(*ft).or_default() += n);
    }
    sum.unwrap_or_default()
}

/// One row for each lot, group and the whole, by lumber. `scope` tells which; rows of one scope add up.
fn lumber(all: &[&Entry], form: FeedSettings) -> Result<String, ExportError> {
    let mut out = Table::of(&columns::LUMBER, form)?;
    let mut rows = |scope: &str, name: &str, entries: &[&Entry]| -> Result<(), ExportError> {
        let mut by: BTreeMap<(&str, bool), Vec<&Lumber>> = BTreeMap::new();
        for l in entries.iter().flat_map(|e| e.lumber()) {
            by.entry((&l.section, l.treated)).or_default().push(l);
        }
        for ((section, treated), lines) in by {
            let s = sum_of(lines.into_iter());
            let used_ft = s.used_nm as f64 / Length::feet(1).nm() as f64;
            let waste = (1.0 - used_ft / s.bought_ft.max(1) as f64) * 100.0;
            out.row(&[
                scope,
                &harmless(name),
                section,
                grade(treated),
                &s.pieces.to_string(),
                &feet(Length::from_nm(s.used_nm)),
                &s.boards.values().sum::<u64>().to_string(),
                &s.bought_ft.to_string(),
                &feet(Length::from_nm(s.least_nm)),
                &if s.bought_ft == 0 { String::new() } else { format!("{waste:.2}") },
                &s.cost.map_or(String::new(), money),
            ])?;
        }
        Ok(())
    };
    for e in all {
        rows("lot", &e.lot.name, &[*e])?;
    }
    for (group, entries) in by_group(all) {
        rows("group", group, &entries)?;
    }
    rows("all", "", all)?;
    out.finish()
}

/// Entries by group, groups in natural order.
pub fn by_group<'a, 'b>(all: &[&'a Entry<'b>]) -> Vec<(&'a str, Vec<&'a Entry<'b>>)> {
    let mut groups: BTreeMap<&str, Vec<&Entry>> = BTreeMap::new();
    for e in all {
        groups.entry(&e.lot.group).or_default().push(e);
    }
    let mut groups: Vec<_> = groups.into_iter().collect();
    groups.sort_by(|a, b| natural(a.0, b.0));
    groups
}

/// Boards to buy, as each lot by itself needs them.
fn buy(all: &[&Entry], form: FeedSettings) -> Result<String, ExportError> {
    let mut out = Table::of(&columns::BUY, form)?;
    for (group, entries) in by_group(all) {
        let mut by: BTreeMap<(&str, bool, u32), (u64, u64)> = BTreeMap::new();
        for l in entries.iter().flat_map(|e| e.lumber()) {
            for (ft, n) in &l.boards {
                let of = by.entry((&l.section, l.treated, *ft)).or_default();
                *of = (of.0 + n, of.1 + 1);
            }
        }
        for ((section, treated, ft), (boards, lots)) in by {
            out.row(&[
                &harmless(group),
                section,
                grade(treated),
                &ft.to_string(),
                &boards.to_string(),
                &(u64::from(ft) * boards).to_string(),
                &lots.to_string(),
            ])?;
        }
    }
    out.finish()
}

fn fasteners(all: &[&Entry], form: FeedSettings) -> Result<String, ExportError> {
    let mut out = Table::of(&columns::FASTENERS, form)?;
    for (group, entries) in by_group(all) {
        let mut by: BTreeMap<(&str, &str), (u64, u64)> = BTreeMap::new();
        for f in entries.iter().filter_map(|e| e.record).flat_map(|r| &r.fasteners) {
            let of = by.entry((&f.item, &f.purpose)).or_default();
            *of = (of.0 + f.count, of.1 + 1);
        }
        for ((item, purpose), (count, lots)) in by {
            out.row(&[
                &harmless(group),
                &harmless(item),
                &harmless(purpose),
                &count.to_string(),
                &lots.to_string(),
            ])?;
        }
    }
    out.finish()
}

/// What a person should look at, worst first: lots without results, then errors, then warnings; most
/// of a kind first.
fn review(all: &[&Entry], form: FeedSettings) -> Result<String, ExportError> {
    let mut rows = Vec::new();
    for (at, e) in all.iter().enumerate() {
        match &e.record {
            None => rows.push((0, u64::MAX, at, *e, None)),
            Some(r) => rows.extend(r.problems.iter().map(|p| {
                let rank = match (r.status, p.severity.as_str()) {
                    (Status::Failed, "error") => 1,
                    (Status::Failed, _) => 2,
                    (_, "error") => 3,
                    _ => 4,
                };
                (rank, p.count, at, *e, Some(p))
            })),
        }
    }
    rows.sort_by_key(|(rank, count, at, ..)| (*rank, std::cmp::Reverse(*count), *at));
    let mut out = Table::of(&columns::REVIEW, form)?;
    for (nth, (_, _, _, e, problem)) in rows.into_iter().enumerate() {
        let (severity, code, count, reason, remedy) = match problem {
            None => {
                let what = "It has not been planned.".to_owned();
                ("error", "", 1, what, "Run the batch again, or the slice it is in.")
            }
            Some(p) => (
                p.severity.as_str(),
                p.code.as_str(),
                p.count,
                p.message.clone(),
                Code::from_name(&p.code).map_or("", |c| c.info().remedy),
            ),
        };
        out.row(&[
            &(nth + 1).to_string(),
            &harmless(&e.lot.name),
            &harmless(&e.lot.group),
            &e.lot.due,
            e.status(),
            severity,
            code,
            &count.to_string(),
            &harmless(&reason.replace(['\n', '\r'], " ")),
            &harmless(remedy),
            &harmless(&e.report()),
        ])?;
    }
    out.finish()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::{Fastener, Inputs};
    use diag::{Finding, codes::input};

    pub(crate) fn lot(name: &str, group: &str) -> Lot {
        Lot { name: name.into(), file: "a.dxf".into(), group: group.into(), ..Lot::default() }
    }
    fn planned(name: &str, boards: &[(u32, u64)], cost: Option<i64>) -> Record {
        let inputs = Inputs {
            version: "1",
            drawing: "",
            file: "a.dxf",
            settings: "",
            project: "",
            lot: name,
        };
        let mut r = Record::failed("", inputs, &[]);
        r.status = Status::Ok;
        let boards: BTreeMap<u32, u64> = boards.iter().copied().collect();
        let bought_ft: u64 = boards.iter().map(|(ft, n)| u64::from(*ft) * n).sum();
        r.lumber = vec![Lumber {
            section: "2x4".into(),
            treated: false,
            pieces: 3,
            boards,
            bought_ft,
            used_nm: Length::feet(bought_ft as i64 - 1).nm(),
            least_nm: Length::feet(bought_ft as i64 - 1).nm(),
            cost,
        }];
        r.fasteners = vec![Fastener { item: "16d".into(), purpose: "laps".into(), count: 7 }];
        r
    }
    fn table(all: &[Entry], name: &str) -> Vec<String> {
        let of = tables(all, FeedSettings::default())
            .unwrap()
            .into_iter()
            .find(|(n, _)| *n == name)
            .unwrap();
        String::from_utf8(of.1).unwrap().lines().map(str::to_owned).collect()
    }

    #[test]
    fn sums_go_by_group_and_do_not_depend_on_the_order() {
        let lots = [lot("10", "b"), lot("9", "a"), lot("2", "a"), lot("=3", "a")];
        let records = [
            planned("10", &[(16, 2)], None),
            planned("9", &[(16, 1), (8, 4)], Some(50)),
            planned("2", &[(8, 1)], Some(70)),
        ];
        let entry = |i: usize| Entry {
            lot: &lots[i],
            record: records.get(i),
            folder: lots[i].name.clone(),
        };
        let mut all: Vec<Entry> = (0..4).map(entry).collect();
        let first = tables(&all, FeedSettings::default()).unwrap();
        assert_eq!(
            table(&all, "buy.csv")[1..],
            ["a,2x4,,8,5,40,2", "a,2x4,,16,1,16,1", "b,2x4,,16,2,32,1"]
        );
        assert_eq!(table(&all, "fasteners.csv")[1..], ["a,16d,laps,14,2", "b,16d,laps,7,1"]);
        let lumber = table(&all, "lumber.csv");
        assert!(lumber.contains(&"group,a,2x4,,6,54,6,56,54,3.57,1.20".to_owned()), "{lumber:?}");
        // One part without a price: no sum is given out as if it were whole.
        assert!(lumber.contains(&"all,,2x4,,9,85,8,88,85,3.41,".to_owned()), "{lumber:?}");
        let lots = table(&all, "lots.csv");
        assert!(
            lots[1].starts_with("2,a,,a.dxf,ok,") && lots[4].starts_with("'=3,a,,a.dxf,missing,"),
            "{lots:?}"
        );
        all.reverse();
        assert_eq!(tables(&all, FeedSettings::default()).unwrap(), first);
    }

    #[test]
    fn the_review_queue_is_worst_first() {
        let lots = [lot("1", ""), lot("2", ""), lot("3", "")];
        let inputs = Inputs {
            version: "1",
            drawing: "",
            file: "a.dxf",
            settings: "",
            project: "",
            lot: "2",
        };
        let failed = Record::failed("", inputs, &[Finding::new(input::NO_WALLS, "=None.")]);
        let mut wrong = planned("1", &[(8, 1)], None);
        wrong.problems =
            Record::failed("", inputs, &[Finding::new(input::LIMIT, "Much.")]).problems;
        let records = [Some(wrong), Some(failed), None];
        let all: Vec<Entry> = lots
            .iter()
            .zip(&records)
            .map(|(lot, record)| Entry { lot, record: record.as_ref(), folder: lot.name.clone() })
            .collect();
        let rows = table(&all, "review.csv");
        assert!(rows[1].starts_with("1,3,,,missing,error,,1,"), "{rows:?}");
        assert!(rows[2].starts_with("2,2,,,failed,error,no-walls,1,'=None.,"), "{rows:?}");
        assert!(rows[3].starts_with("3,1,,,ok,error,limit-reached,1,Much.,"), "{rows:?}");
        assert!(rows[3].ends_with("1/report.html"));
    }
}
