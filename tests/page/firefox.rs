//! `plyloom.html` in Firefox, opened from the disk: what holds in one engine is to hold in another.
//!
//! Firefox is driven by its own remote protocol (Marionette, which its driver speaks to it as well): a length, a
//! colon, and a message in JSON, over a socket.

use std::cell::{Cell, RefCell};
use std::env;
use std::io::{Read as _, Write as _};
use std::net::TcpStream;
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::time::Instant;

use serde_json::{Value, json};

use crate::alone;
use crate::common::{Bench, LIMIT};
use crate::scene::RECIPE;

trials! {
    Firefox: [
        in_firefox_a_recipe_is_opened_varied_and_planned,
        in_firefox_what_was_done_is_there_after_a_reload,
        in_firefox_a_link_opens_and_a_cut_one_is_told,
        in_firefox_a_recipe_that_does_not_end_leaves_the_last_picture,
    ],
}

/// Names under which systems have the browser.
const NAMES: [&str; 2] = ["firefox", "firefox-esr"];

fn program() -> Option<PathBuf> {
    let folders: Vec<_> = env::split_paths(&env::var_os("PATH")?).collect();
    NAMES
        .iter()
        .flat_map(|name| folders.iter().map(move |folder| folder.join(name)))
        .find(|path| path.is_file())
}

/// Whether the machine has it.
pub(crate) fn there_is_one() -> bool {
    program().is_some()
}

/// One Firefox with a profile of its own; it ends with the test.
struct Firefox {
    socket: RefCell<TcpStream>,
    asked: Cell<u64>,
    program: Child,
    _profile: tempfile::TempDir,
}

/// The name of an element's reference in the protocol (W3C `WebDriver`, section 12.2).
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";

impl Firefox {
    fn start() -> Self {
        let profile = tempfile::tempdir().expect("a folder for the browser");
        let settings = "user_pref('marionette.port', 0);\nuser_pref('datareporting.policy.dataSubmissionEnabled', false);\n\
                        user_pref('app.update.disabledForTesting', true);\n";
        std::fs::write(profile.path().join("user.js"), settings).expect("settings");
        let program = Command::new(program().expect("a test that is said to need Firefox"))
            .args(["--headless", "--marionette", "--no-remote", "--profile"])
            .arg(profile.path())
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("Firefox starts");
        let start = Instant::now();
        let socket = loop {
            let port = std::fs::read_to_string(profile.path().join("MarionetteActivePort"));
            let port = port.ok().and_then(|text| text.trim().parse::<u16>().ok());
            if let Some(Ok(socket)) = port.map(|port| TcpStream::connect(("127.0.0.1", port))) {
                break socket;
            }
            assert!(start.elapsed() < LIMIT, "Firefox does not listen");
            std::thread::sleep(std::time::Duration::from_millis(40));
        };
        let firefox = Self {
            socket: RefCell::new(socket),
            asked: Cell::new(0),
            program,
            _profile: profile,
        };
        // It says first who it is.
        firefox.message();
        firefox.ask("WebDriver:NewSession", &json!({}));
        firefox
    }

    /// The next message.
    fn message(&self) -> Value {
        let mut socket = self.socket.borrow_mut();
        let mut length = String::new();
        loop {
            let mut byte = [0];
            socket.read_exact(&mut byte).expect("Firefox answers");
            match byte[0] {
                b':' => break,
                digit => length.push(char::from(digit)),
            }
        }
        let mut text = vec![0; length.parse().expect("a length")];
        socket.read_exact(&mut text).expect("a message");
        serde_json::from_slice(&text).expect("JSON")
    }

    fn tried(&self, command: &str, with: &Value) -> Result<Value, String> {
        let number = self.asked.get() + 1;
        self.asked.set(number);
        let text = json!([0, number, command, with]).to_string();
        let sent = write!(self.socket.borrow_mut(), "{}:{text}", text.len());
        sent.expect("Firefox listens");
        let answer = self.message();
        match &answer[2] {
            Value::Null => Ok(answer[3]["value"].clone()),
            error => Err(error["message"].as_str().unwrap_or_default().to_owned()),
        }
    }

    #[track_caller]
    fn ask(&self, command: &str, with: &Value) -> Value {
        self.tried(command, with)
            .unwrap_or_else(|error| panic!("{command} {with}: {error}"))
    }

    fn open(&self, address: &str) {
        self.ask("WebDriver:Navigate", &json!({ "url": address }));
    }

    fn evaluated(&self, expression: &str) -> Result<Value, String> {
        let script = format!("return ({expression});");
        let with = json!({ "script": script, "args": [] });
        self.tried("WebDriver:ExecuteScript", &with)
    }

    /// The value of a JavaScript expression.
    #[track_caller]
    fn value(&self, expression: &str) -> Value {
        self.evaluated(expression)
            .unwrap_or_else(|error| panic!("`{expression}`: {error}"))
    }

    /// Waits until an expression is true.
    #[track_caller]
    fn until(&self, expression: &str) {
        let start = Instant::now();
        loop {
            let value = self.evaluated(expression);
            if value == Ok(json!(true)) {
                return;
            }
            assert!(
                start.elapsed() < LIMIT,
                "`{expression}` never came true but is {value:?}; the page says:\n{}",
                self.value("document.body.innerText")
            );
            std::thread::sleep(std::time::Duration::from_millis(40));
        }
    }

    /// Waits until a text stands somewhere in an element.
    #[track_caller]
    fn until_text(&self, selector: &str, text: &str) {
        let (selector, text) = (json!(selector), json!(text));
        self.until(&format!(
            "[...document.querySelectorAll({selector})].some((e) => !e.closest('[hidden]') && \
             e.textContent.includes({text}))"
        ));
    }

    #[track_caller]
    fn found(&self, selector: &str) -> Value {
        let with = json!({ "using": "css selector", "value": selector });
        self.ask("WebDriver:FindElement", &with)[ELEMENT].clone()
    }

    /// Clicks as a hand would, once it is there.
    #[track_caller]
    fn click(&self, selector: &str) {
        let quoted = json!(selector);
        self.until(&format!(
            "((e) => Boolean(e && !e.disabled && e.getClientRects().length))(document.querySelector({quoted}))"
        ));
        self.ask(
            "WebDriver:ElementClick",
            &json!({ "id": self.found(selector) }),
        );
    }

    #[track_caller]
    fn keys(&self, selector: &str, keys: &str) {
        let with = json!({ "id": self.found(selector), "text": keys });
        self.ask("WebDriver:ElementSendKeys", &with);
    }

    /// Opens a file of the disk by the page's own button for that, and waits until it is shown.
    #[track_caller]
    fn bring(&self, bench: &Bench, name: &str) {
        self.keys("#desk-files", &bench.path(name).display().to_string());
        let shown = format!(
            "document.querySelector('#recipe').textContent === {}",
            json!(name)
        );
        self.until(&shown);
    }
}

impl Drop for Firefox {
    fn drop(&mut self) {
        // Its own processes end with it when it is asked; else it alone is ended.
        let asked = self.tried("Marionette:Quit", &json!({ "flags": ["eForceQuit"] }));
        if asked.is_err() {
            let _ = self.program.kill();
        }
        let _ = self.program.wait();
    }
}

/// At the file, once a picture is there.
fn opened() -> Firefox {
    let firefox = Firefox::start();
    firefox.open(&alone::address());
    firefox.until(alone::SHOWN);
    firefox
}

fn in_firefox_a_recipe_is_opened_varied_and_planned() {
    let bench = Bench::new().file("tray.rhai", RECIPE);
    let firefox = opened();
    firefox.bring(&bench, "tray.rhai");
    firefox.until_text("#tally", "52");
    firefox.keys("[data-knob=rows] input[type=range]", "\u{e014}");
    firefox.until_text("#tally", "65");
    firefox.click("[data-room=variations]");
    firefox.until("document.querySelectorAll('.wall .card img[src]').length >= 6");
    firefox.click("[data-room=plan]");
    firefox.until_text(".plan", "Shop plan: Tray");
    firefox.click("[data-room=recipes]");
    firefox.until_text("#room-recipes", "tray");
    firefox.click("[data-room=panel]");
    firefox.click("#text-switch");
    firefox.until("Boolean(document.querySelector('.text-home').shadowRoot)");
    // No more than the program's own picture came out.
    assert_eq!(
        firefox.value("document.querySelector('#trouble').hidden"),
        json!(true)
    );
}

fn in_firefox_what_was_done_is_there_after_a_reload() {
    let bench = Bench::new().file("tray.rhai", RECIPE);
    let firefox = opened();
    firefox.bring(&bench, "tray.rhai");
    firefox.click("[data-room=variations]");
    firefox.click(".wall .card:first-child .star");
    firefox.until("document.querySelectorAll('.shortlist .card img[src]').length >= 1");
    firefox.open("about:blank");
    firefox.open(&alone::address());
    firefox.until("document.querySelector('#recipe')?.textContent === 'tray.rhai'");
    firefox.click("[data-room=variations]");
    firefox.until(
        "document.querySelectorAll('#room-variations .shortlist .card img[src]').length === 1",
    );
}

fn in_firefox_a_link_opens_and_a_cut_one_is_told() {
    let bench = Bench::new().file("tray.rhai", RECIPE);
    let link = bench.run(&["pack", "tray.rhai", "--set", "rows=6", "--link"]);
    link.ended(0);
    let link = link
        .out
        .lines()
        .find(|line| line.contains("#p1."))
        .expect("a link")
        .to_owned();
    let (_, packed) = link.split_once('#').expect("a part after #");
    let firefox = opened();
    firefox.open("about:blank");
    firefox.open(&format!(
        "{}#{}",
        alone::address(),
        &packed[..packed.len() - 40]
    ));
    firefox.until_text("#notes", "damaged");
    firefox.until(alone::SHOWN);
    firefox.open("about:blank");
    firefox.open(&format!("{}#{packed}", alone::address()));
    firefox.until_text("#tally", "78");
}

fn in_firefox_a_recipe_that_does_not_end_leaves_the_last_picture() {
    let bench = Bench::new()
        .file("tray.rhai", RECIPE)
        .file("loops.rhai", format!("{RECIPE}\nloop {{ }}\n"));
    let firefox = opened();
    firefox.bring(&bench, "tray.rhai");
    firefox.until_text("#tally", "52");
    firefox.bring(&bench, "loops.rhai");
    firefox.until_text("#trouble", "steps");
    firefox.bring(&bench, "tray.rhai");
    firefox.until("document.querySelector('#trouble').hidden");
    firefox.until_text("#tally", "52");
}
