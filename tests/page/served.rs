//! The served form of `plyloom.html`: it can be installed, and is there without a network.

use std::io::{BufRead as _, BufReader, Write as _};
use std::net::{TcpListener, TcpStream};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use serde_json::json;

use crate::alone::{SHOWN, brought, page};
use crate::browser::{Browser, Screen};
use crate::common::LIMIT;
use crate::scene::RECIPE;

trials! {
    File: [
        served_it_is_installed_and_is_there_without_a_network,
    ],
}

/// A web space of its own: gives what is in a folder, as long as it stands.
struct Space {
    port: u16,
    open: Arc<AtomicBool>,
}

impl Space {
    fn new(folder: PathBuf) -> Self {
        let listener = TcpListener::bind(("127.0.0.1", 0)).expect("a port");
        let port = listener.local_addr().expect("an address").port();
        let open = Arc::new(AtomicBool::new(true));
        let stands = open.clone();
        std::thread::spawn(move || {
            for stream in listener.incoming() {
                let Ok(mut stream) = stream else { continue };
                if !stands.load(Ordering::Relaxed) {
                    return;
                }
                let mut line = String::new();
                let _ = BufReader::new(&stream).read_line(&mut line);
                let name = line
                    .split(' ')
                    .nth(1)
                    .unwrap_or("/")
                    .trim_start_matches('/');
                let name = if name.is_empty() { "index.html" } else { name };
                let kind = match name.rsplit('.').next() {
                    Some("html") => "text/html",
                    Some("js") => "text/javascript",
                    Some("svg") => "image/svg+xml",
                    Some("png") => "image/png",
                    _ => "application/manifest+json",
                };
                let (status, body) = match std::fs::read(folder.join(name)) {
                    Ok(body) => ("200 OK", body),
                    Err(_) => ("404 Not Found", Vec::new()),
                };
                let head = format!(
                    "HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {}\r\nConnection: close\r\n\r\n",
                    body.len()
                );
                let _ = stream.write_all(&[head.as_bytes(), &body].concat());
            }
        });
        Self { port, open }
    }

    /// From here on nobody answers there.
    fn close(&self) {
        self.open.store(false, Ordering::Relaxed);
        // The one who waits for somebody is told.
        let _ = TcpStream::connect(("127.0.0.1", self.port));
        let start = Instant::now();
        while TcpStream::connect(("127.0.0.1", self.port)).is_ok() {
            assert!(start.elapsed() < LIMIT, "it still answers");
        }
    }
}

fn served_it_is_installed_and_is_there_without_a_network() {
    let space = Space::new(page().with_file_name("served"));
    let browser = Browser::start(Screen::Desk);
    let address = format!("http://127.0.0.1:{}/", space.port);
    browser.open(&address);
    browser.until(SHOWN);
    let manifest = browser.devtools("Page.getAppManifest", &json!({}));
    assert_eq!(manifest["errors"], json!([]), "{manifest}");
    let told: serde_json::Value =
        serde_json::from_str(manifest["data"].as_str().expect("a manifest")).expect("JSON");
    assert_eq!(told["name"], "Plyloom");
    let lacking = browser.devtools("Page.getInstallabilityErrors", &json!({}));
    // A window of tests may be one that nothing is installed from.
    let lacking = lacking["installabilityErrors"].as_array().expect("a list");
    assert!(
        lacking
            .iter()
            .all(|error| error["errorId"] == "in-incognito"),
        "{lacking:?}"
    );
    let kept = browser.awaited(
        "navigator.serviceWorker.ready.then(() => caches.keys()).then((names) => done(names.length), (e) => done(String(e)));",
    );
    assert_eq!(kept, json!(1));
    brought(&browser, RECIPE);
    browser.until_text("#tally", "52");
    space.close();
    browser.open("about:blank");
    browser.open(&address);
    browser.until("document.querySelector('#recipe')?.textContent === 'tray.rhai'");
    browser.until_text("#tally", "52");
    browser.fill("#knob-rows", "5");
    browser.until_text("#tally", "65");
}
