//! Writing the tables over all lots. A file that would come out the same is left alone.

use super::folder::{Folders, partial_of, write_file};
use super::prepare::Force;
use crate::files;
use crate::files::why;
use diag::{Finding, Refusal, codes::output};
use export::ExportError;
use lumber::Section;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::{self, BufRead, BufReader, BufWriter, Read, Write};
use std::path::Path;
use std::sync::Arc;
use subdivision::pool::{PoolLot, Pools, read_plan};
use subdivision::{Entry, natural};

/// Writes every roll-up into `out`.
pub fn write(
    out: &Path,
    project: &str,
    entries: &[Entry],
    pool: Option<&BTreeMap<&str, Arc<Force>>>,
    folders: &Folders,
) -> Result<(), Refusal> {
    let composed = |e: ExportError| {
        Refusal::because(Finding::new(output::INTERNAL, format!("{e}.")).about("roll-ups"))
    };
    let mut tables = subdivision::tables(entries).map_err(composed)?;
    if let Some(forces) = pool {
        tables.extend(pooled(entries, forces, folders, composed)?);
    }
    let mut names: Vec<&str> = tables.iter().map(|(name, _)| *name).collect();
    names.push(subdivision::CUTS);
    names.sort();
    let page = subdivision::index_page(project, entries, &names);
    tables.push(("index.html", page.into_bytes()));
    for (name, bytes) in &tables {
        let path = out.join(name);
        write_file(&path, bytes).map_err(|e| unwritable(&path, &e))?;
    }
    if pool.is_none() {
        // Pooled boards of an earlier run may be of other lots.
        for name in ["pool.csv", "pool-stock.csv"] {
            match fs::remove_file(out.join(name)) {
                Err(e) if e.kind() != io::ErrorKind::NotFound => {
                    return Err(unwritable(&out.join(name), &e));
                }
                _ => {}
            }
        }
    }
    let path = out.join(subdivision::CUTS);
    cuts(&path, entries, folders).map_err(|(at, e)| unwritable(at.as_deref().unwrap_or(&path), &e))
}

fn unwritable(path: &Path, e: &io::Error) -> Refusal {
    let message = format!("{} could not be written: {}.", path.display(), why(e));
    Refusal::because(Finding::new(output::OUTPUT_UNWRITABLE, message))
}

/// Planned lots, by name.
fn planned<'a, 'b>(entries: &'a [Entry<'b>]) -> Vec<&'a Entry<'b>> {
    let mut all: Vec<&Entry> = entries.iter().filter(|e| e.is_planned()).collect();
    all.sort_by(|a, b| natural(&a.lot.name, &b.lot.name));
    all
}

type Failed = (Option<std::path::PathBuf>, io::Error);

/// The cut lists of all lots in one file, with one header. They are copied through: very many lots make
/// a file that no memory holds.
fn cuts(path: &Path, entries: &[Entry], folders: &Folders) -> Result<(), Failed> {
    let partial = partial_of(path);
    let own = |e| (None, e);
    let mut out = BufWriter::new(File::create(&partial).map_err(own)?);
    let mut first = true;
    for e in planned(entries) {
        let from = folders.of(&e.lot.name).join("cuts.csv");
        let theirs = |e| (Some(from.clone()), e);
        let mut lines = BufReader::new(File::open(&from).map_err(theirs)?);
        let mut header = Vec::new();
        lines.read_until(b'\n', &mut header).map_err(theirs)?;
        if std::mem::take(&mut first) {
            out.write_all(&header).map_err(own)?;
        }
        io::copy(&mut lines, &mut out).map_err(own)?;
    }
    out.flush().map_err(own)?;
    drop(out);
    if same(&partial, path).unwrap_or(false) {
        return fs::remove_file(&partial).map_err(own);
    }
    fs::rename(&partial, path).map_err(own)
}

/// Whether two files hold the same.
fn same(a: &Path, b: &Path) -> io::Result<bool> {
    if fs::metadata(a)?.len() != fs::metadata(b)?.len() {
        return Ok(false);
    }
    let (mut a, mut b) = (File::open(a)?, File::open(b)?);
    let (mut x, mut y) = (vec![0; 1 << 16], vec![0; 1 << 16]);
    loop {
        let n = a.read(&mut x)?;
        if n == 0 {
            return Ok(true);
        }
        b.read_exact(&mut y[..n])?;
        if x[..n] != y[..n] {
            return Ok(false);
        }
    }
}

/// Boards over all lots of each group.
fn pooled(
    entries: &[Entry],
    forces: &BTreeMap<&str, Arc<Force>>,
    folders: &Folders,
    composed: impl Fn(ExportError) -> Refusal,
) -> Result<Vec<subdivision::NamedBytes>, Refusal> {
    let mut groups: BTreeMap<&str, Vec<&Entry>> = BTreeMap::new();
    for e in planned(entries) {
        groups.entry(&e.lot.group).or_default().push(e);
    }
    let mut groups: Vec<(&str, Vec<&Entry>)> = groups.into_iter().collect();
    groups.sort_by(|a, b| natural(a.0, b.0));
    let mut pools = Pools::new().map_err(&composed)?;
    for (group, members) in groups {
        let lots: Result<Vec<PoolLot>, Refusal> =
            members.par_iter().filter_map(|e| pool_lot(e, forces, folders).transpose()).collect();
        pools.add(group, lots?).map_err(&composed)?;
    }
    pools.finish().map_err(composed)
}

fn pool_lot<'a>(
    e: &'a Entry,
    forces: &'a BTreeMap<&str, Arc<Force>>,
    folders: &Folders,
) -> Result<Option<PoolLot<'a>>, Refusal> {
    let name = e.lot.name.as_str();
    let (Some(force), Some(record)) = (forces.get(name), &e.record) else { return Ok(None) };
    let path = folders.of(name).join("plan.json");
    let (pieces, _) = read_plan(&files::bytes(&path)?).map_err(|why| {
        let message = format!("{}: {why}.", path.display());
        Refusal::because(Finding::new(diag::codes::input::PLAN_BAD, message).about(name))
    })?;
    let apart = record.lumber.iter().filter_map(|l| {
        Section::from_name(&l.section).map(|section| ((section, l.treated), l.bought_ft))
    });
    Ok(Some(PoolLot {
        name,
        group: &e.lot.group,
        pieces,
        stock: &force.settings.stock,
        apart_ft: apart.collect(),
    }))
}
