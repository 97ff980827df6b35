//! The panel's wood: every tile in its place, with nothing of the paper between them.
//!
//! Three things lie on top of each other. At the bottom the panel's own shape in the mean of its colours.
//! Above it (on panels that are not huge) all tiles with each layer a little wider, so that what shines
//! through a joint has the colours that meet there. On top the tiles in their true size. All of it is cut
//! to the panel's shape; where that would have to be written tile by tile, a hair of wood around each tile
//! takes its place.

use super::{
    document::{Document, Each},
    number::{Spot, push},
    options::Form,
    tiles::{Rings, TileArt, areas, mean},
};
use crate::{
    geom::{Polygon, TOLERANCE, outline::outline},
    layout::{
        panel::{Panel, TileCount},
        trim::Trim,
    },
};

/// Up to this many tiles, joints are underlaid by tiles with wider layers: beyond, a joint is a
/// hair that no picture of the whole panel shows.
const UNDERLAID: usize = 5_000;

/// How wide the layers of the underlay are stroked, in mm; half of it reaches across a joint.
const STROKE: &str = "0.4";
/// The same on huge panels of no simple shape, where half of it sticks out at the rim.
const HAIR: &str = "0.1";

/// How white what falls away is laid over, from 0 to 1.
pub(super) const WASTE_VEIL: f32 = 0.7;

/// The figures and outlines of a panel that are worked out before it is written.
#[derive(Debug)]
pub(crate) struct Wood<'a> {
    panel: &'a Panel,
    /// One for each of the panel's faces.
    pub(crate) art: Vec<TileArt>,
    /// How many tiles show each face.
    pub(crate) counts: Vec<TileCount>,
    /// Area of all tiles after trimming, in mm^2.
    pub(crate) net_area: f64,
    base: String,
    shape: Shape,
}

#[derive(Debug)]
enum Shape {
    /// The tiles fill the panel's finished outline or its bounds.
    Full,
    /// Path data of what the tiles fill: their common outline.
    Rims(String),
    /// On huge panels, the outline of each tile instead: written out in flat drawings alone.
    Tiles,
}

impl<'a> Wood<'a> {
    /// Looks at a panel.
    pub(crate) fn of(panel: &'a Panel) -> Self {
        let art: Vec<TileArt> = panel.faces.iter().map(|f| TileArt::of(&f.face)).collect();
        let counts = panel.counts();
        let net_area = panel.net_area_of(&counts);
        let weighted = panel.faces.iter().zip(&counts).flat_map(|(f, count)| {
            let all = areas(&f.face);
            let all = all.into_iter();
            all.map(|(c, area)| (c, area * count.all() as f64))
        });
        let base = mean(weighted).to_string();
        let bounds = panel.bounds;
        let slack = TOLERANCE * (bounds.width() + bounds.height());
        let finished = (panel.trim.as_ref()).map_or(bounds.area(), Trim::area);
        let shape = if (net_area - finished).abs() <= slack {
            Shape::Full
        } else if panel.tiles.len() <= UNDERLAID {
            Shape::Rims(rims(panel))
        } else {
            Shape::Tiles
        };
        Self {
            panel,
            art,
            counts,
            net_area,
            base,
            shape,
        }
    }

    /// The definitions: the panel's shape and, unless the form is flat, each face.
    pub(crate) fn define(&self, out: &mut Document<'a>, form: Form, ids: &str) {
        if self.is_cut_to_shape(form) {
            out.extend([
                "<path id=\"",
                ids,
                "rim\" fill-rule=\"evenodd\" clip-rule=\"evenodd\" d=\"",
            ]);
            self.add_shape(out);
            out.extend([
                "\"/>\n<clipPath id=\"",
                ids,
                "shape\"><use xlink:href=\"#",
                ids,
                "rim\"/></clipPath>\n",
            ]);
        }
        let out = out.text();
        let holes = self.panel.trim.as_ref().map_or(0, Trim::holes);
        let rule = if holes > 0 {
            "clip-rule=\"evenodd\" "
        } else {
            ""
        };
        out.extend(["<clipPath id=\"", ids, "trim\"><path ", rule, "d=\""]);
        self.push_bounds(out);
        *out += "\"/></clipPath>\n";
        if form != Form::Flat {
            for (i, art) in self.art.iter().enumerate() {
                let number = i.to_string();
                out.extend([
                    "<g id=\"",
                    ids,
                    "f",
                    &number,
                    "\" stroke-linejoin=\"bevel\">\n",
                ]);
                for (colour, rings) in &art.paths {
                    let colour = colour.to_string();
                    out.extend(["<path fill=\"", &colour, "\" stroke=\"", &colour, "\" d=\""]);
                    rings.push_at(out, (0, 0));
                    *out += "\"/>\n";
                }
                *out += "</g>\n";
            }
        }
    }

    /// The panel with its top left corner at a place in mm, by translation.
    pub(crate) fn place(&self, out: &mut Document<'a>, form: Form, ids: &str, at: Spot) {
        if form == Form::Blank {
            return;
        }
        let text = out.text();
        *text += "<g";
        if at != (0, 0) {
            *text += " transform=\"translate(";
            push(text, at.0);
            text.push(' ');
            push(text, at.1);
            *text += ")\"";
        }
        text.extend([" clip-path=\"url(#", ids, "trim)\">\n"]);
        let base = self.base.as_str();
        let cut = self.is_cut_to_shape(form);
        if matches!(self.shape, Shape::Full) {
            text.extend(["<path fill=\"", base, "\" d=\""]);
            self.push_bounds(text);
            *text += "\"/>\n";
        } else if cut {
            text.extend(["<g clip-path=\"url(#", ids, "shape)\">\n"]);
            text.extend(["<use xlink:href=\"#", ids, "rim\" fill=\"", base, "\"/>\n"]);
        }
        match form {
            Form::Flat => out.tiles(&self.panel.tiles, self.flat()),
            Form::Placed | Form::Blank => self.add_placed(out, ids),
        }
        out.extend([if cut { "</g>\n" } else { "" }]);
        self.veil_waste(out.text());
        out.extend(["</g>\n"]);
    }

    fn is_cut_to_shape(&self, form: Form) -> bool {
        match self.shape {
            Shape::Full => false,
            Shape::Rims(_) => form != Form::Blank,
            Shape::Tiles => form == Form::Flat,
        }
    }

    /// Waste between the pieces that a panel is cut into is shown pale.
    fn veil_waste(&self, out: &mut String) {
        if let Some(rings) = Rings::of(&self.panel.waste()) {
            let veil = WASTE_VEIL.to_string();
            out.extend([
                "<path fill=\"#ffffff\" fill-opacity=\"",
                &veil,
                "\" fill-rule=\"evenodd\" d=\"",
            ]);
            rings.push_at(out, (0, 0));
            *out += "\"/>\n";
        }
    }

    fn add_placed(&self, out: &mut Document<'a>, ids: &str) {
        let tiles = &self.panel.tiles;
        let stroke = match self.shape {
            Shape::Tiles => Some(HAIR),
            _ => (tiles.len() <= UNDERLAID).then_some(STROKE),
        };
        if let Some(stroke) = stroke {
            out.extend([
                "<use xlink:href=\"#",
                ids,
                "tiles\" stroke-width=\"",
                stroke,
                "\"/>\n",
            ]);
        }
        out.extend(["<g stroke-width=\"0\"><g id=\"", ids, "tiles\">\n"]);
        let heads = (0..self.art.len()).map(|i| format!("<use xlink:href=\"#{ids}f{i}\" x=\""));
        out.tiles(tiles, Each::Uses(heads.collect()));
        out.extend(["</g></g>\n"]);
    }

    fn flat(&self) -> Each {
        let paths = |art: &TileArt| {
            let path =
                |(c, rings): &(_, Rings)| (format!("<path fill=\"{c}\" d=\""), rings.clone());
            art.paths.iter().map(path).collect()
        };
        Each::Paths(self.art.iter().map(paths).collect())
    }

    /// Path data of what the tiles fill, where that is not all.
    fn add_shape(&self, out: &mut Document<'a>) {
        match &self.shape {
            Shape::Full => (),
            Shape::Rims(data) => *out.text() += data,
            Shape::Tiles => {
                let outlines = self.art.iter().map(|art| art.outline.clone());
                out.tiles(&self.panel.tiles, Each::Outlines(outlines.collect()));
            }
        }
    }

    fn push_bounds(&self, out: &mut String) {
        let trim = self.panel.trim.as_ref();
        let loops = trim.map_or_else(|| vec![self.panel.bounds.polygon()], Trim::loops);
        if let Some(rings) = Rings::of(&loops) {
            rings.push_at(out, (0, 0));
        }
    }
}

/// What the tiles fill: their common outline.
fn rims(panel: &Panel) -> String {
    let placed: Vec<Polygon> = panel.tiles.iter().map(|t| panel.rim(t)).collect();
    let all = outline(&placed, TOLERANCE);
    let rings = all.rims.iter().chain(&all.holes).map(|r| &r.polygon);
    Rings::of(rings).map_or_else(String::new, |r| r.data())
}
