//! The page itself: a few files inside the program.

/// A file of the page: its name, what it is, and its text.
pub(super) type Asset = (&'static str, &'static str, &'static str);

const SCRIPT: &str = "text/javascript; charset=utf-8";
const STYLE: &str = "text/css; charset=utf-8";

/// The page.
pub(super) const PAGE: &str = include_str!("web/page.html");

/// Its sign in the browser's tab.
pub(super) const SIGN: &str = include_str!("web/sign.svg");

/// The text editor: bundled by `editor/build.mjs` from packages of others.
const EDITOR: &str = "editor.js";

/// Its parts.
const ASSETS: &[Asset] = &[
    ("page.css", STYLE, include_str!("web/page.css")),
    ("main.js", SCRIPT, include_str!("web/main.js")),
    ("door.js", SCRIPT, include_str!("web/door.js")),
    ("server.js", SCRIPT, include_str!("web/server.js")),
    ("make.js", SCRIPT, include_str!("web/make.js")),
    ("swatches.js", SCRIPT, include_str!("web/swatches.js")),
    ("history.js", SCRIPT, include_str!("web/history.js")),
    ("memory.js", SCRIPT, include_str!("web/memory.js")),
    ("words.js", SCRIPT, include_str!("web/words.js")),
    ("bench.js", SCRIPT, include_str!("web/bench.js")),
    ("view.js", SCRIPT, include_str!("web/view.js")),
    ("tiles.js", SCRIPT, include_str!("web/tiles.js")),
    ("paint.js", SCRIPT, include_str!("web/paint.js")),
    ("marks.js", SCRIPT, include_str!("web/marks.js")),
    ("pen.js", SCRIPT, include_str!("web/pen.js")),
    ("looking.js", SCRIPT, include_str!("web/looking.js")),
    ("hands.js", SCRIPT, include_str!("web/hands.js")),
    ("tools.js", SCRIPT, include_str!("web/tools.js")),
    ("picked.js", SCRIPT, include_str!("web/picked.js")),
    ("strokes.js", SCRIPT, include_str!("web/strokes.js")),
    ("offers.js", SCRIPT, include_str!("web/offers.js")),
    ("rim.js", SCRIPT, include_str!("web/rim.js")),
    ("tray.js", SCRIPT, include_str!("web/tray.js")),
    ("ghost.js", SCRIPT, include_str!("web/ghost.js")),
    ("text.js", SCRIPT, include_str!("web/text.js")),
    (EDITOR, SCRIPT, include_str!("web/editor.js")),
    ("literals.js", SCRIPT, include_str!("web/literals.js")),
    ("knobs.js", SCRIPT, include_str!("web/knobs.js")),
    ("tally.js", SCRIPT, include_str!("web/tally.js")),
    ("fault.js", SCRIPT, include_str!("web/fault.js")),
    ("reminder.js", SCRIPT, include_str!("web/reminder.js")),
    ("wall.js", SCRIPT, include_str!("web/wall.js")),
    ("card.js", SCRIPT, include_str!("web/card.js")),
    ("values.js", SCRIPT, include_str!("web/values.js")),
    ("shortlist.js", SCRIPT, include_str!("web/shortlist.js")),
    ("steps.js", SCRIPT, include_str!("web/steps.js")),
    ("shelf.js", SCRIPT, include_str!("web/shelf.js")),
    ("photo.js", SCRIPT, include_str!("web/photo.js")),
    ("plan.js", SCRIPT, include_str!("web/plan.js")),
];

/// The part of this name. Names are looked up here, never on the disk.
pub(super) fn asset(name: &str) -> Option<&'static Asset> {
    ASSETS.iter().find(|(known, ..)| *known == name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_page_reaches_for_nothing_outside() {
        for text in ASSETS.iter().map(|(.., text)| *text).chain([PAGE, SIGN]) {
            let rest = text.replace("http://www.w3.org/2000/svg", "");
            // Signs of the editor that are written out in it.
            let rest = rest.replace("url('data:", "");
            for reach in ["http:", "https:", "//cdn", "@import", "url("] {
                assert!(!rest.contains(reach), "{reach}");
            }
        }
    }

    #[test]
    fn nothing_in_the_page_makes_markup_of_text() {
        for (name, _, text) in ASSETS {
            for way in [
                "innerHTML",
                "outerHTML",
                "insertAdjacentHTML",
                "document.write",
                "eval(",
            ] {
                assert!(!text.contains(way), "{name} has {way}");
            }
        }
        assert!(!PAGE.contains("<style") && !PAGE.contains("style=") && !PAGE.contains("onclick"));
    }

    /// The bundle has the digest of its sources; it must be that of the sources there are now.
    #[test]
    fn the_editor_is_made_from_the_sources_that_are_there() {
        use sha2::{Digest as _, Sha256};
        let mut digest = Sha256::new();
        for source in [
            include_str!("editor/build.mjs"),
            include_str!("editor/entry.mjs"),
            include_str!("editor/package-lock.json"),
        ] {
            digest.update(source);
        }
        let mut hex = String::new();
        for byte in digest.finalize() {
            hex.extend([format!("{byte:02x}")]);
        }
        let (_, _, bundle) = asset(EDITOR).expect("the editor");
        let first = bundle.lines().next().unwrap_or_default();
        assert!(
            first.ends_with(&format!("from sources {hex}")),
            "make it anew: cd src/live/page/editor && npm ci && npm run build"
        );
    }

    #[test]
    fn a_name_is_no_path() {
        for name in ["../Cargo.toml", "/etc/passwd", "", "page.css/", "PAGE.CSS"] {
            assert!(asset(name).is_none(), "{name}");
        }
    }
}
