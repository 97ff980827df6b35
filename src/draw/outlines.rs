//! Outlines of a panel for other tools: a router table, a laser, CAD. As SVG, DXF or PDF, in mm at true size.
//!
//! Layers by name: the finished outline, the path of a cutter's centre round it, whole tiles, and what the
//! finished outline leaves of the others. All are closed and run clockwise as seen. The finished outline
//! keeps its arcs and Beziers as far as the form of the file has them. The origin is the panel's top left,
//! with y down in SVG; bottom left, with y up, in DXF and PDF. The same bytes on any machine.

mod dxf;
mod layers;
mod pdf;
mod svg;

pub use self::{
    dxf::outlines_dxf,
    layers::{Cutter, Layer, Outlines, OutlinesError},
    pdf::outlines_pdf,
    svg::outlines_svg,
};
