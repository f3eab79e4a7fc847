//! Rule sets: data files with a source on every row. A rule never hides in code.

use diag::{Finding, Refusal, codes::input};
use geom::Length;
use plan_model::RuleNote;
use serde::Deserialize;
use settings::Settings;

/// A rule set as its data file says it; field names are the file's.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct RuleSet {
    pub name: String,
    pub title: String,
    pub joint_offset: Offset,
    pub lap: Plain,
    pub notch_strap: NotchStrap,
    pub splice_plate: Hardware,
    pub corner_strap: Hardware,
    pub step_tie: StepTie,
    pub nails: Nails,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Offset {
    pub inches: f64,
    pub text: String,
    pub source: String,
}
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Plain {
    pub text: String,
    pub source: String,
}
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct NotchStrap {
    pub share: f64,
    pub text: String,
    pub source: String,
    pub hardware: String,
    pub nails: u32,
    pub nail: String,
}
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Hardware {
    pub text: String,
    pub source: String,
    pub hardware: String,
    pub nails: u32,
    pub nail: String,
}
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct StepTie {
    pub text: String,
    pub source: String,
    pub hardware: String,
    pub count: u32,
}
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Nails {
    pub upper_to_lower: StudNails,
    pub lap: ByWidth,
    pub splice: Splice,
    pub joint: EachSide,
    pub exterior_end: Count,
    pub stud: ByWidth,
    pub floor: Spaced,
}
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct StudNails {
    pub nail: String,
    pub per_stud: u32,
    pub max_spacing: f64,
    pub text: String,
    pub source: String,
}
/// `narrow` up to a 2x4, `wide` from a 2x6.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct ByWidth {
    pub nail: String,
    pub narrow: u32,
    pub wide: u32,
    pub text: String,
    pub source: String,
}
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Splice {
    pub nail: String,
    pub each_side: u32,
    pub within: f64,
    pub text: String,
    pub source: String,
}
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct EachSide {
    pub each_side: u32,
    pub text: String,
    pub source: String,
}
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Count {
    pub nail: String,
    pub count: u32,
    pub text: String,
    pub source: String,
}
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Spaced {
    pub nail: String,
    pub max_spacing: f64,
    pub text: String,
    pub source: String,
}

const SETS: [(&str, &str); 1] = [("irc-2021", include_str!("../rules/irc-2021.toml"))];

impl RuleSet {
    /// The set named in the settings.
    pub(crate) fn named(name: &str) -> Result<RuleSet, Refusal> {
        let bad =
            |why: String| Refusal::because(Finding::new(input::SETTINGS_BAD, why).about("rules"));
        let known = || SETS.map(|(n, _)| n).join(", ");
        let (_, text) =
            SETS.iter().find(|(n, _)| n.eq_ignore_ascii_case(name)).ok_or_else(|| {
                bad(format!("rules = \"{name}\" is not a rule set; known: {}.", known()))
            })?;
        toml::from_str(text).map_err(|e| bad(format!("rule set {name} cannot be read: {e}")))
    }

    /// Least distance between joints: the setting, else the rule.
    pub(crate) fn joint_offset(&self, settings: &Settings) -> Length {
        let rule = Length::from_inches(self.joint_offset.inches).unwrap_or(Length::inches(24));
        settings.plates.joint_offset.unwrap_or(rule)
    }

    /// The rows as the report prints them.
    pub(crate) fn notes(&self, settings: &Settings) -> Vec<RuleNote> {
        let n = &self.nails;
        let mut notes: Vec<RuleNote> = [
            (&self.joint_offset.text, &self.joint_offset.source),
            (&self.lap.text, &self.lap.source),
            (&self.notch_strap.text, &self.notch_strap.source),
            (&self.splice_plate.text, &self.splice_plate.source),
            (&self.corner_strap.text, &self.corner_strap.source),
            (&self.step_tie.text, &self.step_tie.source),
            (&n.upper_to_lower.text, &n.upper_to_lower.source),
            (&n.lap.text, &n.lap.source),
            (&n.splice.text, &n.splice.source),
            (&n.joint.text, &n.joint.source),
            (&n.exterior_end.text, &n.exterior_end.source),
            (&n.stud.text, &n.stud.source),
            (&n.floor.text, &n.floor.source),
        ]
        .into_iter()
        .map(|(text, source)| RuleNote { text: text.clone(), source: source.clone() })
        .collect();
        if let Some(offset) = settings.plates.joint_offset {
            notes.insert(
                0,
                RuleNote {
                    text: format!("Joint offset set to {}", offset.feet_inches()),
                    source: "settings".into(),
                },
            );
        }
        notes.insert(0, RuleNote { text: self.title.clone(), source: self.name.clone() });
        notes
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_set_reads_and_the_unknown_is_named() {
        for (name, _) in SETS {
            let r = RuleSet::named(name).unwrap();
            assert_eq!(r.name, name);
            assert!(r.notes(&Settings::default()).iter().all(|n| !n.source.is_empty()));
        }
        let e = RuleSet::named("irc-1066").unwrap_err();
        assert!(e.to_string().contains("irc-2021"), "{e}");
    }

    /// FACTS 1.1: IRC R602.3.2, end joints offset at least 24 in (610 mm).
    #[test]
    fn irc_joint_offset() {
        let r = RuleSet::named("irc-2021").unwrap();
        assert_eq!(r.joint_offset(&Settings::default()), Length::inches(24));
    }
}
