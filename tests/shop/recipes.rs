//! Recipes for the simulated shop: one that asks for every kind of step, and random ones.

use std::fmt::Write as _;
use std::sync::Arc;

use plyloom::recipe::{
    Outcome, evaluate, memory_host::MemoryHost, settings::Settings, source::Source,
};

/// Veneer on one face alone, bevels, strips of unlike faces, a finished outline.
pub(crate) const ALL_STEPS: &str = r#"
let sheet = laminate([veneer(0.6, "navy"), plywood(13, 17.7)]);
let other = laminate([veneer(0.6, "teal"), plywood(13, 17.7)]);
let block = hexagon([sheet.rhombus(60), sheet.rhombus(60), other.rhombus(60)]).slice("block");
panel("All", hexagons(block)).finished(260, 180).fill(random("all", block.looks()));
"#;

/// What a recipe makes.
pub(crate) fn made(text: &str) -> Outcome {
    let source = Arc::new(Source::new("recipe.rhai", text));
    evaluate(
        &source,
        &Settings::default(),
        Arc::new(MemoryHost::default()),
    )
    .unwrap_or_else(|failure| panic!("{failure}\n{text}"))
}

/// Numbers from which a recipe is written.
#[derive(Debug, Clone)]
pub(crate) struct Draw {
    pub(crate) shape: u8,
    /// Which veneers the sheets have.
    pub(crate) layers: u8,
    /// Thickness of the plywood, in tenths of a mm.
    pub(crate) thick: u16,
    pub(crate) plies: u8,
    /// A width, in tenths of a mm.
    pub(crate) wide: u16,
    pub(crate) angles: (u8, u8),
    pub(crate) columns: u8,
    pub(crate) courses: u8,
    /// By which rule the panel is filled.
    pub(crate) fill: u8,
}

/// A sheet of one of a few colours, built as `layers` tells.
fn sheet(draw: &Draw, colour: usize) -> String {
    let names = ["navy", "crimson", "teal"];
    let (a, b) = (names[colour % 3], names[(colour + 1) % 3]);
    let wood = ["birch", "walnut", "cherry"][colour % 3];
    let thick = f64::from(draw.thick) / 10.0;
    let ply = format!("plywood({}, {thick}, \"{wood}\")", draw.plies * 2 + 1);
    match draw.layers % 8 {
        0 => format!("laminate([{ply}])"),
        1 => format!("laminate([veneer(0.6, \"{a}\"), {ply}])"),
        2 => format!("laminate([veneer(0.6, \"{a}\"), {ply}, veneer(0.6, \"{a}\")])"),
        3 => format!("laminate([veneer(0.6, \"{a}\"), {ply}, veneer(0.6, \"{b}\")])"),
        4 => format!("laminate([{ply}, veneer(0.6, \"{a}\"), {ply}])"),
        5 => format!("laminate([veneer(0.6, \"{b}\"), veneer(0.6, \"{a}\"), {ply}])"),
        // Two boards on one another, and unlike ones with a veneer between, which are one board.
        6 => format!("laminate([{ply}, {ply}])"),
        _ => format!(
            "laminate([veneer(0.6, \"{a}\"), {ply}, veneer(0.6, \"{b}\"), plywood(3, 4, \"{wood}\")])"
        ),
    }
}

/// The text of a recipe.
pub(crate) fn recipe(draw: &Draw) -> String {
    let wide = f64::from(draw.wide) / 10.0;
    let (l, r) = (angle(draw.angles.0), angle(draw.angles.1));
    let one = if draw.columns.is_multiple_of(2) { l } else { r };
    let mut text = format!(
        "let a = {};\nlet b = {};\nlet c = {};\n",
        sheet(draw, 0),
        sheet(draw, 1),
        sheet(draw, 2)
    );
    let (bar, lattice) = match draw.shape % 12 {
        0 => ("bar(a.square())".to_owned(), "squares"),
        1 => ("hexagon([a.rhombus(60), b.rhombus(60), c.rhombus(60)])".to_owned(), "hexagons"),
        2 => (format!("bar(a.rhombus({}))", one.min(180 - one)), "rhombi"),
        3 => ("bar(a.triangle(60))".to_owned(), "triangles"),
        4 => (format!("stack([a.rip({wide}), b.rip({wide}), a.rip({wide})])"), "running_bond"),
        5 => ("mitred_pair(a.triangle(45).halve()[1])".to_owned(), "squares"),
        6 => ("hexagon([a.half_hexagon(), b.half_hexagon()])".to_owned(), "hexagons"),
        7 => (format!("bar(a.rip(a.thickness * 3 + {wide}, {l}, {r}))"), ""),
        8 => (format!("bar(a.trapezoid(a.thickness * 3 + {wide}, {l}).halve()[0])"), ""),
        9 => (format!("bar(a.rip(a.thickness * 3 + {wide}).rip_again(a.thickness * 1.5 + {wide} / 2, {l})[1])"), ""),
        10 => (format!("bar(a.trapezoid(a.thickness * 2.2 + {wide}, {}))", l.min(180 - l)), ""),
        _ => ("hexagon([a.triangle(60), b.triangle(60), a.triangle(60), b.triangle(60), a.triangle(60), b.triangle(60)])".to_owned(), "hexagons"),
    };
    let _ = writeln!(text, "let t = {bar}.slice(\"t\");");
    if lattice.is_empty() {
        for i in 0..=draw.columns {
            let _ = writeln!(text, "panel(\"p{i}\").place(t, 0, 0);");
        }
    } else {
        let _ = writeln!(
            text,
            "let looks = t.looks();\npanel(\"p\", {lattice}(t)).size({}, {}).fill({});",
            draw.columns + 1,
            draw.courses + 1,
            match draw.fill {
                0 => "random(\"x\", looks)",
                1 => "t",
                2 => "|c| looks[(c.column + c.course) % looks.len()]",
                _ => "|c| looks[c.column % looks.len()]",
            }
        );
    }
    text
}

/// One of the angles that makers cut.
fn angle(at: u8) -> u16 {
    [45, 60, 90, 75, 120, 135, 90, 60][usize::from(at % 8)]
}
