//! Rule sets: data files with a source on every row. A rule never hides in code.
//!
//! Knows: what each standard or practice asks for, as numbers and words (`rules/*.toml`). Never touches: how a plan is made
//! to keep to it, or proved to. Lengths are in inches.

use diag::{Finding, Refusal, codes::input};
use geom::Length;
use plan_model::RuleNote;
use serde::Deserialize;
use settings::Settings;
use std::sync::OnceLock;

/// A rule set as its data file says it; field names are the file's.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RuleSet {
    /// As the settings name it.
    pub name: String,
    /// As the report prints it.
    pub title: String,
    /// End joints of the two top plates.
    pub joint_offset: Offset,
    /// Laps at corners and intersections.
    pub lap: Plain,
    /// Straps across notches.
    pub notch_strap: NotchStrap,
    /// Plates over joints too near each other.
    pub splice_plate: Hardware,
    /// Plates where nothing laps.
    pub corner_strap: Hardware,
    /// Ties where heights differ.
    pub step_tie: StepTie,
    /// How many nails.
    pub nails: Nails,
    /// Bolts through bottom plates on concrete.
    pub anchors: Anchors,
}

/// Bolts through bottom plates on concrete; lengths in inches.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Anchors {
    /// What to buy.
    pub bolt: String,
    /// No farther apart than this.
    pub max_spacing: f64,
    /// The bolts nearest to a plate's ends lie no farther from them than this,
    pub end_most: f64,
    /// and no nearer than this.
    pub end_least: f64,
    /// Plates no longer than this get none.
    pub none_up_to: f64,
    /// The rule in words.
    pub text: String,
    /// Standard and section, or "common practice, no source".
    pub source: String,
}

/// The least distance between joints of the two top plates.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Offset {
    /// A fixed distance, or
    pub inches: Option<f64>,
    /// so many stud spacings.
    pub stud_spacings: Option<f64>,
    /// The rule in words.
    pub text: String,
    /// Standard and section, or "common practice, no source".
    pub source: String,
}
/// A rule in words.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Plain {
    /// The rule in words.
    pub text: String,
    /// Standard and section, or "common practice, no source".
    pub source: String,
}
/// When a notched plate gets a strap, and which.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NotchStrap {
    /// A strap where more than this share of the width is taken, or
    pub share: Option<f64>,
    /// where less than this much of it (inches) is left.
    pub left: Option<f64>,
    /// The rule in words.
    pub text: String,
    /// Standard and section, or "common practice, no source".
    pub source: String,
    /// What to buy.
    pub hardware: String,
    /// How many nails each takes.
    pub nails: u32,
    /// Which nail.
    pub nail: String,
}
/// A metal plate and its nails.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hardware {
    /// The rule in words.
    pub text: String,
    /// Standard and section, or "common practice, no source".
    pub source: String,
    /// What to buy.
    pub hardware: String,
    /// How many nails each takes.
    pub nails: u32,
    /// Which nail.
    pub nail: String,
}
/// What ties plates of different height.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StepTie {
    /// The rule in words.
    pub text: String,
    /// Standard and section, or "common practice, no source".
    pub source: String,
    /// What to buy.
    pub hardware: String,
    /// How many.
    pub count: u32,
}
/// The nailing schedule.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Nails {
    /// Upper plate to lower plate.
    pub upper_to_lower: StudNails,
    /// Laps at corners and intersections.
    pub lap: ByWidth,
    /// On each side of an end joint.
    pub splice: Splice,
    /// Close beside a joint.
    pub joint: EachSide,
    /// At a piece's end at an exterior corner.
    pub exterior_end: Count,
    /// Plates to studs.
    pub stud: ByWidth,
    /// Bottom plate to the floor.
    pub floor: Spaced,
}
/// Nails of the upper plate into the lower one.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StudNails {
    /// Which nail.
    pub nail: String,
    /// Over each stud.
    pub per_stud: u32,
    /// No farther apart than this.
    pub max_spacing: f64,
    /// The rule in words.
    pub text: String,
    /// Standard and section, or "common practice, no source".
    pub source: String,
}
/// `narrow` up to a 2x4, `wide` from a 2x6.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ByWidth {
    /// Which nail.
    pub nail: String,
    /// In a 2x4.
    pub narrow: u32,
    /// In a 2x6 and wider.
    pub wide: u32,
    /// The rule in words.
    pub text: String,
    /// Standard and section, or "common practice, no source".
    pub source: String,
}
/// Nails on each side of an end joint.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Splice {
    /// Which nail.
    pub nail: String,
    /// On each side.
    pub each_side: u32,
    /// Within this distance of the joint.
    pub within: f64,
    /// The rule in words.
    pub text: String,
    /// Standard and section, or "common practice, no source".
    pub source: String,
}
/// Nails close beside a joint.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EachSide {
    /// On each side.
    pub each_side: u32,
    /// The rule in words.
    pub text: String,
    /// Standard and section, or "common practice, no source".
    pub source: String,
}
/// A fixed number of nails.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Count {
    /// Which nail.
    pub nail: String,
    /// How many.
    pub count: u32,
    /// The rule in words.
    pub text: String,
    /// Standard and section, or "common practice, no source".
    pub source: String,
}
/// Nails at a spacing.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Spaced {
    /// Which nail.
    pub nail: String,
    /// No farther apart than this.
    pub max_spacing: f64,
    /// The rule in words.
    pub text: String,
    /// Standard and section, or "common practice, no source".
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
pub fn names() -> impl Iterator<Item = &'static str> {
    SETS.iter().map(|s| s.0)
}

impl NotchStrap {
    /// Whether a cut of this depth in a plate of this width needs the strap.
    pub fn needed(&self, depth: Length, width: Length) -> bool {
        let over = |share: f64| depth.nm() as f64 > width.nm() as f64 * share;
        let under = |left: f64| Length::from_inches(left).is_some_and(|l| width - depth < l);
        self.share.is_some_and(over) || self.left.is_some_and(under)
    }
}

impl RuleSet {
    /// The set named in the settings, read once.
    ///
    /// # Errors
    /// When there is none of that name.
    pub fn named(name: &str) -> Result<&'static RuleSet, Refusal> {
        static READ: [OnceLock<Result<RuleSet, String>>; SETS.len()] =
            [const { OnceLock::new() }; SETS.len()];
        let bad =
            |why: String| Refusal::because(Finding::new(input::SETTINGS_BAD, why).about("rules"));
        let known = || SETS.map(|(n, _)| n).join(", ");
        let which =
            SETS.iter().position(|(n, _)| n.eq_ignore_ascii_case(name)).ok_or_else(|| {
                bad(format!("rules = \"{name}\" is not a rule set; known: {}.", known()))
            })?;
        let read = || toml::from_str(SETS[which].1).map_err(|e| e.to_string());
        let set = READ[which].get_or_init(read).as_ref();
        set.map_err(|e| bad(format!("rule set {name} cannot be read: {e}")))
    }

    /// Least distance between joints: the setting, else the rule.
    pub fn joint_offset(&self, settings: &Settings) -> Length {
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
    pub fn notes(&self, settings: &Settings) -> Vec<RuleNote> {
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
