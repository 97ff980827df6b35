//! What `plyloom plan` tells of wood: what is bought, what is there, what is of no use.

use super::plan::BLOCKS;
use crate::common::Bench;

/// What stands under a title of the plan.
fn under<'a>(out: &'a str, title: &str) -> Vec<&'a str> {
    let lines = out.lines().skip_while(|line| *line != title).skip(1);
    lines.take_while(|line| !line.trim().is_empty()).collect()
}

/// One of two teal leaves is there, and the board is a scrap of the shop's: only the other leaf is bought.
#[test]
fn to_buy_and_from_stock_are_apart() {
    let shop = "[[scrap]]\nname = \"off-cut\"\nwidth = 200\nlength = 700\nthickness = 17.7\n\
        [[veneer]]\ncolour = \"teal\"\nwidth = 130\nlength = 800\ncount = 1\n\
        [[veneer]]\ncolour = \"teal\"\nwidth = 130\nlength = 900\n";
    let bench = Bench::new().file("a.rhai", BLOCKS).file("shop.toml", shop);
    let ran = bench.run(&["plan", "a.rhai", "--shop", "shop.toml"]);
    ran.ended(0);
    let (buy, have) = (under(&ran.out, "To buy"), under(&ran.out, "From stock"));
    let has = |list: &[&str], part: &str| list.iter().any(|line| line.contains(part));
    assert!(
        has(&buy, "veneer teal: 1 leaf of 130 mm x 900 mm"),
        "{buy:?}"
    );
    assert!(has(&have, "1 x off-cut, 200 mm x 700 mm"), "{have:?}");
    assert!(
        has(&have, "veneer teal: 1 leaf of 130 mm x 800 mm"),
        "{have:?}"
    );
    let buy: Vec<&str> = buy
        .into_iter()
        .filter(|line| !line.contains("cost"))
        .collect();
    assert!(!has(&buy, "off-cut") && !has(&buy, "800 mm"), "{buy:?}");
    assert!(!has(&have, "130 mm x 900 mm"), "{have:?}");
}

/// A dye that no leaf has offers the leaves there are; a leaf of no use says what the panel is drawn with.
#[test]
fn a_dye_no_leaf_has_offers_the_leaves_there_are() {
    let shop = "[[veneer]]\ncolour = \"crimson\"\nwidth = 300\nlength = 2500\n\
        [[veneer]]\ncolour = \"navy\"\nwidth = 300\nlength = 2500\n";
    let bench = Bench::new().file("a.rhai", BLOCKS).file("shop.toml", shop);
    bench
        .run(&["plan", "a.rhai", "--shop", "shop.toml"])
        .out_has("There are leaves of crimson, navy: draw the recipe with one of them")
        .out_has("not used: veneer crimson: no sheet of this panel has this colour; the panel is drawn with teal");
}
