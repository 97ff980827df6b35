//! The core as WebAssembly, asked under Node.js as the page's worker asks it: it gives what the program
//! gives, byte for byte, and recipes that mean harm end as they do there.

use std::fmt::Write as _;
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use plyloom::recipe::memory_store::MemoryStore;
use plyloom::recipe::store::Reach;
use plyloom::session::planned::Sheet;
use plyloom::session::{Answer, Given, PanelOf, Request, Session, Typed};
use serde_json::{Value, json};

use crate::common::{Bench, names};

trials! {
    Module: [
        every_demo_comes_out_as_in_the_program,
        recipes_that_mean_harm_end_as_in_the_program,
    ],
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The module as it is in the page.
fn module() -> PathBuf {
    root().join("target/web/wasm32-unknown-unknown/release/plyloom_web.wasm.small")
}

/// Whether the module is built, and Node.js is there to run it.
pub(crate) fn is_there() -> bool {
    let node = Command::new("node").arg("--version").output();
    module().is_file() && node.is_ok_and(|ran| ran.status.success())
}

/// The stack of the smallest worker that a browser has been seen to have, in kB.
const LEAST_STACK: u32 = 512;

/// What became of questions, asked one after the other: the first line of each answer and its body, or
/// how the core ended.
fn answers(questions: &[Value]) -> Vec<Result<(String, Vec<u8>), String>> {
    let mut lines = String::new();
    for question in questions {
        let _ = writeln!(lines, "{question}");
    }
    let mut node = Command::new("node")
        .arg(format!("--stack-size={LEAST_STACK}"))
        .arg(root().join("web/ask.mjs"))
        .arg(module())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("node starts");
    let mut into = node.stdin.take().expect("its input");
    let asking = std::thread::spawn(move || into.write_all(lines.as_bytes()));
    let out = node.wait_with_output().expect("node ends");
    asking.join().expect("asked").expect("asked");
    let out = String::from_utf8(out.stdout).expect("text");
    let answers: Vec<_> = out
        .lines()
        .map(|line| {
            if let Some(how) = line.strip_prefix("ended: ") {
                return Err(how.to_owned());
            }
            let bytes = STANDARD.decode(line).expect("base64");
            let end = bytes
                .iter()
                .position(|&b| b == b'\n')
                .expect("a first line");
            let head = String::from_utf8(bytes[..end].to_vec()).expect("text");
            Ok((head, bytes[end + 1..].to_vec()))
        })
        .collect();
    assert_eq!(answers.len(), questions.len());
    answers
}

/// What the same session answers here.
fn native(session: &mut Session, request: Request) -> Vec<u8> {
    match session.answer(request).expect("an answer") {
        Answer::Data(text) => text.as_bytes().to_vec(),
        Answer::Drawing(svg) => svg.into_bytes(),
        Answer::Pixels(png) => png,
        Answer::Paper(paper) => paper.bytes,
        other => {
            let told = serde_json::to_value(&other).expect("JSON")["with"].take();
            told.to_string().into_bytes()
        }
    }
}

/// What is asked of a picture's panel.
fn about(picture: u64, panel: usize) -> Vec<Request> {
    let paper = |sheet| Request::Paper {
        picture,
        panel,
        sheet,
        shop: None,
        way: None,
    };
    let drawing = json!({ "ask": "drawing", "picture": picture, "panel": panel });
    let pixels = json!({ "ask": "pixels", "picture": picture, "panel": panel,
                         "asked": { "width": 300, "light": 60.0, "finish": "oil" } });
    let faces = json!({ "ask": "faces", "picture": picture, "panel": panel,
                        "asked": { "light": 60.0, "finish": "oil" } });
    vec![
        Request::Tiles(PanelOf { picture, panel }),
        serde_json::from_value(faces).expect("a request"),
        serde_json::from_value(drawing).expect("a request"),
        serde_json::from_value(pixels).expect("a request"),
        Request::Plan {
            picture,
            panel,
            shop: None,
            way: None,
        },
        paper(Sheet::Plan),
        paper(Sheet::Template),
    ]
}

fn every_demo_comes_out_as_in_the_program() {
    let folder = root().join("demo-patterns");
    let mut asked = Vec::new();
    let mut expected: Vec<(String, Vec<u8>)> = Vec::new();
    for file in names(&folder) {
        let Some(name) = file.strip_suffix(".rhai") else {
            continue;
        };
        let text = fs::read_to_string(folder.join(&file)).expect("a recipe");
        asked.push(
            json!({ "open": { "texts": [[file, text]], "recipe": file, "serial": 0,
                                     "turn": {}, "run": true } }),
        );
        let given = Given {
            recipe: file.as_str().into(),
            reach: Reach::OwnFolder,
            typed: Typed::default(),
        };
        let mut session = Session::at(MemoryStore::new().with(file.as_str(), text), given, 0);
        native(&mut session, json_turn());
        expected.push((format!("{name}: state"), native(&mut session, Request::Run)));
        let made = session.state().good.clone().expect("a picture");
        let panels = made.outcome.panels.len();
        for panel in 0..panels {
            for request in about(made.id, panel) {
                asked.push(json!(request));
                expected.push((
                    format!("{name} {panel}: {}", json!(request)["ask"]),
                    native(&mut session, request),
                ));
            }
        }
        if panels == 1 {
            // The same again from the program itself.
            let bench = Bench::new().file(&file, &made.opened.source.text);
            bench.run(&["plan", &file, "--out", "plan.html"]);
            asked.push(json!({ "ask": "paper", "picture": made.id, "panel": 0, "sheet": "plan" }));
            expected.push((
                format!("{name}: `plyloom plan`"),
                bench.read("plan.html").into_bytes(),
            ));
            let kept = fs::read(folder.join("pictures").join(format!("{name}.svg")));
            asked.push(json!({ "ask": "drawing", "picture": made.id, "panel": 0 }));
            expected.push((format!("{name}: its picture"), kept.expect("a picture")));
        }
    }
    assert!(expected.len() > 200, "{} answers", expected.len());
    let mut wrong = Vec::new();
    for ((what, expected), answer) in expected.iter().zip(answers(&asked)) {
        match answer {
            Ok((head, body)) if head.starts_with("200 ") && body == *expected => {}
            Ok((head, body)) => wrong.push(format!("{what}: {head}, {} bytes", body.len())),
            Err(how) => wrong.push(format!("{what}: {how}")),
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

fn json_turn() -> Request {
    Request::Turn {
        turn: plyloom::session::knobs::Turn::default(),
    }
}

/// Cases with numbers beyond what 32 bits count, which are refused there before they come to the bound that
/// stops them here, or are harmless.
const BEYOND: &[&str] = &[
    "keeping_huge_count.rhai",
    "keeping_huge_run.rhai",
    "memory_list_pad.rhai",
    "number_bag_huge.rhai",
    "strip_lay_on_no_edge.rhai",
];

fn recipes_that_mean_harm_end_as_in_the_program() {
    let folder = root().join("tests/suite/hostile");
    let texts = |below: &str| {
        let at = folder.join(below);
        let recipes = names(&at).into_iter().filter_map(|name| {
            let stem = name.strip_suffix(".rhai")?;
            let text = fs::read_to_string(at.join(&name)).expect("a recipe");
            Some((format!("{below}{stem}.rhai"), text))
        });
        recipes.collect::<Vec<_>>()
    };
    let (cases, parts) = (texts(""), texts("parts/"));
    let mut questions = Vec::new();
    let mut expected = Vec::new();
    for (name, text) in &cases {
        let mut head = text.lines().map(|line| line.trim_start_matches("// "));
        let first = head.next().unwrap_or("");
        let stopped = first.strip_prefix("stopped: ");
        if stopped.is_none() && !first.starts_with("works") {
            continue;
        }
        let words: Vec<&str> = head.next().unwrap_or("").split_whitespace().collect();
        let bound = |option: &str| {
            let at = words.iter().position(|word| *word == option)?;
            words.get(at + 1)?.parse::<f64>().ok()
        };
        // What takes long there takes longer here.
        let budget = json!({
            "seconds": bound("--max-seconds").map_or(20.0, |s| s.min(20.0)),
            "operations": bound("--max-operations"),
            "mebibytes": bound("--max-memory").map_or(256.0, |m| m.min(256.0)),
        });
        let mut budget = budget;
        for name in ["operations", "mebibytes"] {
            budget[name] = budget[name]
                .as_f64()
                .map_or(Value::Null, |n| json!(whole(n)));
        }
        let imported = |(other, _): &&(String, String)| {
            other == name || text.contains(&format!("\"{}\"", other.trim_end_matches(".rhai")))
        };
        let with: Vec<_> = cases.iter().filter(imported).chain(&parts).collect();
        questions.push(
            json!({ "open": { "texts": with, "recipe": name, "serial": 0, "turn": {},
                                         "run": true, "budget": budget } }),
        );
        expected.push((name.as_str(), stopped));
    }
    assert!(questions.len() >= 230, "{} cases", questions.len());
    // What the machine decides here: memory and time are other than there.
    let felt = ["recipe::too_long", "recipe::too_much_memory"];
    let mut wrong = Vec::new();
    let mut ended = Vec::new();
    for ((name, stopped), answer) in expected.iter().zip(answers(&questions)) {
        let state: Value = match answer {
            Ok((_, body)) => serde_json::from_slice(&body).expect("JSON"),
            Err(how) => {
                // A value that is held twice: the language waits a moment for it, and WebAssembly cannot wait.
                let held = stopped.is_some_and(|codes| codes.contains("recipe::data_race"));
                if how == "broken" || (how == "held" && !held) {
                    wrong.push(format!("{name}: {how}"));
                }
                ended.push(format!("{name}: {how}"));
                continue;
            }
        };
        let code = state["fault"]["code"].as_str();
        let codes = stopped.map(|s| s.split(" at ").next().unwrap_or(s));
        let right = match (codes, code) {
            (None, code) => code.is_none_or(|code| felt.contains(&code)),
            (Some(codes), Some(code)) => {
                codes.split(" or ").any(|c| c == code) || felt.contains(&code)
            }
            (Some(_), None) => false,
        };
        if !right && !BEYOND.contains(name) {
            wrong.push(format!("{name}: {code:?}, not {codes:?}"));
        }
    }
    eprintln!("ended with their worker: {ended:#?}");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(ended.len() <= 12, "{ended:#?}");
}

/// A bound as it is typed, a whole number.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "bounds of the cases are small"
)]
fn whole(number: f64) -> u64 {
    number as u64
}
