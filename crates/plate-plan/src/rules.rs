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
    pub anchors: Anchors,
}

/// Bolts through bottom plates on concrete; lengths in inches.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Anchors {
    pub bolt: String,
    pub max_spacing: f64,
    /// The bolts nearest to a plate's ends lie no farther from them than this,
    pub end_most: f64,
    /// and no nearer than this.
    pub end_least: f64,
    /// Plates no longer than this get none.
    pub none_up_to: f64,
    pub text: String,
    pub source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Offset {
    /// A fixed distance, or
    pub inches: Option<f64>,
    /// so many stud spacings.
    pub stud_spacings: Option<f64>,
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
    /// A strap where more than this share of the width is taken, or
    pub share: Option<f64>,
    /// where less than this much of it (inches) is left.
    pub left: Option<f64>,
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

const SETS: [(&str, &str); 5] = [
    ("irc-2018", include_str!("../rules/irc-2018.toml")),
    ("irc-2021", include_str!("../rules/irc-2021.toml")),
    ("irc-2024", include_str!("../rules/irc-2024.toml")),
    ("nbc-2020", include_str!("../rules/nbc-2020.toml")),
    ("practice", include_str!("../rules/practice.toml")),
];

/// Names of the rule sets there are.
pub(crate) fn names() -> impl Iterator<Item = &'static str> {
    SETS.iter().map(|s| s.0)
}

impl NotchStrap {
    /// Whether a cut of this depth in a plate of this width needs the strap.
    pub(crate) fn needed(&self, depth: Length, width: Length) -> bool {
        let over = |share: f64| depth.nm() as f64 > width.nm() as f64 * share;
        let under = |left: f64| Length::from_inches(left).is_some_and(|l| width - depth < l);
        self.share.is_some_and(over) || self.left.is_some_and(under)
    }
}

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
        settings.plates.joint_offset.unwrap_or(self.own_offset(settings))
    }

    fn own_offset(&self, settings: &Settings) -> Length {
        let Offset { inches, stud_spacings, .. } = &self.joint_offset;
        let fixed = inches.and_then(Length::from_inches);
        let spaced = stud_spacings.map(|n| settings.studs.spacing.scale(n));
        // Every set has one of the two (tested); 24 in is the commonest.
        fixed.or(spaced).unwrap_or(Length::inches(24))
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
        if settings.plates.on_concrete {
            let a = &self.anchors;
            notes.push(RuleNote { text: a.text.clone(), source: a.source.clone() });
        }
        let own = self.own_offset(settings);
        if let Some(offset) = settings.plates.joint_offset.filter(|o| *o != own) {
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
            assert!(r.joint_offset.inches.is_some() != r.joint_offset.stud_spacings.is_some());
            assert!(r.notch_strap.share.is_some() != r.notch_strap.left.is_some());
            let mut settings = Settings::default();
            assert!(r.notes(&settings).iter().all(|n| !n.source.is_empty()));
            // The rule's own offset is no setting, even where the settings in force repeat it.
            let set = |s: &Settings| r.notes(s).iter().any(|n| n.source == "settings");
            settings.plates.joint_offset = Some(r.joint_offset(&settings));
            assert!(!set(&settings));
            settings.plates.joint_offset = Some(Length::inches(30));
            assert!(set(&settings));
        }
        let e = RuleSet::named("irc-1066").unwrap_err();
        assert!(e.to_string().contains("irc-2021"), "{e}");
    }

    /// FACTS T3: OBC 2024 9.23.11.4.(1), one stud spacing. T16, T17: 9.23.5.4, 50 mm left of an 89 mm
    /// plate at a cut of 39 mm (pass) and 40 mm (reinforce), of a 140 mm plate at 90 and 91 mm.
    #[test]
    fn canadian_offset_and_notch() {
        let r = RuleSet::named("nbc-2020").unwrap();
        let mut s = Settings::default();
        s.studs.spacing = Length::mm(400);
        assert_eq!(r.joint_offset(&s), Length::mm(400));
        let mm = Length::mm;
        for (width, cut, strap) in
            [(89, 39, false), (89, 40, true), (140, 90, false), (140, 91, true)]
        {
            assert_eq!(r.notch_strap.needed(mm(cut), mm(width)), strap, "{cut} of {width}");
        }
    }

    /// FACTS T11, T12: IRC R602.6.1, more than half of 3.5 or 5.5 in.
    #[test]
    fn irc_notch_share() {
        let r = RuleSet::named("irc-2024").unwrap();
        let inch = |x: f64| Length::from_inches(x).unwrap();
        for (width, cut, strap) in
            [(3.5, 1.75, false), (3.5, 1.76, true), (5.5, 2.75, false), (5.5, 2.76, true)]
        {
            assert_eq!(r.notch_strap.needed(inch(cut), inch(width)), strap, "{cut} of {width}");
        }
    }

    /// FACTS 1.1: IRC R602.3.2, end joints offset at least 24 in (610 mm).
    #[test]
    fn irc_joint_offset() {
        let r = RuleSet::named("irc-2021").unwrap();
        assert_eq!(r.joint_offset(&Settings::default()), Length::inches(24));
    }
}
