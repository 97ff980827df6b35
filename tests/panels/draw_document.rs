//! What a drawing is as a document: size, structure, names, no complaints from another reader.
#![allow(
    clippy::unwrap_used,
    clippy::float_cmp,
    reason = "a test may stop at once; numbers are compared as they are written"
)]

use std::{
    collections::BTreeSet,
    sync::{Arc, Mutex},
};

use crate::draw_support::{hexagons, mitre, panel, rosette, squares};
use plyloom::{
    draw::{Form, Ground, PanelOptions, PreviewOptions, panel_svg, png, preview_document},
    geom::Point,
    layout::panel::Panel,
    stock::{Tile, TileKind},
};
use roxmltree::{Document, Node};

/// Names that try to break out of a document.
const NASTY: [&str; 8] = [
    "<script>alert(1)</script> & \"quotes\" 'n' ]]>",
    "tab\tnew\nline\r\u{0}\u{1}\u{b}\u{1f}\u{7f}\u{85}",
    "\u{fffe}\u{ffff}\u{1fffe}\u{fdd0} nothing",
    "\u{202e}backwards\u{200f}\u{2067}\u{feff}",
    "--><!-- \\ ]]> &amp; &#0; %s {}",
    "",
    "   \u{2003} ",
    "\u{3b1}\u{3b2} \u{416} na\u{ef}ve r\u{e9}sum\u{e9} \u{d7}\u{b2}",
];

fn parsed(svg: &str) -> Document<'_> {
    Document::parse(svg).unwrap_or_else(|e| panic!("{e}\n{svg}"))
}

fn preview(p: &Panel) -> String {
    preview_document(p, &PreviewOptions::default()).to_text()
}

fn flat() -> PanelOptions {
    PanelOptions {
        form: Form::Flat,
        ..PanelOptions::default()
    }
}

fn words(node: Node<'_, '_>) -> Vec<String> {
    let texts = node.descendants().filter(|n| n.has_tag_name("text"));
    texts
        .filter_map(|n| n.text().map(|t| t.trim().to_owned()))
        .collect()
}

#[test]
fn the_panel_alone_has_its_physical_size() {
    let p = squares("Squares", 4, 3);
    let side = 17.7 + 1.2;
    let svg = panel_svg(&p, &PanelOptions::default());
    let doc = parsed(&svg);
    let root = doc.root_element();
    let number = |name: &str| {
        let value = root.attribute(name).unwrap();
        value.strip_suffix("mm").unwrap().parse::<f64>().unwrap()
    };
    assert!((number("width") - 4.0 * side).abs() < 1e-9);
    assert!((number("height") - 3.0 * side).abs() < 1e-9);
    assert_eq!(root.attribute("viewBox"), Some("0 0 75.6 56.7"));
    // SVG 1.1, section 5.2: user units here are mm. CSS Values 3: 96 px to the inch of 25.4 mm.
    let read = resvg::usvg::Tree::from_str(&svg, &resvg::usvg::Options::default()).unwrap();
    assert!((f64::from(read.size().width()) - 75.6 / 25.4 * 96.0).abs() < 1e-3);
}

#[test]
fn the_page_holds_the_panel_at_true_scale() {
    let p = hexagons("Rosettes", 4, 3, true);
    let svg = preview(&p);
    let doc = parsed(&svg);
    let root = doc.root_element();
    let view: Vec<f64> = root
        .attribute("viewBox")
        .unwrap()
        .split(' ')
        .map(|v| v.parse().unwrap())
        .collect();
    assert_eq!(root.attribute("width"), Some(&*format!("{}mm", view[2])));
    assert_eq!(root.attribute("height"), Some(&*format!("{}mm", view[3])));
    assert!(view[2] > p.bounds.width() && view[3] > p.bounds.height());
    // Nothing between the page and the tiles scales.
    let tiles = doc
        .descendants()
        .find(|n| n.attribute("id") == Some("tiles"))
        .unwrap();
    let moves: Vec<&str> = tiles
        .ancestors()
        .filter_map(|n| n.attribute("transform"))
        .collect();
    assert_eq!(moves.len(), 1);
    assert!(moves[0].starts_with("translate(") && !moves[0].contains("scale"));
    // And the bars are as long as they say: the longest round lengths up to 40 % of the width.
    let said = words(root);
    assert!(said.iter().any(|w| w == "50 mm"), "{said:?}");
    assert!(said.iter().any(|w| w == "2 in"), "{said:?}");
    let bars: Vec<f64> = doc
        .descendants()
        .filter(|n| n.attribute("fill") == Some("none"))
        .filter_map(|n| {
            let (from, rest) = n.attribute("d")?.strip_prefix('M')?.split_once(' ')?;
            let (to, _) = rest.split_once('H')?.1.split_once('V')?;
            Some(to.parse::<f64>().ok()? - from.parse::<f64>().ok()?)
        })
        .collect();
    assert_eq!(bars.len(), 2);
    assert!(
        (bars[0] - 50.0).abs() < 1e-9 && (bars[1] - 50.8).abs() < 1e-9,
        "{bars:?}"
    );
}

#[test]
fn tiles_are_placed_at_whole_micrometres() {
    let p = hexagons("Rosettes", 5, 4, false);
    let svg = panel_svg(&p, &PanelOptions::default());
    let doc = parsed(&svg);
    let tiles = doc
        .descendants()
        .find(|n| n.attribute("id") == Some("tiles"))
        .unwrap();
    let uses: Vec<Node<'_, '_>> = tiles.children().filter(Node::is_element).collect();
    assert_eq!(uses.len(), p.tiles.len());
    for (u, tile) in uses.iter().zip(&p.tiles) {
        let at = |name| u.attribute(name).unwrap().parse::<f64>().unwrap();
        assert!((at("x") - tile.at.x).abs() <= 0.000_500_1);
        assert!((at("y") - tile.at.y).abs() <= 0.000_500_1);
        let link = u.attribute(("http://www.w3.org/1999/xlink", "href"));
        assert_eq!(link, Some(&*format!("#f{}", tile.face)));
    }
    for node in doc.descendants() {
        for a in node
            .attributes()
            .filter(|a| ["x", "y", "d"].contains(&a.name()))
        {
            assert!(!a.value().contains(['e', 'N', 'i']), "{}", a.value());
            let numbers = a
                .value()
                .split(|c: char| !(c.is_ascii_digit() || "-.".contains(c)));
            assert!(!numbers.into_iter().any(|n| n == "-0"), "{}", a.value());
        }
    }
    assert_eq!(svg, panel_svg(&p, &PanelOptions::default()));
}

#[test]
fn ids_are_unique_and_every_link_leads_somewhere() {
    let p = hexagons("Rosettes", 4, 3, false);
    for (number, head) in [(0, "f"), (7, "d7-")] {
        for form in [Form::Placed, Form::Flat] {
            let panel = PanelOptions {
                number,
                form,
                title: None,
            };
            let svg = preview_document(&p, &PreviewOptions { panel, note: None }).to_text();
            let doc = parsed(&svg);
            let ids: Vec<&str> = doc
                .descendants()
                .filter_map(|n| n.attribute("id"))
                .collect();
            let once: BTreeSet<&str> = ids.iter().copied().collect();
            assert_eq!(once.len(), ids.len());
            if number > 0 {
                assert!(ids.iter().all(|id| id.starts_with(head)));
            }
            let linked = doc
                .descendants()
                .flat_map(|n| n.attributes().collect::<Vec<_>>());
            for link in linked.filter_map(|a| {
                let value = a.value();
                value
                    .strip_prefix('#')
                    .filter(|_| a.name() == "href")
                    .or_else(|| value.strip_prefix("url(#").map(|v| v.trim_end_matches(')')))
            }) {
                assert!(once.contains(link), "{link}");
            }
        }
    }
}

#[test]
fn flat_drawings_use_no_use_for_tiles_and_no_strokes() {
    let p = hexagons("Rosettes", 4, 3, true);
    let svg = panel_svg(&p, &flat());
    assert!(!svg.contains("<use") && !svg.contains("stroke"));
    let doc = parsed(&svg);
    let groups = doc
        .descendants()
        .filter(|n| n.has_tag_name("g") && n.attribute("clip-path").is_none());
    let shapes: Vec<usize> = groups
        .map(|g| g.children().filter(Node::is_element).count())
        .collect();
    // Two tones of birch and the navy of the veneers.
    assert_eq!(shapes, vec![3; p.tiles.len()]);
}

#[test]
fn names_cannot_break_the_document() {
    for name in NASTY {
        let kind = rosette(name);
        let p = panel(name, &[(Tile::new(kind), Point::ZERO)], None);
        let panel = PanelOptions {
            title: Some(name.to_owned()),
            ..PanelOptions::default()
        };
        let note = Some(name.to_owned());
        let svg = preview_document(&p, &PreviewOptions { panel, note }).to_text();
        let doc = parsed(&svg);
        assert_eq!(
            doc.descendants()
                .filter(|n| n.has_tag_name("script"))
                .count(),
            0
        );
        assert!(!doc.descendants().any(|n| n.is_comment()));
        for c in svg.chars() {
            // XML 1.0 (fifth edition), production 2, and the advice against others after it.
            let bad = (c.is_control() && c != '\n') || u32::from(c) & 0xfffe == 0xfffe;
            assert!(!bad, "{:x} in {name:?}", u32::from(c));
            assert!(!matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{200f}'));
        }
        let title = doc.descendants().find(|n| n.has_tag_name("title")).unwrap();
        assert!(!title.text().unwrap().trim().is_empty());
    }
    let shown = preview(&hexagons(NASTY[0], 2, 2, false));
    assert!(
        words(parsed(&shown).root_element())
            .iter()
            .any(|w| w.starts_with("<script>alert(1)"))
    );
}

#[test]
fn long_names_end_in_an_ellipsis() {
    let p = hexagons(&"endless ".repeat(2000), 2, 2, false);
    let svg = preview(&p);
    assert!(svg.len() < 40_000, "{}", svg.len());
    let doc = parsed(&svg);
    let said = words(doc.root_element());
    assert!(
        said[0].ends_with('\u{2026}') && said[0].chars().count() < 60,
        "{}",
        said[0]
    );
}

#[test]
fn the_tally_counts_each_kind_and_pose() {
    let p = hexagons("Rosette", 4, 4, true);
    let doc_text = preview(&p);
    let doc = parsed(&doc_text);
    let said = words(doc.root_element());
    assert_eq!(
        said.iter().filter(|w| *w == "Rosette").count(),
        p.faces.len() + 1
    );
    for (i, face) in p.faces.iter().enumerate() {
        let of = |whole| {
            let mine = p.tiles.iter().filter(|t| t.face as usize == i);
            mine.filter(|t| t.whole == whole).count()
        };
        let parts = match (of(true), of(false)) {
            (_, 0) => "whole".to_owned(),
            (0, _) => "trimmed".to_owned(),
            (w, t) => format!("{w} whole, {t} trimmed"),
        };
        let pose = match (face.pose.flip, face.pose.turn) {
            (false, 0.0) => "as sliced".to_owned(),
            (true, 0.0) => "flipped".to_owned(),
            (false, t) => format!("turned {t}\u{b0}"),
            (true, t) => format!("flipped, turned {t}\u{b0}"),
        };
        let card = [
            "Rosette".to_owned(),
            pose,
            (of(true) + of(false)).to_string(),
            parts,
        ];
        assert!(said.windows(4).any(|w| w == card), "{card:?} in {said:?}");
    }
    let (w, h) = (p.bounds.width(), p.bounds.height());
    // The trimmed rectangle is filled, so its area is the net area.
    let area = format!("{} cm\u{b2}", (w * h / 10.0).round() / 10.0);
    assert!(said.contains(&area), "{area} in {said:?}");
    assert!(said.iter().any(|s| s == "80.8 %") && said.iter().any(|s| s == "97 of 120 joints"));
}

#[test]
fn many_poses_are_summed_up() {
    let kind: Arc<TileKind> = mitre();
    let tiles: Vec<(Tile, Point)> = (0..150)
        .map(|i| {
            let tile = Tile::new(Arc::clone(&kind)).rotate(f64::from(i));
            (tile, Point::new(f64::from(i) * 30.0, 0.0))
        })
        .collect();
    let p = panel("Fan", &tiles, None);
    let svg = preview(&p);
    let said = words(parsed(&svg).root_element());
    assert!(
        said.iter()
            .any(|w| w == "and 30 more kinds and poses with 30 tiles"),
        "{said:?}"
    );
}

/// Keeps what the SVG reader complains about.
struct Complaints(Mutex<Vec<String>>);

impl log::Log for Complaints {
    fn enabled(&self, _: &log::Metadata<'_>) -> bool {
        true
    }
    fn log(&self, record: &log::Record<'_>) {
        if record.level() <= log::Level::Warn {
            self.0.lock().unwrap().push(record.args().to_string());
        }
    }
    fn flush(&self) {}
}

static COMPLAINTS: Complaints = Complaints(Mutex::new(Vec::new()));

#[test]
fn the_svg_reader_has_nothing_to_complain_about() {
    log::set_logger(&COMPLAINTS).unwrap();
    log::set_max_level(log::LevelFilter::Warn);
    // The logger works: this drawing is faulty.
    let faulty =
        "<svg xmlns='http://www.w3.org/2000/svg' width='10' height='10'><rect width='-1'/></svg>";
    png(faulty, 20, Ground::Paper).unwrap();
    assert!(!COMPLAINTS.0.lock().unwrap().is_empty());
    COMPLAINTS.0.lock().unwrap().clear();

    let mut all = vec![squares("Squares", 3, 3), hexagons("Rosettes", 3, 3, true)];
    all.extend(NASTY.map(|name| hexagons(name, 2, 1, false)));
    for p in &all {
        for panel in [PanelOptions::default(), flat()] {
            png(&panel_svg(p, &panel), 60, Ground::None).unwrap();
            let options = PreviewOptions {
                panel,
                note: Some(p.name.clone()),
            };
            png(&preview_document(p, &options).to_text(), 100, Ground::Paper).unwrap();
        }
    }
    let found = COMPLAINTS.0.lock().unwrap();
    assert!(found.is_empty(), "{found:?}");
}
