//! What the simulated shop reads: the steps of a plan in JSON, and nothing else.

use serde::Deserialize;

#[derive(Debug, Deserialize)]
pub(crate) struct Told {
    pub(crate) pieces: Vec<Piece>,
    pub(crate) fetch: Vec<Of>,
    pub(crate) steps: Vec<Step>,
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Piece {
    pub(crate) id: String,
    pub(crate) kind: String,
    pub(crate) section: Vec<(f64, f64)>,
    pub(crate) layers: Vec<Band>,
    pub(crate) length: f64,
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Band {
    pub(crate) colour: String,
    pub(crate) thickness: f64,
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Of {
    pub(crate) piece: String,
    pub(crate) count: u64,
}

#[derive(Debug, Deserialize)]
pub(crate) struct Step {
    pub(crate) number: usize,
    pub(crate) work: Work,
    pub(crate) takes: Vec<Of>,
    pub(crate) gives: Vec<Of>,
    pub(crate) cautions: Vec<serde_json::Value>,
}

#[derive(Debug, Deserialize)]
#[serde(tag = "do", rename_all = "snake_case")]
pub(crate) enum Work {
    Trial {},
    Crosscut {
        length: f64,
        kerf: f64,
    },
    CutVeneer {
        width: f64,
        length: f64,
    },
    Press {
        stack: Vec<String>,
        overhang: f64,
    },
    Coat {},
    Iron {
        stack: Vec<String>,
        overhang: f64,
    },
    Rip {
        purpose: String,
        tilt: f64,
        bed: f64,
        kerf: f64,
        work: String,
        rounds: Vec<Round>,
        left: Becomes,
    },
    CrosscutStrips {
        length: f64,
        kerf: f64,
    },
    GlueBar {
        parts: Vec<Part>,
    },
    GlueLoaf {
        bars: Vec<BarAt>,
    },
    Clean {},
    Mark {
        corners: (usize, usize),
    },
    Slice {
        thickness: f64,
        kerf: f64,
        slices: u64,
        end: f64,
    },
    LayDry {
        tiles: Vec<Tile>,
    },
    Glue {
        assemblies: Vec<Assembly>,
    },
    Flatten {
        from: f64,
        to: f64,
    },
    Trim {
        outline: Vec<(f64, f64)>,
    },
    RipPanel {
        across: bool,
        width: f64,
        kerf: f64,
        slats: Vec<SlatAt>,
    },
    CutOut {
        pieces: Vec<CutPiece>,
        kerf: f64,
    },
    PutBack,
}

#[derive(Debug, Deserialize)]
pub(crate) struct SlatAt {
    pub(crate) piece: String,
    pub(crate) from: f64,
}

#[derive(Debug, Deserialize)]
pub(crate) struct CutPiece {
    pub(crate) name: String,
    pub(crate) outline: Vec<(f64, f64)>,
}

#[derive(Debug, Deserialize)]
pub(crate) struct Round {
    pub(crate) times: u64,
    pub(crate) passes: Vec<Pass>,
}

#[derive(Debug, Deserialize)]
pub(crate) struct Pass {
    pub(crate) lie: Lie,
    pub(crate) set: Set,
    pub(crate) touches: String,
    pub(crate) inboard: Becomes,
    pub(crate) outboard: Becomes,
}

#[derive(Debug, Deserialize)]
pub(crate) struct Lie {
    pub(crate) down: Down,
    pub(crate) end: u8,
}

#[derive(Debug, Deserialize)]
pub(crate) struct Down {
    pub(crate) side: String,
    pub(crate) looks: f64,
}

#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Set {
    Fence(f64),
    ByEye(f64),
    Ledge(f64),
    Stop(f64),
}

#[derive(Debug, PartialEq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Becomes {
    Piece(String),
    Waste,
    Work,
}

#[derive(Debug, Deserialize)]
pub(crate) struct Part {
    pub(crate) piece: String,
    pub(crate) end_for_end: bool,
    pub(crate) roll: f64,
    pub(crate) shift: (f64, f64),
    pub(crate) face: FaceIs,
}

#[derive(Debug, PartialEq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum FaceIs {
    Out,
    At(usize),
    Gone,
}

#[derive(Debug, Clone, Deserialize)]
pub(crate) struct Tile {
    pub(crate) course: u32,
    pub(crate) number: u32,
    pub(crate) tiles: u32,
    pub(crate) piece: String,
    pub(crate) turn: f64,
    pub(crate) flip: bool,
    pub(crate) at: (f64, f64),
}

impl Tile {
    /// A slice that lies anyhow.
    pub(crate) fn loose(piece: &str, at: (f64, f64)) -> Self {
        Self {
            course: 1,
            number: 1,
            tiles: 1,
            piece: piece.to_owned(),
            turn: 0.0,
            flip: false,
            at,
        }
    }
}

#[derive(Debug, Deserialize)]
pub(crate) struct BarAt {
    pub(crate) number: usize,
    pub(crate) piece: String,
    pub(crate) end_for_end: bool,
    pub(crate) roll: f64,
    pub(crate) at: (f64, f64),
    pub(crate) outline: Vec<(f64, f64)>,
}

#[derive(Debug, Deserialize)]
pub(crate) struct Assembly {
    pub(crate) tiles: u64,
}
