//! A plain HTTP client over a real socket on the loopback address, and a server of the test's own.

use office::{Config, Stop};
pub use platewright_tests::scratch::Scratch;
use serde_json::Value;
use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::path::Path;
use std::sync::OnceLock;
use std::thread::JoinHandle;
use std::time::Duration;

/// A server on a thread of its own, stopped when dropped.
pub struct Running {
    pub address: SocketAddr,
    stop: Stop,
    thread: Option<JoinHandle<()>>,
}

impl Running {
    pub fn start(config: Config) -> Running {
        let server = office::start(config).unwrap();
        assert!(server.told.is_empty(), "{:?}", server.told);
        let (address, stop) = (server.address().unwrap(), server.stopper());
        let thread = Some(std::thread::spawn(move || server.run().unwrap()));
        Running { address, stop, thread }
    }
    pub fn in_folder(folder: &Path) -> Running {
        Running::start(Config::new(folder))
    }
    /// With the demo's settings.
    pub fn with_demo_settings(folder: &Path) -> Running {
        let settings_toml = platewright_tests::demo::SETTINGS.to_owned();
        Running::start(Config { settings_toml, ..Config::new(folder) })
    }
}
impl Drop for Running {
    fn drop(&mut self) {
        self.stop.stop();
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

/// An answer.
#[derive(Debug)]
pub struct Reply {
    pub status: u16,
    pub head: String,
    pub body: Vec<u8>,
}

impl Reply {
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body)
            .unwrap_or_else(|e| panic!("{e}: {}", String::from_utf8_lossy(&self.body)))
    }
    pub fn header(&self, name: &str) -> Option<&str> {
        let mut lines = self.head.lines().skip(1).filter_map(|l| l.split_once(':'));
        lines.find(|(n, _)| n.eq_ignore_ascii_case(name)).map(|(_, v)| v.trim())
    }
    /// As the API has it: of the status wanted, and of the shape.
    pub fn expect(&self, status: u16, schema: &str) -> Value {
        let text: String = String::from_utf8_lossy(&self.body).chars().take(1000).collect();
        assert_eq!(self.status, status, "{text}");
        let value = self.json();
        conforms(&value, schema);
        value
    }
    /// A refusal: its code, with words for people.
    pub fn refused(&self, status: u16, code: &str) -> Value {
        let problem = self.expect(status, "Problem");
        assert_eq!(problem["code"], code, "{problem}");
        for words in ["message", "what_to_do"] {
            assert!(problem[words].as_str().unwrap().len() > 10, "{problem}");
        }
        problem
    }
}

/// Holds an answer against the API's own schema.
pub fn conforms(value: &Value, schema: &str) {
    static API: OnceLock<Value> = OnceLock::new();
    let api = API.get_or_init(|| serde_json::from_str(office::OPENAPI).unwrap());
    assert!(api["components"]["schemas"][schema].is_object(), "no schema {schema}");
    let root = serde_json::json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$ref": format!("#/components/schemas/{schema}"),
        "components": api["components"],
    });
    let validator = jsonschema::validator_for(&root).unwrap();
    let mistakes: Vec<String> = validator
        .iter_errors(value)
        .take(5)
        .map(|e| format!("{} at {}", e, e.instance_path()))
        .collect();
    assert!(mistakes.is_empty(), "{schema}: {mistakes:#?}");
}

/// Sends a request as it is and reads the answer to its end.
pub fn raw(address: SocketAddr, request: &[u8]) -> Reply {
    let mut stream = TcpStream::connect(address).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
    // A server may answer, and close, before it has heard everything.
    let _ = stream.write_all(request);
    answer(&mut stream)
}

/// Reads an answer to its end.
pub fn answer(stream: &mut TcpStream) -> Reply {
    let mut all = Vec::new();
    let _ = stream.read_to_end(&mut all);
    let cut = all.windows(4).position(|w| w == b"\r\n\r\n").unwrap_or_else(|| {
        panic!("no answer: {}", String::from_utf8_lossy(&all));
    });
    let head = String::from_utf8(all[..cut].to_vec()).unwrap();
    let mut body = all[cut + 4..].to_vec();
    let status = head.split(' ').nth(1).and_then(|s| s.parse().ok()).unwrap();
    if head.to_ascii_lowercase().contains("transfer-encoding: chunked") {
        body = unchunked(&body);
    }
    Reply { status, head, body }
}

fn unchunked(mut rest: &[u8]) -> Vec<u8> {
    let mut out = Vec::new();
    while let Some(end) = rest.windows(2).position(|w| w == b"\r\n") {
        let size = std::str::from_utf8(&rest[..end]).unwrap();
        let size = usize::from_str_radix(size, 16).unwrap();
        out.extend_from_slice(&rest[end + 2..end + 2 + size]);
        if size == 0 {
            break;
        }
        rest = &rest[end + 4 + size..];
    }
    out
}

/// One request, the way a program on this machine sends it.
pub fn ask(address: SocketAddr, method: &str, path: &str, more: &[&str], body: &[u8]) -> Reply {
    let mut request =
        format!("{method} {path} HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n");
    for line in more {
        request += line;
        request += "\r\n";
    }
    if !body.is_empty() || method != "GET" {
        request += &format!("Content-Length: {}\r\n", body.len());
    }
    request += "\r\n";
    let mut bytes = request.into_bytes();
    bytes.extend_from_slice(body);
    raw(address, &bytes)
}

pub const BINARY: &str = "Content-Type: application/octet-stream";
pub const JSON: &str = "Content-Type: application/json";

impl Running {
    pub fn get(&self, path: &str) -> Reply {
        ask(self.address, "GET", path, &[], b"")
    }
    pub fn send(&self, method: &str, path: &str, value: &Value) -> Reply {
        ask(self.address, method, path, &[JSON], value.to_string().as_bytes())
    }
    pub fn post(&self, path: &str) -> Reply {
        ask(self.address, "POST", path, &[], b"")
    }
    /// `query` goes on after the name.
    pub fn upload(&self, name: &str, query: &str, bytes: &[u8]) -> Reply {
        let path = format!("/api/jobs?name={name}{query}");
        ask(self.address, "POST", &path, &[BINARY], bytes)
    }
    /// Uploads a drawing and waits until it is planned; its id.
    pub fn planned(&self, name: &str, query: &str, bytes: &[u8]) -> String {
        let taken = self.upload(name, query, bytes).expect(201, "Uploaded");
        let id = taken["job"]["id"].as_str().unwrap().to_owned();
        let job = self.finished(&id);
        assert_eq!(job["state"], "done", "{job}");
        id
    }
    /// Waits until a job neither waits nor works.
    pub fn finished(&self, id: &str) -> Value {
        for _ in 0..6000 {
            let job = self.get(&format!("/api/jobs/{id}")).expect(200, "Job");
            if job["state"] != "waiting" && job["state"] != "working" {
                return job;
            }
            std::thread::sleep(Duration::from_millis(10));
        }
        panic!("{id} is not finished after a minute");
    }
    pub fn plan_of(&self, id: &str) -> Value {
        self.get(&format!("/api/jobs/{id}/plan")).expect(200, "Plan")
    }
    /// Puts overrides on the edition given; the new plan.
    pub fn edit(&self, id: &str, edition: &Value, overrides: &Value) -> Reply {
        let put = serde_json::json!({ "edition": edition, "overrides": overrides });
        self.send("PUT", &format!("/api/jobs/{id}/overrides"), &put)
    }
}

/// Waits until something holds that another thread brings about.
pub fn until(what: &str, holds: impl Fn() -> bool) {
    for _ in 0..3000 {
        if holds() {
            return;
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    panic!("after half a minute still not: {what}");
}

/// The demo house's drawing.
pub fn demo_dxf() -> Vec<u8> {
    fixture("demo/willow-bend.dxf")
}

/// A generated fixture.
pub fn fixture(path: &str) -> Vec<u8> {
    let all = platewright_tests::fixtures::all();
    all.into_iter().find(|(p, _)| *p == path).unwrap_or_else(|| panic!("no fixture {path}")).1
}
