//! A browser for the tests: Debian's Chromium, driven by the W3C's protocol for that.
//!
//! `PLYLOOM_BROWSER` names another build of it, such as `chromium-headless-shell`, which is the same engine without
//! the window around it.
//!
//! Tests wait for what comes, never for a time.

use std::env;
use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use fantoccini::{Client, ClientBuilder, Locator};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};
use tokio::runtime::Runtime;

use crate::common::LIMIT;

/// Names under which systems have the browser.
const BROWSERS: [&str; 2] = ["chromium", "chromium-browser"];

/// What the driver takes for the browser.
const STARTER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/page/start-browser");

/// The variable that names the browser, for these tests and for what starts it.
const NAMED: &str = "PLYLOOM_BROWSER";

/// Parts of the browser's own window, each a page of its own that no test looks at: they would take as long to
/// start as the browser itself.
const OWN_PAGES: [&str; 3] = [
    "WebUIOmniboxPopup",
    "WebUIOmniboxAimPopup",
    "PreloadTopChromeWebUI",
];

/// What kind of screen the browser has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Screen {
    /// 1280 x 900, light.
    Desk,
    /// The same, dark.
    Dark,
    /// 360 x 780, as on a small telephone.
    Narrow,
}

/// One browser; it ends with the test.
pub(crate) struct Browser {
    pub(crate) runtime: Runtime,
    pub(crate) client: Client,
    driver: Child,
    /// Where the driver listens.
    pub(crate) driver_port: u16,
    _profile: tempfile::TempDir,
}

/// Where a program of this name is.
fn find(name: &str) -> Option<PathBuf> {
    env::split_paths(&env::var_os("PATH")?)
        .map(|folder| folder.join(name))
        .find(|path| path.is_file())
}

/// The browser and its driver, where the machine has both.
fn programs() -> Option<(PathBuf, PathBuf)> {
    let browser = match env::var(NAMED) {
        Ok(name) => find(&name),
        Err(_) => BROWSERS.iter().find_map(|name| find(name)),
    };
    Some((browser?, find("chromedriver")?))
}

/// Whether the machine has a browser for the tests.
pub(crate) fn there_is_one() -> bool {
    programs().is_some()
}

impl Browser {
    /// Starts a browser.
    pub(crate) fn start(screen: Screen) -> Self {
        let (browser, driver) = programs().expect("a test that is said to need a browser");
        let profile = tempfile::tempdir().expect("a folder for the browser");
        let (mut driver, port) = start_driver(&driver, &browser);
        let mut arguments = vec![
            "--headless".to_owned(),
            "--no-sandbox".to_owned(),
            "--disable-gpu".to_owned(),
            "--disable-quic".to_owned(),
            "--no-first-run".to_owned(),
            "--disable-background-networking".to_owned(),
            "--disable-component-update".to_owned(),
            "--disable-sync".to_owned(),
            "--disable-dev-shm-usage".to_owned(),
            "--window-size=1280,900".to_owned(),
            format!("--disable-features={}", OWN_PAGES.join(",")),
            format!("--user-data-dir={}", profile.path().display()),
        ];
        if screen == Screen::Dark {
            arguments.push("--blink-settings=preferredColorScheme=0".to_owned());
        }
        let mut options = json!({ "args": arguments, "binary": STARTER });
        if screen == Screen::Narrow {
            options["mobileEmulation"] =
                json!({ "deviceMetrics": { "width": 360, "height": 780, "pixelRatio": 1.0 } });
        }
        let mut wanted = serde_json::Map::new();
        wanted.insert("browserName".to_owned(), json!("chrome"));
        wanted.insert("goog:chromeOptions".to_owned(), options);
        wanted.insert("goog:loggingPrefs".to_owned(), json!({ "browser": "ALL" }));
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build()
            .expect("a runtime");
        let address = format!("http://127.0.0.1:{port}");
        let client = runtime.block_on(async {
            ClientBuilder::new(HttpConnector::new())
                .capabilities(wanted)
                .connect(&address)
                .await
        });
        let client = client.unwrap_or_else(|error| {
            end(&mut driver);
            panic!("the browser does not start: {error}")
        });
        Self {
            runtime,
            client,
            driver,
            driver_port: port,
            _profile: profile,
        }
    }

    pub(crate) fn open(&self, address: &str) {
        self.runtime
            .block_on(self.client.goto(address))
            .expect("the page opens");
    }

    /// The value of a JavaScript expression.
    #[track_caller]
    pub(crate) fn value(&self, expression: &str) -> Value {
        self.tried(expression)
            .unwrap_or_else(|error| panic!("`{expression}`: {error}"))
    }

    /// Where in the window, in pixels, an expression says that something lies: `[x, y]`.
    #[track_caller]
    pub(crate) fn place(&self, expression: &str) -> (f64, f64) {
        let at = self.value(expression);
        let number = |i: usize| at[i].as_f64().unwrap_or_else(|| panic!("{at} is no place"));
        (number(0), number(1))
    }

    fn tried(&self, expression: &str) -> Result<Value, String> {
        let script = format!("return ({expression});");
        self.runtime
            .block_on(self.client.execute(&script, Vec::new()))
            .map_err(|error| error.to_string())
    }

    /// The value of an asynchronous JavaScript body that calls `done`.
    #[track_caller]
    pub(crate) fn awaited(&self, body: &str) -> Value {
        let script = format!("const done = arguments[0]; {body}");
        self.runtime
            .block_on(self.client.execute_async(&script, Vec::new()))
            .unwrap_or_else(|error| panic!("{error}"))
    }

    /// Runs a script.
    #[track_caller]
    pub(crate) fn run(&self, script: &str) {
        self.runtime
            .block_on(self.client.execute(script, Vec::new()))
            .unwrap_or_else(|error| panic!("{error}"));
    }

    /// Waits until an expression is true.
    #[track_caller]
    pub(crate) fn until(&self, expression: &str) {
        let start = Instant::now();
        loop {
            let value = self.tried(expression);
            if let Ok(value) = &value
                && (value.as_bool() == Some(true))
            {
                return;
            }
            assert!(
                start.elapsed() < LIMIT,
                "`{expression}` never came true but is {value:?}; the page says:\n{}",
                self.value("document.body.innerText")
            );
            std::thread::sleep(Duration::from_millis(40));
        }
    }

    /// Waits until a text stands somewhere in an element.
    #[track_caller]
    pub(crate) fn until_text(&self, selector: &str, text: &str) {
        let (selector, text) = (json!(selector), json!(text));
        self.until(&format!(
            "[...document.querySelectorAll({selector})].some((e) => !e.closest('[hidden]') && \
             e.textContent.includes({text}))"
        ));
    }

    /// Clicks as a hand would: the element must be there to be hit.
    #[track_caller]
    pub(crate) fn click(&self, selector: &str) {
        let quoted = json!(selector);
        self.until(&format!(
            "((e) => Boolean(e && !e.disabled && e.getClientRects().length))(document.querySelector({quoted}))"
        ));
        let clicked = self.runtime.block_on(async {
            let element = self.client.find(Locator::Css(selector)).await?;
            element.click().await
        });
        clicked.unwrap_or_else(|error| panic!("{selector}: {error}"));
    }

    /// Types into a field in place of what is there, and ends with Enter.
    #[track_caller]
    pub(crate) fn fill(&self, selector: &str, text: &str) {
        self.click(selector);
        self.run(&format!(
            "document.querySelector({}).select()",
            json!(selector)
        ));
        // To type nothing over what is selected is to delete it.
        let typed = if text.is_empty() { "\u{e017}" } else { text };
        self.keys(selector, &format!("{typed}\u{e007}"));
    }

    /// Presses keys in an element.
    #[track_caller]
    pub(crate) fn keys(&self, selector: &str, keys: &str) {
        let pressed = self.runtime.block_on(async {
            let element = self.client.find(Locator::Css(selector)).await?;
            element.send_keys(keys).await
        });
        pressed.unwrap_or_else(|error| panic!("{selector}: {error}"));
    }

    /// Chooses an option of a list.
    #[track_caller]
    pub(crate) fn choose(&self, selector: &str, value: &str) {
        self.run(&format!(
            "const s = document.querySelector({}); s.value = {}; s.dispatchEvent(new Event('change', {{ bubbles: true }}));",
            json!(selector),
            json!(value)
        ));
    }

    /// A second tab with the same address, and then back to the first.
    pub(crate) fn in_second_tab<T>(&self, address: &str, work: impl FnOnce(&Self) -> T) -> T {
        let first = self
            .runtime
            .block_on(self.client.window())
            .expect("a window");
        let tab = self
            .runtime
            .block_on(self.client.new_window(true))
            .expect("a tab");
        self.runtime
            .block_on(self.client.switch_to_window(tab.handle))
            .expect("the tab");
        self.open(address);
        let result = work(self);
        self.runtime
            .block_on(self.client.switch_to_window(first))
            .expect("the first tab");
        result
    }
}

impl Browser {
    /// In the tab that was opened last, and then back to the first.
    pub(crate) fn in_last_tab(&self, work: impl FnOnce(&Self)) {
        let first = self
            .runtime
            .block_on(self.client.window())
            .expect("a window");
        let start = Instant::now();
        let last = loop {
            let all = self
                .runtime
                .block_on(self.client.windows())
                .expect("windows");
            if all.len() > 1 {
                break all.last().expect("two windows").clone();
            }
            assert!(start.elapsed() < LIMIT, "no tab was opened");
            std::thread::sleep(Duration::from_millis(40));
        };
        self.runtime
            .block_on(self.client.switch_to_window(last))
            .expect("the tab");
        work(self);
        self.runtime
            .block_on(self.client.switch_to_window(first))
            .expect("the first tab");
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        let client = self.client.clone();
        let _ = self.runtime.block_on(client.close());
        end(&mut self.driver);
    }
}

/// Starts the driver, and says on which port it listens.
///
/// Asked for any port, it takes one that is free for IPv6 and ends if another program has the same one
/// for IPv4, as the servers and connections of other tests may: so long it is asked again.
fn start_driver(program: &Path, browser: &Path) -> (Child, u16) {
    loop {
        let mut command = Command::new(program);
        command
            .arg("--port=0")
            .env(NAMED, browser)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null());
        #[cfg(unix)]
        {
            use std::os::unix::process::CommandExt as _;
            // The browser is a child of the driver: they end as one group.
            command.process_group(0);
        }
        let mut driver = command.spawn().expect("chromedriver starts");
        match port_of(&mut driver) {
            Ok(port) => return (driver, port),
            Err(said) => {
                let _ = driver.wait();
                assert!(
                    said.contains("port not available"),
                    "chromedriver does not say its port: {said}"
                );
            }
        }
    }
}

/// The port that the driver says it listens on, or all that it said before it ended.
fn port_of(driver: &mut Child) -> Result<u16, String> {
    let out = driver.stdout.take().expect("its output");
    let mut lines = BufReader::new(out).lines().map_while(Result::ok);
    let mut said = String::new();
    for line in &mut lines {
        let port = line
            .split_once("successfully on port ")
            .and_then(|(_, port)| port.trim_end_matches('.').parse().ok());
        if let Some(port) = port {
            // It must not stop over a full pipe.
            std::thread::spawn(move || lines.for_each(drop));
            return Ok(port);
        }
        said.push_str(&line);
        said.push('\n');
    }
    Err(said)
}

fn end(driver: &mut Child) {
    #[cfg(unix)]
    {
        let group = format!("-{}", driver.id());
        let _ = Command::new("kill").args(["-KILL", "--", &group]).status();
    }
    let _ = driver.kill();
    let _ = driver.wait();
}
