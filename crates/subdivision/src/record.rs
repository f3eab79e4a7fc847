//! The record of a lot, `lot.json` in its folder: what its results depend on, and what the roll-ups
//! need of them. No clock and no path in it.

use diag::{Finding, Severity};
use geom::Length;
use plan_model::Document;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

/// The form of the record.
const SCHEMA: &str = "platewright/lot/1";

/// What became of a lot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Status {
    /// Not planned.
    Failed,
    /// Planned, with errors.
    Errors,
    /// Planned, with warnings.
    Warnings,
    /// Planned, nothing to look at.
    Ok,
}

impl Status {
    /// `failed`, `errors`, `warnings`, `ok`.
    pub const fn name(self) -> &'static str {
        match self {
            Status::Failed => "failed",
            Status::Errors => "errors",
            Status::Warnings => "warnings",
            Status::Ok => "ok",
        }
    }
}

/// A kind of finding of a lot.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Problem {
    /// `error` or `warning`.
    pub severity: String,
    /// Its code.
    pub code: String,
    /// How many there are.
    pub count: u64,
    /// The first of them.
    pub message: String,
}

/// Lumber of one section and grade.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Lumber {
    /// `2x4` ...
    pub section: String,
    /// Treated.
    pub treated: bool,
    /// Pieces cut.
    pub pieces: u64,
    /// Boards to buy by whole feet.
    pub boards: BTreeMap<u32, u64>,
    /// Their length, feet.
    pub bought_ft: u64,
    /// Length of the pieces, nanometres: a decimal number might not be read back as it was written.
    pub used_nm: i64,
    /// Proven: no choice of boards buys less, nanometres.
    pub least_nm: i64,
    /// Hundredths, where there is a price list.
    pub cost: Option<i64>,
}

/// Nails, straps or screws.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Fastener {
    /// Which.
    pub item: String,
    /// What for.
    pub purpose: String,
    /// How many.
    pub count: u64,
}

/// A file of the results, to see that the folder is whole.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FileSize {
    /// Name in the lot's folder.
    pub name: String,
    /// Bytes.
    pub bytes: u64,
}

/// `lot.json`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Record {
    /// `platewright/lot/1`.
    pub schema: String,
    /// Version of the program.
    pub version: String,
    /// The lot.
    pub lot: String,
    /// [`key`] of everything the results depend on; empty when that is not known.
    pub key: String,
    /// The drawing's name.
    pub file: String,
    /// What became of it.
    pub status: Status,
    /// Findings of severity error.
    pub errors: u64,
    /// Warnings.
    pub warnings: u64,
    /// Notes.
    pub notes: u64,
    /// Walls planned.
    pub walls: u64,
    /// Pieces to cut.
    pub pieces: u64,
    /// By section and grade.
    pub lumber: Vec<Lumber>,
    /// By item and purpose.
    pub fasteners: Vec<Fastener>,
    /// Errors, then warnings.
    pub problems: Vec<Problem>,
    /// The results beside it.
    pub files: Vec<FileSize>,
}

/// What a lot's results depend on.
#[derive(Clone, Copy, Debug)]
pub struct Inputs<'a> {
    /// Version of the program.
    pub version: &'a str,
    /// Hash of the drawing's bytes, hex.
    pub drawing: &'a str,
    /// The drawing's name: it is in the outputs.
    pub file: &'a str,
    /// Settings in force, as text.
    pub settings: &'a str,
    /// Project's name.
    pub project: &'a str,
    /// Lot's name.
    pub lot: &'a str,
}

/// SHA-256 as lower-case hex.
pub fn sha256_hex(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect()
}

/// The hash of all inputs. Each is preceded by its length, so that no two sets of them run together.
pub fn key(i: Inputs) -> String {
    let mut hash = Sha256::new();
    for part in [SCHEMA, i.version, i.drawing, i.file, i.settings, i.project, i.lot] {
        hash.update((part.len() as u64).to_be_bytes());
        hash.update(part.as_bytes());
    }
    hash.finalize().iter().map(|b| format!("{b:02x}")).collect()
}

fn problems(findings: &[Finding]) -> Vec<Problem> {
    let mut out: Vec<Problem> = Vec::new();
    for severity in [Severity::Error, Severity::Warning] {
        let first = out.len();
        for f in findings.iter().filter(|f| f.severity == severity) {
            let known = out.iter_mut().skip(first).find(|p| p.code == f.code.name());
            match known {
                Some(p) => p.count += 1,
                None => out.push(Problem {
                    severity: severity.name().to_owned(),
                    code: f.code.name().to_owned(),
                    count: 1,
                    message: f.message.clone(),
                }),
            }
        }
    }
    out
}

impl Record {
    /// What is in the record of every lot with this plan; lot, key and files are left to be filled in.
    pub fn of(doc: &Document, version: &str) -> Record {
        let file = &doc.source.file;
        let inputs = Inputs { version, file, drawing: "", settings: "", project: "", lot: "" };
        let found = Record::failed("", inputs, &doc.findings);
        let notes = doc.findings.iter().filter(|f| f.severity == Severity::Note).count();
        let fastener = |f: &plan_model::Fastener| Fastener {
            item: f.nail.clone(),
            purpose: f.purpose.clone(),
            count: f.count,
        };
        Record {
            status: match (found.errors, found.warnings) {
                (0, 0) => Status::Ok,
                (0, _) => Status::Warnings,
                _ => Status::Errors,
            },
            notes: notes as u64,
            walls: doc.floor.walls.len() as u64,
            pieces: doc.plan.pieces.len() as u64,
            lumber: lumber(doc),
            fasteners: doc.plan.fasteners.iter().map(fastener).collect(),
            ..found
        }
    }
    /// The record of a lot that was not planned.
    pub fn failed(key: &str, inputs: Inputs, findings: &[Finding]) -> Record {
        let problems = problems(findings);
        let of = |word: &str| {
            problems.iter().filter(|p| p.severity == word).map(|p| p.count).sum::<u64>()
        };
        Record {
            schema: SCHEMA.to_owned(),
            version: inputs.version.to_owned(),
            lot: inputs.lot.to_owned(),
            key: key.to_owned(),
            file: inputs.file.to_owned(),
            status: Status::Failed,
            errors: of("error"),
            warnings: of("warning"),
            notes: 0,
            walls: 0,
            pieces: 0,
            lumber: Vec::new(),
            fasteners: Vec::new(),
            problems,
            files: Vec::new(),
        }
    }
    /// As a file: JSON that ends with a line feed.
    pub fn to_json(&self) -> Vec<u8> {
        // Strings and numbers only: this cannot fail.
        let mut text = serde_json::to_vec_pretty(self).unwrap_or_default();
        text.push(b'\n');
        text
    }
    /// A record as it was written; nothing when it is damaged or of another form.
    pub fn from_json(bytes: &[u8]) -> Option<Record> {
        let record: Record = serde_json::from_slice(bytes).ok()?;
        (record.schema == SCHEMA).then_some(record)
    }
}

fn lumber(doc: &Document) -> Vec<Lumber> {
    let line = |s: &plan_model::SectionStock| {
        let own = |section, treated| (section, treated) == (s.section, s.treated);
        let mut boards: BTreeMap<u32, u64> = BTreeMap::new();
        let bought = doc.boards.iter().filter(|b| own(b.section, b.treated));
        for ft in bought.filter_map(plan_model::Board::bought_ft) {
            *boards.entry(ft).or_default() += 1;
        }
        let pieces = doc.plan.pieces.iter();
        let pieces: Vec<Length> =
            pieces.filter(|p| own(p.section, doc.plan.is_treated(p))).map(|p| p.length).collect();
        Lumber {
            section: s.section.name().to_owned(),
            treated: s.treated,
            pieces: pieces.len() as u64,
            bought_ft: boards.iter().map(|(ft, n)| u64::from(*ft) * n).sum(),
            boards,
            used_nm: pieces.into_iter().sum::<Length>().nm(),
            least_nm: s.lower_bound_length.nm(),
            cost: s.cost.map(|c| c.hundredths),
        }
    };
    doc.stock.iter().map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use diag::codes::input;

    const INPUTS: Inputs =
        Inputs { version: "1", drawing: "d", file: "a.dxf", settings: "s", project: "p", lot: "7" };

    #[test]
    fn every_input_changes_the_key_and_none_runs_into_the_next() {
        let base = key(INPUTS);
        for other in [
            Inputs { version: "2", ..INPUTS },
            Inputs { drawing: "e", ..INPUTS },
            Inputs { file: "b.dxf", ..INPUTS },
            Inputs { settings: "t", ..INPUTS },
            Inputs { project: "q", ..INPUTS },
            Inputs { lot: "8", ..INPUTS },
            Inputs { project: "p7", lot: "", ..INPUTS },
        ] {
            assert_ne!(key(other), base, "{other:?}");
        }
        assert_eq!(base, key(INPUTS));
        // FIPS 180-4, the example "abc".
        assert_eq!(
            sha256_hex(b"abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }

    #[test]
    fn a_record_is_read_back_and_a_damaged_one_is_not() {
        let f = |i: u8| Finding::new(input::NO_WALLS, format!("Nothing, {i}."));
        let record = Record::failed("k", INPUTS, &[f(1), f(2)]);
        assert_eq!((record.errors, record.problems.len()), (2, 1));
        assert_eq!(record.problems[0].message, "Nothing, 1.");
        let json = record.to_json();
        assert_eq!(Record::from_json(&json), Some(record));
        assert_eq!(Record::from_json(&json[..json.len() / 2]), None);
        let other = String::from_utf8(json).unwrap().replace("lot/1", "lot/9");
        assert_eq!(Record::from_json(other.as_bytes()), None);
    }
}
