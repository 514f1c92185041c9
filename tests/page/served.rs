//! The real program serving a folder, and plain sockets that talk to it: no client
//! library stands between a test and the bytes.
#![allow(dead_code, reason = "each test file uses its own part")]

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{IpAddr, SocketAddr, TcpStream, UdpSocket};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use serde_json::{Value, json};

pub const PROGRAM: &str = env!("CARGO_BIN_EXE_ribwright");

/// A program that serves; killed when a test ends.
pub struct Served {
    pub child: Child,
    pub port: u16,
    /// What it printed before it served.
    pub said: String,
    out: BufReader<std::process::ChildStdout>,
}

/// An answer, whole.
#[derive(Debug, Clone)]
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: String,
}

impl Served {
    pub fn start(folder: &Path, more: &[&str]) -> Served {
        let mut child = Command::new(PROGRAM)
            .arg("page")
            .arg(folder)
            .args(["--port", "0"])
            .args(more)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("it runs");
        let mut out = BufReader::new(child.stdout.take().expect("a pipe"));
        let mut said = String::new();
        let last = if more.contains(&"--lan") { "nothing is encrypted" } else { "Ctrl-C" };
        while !said.contains(last) {
            assert!(out.read_line(&mut said).expect("text") > 0, "it ended: {said}");
        }
        let port = said.split("127.0.0.1:").nth(1).and_then(|rest| rest.split('/').next());
        let port = port.and_then(|port| port.parse().ok()).unwrap_or_else(|| panic!("no port: {said}"));
        Served { child, port, said, out }
    }

    pub fn host(&self) -> String {
        format!("127.0.0.1:{}", self.port)
    }

    pub fn connect(&self) -> TcpStream {
        self.connect_to(IpAddr::from([127, 0, 0, 1]))
    }

    pub fn connect_to(&self, ip: IpAddr) -> TcpStream {
        let stream = TcpStream::connect(SocketAddr::new(ip, self.port)).expect("it listens");
        stream.set_read_timeout(Some(Duration::from_secs(30))).expect("set");
        stream
    }

    /// Sends bytes as they are and reads until the other end closes or the answer
    /// is whole.
    pub fn raw(&self, request: &[u8]) -> Answer {
        ask(self.connect(), request)
    }

    pub fn get(&self, path: &str) -> Answer {
        let host = self.host();
        self.raw(format!("GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n").as_bytes())
    }

    /// Posts JSON as the page's own script does.
    pub fn post(&self, path: &str, body: &Value) -> Answer {
        self.post_with(path, &body.to_string(), &[("Origin", &format!("http://{}", self.host()))])
    }

    pub fn post_with(&self, path: &str, body: &str, headers: &[(&str, &str)]) -> Answer {
        let host = self.host();
        let mut head = format!("POST {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n");
        if !headers.iter().any(|(name, _)| *name == "Content-Type") {
            head += "Content-Type: application/json\r\n";
        }
        for (name, value) in headers {
            head += &format!("{name}: {value}\r\n");
        }
        head += &format!("Content-Length: {}\r\n\r\n{body}", body.len());
        self.raw(head.as_bytes())
    }

    /// Asks it to stop as Ctrl-C does, and gives its exit status and last words.
    pub fn stop(mut self) -> (Option<i32>, String) {
        let id = self.child.id().to_string();
        Command::new("kill").args(["-INT", &id]).status().expect("kill runs");
        let status = self.child.wait().expect("it ends");
        let mut rest = String::new();
        self.out.read_to_string(&mut rest).expect("text");
        (status.code(), rest)
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Answer {
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.body).unwrap_or_else(|e| panic!("{e}: {self:?}"))
    }

    pub fn header(&self, name: &str) -> Option<&str> {
        let line =
            |line: &&str| line.to_ascii_lowercase().starts_with(&format!("{}:", name.to_ascii_lowercase()));
        self.head.lines().find(line).and_then(|line| line.split_once(": ")).map(|(_, value)| value.trim())
    }
}

/// Sends and reads the answer: to its stated length, or to the end.
pub fn ask(mut stream: TcpStream, request: &[u8]) -> Answer {
    // The other end may refuse and close before it has read all.
    let _ = stream.write_all(request);
    read(stream)
}

pub fn read(mut stream: TcpStream) -> Answer {
    let (mut bytes, mut piece) = (Vec::new(), [0; 16 << 10]);
    loop {
        match stream.read(&mut piece) {
            Ok(0) | Err(_) => break,
            Ok(n) => bytes.extend_from_slice(&piece[..n]),
        }
        if whole(&bytes) {
            break;
        }
    }
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let (head, body) = text.split_once("\r\n\r\n").unwrap_or((&text, ""));
    let status = head.split(' ').nth(1).and_then(|s| s.parse().ok()).unwrap_or(0);
    Answer { status, head: head.to_owned(), body: body.to_owned() }
}

fn whole(bytes: &[u8]) -> bool {
    let text = String::from_utf8_lossy(bytes);
    let Some((head, _)) = text.split_once("\r\n\r\n") else { return false };
    let length =
        head.lines().find_map(|l| l.to_ascii_lowercase().strip_prefix("content-length: ").map(str::to_owned));
    let length = length.and_then(|l| l.trim().parse::<usize>().ok());
    let start = bytes.windows(4).position(|w| w == b"\r\n\r\n").unwrap_or(0) + 4;
    length.is_some_and(|length| bytes.len() >= start + length)
}

/// The address by which this machine would call others, if it is in a network.
pub fn outward() -> Option<IpAddr> {
    let socket = UdpSocket::bind("0.0.0.0:0").ok()?;
    socket.connect("192.0.2.1:9").ok()?;
    socket.local_addr().ok().map(|here| here.ip()).filter(|ip| !ip.is_loopback())
}

/// The version of the folder that a page was made of.
pub fn version(page: &str) -> String {
    page.split("data-version=\"").nth(1).and_then(|r| r.split('"').next()).expect("a version").to_owned()
}

/// A round as the page sends it: five stations, gaps and lifts as typed.
pub fn round(version: &str, number: usize, values: &[(&str, &str)]) -> Value {
    let cells: Vec<Value> = values
        .iter()
        .enumerate()
        .flat_map(|(i, (gap, lift))| {
            let cell = |quantity: &str, text: &str| {
                json!({ "station": (i + 1).to_string(), "quantity": quantity, "gap": true, "text": text,
                    "sure": false, "changed": !text.is_empty(), "was": "" })
            };
            [cell("overlap", gap), cell("lift", lift)]
        })
        .collect();
    json!({ "version": version, "round": number, "against": "neighbour", "rebent": false,
        "cells": cells, "keep": true })
}
