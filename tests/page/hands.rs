//! Keys and fingers as the W3C's `WebDriver` moves them, and media features by the browser's own
//! protocol. Nothing here reaches past what a hand could do.

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::{Ipv4Addr, TcpStream};
use std::time::Duration;

use fantoccini::actions::{
    Actions, InputSource as _, KeyAction, KeyActions, PointerAction, TouchActions,
};
use serde_json::{Value, json};

use crate::browser::Browser;
use crate::common::LIMIT;

/// Keys by the numbers that the W3C gives them (`WebDriver`, 17.4.2, normalised key values).
pub(crate) const TAB: char = '\u{e004}';
pub(crate) const ENTER: char = '\u{e007}';
pub(crate) const SHIFT: char = '\u{e008}';
pub(crate) const CONTROL: char = '\u{e009}';
pub(crate) const ALT: char = '\u{e00a}';
pub(crate) const ESCAPE: char = '\u{e00c}';
pub(crate) const SPACE: char = ' ';
pub(crate) const END: char = '\u{e010}';
pub(crate) const LEFT: char = '\u{e012}';
pub(crate) const RIGHT: char = '\u{e014}';
pub(crate) const DOWN: char = '\u{e015}';

/// A way of one finger: points of the window in pixels, one after the other.
pub(crate) type Way = Vec<(f64, f64)>;

impl Browser {
    /// Presses and releases keys, one after the other, wherever the focus is.
    #[track_caller]
    pub(crate) fn press(&self, keys: &[char]) {
        self.press_holding(&[], keys);
    }

    /// The same while others are held down.
    #[track_caller]
    pub(crate) fn press_holding(&self, held: &[char], keys: &[char]) {
        let down = |value: char| KeyAction::Down { value };
        let up = |value: char| KeyAction::Up { value };
        let taps = keys.iter().flat_map(|&key| [down(key), up(key)]);
        let all = held.iter().map(|&key| down(key)).chain(taps);
        let all = all.chain(held.iter().rev().map(|&key| up(key)));
        let actions = all.fold(KeyActions::new("keys".to_owned()), KeyActions::then);
        self.act(actions.into());
    }

    /// Moves fingers over the screen side by side: each comes down at the first point of its way and
    /// leaves at the last.
    #[track_caller]
    pub(crate) fn touch(&self, ways: &[Way]) {
        let one = |(number, way): (usize, &Way)| {
            let to = |&(x, y): &(f64, f64), duration| PointerAction::MoveTo {
                duration: Some(Duration::from_millis(duration)),
                x,
                y,
            };
            let (first, rest) = way.split_first().expect("a way");
            let begun = TouchActions::new(format!("finger {number}"))
                .then(to(first, 0))
                .then(PointerAction::Down { button: 0 });
            let moved = rest.iter().fold(begun, |a, point| a.then(to(point, 20)));
            moved.then(PointerAction::Up { button: 0 })
        };
        let fingers: Vec<_> = ways.iter().enumerate().map(one).collect();
        self.act(fingers.into());
    }

    #[track_caller]
    pub(crate) fn act(&self, actions: Actions) {
        self.runtime
            .block_on(self.client.perform_actions(actions))
            .unwrap_or_else(|error| panic!("{error}"));
    }

    /// Lets the browser say that its user prefers something, for example less motion.
    pub(crate) fn prefer(&self, feature: &str, value: &str) {
        self.devtools(
            "Emulation.setEmulatedMedia",
            &json!({ "features": [{ "name": feature, "value": value }] }),
        );
    }

    /// A command of the browser's own protocol, through the driver.
    #[track_caller]
    pub(crate) fn devtools(&self, command: &str, parameters: &Value) -> Value {
        let session = self.runtime.block_on(self.client.session_id());
        let session = session.expect("a session").expect("its id");
        let body = json!({ "cmd": command, "params": parameters }).to_string();
        let (port, length) = (self.driver_port, body.len());
        let request = format!(
            "POST /session/{session}/goog/cdp/execute HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n\
             Content-Type: application/json\r\nContent-Length: {length}\r\nConnection: close\r\n\r\n{body}"
        );
        let mut stream = TcpStream::connect((Ipv4Addr::LOCALHOST, port)).expect("the driver");
        stream.set_read_timeout(Some(LIMIT)).expect("a limit");
        stream.write_all(request.as_bytes()).expect("a request");
        // The driver keeps the line open: no more is read than it says that there is.
        let mut stream = BufReader::new(stream);
        let mut length = 0;
        let mut head = String::new();
        while !head.ends_with("\r\n\r\n") {
            let start = head.len();
            stream.read_line(&mut head).expect("an answer");
            let line = head[start..].to_ascii_lowercase();
            if let Some(bytes) = line.strip_prefix("content-length:") {
                length = bytes.trim().parse().expect("a length");
            }
        }
        assert!(head.starts_with("HTTP/1.1 200"), "{command}: {head}");
        let mut body = vec![0; length];
        stream.read_exact(&mut body).expect("all of it");
        let mut body: Value = serde_json::from_slice(&body).expect("JSON");
        body["value"].take()
    }
}
