//! The template on paper, read back by a PDF library that had no part in writing it.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test may stop at once, also in what it calls"
)]

use std::{num::NonZeroUsize, sync::Arc};

use crate::common::wood::{hexagon_tile, rectangle};
use lopdf::{Document, Object, content::Content};
use plyloom::{
    draw::template::{
        MOST_PAGES, Paper, Template, TemplateError, TemplateOptions, page_count, template_pdf,
    },
    geom::{Point, Polygon, Rect},
    layout::{Cells, Extent, Filling, Lattice, Panel, Rule, resolve},
    stock::Tile,
};

/// Points a mm.
const POINTS: f64 = 72.0 / 25.4;

fn panel(tile: &Tile, lattice: Lattice, extent: &Extent) -> Panel {
    let cells = Cells::new(Arc::new(lattice), extent, 100_000).unwrap();
    let mut filling = Filling::new(Arc::new(cells));
    filling.fill(&Rule::One(tile.clone()), None, 1).unwrap();
    resolve("Sky <1> & \u{2713}", &filling, NonZeroUsize::MIN).unwrap()
}

fn hexagons(columns: i64, courses: i64) -> Panel {
    let tile = hexagon_tile(18.0);
    let mut extent = Extent::default();
    extent.count(columns, courses).unwrap();
    panel(&tile, Lattice::hexagons(&tile).unwrap(), &extent)
}

fn trimmed_squares(width: f64, height: f64) -> Panel {
    let tile = rectangle(30.0, 30.0);
    let mut extent = Extent::default();
    extent.finish(width, height).unwrap();
    panel(&tile, Lattice::squares(&tile).unwrap(), &extent)
}

/// A line or outline as it stands on the paper, in mm from its upper left corner.
#[derive(Debug, Clone)]
struct Drawn {
    corners: Vec<Point>,
    closed: bool,
    dashed: bool,
}

/// One page as read back.
struct Page {
    width: f64,
    height: f64,
    drawn: Vec<Drawn>,
}

type Matrix = [f64; 6];

fn times(a: Matrix, b: Matrix) -> Matrix {
    [
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4],
        a[4] * b[1] + a[5] * b[3] + b[5],
    ]
}

fn numbers(list: &[Object]) -> Vec<f64> {
    let number = |o: &Object| match o {
        Object::Integer(_) | Object::Real(_) => f64::from(o.as_float().unwrap()),
        _ => f64::NAN,
    };
    list.iter().map(number).collect()
}

/// The stroked lines of a page: only operators that a template uses, others are passed over.
fn read(pdf: &[u8]) -> Vec<Page> {
    let document = Document::load_mem(pdf).unwrap();
    let pages = document.get_pages();
    pages
        .values()
        .map(|&id| {
            let dictionary = document.get_object(id).and_then(Object::as_dict).unwrap();
            let sheet = numbers(dictionary.get(b"MediaBox").unwrap().as_array().unwrap());
            let (width, height) = (sheet[2] - sheet[0], sheet[3] - sheet[1]);
            let content = Content::decode(&document.get_page_content(id)).unwrap();
            Page {
                width: width / POINTS,
                height: height / POINTS,
                drawn: strokes(&content, height),
            }
        })
        .collect()
}

fn strokes(content: &Content, height: f64) -> Vec<Drawn> {
    let mut all = Vec::new();
    let mut state: (Matrix, bool) = ([1.0, 0.0, 0.0, 1.0, 0.0, 0.0], false);
    let mut kept = Vec::new();
    let mut path: Vec<Drawn> = Vec::new();
    for operation in &content.operations {
        let n = numbers(&operation.operands);
        let on_paper = |x: f64, y: f64| {
            let m = state.0;
            let (x, y) = (m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5]);
            Point::new(x / POINTS, (height - y) / POINTS)
        };
        match operation.operator.as_str() {
            "q" => kept.push(state),
            "Q" => state = kept.pop().unwrap(),
            "cm" => state.0 = times([n[0], n[1], n[2], n[3], n[4], n[5]], state.0),
            "d" => state.1 = !operation.operands[0].as_array().unwrap().is_empty(),
            "m" => path.push(Drawn {
                corners: vec![on_paper(n[0], n[1])],
                closed: false,
                dashed: state.1,
            }),
            "l" => path.last_mut().unwrap().corners.push(on_paper(n[0], n[1])),
            "c" => path.last_mut().unwrap().corners.push(on_paper(n[4], n[5])),
            "re" => path.push(Drawn {
                corners: vec![
                    on_paper(n[0], n[1]),
                    on_paper(n[0] + n[2], n[1]),
                    on_paper(n[0] + n[2], n[1] + n[3]),
                    on_paper(n[0], n[1] + n[3]),
                ],
                closed: true,
                dashed: state.1,
            }),
            "h" => path.last_mut().unwrap().closed = true,
            "S" => {
                for mut line in path.drain(..) {
                    line.dashed = state.1;
                    all.push(line);
                }
            }
            "s" => {
                for mut line in path.drain(..) {
                    line.closed = true;
                    line.dashed = state.1;
                    all.push(line);
                }
            }
            "n" | "f" | "f*" | "F" | "B" | "b" => path.clear(),
            _ => {}
        }
    }
    all
}

impl Page {
    /// Level lines of a length, within 0.05 mm.
    fn level(&self, length: f64) -> usize {
        let fits = |d: &&Drawn| match d.corners[..] {
            [a, b] if !d.closed => {
                (a.y - b.y).abs() < 1e-3 && ((a.x - b.x).abs() - length).abs() < 0.05
            }
            _ => false,
        };
        self.drawn.iter().filter(fits).count()
    }

    /// The dashed frame in which the panel stands: the last dashed rectangle.
    fn window(&self) -> Rect {
        let mut frames = self
            .drawn
            .iter()
            .filter(|d| d.dashed && d.corners.len() == 4);
        let frame = frames.next_back().expect("a frame");
        Rect::around(frame.corners.clone()).unwrap()
    }

    fn outlines(&self) -> impl Iterator<Item = &Drawn> {
        self.drawn.iter().filter(|d| d.closed && !d.dashed)
    }
}

fn same(a: &[Point], b: &[Point]) -> bool {
    a.len() == b.len()
        && (0..b.len())
            .any(|shift| (0..a.len()).all(|i| a[i].distance(b[(i + shift) % b.len()]) < 0.01))
}

fn rims(panel: &Panel) -> Vec<Polygon> {
    panel.tiles.iter().map(|t| panel.rim(t)).collect()
}

/// Every tile is drawn, where it belongs and at true size, on every page that shows any of it; and
/// each of its corners and the middles of its edges lie within some page.
fn covers(panel: &Panel, template: &Template) {
    let pages = read(&template.pdf);
    let sheets = &pages[usize::from(template.cover)..];
    assert_eq!(sheets.len(), template.pages.len());
    let rims = rims(panel);
    let mut shown = 0;
    for (page, shows) in sheets.iter().zip(&template.pages) {
        let window = page.window();
        assert!((window.width() - shows.width()).abs() < 0.01, "true scale");
        let back = shows.min - window.min;
        let outlines: Vec<Vec<Point>> = page
            .outlines()
            .map(|d| d.corners.iter().map(|&c| c + back).collect())
            .collect();
        for rim in &rims {
            let inner = rim.centroid();
            if shows.holds(Rect::around([inner, inner]).unwrap(), 0.0) {
                shown += 1;
                assert!(outlines.iter().any(|o| same(o, rim.corners())), "{inner:?}");
            }
        }
    }
    assert!(shown >= rims.len());
    for rim in &rims {
        let corners = rim.corners();
        for (i, &corner) in corners.iter().enumerate() {
            let next = corners[(i + 1) % corners.len()];
            for spot in [corner, (corner + next) * 0.5] {
                let spot = Rect::around([spot, spot]).unwrap();
                assert!(template.pages.iter().any(|p| p.holds(spot, 1e-6)));
            }
        }
    }
}

#[test]
fn paper_has_its_published_size() {
    let panel = hexagons(4, 3);
    // ISO 216: A4 210 x 297 mm, A3 297 x 420 mm. ANSI/ASME Y14.1: size A is 8.5 x 11 in.
    for (paper, width, height) in [
        (Paper::A4, 210.0, 297.0),
        (Paper::A3, 297.0, 420.0),
        (Paper::Letter, 215.9, 279.4),
    ] {
        for landscape in [false, true] {
            let options = TemplateOptions {
                paper,
                landscape,
                ..TemplateOptions::default()
            };
            let pages = read(&template_pdf(&panel, &options).unwrap().pdf);
            let (width, height) = if landscape {
                (height, width)
            } else {
                (width, height)
            };
            for page in pages {
                assert!((page.width - width).abs() < 0.01, "{}", page.width);
                assert!((page.height - height).abs() < 0.01, "{}", page.height);
            }
        }
    }
}

#[test]
fn every_page_has_lines_of_100_mm_and_4_inches() {
    for (panel, pages) in [(hexagons(3, 3), 1), (hexagons(12, 9), 7)] {
        for paper in [Paper::A4, Paper::Letter] {
            let options = TemplateOptions {
                paper,
                ..TemplateOptions::default()
            };
            let read = read(&template_pdf(&panel, &options).unwrap().pdf);
            assert_eq!(read.len(), pages);
            for page in read {
                assert_eq!(page.level(100.0), 1);
                assert_eq!(page.level(101.6), 1);
            }
        }
    }
}

#[test]
fn every_tile_is_covered_at_true_size() {
    let options = TemplateOptions::default();
    let letter = TemplateOptions {
        paper: Paper::Letter,
        landscape: true,
        margin: 6.35,
        overlap: 15.0,
    };
    for panel in [
        hexagons(3, 3),
        hexagons(12, 9),
        trimmed_squares(610.0, 305.0),
    ] {
        for options in [&options, &letter] {
            covers(&panel, &template_pdf(&panel, options).unwrap());
        }
    }
}

#[test]
fn neighbours_overlap_as_asked_and_share_their_crosses() {
    let panel = hexagons(12, 9);
    for overlap in [5.0, 10.0, 25.0] {
        let options = TemplateOptions {
            overlap,
            ..TemplateOptions::default()
        };
        let template = template_pdf(&panel, &options).unwrap();
        let sheets = &template.pages;
        let mut seams = 0;
        for (i, a) in sheets.iter().enumerate() {
            for b in &sheets[i + 1..] {
                let (wide, high) = (a.max.x - b.min.x, a.max.y - b.min.y);
                if (a.min.y - b.min.y).abs() < 1e-9 && b.min.x < a.max.x && a.min.x < b.min.x {
                    assert!((wide - overlap).abs() < 1e-9);
                    seams += 1;
                } else if (a.min.x - b.min.x).abs() < 1e-9 && b.min.y < a.max.y {
                    assert!((high - overlap).abs() < 1e-9);
                    seams += 1;
                }
            }
        }
        // Crosses on the paper, taken back to the panel: two on each seam, each on two pages.
        let pages = read(&template.pdf);
        let mut crosses: Vec<Point> = Vec::new();
        for (page, shows) in pages[1..].iter().zip(sheets) {
            let back = shows.min - page.window().min;
            for d in page.drawn.iter().filter(|d| !d.closed) {
                if let [a, b] = d.corners[..]
                    && (a.y - b.y).abs() < 1e-3
                    && ((a.x - b.x).abs() - 6.0).abs() < 1e-3
                {
                    crosses.push((a + b) * 0.5 + back);
                }
            }
        }
        assert_eq!(crosses.len(), seams * 4);
        for cross in &crosses {
            let near = crosses.iter().filter(|c| c.distance(*cross) < 0.01);
            assert_eq!(near.count(), 2);
            let spot = Rect::around([*cross, *cross]).unwrap();
            let shared = sheets.iter().filter(|s| s.holds(spot, 0.0)).count();
            assert_eq!(shared, 2);
        }
    }
}

#[test]
fn the_bytes_are_always_the_same_and_hold_no_date() {
    let panel = hexagons(12, 9);
    let options = TemplateOptions::default();
    let one = template_pdf(&panel, &options).unwrap();
    assert_eq!(one, template_pdf(&panel, &options).unwrap());
    for word in [&b"CreationDate"[..], b"ModDate", b"xmp:CreateDate"] {
        assert!(!one.pdf.windows(word.len()).any(|w| w == word));
    }
}

#[test]
fn what_does_not_fit_is_told() {
    let panel = hexagons(3, 3);
    let with = |margin: f64, overlap: f64| TemplateOptions {
        margin,
        overlap,
        ..TemplateOptions::default()
    };
    for margin in [4.9, 30.1, f64::NAN, -1.0] {
        let error = template_pdf(&panel, &with(margin, 10.0)).unwrap_err();
        assert!(matches!(error, TemplateError::Margin { .. }), "{error}");
    }
    for overlap in [0.0, 41.0, f64::INFINITY] {
        let error = template_pdf(&panel, &with(10.0, overlap)).unwrap_err();
        assert!(matches!(error, TemplateError::Overlap { .. }), "{error}");
    }
    let huge = trimmed_squares(9000.0, 4000.0);
    let error = template_pdf(&huge, &TemplateOptions::default()).unwrap_err();
    let TemplateError::TooManyPages { pages } = error else {
        panic!("{error}");
    };
    // Windows of 190 by 250 mm, 10 over: (9000 - 10) / 180 and (4000 - 10) / 240, rounded up; the
    // rim tiles stand out to 9000 and 4020.
    assert_eq!(pages, 50 * 17);
    assert!(pages > MOST_PAGES);
    assert_eq!(page_count(&panel, &TemplateOptions::default()), Ok(1));
}
