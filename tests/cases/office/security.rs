//! Other sites, other names, paths and names that would break out.

use super::client::{self, BINARY, JSON, Running, Scratch, ask, raw};
use office::Config;
use serde_json::json;

fn listening() -> (Scratch, Running) {
    let scratch = Scratch::new(
        &format!("security-{:?}", std::thread::current().id()).replace(['(', ')'], ""),
    );
    let server = Running::in_folder(scratch.path());
    (scratch, server)
}

#[test]
fn only_this_machine_is_listened_to() {
    let (_scratch, server) = listening();
    assert!(server.address.ip().is_loopback());
    assert!(Config::new("x").address.is_loopback());
}

/// DNS rebinding: another site's name that points here.
#[test]
fn other_host_names_are_refused() {
    let (_scratch, server) = listening();
    let port = server.address.port();
    let to = |host: &str, path: &str| {
        raw(
            server.address,
            format!("GET {path} HTTP/1.1\r\n{host}Connection: close\r\n\r\n").as_bytes(),
        )
    };
    for own in [format!("localhost:{port}"), format!("127.0.0.1:{port}")] {
        assert_eq!(to(&format!("Host: {own}\r\n"), "/api/jobs").status, 200);
    }
    for foreign in
        [format!("plans.example:{port}"), "127.0.0.1:1".into(), format!("10.0.0.7:{port}")]
    {
        to(&format!("Host: {foreign}\r\n"), "/api/jobs").refused(403, "wrong-host");
        assert_eq!(to(&format!("Host: {foreign}\r\n"), "/").status, 403);
    }
    let twice = format!("Host: localhost:{port}\r\nHost: plans.example:{port}\r\n");
    assert!((400..=403).contains(&to(&twice, "/api/jobs").status));
    assert!((400..=403).contains(&to("", "/api/jobs").status));
}

/// A page of another site, also one on another port of this machine, or in a frame without an origin.
#[test]
fn other_sites_are_refused() {
    let (_scratch, server) = listening();
    let port = server.address.port();
    let post = |more: &[&str]| {
        let mut all = vec![BINARY];
        all.extend(more);
        ask(server.address, "POST", "/api/jobs?name=a.dxf", &all, b"0\nSECTION\n")
    };
    for origin in ["http://plans.example", "null", "http://localhost:1", "https://127.0.0.1"] {
        post(&[&format!("Origin: {origin}")]).refused(403, "cross-origin");
    }
    for site in ["cross-site", "same-site"] {
        post(&[&format!("Sec-Fetch-Site: {site}")]).refused(403, "cross-origin");
        let get =
            ask(server.address, "GET", "/api/jobs", &[&format!("Sec-Fetch-Site: {site}")], b"");
        get.refused(403, "cross-origin");
    }
    let own = format!("Origin: http://127.0.0.1:{port}");
    let ours = ask(server.address, "GET", "/api/jobs", &[&own, "Sec-Fetch-Site: same-origin"], b"");
    ours.expect(200, "Jobs");
    // A form of another site can send only these types; none of them is taken.
    for typed in
        ["text/plain", "multipart/form-data; boundary=x", "application/x-www-form-urlencoded"]
    {
        let more = [&*format!("Content-Type: {typed}")];
        let sent = ask(server.address, "POST", "/api/jobs?name=a.dxf", &more, demo_dxf());
        sent.refused(415, "wrong-type");
    }
    assert_eq!(server.get("/api/jobs").expect(200, "Jobs")["jobs"], json!([]));
    // No CORS: a browser that asks is told nothing.
    let asked = ask(
        server.address,
        "OPTIONS",
        "/api/jobs",
        &[&own, "Access-Control-Request-Method: POST"],
        b"",
    );
    assert_eq!(asked.status, 405);
    for reply in [asked, ours] {
        assert!(!reply.head.to_ascii_lowercase().contains("access-control"), "{}", reply.head);
    }
}

fn demo_dxf() -> &'static [u8] {
    static DXF: std::sync::OnceLock<Vec<u8>> = std::sync::OnceLock::new();
    DXF.get_or_init(client::demo_dxf)
}

#[test]
fn every_answer_is_shielded() {
    let (_scratch, server) = listening();
    let paths = ["/", "/assets/index.html", "/assets/none.js", "/api/jobs", "/api/none", "/none"];
    for path in paths {
        let reply = server.get(path);
        let policy = reply.header("content-security-policy").unwrap();
        for part in ["default-src 'none'", "script-src 'self'", "frame-ancestors 'none'"] {
            assert!(policy.contains(part), "{path}: {policy}");
        }
        assert!(!policy.contains("unsafe"), "{policy}");
        assert_eq!(reply.header("x-content-type-options"), Some("nosniff"));
        assert_eq!(reply.header("referrer-policy"), Some("no-referrer"));
        assert_eq!(reply.header("x-frame-options"), Some("DENY"));
        assert_eq!(reply.header("cross-origin-resource-policy"), Some("same-origin"));
    }
    assert_eq!(server.get("/").status, 200);
    server.get("/api/none").refused(404, "not-found");
    ask(server.address, "DELETE", "/api/jobs", &[], b"").refused(405, "wrong-method");
}

/// Ids and names that would be paths find nothing, whatever lies there.
#[test]
fn no_path_of_a_client_is_a_path() {
    let (scratch, server) = listening();
    let id = server.planned("lot.dxf", "", demo_dxf());
    std::fs::write(scratch.path().join("secret"), "secret").unwrap();
    let root = "..%2f..%2f..%2f..%2f..%2f..%2f..%2fetc%2fpasswd";
    for name in [
        "..%2fjob.json",
        "..%2F..%2F..%2Fsecret",
        "..%5cjob.json",
        "all.zip",
        "%2fetc%2fpasswd",
        "plan.json%00",
        root,
    ] {
        server.get(&format!("/api/jobs/{id}/files/{name}")).refused(404, "not-found");
    }
    for path in
        ["..%2f..", "..", "%2e%2e%2fsecret", root, "0001", "*", &format!("{id}%2f..%2f{id}")]
    {
        let reply = server.get(&format!("/api/jobs/{path}"));
        assert!(reply.status == 404 || reply.status == 400, "{path}: {}", reply.status);
    }
    for asset in
        ["..%2fCargo.toml", "..%2f..%2f..%2f..%2f..%2fetc%2fpasswd", "index.html%2f..", "%00"]
    {
        let reply = server.get(&format!("/assets/{asset}"));
        assert_eq!(reply.status, 404, "{asset}");
    }
    assert_eq!(server.get(&format!("/api/jobs/{id}/files/plan.json")).status, 200);
}

/// A file's name is shown, written into results and sent in a header, and breaks none of them.
#[test]
fn names_are_made_harmless() {
    let (scratch, server) = listening();
    let evil =
        "..%2f..%2fx%22%0d%0aSet-Cookie:%20a=b;%3Cscript%3Ealert(1)%3C%2fscript%3E%E2%80%AE.dxf";
    let id = server.planned(evil, "&lot=%3Cimg%20src=x%3E%2f..%2f%0d%0a", demo_dxf());
    let job = server.get(&format!("/api/jobs/{id}")).expect(200, "Job");
    let file = job["file"].as_str().unwrap();
    assert!(!file.contains(['/', '\n', '\r', '\u{202e}']), "{file:?}");
    assert!(file.ends_with("script>.dxf"), "{file:?}");
    for path in ["zip", "overrides.toml", "files/cuts.csv", "files/report.html"] {
        let reply = server.get(&format!("/api/jobs/{id}/{path}"));
        assert_eq!(reply.status, 200, "{path}");
        let sent = reply.header("content-disposition").unwrap();
        assert!(sent.starts_with("attachment; filename=\""), "{sent}");
        assert_eq!(sent.matches('"').count(), 2, "{sent}");
        assert!(!sent.contains(['/', '<', '\\']), "{sent}");
        assert!(!reply.head.to_ascii_lowercase().contains("set-cookie:"), "{}", reply.head);
    }
    let report = server.get(&format!("/api/jobs/{id}/files/report.html")).body;
    let report = String::from_utf8(report).unwrap();
    assert!(!report.contains("<script>alert") && !report.contains("<img src=x"));
    assert_eq!(scratch.names("jobs"), [id]);
    assert_eq!(scratch.names(""), ["incoming", "jobs", "lock"]);
}

#[test]
fn bodies_have_limits_and_a_form() {
    let (_scratch, server) = listening();
    let id = server.planned("lot.dxf", "", demo_dxf());
    let put = |path: &str, more: &[&str], body: &[u8]| {
        ask(server.address, "PUT", &format!("/api/jobs/{id}/{path}"), more, body)
    };
    put("overrides", &[], b"{}").refused(415, "wrong-type");
    put("overrides", &[JSON], b"{").refused(400, "bad-request");
    put("overrides", &[JSON], b"{}").refused(422, "will-not-do");
    let unknown = br#"{"edition":1,"overrides":{"version":1,"wals":[]}}"#;
    put("overrides", &[JSON], unknown).refused(422, "will-not-do");
    let huge = vec![b' '; 17 << 20];
    put("overrides", &[JSON], &huge).refused(413, "too-large");
    put("settings", &[JSON], br#"{"edition":1,"toml":"kerf = 9"}"#).refused(422, "will-not-do");
    put("findings/nonsense", &[JSON], br#"{"looked_at":true}"#).refused(404, "not-found");
    let job = server.get(&format!("/api/jobs/{id}")).expect(200, "Job");
    assert_eq!((&job["edition"], &job["state"]), (&json!(1), &json!("done")));
}
