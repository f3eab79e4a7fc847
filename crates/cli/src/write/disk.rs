//! Every call of [`super`] that changes the disk, in one place, so that tests can make any of them fail.

use std::fs;
use std::io;
use std::path::Path;

/// The disk.
#[derive(Default)]
pub struct Disk {
    #[cfg(test)]
    faults: Option<Faults>,
}

impl Disk {
    pub fn create_dir(&self, path: &Path) -> io::Result<()> {
        self.may("create_dir")?;
        fs::create_dir(path)
    }
    pub fn write(&self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        if let Err(e) = self.may("write") {
            // As a full disk does: the first half is there.
            let _ = fs::write(path, bytes.get(..bytes.len() / 2).unwrap_or(bytes));
            return Err(e);
        }
        fs::write(path, bytes)
    }
    pub fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.may("rename")?;
        fs::rename(from, to)
    }
    /// A second name of a file; of a link, of the link itself.
    pub fn hard_link(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.may("hard_link")?;
        fs::hard_link(from, to)
    }
    pub fn copy_permissions(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.may("copy_permissions")?;
        fs::set_permissions(to, fs::metadata(from)?.permissions())
    }
    /// Lets two folders change places in one step.
    pub fn exchange(&self, a: &Path, b: &Path) -> io::Result<()> {
        self.may("exchange")?;
        exchange(a, b)
    }
    pub fn remove_file(&self, path: &Path) -> io::Result<()> {
        self.may("remove_file")?;
        fs::remove_file(path)
    }
    pub fn remove_dir(&self, path: &Path) -> io::Result<()> {
        self.may("remove_dir")?;
        fs::remove_dir(path)
    }

    #[cfg(not(test))]
    fn may(&self, _what: &str) -> io::Result<()> {
        Ok(())
    }
}

#[cfg(target_os = "linux")]
fn exchange(a: &Path, b: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    Ok(renameat_with(CWD, a, CWD, b, RenameFlags::EXCHANGE)?)
}
#[cfg(not(target_os = "linux"))]
fn exchange(_: &Path, _: &Path) -> io::Result<()> {
    Err(io::ErrorKind::Unsupported.into())
}

/// Whether a folder made by us belongs to whom the other belongs to.
#[cfg(unix)]
pub fn same_owner(made: &Path, other: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let owner = |p: &Path| fs::metadata(p).map(|m| (m.uid(), m.gid()));
    matches!((owner(made), owner(other)), (Ok(a), Ok(b)) if a == b)
}
#[cfg(not(unix))]
pub fn same_owner(_: &Path, _: &Path) -> bool {
    true
}

/// Which calls fail.
#[cfg(test)]
struct Faults {
    nth: usize,
    /// Else every later call of the same kind fails as well; but renames, without which nothing that was
    /// begun could be undone.
    only_once: bool,
    /// Whether folders can change places here.
    exchanges: bool,
    calls: std::cell::Cell<usize>,
    failed: std::cell::RefCell<Option<String>>,
}

#[cfg(test)]
impl Disk {
    /// A disk that is full at the nth call.
    pub fn failing(nth: usize, only_once: bool, exchanges: bool) -> Disk {
        let (calls, failed) = Default::default();
        Disk { faults: Some(Faults { nth, only_once, exchanges, calls, failed }) }
    }
    /// The call that failed.
    pub fn failed(&self) -> Option<String> {
        self.faults.as_ref().and_then(|f| f.failed.borrow().clone())
    }
    fn may(&self, what: &str) -> io::Result<()> {
        let Some(f) = &self.faults else { return Ok(()) };
        if what == "exchange" && !f.exchanges {
            return Err(io::ErrorKind::Unsupported.into());
        }
        let call = f.calls.replace(f.calls.get() + 1);
        let again = !f.only_once && what != "rename" && f.failed.borrow().as_deref() == Some(what);
        if call == f.nth || again {
            f.failed.borrow_mut().get_or_insert_with(|| what.to_owned());
            return Err(io::ErrorKind::StorageFull.into());
        }
        Ok(())
    }
}
