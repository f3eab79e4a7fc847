//! The program as a process of its own on a disk and a machine that misbehave: writes that fail at any size,
//! a kill at any moment, another clock, language, user or place. What is in the output folder afterwards is
//! old or new, whole.

// A helper of a test may stop the test as the test itself may.
#![allow(clippy::unwrap_used)]
#![cfg(unix)]

mod common;

use common::{PROGRAM, on_a_small_disk};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::Duration;

/// A folder with both demo drawings, and older results in `out` with files and folders of the user's own.
fn house(name: &str) -> PathBuf {
    let root = std::env::temp_dir().join(format!("platewright-{name}-{}", std::process::id()));
    let _ = fs::remove_dir_all(&root);
    fs::create_dir_all(root.join("disk")).unwrap();
    for file in ["willow-bend.dxf", "willow-bend.ifc"] {
        let demo = format!("{}/../../fixtures/demo/{file}", env!("CARGO_MANIFEST_DIR"));
        fs::copy(demo, root.join(file)).unwrap();
    }
    root
}

/// Plans into `out`; `top` makes results differ.
fn plan_args(out: &str, top: &str) -> Vec<String> {
    ["plan", "willow-bend.dxf", "-o", out, "--default-top", top, "--sheets", "letter"]
        .map(str::to_owned)
        .to_vec()
}
fn plan(root: &Path, out: &str, top: &str) -> Output {
    Command::new(PROGRAM).args(plan_args(out, top)).current_dir(root).output().unwrap()
}

/// The same after a line of shell that takes something from the program.
fn plan_under(root: &Path, line: &str) -> Output {
    let script = format!("{line}; exec \"$0\" \"$@\"");
    let mut shell = Command::new("bash");
    shell.args(["-c", &script, PROGRAM]).args(plan_args("out", "108")).current_dir(root);
    shell.output().unwrap()
}

/// Older results with the user's own files beside them, and what newer ones will look like.
fn older_and_newer(root: &Path, out: &str) -> [BTreeMap<String, Vec<u8>>; 2] {
    for (folder, tops) in [("newer", &["96", "108"][..]), (out, &["96"])] {
        for (i, top) in tops.iter().enumerate() {
            assert!(plan(root, folder, top).status.success());
            if i == 0 {
                fs::create_dir_all(root.join(folder).join("photos/may")).unwrap();
                fs::write(root.join(folder).join("photos/may/1.jpg"), "mine").unwrap();
                fs::write(root.join(folder).join("notes.txt"), "mine").unwrap();
            }
        }
    }
    let both = [tree(&root.join(out)), tree(&root.join("newer"))];
    assert!(both[0] != both[1] && both[0].len() == both[1].len());
    both
}

fn tree(root: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut files = BTreeMap::new();
    let mut open = vec![root.to_owned()];
    while let Some(folder) = open.pop() {
        for path in fs::read_dir(&folder).into_iter().flatten().map(|e| e.unwrap().path()) {
            if path.is_dir() {
                open.push(path);
            } else {
                let name = path.strip_prefix(root).unwrap().to_string_lossy().into_owned();
                files.insert(name, fs::read(&path).unwrap());
            }
        }
    }
    files
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).into_iter().flatten();
    let mut all: Vec<String> =
        entries.map(|e| e.unwrap().file_name().to_string_lossy().into_owned()).collect();
    all.sort();
    all
}

fn err(ran: &Output) -> String {
    String::from_utf8_lossy(&ran.stderr).into_owned()
}

/// No file may be larger than so many blocks of 1024 bytes: with ever more of them, every write of a run is
/// once the one that fails.
#[test]
fn whichever_write_is_too_large_older_results_stay() {
    let root = house("fault-fsize");
    let [older, newer] = older_and_newer(&root, "out");
    let largest = newer.values().map(Vec::len).max().unwrap();
    let beside = names(&root);
    // With and without the signal that kills: then it is the system that says so.
    for (trap, told) in [("trap '' XFSZ;", true), ("", false)] {
        let mut sizes: Vec<usize> =
            newer.values().flat_map(|b| [b.len() / 1024, b.len() / 2048]).collect();
        sizes.extend([0, 1]);
        sizes.sort_unstable();
        sizes.dedup();
        for blocks in sizes.into_iter().filter(|b| b * 1024 < largest) {
            let script = format!("{trap} ulimit -f {blocks}");
            let ran = plan_under(&root, &script);
            if told {
                assert_eq!(ran.status.code(), Some(2), "{blocks}: {}", err(&ran));
                for part in
                    ["[output-unwritable]", "not allowed here (ulimit -f)", "Nothing was changed."]
                {
                    assert!(err(&ran).contains(part), "{blocks}: {}", err(&ran));
                }
                assert_eq!(names(&root), beside, "{blocks}");
            } else {
                assert!(!ran.status.success());
            }
            assert!(ran.stdout.is_empty(), "{blocks}: no path may be told");
            assert!(tree(&root.join("out")) == older, "{blocks} blocks: older results changed");
        }
    }
    // What the killed ones left is gone after the next.
    assert!(plan(&root, "out", "108").status.success());
    assert!(tree(&root.join("out")) == newer);
    assert_eq!(names(&root), beside);
    fs::remove_dir_all(&root).unwrap();
}

/// A memory ceiling of the system's: whatever gives way, nothing is half-written.
#[test]
fn too_little_memory_leaves_older_results() {
    let root = house("fault-memory");
    let [older, newer] = older_and_newer(&root, "out");
    let mut failed = 0;
    for mb in [8, 16, 24, 32, 48, 64, 96, 128, 512, 4096] {
        let script = format!("ulimit -c 0; ulimit -v {}", mb * 1024);
        let ran = plan_under(&root, &script);
        let now = tree(&root.join("out"));
        assert!(now == if ran.status.success() { newer.clone() } else { older.clone() }, "{mb} MB");
        if ran.status.success() {
            break;
        }
        failed += 1;
        assert!(ran.stdout.is_empty(), "{mb} MB: no path may be told");
    }
    assert!(failed > 0, "there was always enough");
    fs::remove_dir_all(&root).unwrap();
}

/// A small deterministic sequence of numbers (splitmix64).
struct Seeded(u64);
impl Seeded {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (z ^ (z >> 31)) % n
    }
}

/// Results that are the newer ones but for folders not yet moved, and these found whole where the results came from.
fn with_what_lies_beside(
    root: &Path,
    mut now: BTreeMap<String, Vec<u8>>,
    newer: &BTreeMap<String, Vec<u8>>,
) -> BTreeMap<String, Vec<u8>> {
    let is_in_folder = |name: &String| name.contains('/');
    if now.keys().any(is_in_folder)
        || newer.iter().any(|(k, v)| !is_in_folder(k) && now.get(k) != Some(v))
    {
        return now;
    }
    let stages = names(root).into_iter().filter(|n| n.starts_with(".out.partial-"));
    for stage in stages {
        now.extend(tree(&root.join(stage)).into_iter().filter(|(name, _)| is_in_folder(name)));
    }
    now
}

/// Kills `plan` at seeded moments, on empty ground and over older results: the folder is as before or as after,
/// whole, and the next run tidies up. A folder of the user's own follows the results by a rename of its own: killed
/// just between, it lies beside until then. (`batch`: `killed_at_any_moment_the_next_run_finishes_the_same`.)
#[test]
fn killed_at_any_moment_a_plan_is_old_or_new() {
    let root = house("fault-kill");
    let [older, newer] = older_and_newer(&root, "out");
    // The demo takes this long here; a measure for the moments, no bound on anything.
    let begun = std::time::Instant::now();
    assert!(plan(&root, "warm", "108").status.success());
    let whole = begun.elapsed().as_micros() as u64;
    let bare = tree(&root.join("warm"));
    let beside = names(&root);
    let (mut seeded, mut killed, mut states) = (Seeded(0x0807), 0, [0, 0]);
    for round in 0..60 {
        let fresh = round % 3 == 0;
        let out = if fresh { "fresh" } else { "out" };
        let mut child = Command::new(PROGRAM)
            .args(plan_args(out, "108"))
            .current_dir(&root)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        // Two in three near the end, where files are written.
        let moment = match round % 3 {
            1 => seeded.below(whole),
            _ => whole * 7 / 10 + seeded.below(whole / 2),
        };
        std::thread::sleep(Duration::from_micros(moment));
        killed += usize::from(child.try_wait().unwrap().is_none());
        child.kill().unwrap();
        child.wait().unwrap();
        let now = with_what_lies_beside(&root, tree(&root.join(out)), &newer);
        let [before, after] = if fresh { [&BTreeMap::new(), &bare] } else { [&older, &newer] };
        assert!(now == *before || now == *after, "round {round}: {:?}", now.keys());
        states[usize::from(now == *after)] += 1;
        if fresh {
            let _ = fs::remove_dir_all(root.join("fresh"));
        } else if now == *after {
            assert!(plan(&root, "out", "96").status.success());
            assert!(tree(&root.join("out")) == older, "round {round}: back again");
        }
    }
    println!(
        "{killed} of 60 caught at work; {} left the older results, {} the newer",
        states[0], states[1]
    );
    assert!(killed > 5, "hardly a run was caught at work");
    for out in ["out", "fresh"] {
        assert!(plan(&root, out, "108").status.success());
    }
    assert!(tree(&root.join("out")) == newer && tree(&root.join("fresh")) == bare);
    fs::remove_dir_all(root.join("fresh")).unwrap();
    assert_eq!(names(&root), beside, "left over beside");
    fs::remove_dir_all(&root).unwrap();
}

/// Same drawing, same bytes: whatever the clock's zone, the language, the user, home, place and threads.
#[test]
fn clock_language_user_and_place_change_nothing() {
    let root = house("fault-world");
    fs::create_dir_all(root.join("elsewhere/far")).unwrap();
    let make = |out: &str, drawing: &str, world: &dyn Fn(&mut Command)| {
        let mut command = Command::new(PROGRAM);
        command.current_dir(&root);
        world(&mut command);
        let ran = command
            .args(["plan", drawing, "--sheets", "a4", "--svg", "--drawings", "--parquet"])
            .args(["-o", &root.join(out).to_string_lossy()])
            .output()
            .unwrap();
        assert!(ran.status.success(), "{out}: {}", err(&ran));
        (tree(&root.join(out)), err(&ran))
    };
    for drawing in ["willow-bend.dxf", "willow-bend.ifc"] {
        let usual = make("usual", drawing, &|_| {});
        let far = format!("../../{drawing}");
        type World<'a> = (&'a str, &'a str, &'a dyn Fn(&mut Command));
        let worlds: [World; 9] = [
            ("zone", drawing, &|c| {
                c.env("TZ", "Pacific/Kiritimati");
            }),
            ("zone", drawing, &|c| {
                c.env("TZ", "America/St_Johns");
            }),
            ("language", drawing, &|c| {
                c.env("LC_ALL", "tr_TR.UTF-8").env("LANG", "ar_EG");
            }),
            ("language", drawing, &|c| {
                c.env("LC_ALL", "C").env("LANGUAGE", "de");
            }),
            ("epoch", drawing, &|c| {
                c.env("SOURCE_DATE_EPOCH", "1");
            }),
            ("epoch", drawing, &|c| {
                c.env("SOURCE_DATE_EPOCH", "not a number");
            }),
            ("user", drawing, &|c| {
                c.env("USER", "someone").env("HOME", "/nowhere").env("LOGNAME", "x");
            }),
            ("bare", drawing, &|c| {
                c.env_clear();
            }),
            ("place", &far, &|c| {
                c.current_dir(root.join("elsewhere/far")).env("RAYON_NUM_THREADS", "1");
            }),
        ];
        for (name, drawing, world) in worlds {
            let (files, told) = make("other", drawing, world);
            assert_eq!(files.keys().collect::<Vec<_>>(), usual.0.keys().collect::<Vec<_>>());
            for (file, bytes) in &files {
                assert!(usual.0[file] == *bytes, "{drawing}, other {name}: {file} differs");
            }
            assert_eq!(told, usual.1, "{drawing}, other {name}");
        }
        // Nor does anything in them name this machine.
        let user = root.to_string_lossy().into_owned();
        for (file, bytes) in &usual.0 {
            let has = bytes.windows(user.len()).any(|w| w == user.as_bytes());
            assert!(!has, "{file} names a path");
        }
    }
    fs::remove_dir_all(&root).unwrap();
}

/// Files and folders that may not be written to. As root everything may be, so that somebody else is asked.
#[test]
fn folders_that_are_closed_are_told_and_stay() {
    use std::os::unix::fs::PermissionsExt;
    let root = house("fault-closed");
    let [older, _] = older_and_newer(&root, "closed/out");
    let mode = |path: &str, mode| {
        fs::set_permissions(root.join(path), fs::Permissions::from_mode(mode)).unwrap();
    };
    let id = Command::new("id").arg("-u").output().unwrap();
    let is_root = id.stdout == b"0\n";
    let run = |out: &str| {
        let mut command = Command::new(if is_root { "setpriv" } else { PROGRAM });
        if is_root {
            command.args(["--reuid=65534", "--regid=65534", "--clear-groups", PROGRAM]);
        }
        command.args(plan_args(out, "108")).current_dir(&root).output()
    };
    if is_root {
        // The other user must be able to come here, and owns what is there.
        let given = Command::new("chown").args(["-R", "65534:65534"]).arg(&root).status().unwrap();
        assert!(given.success());
        let allowed = Command::new("setpriv")
            .args(["--reuid=65534", "--regid=65534", "--clear-groups", PROGRAM, "--version"])
            .output();
        if !allowed.is_ok_and(|ran| ran.status.success()) {
            println!("skipped: nobody else can run the program here");
            fs::remove_dir_all(&root).unwrap();
            return;
        }
    }
    // The folder itself: its own closing is meant, though its place may be written to.
    mode("closed/out", 0o555);
    let ran = run("closed/out").unwrap();
    assert_eq!(ran.status.code(), Some(2), "{}", err(&ran));
    assert!(err(&ran).contains("permission denied. Nothing was changed."), "{}", err(&ran));
    assert!(tree(&root.join("closed/out")) == older);
    assert_eq!(names(&root.join("closed")), ["out"]);
    // A new folder where none may be made.
    mode("closed/out", 0o755);
    mode("closed", 0o555);
    let ran = run("closed/new").unwrap();
    assert_eq!(ran.status.code(), Some(2), "{}", err(&ran));
    assert!(
        err(&ran).contains("closed/new could not be written: permission denied"),
        "{}",
        err(&ran)
    );
    // A folder of one's own in a place that is not: results go in all the same.
    let ran = run("closed/out").unwrap();
    assert_eq!(ran.status.code(), Some(0), "{}", err(&ran));
    let now = tree(&root.join("closed/out"));
    assert!(now == tree(&root.join("newer")), "{:?}", now.keys());
    mode("closed", 0o755);
    fs::remove_dir_all(&root).unwrap();
}

/// Room for ever more bytes of the newer results beside the older ones, until there is enough.
#[test]
fn a_disk_that_fills_up_at_any_byte_keeps_older_results() {
    let root = house("fault-full");
    let script = r#"
plan() { "$PLATEWRIGHT" plan willow-bend.dxf -o disk/out --sheets letter --default-top $1 2>told >paths; }
plan 96 || exit 98
echo mine > disk/out/notes.txt
sum() { (cd disk && find . -type f | sort | xargs sha256sum | sha256sum); }
older=$(sum)
used=$(du -sk disk | cut -f1)
room=0
while :; do
    mount -o remount,size=$((used + room))k disk || exit 97
    plan 108
    status=$?
    [ $status = 0 ] && break
    [ $status = 2 ] || { echo "status $status"; exit 1; }
    [ "$(sum)" = "$older" ] || { echo "room $room: something changed"; ls -la disk disk/out; exit 1; }
    grep -q 'the disk is full. Nothing was changed.' told || { echo "room $room"; cat told; exit 1; }
    [ -s paths ] && { echo "paths told"; exit 1; }
    room=$((room + 16))
done
echo "room $room"
ls -A disk
ls -A disk/out | wc -l
"#;
    let Some(ran) = on_a_small_disk(&root, "64m", script) else { return };
    let out = String::from_utf8_lossy(&ran.stdout);
    assert!(ran.status.success(), "{out}\n{}", err(&ran));
    let lines: Vec<&str> = out.lines().collect();
    let room: u32 = lines[0].strip_prefix("room ").unwrap().parse().unwrap();
    assert!(room >= 64, "it was never full: {out}");
    assert_eq!(lines[1], "out", "left over beside: {out}");
    println!("{} sizes of disk", room / 16);
    fs::remove_dir_all(&root).unwrap();
}

/// The output folder is a disk of its own, as containers have it: nothing can be made beside it on the same
/// disk.
#[test]
fn the_output_folder_may_be_a_disk_of_its_own() {
    let root = house("fault-mounted");
    let script = r#"
for top in 96 108; do
    "$PLATEWRIGHT" plan willow-bend.dxf -o disk --default-top $top >/dev/null || exit 1
done
ls -A disk
"$PLATEWRIGHT" plan willow-bend.dxf -o other --default-top 108 >/dev/null
cmp disk/plan.json other/plan.json && cmp disk/cuts.csv other/cuts.csv && echo same
ls -A other
"#;
    let Some(ran) = on_a_small_disk(&root, "64m", script) else { return };
    let out = String::from_utf8_lossy(&ran.stdout);
    let (disk, other) = out.split_once("same\n").unwrap_or_else(|| panic!("{out}\n{}", err(&ran)));
    assert_eq!(disk, other, "{}", err(&ran));
    assert_eq!(names(&root), ["disk", "other", "willow-bend.dxf", "willow-bend.ifc"]);
    fs::remove_dir_all(&root).unwrap();
}

/// Results into the folder one stands in: it stays the same folder, or the shell would be left in the older one.
#[test]
fn the_folder_one_stands_in_stays_the_same() {
    use std::os::unix::fs::MetadataExt;
    let root = house("fault-here");
    let [_, newer] = older_and_newer(&root, "out");
    let inode = || fs::metadata(root.join("out")).unwrap().ino();
    let (before, beside) = (inode(), names(&root));
    let mut args = plan_args(".", "108");
    args[1] = "../willow-bend.dxf".to_owned();
    let ran = Command::new(PROGRAM).args(args).current_dir(root.join("out")).output().unwrap();
    assert_eq!(ran.status.code(), Some(0), "{}", err(&ran));
    assert!(tree(&root.join("out")) == newer);
    assert_eq!(inode(), before);
    assert_eq!(names(&root), beside);
    fs::remove_dir_all(&root).unwrap();
}

/// A drawing without end, such as a device, is read no further than the limit.
#[test]
fn a_drawing_without_end_is_refused() {
    if !Path::new("/dev/zero").exists() {
        println!("skipped: there is no /dev/zero");
        return;
    }
    let root = house("fault-endless");
    let ran = Command::new(PROGRAM)
        .args(["plan", "/dev/zero", "-o", "out", "--limit", "file_mb=3"])
        .current_dir(&root)
        .output()
        .unwrap();
    assert_eq!(ran.status.code(), Some(2));
    assert!(
        err(&ran).contains("/dev/zero: The file has 3145729 bytes; the limit file_mb is 3"),
        "{}",
        err(&ran)
    );
    assert!(!root.join("out").exists());
    fs::remove_dir_all(&root).unwrap();
}
