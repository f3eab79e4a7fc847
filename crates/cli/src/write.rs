//! Results written whole or not at all.
//!
//! Everything is first written into a folder beside the target, on the same disk. A target that does not
//! exist yet is then made by one rename. One that exists changes place with the new folder in one step
//! (Linux), so that a run killed at any moment leaves the older results or the newer, never some of each;
//! files of other names are in both folders by then, folders of other names follow. Where the system or the
//! disk cannot do that, or nothing may be made beside the target, each file takes the place of its older
//! namesake by a rename; a failure half-way puts the older ones back, but a kill there can leave some of each.
//!
//! What a killed run left is tidied by the next one into the same folder.
//!
//! Nothing is forced to disk (no fsync): a power cut may lose results, which can be made again.

mod disk;

use crate::files::why;
use diag::{Finding, Refusal, codes::output};
use disk::Disk;
use std::ffi::OsString;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

/// A file's name and its bytes.
pub type Named<'a> = (&'a str, &'a [u8]);

/// Writes the files into `dir`, making it if needed; their paths, in the order given.
pub fn named(dir: &Path, files: &[Named]) -> Result<Vec<PathBuf>, Refusal> {
    named_on(&Disk::default(), dir, files)
}

fn named_on(disk: &Disk, dir: &Path, files: &[Named]) -> Result<Vec<PathBuf>, Refusal> {
    if dir.exists() && !dir.is_dir() {
        return Err(refusal(dir, "it is a file, not a folder"));
    }
    if let Some(file) = dir.ancestors().skip(1).find(|p| p.is_file()) {
        return Err(refusal(dir, &format!("{} is a file, not a folder", file.display())));
    }
    let mut made = Vec::new();
    let result = stage_and_move(disk, dir, files, &mut made);
    if result.is_err() {
        // Folders made for nothing go again; one that is not empty stays, and that is right.
        for folder in made.iter().rev() {
            let _ = disk.remove_dir(folder);
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

fn stage_and_move(
    disk: &Disk,
    dir: &Path,
    files: &[Named],
    made: &mut Vec<PathBuf>,
) -> Result<(), Failed> {
    // Behind a link, the folder itself: the link stays as it is.
    let real = if dir.exists() { fs::canonicalize(dir).ok() } else { None };
    let target = real.as_deref().unwrap_or(dir);
    let parent = match target.parent() {
        Some(p) if !p.as_os_str().is_empty() => p,
        _ => Path::new("."),
    };
    make_folders(disk, parent, made)?;
    tidy(disk, parent, target);
    let (stage, beside) = new_stage(disk, parent, target).map_err(|e| (dir.to_owned(), e))?;
    // Held as long as this process lives: what nobody holds was left by a killed one.
    let hold = File::open(&stage).ok().filter(|f| f.try_lock().is_ok());
    let told = |(path, e): Failed| match path.strip_prefix(target) {
        Ok(name) if name.as_os_str().is_empty() => (dir.to_owned(), e),
        Ok(name) => (dir.join(name), e),
        Err(_) => (path, e),
    };
    let moved = fill(disk, &stage, dir, files)
        .and_then(|()| move_in(disk, (&stage, beside), target, files).map_err(told));
    drop(hold);
    discard(disk, &stage);
    moved
}

/// Makes a folder and those above it, noting each one made.
fn make_folders(disk: &Disk, path: &Path, made: &mut Vec<PathBuf>) -> Result<(), Failed> {
    let missing: Vec<&Path> =
        path.ancestors().take_while(|p| !p.as_os_str().is_empty() && !p.is_dir()).collect();
    for folder in missing.into_iter().rev() {
        match disk.create_dir(folder) {
            Ok(()) => made.push(folder.to_owned()),
            Err(_) if folder.is_dir() => {} // another process was faster
            Err(e) => return Err((folder.to_owned(), e)),
        }
    }
    Ok(())
}

fn stage_prefix(dir: &Path) -> String {
    let name = dir.file_name().map_or("out".into(), |n| n.to_string_lossy());
    format!(".{name}.partial-")
}

/// A fresh folder beside the target, so that renames are renames; inside the target where nothing may be
/// made beside it, or where it is a disk of its own. Whether it is beside.
fn new_stage(disk: &Disk, parent: &Path, dir: &Path) -> io::Result<(PathBuf, bool)> {
    if is_another_disk(parent, dir) {
        return fresh(disk, dir, dir).map(|stage| (stage, false));
    }
    match fresh(disk, parent, dir) {
        Err(e) if is_forbidden(&e) && dir.is_dir() => {
            fresh(disk, dir, dir).map(|stage| (stage, false))
        }
        beside => beside.map(|stage| (stage, true)),
    }
}

fn is_forbidden(e: &io::Error) -> bool {
    matches!(e.kind(), io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem)
}

fn fresh(disk: &Disk, place: &Path, dir: &Path) -> io::Result<PathBuf> {
    let prefix = stage_prefix(dir);
    for attempt in 0..100 {
        let stage = place.join(format!("{prefix}{}-{attempt}", std::process::id()));
        match disk.create_dir(&stage) {
            Err(e) if e.kind() == io::ErrorKind::AlreadyExists => {}
            made => return made.map(|()| stage),
        }
    }
    Err(io::ErrorKind::AlreadyExists.into())
}

#[cfg(unix)]
fn is_another_disk(parent: &Path, dir: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let disk = |p: &Path| fs::metadata(p).map(|m| m.dev());
    matches!((disk(parent), disk(dir)), (Ok(a), Ok(b)) if a != b)
}
#[cfg(not(unix))]
fn is_another_disk(_: &Path, _: &Path) -> bool {
    false
}

fn fill(disk: &Disk, stage: &Path, dir: &Path, files: &[Named]) -> Result<(), Failed> {
    for (name, bytes) in files {
        // Told by the name it was to have: the stage is gone when that is read.
        disk.write(&stage.join(name), bytes).map_err(|e| (dir.join(name), e))?;
    }
    Ok(())
}

/// Removes a stage and the files in it. Folders in it are not ours: they stay, and it with them.
fn discard(disk: &Disk, stage: &Path) {
    for entry in fs::read_dir(stage).into_iter().flatten().flatten() {
        if !entry.file_type().is_ok_and(|t| t.is_dir()) {
            let _ = disk.remove_file(&entry.path());
        }
    }
    let _ = disk.remove_dir(stage);
}

/// Clears away what killed runs left of their stages. Folders in one belong to the target: the kill came after
/// the two had changed place and before these had followed.
fn tidy(disk: &Disk, parent: &Path, dir: &Path) {
    let prefix = stage_prefix(dir);
    let inside = dir.is_dir().then_some(dir);
    for place in [Some(parent), inside].into_iter().flatten() {
        for entry in fs::read_dir(place).into_iter().flatten().flatten() {
            let path = entry.path();
            let is_stage = entry.file_name().to_string_lossy().starts_with(&prefix);
            // Where a folder cannot be held, whether it is in use cannot be told: it stays.
            let left = || File::open(&path).is_ok_and(|f| f.try_lock().is_ok());
            if is_stage && entry.file_type().is_ok_and(|t| t.is_dir()) && left() {
                let _ = follow(disk, &path, dir);
                discard(disk, &path);
            }
        }
    }
}

/// Moves the folders of one folder to another, those it has no name for yet; which were moved.
fn follow(disk: &Disk, from: &Path, to: &Path) -> Result<(), (Vec<OsString>, io::Error)> {
    let mut moved = Vec::new();
    for entry in fs::read_dir(from).into_iter().flatten().flatten() {
        let name = entry.file_name();
        if !entry.file_type().is_ok_and(|t| t.is_dir()) || to.join(&name).exists() {
            continue;
        }
        match disk.rename(&from.join(&name), &to.join(&name)) {
            Ok(()) => moved.push(name),
            Err(e) => return Err((moved, e)),
        }
    }
    Ok(())
}

fn move_in(
    disk: &Disk,
    (stage, beside): (&Path, bool),
    dir: &Path,
    files: &[Named],
) -> Result<(), Failed> {
    if !dir.exists() {
        return disk.rename(stage, dir).map_err(|e| (dir.to_owned(), e));
    }
    if let Some((name, _)) = files.iter().find(|(name, _)| dir.join(name).is_dir()) {
        return Err((dir.join(name), io::ErrorKind::IsADirectory.into()));
    }
    if beside && change_places(disk, stage, dir, files) {
        return Ok(());
    }
    file_by_file(disk, stage, dir, files)
}

/// Lets the stage and the target change places, if that can be done; nothing is changed where not.
fn change_places(disk: &Disk, stage: &Path, dir: &Path, files: &[Named]) -> bool {
    // Changing places needs no right to write into the folder; who took that away meant something by it.
    let is_closed = fs::metadata(dir).map_or(true, |m| m.permissions().readonly());
    // Whoever stands in the folder would be left standing in the older one.
    let is_stood_in = std::env::current_dir()
        .and_then(fs::canonicalize)
        .map_or(true, |here| here.starts_with(dir));
    if is_closed || is_stood_in || !disk::same_owner(stage, dir) {
        return false;
    }
    let Ok(entries) = fs::read_dir(dir) else { return false };
    for entry in entries {
        let Ok(entry) = entry else { return false };
        let name = entry.file_name();
        let Ok(kind) = entry.file_type() else { return false };
        let is_ours = files.iter().any(|(ours, _)| name == **ours);
        if !is_ours
            && !kind.is_dir()
            && disk.hard_link(&dir.join(&name), &stage.join(&name)).is_err()
        {
            return false;
        }
    }
    if disk.copy_permissions(dir, stage).is_err() || disk.exchange(stage, dir).is_err() {
        return false;
    }
    // The older results are where the stage was.
    let Err((moved, _)) = follow(disk, stage, dir) else { return true };
    for name in moved {
        let _ = disk.rename(&dir.join(&name), &stage.join(&name));
    }
    // If even that fails, the new results stay, and the next run fetches the folders.
    disk.exchange(stage, dir).is_err()
}

fn file_by_file(disk: &Disk, stage: &Path, dir: &Path, files: &[Named]) -> Result<(), Failed> {
    let mut undo: Vec<(PathBuf, Option<PathBuf>)> = Vec::new();
    for (name, _) in files {
        let target = dir.join(name);
        if let Err(e) = replace(disk, stage, name, &target, &mut undo) {
            for (target, old) in undo.into_iter().rev() {
                let _ = match old {
                    Some(old) => disk.rename(&old, &target),
                    None => disk.remove_file(&target),
                };
            }
            return Err((target, e));
        }
    }
    Ok(())
}

/// Puts a staged file in the place of its older namesake, which is kept in the stage for undoing.
fn replace(
    disk: &Disk,
    stage: &Path,
    name: &str,
    target: &Path,
    undo: &mut Vec<(PathBuf, Option<PathBuf>)>,
) -> io::Result<()> {
    let old = stage.join(format!("old-{name}"));
    let had_one = target.exists();
    // As a second name, so that there is always one of the two; where the disk has no second names, moved.
    if had_one && disk.hard_link(target, &old).is_err() {
        disk.rename(target, &old)?;
    }
    match disk.rename(&stage.join(name), target) {
        Ok(()) => {
            undo.push((target.to_owned(), had_one.then_some(old)));
            Ok(())
        }
        Err(e) => {
            if had_one {
                let _ = disk.rename(&old, target);
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

    /// Every file below a folder with its text; folders with a slash.
    fn tree(root: &Path) -> Vec<(String, String)> {
        let mut all = Vec::new();
        let mut open = vec![root.to_owned()];
        while let Some(folder) = open.pop() {
            for path in fs::read_dir(&folder).unwrap().map(|e| e.unwrap().path()) {
                let name = path.strip_prefix(root).unwrap().to_string_lossy().into_owned();
                if path.is_dir() {
                    all.push((name + "/", String::new()));
                    open.push(path);
                } else {
                    all.push((name, read(path)));
                }
            }
        }
        all.sort();
        all
    }
    fn with_older_results(s: &Scratch) -> PathBuf {
        let dir = s.0.join("out");
        fs::create_dir_all(dir.join("photos/may")).unwrap();
        fs::create_dir(dir.join("sketches")).unwrap();
        for (name, text) in [
            ("a.csv", "old"),
            ("b.csv", "old"),
            ("notes.txt", "mine"),
            ("photos/may/1.jpg", "mine"),
        ] {
            fs::write(dir.join(name), text).unwrap();
        }
        dir
    }

    /// Each call that changes the disk is made to fail, one run after the other, by itself and with every
    /// later one of its kind: afterwards there are the older results or the newer ones, whole, and the user's
    /// own files either way; said rightly; and the next run is as if nothing had been.
    #[test]
    fn whichever_call_fails_the_results_are_old_or_new() {
        for (case, exchanges) in [("fault-swap", true), ("fault-files", false)] {
            for fresh in [true, false] {
                for only_once in [true, false] {
                    let calls = fail_at_every_call(case, exchanges, fresh, only_once);
                    assert!(calls > if fresh { 3 } else { 10 }, "{case}: {calls} calls");
                }
            }
        }
    }

    /// How many calls there were to fail.
    fn fail_at_every_call(case: &str, exchanges: bool, fresh: bool, only_once: bool) -> usize {
        for nth in 0.. {
            let s = Scratch::new(case);
            let dir = if fresh { s.0.join("deep/out") } else { with_older_results(&s) };
            let older = tree(&s.0);
            let clean = Scratch::new(&format!("{case}-clean"));
            let clean_dir =
                if fresh { clean.0.join("deep/out") } else { with_older_results(&clean) };
            named(&clean_dir, &files("new")).unwrap();
            let newer = tree(&clean.0);
            let disk = Disk::failing(nth, only_once, exchanges);
            let result = named_on(&disk, &dir, &files("new"));
            let what =
                format!("{case}, fresh {fresh}, once {only_once}, call {nth}: {:?}", disk.failed());
            // A stage that could not be cleared away may be left; nothing else may.
            let mut after = tree(&s.0);
            let mut lost = Vec::new();
            after.retain(|(name, _)| {
                let stage = name.contains(".partial-");
                lost.extend(stage.then(|| name.clone()));
                !stage
            });
            match &result {
                Ok(_) => assert_eq!(after, newer, "{what}"),
                Err(e) => {
                    let made = |(name, _): &(String, String)| fresh && name == "deep/";
                    after.retain(|entry| !made(entry));
                    assert_eq!(after, older, "{what}");
                    assert_eq!(e.findings[0].code, output::OUTPUT_UNWRITABLE);
                    let message = &e.findings[0].message;
                    assert!(message.contains("the disk is full"), "{what}: {message}");
                    assert!(!message.contains(".partial-"), "{what}: {message}");
                }
            }
            named(&dir, &files("new")).unwrap();
            assert_eq!(tree(&s.0), newer, "the next run after {what}; there was {lost:?}");
            if disk.failed().is_none() {
                return nth;
            }
        }
        0
    }

    /// What killed runs leave is cleared away; a stage in use is not, nor is anybody's folder in one.
    #[test]
    fn the_next_run_tidies_up() {
        let s = Scratch::new("tidy");
        let dir = with_older_results(&s);
        let left = s.0.join(".out.partial-1-0");
        fs::create_dir_all(left.join("drawings")).unwrap();
        fs::write(left.join("a.csv"), "half").unwrap();
        fs::write(left.join("drawings/x"), "mine").unwrap();
        let used = s.0.join(".out.partial-2-0");
        fs::create_dir(&used).unwrap();
        let hold = File::open(&used).unwrap();
        hold.try_lock().unwrap();
        named(&dir, &files("new")).unwrap();
        assert_eq!(s.entries(), [".out.partial-2-0", "out"]);
        assert_eq!(read(dir.join("drawings/x")), "mine");
        assert_eq!(read(dir.join("a.csv")), "new");
    }

    /// The folder's own access rights stay, and a link to it stays a link.
    #[cfg(unix)]
    #[test]
    fn the_folder_itself_stays_as_it_was() {
        use std::os::unix::fs::{MetadataExt, PermissionsExt, symlink};
        let s = Scratch::new("rights");
        let dir = with_older_results(&s);
        fs::set_permissions(&dir, fs::Permissions::from_mode(0o750)).unwrap();
        let link = s.0.join("latest");
        symlink("out", &link).unwrap();
        symlink("nowhere", dir.join("dangling")).unwrap();
        let inode = fs::metadata(dir.join("notes.txt")).unwrap().ino();
        let paths = named(&link, &files("new")).unwrap();
        assert_eq!(paths[0], link.join("a.csv"));
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert!(fs::symlink_metadata(dir.join("dangling")).unwrap().is_symlink());
        assert_eq!(fs::metadata(&dir).unwrap().mode() & 0o777, 0o750);
        assert_eq!(fs::metadata(dir.join("notes.txt")).unwrap().ino(), inode);
        assert_eq!(s.entries(), ["latest", "out"]);
    }
}
