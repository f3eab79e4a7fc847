//! Results written whole or not at all.
//!
//! Everything is first written into a folder beside the target. A target that does not exist yet is
//! then made by one rename; in one that exists, each file takes the place of its older namesake by a
//! rename, and a failure half-way puts the older ones back. Files of other names are left alone.
//!
//! Nothing is forced to disk (no fsync): a power cut may lose results, which can be made again.

use crate::files::why;
use diag::{Finding, Refusal, codes::output};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// A file's name and its bytes.
pub type Named<'a> = (&'a str, &'a [u8]);

/// Writes the files into `dir`, making it if needed; their paths, in the order given.
pub fn named(dir: &Path, files: &[Named]) -> Result<Vec<PathBuf>, Refusal> {
    if dir.exists() && !dir.is_dir() {
        return Err(refusal(dir, "it is a file, not a folder"));
    }
    let mut made = Vec::new();
    let result = stage_and_move(dir, files, &mut made);
    if result.is_err() {
        // Folders made for nothing go again; one that is not empty stays, and that is right.
        for folder in made.iter().rev() {
            let _ = fs::remove_dir(folder);
        }
    }
    result.map_err(|(path, e)| refusal(&path, &why(&e)))?;
    Ok(files.iter().map(|(name, _)| dir.join(name)).collect())
}

fn refusal(path: &Path, why: &str) -> Refusal {
    let message = format!("{} could not be written: {why}. Nothing was changed.", path.display());
    Refusal::because(Finding::new(output::OUTPUT_UNWRITABLE, message))
}

type Failed = (PathBuf, io::Error);

fn stage_and_move(dir: &Path, files: &[Named], made: &mut Vec<PathBuf>) -> Result<(), Failed> {
    let parent = match dir.parent() {
        Some(p) if !p.as_os_str().is_empty() => p,
        _ => Path::new("."),
    };
    make_folders(parent, made)?;
    let stage = new_stage(parent, dir)?;
    let moved = fill(&stage, files).and_then(|()| move_in(&stage, dir, files));
    let _ = fs::remove_dir_all(&stage);
    moved
}

/// Makes a folder and those above it, noting each one made.
fn make_folders(path: &Path, made: &mut Vec<PathBuf>) -> Result<(), Failed> {
    let missing: Vec<&Path> =
        path.ancestors().take_while(|p| !p.as_os_str().is_empty() && !p.is_dir()).collect();
    for folder in missing.into_iter().rev() {
        match fs::create_dir(folder) {
            Ok(()) => made.push(folder.to_owned()),
            Err(_) if folder.is_dir() => {} // another process was faster
            Err(e) => return Err((folder.to_owned(), e)),
        }
    }
    Ok(())
}

/// A fresh folder beside the target, on the same file system, so that renames are renames.
fn new_stage(parent: &Path, dir: &Path) -> Result<PathBuf, Failed> {
    let name = dir.file_name().map_or("out".into(), |n| n.to_string_lossy());
    for attempt in 0.. {
        let stage = parent.join(format!(".{name}.partial-{}-{attempt}", std::process::id()));
        match fs::create_dir(&stage) {
            Ok(()) => return Ok(stage),
            Err(e) if e.kind() == io::ErrorKind::AlreadyExists && attempt < 100 => {}
            Err(e) => return Err((dir.to_owned(), e)),
        }
    }
    Err((dir.to_owned(), io::ErrorKind::AlreadyExists.into()))
}

fn fill(stage: &Path, files: &[Named]) -> Result<(), Failed> {
    for (name, bytes) in files {
        fs::write(stage.join(name), bytes).map_err(|e| (stage.join(name), e))?;
    }
    Ok(())
}

fn move_in(stage: &Path, dir: &Path, files: &[Named]) -> Result<(), Failed> {
    if !dir.exists() {
        return fs::rename(stage, dir).map_err(|e| (dir.to_owned(), e));
    }
    let mut undo: Vec<(PathBuf, Option<PathBuf>)> = Vec::new();
    for (name, _) in files {
        let target = dir.join(name);
        if let Err(e) = replace(stage, name, &target, &mut undo) {
            for (target, old) in undo.into_iter().rev() {
                let _ = match old {
                    Some(old) => fs::rename(old, target),
                    None => fs::remove_file(target),
                };
            }
            return Err((target, e));
        }
    }
    Ok(())
}

/// Puts a staged file in the place of its older namesake, which is kept in the stage for undoing.
fn replace(
    stage: &Path,
    name: &str,
    target: &Path,
    undo: &mut Vec<(PathBuf, Option<PathBuf>)>,
) -> io::Result<()> {
    if target.is_dir() {
        return Err(io::ErrorKind::IsADirectory.into());
    }
    let old = stage.join(format!("old-{name}"));
    let had_one = target.exists();
    if had_one {
        fs::rename(target, &old)?;
    }
    match fs::rename(stage.join(name), target) {
        Ok(()) => {
            undo.push((target.to_owned(), had_one.then_some(old)));
            Ok(())
        }
        Err(e) => {
            if had_one {
                let _ = fs::rename(&old, target);
            }
            Err(e)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A folder of the test's own, removed when dropped.
    struct Scratch(PathBuf);
    impl Scratch {
        fn new(name: &str) -> Scratch {
            let path =
                std::env::temp_dir().join(format!("platewright-{name}-{}", std::process::id()));
            let _ = fs::remove_dir_all(&path);
            fs::create_dir_all(&path).unwrap();
            Scratch(path)
        }
        fn entries(&self) -> Vec<String> {
            let mut all: Vec<String> = fs::read_dir(&self.0)
                .unwrap()
                .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
                .collect();
            all.sort();
            all
        }
    }
    impl Drop for Scratch {
        fn drop(&mut self) {
            let _ = fs::remove_dir_all(&self.0);
        }
    }

    fn files(text: &str) -> [Named<'_>; 2] {
        ["a.csv", "b.csv"].map(|name| (name, text.as_bytes()))
    }
    fn read(p: PathBuf) -> String {
        fs::read_to_string(p).unwrap()
    }

    #[test]
    fn makes_replaces_and_leaves_strangers() {
        let s = Scratch::new("replace");
        let dir = s.0.join("deep/er/out");
        named(&dir, &files("one")).unwrap();
        fs::write(dir.join("notes.txt"), "mine").unwrap();
        let paths = named(&dir, &files("two")).unwrap();
        assert_eq!(paths, [dir.join("a.csv"), dir.join("b.csv")]);
        assert_eq!(read(dir.join("a.csv")), "two");
        assert_eq!(read(dir.join("notes.txt")), "mine");
        assert_eq!(fs::read_dir(s.0.join("deep/er")).unwrap().count(), 1, "stage left behind");
    }

    #[test]
    fn a_failure_half_way_leaves_the_older_results() {
        let s = Scratch::new("undo");
        let dir = s.0.join("out");
        fs::create_dir_all(dir.join("b.csv")).unwrap(); // a folder where a file should go
        fs::write(dir.join("a.csv"), "old").unwrap();
        let e = named(&dir, &files("new")).unwrap_err();
        assert!(e.to_string().contains("b.csv"), "{e}");
        assert_eq!(read(dir.join("a.csv")), "old");
        assert_eq!(s.entries(), ["out"]);
    }

    #[test]
    fn an_impossible_folder_leaves_nothing() {
        let s = Scratch::new("impossible");
        fs::write(s.0.join("file"), "x").unwrap();
        for dir in ["file", "file/out", "new/\0bad/out"] {
            let e = named(&s.0.join(dir), &files("x")).unwrap_err();
            assert_eq!(e.findings[0].code, output::OUTPUT_UNWRITABLE);
        }
        assert_eq!(s.entries(), ["file"]);
    }
}
