//! Writing the tables over all lots. A file that would come out the same is left alone.

use super::folder::{Folders, partial_of, write_file};
use super::prepare::Force;
use crate::files;
use crate::files::why;
use diag::{Finding, Refusal, codes::output};
use export::{Column, ExportError, Table, feed};
use lumber::Section;
use rayon::prelude::*;
use settings::{FeedSettings, OnHandBoard};
use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::{self, BufReader, BufWriter, Read, Write};
use std::path::Path;
use std::sync::Arc;
use subdivision::columns::TABLES;
use subdivision::pool::{PoolLot, Pools, ToCut, read_plan};
use subdivision::{Entry, by_group, natural};

/// What to roll up, and how.
pub struct RollUp<'a> {
    /// The project's name.
    pub project: &'a str,
    /// Form of the tables.
    pub form: FeedSettings,
    /// Where boards are shared.
    pub pooled: Option<Pooled<'a>>,
    /// Parquet besides.
    pub parquet: bool,
    /// Where the lots are.
    pub folders: &'a Folders,
}

/// What the pool needs besides the lots' plans.
pub struct Pooled<'a> {
    /// The settings of each lot, by its name.
    pub forces: &'a BTreeMap<&'a str, Arc<Force>>,
    /// The yard's boards.
    pub on_hand: &'a [OnHandBoard],
}

/// Writes every roll-up into `out`.
pub fn write(out: &Path, entries: &[Entry], job: &RollUp) -> Result<(), Refusal> {
    let composed = |e: ExportError| {
        Refusal::because(Finding::new(output::INTERNAL, format!("{e}.")).about("roll-ups"))
    };
    let mut tables = subdivision::tables(entries, job.form).map_err(composed)?;
    if let Some(pool) = &job.pooled {
        tables.extend(pooled(entries, pool, job, composed)?);
    }
    let mut names: Vec<&str> = tables.iter().map(|(name, _)| *name).collect();
    names.push(subdivision::CUTS);
    names.sort();
    let written = TABLES.into_iter().filter(|(name, _)| names.contains(name));
    let parquet: Vec<String> = written.clone().map(|(name, _)| parquet_name(name)).collect();
    let mut listed = names.clone();
    if job.parquet {
        listed.extend(parquet.iter().map(String::as_str));
    }
    let page = subdivision::index_page(job.project, entries, &listed);
    tables.push(("index.html", page.into_bytes()));
    for (name, bytes) in &tables {
        let path = out.join(name);
        write_file(&path, bytes).map_err(|e| unwritable(&path, &e))?;
    }
    cuts(&out.join(subdivision::CUTS), entries, job)?;
    if job.parquet {
        for (name, columns) in written {
            as_parquet(&out.join(name), columns, job.form)?;
        }
    }
    // Tables of an earlier run that are not asked for now may be of other lots.
    for (name, _) in TABLES {
        let stale = [name.to_owned(), parquet_name(name)];
        let stale = stale.iter().filter(|n| !listed.contains(&n.as_str()));
        for path in stale.map(|n| out.join(n)) {
            match fs::remove_file(&path) {
                Err(e) if e.kind() != io::ErrorKind::NotFound => return Err(unwritable(&path, &e)),
                _ => {}
            }
        }
    }
    Ok(())
}

fn parquet_name(csv: &str) -> String {
    csv.replace(".csv", ".parquet")
}

fn unwritable(path: &Path, e: &io::Error) -> Refusal {
    let message = format!("{} could not be written: {}.", path.display(), why(e));
    Refusal::because(Finding::new(output::OUTPUT_UNWRITABLE, message))
}

/// A table that is written already, as Parquet beside it.
fn as_parquet(csv: &Path, columns: &[Column], form: FeedSettings) -> Result<(), Refusal> {
    let path = csv.with_extension("parquet");
    let partial = partial_of(&path);
    let own = |e: &io::Error| unwritable(&path, e);
    let from = File::open(csv).map_err(|e| Refusal::because(files::unreadable(csv, &e)))?;
    let to = File::create(&partial).map_err(|e| own(&e))?;
    let written = parquet_tables::write(BufWriter::new(to), BufReader::new(from), columns, form);
    if let Err(e) = written {
        let _ = fs::remove_file(&partial);
        return Err(match e.io() {
            Ok(e) => own(&e),
            Err(e) => Refusal::because(Finding::new(output::INTERNAL, format!("{e}."))),
        });
    }
    put_in_place(&partial, &path).map_err(|e| own(&e))
}

/// Gives a whole file its name; one that is the same already is left alone.
fn put_in_place(partial: &Path, path: &Path) -> io::Result<()> {
    if same(partial, path).unwrap_or(false) {
        return fs::remove_file(partial);
    }
    let moved = fs::rename(partial, path);
    if moved.is_err() {
        let _ = fs::remove_file(partial);
    }
    moved
}

/// Planned lots, by name.
fn planned<'a, 'b>(entries: &'a [Entry<'b>]) -> Vec<&'a Entry<'b>> {
    let mut all: Vec<&Entry> = entries.iter().filter(|e| e.is_planned()).collect();
    all.sort_by(|a, b| natural(&a.lot.name, &b.lot.name));
    all
}

/// The cut lists of all lots in one file, with one header. They are copied through: very many lots make
/// a file that no memory holds.
fn cuts(path: &Path, entries: &[Entry], job: &RollUp) -> Result<(), Refusal> {
    let partial = partial_of(path);
    let written = copy_cuts(&partial, path, entries, job)
        .and_then(|()| put_in_place(&partial, path).map_err(|e| unwritable(path, &e)));
    if written.is_err() {
        let _ = fs::remove_file(&partial);
    }
    written
}

fn copy_cuts(partial: &Path, path: &Path, entries: &[Entry], job: &RollUp) -> Result<(), Refusal> {
    let own = |e| unwritable(path, &e);
    let mut out = BufWriter::with_capacity(1 << 16, File::create(partial).map_err(own)?);
    let header = Table::of(&feed::CUTS, job.form).and_then(Table::finish);
    let header = header.map_err(|e| {
        Refusal::because(Finding::new(output::INTERNAL, format!("{e}.")).about("roll-ups"))
    })?;
    out.write_all(header.as_bytes()).map_err(own)?;
    for e in planned(entries) {
        let from = job.folders.of(&e.lot.name).join(subdivision::CUTS);
        let lines = fs::read(&from).map_err(|e| Refusal::because(files::unreadable(&from, &e)))?;
        let Some(rows) = lines.strip_prefix(header.as_bytes()) else {
            let message = format!(
                "{} has other columns than the table of all lots; plan that lot again, or give the same --feed-unit and --feed-decimal.",
                from.display()
            );
            return Err(Refusal::because(
                Finding::new(output::ROLLUP_BAD, message).about(&e.lot.name),
            ));
        };
        out.write_all(rows).map_err(own)?;
    }
    out.flush().map_err(own)
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
    pool: &Pooled,
    job: &RollUp,
    composed: impl Fn(ExportError) -> Refusal,
) -> Result<Vec<subdivision::NamedBytes>, Refusal> {
    let mut pools = Pools::new(job.form, pool.on_hand.to_vec()).map_err(&composed)?;
    for (group, members) in by_group(&planned(entries)) {
        let lots = members.par_iter();
        let lots = lots.filter_map(|e| pool_lot(e, pool.forces, job.folders).transpose());
        let lots: Result<Vec<PoolLot>, Refusal> = lots.collect();
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
    let (Some(force), Some(record)) = (forces.get(name), e.record) else { return Ok(None) };
    let path = folders.of(name).join("plan.json");
    let ToCut { pieces, .. } = read_plan(&files::bytes(&path)?).map_err(|why| {
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
