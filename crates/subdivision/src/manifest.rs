//! The manifest: which lots there are, as CSV or TOML.
//!
//! Every mistake is told at once, each with its line: a person corrects a list in one sitting.

use crate::{folder_name, names::one_folder, within};
use diag::{Finding, Refusal, codes::output};
use lists::List;
use settings::parse::{MIRROR_WORDS, nearest};
use settings::{LayerRule, LayerUse, Mirror};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use toml::de::{DeTable, DeValue};

/// The columns of a manifest; of a TOML manifest, the keys of each `[[lot]]`.
pub const COLUMNS: [&str; 10] = [
    "lot",
    "file",
    "region",
    "mirror",
    "layers",
    "settings",
    "overrides",
    "group",
    "due",
    "storey",
];
/// More lots than this are several subdivisions.
const MOST_LOTS: usize = 1_000_000;
/// Mistakes told; a list with more of them is the wrong file.
const MOST_TOLD: usize = 50;

/// A choice of option layers, before all layer rules of the settings.
#[derive(Clone, Debug, PartialEq)]
pub enum LayerChoice {
    /// One rule.
    Rule(LayerRule),
    /// The `[[layers]]` of a settings file.
    File(PathBuf),
}

/// One lot to plan.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Lot {
    /// Its name, and the name of its folder.
    pub name: String,
    /// The drawing.
    pub file: PathBuf,
    /// Where the manifest says so, for messages; empty for a drawing found in a folder.
    pub place: String,
    /// Its own settings, in place of the batch's.
    pub settings: Option<PathBuf>,
    /// A reviewer's edits of its drawing.
    pub overrides: Option<PathBuf>,
    /// Its own mirroring, over everything else.
    pub mirror: Option<Mirror>,
    /// The drawings of the sheet to plan (DXF), over everything else; empty: as the settings say.
    pub regions: Vec<String>,
    /// Option layers.
    pub layers: Vec<LayerChoice>,
    /// Delivery or phase; may be empty.
    pub group: String,
    /// Due date, `2027-03-31`; may be empty.
    pub due: String,
}

/// The lots, in the order of the list, and what there is to say about how it was read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Manifest {
    /// At least one.
    pub lots: Vec<Lot>,
    /// Plain sentences without a full stop.
    pub notes: Vec<String>,
}

/// Cells by column, and the line they stand on.
struct Row {
    line: usize,
    cells: BTreeMap<&'static str, String>,
}

/// What is wrong, and on which line.
struct Mistake(Option<usize>, String);

/// What a cell holds is repeated in messages: control characters are spelled out.
fn plain(what: &str) -> String {
    let spelled = |c: char| c.is_control().then(|| c.escape_debug().to_string());
    what.chars().map(|c| spelled(c).unwrap_or_else(|| c.to_string())).collect()
}

fn refuse(name: &str, mistakes: Vec<Mistake>) -> Refusal {
    let more = mistakes.len().saturating_sub(MOST_TOLD);
    let tell = |Mistake(line, what): Mistake| {
        let place = line.map_or(String::new(), |n| format!(", line {n}"));
        Finding::new(output::BATCH_BAD, format!("{name}{place}: {}.", plain(&what))).about(name)
    };
    let mut findings: Vec<Finding> = mistakes.into_iter().take(MOST_TOLD).map(tell).collect();
    if more > 0 {
        let what = format!("{name}: and {more} more mistakes.");
        findings.push(Finding::new(output::BATCH_BAD, what).about(name));
    }
    Refusal { findings }
}

/// Reads a CSV manifest. `name` is the file's, `root` the folder that all paths are in.
///
/// # Errors
/// Every mistake, with its line.
pub fn read_csv(bytes: &[u8], name: &str, root: &Path) -> Result<Manifest, Refusal> {
    let one = |line, what| refuse(name, vec![Mistake(line, what)]);
    let lists::Text { text, mut notes } = lists::text(bytes).map_err(|why| one(None, why))?;
    let list = List::of(&text, &COLUMNS).map_err(|why| one(Some(1), why))?;
    if list.separator() != b',' {
        let word = if list.separator() == b';' { "semicolons" } else { "tabs" };
        notes.push(format!("its columns are set apart by {word}"));
    }
    let width = list.header().len();
    let (columns, wrong) = columns(list.header());
    // Without these two nothing can be said of a row.
    let readable = columns.contains_key("lot") && columns.contains_key("file");
    let mut mistakes: Vec<Mistake> = wrong.into_iter().map(|what| Mistake(Some(1), what)).collect();
    if !readable {
        return Err(refuse(name, mistakes));
    }
    let mut rows = Vec::new();
    for row in list {
        let lists::Row { line, cells } = row.map_err(|e| one(None, e))?;
        if cells.len() > width {
            let what = format!(
                "it has {} fields and the header has {width}; put a text with a separator in it into double quotes",
                cells.len()
            );
            mistakes.push(Mistake(Some(line), what));
            continue;
        }
        let filled = columns.iter().filter_map(|(c, i)| {
            cells.get(*i).filter(|cell| !cell.is_empty()).map(|cell| (*c, cell.to_owned()))
        });
        rows.push(Row { line, cells: filled.collect() });
        if rows.len() > MOST_LOTS {
            return Err(one(Some(line), format!("more than {MOST_LOTS} lots")));
        }
    }
    let lots = lots(rows, mistakes, name, root)?;
    Ok(Manifest { lots, notes })
}

/// Where each column stands, and what is wrong with them.
fn columns<'h>(
    header: impl IntoIterator<Item = &'h str>,
) -> (BTreeMap<&'static str, usize>, Vec<String>) {
    let (mut at, mut wrong) = (BTreeMap::new(), Vec::new());
    for (i, name) in header.into_iter().enumerate().filter(|(_, name)| !name.is_empty()) {
        match column(name) {
            Ok(known) if at.contains_key(known) => {
                wrong.push(format!("column '{known}' is there twice"));
            }
            Ok(known) => drop(at.insert(known, i)),
            Err(why) => wrong.push(why),
        }
    }
    for needed in ["lot", "file"] {
        if !at.contains_key(needed) {
            wrong.push(format!("there is no column '{needed}'"));
        }
    }
    (at, wrong)
}

/// The known column of that name; `storey` and `region` are one.
fn column(name: &str) -> Result<&'static str, String> {
    let known = COLUMNS.into_iter().find(|c| c.eq_ignore_ascii_case(name));
    let known = known.map(|c| if c == "storey" { "region" } else { c });
    known.ok_or_else(|| {
        let shown: String = name.chars().take(40).flat_map(char::escape_debug).collect();
        match nearest(name, COLUMNS) {
            Some(near) => format!("unknown column '{shown}'; did you mean '{near}'"),
            None => format!("unknown column '{shown}'; known are {}", COLUMNS.join(", ")),
        }
    })
}

/// Reads a TOML manifest: a `[[lot]]` table for each, with the columns of the CSV as keys.
///
/// # Errors
/// Every mistake, with its line.
pub fn read_toml(bytes: &[u8], name: &str, root: &Path) -> Result<Manifest, Refusal> {
    let one = |line, what| refuse(name, vec![Mistake(line, what)]);
    let lists::Text { text, notes } = lists::text(bytes).map_err(|why| one(None, why))?;
    let line_of = |at: usize| lists::Lines::of(&text).at(at);
    let table = DeTable::parse(&text).map_err(|e| {
        let line = e.span().map(|s| line_of(s.start));
        one(line, format!("this is not valid TOML: {}", e.message()))
    })?;
    let (mut rows, mut mistakes) = (Vec::new(), Vec::new());
    for (key, value) in table.get_ref() {
        let tables = match value.get_ref() {
            DeValue::Array(all) if key.get_ref() == "lot" => all,
            _ => {
                let what = format!("unknown key '{}'; each lot is a [[lot]] table", key.get_ref());
                mistakes.push(Mistake(Some(line_of(key.span().start)), what));
                continue;
            }
        };
        let mut lines = lists::Lines::of(&text);
        for lot in tables.iter() {
            let line = lines.at(lot.span().start);
            match lot.get_ref() {
                DeValue::Table(lot) => match cells(lot) {
                    Ok(cells) => rows.push(Row { line, cells }),
                    Err(what) => mistakes.push(Mistake(Some(line), what)),
                },
                _ => mistakes.push(Mistake(Some(line), "a lot must be a [[lot]] table".to_owned())),
            }
        }
    }
    let lots = lots(rows, mistakes, name, root)?;
    Ok(Manifest { lots, notes })
}

fn cells(lot: &DeTable) -> Result<BTreeMap<&'static str, String>, String> {
    let mut out = BTreeMap::new();
    for (key, value) in lot {
        let known = column(key.get_ref())?;
        let one = |v: &DeValue| match v {
            DeValue::String(s) => Some(s.trim().to_owned()),
            DeValue::Integer(n) => Some(n.to_string()),
            DeValue::Datetime(d) => Some(d.to_string()),
            _ => None,
        };
        let text = match value.get_ref() {
            DeValue::Array(all) if matches!(known, "region" | "layers") => {
                let parts: Option<Vec<String>> = all.iter().map(|v| one(v.get_ref())).collect();
                parts.map(|p| p.join("|"))
            }
            v => one(v),
        };
        let text = text.ok_or_else(|| format!("'{}' must be a text", key.get_ref()))?;
        if !text.is_empty() && out.insert(known, text).is_some() {
            return Err(format!("'{known}' is there twice"));
        }
    }
    Ok(out)
}

/// Lots of all rows, or every mistake in them.
fn lots(
    rows: Vec<Row>,
    mut mistakes: Vec<Mistake>,
    name: &str,
    root: &Path,
) -> Result<Vec<Lot>, Refusal> {
    let mut lots: Vec<Lot> = Vec::new();
    let mut seen: BTreeMap<String, (usize, String)> = BTreeMap::new();
    for row in rows {
        let wrong = |what| Mistake(Some(row.line), what);
        let own = row.cells.get("lot").map_or("", String::as_str);
        // A name is taken by its first row, whatever else is wrong with that.
        match seen.get(&one_folder(own)) {
            _ if own.is_empty() => {}
            Some((first, same)) if same == own => {
                mistakes.push(wrong(format!("lot {same} is already on line {first}; every lot needs its own name")));
            }
            Some((first, other)) => mistakes.push(wrong(format!(
                "lot {own} differs from {other}, already on line {first}, only in capitals or in how its accents are composed; they would share a folder on many systems",
            ))),
            None => drop(seen.insert(one_folder(own), (row.line, own.to_owned()))),
        }
        match lot(&row.cells, root) {
            Ok(lot) => lots.push(Lot { place: format!("{name}, line {}", row.line), ..lot }),
            Err(all) => mistakes.extend(all.into_iter().map(wrong)),
        }
    }
    if mistakes.is_empty() && lots.is_empty() {
        mistakes.push(Mistake(None, "there is no lot in it".to_owned()));
    }
    mistakes.sort_by_key(|m| m.0);
    if mistakes.is_empty() { Ok(lots) } else { Err(refuse(name, mistakes)) }
}

fn lot(cells: &BTreeMap<&'static str, String>, root: &Path) -> Result<Lot, Vec<String>> {
    let mut wrong = Vec::new();
    let cell = |name: &str| cells.get(name).map(String::as_str);
    let name = cell("lot").unwrap_or_default();
    if name.is_empty() {
        wrong.push("the lot has no name".to_owned());
    } else if let Err(why) = folder_name(name) {
        wrong.push(why);
    }
    let mut keep = |made: Result<PathBuf, String>| made.map_err(|why| wrong.push(why)).ok();
    let file = cell("file").map(|f| keep(within(root, f)));
    let settings = cell("settings").and_then(|f| keep(within(root, f)));
    let overrides = cell("overrides").and_then(|f| keep(within(root, f)));
    if file.is_none() {
        wrong.push(format!("lot {name} has no file"));
    }
    let mirror = cell("mirror").and_then(|word| {
        let found = MIRROR_WORDS.iter().find(|(w, _)| w.eq_ignore_ascii_case(word));
        if found.is_none() {
            wrong.push(format!("mirror of lot {name} is '{word}'; allowed are none, x, y"));
        }
        found.map(|(_, m)| *m)
    });
    let due = cell("due").unwrap_or_default();
    if !due.is_empty() && !is_date(due) {
        wrong.push(format!(
            "due date of lot {name} is '{due}'; write it as year-month-day, such as 2027-03-31"
        ));
    }
    let parts = |name: &str| -> Vec<String> {
        let all = cell(name).unwrap_or_default().split('|').map(str::trim);
        all.filter(|p| !p.is_empty()).map(str::to_owned).collect()
    };
    let regions = parts("region");
    let mut layers = Vec::new();
    for part in parts("layers") {
        match layer_choice(&part, root) {
            Ok(choice) => layers.push(choice),
            Err(why) => wrong.push(format!("layers of lot {name}: {why}")),
        }
    }
    if !wrong.is_empty() {
        return Err(wrong);
    }
    Ok(Lot {
        name: name.to_owned(),
        file: file.flatten().unwrap_or_default(),
        place: String::new(),
        settings,
        overrides,
        mirror,
        regions,
        layers,
        group: cell("group").unwrap_or_default().to_owned(),
        due: due.to_owned(),
    })
}

/// `A-WALL-OPTB*=wall`, or a settings file. Layer names have neither `|` nor `=` in them.
fn layer_choice(part: &str, root: &Path) -> Result<LayerChoice, String> {
    let Some((pattern, word)) = part.split_once('=') else {
        if part.to_lowercase().ends_with(".toml") {
            return within(root, part).map(LayerChoice::File);
        }
        return Err(format!(
            "'{part}' is neither LAYER=USE, such as A-WALL-OPTB*=wall, nor a .toml file"
        ));
    };
    let uses =
        [LayerUse::Wall, LayerUse::Door, LayerUse::Window, LayerUse::Opening, LayerUse::Ignore];
    let usage = uses.into_iter().find(|u| u.name().eq_ignore_ascii_case(word.trim()));
    let usage = usage.ok_or_else(|| {
        format!("'{}' is no use; allowed are {}", word.trim(), uses.map(LayerUse::name).join(", "))
    })?;
    Ok(LayerChoice::Rule(LayerRule {
        pattern: pattern.trim().to_owned(),
        usage,
        exterior: None,
        bearing: None,
        section: None,
        top: None,
        roof: None,
    }))
}

/// `2027-03-31`: the one form that no country reads the other way round.
fn is_date(text: &str) -> bool {
    let parts: Vec<&str> = text.split('-').collect();
    let [y, m, d] = parts.as_slice() else { return false };
    let number = |t: &str, digits: usize| {
        (t.len() == digits && t.bytes().all(|b| b.is_ascii_digit())).then(|| t.parse().unwrap_or(0))
    };
    let (Some(y), Some(m), Some(d)) = (number(y, 4), number(m, 2), number(d, 2)) else {
        return false;
    };
    let leap = y % 4 == 0 && (y % 100 != 0 || y % 400 == 0);
    let days = match m {
        2 => 28 + u32::from(leap),
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    };
    (1..=12).contains(&m) && (1..=days).contains(&d)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn csv(text: &str) -> Result<Manifest, String> {
        read_csv(text.as_bytes(), "m.csv", Path::new("m")).map_err(|e| e.to_string())
    }

    #[test]
    fn reads_a_manifest() {
        let m = csv("\u{feff}file, lot ,mirror,settings,storey,layers,group,due\r\na.dxf,12,X,,1|UPPER*,OPT-B*=wall|own.toml,north,2027-02-28\r\n\"b, c.ifc\",013\r\n,,,,\r\n")
            .unwrap();
        assert!(m.notes.is_empty());
        let [a, b] = m.lots.as_slice() else { panic!("{m:?}") };
        assert_eq!((a.name.as_str(), a.mirror, a.group.as_str()), ("12", Some(Mirror::X), "north"));
        assert_eq!(a.regions, ["1", "UPPER*"]);
        assert!(
            matches!(&a.layers[0], LayerChoice::Rule(r) if r.pattern == "OPT-B*" && r.usage == LayerUse::Wall)
        );
        assert_eq!(a.layers[1], LayerChoice::File("m/own.toml".into()));
        assert_eq!((b.name.as_str(), b.file.as_path()), ("013", Path::new("m/b, c.ifc")));
        assert_eq!(b.place, "m.csv, line 3");
    }

    #[test]
    fn every_mistake_is_told_at_once() {
        let e =
            csv("lot,file,colour,due\n1,a.dxf,red,2027-13-31\n1,b.dxf,,\nCON,c.dxf,,\n,d.dxf,,\n");
        let e = e.unwrap_err();
        for part in ["colour", "2027-13-31", "lot 1 is already on line 2", "CON", "has no name"] {
            assert!(e.contains(part), "{part}: {e}");
        }
        let e = csv("lott,file,file\n1,a.dxf,b.dxf\n").unwrap_err();
        assert!(e.contains("did you mean 'lot'") && e.contains("'file' is there twice"), "{e}");
    }

    #[test]
    fn toml_says_the_same() {
        let text = "[[lot]]\nlot = 12\nfile = \"a.dxf\"\nmirror = \"x\"\nregion = [\"1\", \"UPPER*\"]\ndue = 2027-02-28\n\n[[lot]]\nlot = \"13\"\nfile = \"b.dxf\"\n";
        let toml = read_toml(text.as_bytes(), "m.toml", Path::new("m")).unwrap();
        let same = csv("lot,file,mirror,region,due\n12,a.dxf,x,1|UPPER*,2027-02-28\n13,b.dxf,,,\n")
            .unwrap();
        let plain = |m: &Manifest| -> Vec<Lot> {
            m.lots.iter().map(|l| Lot { place: String::new(), ..l.clone() }).collect()
        };
        assert_eq!(plain(&toml), plain(&same));
        let bad = "[[lot]]\nlot = 1\nfile = \"a.dxf\"\n\n[[lot]]\nlot = 1\nfiel = \"b\"\n";
        let e = read_toml(bad.as_bytes(), "m.toml", Path::new("m")).unwrap_err().to_string();
        assert!(e.contains("line 5") && e.contains("did you mean 'file'"), "{e}");
    }

    #[test]
    fn semicolons_and_other_encodings_are_read_and_told() {
        let m = csv("lot;file\n1;a, b.dxf\n").unwrap();
        assert_eq!(m.lots[0].file, Path::new("m/a, b.dxf"));
        assert!(m.notes[0].contains("semicolons"));
        let m = read_csv(b"lot,file\nGr\xfcn,a.dxf\n", "m.csv", Path::new("m")).unwrap();
        assert_eq!(m.lots[0].name, "Grün");
        assert!(m.notes[0].contains("windows-1252"), "{:?}", m.notes);
    }

    #[test]
    fn control_characters_are_spelled_out_in_messages() {
        for text in [
            "lot,file,mirror\n1,a.dxf,\u{1b}[31mx\n",
            "lot,file,due\n1,a.dxf,\u{1b}[31m\n",
            "lot,file,layers\n\u{1b}[31m,a.dxf,X=\u{7f}\n",
            "lot,file\n\u{1b}[31m,\n",
        ] {
            let e = csv(text).unwrap_err();
            let told = e.contains("\\u{1b}[31m") || e.contains("\\u{7f}");
            assert!(told && !e.contains(['\u{1b}', '\u{7f}']), "{e:?}");
        }
    }

    #[test]
    fn names_the_line_of_every_mistake() {
        for (text, line, part) in [
            ("lot,fiel\n", "line 1", "did you mean 'file'"),
            ("lot\n1\n", "line 1", "no column 'file'"),
            ("lot,file,lot\n", "line 1", "twice"),
            ("lot,file,storey,region\n", "line 1", "twice"),
            ("lot,file\n1,a.dxf\n1,b.dxf\n", "line 3", "already on line 2"),
            ("lot,file\nLot,a.dxf\nlOT,b.dxf\n", "line 3", "only in capitals"),
            ("lot,file\nGr\u{fc}n,a.dxf\nGru\u{308}n,b.dxf\n", "line 3", "composed"),
            ("lot,file\n,a.dxf\n", "line 2", "no name"),
            ("lot,file\n1,\n", "line 2", "no file"),
            ("lot,file\n../up,a.dxf\n", "line 2", "cannot have"),
            ("lot,file\n1,../a.dxf\n", "line 2", "leads out"),
            ("lot,file,settings\n1,a.dxf,/etc/x.toml\n", "line 2", "leads out"),
            ("lot,file\nNUL.x,a.dxf\n", "line 2", "device"),
            ("lot,file,mirror\n1,a.dxf,z\n", "line 2", "allowed are none, x, y"),
            ("lot,file,due\n1,a.dxf,2/3/27\n", "line 2", "year-month-day"),
            ("lot,file,due\n1,a.dxf,2027-02-29\n", "line 2", "year-month-day"),
            ("lot,file,layers\n1,a.dxf,X=yes\n", "line 2", "allowed are wall"),
            ("lot,file,layers\n1,a.dxf,X\n", "line 2", "LAYER=USE"),
            ("lot,file\n1,a.dxf,x\n", "line 2", "fields"),
            ("lot,file\r\n\r\n1,a.dxf\r\n\r\n,b.dxf\r\n", "line 5", "no name"),
            ("lot,file\n", "m.csv", "no lot"),
        ] {
            let e = csv(text).unwrap_err();
            assert!(e.contains(line) && e.contains(part), "{text}: {e}");
        }
        let two = csv("lot,file\n,a.dxf\n1,\n").unwrap_err();
        assert!(two.contains("line 2") && two.contains("line 3"), "{two}");
        let many = csv(&format!("lot,file\n{}", ",a\n".repeat(500))).unwrap_err();
        assert!(many.contains("and 450 more") && many.lines().count() == 51, "{many}");
    }
}
