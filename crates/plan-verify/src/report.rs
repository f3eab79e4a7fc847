//! Gathers check lines and the findings of their breaches.

use crate::Proof;
use diag::{Code, Finding};
use geom::{Frame, Length};
use plan_model::CheckLine;

/// Handle on a line of the report.
#[derive(Clone, Copy)]
pub struct Line(usize);

/// What is wrong, and at which station of a run, nm.
pub type Fault = (i64, String);

/// The proof being written.
#[derive(Default)]
pub struct Report {
    lines: Vec<CheckLine>,
    findings: Vec<Finding>,
}

impl Report {
    /// Opens a line for one check.
    pub fn line(&mut self, item: u8, what: impl Into<String>) -> Line {
        self.lines.push(CheckLine { item, what: what.into(), looked_at: 0, breaches: 0 });
        Line(self.lines.len() - 1)
    }
    /// Counts things looked at.
    pub fn looked(&mut self, line: Line, count: usize) {
        self.lines[line.0].looked_at += count as u64;
    }
    /// Records a breach.
    pub fn breach(&mut self, line: Line, finding: Finding) {
        self.lines[line.0].breaches += 1;
        self.findings.push(finding);
    }
    /// Records what is wrong with one run or piece as one breach: the first fault, and how many more there are. `what` comes
    /// before its name; `frame` is the run's.
    pub fn faults(
        &mut self,
        line: Line,
        code: Code,
        (what, name): (&str, String),
        frame: &Frame,
        faults: &[Fault],
    ) {
        let Some((station, why)) = faults.first() else { return };
        let more = match faults.len() - 1 {
            0 => String::new(),
            n => format!(" (and {n} more)"),
        };
        let at = frame.at(Length::from_nm(*station), Length::ZERO);
        let finding = Finding::new(code, format!("{what}{name}: {why}{more}."));
        self.breach(line, finding.at(at).about(name));
    }
    /// Says something that is no breach.
    pub fn say(&mut self, finding: Finding) {
        self.findings.push(finding);
    }
    /// Whether something was said under this code.
    pub fn has(&self, code: diag::Code) -> bool {
        self.findings.iter().any(|f| f.code == code)
    }
    /// Adds what another report says, after what this one does.
    pub fn append(&mut self, later: Report) {
        self.lines.extend(later.lines);
        self.findings.extend(later.findings);
    }
    /// Lines by contract item, otherwise in the order they were opened.
    pub fn finish(mut self) -> Proof {
        self.lines.sort_by_key(|l| l.item);
        Proof { lines: self.lines, findings: self.findings }
    }
}
