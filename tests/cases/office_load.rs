//! Fifty uploads at once, and a gigabyte that is too much: none lost, memory bounded. A test of its own,
//! since it counts what the whole process allocates.

#![allow(clippy::unwrap_used)]

#[path = "office/client.rs"]
#[allow(dead_code)]
mod client;

use client::{BINARY, Running, Scratch, answer, demo_dxf};
use office::Config;
use peak_alloc::PeakAlloc;
use std::collections::BTreeSet;
use std::io::Write;
use std::net::TcpStream;

#[global_allocator]
static MEMORY: PeakAlloc = PeakAlloc;

/// What fifty jobs, two of them planned at a time, and their fifty clients may take.
const MOST: usize = 192 << 20;
/// A gigabyte passes through in pieces.
const MOST_OF_A_GIGABYTE: usize = 32 << 20;

/// The demo, told apart by a comment.
fn house(n: usize) -> Vec<u8> {
    let mut bytes = format!("999\nhouse {n}\n").into_bytes();
    bytes.extend(demo_dxf());
    bytes
}

#[test]
fn fifty_at_once_and_none_lost() {
    const HOUSES: usize = 50;
    let scratch = Scratch::new("load");
    let server = Running::with_demo_settings(scratch.path());
    let before = MEMORY.current_usage();
    MEMORY.reset_peak_usage();
    let ids: BTreeSet<String> = std::thread::scope(|scope| {
        let server = &server;
        let one = |n: usize| {
            scope.spawn(move || {
                let taken = server.upload(&format!("house-{n}.dxf"), "", &house(n));
                let taken = taken.expect(201, "Uploaded");
                taken["job"]["id"].as_str().unwrap().to_owned()
            })
        };
        let all: Vec<_> = (0..HOUSES).map(one).collect();
        all.into_iter().map(|t| t.join().unwrap()).collect()
    });
    assert_eq!(ids.len(), HOUSES);
    for id in &ids {
        assert_eq!(server.finished(id)["state"], "done");
    }
    let used = MEMORY.peak_usage().saturating_sub(before);
    assert!(used < MOST, "{} MiB for {HOUSES} uploads", used >> 20);
    // All of them again, at once: each is there already, and nothing is added.
    std::thread::scope(|scope| {
        for n in 0..HOUSES {
            let (server, ids) = (&server, &ids);
            scope.spawn(move || {
                let taken = server.upload("again.dxf", "", &house(n)).expect(200, "Uploaded");
                assert!(ids.contains(taken["job"]["id"].as_str().unwrap()));
            });
        }
    });
    assert_eq!(scratch.names("jobs").len(), HOUSES);
    let plans: BTreeSet<Vec<u8>> = ids
        .iter()
        .map(|id| server.get(&format!("/api/jobs/{id}/files/cuts-grouped.csv")).body)
        .collect();
    assert_eq!(plans.len(), 1, "the same house is planned the same, whatever else goes on");

    // A gigabyte, as a browser sends it: heard to its end, kept nowhere, told.
    let before = MEMORY.current_usage();
    MEMORY.reset_peak_usage();
    let length = 1_u64 << 30;
    let mut stream = TcpStream::connect(server.address).unwrap();
    let head = format!(
        "POST /api/jobs?name=big.dxf HTTP/1.1\r\nHost: {}\r\n{BINARY}\r\nConnection: close\r\n\
         Content-Length: {length}\r\n\r\n",
        server.address
    );
    stream.write_all(head.as_bytes()).unwrap();
    let piece = vec![b'0'; 1 << 20];
    for _ in 0..(length >> 20) {
        stream.write_all(&piece).unwrap();
    }
    answer(&mut stream).refused(413, "too-large");
    let used = MEMORY.peak_usage().saturating_sub(before);
    assert!(used < MOST_OF_A_GIGABYTE, "{} MiB for a gigabyte", used >> 20);
    assert!(scratch.names("incoming").is_empty());
    assert!(Config::new("x").upload_bytes < length);
}
