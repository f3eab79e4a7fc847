//! Large, wrong, repeated, broken off, late; a full disk, a panic, a stop.

use super::client::{BINARY, Running, Scratch, answer, ask, demo_dxf, fixture, raw, until};
use office::{Config, Stage};
use platewright_tests::bad;
use serde_json::json;
use std::io::Write;
use std::net::{Shutdown, TcpStream};
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex};
use std::time::Duration;

fn small(folder: &Path) -> Running {
    Running::start(Config { upload_bytes: 1 << 20, ..Config::new(folder) })
}

/// The head of an upload that says how long it will be.
fn head(server: &Running, length: u64, more: &str) -> String {
    format!(
        "POST /api/jobs?name=big.dxf HTTP/1.1\r\nHost: {}\r\n{BINARY}\r\n{more}Connection: close\r\n\
         Content-Length: {length}\r\n\r\n",
        server.address
    )
}

fn nothing_is_left(scratch: &Scratch, server: &Running) {
    until("incoming is empty", || scratch.names("incoming").is_empty());
    assert_eq!(server.get("/api/jobs").expect(200, "Jobs")["jobs"], json!([]));
    assert!(scratch.names("jobs").is_empty());
}

#[test]
fn too_large_is_told() {
    let scratch = Scratch::new("large");
    let server = small(scratch.path());
    // Told at once to a client that asks first: a gigabyte is not sent.
    let asked = head(&server, 1 << 30, "Expect: 100-continue\r\n");
    let told = raw(server.address, asked.as_bytes()).refused(413, "too-large");
    let message = told["message"].as_str().unwrap();
    assert!(message.contains("1024 MB") && message.contains("1 MB"), "{message}");
    // A browser sends it all the same, and hears the answer.
    let mut all = head(&server, 3 << 20, "").into_bytes();
    all.resize(all.len() + (3 << 20), b'x');
    raw(server.address, &all).refused(413, "too-large");
    // Nobody said how much it would be.
    let chunked = head(&server, 0, "").replace("Content-Length: 0", "Transfer-Encoding: chunked");
    let mut all = chunked.into_bytes();
    for _ in 0..48 {
        all.extend_from_slice(b"10000\r\n");
        all.resize(all.len() + 0x10000, b'x');
        all.extend_from_slice(b"\r\n");
    }
    all.extend_from_slice(b"0\r\n\r\n");
    raw(server.address, &all).refused(413, "too-large");
    nothing_is_left(&scratch, &server);
}

#[test]
fn what_is_no_drawing_is_named() {
    let scratch = Scratch::new("wrong");
    let server = Running::in_folder(scratch.path());
    for (path, word) in [
        ("dxf/dwg-renamed.dxf", "DWG"),
        ("dxf/pdf-renamed.dxf", "PDF"),
        ("dxf/web-page.dxf", "web page"),
        ("dxf/lfs-pointer.dxf", "LFS"),
        ("dxf/empty.dxf", "no bytes"),
    ] {
        let told = server.upload("plan.dxf", "", &fixture(path)).refused(415, "wrong-type");
        let message = told["message"].as_str().unwrap();
        assert!(message.contains(word), "{path}: {message}");
    }
    server.upload("", "", b"x").refused(422, "will-not-do");
    ask(server.address, "POST", "/api/jobs", &[BINARY], b"x").refused(400, "bad-request");
    let unknown = server.upload("a.dxf", "&revision_of=0001-00000000", &demo_dxf());
    unknown.refused(404, "not-found");
    nothing_is_left(&scratch, &server);
    // Damaged, but a drawing: kept, and its findings tell.
    let taken = server.upload("cut.dxf", "", &fixture("dxf/truncated.dxf")).expect(201, "Uploaded");
    let job = server.finished(taken["job"]["id"].as_str().unwrap());
    assert!(job["findings"]["error"].as_u64() > Some(0), "{job}");
}

#[test]
fn the_same_file_twice_is_there_already() {
    let scratch = Scratch::new("twice");
    let server = Running::in_folder(scratch.path());
    let first = server.upload("a.dxf", "", &demo_dxf()).expect(201, "Uploaded");
    let second = server.upload("b.dxf", "", &demo_dxf()).expect(200, "Uploaded");
    assert_eq!(
        (&second["already_there"], &second["job"]["id"]),
        (&json!(true), &first["job"]["id"])
    );
    assert!(second["told"][0].as_str().unwrap().contains("there already"));
    let third = server.upload("b.dxf", "&again=true", &demo_dxf()).expect(201, "Uploaded");
    assert_ne!(third["job"]["id"], first["job"]["id"]);
    until("incoming is empty", || scratch.names("incoming").is_empty());
    assert_eq!(scratch.names("jobs").len(), 2);
}

#[test]
fn a_tab_closed_while_it_sends_leaves_nothing() {
    let scratch = Scratch::new("closed");
    let server = Running::in_folder(scratch.path());
    let mut stream = TcpStream::connect(server.address).unwrap();
    stream.write_all(head(&server, 1 << 20, "").as_bytes()).unwrap();
    stream.write_all(&demo_dxf()).unwrap();
    until("it is on its way", || scratch.names("incoming").len() == 1);
    drop(stream);
    nothing_is_left(&scratch, &server);
    // Only the sending side closed: the client still hears what became of it.
    let mut stream = TcpStream::connect(server.address).unwrap();
    stream.write_all(head(&server, 1 << 20, "").as_bytes()).unwrap();
    stream.shutdown(Shutdown::Write).unwrap();
    nothing_is_left(&scratch, &server);
}

#[test]
fn an_upload_has_a_time_limit() {
    let scratch = Scratch::new("slow");
    let config = Config { upload_time: Duration::from_millis(200), ..Config::new(scratch.path()) };
    let server = Running::start(config);
    let mut stream = TcpStream::connect(server.address).unwrap();
    stream.write_all(head(&server, 1 << 20, "").as_bytes()).unwrap();
    stream.write_all(b"  0\nSECTION\n").unwrap();
    answer(&mut stream).refused(408, "too-slow");
    nothing_is_left(&scratch, &server);
}

/// A device that is always full stands for the disk: the kernel's own error.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told_and_nothing_is_half_done() {
    use std::os::unix::fs::symlink;
    let scratch = Scratch::new("full");
    let server = Running::in_folder(scratch.path());
    symlink("/dev/full", scratch.path().join("incoming/1.partial")).unwrap();
    server.upload("a.dxf", "", &demo_dxf()).refused(507, "disk-full");
    nothing_is_left(&scratch, &server);

    let id = server.planned("a.dxf", "", &demo_dxf());
    let plan = server.plan_of(&id);
    let folder = scratch.path().join("jobs").join(&id);
    let edits =
        json!({ "version": 1, "walls": [{ "wall": plan["walls"][0]["ref"], "section": "2x8" }] });
    for name in ["drawing.overrides.toml.partial", "job.json.partial"] {
        symlink("/dev/full", folder.join(name)).unwrap();
        server.edit(&id, &json!(1), &edits).refused(507, "disk-full");
        let after = server.plan_of(&id);
        assert_eq!((&after["edition"], &after["pieces"]), (&json!(1), &plan["pieces"]), "{name}");
        let kept = server.get(&format!("/api/jobs/{id}/overrides")).expect(200, "OverridesNow");
        assert_eq!(kept["overrides"]["walls"], json!([]), "{name}");
        assert!(!folder.join(name).exists(), "{name} is left");
    }
    let done = server.edit(&id, &json!(1), &edits).expect(200, "Plan");
    assert_eq!(done["edition"], 2);
}

/// A gate that a job waits at.
#[derive(Default)]
struct Gate {
    open: Mutex<bool>,
    opened: Condvar,
}

impl Gate {
    fn pass(&self) {
        let mut open = self.open.lock().unwrap();
        while !*open {
            open = self.opened.wait(open).unwrap();
        }
    }
    fn open(&self) {
        *self.open.lock().unwrap() = true;
        self.opened.notify_all();
    }
}

#[test]
fn a_panic_is_one_jobs_failure() {
    let scratch = Scratch::new("panic");
    let hook = |stage: Stage, file: &str| {
        if file == "bad.dxf" && stage == Stage::Planning {
            panic!("made for the test");
        }
    };
    let server = Running::start(Config {
        before_stage: Some(Arc::new(hook)),
        ..Config::new(scratch.path())
    });
    let mut ids = Vec::new();
    for _ in 0..4 {
        let taken = server.upload("bad.dxf", "&again=true", &demo_dxf()).expect(201, "Uploaded");
        ids.push(taken["job"]["id"].as_str().unwrap().to_owned());
    }
    for id in &ids {
        let job = server.finished(id);
        assert_eq!(job["state"], "failed");
        let message = job["message"].as_str().unwrap();
        assert!(message.contains("sorry") && message.contains("bad.dxf"), "{message}");
    }
    // More panics than workers, and the workers still work.
    server.planned("good.dxf", "&again=true", &demo_dxf());
    let again = server.post(&format!("/api/jobs/{}/again", ids[0])).expect(200, "Job");
    assert!(["waiting", "working", "failed"].contains(&again["state"].as_str().unwrap()));
    assert_eq!(server.finished(&ids[0])["state"], "failed");
}

#[test]
fn a_job_is_stopped_and_its_result_thrown_away() {
    let scratch = Scratch::new("cancel");
    let gate = Arc::new(Gate::default());
    let reached = Arc::new(AtomicBool::new(false));
    let hook = {
        let (gate, reached) = (Arc::clone(&gate), Arc::clone(&reached));
        move |stage: Stage, file: &str| {
            if file == "slow.dxf" && stage == Stage::Planning {
                reached.store(true, Ordering::SeqCst);
                gate.pass();
            }
        }
    };
    let server = Running::start(Config {
        before_stage: Some(Arc::new(hook)),
        jobs_at_once: 1,
        ..Config::new(scratch.path())
    });
    let upload = |name: &str| {
        let taken = server.upload(name, "&again=true", &demo_dxf()).expect(201, "Uploaded");
        taken["job"]["id"].as_str().unwrap().to_owned()
    };
    let slow = upload("slow.dxf");
    until("it is planned", || reached.load(Ordering::SeqCst));
    let job = server.get(&format!("/api/jobs/{slow}")).expect(200, "Job");
    assert_eq!((&job["state"], &job["stage"]), (&json!("working"), &json!("planning")));
    let (waiting, last) = (upload("waits.dxf"), upload("waits-too.dxf"));
    let job = server.get(&format!("/api/jobs/{last}")).expect(200, "Job");
    assert_eq!((&job["state"], &job["ahead"]), (&json!("waiting"), &json!(1)));
    // What is open takes no edits and has no results.
    for id in [&slow, &waiting] {
        server.get(&format!("/api/jobs/{id}/plan")).refused(409, "not-now");
        server.edit(id, &json!(1), &json!({ "version": 1 })).refused(409, "not-now");
        server.get(&format!("/api/jobs/{id}/zip")).refused(409, "not-now");
    }
    let delete = ask(server.address, "DELETE", &format!("/api/jobs/{slow}"), &[], b"");
    delete.refused(409, "not-now");
    for id in [&slow, &waiting] {
        let job = server.post(&format!("/api/jobs/{id}/cancel")).expect(200, "Job");
        assert_eq!(job["state"], "cancelled");
        server.post(&format!("/api/jobs/{id}/cancel")).refused(409, "not-now");
    }
    gate.open();
    assert_eq!(server.finished(&last)["state"], "done");
    assert_eq!(server.finished(&slow)["state"], "cancelled", "what it made was thrown away");
    let files = scratch.names(&format!("jobs/{slow}"));
    assert!(!files.iter().any(|f| f.starts_with("results")), "{files:?}");
    server.post(&format!("/api/jobs/{slow}/again")).expect(200, "Job");
    assert_eq!(server.finished(&slow)["state"], "done");
}

/// Stopped in the middle: queued again at the next start.
#[test]
fn an_open_job_is_taken_up_after_a_restart() {
    let scratch = Scratch::new("restart");
    let gate = Arc::new(Gate::default());
    let hook = {
        let gate = Arc::clone(&gate);
        move |_: Stage, _: &str| gate.pass()
    };
    let server = Running::start(Config {
        before_stage: Some(Arc::new(hook)),
        ..Config::new(scratch.path())
    });
    let mut ids = Vec::new();
    for n in 0..5 {
        let mut bytes = bad::shed_dxf().into_bytes();
        bytes.splice(0..0, format!("999\nshed {n}\n").into_bytes());
        let taken = server.upload(&format!("{n}.dxf"), "", &bytes).expect(201, "Uploaded");
        ids.push(taken["job"]["id"].as_str().unwrap().to_owned());
    }
    // A second server may not use the folder at the same time.
    let taken = office::start(Config::new(scratch.path()));
    assert!(taken.is_err_and(|e| e.to_string().contains("another platewright serve")));
    drop(server);
    std::fs::write(scratch.path().join("incoming/9.partial"), "half").unwrap();
    gate.open();
    // The workers of the first server, which stood at the gate, hold the folder until they are gone.
    let lock = || std::fs::File::open(scratch.path().join("lock")).unwrap();
    until("the folder is free", || lock().try_lock().is_ok());
    let server = Running::in_folder(scratch.path());
    for id in &ids {
        assert_eq!(server.finished(id)["state"], "done");
    }
    assert!(scratch.names("incoming").is_empty());
}

/// Edits of up to the limits are taken and come back whole, so the API must not promise less, nor more.
#[test]
fn the_api_says_the_limits_of_edits() {
    let api: serde_json::Value = serde_json::from_str(office::OPENAPI).unwrap();
    let schemas = &api["components"]["schemas"];
    let lists = ["region", "layers", "walls", "removed", "added", "snaps"];
    for list in lists {
        let of = &schemas["Overrides"]["properties"][list];
        assert_eq!(of["maxItems"], overrides::MOST, "{list}");
    }
    assert_eq!(
        schemas["Overrides"]["properties"]["region"]["items"]["maxLength"],
        overrides::LONGEST
    );
    let texts = [
        ("LayerEdit", "match"),
        ("LayerEdit", "note"),
        ("WallRef", "entity"),
        ("WallEdit", "note"),
        ("RemovedEdit", "note"),
        ("AddedEdit", "storey"),
        ("AddedEdit", "note"),
        ("SnapEdit", "note"),
    ];
    for (schema, text) in texts {
        let of = &schemas[schema]["properties"][text];
        assert_eq!(of["maxLength"], overrides::LONGEST, "{schema}.{text}");
    }
}
