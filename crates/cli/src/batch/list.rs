//! The lots of a batch: from a folder of drawings, or from a CSV manifest.

use crate::files;
use crate::flags;
use diag::{Finding, Refusal, codes::output};
use settings::Mirror;
use settings::parse::nearest;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// One drawing to plan.
#[derive(Debug, PartialEq)]
pub struct Lot {
    /// Its name, and the name of its folder.
    pub name: String,
    /// The drawing.
    pub file: PathBuf,
    /// Its own settings, in place of the batch's.
    pub settings: Option<PathBuf>,
    /// Its own mirroring, over everything else.
    pub mirror: Option<Mirror>,
}

const ENDINGS: [&str; 3] = ["dxf", "ifc", "ifczip"];
const COLUMNS: [&str; 4] = ["lot", "file", "settings", "mirror"];

/// The lots of a manifest or folder; at least one.
pub fn read(input: &Path) -> Result<Vec<Lot>, Refusal> {
    let lots = if input.is_dir() { of_folder(input)? } else { of_manifest(input)? };
    if lots.is_empty() {
        return Err(bad(input, "there is no drawing in it".to_owned()));
    }
    Ok(lots)
}

fn bad(input: &Path, what: String) -> Refusal {
    let message = format!("{}: {what}.", files::name(input));
    Refusal::because(Finding::new(output::BATCH_BAD, message).about(files::name(input)))
}

/// Every drawing right in the folder, by name. Two drawings whose names differ only in their endings
/// keep the endings in their lot names.
fn of_folder(folder: &Path) -> Result<Vec<Lot>, Refusal> {
    let unreadable = |e| Refusal::because(files::unreadable(folder, &e));
    let mut drawings = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(unreadable)? {
        let path = entry.map_err(unreadable)?.path();
        let ending = path.extension().map(|e| e.to_string_lossy().to_ascii_lowercase());
        if ending.is_some_and(|e| ENDINGS.contains(&e.as_str())) && path.is_file() {
            drawings.push(path);
        }
    }
    drawings.sort();
    let mut stems: BTreeMap<String, usize> = BTreeMap::new();
    for d in &drawings {
        *stems.entry(files::stem(d).to_lowercase()).or_default() += 1;
    }
    let mut lots = Vec::new();
    for file in drawings {
        let stem = files::stem(&file);
        let name = if stems[&stem.to_lowercase()] > 1 { files::name(&file) } else { stem };
        folder_name(&name).map_err(|why| bad(&file, why))?;
        lots.push(Lot { name, file, settings: None, mirror: None });
    }
    Ok(lots)
}

fn of_manifest(path: &Path) -> Result<Vec<Lot>, Refusal> {
    let bytes = std::fs::read(path).map_err(|e| Refusal::because(files::unreadable(path, &e)))?;
    let text = String::from_utf8(bytes)
        .map_err(|_| bad(path, "it is not UTF-8 text; save it again as CSV UTF-8".to_owned()))?;
    let folder = path.parent().unwrap_or(Path::new("."));
    let lots = of_csv(&text, folder).map_err(|(line, what)| match line {
        Some(line) => bad(path, format!("line {line}: {what}")),
        None => bad(path, what),
    })?;
    Ok(lots)
}

type Mistake = (Option<u64>, String);

fn of_csv(text: &str, folder: &Path) -> Result<Vec<Lot>, Mistake> {
    let text = text.trim_start_matches('\u{feff}');
    let mut reader = csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(text.as_bytes());
    let broken = |e: csv::Error| (e.position().map(csv::Position::line), e.to_string());
    let columns = columns(reader.headers().map_err(broken)?)?;
    let mut lots: Vec<Lot> = Vec::new();
    let mut seen: BTreeMap<String, u64> = BTreeMap::new();
    for row in reader.records() {
        let row = row.map_err(broken)?;
        let line = row.position().map(csv::Position::line);
        let wrong = |what: String| (line, what);
        let cell = |name: &str| {
            let at = columns.get(name).copied();
            at.and_then(|i| row.get(i)).filter(|c| !c.is_empty())
        };
        let name = cell("lot").ok_or_else(|| wrong("the lot has no name".to_owned()))?;
        folder_name(name).map_err(wrong)?;
        let file = cell("file").ok_or_else(|| wrong(format!("lot {name} has no file")))?;
        if let Some(first) = seen.insert(name.to_lowercase(), line.unwrap_or(0)) {
            return Err(wrong(format!("lot {name} is already on line {first}")));
        }
        let mirror = cell("mirror").map(flags::mirror).transpose();
        let mirror = mirror.map_err(|why| wrong(format!("mirror of lot {name}: {why}")))?;
        lots.push(Lot {
            name: name.to_owned(),
            file: folder.join(file),
            settings: cell("settings").map(|s| folder.join(s)),
            mirror,
        });
    }
    Ok(lots)
}

/// Where each column stands.
fn columns(header: &csv::StringRecord) -> Result<BTreeMap<&'static str, usize>, Mistake> {
    let mut at = BTreeMap::new();
    for (i, name) in header.iter().enumerate() {
        let Some(known) = COLUMNS.into_iter().find(|c| c.eq_ignore_ascii_case(name)) else {
            let hint = match nearest(name, COLUMNS) {
                Some(near) => format!("did you mean '{near}'"),
                None => format!("known are {}", COLUMNS.join(", ")),
            };
            return Err((Some(1), format!("unknown column '{name}'; {hint}")));
        };
        if at.insert(known, i).is_some() {
            return Err((Some(1), format!("column '{known}' is there twice")));
        }
    }
    for needed in ["lot", "file"] {
        if !at.contains_key(needed) {
            return Err((Some(1), format!("there is no column '{needed}'")));
        }
    }
    Ok(at)
}

/// Whether a lot's name can be a folder's name on every system. Two lots never share a folder, and no
/// lot reaches outside the output folder.
fn folder_name(name: &str) -> Result<(), String> {
    const FORBIDDEN: [char; 9] = ['/', '\\', ':', '*', '?', '"', '<', '>', '|'];
    const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];
    let lower = name.to_lowercase();
    let first = lower.split('.').next().unwrap_or_default();
    let port = |p: &str| {
        first.strip_prefix(p).is_some_and(|n| n.len() == 1 && n.bytes().all(|b| b.is_ascii_digit()))
    };
    let why = if name.chars().any(|c| FORBIDDEN.contains(&c) || c.is_control()) {
        "a character that folder names cannot have"
    } else if name.starts_with('.') || name.ends_with('.') || name.trim() != name {
        "a dot at its start or end, or a space there"
    } else if DEVICES.contains(&first) || port("com") || port("lpt") {
        "the name of a device on Windows"
    } else if name.len() > 100 {
        "more than 100 bytes"
    } else {
        return Ok(());
    };
    let shown: String = name.chars().take(60).flat_map(char::escape_debug).collect();
    Err(format!("lot name '{shown}' cannot be a folder name: it has {why}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn csv(text: &str) -> Result<Vec<Lot>, Mistake> {
        of_csv(text, Path::new("m"))
    }

    #[test]
    fn reads_a_manifest() {
        let lots =
            csv("\u{feff}file, lot ,mirror,settings\r\na.dxf,12,x,\r\n\"b, c.ifc\",13,,s.toml\r\n")
                .unwrap();
        assert_eq!(
            lots,
            [
                Lot {
                    name: "12".into(),
                    file: "m/a.dxf".into(),
                    settings: None,
                    mirror: Some(Mirror::X)
                },
                Lot {
                    name: "13".into(),
                    file: "m/b, c.ifc".into(),
                    settings: Some("m/s.toml".into()),
                    mirror: None
                },
            ]
        );
    }

    #[test]
    fn names_the_line_of_a_mistake() {
        for (text, line, part) in [
            ("lot,fiel\n", Some(1), "did you mean 'file'"),
            ("lot\n1\n", Some(1), "no column 'file'"),
            ("lot,file,lot\n", Some(1), "twice"),
            ("lot,file\n1,a.dxf\n1,b.dxf\n", Some(3), "already on line 2"),
            ("lot,file\nLot,a.dxf\nlOT,b.dxf\n", Some(3), "already on line 2"),
            ("lot,file\n,a.dxf\n", Some(2), "no name"),
            ("lot,file\n1,\n", Some(2), "no file"),
            ("lot,file\n../up,a.dxf\n", Some(2), "cannot have"),
            ("lot,file\n..,a.dxf\n", Some(2), "a dot"),
            ("lot,file\nNUL.x,a.dxf\n", Some(2), "device"),
            ("lot,file\nCOM7,a.dxf\n", Some(2), "device"),
            ("lot,file,mirror\n1,a.dxf,z\n", Some(2), "allowed are none, x, y"),
            ("lot,file\n1,a.dxf,x\n", Some(2), "fields"),
        ] {
            let (at, what) = csv(text).unwrap_err();
            assert_eq!(at, line, "{text}: {what}");
            assert!(what.contains(part), "{text}: {what}");
        }
    }
}
