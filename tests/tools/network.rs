//! Another device that comes to the page.
#![cfg(unix)]

use libtest_mimic::Trial;

use crate::need::{Need, trials};
use crate::served::{Served, ask, outward};
use crate::typing::plain;

const NETWORK: Need =
    Need { met: || outward().is_some(), wanted: "have an address in some network", in_ci: false };

pub fn tests() -> Vec<Trial> {
    trials![NETWORK; another_device_comes_in_with_the_code_alone]
}

/// Another device of the network: this machine, called by its address there.
fn another_device_comes_in_with_the_code_alone() {
    let ip = outward().expect("an address");
    let dir = plain();
    let served = Served::start(dir.path(), &["--lan"]);
    let host = format!("{ip}:{}", served.port);
    let code =
        served.said.split("for each: ").nth(1).and_then(|r| r.lines().next()).expect("a code").to_owned();
    let get = |path: &str, more: &str| {
        ask(
            served.connect_to(ip),
            format!("GET {path} HTTP/1.1\r\nHost: {host}\r\n{more}Connection: close\r\n\r\n").as_bytes(),
        )
    };
    let post = |path: &str, kind: &str, body: &str, more: &str| {
        let head = format!(
            "POST {path} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Type: {kind}\r\n{more}"
        );
        ask(
            served.connect_to(ip),
            format!("{head}Connection: close\r\nContent-Length: {}\r\n\r\n{body}", body.len()).as_bytes(),
        )
    };
    let form = "application/x-www-form-urlencoded";
    for path in ["/", "/joint/1", "/joint/1/read", "/nowhere"] {
        for cookie in [
            "",
            "Cookie: x=y\r\n",
            &format!("Cookie: ribwright-{}=00000000000000000000000000000000\r\n", served.port),
        ] {
            let answer = get(path, cookie);
            assert_eq!((answer.status, answer.header("location")), (303, Some("/code")), "{path}");
            assert!(!answer.body.contains("invented"));
        }
    }
    assert_eq!(post("/joint/1/discard", "application/json", "{\"round\":2}", "").status, 401);
    assert_eq!(get("/code", "").status, 200);

    let right = post("/code", form, &format!("code={}", code.to_lowercase()), "");
    assert_eq!(right.status, 303, "{right:?}");
    let cookie = right.header("set-cookie").expect("a cookie");
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"), "{cookie}");
    let token = cookie.split(';').next().expect("a pair");
    assert!(!cookie.contains(code.as_str()) && token.split('=').nth(1).is_some_and(|t| t.len() == 32));
    assert_eq!(get("/joint/1", &format!("Cookie: {token}\r\n")).status, 200);
    // Still no way in by another name, or for another site.
    let rebound = format!(
        "GET /joint/1 HTTP/1.1\r\nHost: localhost:{}\r\nCookie: {token}\r\nConnection: close\r\n\r\n",
        served.port
    );
    assert_eq!(ask(served.connect_to(ip), rebound.as_bytes()).status, 421);

    let wrong: Vec<u16> = (0..6).map(|_| post("/code", form, "code=AAAAA-AAAAA", "").status).collect();
    assert_eq!(wrong, [403, 403, 403, 403, 403, 429]);
    let late = post("/code", form, &format!("code={code}"), "");
    assert_eq!(late.status, 429, "even the right one waits");
    assert!(late.header("retry-after").and_then(|s| s.parse::<u64>().ok()).is_some_and(|s| s <= 61));
    assert_eq!(get("/joint/1", &format!("Cookie: {token}\r\n")).status, 200, "who is in stays in");
    assert_eq!(served.get("/joint/1").status, 200, "and so does this machine");
    let silent: Vec<_> = (0..300).map(|_| served.connect_to(ip)).collect();
    let answer = get("/joint/1", &format!("Cookie: {token}\r\n"));
    assert_eq!(answer.status, 200, "silent connections shut nobody out");
    drop(silent);
}
