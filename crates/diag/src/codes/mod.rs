//! The registry of finding codes. One file a subject; a code is declared once, with everything
//! `explain` prints.

use std::fmt;

pub mod dxf;
pub mod edits;
pub mod graph;
pub mod ifc;
pub mod input;
pub mod output;
pub mod plan;
pub mod refit;
pub mod stock;
pub mod verify;

/// How bad a finding is. `plan` exits with 1 when there is an error.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Something is missing from the plan, or a rule is broken with no remedy in the plan.
    Error,
    /// The plan is whole, but a person must look or decide.
    Warning,
    /// Good to know.
    Note,
}

impl Severity {
    /// The word used in every output.
    pub const fn name(self) -> &'static str {
        match self {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Note => "note",
        }
    }
}

/// Everything there is to say about a code apart from the case at hand.
#[derive(Debug)]
pub struct CodeInfo {
    /// Stable, lower case with hyphens.
    pub name: &'static str,
    /// Its usual severity.
    pub severity: Severity,
    /// A short headline.
    pub title: &'static str,
    /// What it means and why it matters for the cut list.
    pub meaning: &'static str,
    /// The rule behind it, with its source; "common practice, no source" where there is none.
    pub rule: &'static str,
    /// What to do.
    pub remedy: &'static str,
}

/// A code of the registry; equal by name.
#[derive(Clone, Copy)]
pub struct Code(&'static CodeInfo);

impl Code {
    /// A handle on a registry entry. Only the files of this folder make them.
    pub(crate) const fn new(info: &'static CodeInfo) -> Code {
        Code(info)
    }
    /// The stable name.
    pub const fn name(self) -> &'static str {
        self.0.name
    }
    /// The registry entry.
    pub const fn info(self) -> &'static CodeInfo {
        self.0
    }
    /// Every code there is, in alphabetical order.
    pub fn all() -> Vec<Code> {
        let mut all: Vec<Code> = [
            input::ALL,
            dxf::ALL,
            ifc::ALL,
            graph::ALL,
            plan::ALL,
            refit::ALL,
            verify::ALL,
            stock::ALL,
            output::ALL,
            edits::ALL,
        ]
        .concat();
        all.sort_by_key(|c| c.name());
        all
    }
    /// The code of that name.
    pub fn from_name(name: &str) -> Option<Code> {
        Code::all().into_iter().find(|c| c.name().eq_ignore_ascii_case(name))
    }
}
impl PartialEq for Code {
    fn eq(&self, o: &Code) -> bool {
        self.0.name == o.0.name
    }
}
impl Eq for Code {}
impl fmt::Debug for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.0.name)
    }
}

/// Declares the codes of one subject and their list.
macro_rules! codes {
    ($($id:ident = $name:literal, $sev:ident, $title:literal, meaning: $m:literal, rule: $r:literal, remedy: $d:literal;)*) => {
        $(#[doc = $title] pub const $id: crate::codes::Code = crate::codes::Code::new(&crate::codes::CodeInfo {
            name: $name, severity: crate::codes::Severity::$sev, title: $title, meaning: $m, rule: $r, remedy: $d,
        });)*
        /// Every code of this subject.
        pub const ALL: &[crate::codes::Code] = &[$($id),*];
    };
}
pub(crate) use codes;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_and_every_text_is_there() {
        let all = Code::all();
        for pair in all.windows(2) {
            assert_ne!(pair[0].name(), pair[1].name());
        }
        for c in &all {
            let i = c.info();
            assert!(
                i.name.bytes().all(|b| b.is_ascii_lowercase() || b == b'-' || b.is_ascii_digit())
            );
            for text in [i.title, i.meaning, i.rule, i.remedy] {
                assert!(text.len() > 3, "{}", i.name);
            }
        }
    }
}
