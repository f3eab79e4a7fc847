//! The survey of a drawing: everything known about it before any wall is made.
//!
//! Knows: the file, the flattened linework, what each layer is for, the fate of each entity so far,
//! the unit. Never touches: sections, openings' hosts, the wall model. Both `inspect` and `read` start
//! from here.

use crate::account::{Fate, Reason, first_fate};
use crate::affine::Xy;
use crate::ascii;
use crate::binary;
use crate::file::{DxfFile, MAX_BYTES, Truncation};
use crate::flatten::{Drawing, LeftOut, flatten};
use crate::layers::{LayerRole, Usage, role_of};
use crate::linework::{Kind, Shape, State, mark};
use crate::openings::Symbol;
use crate::reading::read_file;
use crate::source::Source;
use crate::units::{Measure, UnitsEvidence, decide};
use diag::codes::{dxf, input};
use diag::words::was;
use diag::{Finding, Refusal, SourceRef};
use limits::{Limit, Limits, Stage, Watch};
use settings::Settings;

/// A drawing, read and measured.
pub(crate) struct Survey<'a> {
    /// The file.
    pub file: DxfFile<'a>,
    /// Its linework.
    pub drawing: Drawing,
    /// What each layer is for.
    pub roles: Vec<LayerRole>,
    /// What has become of each shape so far.
    pub fates: Vec<Fate>,
    /// Door and window symbols made of inserts, drawing units; loose pieces one by one.
    pub symbols: Vec<Symbol>,
    /// How many of `symbols`, from the front, are whole inserts.
    pub whole_symbols: usize,
    /// The unit.
    pub units: UnitsEvidence,
    /// Dimensions with a length written on them.
    pub dimensions: Vec<crate::dimensions::Shown>,
    /// Walls by their shape, when no layer is known to hold walls.
    pub unnamed: Option<crate::byshape::Unnamed>,
    /// Those it was read under.
    pub limits: Limits,
    /// How long it may take.
    pub watch: &'a Watch,
}

/// Whether the bytes look like a DXF file, text or binary.
pub(crate) fn sniff(bytes: &[u8]) -> bool {
    if binary::is_binary(bytes) {
        return true;
    }
    let head = bytes.get(..bytes.len().min(64 * 1024)).unwrap_or_default();
    let mut tags = ascii::AsciiTags::new(head);
    // Comments may come first; then the first section.
    for _ in 0..1000 {
        use crate::tag::Tags;
        match tags.next() {
            Some(t) if t.starts("SECTION") => return true,
            Some(t) if t.code == 999 && tags.damage().count == 0 => {}
            _ => return false,
        }
    }
    false
}

/// Reads and measures a file. Refuses, too, when time is up.
pub(crate) fn survey<'a>(
    source: Source<'a>,
    settings: &Settings,
    watch: &'a Watch,
) -> Result<Survey<'a>, Refusal> {
    if source.bytes() == 0 {
        return Err(Refusal::because(Finding::new(input::FILE_EMPTY, "The file has no bytes.")));
    }
    if source.bytes() >= MAX_BYTES {
        let message =
            format!("The file has {} bytes; at most {MAX_BYTES} are read.", source.bytes());
        return Err(Refusal::because(Finding::new(input::LIMIT, message)));
    }
    if !sniff(source.head()) {
        return Err(Refusal::because(foreign(source.head())));
    }
    let mut file = read_file(source, settings.code_page, watch);
    source.sound()?;
    watch.border(Stage::Reading)?;
    let drawing = flatten(&mut file, &settings.limits, watch);
    watch.border(Stage::Reading)?;
    if let Some(entities) = drawing.too_large {
        settings.limits.check_inserted(entities, source.bytes())?;
    }
    let mut roles: Vec<LayerRole> =
        drawing.layers.iter().map(|l| role_of(&l.name, settings)).collect();
    crate::bothwords::decide(&file, &drawing, &mut roles, settings, watch);
    watch.border(Stage::Reading)?;
    let mut fates = first_fates(&drawing, &roles);
    open_filled_walls(&drawing, &roles, &mut fates);
    crate::copies::leave_out_copies(&file, &drawing, &mut fates, watch);
    watch.border(Stage::Reading)?;
    crate::brokenlines::leave_out(&drawing, &roles, &mut fates);
    crate::border::leave_out(&file, &drawing, &mut roles, &mut fates, settings, watch);
    let (symbols, whole_symbols) = crate::symbols::collect(&drawing, &roles, &mut fates);
    let measure = measure(&drawing, &roles, &fates, &symbols, whole_symbols);
    let unnamed = crate::byshape::look(&file, &drawing, &roles, &fates, settings, watch);
    watch.border(Stage::Reading)?;
    let measure = match &unnamed {
        Some(u) => u.measure(measure),
        None => measure,
    };
    let dimensions = crate::dimensions::shown(&file, &drawing, &fates);
    let measure = with_dimensions(measure, &dimensions);
    let units = decide(&file.header, &measure, settings);
    let limits = settings.limits;
    Ok(Survey {
        file,
        drawing,
        roles,
        fates,
        symbols,
        whole_symbols,
        units,
        unnamed,
        dimensions,
        limits,
        watch,
    })
}

fn with_dimensions(measure: Measure, dimensions: &[crate::dimensions::Shown]) -> Measure {
    Measure { dimensions: dimensions.iter().map(|d| (d.distance, d.inches)).collect(), ..measure }
}

fn foreign(bytes: &[u8]) -> Finding {
    let release = bytes.get(..6).and_then(|b| std::str::from_utf8(b).ok()).and_then(release_name);
    let message = match release {
        Some(release) => format!(
            "This is a DWG file (release {release}), not DXF. In the drawing program, save it as DXF, 2000 \
             to 2018."
        ),
        None => {
            "The file does not begin like a DXF file: neither `0 SECTION` nor the binary sentinel \
                 was found."
                .to_owned()
        }
    };
    Finding::new(input::FILE_FOREIGN, message)
}

/// Release of an AutoCAD version code.
pub(crate) fn release_name(version: &str) -> Option<&'static str> {
    Some(match version {
        "AC1006" => "R10",
        "AC1009" => "R11/R12",
        "AC1012" => "R13",
        "AC1014" => "R14",
        "AC1015" => "2000",
        "AC1018" => "2004",
        "AC1021" => "2007",
        "AC1024" => "2010",
        "AC1027" => "2013",
        "AC1032" => "2018",
        _ => return None,
    })
}

/// The fates of all shapes as far as their marks and layers tell.
pub(crate) fn first_fates(drawing: &Drawing, roles: &[LayerRole]) -> Vec<Fate> {
    let nobody = role_of("", &Settings::default());
    let of_layer: Vec<(bool, bool, &LayerRole)> = drawing
        .layers
        .iter()
        .enumerate()
        .map(|(i, l)| (l.off, l.frozen, roles.get(i).unwrap_or(&nobody)))
        .collect();
    let fate = |s: &crate::linework::Shape| {
        let (off, frozen, role) =
            of_layer.get(s.layer as usize).copied().unwrap_or((false, false, &nobody));
        first_fate(s, off, frozen, role)
    };
    let mut fates: Vec<Fate> = drawing.lines.shapes.iter().map(fate).collect();
    for (i, f) in fates.iter_mut().enumerate() {
        let empty = drawing.lines.segments_of(i).is_empty() && drawing.lines.arcs_of(i).is_empty();
        if *f == Fate::Open && empty {
            *f = Fate::Left(Reason::ZeroLength);
        }
    }
    fates
}

/// A wall layer without a line to read has its walls as areas, if it has any: hatches and solids. Their
/// outlines are read as face lines then.
fn open_filled_walls(drawing: &Drawing, roles: &[LayerRole], fates: &mut [Fate]) {
    let is_wall = |layer: u32| roles.get(layer as usize).is_some_and(|r| r.usage == Usage::Wall);
    let shapes = || drawing.lines.shapes.iter().enumerate().filter(|(_, s)| is_wall(s.layer));
    let lined: std::collections::BTreeSet<u32> = shapes()
        .filter(|(i, _)| fates.get(*i) == Some(&Fate::Open))
        .map(|(_, s)| s.layer)
        .collect();
    for (i, s) in shapes().filter(|(_, s)| !lined.contains(&s.layer)) {
        let sound =
            s.marks & (mark::TILTED | mark::BAD) == 0 && !drawing.lines.segments_of(i).is_empty();
        if let Some(fate) = fates.get_mut(i).filter(|f| **f == Fate::Left(Reason::NotRead))
            && s.kind.is_area()
            && sound
        {
            *fate = Fate::Open;
        }
    }
}

fn measure(
    drawing: &Drawing,
    roles: &[LayerRole],
    fates: &[Fate],
    symbols: &[Symbol],
    whole: usize,
) -> Measure {
    let lines = &drawing.lines;
    let is_wall = |layer: u32| roles.get(layer as usize).is_some_and(|r| r.usage == Usage::Wall);
    let open =
        |(i, shape): &(usize, &Shape)| fates.get(*i) == Some(&Fate::Open) && is_wall(shape.layer);
    let walls = || lines.shapes.iter().enumerate().filter(open);
    // Room is made once.
    let most = walls().map(|(i, _)| lines.segments_of(i).len()).sum();
    let mut out = Measure {
        lines: Vec::with_capacity(most),
        ends: Vec::with_capacity(most * 2),
        ..Measure::default()
    };
    for (i, shape) in walls() {
        for k in lines.segments_of(i) {
            let Some(s) = lines.segments.get(k).copied() else { continue };
            out.ends.extend([s.a, s.b]);
            match lines.width_of(k).filter(|_| shape.kind == Kind::Mline) {
                Some(w) => out.widths.push(w),
                None => out.lines.push(s),
            }
        }
    }
    // A symbol that is one insert has the size of its opening; a loose swing its radius.
    out.openings = symbols
        .iter()
        .enumerate()
        .filter_map(|(i, s)| match i < whole {
            true => Some(s.size()),
            false => s.arcs.first().map(|a| crate::affine::norm(a.u)),
        })
        .filter(|v| v.is_finite() && *v > 0.0)
        .collect();
    out
}

impl Survey<'_> {
    /// Judges the unit once more, by what is still open. Dimensions say the unit of the whole sheet.
    pub fn judge_units(&mut self, settings: &Settings) {
        let whole = self.whole_symbols;
        let measure = measure(&self.drawing, &self.roles, &self.fates, &self.symbols, whole);
        let measure = with_dimensions(measure, &self.dimensions);
        self.units = decide(&self.file.header, &measure, settings);
    }
    /// Where an entity comes from.
    pub fn source(&self, shape: usize) -> SourceRef {
        match self.drawing.lines.shapes.get(shape) {
            Some(s) => SourceRef {
                entity: self.drawing.entity(&self.file, s.pos, s.via),
                layer: self.drawing.layer_name(s.layer).to_owned(),
            },
            None => SourceRef::default(),
        }
    }
    /// The role of a shape's layer.
    pub fn role(&self, shape: usize) -> Option<&LayerRole> {
        self.roles.get(self.drawing.lines.shapes.get(shape)?.layer as usize)
    }
    /// `AC1027 (2013)`.
    pub fn version(&self) -> String {
        let v = &self.file.header.version;
        match release_name(v) {
            Some(name) => format!("{v} ({name})"),
            None if v.is_empty() => "unknown version".to_owned(),
            None => v.clone(),
        }
    }
    /// The program that wrote the file, as its first comment says.
    pub fn written_by(&self) -> String {
        let comment =
            self.file.comment.as_ref().map(|c| self.file.decoder.decode(c)).unwrap_or_default();
        comment.chars().filter(|c| !c.is_control()).take(80).collect()
    }

    /// Findings about the file as a whole, walls or not; most telling first.
    pub fn file_findings(&self) -> Vec<Finding> {
        let mut out = Vec::new();
        if let Some(t) = self.file.truncated {
            out.push(self.truncated(t));
        }
        for (limit, left_out, why) in [
            (Limit::Entities, &self.drawing.too_many, "that make the drawing too large"),
            (Limit::Nesting, &self.drawing.too_deep, "nested too deep"),
        ] {
            let times = left_out.count;
            if times > 0 {
                let inserts = plural(times, "insert");
                let which = self.which(left_out);
                let what = format!(
                    "Left out and counted in the ledger: {times} {inserts} of blocks {why}{which}"
                );
                out.push(self.limits.reached(limit, &what));
            }
        }
        out.extend(self.file.code_page_told.clone());
        out.extend(self.proxies());
        out.extend(self.references());
        let damage = &self.file.damage;
        if damage.count > 0 {
            let places: Vec<String> =
                damage.samples.iter().map(|d| self.file.damage_text(d)).collect();
            let more = damage.count - damage.samples.len() as u64;
            let more = if more > 0 { format!("; and {more} more") } else { String::new() };
            out.push(Finding::new(
                input::REPAIRED,
                format!(
                    "{} damaged {}: {}{more}.",
                    damage.count,
                    plural(damage.count, "place"),
                    places.join("; ")
                ),
            ));
        }
        let cyclic = &self.drawing.cyclic;
        if cyclic.count > 0 {
            let message = format!(
                "A block is inserted in itself, directly or through others; {} {} {} left out and counted{}.",
                cyclic.count,
                plural(cyclic.count, "insert"),
                was(cyclic.count as usize),
                self.which(cyclic)
            );
            out.push(Finding::new(input::REPAIRED, message));
        }
        out
    }

    /// `; the first is INSERT 1A2 at line 40, of block KITCHEN`.
    fn which(&self, left_out: &LeftOut) -> String {
        let Some((_, pos, block)) = left_out.first else { return String::new() };
        let (handle, place) = (self.file.handle(pos), self.file.place(pos as usize));
        let at = if handle == place { String::new() } else { format!(" at {place}") };
        let first = if left_out.count == 1 { "it" } else { "the first" };
        format!("; {first} is INSERT {handle}{at}, of block {}", self.file.block_name(block))
    }

    fn truncated(&self, t: Truncation) -> Finding {
        let cut_off = self.drawing.lines.others.keys().any(|k| k.2 == State::CutOff);
        let lost = match (t, cut_off) {
            (Truncation::AfterEntities, _) => {
                return Finding::new(
                    input::FILE_TRUNCATED,
                    "The end marker EOF is missing, but the file stops after its entities: no wall is \
                     missing.",
                )
                .severity(diag::Severity::Warning);
            }
            (Truncation::BeforeTheEnd, true) => "; the last one is cut off and was left out",
            (Truncation::BeforeTheEnd, false) => "",
        };
        Finding::new(
            input::FILE_TRUNCATED,
            format!(
                "The end marker EOF is missing and the file stops in or before its entities{lost}."
            ),
        )
    }

    fn proxies(&self) -> Option<Finding> {
        let mut telling = false;
        let mut parts = Vec::new();
        let mut sources = Vec::new();
        let mut total = 0;
        for ((class, layer), at) in &self.drawing.proxies {
            let is_wall_layer = self.usage(*layer) == Usage::Wall;
            telling |= is_wall_layer || class.to_uppercase().contains("WALL");
            let class = match class.as_str() {
                "" => "a class that the file does not name".to_owned(),
                class => format!("class {class}"),
            };
            parts.push(format!(
                "{} of {class} on layer {}",
                at.len(),
                self.drawing.layer_name(*layer)
            ));
            total += at.len() as u64;
            let mut handles: Vec<u32> = at.clone();
            handles.sort_unstable();
            sources.extend(handles.into_iter().take(3).map(|pos| SourceRef {
                entity: self.file.handle(pos),
                layer: self.drawing.layer_name(*layer).to_owned(),
            }));
        }
        for ((type_, layer, _), count) in &self.drawing.lines.others {
            let name = self.file.type_name(*type_);
            if name.starts_with("AEC_") || name.starts_with("AECC_") {
                telling |= name.contains("WALL") || self.usage(*layer) == Usage::Wall;
                parts.push(format!(
                    "{} {name} on layer {}",
                    count.count,
                    self.drawing.layer_name(*layer)
                ));
                total += count.count;
            }
        }
        if parts.is_empty() {
            return None;
        }
        let finding = Finding::new(
            dxf::PROXY,
            format!(
                "{total} {} no readable geometry: {}.",
                if total == 1 { "object has" } else { "objects have" },
                parts.join(", ")
            ),
        )
        .from(&sources);
        Some(if telling { finding } else { finding.severity(diag::Severity::Note) })
    }

    fn references(&self) -> Vec<Finding> {
        let mut out = Vec::new();
        for ((path, layer), count) in &self.drawing.xrefs {
            // The path may name the author's folders: only the file's own name is shown.
            let file = path.rsplit(['/', '\\']).next().unwrap_or(path);
            let finding = Finding::new(
                dxf::XREF,
                format!(
                    "The file {file} is referred to {count} {} on layer {} and was not read; walls in it \
                     are missing here.",
                    plural(*count, "time"),
                    self.drawing.layer_name(*layer)
                ),
            );
            out.push(match self.usage(*layer) {
                Usage::Ignored => finding.severity(diag::Severity::Note),
                _ => finding,
            });
        }
        for ((name, layer), count) in &self.drawing.missing {
            if self.usage(*layer) != Usage::Ignored {
                out.push(Finding::new(
                    dxf::MISSING_BLOCK,
                    format!(
                        "Block {name} is inserted {count} {} on layer {}, but the file does not have it.",
                        plural(*count, "time"),
                        self.drawing.layer_name(*layer)
                    ),
                ));
            }
        }
        out
    }

    /// What a layer is for.
    pub fn usage(&self, layer: u32) -> Usage {
        self.roles.get(layer as usize).map_or(Usage::Unknown, |r| r.usage)
    }
    /// Center of a shape's first line, drawing units.
    pub fn place_of(&self, shape: usize) -> Option<Xy> {
        let lines = &self.drawing.lines;
        if let Some(s) = lines.segments_of(shape).next().and_then(|k| lines.segments.get(k)) {
            return Some([(s.a[0] + s.b[0]) / 2.0, (s.a[1] + s.b[1]) / 2.0]);
        }
        let arc = lines.arcs_of(shape).next().and_then(|k| lines.arcs.get(k))?;
        Some(arc.at(arc.sweep / 2.0))
    }
}

/// `place` or `places`.
pub(crate) fn plural(n: u64, word: &str) -> String {
    if n == 1 { word.to_owned() } else { format!("{word}s") }
}
