//! Findings gathered while reading: like cases become one finding with all its sources.

use diag::{Code, Finding, SourceRef};
use std::collections::BTreeMap;

/// How many entities a message names.
const NAMED: usize = 3;

/// The findings of one reading.
#[derive(Debug, Default)]
pub struct Report {
    cases: BTreeMap<(&'static str, &'static str, String), (Code, Vec<SourceRef>)>,
    plain: Vec<Finding>,
}

impl Report {
    /// One more thing of which `what` is true. `noun` is its kind in the singular (`wall`).
    pub fn add(
        &mut self,
        code: Code,
        noun: &'static str,
        what: impl Into<String>,
        source: &SourceRef,
    ) {
        let case = self.cases.entry((code.name(), noun, what.into()));
        case.or_insert_with(|| (code, Vec::new())).1.push(source.clone());
    }
    /// A finding about the file as a whole.
    pub fn plain(&mut self, f: Finding) {
        self.plain.push(f);
    }
    /// Everything, in an order that does not depend on the file's.
    pub fn into_findings(self) -> Vec<Finding> {
        let mut all = self.plain;
        all.sort_by(|a, b| (a.code.name(), &a.message).cmp(&(b.code.name(), &b.message)));
        for ((_, noun, what), (code, mut sources)) in self.cases {
            sources.sort();
            sources.dedup();
            let names: Vec<&str> = sources.iter().take(NAMED).map(|s| s.entity.as_str()).collect();
            let more = if sources.len() > NAMED { ", ..." } else { "" };
            let message = match sources.as_slice() {
                [one] => format!("{} {} ({}): {what}.", capital(noun), one.entity, one.layer),
                many => {
                    let plural = format!("{noun}{}", if noun.ends_with('y') { "" } else { "s" });
                    format!("{} {plural}: {what} ({}{more}).", many.len(), names.join(", "))
                }
            };
            all.push(Finding::new(code, message).from(&sources));
        }
        all
    }
}

fn capital(noun: &str) -> String {
    let mut c = noun.chars();
    c.next().map_or_else(String::new, |f| f.to_uppercase().collect::<String>() + c.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;
    use diag::codes::ifc::WALL_CURVED;

    #[test]
    fn like_cases_are_one_finding() {
        let mut r = Report::default();
        for e in ["C", "A", "B", "D", "A"] {
            let s = SourceRef { entity: e.into(), layer: "IfcWall X".into() };
            r.add(WALL_CURVED, "wall", "its axis is an arc", &s);
        }
        let f = r.into_findings();
        assert_eq!(f.len(), 1);
        assert_eq!(f[0].message, "4 walls: its axis is an arc (A, B, C, ...).");
        assert_eq!(f[0].source.len(), 4);
    }
}
