//! Asking the server without a browser: requests as they stand, and the states that it tells.

use std::io::{Read as _, Write as _};
use std::net::{Ipv4Addr, TcpStream};
use std::time::Instant;

use serde_json::Value;

use crate::common::LIMIT;
use crate::scene::Scene;

/// An answer of the server.
#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) status: u16,
    pub(crate) head: String,
    pub(crate) body: String,
}

/// Sends a request as it stands and reads the answer to its end.
pub(crate) fn raw(port: u16, request: &str) -> Answer {
    answer(sent(port, request))
}

/// Sends a request as it stands; its answer is still to come.
fn sent(port: u16, request: &str) -> TcpStream {
    let mut stream = connect(port);
    // The server may answer, and close, before it has read all of it.
    let _ = stream.write_all(request.as_bytes());
    stream
}

/// Reads an answer to its end.
pub(crate) fn answer(mut stream: TcpStream) -> Answer {
    let mut bytes = Vec::new();
    let _ = stream.read_to_end(&mut bytes);
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let (head, body) = text.split_once("\r\n\r\n").unwrap_or((&text, ""));
    let status = head.split(' ').nth(1).and_then(|s| s.parse().ok());
    Answer {
        status: status.unwrap_or(0),
        head: head.to_lowercase(),
        body: body.to_owned(),
    }
}

pub(crate) fn connect(port: u16) -> TcpStream {
    let stream = TcpStream::connect((Ipv4Addr::LOCALHOST, port)).expect("the server listens");
    stream.set_read_timeout(Some(LIMIT)).expect("a limit");
    stream
}

/// A request with these lines after the host's.
pub(crate) fn get(scene: &Scene, path: &str, lines: &[&str]) -> Answer {
    let port = scene.port();
    let lines = lines.join("\r\n");
    let request = format!(
        "GET {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\nAccept: */*\r\n{lines}\r\n\r\n"
    );
    raw(port, &request)
}

pub(crate) fn key(scene: &Scene) -> String {
    format!("X-Plyloom-Key: {}", scene.key())
}

/// A change as the page would ask for it.
pub(crate) fn post(scene: &Scene, path: &str, body: &Value) -> Answer {
    answer(posted(scene, path, body))
}

/// The same, with its answer still to come.
pub(crate) fn posted(scene: &Scene, path: &str, body: &Value) -> TcpStream {
    let port = scene.port();
    let origin = format!("Origin: http://127.0.0.1:{port}");
    let lines = [origin.as_str(), &key(scene)];
    sent(port, &change(port, path, &body.to_string(), &lines))
}

pub(crate) fn post_as(scene: &Scene, path: &str, body: &str, lines: &[&str]) -> Answer {
    let port = scene.port();
    raw(port, &change(port, path, body, lines))
}

fn change(port: u16, path: &str, body: &str, lines: &[&str]) -> String {
    let lines = lines.join("\r\n");
    let length = body.len();
    format!(
        "POST {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\n\
         Content-Type: application/json\r\nContent-Length: {length}\r\n{lines}\r\n\r\n{body}"
    )
}

/// The first state that the stream of events tells, once `good` says yes to one.
pub(crate) fn state(scene: &Scene, good: impl Fn(&Value) -> bool) -> Value {
    let port = scene.port();
    let mut stream = connect(port);
    let request = format!(
        "GET /api/events HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n{}\r\n\r\n",
        key(scene)
    );
    stream.write_all(request.as_bytes()).expect("a request");
    let mut text = String::new();
    let mut buffer = vec![0; 65536];
    let start = Instant::now();
    loop {
        // The stream speaks for as long as the program lives, whether anything changes or not.
        assert!(start.elapsed() < LIMIT, "no such state came: {text}");
        let read = stream.read(&mut buffer).expect("events in time");
        assert!(read > 0, "the stream ended: {text}");
        text.push_str(&String::from_utf8_lossy(&buffer[..read]));
        // The pieces of the transfer are of no interest: a state is one line.
        let lines = text.lines().filter_map(|l| l.strip_prefix("data: "));
        let states = lines.filter_map(|l| serde_json::from_str::<Value>(l).ok());
        if let Some(found) = states.into_iter().find(|s| good(s)) {
            return found;
        }
    }
}

pub(crate) fn shown(scene: &Scene) -> u64 {
    let state = state(scene, |s| s["shown"].is_u64() && s["busy"] == false);
    state["shown"].as_u64().expect("a picture")
}
