//! From sheets to panels: wood, lattices, rules, measures, drawings.

mod arrangements;
mod colourings;
#[path = "../common/mod.rs"]
mod common;
mod condition_words;
mod draw_document;
mod draw_pixels;
#[path = "../draw_support/mod.rs"]
mod draw_support;
mod geometry_independent;
#[path = "../in_memory/mod.rs"]
mod in_memory;
mod laid;
mod lattices;
mod layout_messages;
mod layout_rules;
mod layout_words;
mod measures;
mod pieces;
mod regions;
mod sight_panels;
mod stock_bars;
mod tile_joints;
mod trims;
mod wood_words;
