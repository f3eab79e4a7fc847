//! Folders for tests that write.

// A helper of a test may stop the test as the test itself may.
#![allow(clippy::unwrap_used)]

use std::path::{Path, PathBuf};

/// A folder of the test's own, removed when dropped.
pub struct Scratch(PathBuf);

impl Scratch {
    /// An empty one, by a name that no other test of the program has.
    pub fn new(name: &str) -> Scratch {
        let folder = format!("platewright-test-{name}-{}", std::process::id());
        let path = std::env::temp_dir().join(folder);
        let _ = std::fs::remove_dir_all(&path);
        std::fs::create_dir_all(&path).unwrap();
        Scratch(path)
    }
    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.0
    }
    /// A path in it, as an argument.
    pub fn arg(&self, name: &str) -> String {
        self.0.join(name).to_string_lossy().into_owned()
    }
    /// Writes a file and gives its path as an argument.
    pub fn file(&self, name: &str, bytes: &[u8]) -> String {
        let path = self.0.join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, bytes).unwrap();
        self.arg(name)
    }
    /// Names of everything in one of its folders, sorted; none where there is no such folder.
    pub fn entries(&self, folder: &str) -> Vec<String> {
        let Ok(dir) = std::fs::read_dir(self.0.join(folder)) else { return Vec::new() };
        let mut all: Vec<String> =
            dir.map(|e| e.unwrap().file_name().to_string_lossy().into_owned()).collect();
        all.sort();
        all
    }
    /// Names of everything in a folder that must be there, sorted.
    pub fn names(&self, folder: &str) -> Vec<String> {
        assert!(self.0.join(folder).is_dir(), "{folder}");
        self.entries(folder)
    }
}
impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}
