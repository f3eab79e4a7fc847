//! What a drawing may take: how large, how deep, how long. The one place for every default.
//!
//! Knows: the limits by name, their defaults and ranges, what stopping says, the clock that a run is
//! held against. Never touches: files, formats, plans.
//!
//! A limit never changes a plan quietly: it stops the work with a `limit-reached` that says what, where,
//! which limit and how to raise it, or leaves something out, counts it and says so in the same words.
//! [`Limits`] is plain data and goes with the settings; [`Watch`] is one run's clock, handed from stage
//! to stage. The clock can only stop a run: one that finishes has the same bytes however long it took.

mod watch;

pub use watch::{Stage, Watch};

use diag::{Finding, Refusal, codes::input};
use std::fmt;

/// Bytes of a megabyte, as all limits here count them.
const MB: u64 = 1 << 20;

/// One limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Limit {
    /// Size of a drawing file.
    FileMb,
    /// Size of the model in an `.ifczip`.
    UnpackedMb,
    /// What all inserts of a DXF, all copies of shapes of an IFC, may add up to.
    Entities,
    /// Things inside things inside things.
    Nesting,
    /// Walls that are planned.
    Walls,
    /// Time a drawing may take.
    Seconds,
    /// Memory a drawing may take, by an estimate made before it is taken.
    MemoryMb,
}

impl Limit {
    /// All, in the order they are told.
    pub const ALL: [Limit; 7] = [
        Limit::FileMb,
        Limit::UnpackedMb,
        Limit::Entities,
        Limit::Nesting,
        Limit::Walls,
        Limit::Seconds,
        Limit::MemoryMb,
    ];

    /// Its name: the word of `--limit NAME=VALUE` and the key under `[limits]`.
    pub const fn name(self) -> &'static str {
        match self {
            Limit::FileMb => "file_mb",
            Limit::UnpackedMb => "unpacked_mb",
            Limit::Entities => "entities",
            Limit::Nesting => "nesting",
            Limit::Walls => "walls",
            Limit::Seconds => "seconds",
            Limit::MemoryMb => "memory_mb",
        }
    }
    /// What it is, in a few words.
    pub const fn about(self) -> &'static str {
        match self {
            Limit::FileMb => "size of the drawing file, megabytes of 1,048,576 bytes",
            Limit::UnpackedMb => {
                "size of the model in an .ifczip, megabytes; never more than 200 times its packed size"
            }
            Limit::Entities => {
                "DXF: lines, entities and inserts that inserts of blocks make, and one more for every 16 bytes \
                 of the file; IFC: points and items of shapes, copies counted, and one more for every byte"
            }
            Limit::Nesting => {
                "inserts inside inserts (DXF); curves, profiles, solids and copies inside each other (IFC)"
            }
            Limit::Walls => "walls handed to the planner",
            Limit::Seconds => "time from opening the drawing to its finished results, by the clock",
            Limit::MemoryMb => {
                "memory, megabytes, by an estimate from file size, what inserts make and number of walls"
            }
        }
    }
    /// What happens where it is reached.
    pub const fn beyond(self) -> &'static str {
        match self {
            Limit::Entities | Limit::Nesting => "left out and counted",
            _ => "stopped",
        }
    }
    /// The value when nobody says otherwise.
    pub const fn default(self) -> u64 {
        match self {
            Limit::FileMb | Limit::UnpackedMb => 2048,
            Limit::Entities => 1_000_000,
            Limit::Nesting => 32,
            Limit::Walls => 100_000,
            Limit::Seconds => 900,
            Limit::MemoryMb => 16_384,
        }
    }
    /// Least and greatest value taken. Offsets are kept in 32 bits, so no file may have 4 GiB; nesting is
    /// what a thread's stack holds; 0 seconds stops every run at its first look at the clock.
    pub const fn range(self) -> (u64, u64) {
        match self {
            Limit::FileMb | Limit::UnpackedMb => (1, 4095),
            Limit::Entities => (1, 1_000_000_000),
            Limit::Nesting => (1, 64),
            Limit::Walls => (1, 10_000_000),
            Limit::Seconds => (0, 604_800),
            Limit::MemoryMb => (128, 1 << 20),
        }
    }
    /// The limit of that name.
    pub fn from_name(name: &str) -> Option<Limit> {
        Limit::ALL.into_iter().find(|l| l.name() == name)
    }
    /// Whether it can leave something out of a plan; the others only stop.
    pub const fn shapes_a_plan(self) -> bool {
        matches!(self, Limit::Entities | Limit::Nesting)
    }
}

impl fmt::Display for Limit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// A value for every limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits([u64; Limit::ALL.len()]);

impl Default for Limits {
    fn default() -> Self {
        Limits(Limit::ALL.map(Limit::default))
    }
}

impl Limits {
    /// The value in force.
    pub fn get(&self, limit: Limit) -> u64 {
        self.0.get(limit as usize).copied().unwrap_or(limit.default())
    }
    /// Sets one.
    ///
    /// # Errors
    /// With the values allowed, when this is none of them.
    pub fn set(&mut self, limit: Limit, value: u64) -> Result<(), String> {
        let (least, most) = limit.range();
        if !(least..=most).contains(&value) {
            return Err(format!("allowed is a whole number from {least} to {most}"));
        }
        if let Some(slot) = self.0.get_mut(limit as usize) {
            *slot = value;
        }
        Ok(())
    }
    /// The same with one set; for tests and callers that know their value to be allowed.
    pub fn with(mut self, limit: Limit, value: u64) -> Limits {
        let (least, most) = limit.range();
        if let Some(slot) = self.0.get_mut(limit as usize) {
            *slot = value.clamp(least, most);
        }
        self
    }
    /// Those that are not the default.
    pub fn changed(&self) -> impl Iterator<Item = (Limit, u64)> {
        Limit::ALL.into_iter().map(|l| (l, self.get(l))).filter(|(l, v)| *v != l.default())
    }
    /// These where they can leave something out of a plan, the defaults where they only stop: what results
    /// depend on.
    pub fn shaping_a_plan(&self) -> Limits {
        let shaping = Limit::ALL.into_iter().filter(|l| l.shapes_a_plan());
        shaping.fold(Limits::default(), |out, l| out.with(l, self.get(l)))
    }
    /// Of each limit the lower of the two: what a job may ask for, held by what its server allows.
    pub fn at_most(self, other: &Limits) -> Limits {
        let mut out = self;
        for (mine, theirs) in out.0.iter_mut().zip(other.0) {
            *mine = (*mine).min(theirs);
        }
        out
    }
    /// Of each limit the greater of the two.
    pub fn at_least(self, other: &Limits) -> Limits {
        let mut out = self;
        for (mine, theirs) in out.0.iter_mut().zip(other.0) {
            *mine = (*mine).max(theirs);
        }
        out
    }
    /// A limit in megabytes, in bytes.
    pub fn bytes(&self, limit: Limit) -> u64 {
        self.get(limit).saturating_mul(MB)
    }

    /// The finding that a limit stopped the work or left something out: what happened, then which limit
    /// it was and how to raise it.
    pub fn reached(&self, limit: Limit, what: &str) -> Finding {
        let most = limit.range().1;
        let value = self.get(limit);
        let raise = if value < most {
            format!(
                "Raise it with --limit {limit}=N, or {limit} = N under [limits] in the settings file"
            )
        } else {
            "It cannot be raised".to_owned()
        };
        Finding::new(input::LIMIT, format!("{what}; the limit {limit} is {value}. {raise}."))
    }
    /// Refuses a file of so many bytes before it is read: for its size, or for the memory that reading
    /// such a file can take.
    ///
    /// # Errors
    /// With what [`Limits::reached`] says.
    pub fn check_file(&self, bytes: u64) -> Result<(), Refusal> {
        if bytes > self.bytes(Limit::FileMb) {
            let what = format!("The file has {bytes} bytes");
            return Err(Refusal::because(self.reached(Limit::FileMb, &what)));
        }
        self.check_text(bytes)
    }
    /// Refuses a drawing of so many bytes of text, packed or not, for the memory that reading it can take.
    ///
    /// # Errors
    /// With what [`Limits::reached`] says.
    pub fn check_text(&self, bytes: u64) -> Result<(), Refusal> {
        self.check_memory(reading_bytes(bytes), &format!("Reading {bytes} bytes"))
    }
    /// The longest text that the memory is enough for.
    pub fn most_text(&self) -> u64 {
        self.bytes(Limit::MemoryMb).saturating_sub(READING) / TIMES_TEXT
    }
    /// The most that inserts of blocks may add to a file of so many bytes of text for the memory to be enough.
    pub fn most_inserted(&self, text: u64) -> u64 {
        self.bytes(Limit::MemoryMb).saturating_sub(reading_bytes(text)) / FOR_INSERTED
    }
    /// Refuses a drawing whose inserts add so much to so many bytes of text, for the memory that takes.
    ///
    /// # Errors
    /// With what [`Limits::reached`] says.
    pub fn check_inserted(&self, entities: u64, text: u64) -> Result<(), Refusal> {
        let bytes = entities.saturating_mul(FOR_INSERTED).saturating_add(reading_bytes(text));
        self.check_memory(
            bytes,
            &format!("Reading {entities} lines and entities that inserts make"),
        )
    }
    /// Refuses a model of so many walls before it is planned.
    ///
    /// # Errors
    /// With what [`Limits::reached`] says.
    pub fn check_walls(&self, walls: u64, file_bytes: u64) -> Result<(), Refusal> {
        if walls > self.get(Limit::Walls) {
            let what = format!("The drawing has {walls} walls");
            return Err(Refusal::because(self.reached(Limit::Walls, &what)));
        }
        self.check_memory(planning_bytes(walls, file_bytes), &format!("Planning {walls} walls"))
    }
    fn check_memory(&self, bytes: u64, what: &str) -> Result<(), Refusal> {
        if bytes <= self.bytes(Limit::MemoryMb) {
            return Ok(());
        }
        let what = format!("{what} may take {} megabytes of memory", bytes.div_ceil(MB));
        Err(Refusal::because(self.reached(Limit::MemoryMb, &what)))
    }
}

impl fmt::Display for Limits {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let each = Limit::ALL.map(|l| format!("{l}={}", self.get(l)));
        f.write_str(&each.join(" "))
    }
}

/// One `NAME=VALUE`, as the command line takes it.
///
/// # Errors
/// With the names there are, or the values allowed.
pub fn from_text(text: &str) -> Result<(Limit, u64), String> {
    let names = || Limit::ALL.map(Limit::name).join(", ");
    let Some((name, value)) = text.split_once('=') else {
        return Err(format!("write NAME=VALUE; the names are {}", names()));
    };
    let limit = Limit::from_name(name.trim())
        .ok_or_else(|| format!("there is no limit of that name; the names are {}", names()))?;
    let (least, most) = limit.range();
    let wrong = || format!("allowed for {limit} is a whole number from {least} to {most}");
    let value: u64 = value.trim().parse().map_err(|_| wrong())?;
    Limits::default().set(limit, value).map_err(|_| wrong())?;
    Ok((limit, value))
}

/// What reading takes whatever the size, and how many times its text.
const READING: u64 = 64 * MB;
const TIMES_TEXT: u64 = 6;
/// What each line or entity takes that an insert makes, searches for walls included.
const FOR_INSERTED: u64 = 1 << 10;

/// Most memory that reading a file of so many bytes of text takes: tests hold both readers to six times
/// the text and 64 MiB (`tests/cases/dxf_memory.rs`, `import-ifc/tests/memory.rs`).
pub fn reading_bytes(text: u64) -> u64 {
    text.saturating_mul(TIMES_TEXT).saturating_add(READING)
}

/// Most memory that planning so many walls and writing all results takes beside the file;
/// `tests/cases/plan_memory.rs` holds the whole run to it.
pub fn planning_bytes(walls: u64, file: u64) -> u64 {
    walls.saturating_mul(128 << 10).saturating_add(reading_bytes(file))
}

/// What one drawing took of each limit; the clock is not among it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Used {
    /// Bytes of the file.
    pub file_bytes: u64,
    /// Bytes of the model in an archive; of no archive, 0.
    pub unpacked_bytes: u64,
    /// As [`Limit::Entities`] counts.
    pub entities: u64,
    /// Deepest nesting met.
    pub nesting: u64,
    /// Walls read.
    pub walls: u64,
}

impl Used {
    /// In the limit's own unit, whole numbers rounded up; nothing for the time, which is the watch's.
    pub fn of(&self, limit: Limit) -> Option<u64> {
        let text = self.file_bytes.max(self.unpacked_bytes);
        Some(match limit {
            Limit::FileMb => self.file_bytes.div_ceil(MB),
            Limit::UnpackedMb => self.unpacked_bytes.div_ceil(MB),
            Limit::Entities => self.entities,
            Limit::Nesting => self.nesting,
            Limit::Walls => self.walls,
            Limit::Seconds => return None,
            Limit::MemoryMb => planning_bytes(self.walls, text).div_ceil(MB),
        })
    }
}

#[cfg(test)]
mod tests;
