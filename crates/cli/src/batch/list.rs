//! The lots of a batch: from a folder of drawings, a pattern, or a manifest.

use crate::files;
use diag::{Finding, Refusal, codes::output};
use std::collections::BTreeMap;
use std::path::{Component, Path, PathBuf};
use subdivision::{Lot, Manifest, folder_name, one_folder};

const ENDINGS: [&str; 3] = ["dxf", "ifc", "ifczip"];

/// The lots of a manifest, folder or pattern; at least one. Paths of a manifest are below `drawings`, or
/// else below its own folder.
pub fn read(input: &Path, drawings: Option<&Path>) -> Result<Manifest, Refusal> {
    let text = input.to_string_lossy();
    let manifest = if input.is_dir() {
        Manifest { lots: of_drawings(in_folder(input)?, input)?, notes: Vec::new() }
    } else if !input.exists() && text.contains(['*', '?', '[']) {
        Manifest { lots: of_drawings(matching(&text, input)?, input)?, notes: Vec::new() }
    } else {
        let bytes = files::bytes(input)?;
        let root = drawings.unwrap_or_else(|| folder_around(input));
        let ending = input.extension().map(|e| e.to_ascii_lowercase());
        if ending.is_some_and(|e| e == "toml") {
            subdivision::read_toml(&bytes, &files::name(input), root)?
        } else {
            subdivision::read_csv(&bytes, &files::name(input), root)?
        }
    };
    if manifest.lots.is_empty() {
        return Err(bad(input, "there is no drawing in it".to_owned()));
    }
    Ok(manifest)
}

fn folder_around(file: &Path) -> &Path {
    match file.parent() {
        Some(p) if !p.as_os_str().is_empty() => p,
        _ => Path::new("."),
    }
}

fn bad(input: &Path, what: String) -> Refusal {
    let message = format!("{}: {what}.", files::name(input));
    Refusal::because(Finding::new(output::BATCH_BAD, message).about(files::name(input)))
}

fn is_drawing(path: &Path) -> bool {
    let ending = path.extension().map(|e| e.to_string_lossy().to_ascii_lowercase());
    ending.is_some_and(|e| ENDINGS.contains(&e.as_str())) && path.is_file()
}

/// Every drawing right in the folder.
fn in_folder(folder: &Path) -> Result<Vec<PathBuf>, Refusal> {
    let unreadable = |e| Refusal::because(files::unreadable(folder, &e));
    let entries = std::fs::read_dir(folder).map_err(unreadable)?;
    let paths: Result<Vec<PathBuf>, _> = entries.map(|e| e.map(|e| e.path())).collect();
    let mut paths = paths.map_err(unreadable)?;
    paths.retain(|p| is_drawing(p));
    Ok(paths)
}

/// Every drawing a pattern matches.
fn matching(pattern: &str, input: &Path) -> Result<Vec<PathBuf>, Refusal> {
    let paths =
        glob::glob(pattern).map_err(|e| bad(input, format!("the pattern is wrong: {e}")))?;
    let paths: Result<Vec<PathBuf>, _> = paths.collect();
    let mut paths = paths.map_err(|e| Refusal::because(files::unreadable(e.path(), e.error())))?;
    paths.retain(|p| is_drawing(p));
    Ok(paths)
}

/// A lot for each drawing, by name. Drawings whose names differ only in their endings keep the endings
/// in their lot names.
fn of_drawings(mut drawings: Vec<PathBuf>, input: &Path) -> Result<Vec<Lot>, Refusal> {
    drawings.sort();
    let mut stems: BTreeMap<String, usize> = BTreeMap::new();
    for d in &drawings {
        *stems.entry(one_folder(&files::stem(d))).or_default() += 1;
    }
    let mut lots: Vec<Lot> = Vec::new();
    let mut findings = Vec::new();
    let mut seen: BTreeMap<String, PathBuf> = BTreeMap::new();
    for file in drawings {
        let stem = files::stem(&file);
        let name = if stems[&one_folder(&stem)] > 1 { files::name(&file) } else { stem };
        if let Err(why) = folder_name(&name) {
            findings.extend(bad(&file, why).findings);
        }
        if let Some(first) = seen.insert(one_folder(&name), file.clone()) {
            let what = format!(
                "its lot would share the folder of {}; rename one, or list the lots in a manifest",
                first.display()
            );
            findings.extend(bad(&file, what).findings);
        }
        lots.push(Lot { name, file, ..Lot::default() });
    }
    if !findings.is_empty() {
        return Err(Refusal { findings });
    }
    if lots.is_empty() {
        return Err(bad(input, "there is no drawing in it".to_owned()));
    }
    Ok(lots)
}

/// Results must not go where drawings lie: a result could take a drawing's place, and results would be
/// taken for drawings the next time.
pub fn check_out(input: &Path, out: &Path, lots: &[Lot]) -> Result<(), Refusal> {
    let out_full = full(out);
    let inside = |what: &str| {
        let message = format!(
            "{} cannot be the folder for the results: {what}. Give another folder with -o.",
            out.display()
        );
        Err(Refusal::because(Finding::new(output::BATCH_BAD, message).about(files::name(out))))
    };
    if input.is_dir() && out_full.starts_with(full(input)) {
        return inside("it lies in the folder of the drawings");
    }
    if !input.is_dir() && full(folder_around(input)) == out_full {
        return inside("the list of lots lies in it");
    }
    // Drawings of one folder share their answer.
    let mut folders: Vec<&Path> = lots.iter().map(|l| folder_around(&l.file)).collect();
    folders.sort();
    folders.dedup();
    for folder in folders {
        if full(folder).starts_with(&out_full) {
            return inside(&format!("drawings lie in it or below it, in {}", folder.display()));
        }
    }
    Ok(())
}

/// The whole path, links followed as far as it exists.
fn full(path: &Path) -> PathBuf {
    let mut whole = PathBuf::new();
    for part in std::path::absolute(path).unwrap_or_else(|_| path.to_owned()).components() {
        match part {
            Component::ParentDir => {
                whole.pop();
            }
            part => whole.push(part),
        }
        if let Ok(real) = whole.canonicalize() {
            whole = real;
        }
    }
    whole
}
