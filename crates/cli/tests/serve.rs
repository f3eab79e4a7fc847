//! The office as a process of its own, killed at any moment: what it said was kept is there afterwards.

// Signals are sent as Unix sends them.
#![cfg(unix)]
// A helper of a test may stop the test as the test itself may.
#![allow(clippy::unwrap_used)]

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

struct Serving {
    child: Child,
    address: String,
}

impl Serving {
    fn start(folder: &Path) -> Serving {
        let mut child = Command::new(env!("CARGO_BIN_EXE_platewright"))
            .args(["serve", "--no-open", "--folder"])
            .arg(folder)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        let address = line.trim().strip_prefix("http://").unwrap().trim_end_matches('/').to_owned();
        assert!(address.starts_with("127.0.0.1:"), "{address}");
        Serving { child, address }
    }
    /// Status and body; `None` when the server went away.
    fn ask(&self, method: &str, path: &str, typed: &str, body: &[u8]) -> Option<(u16, String)> {
        let mut stream = TcpStream::connect(&self.address).ok()?;
        stream.set_read_timeout(Some(Duration::from_secs(60))).ok()?;
        let head = format!(
            "{method} {path} HTTP/1.1\r\nHost: {}\r\nContent-Type: {typed}\r\nConnection: close\r\n\
             Content-Length: {}\r\n\r\n",
            self.address,
            body.len()
        );
        stream.write_all(head.as_bytes()).ok()?;
        stream.write_all(body).ok()?;
        let mut text = String::new();
        stream.read_to_string(&mut text).ok()?;
        let status = text.split(' ').nth(1)?.parse().ok()?;
        Some((status, text.split_once("\r\n\r\n")?.1.to_owned()))
    }
    fn get(&self, path: &str) -> String {
        let (status, body) = self.ask("GET", path, "text/plain", b"").unwrap();
        assert_eq!(status, 200, "{path}: {body}");
        body
    }
    fn kill(mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }
}
impl Drop for Serving {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn demo() -> Vec<u8> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/demo");
    std::fs::read(PathBuf::from(folder).join("willow-bend.dxf")).unwrap()
}

/// How many jobs of the list are in a state.
fn count(list: &str, state: &str) -> usize {
    list.matches(&format!("\"state\":\"{state}\"")).count()
}

#[test]
fn a_killed_server_loses_nothing() {
    let folder =
        std::env::temp_dir().join(format!("platewright-serve-kill-{}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    let mut kept = 0;
    for round in 0..4_u64 {
        let server = Serving::start(&folder);
        let list = server.get("/api/jobs");
        let there = list.matches("\"sha256\"").count();
        assert!(there >= kept, "round {round}: {there} of {kept} jobs are left");
        // Uploads go on while the axe falls; what was answered 201 counts as kept.
        let done = std::thread::scope(|scope| {
            let sender = scope.spawn(|| {
                (0..6)
                    .filter(|n| {
                        let mut bytes = format!("999\nround {round} house {n}\n").into_bytes();
                        bytes.extend(demo());
                        let path = format!("/api/jobs?name={round}-{n}.dxf");
                        let told = server.ask("POST", &path, "application/octet-stream", &bytes);
                        told.is_some_and(|(status, _)| status == 201)
                    })
                    .count()
            });
            std::thread::sleep(Duration::from_millis(20 + 40 * round));
            let pid = server.child.id().to_string();
            Command::new("kill").args(["-9", &pid]).status().unwrap();
            sender.join().unwrap()
        });
        kept = there + done;
        drop(server);
    }
    let server = Serving::start(&folder);
    let mut list = String::new();
    for _ in 0..600 {
        list = server.get("/api/jobs");
        if count(&list, "waiting") + count(&list, "working") == 0 {
            break;
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    let jobs = list.matches("\"sha256\"").count();
    assert!(jobs >= kept && jobs <= 24, "{jobs} of {kept}");
    assert_eq!(count(&list, "done"), jobs, "all are planned in the end: {list}");
    assert_eq!(std::fs::read_dir(folder.join("incoming")).unwrap().count(), 0);
    server.kill();
    std::fs::remove_dir_all(&folder).unwrap();
}
