//! An opened model: entities by id and by kind, with the small readers every module needs.

use crate::classes::{self, Kind};
use crate::step::{Record, Scan, plain, scan};
use crate::values;
use diag::SourceRef;
use std::collections::BTreeMap;
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};

/// Bytes that memory gives at once.
const LINE: usize = 64;

/// A STEP file and its index.
pub struct File<'a> {
    bytes: &'a [u8],
    scan: Scan,
    /// `None` where nobody asks.
    looks: Option<Looks>,
}

/// What was looked at, and what was wrong with it.
struct Looks {
    /// A bit for every eight bytes of the file, set where an entity begins that was looked at: no IFC entity is
    /// shorter.
    seen: Vec<AtomicU64>,
    /// What is wrong with entities that were followed, by id.
    odd: Mutex<BTreeMap<u64, Why>>,
    /// What is wrong with their texts, by id.
    texts: Mutex<BTreeMap<u64, Why>>,
}

impl Looks {
    /// Whether this is the first look at the entity there.
    fn is_first(&self, offset: usize) -> bool {
        let bit = 1_u64 << (offset / 8 % 64);
        let word = self.seen.get(offset / 512);
        word.is_none_or(|w| w.fetch_or(bit, Ordering::Relaxed) & bit == 0)
    }
}

/// Of an id defined more than once the first definition holds: it is of no kind that a later one gives it.
fn first_holds(bytes: &[u8], scan: &mut Scan) {
    let Scan { index, by_kind, damage } = scan;
    if damage.doubles.is_empty() {
        return;
    }
    let first = |id: &u64| Record::read(bytes, index.offset(*id)?);
    for (kind, ids) in by_kind.iter_mut().enumerate() {
        ids.retain(|id| {
            damage.doubles.binary_search(id).is_err()
                || first(id).and_then(|r| classes::kind_of(r.class)).map(|k| k as usize)
                    == Some(kind)
        });
    }
}

/// Why something could not be made out, in words that fit after "because".
pub type Why = String;

impl<'a> File<'a> {
    /// Scans the bytes.
    pub fn open(bytes: &'a [u8]) -> File<'a> {
        let mut scan = scan(bytes);
        first_holds(bytes, &mut scan);
        File { bytes, scan, looks: None }
    }
    /// The same, and whatever entity is followed is looked at: see [`File::odd`].
    pub fn open_to_judge(bytes: &'a [u8]) -> File<'a> {
        let seen = (0..=bytes.len() / 512).map(|_| AtomicU64::new(0)).collect();
        let looks = Looks { seen, odd: Mutex::default(), texts: Mutex::default() };
        File { looks: Some(looks), ..File::open(bytes) }
    }
    /// Entities followed so far whose values are not what their class holds, and ids that nothing in the
    /// file has, in order of id.
    pub fn odd(&self) -> Vec<Why> {
        let odd = self.looks.as_ref().and_then(|looks| looks.odd.lock().ok());
        odd.map_or_else(Vec::new, |odd| odd.values().cloned().collect())
    }
    /// Entities followed so far with text that is not written as it must be, in order of id.
    pub fn odd_texts(&self) -> Vec<Why> {
        let texts = self.looks.as_ref().and_then(|looks| looks.texts.lock().ok());
        texts.map_or_else(Vec::new, |texts| texts.values().cloned().collect())
    }
    /// Notes what is wrong with an entity, for [`File::odd`].
    #[cold]
    pub fn note(&self, id: u64, why: impl FnOnce() -> Why) {
        if let Some(mut odd) = self.looks.as_ref().and_then(|looks| looks.odd.lock().ok()) {
            odd.entry(id).or_insert_with(why);
        }
    }
    /// The text of the file.
    pub fn bytes(&self) -> &'a [u8] {
        self.bytes
    }
    /// What the scan found, damage included.
    pub fn scan(&self) -> &Scan {
        &self.scan
    }
    /// Ids of a kind, ascending.
    pub fn ids(&self, kind: Kind) -> &[u64] {
        &self.scan.by_kind[kind as usize]
    }
    /// Entities of a kind, by ascending id; unreadable ones are passed over (they are in
    /// the scan's damage).
    pub fn all(&self, kind: Kind) -> impl Iterator<Item = Record<'a>> {
        self.ids(kind).iter().filter_map(|id| self.find(*id))
    }
    /// The entity of that id.
    pub fn find(&self, id: u64) -> Option<Record<'a>> {
        let offset = self.scan.index.offset(id);
        let found = offset.and_then(|offset| Record::read(self.bytes, offset));
        if let Some(looks) = &self.looks {
            match (&found, offset) {
                (Some(r), Some(offset)) => {
                    if looks.is_first(offset) {
                        let mut text = None;
                        if let Some(why) = values::trouble(r, &mut text) {
                            self.note(id, || why);
                        }
                        if let Some(why) = text
                            && let Ok(mut texts) = looks.texts.lock()
                        {
                            texts.entry(id).or_insert(why);
                        }
                    }
                }
                (_, Some(_)) => self.note(id, || format!("#{id} cannot be read")),
                (_, None) => self.note(id, || format!("#{id} is not in the file")),
            }
        }
        found
    }
    /// Looks at a byte of every line of memory from `before` bytes before each of these entities to `after` bytes
    /// after its start: memory is asked for all of them at once, where reading would wait for one after the other.
    pub fn touch<const N: usize>(&self, ids: &[u64], before: usize, after: usize) {
        let mut starts = [usize::MAX; N];
        for (start, id) in starts.iter_mut().zip(ids) {
            *start = self.scan.index.offset(*id).unwrap_or(usize::MAX);
        }
        let mut all = 0;
        for at in starts {
            let end = self.bytes.len().min(at.saturating_add(after));
            let lines = self.bytes.get(at.saturating_sub(before)..end).unwrap_or_default();
            all = lines.iter().step_by(LINE).fold(all, |all, byte| all ^ byte);
        }
        std::hint::black_box(all);
    }
    /// The numbers of an entity that is nothing but two or three of them, the third 0 where it is left out,
    /// when it starts with `head` and is written in the usual way: there is nothing wrong with it then.
    #[inline]
    pub fn triple<const N: usize>(&self, id: u64, head: &[u8; N]) -> Option<[f64; 3]> {
        plain::triple(self.bytes, self.scan.index.offset(id)?, head)
    }
    /// The references of an entity that is nothing but `N` of them between `head` and `end`, `None` where `$` stands,
    /// when it is written in the usual way. Whether each may be left out is the caller's to judge.
    #[inline]
    pub fn links<const H: usize, const N: usize>(
        &self,
        id: u64,
        head: &[u8; H],
        end: &[u8],
    ) -> Option<[Option<u64>; N]> {
        plain::references(self.bytes, self.scan.index.offset(id)?, head, end)
    }
    /// The entity of that id, or why not.
    pub fn get(&self, id: u64) -> Result<Record<'a>, Why> {
        self.find(id).ok_or_else(|| format!("#{id} is not in the file"))
    }
    /// The entity that parameter `n` of `r` refers to, or why not.
    pub fn follow(&self, r: &Record<'_>, n: usize) -> Result<Record<'a>, Why> {
        self.follow_to(r, n, r.param(n).reference())
    }
    /// The same where that parameter was looked at already.
    pub fn follow_to(&self, r: &Record<'_>, n: usize, to: Option<u64>) -> Result<Record<'a>, Why> {
        match to {
            Some(id) => self.get(id),
            None => Err(format!("#{} {} lacks its parameter {}", r.id, r.class_name(), n + 1)),
        }
    }
    /// GlobalId of a rooted entity, or `#id`.
    pub fn guid(&self, r: &Record<'_>) -> String {
        match r.param(0).raw_string() {
            Some(g) if !g.is_empty() && g.is_ascii() && g.len() <= 64 => {
                String::from_utf8_lossy(g).into_owned()
            }
            _ => format!("#{}", r.id),
        }
    }
    /// Name of a rooted entity; empty when it has none.
    pub fn name(&self, r: &Record<'_>) -> String {
        r.param(2).text().unwrap_or_default().trim().to_owned()
    }
    /// Source of an entity: GlobalId, and its class with the name of its type.
    pub fn source(&self, r: &Record<'_>, type_name: &str) -> SourceRef {
        let class = classes::spelled(r.class);
        let layer = if type_name.is_empty() { class } else { format!("{class} {type_name}") };
        SourceRef { entity: self.guid(r), layer }
    }
}
