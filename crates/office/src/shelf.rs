//! Drawings that were read, kept in memory for a while: an edit of a wall does not read the file again.

use crate::job::JobId;
use crate::locked;
use diag::Refusal;
use overrides::Overrides;
use pipeline::{Drawing, Inspection, Job, Planned, Reading};
use settings::Settings;
use std::collections::VecDeque;
use std::sync::{Arc, Mutex, OnceLock};

/// Drawings kept at once.
const MOST: usize = 8;
/// Bytes of their files together; what was read takes several times that.
const MOST_BYTES: u64 = 128 << 20;

/// A drawing as read under some settings.
pub(crate) struct Read {
    /// The settings, mapping of the edits included.
    pub settings: Settings,
    /// Or why there are no walls.
    pub reading: Result<Reading, Refusal>,
    inspection: OnceLock<Result<Inspection, Refusal>>,
    weight: u64,
}

impl Read {
    /// Reads a drawing.
    pub fn new(file_name: &str, bytes: &[u8], settings: Settings) -> Read {
        let reading = pipeline::read(Job { file_name, bytes: bytes.into(), settings: &settings });
        let weight = bytes.len() as u64;
        Read { settings, reading, inspection: OnceLock::new(), weight }
    }
    /// What the drawing holds; looked up on first need, since that reads the file again.
    pub fn inspection(
        &self,
        file_name: &str,
        bytes: impl FnOnce() -> std::io::Result<Vec<u8>>,
    ) -> std::io::Result<&Result<Inspection, Refusal>> {
        if let Some(known) = self.inspection.get() {
            return Ok(known);
        }
        let bytes = bytes()?;
        let job = Job { file_name, bytes: (&bytes).into(), settings: &self.settings };
        Ok(self.inspection.get_or_init(|| pipeline::inspect(job)))
    }
    /// Unit and inches in it, where they are known: from the walls, else from a look at the file.
    pub fn unit(&self) -> Option<(String, f64)> {
        if let Ok(reading) = &self.reading {
            let u = &reading.source.units;
            return Some((u.name.clone(), u.inches_per_unit));
        }
        let inspected = self.inspection.get()?.as_ref().ok()?;
        let decision = match &inspected.drawing {
            Drawing::Dxf(i) => i.units.decision.as_ref(),
            Drawing::Ifc(i) => i.units.as_ref(),
        };
        decision.map(|u| (u.name.clone(), u.inches_per_unit))
    }
}

/// What is planned now.
pub(crate) struct Now {
    /// The edits.
    pub overrides: Overrides,
    /// The plan, or why there is none.
    pub planned: Result<Planned, Refusal>,
    /// How long it took.
    pub millis: u64,
}

/// A job's texts that what is planned depends on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Texts {
    pub settings: String,
    pub overrides: String,
}

/// A plan, and the texts it was made of.
type Dated = (Texts, Arc<Now>);

struct Entry {
    id: JobId,
    read: Arc<Read>,
    now: Option<Dated>,
}

/// The last few jobs that were worked on.
#[derive(Default)]
pub(crate) struct Shelf {
    /// Least recently used first.
    entries: Mutex<VecDeque<Entry>>,
}

impl Shelf {
    /// The drawing as read under these very settings.
    pub fn read(&self, id: &JobId, settings: &Settings) -> Option<Arc<Read>> {
        self.used(id).filter(|(read, _)| read.settings == *settings).map(|(read, _)| read)
    }
    /// What is planned of these very texts, and the drawing.
    pub fn now(&self, id: &JobId, texts: &Texts) -> Option<(Arc<Read>, Arc<Now>)> {
        let (read, now) = self.used(id)?;
        now.filter(|(t, _)| t == texts).map(|(_, now)| (read, now))
    }
    /// Finds an entry and marks it as used last.
    fn used(&self, id: &JobId) -> Option<(Arc<Read>, Option<Dated>)> {
        let mut entries = locked(&self.entries);
        let at = entries.iter().position(|e| e.id == *id)?;
        let entry = entries.remove(at)?;
        let found = (Arc::clone(&entry.read), entry.now.clone());
        entries.push_back(entry);
        Some(found)
    }
    /// Keeps a job's drawing and plan in place of older ones.
    pub fn keep(&self, id: &JobId, read: Arc<Read>, now: Option<Dated>) {
        let mut entries = locked(&self.entries);
        entries.retain(|e| e.id != *id);
        entries.push_back(Entry { id: id.clone(), read, now });
        let weight = |e: &VecDeque<Entry>| e.iter().map(|e| e.read.weight).sum::<u64>();
        while entries.len() > MOST || weight(&entries) > MOST_BYTES {
            entries.pop_front();
        }
    }
    pub fn forget(&self, id: &JobId) {
        locked(&self.entries).retain(|e| e.id != *id);
    }
}
