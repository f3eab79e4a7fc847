//! `inspect`: what a drawing holds, as a page of text or as JSON.

mod json;
mod limits;

use crate::flags::InspectArgs;
use crate::say::{InDrawing, Say, count, plain};
use crate::{DONE, NOT_PLANNED, WITH_ERRORS, files, guard};
use ::limits::Watch;
use diag::{Refusal, Severity};
use geom::Length;
use pipeline::{Drawing, Inspection, Job, Junctions};
use wall_model::UnitsDecision;

/// What there is to show, where its plan lies, the limits where they are asked for.
type Seen = (Inspection, Option<InDrawing>, Option<Vec<limits::Row>>);

/// Runs the command: 0 when the drawing could be looked at and nothing in it is an error, 1 when there
/// is an error, 2 when there is nothing to show.
pub fn run(say: &mut Say, args: &InspectArgs) -> u8 {
    let file_name = files::name(&args.file);
    let seen = guard::caught(&file_name, || -> Result<Seen, Refusal> {
        let settings = args.settings.load()?;
        let watch = Watch::start(&settings.limits);
        let drawing = files::Drawing::open(&args.file, &settings.limits)?;
        let job = Job { file_name: &file_name, bytes: drawing.source(), settings: &settings };
        let seen = pipeline::inspect_within(job, &watch)?;
        drawing.check_unchanged()?;
        let limits = args.list_limits.then(|| limits::rows(&settings.limits, &seen.used, &watch));
        let place = InDrawing::seen(&seen, settings.mirror);
        Ok((seen, place, limits))
    });
    match seen.and_then(|seen| seen) {
        Ok((seen, place, limits)) => {
            if args.json {
                say.out(&json::text(&file_name, &seen, limits.as_deref()));
            } else {
                show(say, &file_name, &seen, place.as_ref());
                limits.iter().for_each(|rows| limits::show(say, rows));
                say.findings_in(seen.findings(), place.as_ref());
            }
            let error = seen.findings().iter().any(|f| f.severity == Severity::Error);
            if error { WITH_ERRORS } else { DONE }
        }
        Err(refusal) => {
            if args.json {
                say.out(&json::refused(&file_name, &refusal.findings));
            }
            say.findings(&refusal.findings);
            NOT_PLANNED
        }
    }
}

fn show(say: &mut Say, file_name: &str, seen: &Inspection, place: Option<&InDrawing>) {
    match &seen.drawing {
        Drawing::Dxf(i) => {
            let kind = if i.binary { "binary DXF" } else { "DXF" };
            head(say, file_name, kind, &i.version, &i.written_by);
            say.out(&verdict(seen));
            units(say, i.units.decision.as_ref());
            say.out(&format!("  header: {}", plain(&i.units.header)));
            for reading in &i.units.readings {
                let verdict = if reading.plausible { "plausible" } else { "not plausible" };
                say.out(&format!("  {:<3} {verdict}: {}", reading.unit, plain(&reading.text)));
            }
            layers(say, &i.layers);
            regions(say, &i.regions);
            heights(say, &i.heights);
            by_shape(say, &i.walls_by_shape);
        }
        Drawing::Ifc(i) => {
            head(say, file_name, "IFC", &i.version, &i.written_by);
            say.out(&verdict(seen));
            units(say, i.units.as_ref());
            say.out(&format!("walls: {} in the file, {} read", i.walls_in_file, i.walls_read));
            storeys(say, &i.storeys);
            types(say, &i.types);
        }
    }
    if let Some(j) = &seen.junctions {
        junctions(say, j, place);
    }
    ledger(say, seen);
    let proposal = match &seen.drawing {
        Drawing::Dxf(i) => &i.proposal,
        Drawing::Ifc(i) => &i.proposal,
    };
    if !proposal.is_empty() {
        say.out("settings that would map them:");
        for line in proposal {
            say.out(&format!("  {}", plain(line)));
        }
    }
}

fn head(say: &mut Say, file_name: &str, kind: &str, version: &str, written_by: &str) {
    let by =
        if written_by.is_empty() { String::new() } else { format!(", written by {written_by}") };
    // Versions of IFC have its name in them: IFC4.
    let kind = if version.starts_with(kind) { String::new() } else { format!("{kind}, ") };
    say.out(&plain(&format!("{file_name}: {kind}{version}{by}")));
}

fn units(say: &mut Say, decision: Option<&UnitsDecision>) {
    match decision {
        Some(d) => say.out(&format!("units: {}. {}", plain(&d.name), plain(&d.decided_by))),
        None => say.out("units: not known"),
    }
}

fn layers(say: &mut Say, layers: &[import_dxf::LayerSummary]) {
    say.out(&format!("{}:", count(layers.len(), "layer")));
    say.out("  used as  like walls  entities  layer");
    for l in layers {
        let state = match (l.off, l.frozen) {
            (_, true) => " (frozen)",
            (true, _) => " (off)",
            _ => "",
        };
        say.out(&format!(
            "  {:<8} {:>8} %  {:>8}  {}{state}: {}",
            l.used_as,
            l.walls_score,
            l.entities(),
            plain(&l.name),
            plain(&l.rule)
        ));
    }
}

/// How the walls hang together.
fn junctions(say: &mut Say, junctions: &Junctions, place: Option<&InDrawing>) {
    let kinds = junctions.by_kind.iter().map(|(kind, n)| match kind.name() {
        "end" => count(*n, "free end"),
        name => format!("{n} {name}"),
    });
    let kinds: Vec<String> = kinds.collect();
    let short = match junctions.near_misses {
        0 => String::new(),
        n => format!("; {} just short of another wall", count(n, "end")),
    };
    say.out(&format!("walls meet: {}{short}", kinds.join(", ")));
    if junctions.named.is_empty() {
        return;
    }
    say.out("runs (walls in one line) that are named below:");
    for r in &junctions.named {
        let [from, to] = r.ends;
        let ends = place.map(|d| format!(", from {} to {}", d.words(from), d.words(to)));
        let source = r.source.as_ref().map(|s| format!("; {} on {}", s.entity, s.layer));
        let long = from.distance(to).feet_inches();
        say.out(&plain(&format!(
            "  {}: {}, {long} long{}{}",
            r.name,
            r.section,
            ends.unwrap_or_default(),
            source.unwrap_or_default()
        )));
    }
}

/// Whether the drawing can be used, in one line: what would be planned, and what stands against it.
fn verdict(seen: &Inspection) -> String {
    let walls = seen.junctions.as_ref().map_or(0, |j| j.walls);
    let findings = seen.findings();
    let [errors, warnings] = [Severity::Error, Severity::Warning]
        .map(|s| findings.iter().filter(|f| f.severity == s).count());
    let walls = count(walls, "wall");
    let below = match (errors, warnings) {
        (0, n) => count(n, "warning"),
        (n, _) => count(n, "error"),
    };
    match judged(seen) {
        Judged::Nothing => {
            let why = findings.iter().find(|f| f.severity == Severity::Error);
            let why = why.map_or_else(String::new, |f| format!(": {}", f.code.info().title));
            format!("verdict: not usable as it is, no wall would be planned{why}")
        }
        Judged::Usable => format!("verdict: usable, {walls} would be planned"),
        Judged::Look => {
            format!("verdict: usable, {walls} would be planned; look at {below} below first")
        }
        Judged::Settle => format!(
            "verdict: not safe to use as it is, {walls} would be planned and {below} below must be settled first"
        ),
    }
}

/// What a verdict comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Judged {
    /// Walls, and nothing against them.
    Usable,
    /// Walls, and warnings.
    Look,
    /// Walls, and errors: something is missing or wrong.
    Settle,
    /// No walls.
    Nothing,
}

impl Judged {
    /// The word for programs.
    fn name(self) -> &'static str {
        match self {
            Judged::Usable => "usable",
            Judged::Look => "look",
            Judged::Settle => "settle",
            Judged::Nothing => "nothing",
        }
    }
}

fn judged(seen: &Inspection) -> Judged {
    let is = |s: Severity| seen.findings().iter().any(|f| f.severity == s);
    match () {
        () if seen.junctions.is_none() => Judged::Nothing,
        () if is(Severity::Error) => Judged::Settle,
        () if is(Severity::Warning) => Judged::Look,
        () => Judged::Usable,
    }
}

/// The drawings on the sheet.
fn regions(say: &mut Say, regions: &[import_dxf::Region]) {
    if regions.is_empty() {
        return;
    }
    say.out(&format!("{} on the sheet:", count(regions.len(), "drawing")));
    for r in regions {
        let title = if r.title.is_empty() { "no title" } else { &r.title };
        let [x0, y0, x1, y1] = r.bounds;
        // The wall graph joins pieces and drops doubles later.
        let (what, inches) = match !r.planned && r.lines > 0 {
            true => (count(r.lines, "line"), r.lines_in),
            false => (format!("{} before cleaning", count(r.walls, "wall")), r.walls_in),
        };
        let planned = match r.planned {
            true => format!("planned as storey {}", r.storey),
            false => "not planned".to_owned(),
        };
        say.out(&plain(&format!(
            "  {:>3} {}, {title}: {}, {:.0} ft, {planned}; {}; from ({x0:.1}, {y0:.1}) to ({x1:.1}, \
             {y1:.1}) drawing units",
            r.number,
            r.kind.name(),
            what,
            inches / 12.0,
            r.why
        )));
    }
}

/// Heights that are written in the drawing.
fn heights(say: &mut Say, heights: &[import_dxf::HeightNote]) {
    if heights.is_empty() {
        return;
    }
    say.out("heights written in the drawing:");
    for h in heights {
        let storey = if h.storey.is_empty() { String::new() } else { format!(", {}", h.storey) };
        say.out(&plain(&format!(
            "  {:<7} {:<10} {:>4}x{storey}  \u{201c}{}\u{201d}{}",
            h.of.name(),
            h.height.feet_inches().to_string(),
            h.times,
            h.text,
            if h.met { "" } else { "  (no wall is planned so)" }
        )));
    }
}

/// Walls found by their shape, by layer: how many, how sure.
fn by_shape(say: &mut Say, walls: &[import_dxf::WallByShape]) {
    if walls.is_empty() {
        return;
    }
    let believed = walls.iter().filter(|w| w.believed).count();
    say.out(&format!(
        "walls by their shape: {believed} planned, {} too doubtful:",
        walls.len() - believed
    ));
    let mut layers: std::collections::BTreeMap<&str, [usize; 3]> = Default::default();
    for w in walls {
        let at = match w.confidence {
            c if c >= 0.75 => 0,
            _ if w.believed => 1,
            _ => 2,
        };
        layers.entry(&w.layer).or_default()[at] += 1;
    }
    say.out("  sure  doubtful  left out  layer");
    for (layer, [sure, doubtful, left]) in layers {
        say.out(&format!("  {sure:>4}  {doubtful:>8}  {left:>8}  {}", plain(layer)));
    }
}

fn storeys(say: &mut Say, storeys: &[import_ifc::StoreySummary]) {
    say.out(&format!("{}:", count(storeys.len(), "storey")));
    for s in storeys {
        say.out(&format!(
            "  {} at {}: {}, {} read, {}, {}",
            plain(&s.name),
            shown(s.elevation),
            count(s.walls, "wall"),
            s.walls_read,
            count(s.doors, "door"),
            count(s.windows, "window")
        ));
    }
}

fn types(say: &mut Say, types: &[import_ifc::TypeSummary]) {
    say.out(&format!("{}:", count(types.len(), "wall type")));
    for t in types {
        let name = if t.name.is_empty() { "(no name)" } else { &t.name };
        let section = t.section.map_or("no plates", |s| s.name());
        let known = |b: Option<bool>, yes, no| b.map_or("", |b| if b { yes } else { no });
        say.out(&plain(&format!(
            "  {name} ({}): {}, {section} ({}){}{}",
            t.class,
            count(t.count, "wall"),
            t.section_by,
            known(t.exterior, ", exterior", ", interior"),
            known(t.bearing, ", bearing", ", not bearing"),
        )));
        say.out(&format!("    framing: {}", plain(&t.framing)));
        for l in &t.layers {
            let mark = if l.framing { "*" } else { " " };
            let material = if l.material.is_empty() { "(no material)" } else { &l.material };
            say.out(&format!("    {mark} {} {}", shown(l.thickness), plain(material)));
        }
    }
}

fn shown(length: Option<Length>) -> String {
    length.map_or("?".to_owned(), |l| l.feet_inches().to_string())
}

fn ledger(say: &mut Say, seen: &Inspection) {
    let l = seen.ledger();
    say.out(&format!(
        "entities: {} read, {} used, {} ignored",
        l.read(),
        l.used(),
        l.ignored_total()
    ));
    for (reason, ignored) in l.ignored() {
        let sample = ignored.sample.join(", ");
        let more = if ignored.count > ignored.sample.len() as u64 { ", ..." } else { "" };
        say.out(&plain(&format!("  {:>6} {reason} ({sample}{more})", ignored.count)));
    }
}
