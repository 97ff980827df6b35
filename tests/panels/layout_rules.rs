//! Whole panels by rules: exact, the same for the same seed, and plain about contradictions.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use crate::common::tiles;
use std::{num::NonZeroUsize, sync::Arc};

use crate::common::tiles::{diagonal, plain_squares, sheet, striped};
use plyloom::{
    layout::{
        Cells, Extent, Filling, Lattice,
        constraints::{CellRule, Limits, NamedRule, PairRule, Problem, SolveResult, solve},
        resolve,
        solver::{LayoutRule, Likeness, PanelSymmetry, RulesError, fill_by_rules},
    },
    stock::{Bar, Colour, Tile, TileKind, shapes},
};

fn at_most(conflicts: u64) -> Limits<'static> {
    Limits {
        conflicts,
        stop: &|| false,
    }
}

fn enough() -> Limits<'static> {
    at_most(200_000)
}

fn cells(lattice: Lattice, columns: i64, courses: i64) -> Arc<Cells> {
    let mut extent = Extent::default();
    extent.count(columns, courses).unwrap();
    Arc::new(Cells::new(Arc::new(lattice), &extent, 100_000).unwrap())
}

/// One plain tile a colour, all of the shape that `strip` makes of a sheet.
fn plain(
    count: usize,
    strip: impl Fn(&Arc<plyloom::stock::Sheet>) -> plyloom::stock::Strip,
) -> Vec<Tile> {
    (0..count)
        .map(|paint| {
            let bar = Bar::plain(strip(&sheet(&[(10.0, paint)]))).unwrap();
            Tile::new(Arc::new(TileKind::new(
                format!("paint {paint}"),
                Arc::new(bar),
            )))
        })
        .collect()
}

fn like(likeness: Likeness) -> Vec<LayoutRule> {
    vec![LayoutRule::NoLikeNeighbours(likeness)]
}

fn no_two_alike_touch(filling: &Filling) {
    let cells = filling.cells();
    let lattice = cells.lattice();
    for (number, &cell) in cells.list().iter().enumerate() {
        for n in &lattice.classes()[lattice.class_of(cell)].neighbours {
            if let Some(other) = cells.beside(cell, n.columns, n.courses) {
                let kinds =
                    [number, other].map(|i| filling.tile(i).unwrap().kind.name().to_owned());
                assert_ne!(kinds[0], kinds[1]);
            }
        }
    }
}

/// How many colours the tiles of a lattice need so that neighbours differ. Facts of geometry (any
/// text on map colouring): squares and triangles 2; hexagons and tumbling blocks 3, as three of
/// them meet in a point, each beside each; running bond 3 likewise.
#[test]
fn how_many_colours_lattices_need() {
    let square = |n| plain(n, |s| shapes::square(s).unwrap());
    let rhombus = |n| plain(n, |s| shapes::rhombus(s, 60.0).unwrap());
    let triangle = |n| plain(n, |s| shapes::triangle(s, 60.0).unwrap());
    let cases: Vec<(&str, usize, Vec<Tile>, Lattice)> = vec![
        (
            "squares",
            2,
            square(3),
            Lattice::squares(&square(1)[0]).unwrap(),
        ),
        (
            "bond",
            3,
            square(3),
            Lattice::running_bond(&square(1)[0], 0.5).unwrap(),
        ),
        (
            "triangles",
            2,
            triangle(3),
            Lattice::triangles(&triangle(1)[0]).unwrap(),
        ),
        (
            "rhombi",
            2,
            rhombus(3),
            Lattice::rhombi(&rhombus(1)[0]).unwrap(),
        ),
        (
            "blocks",
            3,
            rhombus(3),
            Lattice::tumbling(&rhombus(1)[0]).unwrap(),
        ),
    ];
    for (name, needed, tiles, lattice) in cases {
        let cells = cells(lattice, 12, 8);
        let rules = like(Likeness::Kind);
        let filling = fill_by_rules(&cells, &tiles[..needed], &rules, 1, "", enough()).unwrap();
        no_two_alike_touch(&filling);
        let fewer = fill_by_rules(&cells, &tiles[..needed - 1], &rules, 1, "", enough());
        let expected = RulesError::Contradiction {
            rules: vec!["no two tiles of one kind lie side by side".to_owned()],
        };
        assert_eq!(fewer.unwrap_err(), expected, "{name}");
    }
}

#[test]
fn lines_run_on_and_the_panel_counts_them() {
    let tile = Tile::new(diagonal());
    let turned: Vec<Tile> = (0..4).map(|k| tile.rotate(90.0 * f64::from(k))).collect();
    let cells = cells(Lattice::squares(&tile).unwrap(), 7, 6);
    let rules = [LayoutRule::LinesRunOn];
    let filling = fill_by_rules(&cells, &turned, &rules, 5, "", enough()).unwrap();
    let panel = resolve("matched", &filling, NonZeroUsize::MIN).unwrap();
    assert_eq!(panel.joints.all, 7 * 5 + 6 * 6);
    assert_eq!(panel.joints.matched, panel.joints.all);
    // Two ways of turning only: light on the right of each tile meets dark on the left of the next.
    let few = fill_by_rules(&cells, &turned[..1], &rules, 5, "", enough()).unwrap_err();
    assert_eq!(
        few.to_string(),
        "no panel of this size keeps all these rules: lines run on through every joint"
    );
}

#[test]
fn counts_runs_and_symmetry_together() {
    let kinds = plain_squares(3);
    let tiles: Vec<Tile> = kinds.iter().map(|k| Tile::new(Arc::clone(k))).collect();
    let cells = cells(Lattice::squares(&tiles[0]).unwrap(), 9, 9);
    let of = |k: usize, n| LayoutRule::OfKind {
        kind: Arc::clone(&kinds[k]),
        least: n,
        most: n,
    };
    for symmetry in [
        PanelSymmetry::LeftRight,
        PanelSymmetry::TopBottom,
        PanelSymmetry::HalfTurn,
        PanelSymmetry::QuarterTurn,
    ] {
        let rules = [
            of(0, 40),
            of(1, 21),
            of(2, 20),
            LayoutRule::InARow {
                most: 2,
                like: Likeness::Look,
            },
            LayoutRule::Symmetric(symmetry),
        ];
        let filling = fill_by_rules(&cells, &tiles, &rules, 3, "", enough()).unwrap();
        let name = |c: i32, r: i32| {
            let number = usize::try_from(r * 9 + c).unwrap();
            filling.tile(number).unwrap().kind.name().to_owned()
        };
        for r in 0..9 {
            for c in 0..9 {
                let (tc, tr) = match symmetry {
                    PanelSymmetry::LeftRight => (8 - c, r),
                    PanelSymmetry::TopBottom => (c, 8 - r),
                    PanelSymmetry::HalfTurn => (8 - c, 8 - r),
                    PanelSymmetry::QuarterTurn => (8 - r, c),
                };
                assert_eq!(name(c, r), name(tc, tr));
                for (dc, dr) in [(1, 0), (0, 1)] {
                    if c + 2 * dc < 9 && r + 2 * dr < 9 {
                        let row = [0, 1, 2].map(|i| name(c + i * dc, r + i * dr));
                        assert!(row[0] != row[1] || row[1] != row[2]);
                    }
                }
            }
        }
        let count = |k: usize| {
            let tiles = (0..81).filter(|&i| filling.tile(i).unwrap().kind == kinds[k]);
            tiles.count()
        };
        assert_eq!([count(0), count(1), count(2)], [40, 21, 20]);
    }
}

#[test]
fn the_rules_that_contradict_each_other_are_named() {
    let kinds = plain_squares(2);
    let tiles: Vec<Tile> = kinds.iter().map(|k| Tile::new(Arc::clone(k))).collect();
    let cells = cells(Lattice::squares(&tiles[0]).unwrap(), 4, 4);
    // A chessboard of 16 fields has 8 of each; the symmetry and the runs have no part in it.
    let rules = [
        LayoutRule::Symmetric(PanelSymmetry::HalfTurn),
        LayoutRule::OfKind {
            kind: Arc::clone(&kinds[1]),
            least: 9,
            most: 12,
        },
        LayoutRule::InARow {
            most: 3,
            like: Likeness::Kind,
        },
        LayoutRule::NoLikeNeighbours(Likeness::Kind),
    ];
    let error = fill_by_rules(&cells, &tiles, &rules, 1, "", enough()).unwrap_err();
    assert_eq!(
        error.to_string(),
        "no panel of this size keeps all these rules: from 9 to 12 tiles `plain 1`; no two tiles \
         of one kind lie side by side"
    );
    // More than there are cells.
    let many = [LayoutRule::OfKind {
        kind: Arc::clone(&kinds[0]),
        least: 17,
        most: 20,
    }];
    let error = fill_by_rules(&cells, &tiles, &many, 1, "", enough()).unwrap_err();
    assert!(matches!(error, RulesError::Contradiction { rules } if rules.len() == 1));
}

#[test]
fn the_seed_alone_decides() {
    let tiles: Vec<Tile> = plain_squares(3).into_iter().map(Tile::new).collect();
    let cells = cells(Lattice::squares(&tiles[0]).unwrap(), 12, 12);
    let rules = like(Likeness::Kind);
    let picks = |seed, name: &str| -> String {
        let filling = fill_by_rules(&cells, &tiles, &rules, seed, name, enough()).unwrap();
        (0..144)
            .map(|i| filling.tile(i).unwrap().kind.name().chars().last().unwrap())
            .collect()
    };
    assert_eq!(picks(1, "a"), picks(1, "a"));
    assert_ne!(picks(1, "a"), picks(2, "a"));
    assert_ne!(picks(1, "a"), picks(1, "b"));
    // Pinned: the same on every machine, now and later.
    assert_eq!(&picks(1, "a")[..24], GOLDEN);
}

const GOLDEN: &str = "020101210121102010102012";

/// Ten pigeons in nine holes: known to take very many dead ends (Haken, The intractability of
/// resolution, Theoretical Computer Science 39 (1985)).
#[test]
fn a_limit_is_a_limit() {
    let pigeons = 10;
    let all: Vec<(usize, usize)> = (0..pigeons)
        .flat_map(|a| (a + 1..pigeons).map(move |b| (a, b)))
        .collect();
    let problem = Problem {
        options: vec![(0..9).collect(); pigeons],
        rules: vec![NamedRule {
            name: "apart".to_owned(),
            rule: CellRule::Differ {
                pairs: all,
                sort: (0..9).collect(),
            },
        }],
    };
    assert_eq!(
        solve(&problem, 1, "", at_most(50)),
        SolveResult::GaveUp { conflicts: 50 }
    );
}

struct Dice(u64);

impl Dice {
    /// Xorshift, Marsaglia 2003.
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % n as u64).unwrap()
    }
}

fn random_rule(dice: &mut Dice, cells: usize, looks: u32) -> CellRule {
    let n = looks as usize;
    let sort = |dice: &mut Dice| {
        (0..looks)
            .map(|l| if dice.below(4) == 0 { 0 } else { l })
            .collect()
    };
    let pair = |dice: &mut Dice| (dice.below(cells), dice.below(cells));
    let apart = |dice: &mut Dice| {
        let (a, b) = pair(dice);
        if a == b { (a, (a + 1) % cells) } else { (a, b) }
    };
    match dice.below(5) {
        0 => CellRule::Pairs(
            (0..2 + dice.below(4))
                .map(|_| {
                    let (one, other) = pair(dice);
                    let all = (0..looks).flat_map(|a| (0..looks).map(move |b| (a, b)));
                    PairRule {
                        one,
                        other,
                        allowed: all.filter(|_| dice.below(2) == 0).collect(),
                    }
                })
                .collect(),
        ),
        1 => CellRule::Differ {
            pairs: (0..=dice.below(5)).map(|_| apart(dice)).collect(),
            sort: sort(dice),
        },
        2 => CellRule::Runs {
            lines: vec![(0..cells).collect(), (0..cells).rev().step_by(2).collect()],
            most: 1 + dice.below(3),
            sort: sort(dice),
        },
        3 => {
            let least = dice.below(cells + 1);
            CellRule::Count {
                looks: (0..looks).filter(|_| dice.below(2) == 0).collect(),
                least,
                most: least + dice.below(3),
            }
        }
        _ => CellRule::Mirrored {
            images: (0..=dice.below(3)).map(|_| pair(dice)).collect(),
            becomes: (0..looks)
                .map(|_| (dice.below(5) > 0).then(|| u32::try_from(dice.below(n)).unwrap()))
                .collect(),
        },
    }
}

/// Small problems by chance, against trying every filling: the same verdict, fillings that keep the
/// rules, and contradictions that are real and as small as said.
#[test]
fn against_trying_everything() {
    let mut dice = Dice(99);
    let (mut filled, mut contradicted) = (0, 0);
    for round in 0..400 {
        let cells = 2 + dice.below(5);
        let looks = 2 + u32::try_from(dice.below(3)).unwrap();
        let options: Vec<Vec<u32>> = (0..cells)
            .map(|_| {
                let some: Vec<u32> = (0..looks).filter(|_| dice.below(5) > 0).collect();
                if some.is_empty() { vec![0] } else { some }
            })
            .collect();
        let rules = (0..=dice.below(4))
            .map(|i| NamedRule {
                name: format!("rule {i}"),
                rule: random_rule(&mut dice, cells, looks),
            })
            .collect();
        let problem = Problem { options, rules };
        let possible = |rules: &[usize]| {
            let total: usize = problem.options.iter().map(Vec::len).product();
            (0..total).any(|mut code| {
                let filling: Vec<u32> = problem
                    .options
                    .iter()
                    .map(|o| {
                        let look = o[code % o.len()];
                        code /= o.len();
                        look
                    })
                    .collect();
                rules.iter().all(|&r| problem.rules[r].rule.holds(&filling))
            })
        };
        let all: Vec<usize> = (0..problem.rules.len()).collect();
        match solve(&problem, round, "", enough()) {
            SolveResult::Filled(looks) => {
                assert_eq!(problem.broken(&looks), Vec::<usize>::new(), "{problem:?}");
                filled += 1;
            }
            SolveResult::Contradiction(rules) => {
                assert!(!possible(&all), "{problem:?}");
                assert!(!possible(&rules));
                for &left_out in &rules {
                    let fewer: Vec<usize> =
                        rules.iter().copied().filter(|&r| r != left_out).collect();
                    assert!(possible(&fewer), "{left_out} of {rules:?} is not needed");
                }
                contradicted += 1;
            }
            SolveResult::GaveUp { .. } | SolveResult::TooMuch => panic!("too hard: {problem:?}"),
        }
    }
    assert!(filled > 80 && contradicted > 80, "{filled} {contradicted}");
}

#[test]
fn tiles_that_fit_nowhere() {
    let tile = Tile::new(striped("stripes", &[(5.0, 0), (5.0, 1)]));
    let cells = cells(Lattice::squares(&tile).unwrap(), 2, 2);
    let lean = tile.rotate(30.0);
    let error = fill_by_rules(&cells, &[lean], &[], 1, "", enough()).unwrap_err();
    assert!(
        error
            .to_string()
            .starts_with("none of the tiles fits column 0, course 0")
    );
    assert_eq!(tiles::PAINTS[0], Colour::rgb(232, 212, 176));
}
