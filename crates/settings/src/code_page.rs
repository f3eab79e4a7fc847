//! Code pages that the texts of a drawing may be written in, by name.

/// How the texts of a drawing before release 2007 are written, where its header does not say or says wrongly.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CodePage(&'static str);

/// What may be set: Unicode, the pages of Windows and DOS by number, those of ISO and the Macintosh by name.
const NAMES: &[&str] = &[
    "utf-8",
    "437",
    "720",
    "737",
    "775",
    "850",
    "852",
    "855",
    "857",
    "858",
    "860",
    "861",
    "862",
    "863",
    "864",
    "865",
    "866",
    "869",
    "874",
    "932",
    "936",
    "949",
    "950",
    "1250",
    "1251",
    "1252",
    "1253",
    "1254",
    "1255",
    "1256",
    "1257",
    "1258",
    "iso8859-1",
    "iso8859-2",
    "iso8859-3",
    "iso8859-4",
    "iso8859-5",
    "iso8859-6",
    "iso8859-7",
    "iso8859-8",
    "iso8859-9",
    "mac-roman",
];

impl CodePage {
    /// Every one there is.
    pub fn all() -> impl ExactSizeIterator<Item = CodePage> {
        NAMES.iter().map(|n| CodePage(n))
    }
    /// By its name, upper and lower case alike, or as a drawing's header writes it: `932`, `ANSI_932`, `DOS850`.
    pub fn from_name(text: &str) -> Option<CodePage> {
        let lower = text.trim().to_ascii_lowercase();
        let plain = ["ansi_", "dos", "cp"].iter().find_map(|p| lower.strip_prefix(p));
        let plain = plain.unwrap_or(&lower);
        NAMES.iter().find(|n| **n == plain).map(|n| CodePage(n))
    }
    /// As in the settings: `utf-8`, `932`, `iso8859-2`.
    pub const fn name(self) -> &'static str {
        self.0
    }
    /// Which may be, in words, for whoever wrote something else.
    pub fn allowed() -> String {
        format!("allowed are {}", NAMES.join(", "))
    }
}
