//! `plyloom outline`: files for other tools, read by readers that know nothing of it.

use std::collections::BTreeMap;
use std::process::Command;

use crate::common::Bench;

const TOPS: &str = "let block = bar(plywood(9, 12).rip(24)).slice(\"block\");\n\
    panel(\"clock\", squares(block)).finished_outline(circle(200).hole(circle(20)).hole(rectangle(40, 20), 80, 150)).fill(block);\n";

fn bench() -> Bench {
    Bench::new().file("a.rhai", TOPS)
}

fn read(bench: &Bench, name: &str) -> String {
    std::fs::read_to_string(bench.path(name)).expect("a file")
}

/// The area that a chain of points encloses, with the segments of circles that bulges add.
fn area(points: &[(f64, f64, f64)]) -> f64 {
    let next = points.iter().cycle().skip(1);
    let twice: f64 = points
        .iter()
        .zip(next)
        .map(|(a, b)| {
            let chord = libm::hypot(b.0 - a.0, b.1 - a.1);
            let angle = 4.0 * libm::atan(a.2.abs());
            let radius = if angle > 0.0 {
                chord / 2.0 / libm::sin(angle / 2.0)
            } else {
                0.0
            };
            // A bulge to the right of the way takes away from what lies to the left.
            let segment = radius * radius * (angle - libm::sin(angle)) * a.2.signum();
            a.0 * b.1 - a.1 * b.0 + segment
        })
        .sum();
    twice / 2.0
}

/// Places with bulges.
type Rim = Vec<(f64, f64, f64)>;

/// The closed polylines of a DXF by layer, with a bulge at each point.
fn polylines(dxf: &str) -> BTreeMap<String, Vec<Rim>> {
    let lines: Vec<&str> = dxf.lines().map(str::trim).collect();
    let mut found: BTreeMap<String, Vec<Rim>> = BTreeMap::new();
    let mut what = "";
    let mut layer = String::new();
    for pair in lines.chunks(2) {
        match (pair[0], pair[1]) {
            ("0", entity) => {
                what = entity;
                if what == "VERTEX" {
                    let rims = found.get_mut(&layer).expect("a polyline");
                    rims.last_mut().expect("begun").push((0.0, 0.0, 0.0));
                }
            }
            ("8", name) if what == "POLYLINE" => {
                name.clone_into(&mut layer);
                found.entry(layer.clone()).or_default().push(Vec::new());
            }
            (code @ ("10" | "20" | "42"), value) if what == "VERTEX" => {
                let rims = found.get_mut(&layer).expect("a polyline");
                let last = rims
                    .last_mut()
                    .and_then(|r| r.last_mut())
                    .expect("a vertex");
                let value = value.parse().expect("a number");
                match code {
                    "10" => last.0 = value,
                    "20" => last.1 = value,
                    _ => last.2 = value,
                }
            }
            _ => {}
        }
    }
    found
}

const PI: f64 = std::f64::consts::PI;

#[test]
fn a_dxf_holds_the_outline_with_its_arcs() {
    let bench = bench();
    let ran = bench.run(&["outline", "a.rhai", "--out", "cut.dxf", "--cutter", "8"]);
    ran.ended(0);
    assert!(
        ran.out
            .contains("cut.dxf: 200.0 x 200.0 mm; closed paths: 3 finished, 3 cutter-path"),
        "{}",
        ran.out
    );
    let layers = polylines(&read(&bench, "cut.dxf"));
    let names: Vec<&String> = layers.keys().collect();
    assert_eq!(
        names,
        ["CUTTER_PATH", "FINISHED", "TRIMMED_TILES", "WHOLE_TILES"]
    );
    let sum = |layer: &str| layers[layer].iter().map(|p| area(p)).collect::<Vec<f64>>();
    // Clockwise as seen, with y up: below 0. A circle of four arcs, to a tenth of a micrometre.
    let finished = sum("FINISHED");
    assert!((finished[0] + PI * 1e4).abs() < 0.05, "{finished:?}");
    assert_eq!(layers["FINISHED"][0].len(), 4);
    assert!(finished.iter().any(|a| (a + PI * 100.0).abs() < 0.01));
    assert!(finished.iter().any(|a| (a + 800.0).abs() < 0.01));
    // The cutter's centre runs its radius outside the rim, and inside the holes.
    let path = sum("CUTTER_PATH");
    assert!((path[0] + PI * 104.0 * 104.0).abs() < 8.0, "{path:?}");
    assert!(path.iter().any(|a| (a + PI * 36.0).abs() < 0.5), "{path:?}");
    assert!(
        path.iter().any(|a| (a + 32.0 * 12.0).abs() < 0.5),
        "{path:?}"
    );
    // Tiles and what is left of them are the panel.
    let tiles: f64 = sum("WHOLE_TILES").iter().map(|a| a.abs()).sum();
    let net = PI * 1e4 - PI * 100.0 - 800.0;
    let left: f64 = sum("TRIMMED_TILES").iter().map(|a| a.abs()).sum();
    assert!(
        left + tiles > net - 3.0 && tiles < net,
        "{left} {tiles} {net}"
    );
}

#[test]
fn an_svg_is_read_by_another_reader_at_true_size() {
    let bench = bench();
    bench
        .run(&["outline", "a.rhai", "--out", "cut.svg"])
        .ended(0);
    let text = read(&bench, "cut.svg");
    let tree = resvg::usvg::Tree::from_str(&text, &resvg::usvg::Options::default()).expect("SVG");
    // 96 units an inch.
    assert!((f64::from(tree.size().width()) - 200.0 * 96.0 / 25.4).abs() < 0.01);
    // The tree begins with a group that fits the viewBox.
    let resvg::usvg::Node::Group(fitted) = &tree.root().children()[0] else {
        panic!("a group");
    };
    let groups = fitted.children().iter().map(resvg::usvg::Node::id);
    let groups: Vec<&str> = groups.collect();
    assert_eq!(groups, ["finished", "whole-tiles", "trimmed-tiles"]);
    let finished = &fitted.children()[0];
    let bounds = finished.abs_bounding_box();
    assert!(
        (f64::from(bounds.width()) * 25.4 / 96.0 - 200.0).abs() < 0.02,
        "{bounds:?}"
    );
    assert!(text.contains("A100 100 0 0 1 "), "arcs stay arcs");
}

#[test]
fn a_pdf_has_its_layers_and_size() {
    let bench = bench();
    bench
        .run(&["outline", "a.rhai", "--out", "cut.pdf"])
        .ended(0);
    let pdf = lopdf::Document::load(bench.path("cut.pdf")).expect("a PDF");
    let page = pdf.page_iter().next().expect("a page");
    let content = pdf.get_and_decode_page_content(page).expect("content");
    let opened = content
        .operations
        .iter()
        .filter(|o| o.operator == "BDC")
        .count();
    assert_eq!(opened, 3);
    // Twelve Beziers a circle.
    let curves = content
        .operations
        .iter()
        .filter(|o| o.operator == "c")
        .count();
    assert!(curves >= 24, "{curves}");
    let boxed = pdf
        .get_object(page)
        .and_then(|o| o.as_dict())
        .and_then(|d| d.get(b"MediaBox"))
        .expect("a box");
    let wide = boxed.as_array().expect("four")[2]
        .as_float()
        .expect("a number");
    assert!((wide - 200.0 * 72.0 / 25.4).abs() < 0.01);
}

#[test]
fn what_does_not_go_is_said() {
    let bench = bench();
    bench.run(&["outline", "a.rhai"]).ended(2);
    for bad in ["cut.png", "a.rhai", "cut"] {
        bench.run(&["outline", "a.rhai", "--out", bad]).ended(2);
    }
    for cutter in ["0", "-4", "thick", "200"] {
        bench
            .run(&["outline", "a.rhai", "--out", "c.svg", "--cutter", cutter])
            .ended(2);
    }
    bench
        .run(&["outline", "a.rhai", "--out", "c.svg", "--inside"])
        .ended(2);
    let bench = Bench::new().file(
        "b.rhai",
        TOPS.replace("circle(200)", "circle(60)")
            .replace(".hole(rectangle(40, 20), 80, 150)", ""),
    );
    let ran = bench.run(&[
        "outline", "b.rhai", "--out", "c.svg", "--cutter", "60", "--inside",
    ]);
    ran.ended(1);
    assert!(
        ran.err
            .contains("a cutter of 60 mm finds no way inside the outline"),
        "{}",
        ran.err
    );
}

/// A drawing belongs to the recipe: it is packed with it, and comes out again.
#[test]
fn a_drawing_beside_the_recipe_gives_the_outline() {
    let recipe = "let block = bar(plywood(9, 12).rip(24)).slice(\"block\");\n\
        panel(\"body\", squares(block)).finished_outline(outline(\"body.svg\", \"rim\")).fill(block);\n";
    let drawing = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"200mm\" height=\"100mm\" viewBox=\"0 0 400 200\">\
        <g id=\"rim\"><ellipse cx=\"200\" cy=\"100\" rx=\"200\" ry=\"100\"/><circle cx=\"120\" cy=\"100\" r=\"20\"/></g></svg>\n";
    let bench = Bench::new()
        .file("a.rhai", recipe)
        .file("body.svg", drawing);
    let ran = bench.run(&["preview", "a.rhai"]);
    ran.ended(0);
    assert!(ran.out.contains("200.0 x 100.0 mm"), "{}", ran.out);
    // pi (100 x 50 - 10 x 10) mm2.
    assert!(ran.out.contains("net area  0.0154 m2"), "{}", ran.out);
    bench
        .run(&["pack", "a.rhai", "--out", "a.packed.rhai"])
        .ended(0);
    bench
        .run(&["unpack", "a.packed.rhai", "--out", "there"])
        .ended(0);
    assert_eq!(read(&bench, "there/body.svg"), drawing);
    bench.run(&["preview", "there/a.rhai"]).ended(0);
    // A packed recipe has its drawing with it.
    bench
        .run(&["preview", "a.packed.rhai", "--out", "b.svg"])
        .ended(0);
}

/// Needs `python3` with `ezdxf` of `PyPI`, named by `PLYLOOM_PYTHON` where it is another one.
#[test]
#[ignore = "needs python with ezdxf"]
fn a_dxf_is_read_by_another_reader() {
    let bench = bench();
    bench
        .run(&["outline", "a.rhai", "--out", "cut.dxf", "--cutter", "8"])
        .ended(0);
    let script = "import sys, ezdxf\n\
        from ezdxf import path, bbox\n\
        doc = ezdxf.readfile(sys.argv[1])\n\
        assert not doc.audit().errors, doc.audit().errors\n\
        assert doc.units == ezdxf.units.MM\n\
        rims = list(doc.modelspace().query('POLYLINE'))\n\
        assert rims and all(r.is_closed for r in rims)\n\
        box = bbox.extents(r for r in rims if r.dxf.layer == 'FINISHED')\n\
        print(f'{box.size.x:.3f} {box.size.y:.3f}', sorted({r.dxf.layer for r in rims}))\n";
    let python = std::env::var("PLYLOOM_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let ran = Command::new(python)
        .args(["-c", script])
        .arg(bench.path("cut.dxf"))
        .output()
        .expect("python");
    let out = String::from_utf8_lossy(&ran.stdout);
    let err = String::from_utf8_lossy(&ran.stderr);
    assert_eq!(
        out.trim(),
        "200.000 200.000 ['CUTTER_PATH', 'FINISHED', 'TRIMMED_TILES', 'WHOLE_TILES']",
        "{err}"
    );
}

const SET: &str = "let block = bar(plywood(9, 12).rip(24)).slice(\"block\");\n\
    panel(\"set\", squares(block)).pieces([piece(\"Big lid\", circle(100)), piece(\"foot\", rectangle(60, 80))], 4).fill(block);\n";

/// Each piece has its layer in every form, its picture, and stands alone where it is asked for.
#[test]
fn pieces_of_a_panel_have_layers_and_pictures_of_their_own() {
    let bench = Bench::new().file("a.rhai", SET);
    let ran = bench.run(&["outline", "a.rhai", "--out", "cut.dxf", "--cutter", "4"]);
    ran.ended(0);
    assert!(
        ran.out.contains("cut.dxf: 164.0 x 100.0 mm; closed paths: 1 finished, 1 piece-big-lid, 1 piece-foot, 2 cutter-path"),
        "{}",
        ran.out
    );
    let layers = polylines(&read(&bench, "cut.dxf"));
    assert!((area(&layers["PIECE_BIG_LID"][0]) + PI * 2500.0).abs() < 0.05);
    assert!((area(&layers["PIECE_FOOT"][0]) + 4800.0).abs() < 0.05);
    // The cutter runs its radius outside each.
    assert!((area(&layers["CUTTER_PATH"][0]) + PI * 52.0 * 52.0).abs() < 4.0);
    for out in ["cut.svg", "cut.pdf"] {
        bench.run(&["outline", "a.rhai", "--out", out]).ended(0);
    }
    assert!(read(&bench, "cut.svg").contains("<g id=\"piece-foot\""));
    // A cutter that is wider than the room between them would cut into the next.
    let ran = bench.run(&["outline", "a.rhai", "--out", "c.svg", "--cutter", "6"]);
    ran.ended(1);
    assert!(
        ran.err.contains("wider than the 4 mm between the pieces"),
        "{}",
        ran.err
    );
    let ran = bench.run(&["outline", "a.rhai", "--out", "foot.svg", "--panel", "foot"]);
    ran.ended(0);
    assert!(
        ran.out.contains("60.0 x 80.0 mm; closed paths: 1 finished"),
        "{}",
        ran.out
    );
    let ran = bench.run(&["preview", "a.rhai"]);
    ran.ended(0);
    for file in ["a-set.svg", "a-big-lid.svg", "a-foot.svg"] {
        assert!(
            ran.out.contains(file) && !read(&bench, file).is_empty(),
            "{}",
            ran.out
        );
    }
    assert!(read(&bench, "a-set.svg").contains("fill-opacity"));
    bench
        .run(&["template", "a.rhai", "--panel", "foot", "--out", "t.pdf"])
        .ended(0);
    bench
        .run(&["plan", "a.rhai"])
        .ended(0)
        .out_has("Cut set into its pieces: ");
}

/// What `shift` offers is what the recipe then does.
#[test]
fn shifts_are_offered_as_the_recipe_would_say_them() {
    let recipe = |more: &str| {
        format!(
            "let block = bar(plywood(13, 20).square()).slice(\"block\");\n\
             panel(\"tray\", squares(block)).finished_outline(ellipse(110, 90)){more}.fill(block);\n"
        )
    };
    let bench = Bench::new().file("a.rhai", recipe(".shift(3, 4)"));
    let ran = bench.run(&["shift", "a.rhai"]);
    ran.ended(0)
        .out_has("as it is")
        .out_has("mirrored both ways");
    let lines: Vec<&str> = ran.out.lines().collect();
    let at = lines
        .iter()
        .position(|line| line.contains("fewest slivers"))
        .expect("a line");
    let slivers = |line: &str| {
        let words: Vec<&str> = line.split_whitespace().collect();
        let at = words
            .iter()
            .position(|word| word.starts_with("sliver") && word.len() < 9);
        at.and_then(|at| words[at - 1].parse::<u32>().ok())
            .expect("a number")
    };
    let (now, few) = (
        slivers(lines[1]),
        slivers(&lines[at].replace("fewest slivers", "")),
    );
    assert!(few < now, "{}", ran.out);
    let bench = Bench::new().file("b.rhai", recipe(lines[at + 1].trim()));
    let ran = bench.run(&["shift", "b.rhai"]);
    ran.ended(0);
    assert_eq!(
        slivers(ran.out.lines().nth(1).expect("as it is")),
        few,
        "{}",
        ran.out
    );
    // Counted columns and courses stay.
    let bench = Bench::new().file(
        "c.rhai",
        recipe("").replace(".finished_outline(ellipse(110, 90))", ".size(4, 4)"),
    );
    bench
        .run(&["shift", "c.rhai"])
        .ended(0)
        .out_has("only a pattern that");
    for step in ["0", "200", "half"] {
        bench.run(&["shift", "c.rhai", "--turns", step]).ended(2);
    }
}
