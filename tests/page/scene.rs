//! A recipe in a folder of its own, the program that shows it, and a browser that looks.

use crate::browser::{Browser, Screen};
use crate::common::{Bench, Running};

/// A small panel with a knob of each kind, drawn by chance.
pub(crate) const RECIPE: &str = r#"// For the tray of the ferry house.
seed(3);
let rows  = param("rows", 4, #{ from: 2, to: 12, help: "courses of tiles" }); // how many
let wide  = param("wide", "6 in", #{ unit: "in", from: "4 in", to: "12 in" });
let dye   = param("dye", "navy", #{ kind: "colour" });
let mixed = param("mixed", true, #{ help: "turned by chance" });
let edge  = param("edge", "birch", #{ choices: ["birch", "walnut"] });

let sheet = laminate([veneer(0.6, dye), plywood(5, 12, edge)]);
let tile  = bar(sheet.rip(sheet.thickness)).slice("square");
let ways  = if mixed { tile.looks() } else { [tile] };

panel("Tray", squares(tile)).finished(wide, rows * 12).fill(random("turns", ways));
"#;

/// What is looked at in a test.
pub(crate) struct Scene {
    pub(crate) bench: Bench,
    pub(crate) page: Running,
    pub(crate) address: String,
}

impl Scene {
    /// The program shows `tray.rhai` with this text.
    pub(crate) fn new(text: &str) -> Self {
        Self::with(Bench::new().file("tray.rhai", text), &[])
    }

    /// The same in a folder that is there, with more arguments.
    pub(crate) fn with(bench: Bench, more: &[&str]) -> Self {
        Self::begun(bench, &[&["watch", "tray.rhai", "--page"], more].concat())
    }

    /// The program shows the recipe or choice at this path.
    pub(crate) fn of_path(bench: Bench, path: &str) -> Self {
        Self::begun(bench, &["watch", path, "--page"])
    }

    fn begun(bench: Bench, arguments: &[&str]) -> Self {
        let page = bench.start(arguments);
        let address = address(&page);
        Self {
            bench,
            page,
            address,
        }
    }

    /// Goes through all that the page shows, and holds at each stop what is told of it.
    pub(crate) fn everywhere(&self, browser: &Browser, hold: impl Fn(&str)) {
        hold("panel");
        browser.click("[data-mark=numbers]");
        browser.click("[data-mark=joints]");
        browser.fill("#knob-rows", "5");
        browser.until("!document.querySelector('#beside').disabled");
        browser.click("#beside");
        browser.until("Boolean(document.querySelector('#view-before').dataset.picture)");
        hold("two panels");
        browser.run("document.querySelector('[data-knob=dye] details').open = true");
        browser.run("document.querySelector('.in-text').open = true");
        browser.until("document.querySelectorAll('[data-value]').length === 3");
        hold("swatches and values of the text");
        browser.click("#hand-switch");
        browser.until("document.querySelector('#hands').dataset.ready === ''");
        hold("hands");
        browser.click("#hand-switch");
        browser.click("#rim-switch");
        browser.until_text("#rim-told", "is worked out");
        hold("outline");
        browser.click("#rim-switch");
        browser.click("#text-switch");
        browser.until(
            "Boolean(document.querySelector('.text-home').shadowRoot?.querySelector('.cm-content .chip'))",
        );
        hold("text");
        browser.click("#text-switch");
        browser.click("[data-room=variations]");
        browser.until("document.querySelectorAll('.wall .card img[src]').length >= 4");
        browser.click(".wall .card:first-child .star");
        browser.until("document.querySelectorAll('.shortlist .card img[src]').length === 1");
        browser.click("[aria-label='Save as a choice star 1']");
        browser.until_text("#notes", "Saved as");
        hold("variations");
        browser.click("[data-room=plan]");
        browser.until_text(".plan", "Shop plan");
        hold("plan");
        browser.click("[data-room=recipes]");
        browser.until("document.querySelectorAll('#room-recipes .card img[src]').length > 1");
        hold("recipes");
        browser.click("[data-room=panel]");
        self.bench
            .write("tray.rhai", RECIPE.replace("laminate([", "lamnate(["));
        browser.until_text("#trouble", "lamnate");
        browser.click("#fit");
        hold("mistake");
    }

    /// A browser that looks at the page.
    pub(crate) fn browser(&self, screen: Screen) -> Browser {
        let browser = Browser::start(screen);
        browser.open(&self.address);
        browser
    }

    /// The same once the picture is there.
    pub(crate) fn shown(&self, screen: Screen) -> Browser {
        let browser = self.browser(screen);
        browser.until("Boolean(document.querySelector('#view-now').dataset.picture)");
        browser
    }

    /// What lies in the folder, without what is being written at this moment.
    pub(crate) fn kept(&self) -> Vec<String> {
        let mut names = self.bench.names(".");
        names.retain(|name| !name.starts_with(".plyloom-"));
        names
    }

    /// Ends the program and starts it anew on the same folder.
    pub(crate) fn again(self) -> Self {
        assert_eq!(self.page.interrupt(), 0);
        Self::with(self.bench, &[])
    }

    pub(crate) fn port(&self) -> u16 {
        let rest = self
            .address
            .strip_prefix("http://127.0.0.1:")
            .expect("loopback");
        let (port, _) = rest.split_once('/').expect("a path");
        port.parse().expect("a port")
    }

    pub(crate) fn key(&self) -> &str {
        self.address.split_once('#').expect("a key").1
    }
}

/// The address that the program prints.
pub(crate) fn address(page: &Running) -> String {
    let line = page.first("the page is at ");
    let (_, address) = line.split_once("the page is at ").expect("the address");
    address.trim().to_owned()
}
