//! Each rule that guards the page, and an attempt to break it.
#![cfg(unix)]

use std::fs;
use std::io::{Read, Write};
use std::thread;
use std::time::{Duration, Instant};

use crate::served::{self, Served, outward, round, version};
use crate::typing::{folder, job, plain, text};
use ribwright::job::{self, Job, Plane};
use serde_json::json;

/// A round that nothing speaks against.
const ROUND: [(&str, &str); 5] =
    [("0.4", "0.1"), ("0.2", "0.1"), ("0", "0.1"), ("0.25", "0"), ("0.5", "0.1")];

/// Requests that read and that write, for rules that hold for all.
const PATHS: [&str; 6] = ["/", "/joint/1", "/joint/1/read", "/assets/page.js", "/code", "/nowhere"];

#[test]
fn it_listens_to_this_machine_alone() {
    let (dir, shared) = (plain(), plain());
    let (own, lan) = (Served::start(dir.path(), &[]), Served::start(shared.path(), &["--lan"]));
    // proc(5): local_address is the IPv4 address and the port in hexadecimal, state 0A listens.
    let table = fs::read_to_string("/proc/net/tcp").unwrap_or_default();
    let listens = |address: &str, port: u16| {
        let local = format!("{address}:{port:04X}");
        table.lines().any(|l| l.split_whitespace().nth(1) == Some(&local) && l.contains(" 0A "))
    };
    if !table.is_empty() {
        assert!(listens("0100007F", own.port) && !listens("00000000", own.port));
        assert!(listens("00000000", lan.port), "--lan opens it, so the check above could fail");
    }
    if let Some(ip) = outward() {
        assert!(std::net::TcpStream::connect((ip, own.port)).is_err());
    }
}

#[test]
fn a_foreign_name_is_refused_wherever_it_stands() {
    let dir = plain();
    let served = Served::start(dir.path(), &[]);
    let port = served.port;
    let hosts = [
        "rebound.example".to_owned(),
        format!("rebound.example:{port}"),
        format!("127.0.0.1.rebound.example:{port}"),
        format!("127.0.0.1:{port}@rebound.example"),
        "127.0.0.1:1".to_owned(),
        format!("0.0.0.0:{port}"),
        format!("[::1]:{port}"),
        String::new(),
    ];
    for host in &hosts {
        for path in PATHS {
            let answer = served
                .raw(format!("GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n").as_bytes());
            assert!([400, 421].contains(&answer.status), "{host} {path}: {answer:?}");
            assert!(!answer.body.contains("invented joint"));
        }
    }
    let own = served.host();
    for head in [
        "GET / HTTP/1.0\r\n".to_owned(),
        "GET / HTTP/1.1\r\nConnection: close\r\n".to_owned(),
        format!("GET /joint/1 HTTP/1.1\r\nHost: {own}\r\nHost: rebound.example\r\nConnection: close\r\n"),
        format!("GET http://rebound.example/joint/1 HTTP/1.1\r\nHost: {own}\r\nConnection: close\r\n"),
    ] {
        let answer = served.raw(format!("{head}\r\n").as_bytes());
        assert!([400, 421].contains(&answer.status), "{head}: {answer:?}");
    }
    assert_eq!(served.get("/joint/1").status, 200);
    assert_eq!(
        served
            .raw(
                format!("GET /joint/1 HTTP/1.1\r\nHost: localhost:{port}\r\nConnection: close\r\n\r\n")
                    .as_bytes()
            )
            .status,
        200
    );
}

#[test]
fn other_sites_can_neither_write_nor_ask() {
    let dir = plain();
    let served = Served::start(dir.path(), &[]);
    let own = format!("http://{}", served.host());
    let before = text(dir.path(), "readings.csv");
    let body = round(&version(&served.get("/joint/1/read").body), 2, &ROUND).to_string();
    let foreign =
        ["http://rebound.example", "null", "https://127.0.0.1:7171", "http://127.0.0.1", "", "file://"];
    for path in [
        "/joint/1/save",
        "/joint/1/typed",
        "/joint/1/strokes",
        "/joint/1/recover",
        "/joint/1/correct",
        "/joint/1/try",
        "/joint/1/discard",
        "/code",
    ] {
        for origin in foreign {
            assert_eq!(served.post_with(path, &body, &[("Origin", origin)]).status, 403, "{path} {origin}");
        }
        assert_eq!(served.post_with(path, &body, &[]).status, 403, "{path} without an origin");
        let twice = served.post_with(path, &body, &[("Origin", &own), ("Origin", "http://rebound.example")]);
        assert_eq!(twice.status, 403, "{path} with two");
        let fetched = served.post_with(path, &body, &[("Origin", &own), ("Sec-Fetch-Site", "cross-site")]);
        assert_eq!(fetched.status, 403, "{path} as the browser tells it");
    }
    let host = served.host();
    let asked = format!(
        "GET /joint/1 HTTP/1.1\r\nHost: {host}\r\nOrigin: http://rebound.example\r\nConnection: close\r\n\r\n"
    );
    assert_eq!(served.raw(asked.as_bytes()).status, 403);
    // What a form of another site can send without being asked first.
    for kind in ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", ""] {
        let answer = served.post_with("/joint/1/save", &body, &[("Origin", &own), ("Content-Type", kind)]);
        assert_eq!(answer.status, 415, "{kind}");
    }
    assert_eq!(text(dir.path(), "readings.csv"), before);
    assert_eq!(
        served.post_with("/joint/1/save", &body, &[("Origin", &own)]).status,
        200,
        "the same from the page"
    );
}

#[test]
fn nothing_outside_the_folder_can_be_reached() {
    let dir = plain();
    fs::write(dir.path().parent().expect("a parent").join("secret.txt"), "secret").expect("written");
    let served = Served::start(dir.path(), &[]);
    let paths = [
        "/../secret.txt",
        "/%2e%2e/secret.txt",
        "/joint/../secret.txt",
        "/joint/..",
        "/joint/%2e%2e",
        "/joint/%2e%2e%2f%2e%2e/read",
        "/joint/..%2f..%2fetc/read",
        "/joint/2",
        "/joint/%00",
        "/joint/1%2f..",
        "/joint//etc/passwd",
        "/joint/1/../../etc/passwd",
        "/assets/../../Cargo.toml",
        "/assets/..%2f..%2fCargo.toml",
        "/assets/%2fetc%2fpasswd",
        "/readings.csv",
        "/joint/1/readings.csv",
        "/.round-draft",
        "/joint/1/space/nan/0",
        "/joint/1/space/1e9/0",
        "/joint/1/pass/99",
        "/joint/1/pass/-1",
        "/joint/1/pass/x",
    ];
    for path in paths {
        let answer = served.get(path);
        assert!([400, 404].contains(&answer.status), "{path}: {}", answer.status);
        assert!(!answer.body.contains("secret") && !answer.body.contains("root:"), "{path}");
    }
    let _ = fs::remove_file(dir.path().parent().expect("a parent").join("secret.txt"));
}

#[test]
fn a_body_over_a_megabyte_is_refused_however_it_comes() {
    let dir = plain();
    let served = Served::start(dir.path(), &[]);
    let host = served.host();
    let head = format!(
        "POST /joint/1/typed HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Type: application/json\r\n"
    );
    // Told beforehand: refused before any of it is read.
    let told = served.raw(format!("{head}Content-Length: 1000001\r\n\r\n").as_bytes());
    assert_eq!(told.status, 413);
    // In pieces, of a length that is never told.
    let mut chunked = format!("{head}Transfer-Encoding: chunked\r\n\r\n").into_bytes();
    for _ in 0..20 {
        chunked.extend(format!("{:x}\r\n", 64 << 10).bytes());
        chunked.extend(std::iter::repeat_n(b'x', 64 << 10));
        chunked.extend(b"\r\n");
    }
    let pieces = served.raw(&chunked);
    assert!(pieces.status == 413 || pieces.status == 0, "{}", pieces.status);
    // A head that never ends.
    let endless = format!("GET / HTTP/1.1\r\nHost: {host}\r\nX: {}\r\n\r\n", "x".repeat(1 << 20));
    assert!([0, 431].contains(&served.raw(endless.as_bytes()).status));
    // One of the size allowed is read, and found to be nothing that the page sends.
    let allowed =
        served.post_with("/joint/1/typed", &"x".repeat(1_000_000), &[("Origin", &format!("http://{host}"))]);
    assert_eq!(allowed.status, 400);
    assert_eq!(served.get("/joint/1").status, 200);
}

/// Sends a beginning, then a byte now and then; gives how long the other end bore it.
fn drip(served: &Served, start: &str, every: Duration) -> Duration {
    let mut stream = served.connect();
    stream.set_read_timeout(Some(Duration::from_millis(20))).expect("set");
    stream.write_all(start.as_bytes()).expect("sent");
    let from = Instant::now();
    let mut piece = [0; 1024];
    while from.elapsed() < Duration::from_secs(40) {
        if matches!(stream.read(&mut piece), Ok(0)) || stream.write_all(b"x").is_err() {
            break;
        }
        thread::sleep(every);
    }
    from.elapsed()
}

#[test]
fn slow_requests_are_cut_off_and_stop_nobody() {
    let dir = plain();
    let served = Served::start(dir.path(), &[]);
    let host = served.host();
    let body = format!(
        "POST /joint/1/typed HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Type: application/json\r\nContent-Length: 5000\r\n\r\n"
    );
    let starts = ["GET / HTTP/1.1\r\nHost: ", "G", &body];
    thread::scope(|scope| {
        let slow = starts.map(|start| scope.spawn(|| drip(&served, start, Duration::from_millis(200))));
        // Silent ones, and one that sent a request and keeps the line.
        let silent: Vec<_> = (0..100).map(|_| served.connect()).collect();
        for _ in 0..20 {
            let from = Instant::now();
            assert_eq!(served.get("/joint/1").status, 200);
            assert!(from.elapsed() < Duration::from_secs(2), "{:?}", from.elapsed());
            thread::sleep(Duration::from_millis(50));
        }
        for slow in slow {
            let borne = slow.join().expect("no panic");
            assert!(borne > Duration::from_secs(5) && borne < Duration::from_secs(15), "{borne:?}");
        }
        for mut stream in silent {
            assert!(matches!(stream.read(&mut [0; 1]), Ok(0) | Err(_)), "a silent one is cut off as well");
        }
    });
}

/// More than the server ever holds at once, all silent: whoever comes last is heard.
#[test]
fn idle_connections_shut_nobody_out() {
    let dir = plain();
    let served = Served::start(dir.path(), &["--lan"]);
    let held = |ip| (0..300).map(|_| served.connect_to(ip)).collect::<Vec<_>>();
    let mut silent = held(std::net::Ipv4Addr::LOCALHOST.into());
    silent.extend(outward().into_iter().flat_map(held));
    let from = Instant::now();
    assert_eq!(served.get("/joint/1").status, 200);
    if let Some(ip) = outward() {
        let asked = format!("GET /code HTTP/1.1\r\nHost: {ip}:{}\r\nConnection: close\r\n\r\n", served.port);
        assert_eq!(served::ask(served.connect_to(ip), asked.as_bytes()).status, 200, "from {ip}");
    }
    assert!(from.elapsed() < Duration::from_secs(5), "{:?}", from.elapsed());
    drop(silent);
}

/// Asks again and again without ever taking an answer.
#[test]
fn one_that_takes_no_answer_is_cut_off() {
    let dir = plain();
    let served = Served::start(dir.path(), &[]);
    let asked = format!("GET /assets/page.css HTTP/1.1\r\nHost: {}\r\n\r\n", served.host());
    let mut stream = served.connect();
    stream.set_write_timeout(Some(Duration::from_secs(1))).expect("set");
    let from = Instant::now();
    while from.elapsed() < Duration::from_secs(60) {
        match stream.write_all(asked.as_bytes()) {
            Err(error) if error.kind() == std::io::ErrorKind::WouldBlock => {}
            Err(_) => break,
            Ok(()) => {}
        }
    }
    assert!(from.elapsed() < Duration::from_secs(40), "it was borne for {:?}", from.elapsed());
    assert_eq!(served.get("/joint/1").status, 200);
}

#[test]
fn a_kept_line_is_cut_off_too() {
    let dir = plain();
    let served = Served::start(dir.path(), &[]);
    let mut stream = served.connect();
    stream
        .write_all(format!("GET /assets/icon.svg HTTP/1.1\r\nHost: {}\r\n\r\n", served.host()).as_bytes())
        .expect("sent");
    let from = Instant::now();
    let mut all = Vec::new();
    stream.read_to_end(&mut all).expect("closed by the other end");
    assert!(from.elapsed() < Duration::from_secs(15) && !all.is_empty(), "{:?}", from.elapsed());
}

/// Names that would be elements, attributes or scripts if they were not escaped.
const EVIL: [&str; 5] = [
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>",
    "' onfocus='alert(1)' autofocus='",
    "</style></title><svg onload=alert(1)>",
    "{{7*7}}&lt;b&gt;",
];

fn evil() -> Job {
    let mut job = job();
    for (station, name) in job.stations.iter_mut().zip(EVIL) {
        station.name = name.into();
    }
    job.title = Some(EVIL.join(" "));
    job.planes = vec![Plane { name: EVIL[1].into(), ..Plane::default() }];
    job
}

/// What the makers' words would have become.
fn harmless(what: &str, html: &str) {
    for wrong in ["<script>alert", "<img src", "<svg onload", "</style></title>", "\" onerror", "\"><img"] {
        assert!(!html.contains(wrong), "{what}: {wrong}");
    }
}

#[test]
fn no_text_of_the_maker_reaches_a_page_unescaped() {
    let dir = folder(&evil());
    let served = Served::start(dir.path(), &[]);
    for path in ["", "/read", "/look", "/try", "/history", "/card"] {
        let answer = served.get(&format!("/joint/1{path}"));
        assert_eq!(answer.status, 200, "{path}");
        assert!(answer.body.contains("&lt;script&gt;alert(1)&lt;/script&gt;"), "{path} shows the names");
        harmless(path, &answer.body);
    }
    for path in ["/pass/0", "/pass/1", "/space/10/40"] {
        let answer = served.get(&format!("/joint/1{path}")).json();
        harmless(path, answer["picture"].as_str().expect("a picture"));
    }
    let cells: Vec<_> = EVIL
        .iter()
        .map(|name| json!({ "station": name, "quantity": "overlap", "gap": true, "text": EVIL[0], "changed": true, "was": "" }))
        .collect();
    let version = version(&served.get("/joint/1/read").body);
    let mut sent = json!({ "version": version, "round": 2, "against": "neighbour", "rebent": false, "cells": cells, "keep": true });
    let answer = served.post("/joint/1/typed", &sent).json();
    assert_eq!(answer["marks"][0]["state"], "wrong");
    // What was typed comes back on the page that is opened next.
    let again = served.get("/joint/1/read").body;
    assert!(again.contains("value=\"&lt;script&gt;alert(1)&lt;/script&gt;\""));
    harmless("what was typed", &again);
    for cell in sent["cells"].as_array_mut().expect("cells") {
        cell["text"] = json!("0.4");
    }
    let answer = served.post("/joint/1/typed", &sent).json();
    harmless("the verdict", answer["verdict"].as_str().expect("words"));
    harmless("the map", answer["map"].as_str().expect("a picture"));
    let tried = served.post("/joint/1/try", &json!({ "cut": [0.1, 0, 0, 0, 0] })).json();
    harmless("what was tried", tried["then"].as_str().expect("words"));
    // A problem with the folder names what stands there.
    fs::write(dir.path().join("readings.csv"), format!("round,station,overlap\n1,{},0.1\n", EVIL[3]))
        .expect("written");
    let broken = served.get("/joint/1");
    assert_eq!(broken.status, 422);
    harmless("a problem", &broken.body);
}

#[test]
fn every_answer_forbids_what_is_not_its_own() {
    let dir = plain();
    let served = Served::start(dir.path(), &[]);
    let host = served.host();
    let mut answers: Vec<_> = PATHS.iter().map(|path| served.get(path)).collect();
    answers.push(served.raw(b"GET / HTTP/1.1\r\nHost: rebound.example\r\nConnection: close\r\n\r\n"));
    answers.push(served.post_with("/joint/1/save", "{}", &[("Origin", "http://rebound.example")]));
    answers.push(served.post_with("/joint/1/save", "not JSON", &[("Origin", &format!("http://{host}"))]));
    for answer in answers {
        let policy = answer.header("content-security-policy").expect("a policy");
        for part in [
            "default-src 'none'",
            "script-src 'self'",
            "frame-ancestors 'none'",
            "base-uri 'none'",
            "form-action 'self'",
        ] {
            assert!(policy.contains(part), "{part}: {policy}");
        }
        assert!(!policy.contains("unsafe") && !policy.contains('*') && !policy.contains("http"), "{policy}");
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
        assert_eq!(answer.header("x-frame-options"), Some("DENY"));
        assert_eq!(answer.header("cross-origin-resource-policy"), Some("same-origin"));
        assert_eq!(answer.header("access-control-allow-origin"), None);
    }
    // Nothing in the pages would need more than that.
    for path in [
        "/joint/1",
        "/joint/1/read",
        "/joint/1/look",
        "/joint/1/try",
        "/joint/1/history",
        "/joint/1/card",
        "/joint/1/correct/0",
        "/code",
    ] {
        let page = served.get(path).body;
        assert!(
            !page.contains(" style=\"") && !page.contains("<style") && !page.contains("javascript:"),
            "{path}"
        );
        assert!(
            !page.contains(" onclick")
                && page.split("<script").skip(1).all(|s| s.starts_with(" src=\"/assets/")),
            "{path}"
        );
        let elsewhere = page.replace("http://www.w3.org/2000/svg", "");
        assert!(!elsewhere.contains("http://") && !elsewhere.contains("https://"), "{path}");
    }
}

#[test]
fn the_terminal_shows_the_code_as_text_and_to_be_scanned() {
    let dir = plain();
    let (first, second) = (Served::start(dir.path(), &["--lan"]), Served::start(plain().path(), &["--lan"]));
    let code =
        |s: &Served| s.said.split("code").nth(1).map(|r| r.lines().next().unwrap_or_default().to_owned());
    assert_ne!(code(&first), code(&second), "drawn anew each time");
    if outward().is_some() {
        assert!(
            first.said.lines().filter(|l| l.contains('█') || l.contains('▀')).count() > 10,
            "{}",
            first.said
        );
    }
    assert!(!Served::start(plain().path(), &[]).said.contains("code"));
}

#[test]
fn ctrl_c_ends_it_in_order_even_under_slow_requests() {
    let dir = plain();
    let served = Served::start(dir.path(), &[]);
    let slow: Vec<_> = (0..5).map(|_| served.connect()).collect();
    assert_eq!(served.get("/joint/1").status, 200);
    let from = Instant::now();
    let (status, said) = served.stop();
    assert_eq!(status, Some(0));
    assert!(said.contains("Stopped"), "{said}");
    assert!(from.elapsed() < Duration::from_secs(5), "{:?}", from.elapsed());
    drop(slow);
    assert!(job::read(dir.path()).is_ok());
}

#[test]
fn a_port_that_is_taken_is_said_so() {
    let dir = plain();
    let first = Served::start(dir.path(), &[]);
    let port = first.port.to_string();
    let second =
        std::process::Command::new(served::PROGRAM).args(["page", "--port", &port]).arg(dir.path()).output();
    let second = second.expect("it runs");
    let said = String::from_utf8_lossy(&second.stderr).replace("\n       ", " ");
    assert_eq!(second.status.code(), Some(1));
    assert!(said.contains(&port) && said.contains("Next:"), "{said}");
    assert_eq!(said.matches("in use").count(), 1, "the cause is told once: {said}");
    let nowhere = std::process::Command::new(served::PROGRAM)
        .args(["page", "no-such-folder"])
        .output()
        .expect("it runs");
    assert_eq!(nowhere.status.code(), Some(2));
}
