//! The core in a browser's worker: questions in, answers out.
//!
//! A question is text of JSON: a [`Request`] of the session, or `{ "open": ... }`, which begins one. The
//! worker asks for [`room`], writes the text there, calls [`ask`], and reads the answer from where that
//! points, as long as [`length`] says: a status and a media type on the first line, then the body. A run
//! within its bounds ends by itself; what does not is ended with its worker, or by the most memory.

use std::cell::RefCell;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use plyloom::recipe::memory_store::MemoryStore;
use plyloom::recipe::settings::Budget;
use plyloom::recipe::store::Reach;
use plyloom::recipe::watch::set_clock;
use plyloom::session::knobs::Turn;
use plyloom::session::{Answer, Given, Refusal, Request, Session, Typed};
use serde::Deserialize;
use serde_json::json;

#[link(wasm_import_module = "page")]
unsafe extern "C" {
    /// Milliseconds since some moment.
    safe fn now() -> f64;
}

thread_local! {
    static DESK: RefCell<Desk> = const {
        RefCell::new(Desk { session: None, question: Vec::new(), answer: Vec::new() })
    };
}

/// Whether the core broke down, and not the memory or the stack.
static PANICKED: AtomicBool = AtomicBool::new(false);

/// Whether it broke down because it was to wait, which nothing can in here: the language waits for a value that
/// is changed while it is read.
static WAITED: AtomicBool = AtomicBool::new(false);

/// What the standard library says where a thread is to sleep that cannot.
const CANNOT_WAIT: &str = "can't sleep";

struct Desk {
    session: Option<Session>,
    question: Vec<u8>,
    answer: Vec<u8>,
}

/// What is asked.
#[derive(Deserialize)]
#[serde(untagged)]
enum Question {
    Open { open: Opening },
    Ask(Request),
}

/// How a session begins.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Opening {
    /// Paths and texts.
    texts: Vec<(String, String)>,
    /// The recipe's path, or that of a choice.
    recipe: String,
    /// The numbers of pictures and turns come after this one.
    serial: u64,
    /// What is set.
    turn: Turn,
    /// Whether it is carried out at once.
    run: bool,
    /// The bounds of each run, where they are not the usual ones.
    #[serde(default)]
    budget: Bounds,
}

/// Bounds of a run; what is left out is as usual.
#[derive(Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct Bounds {
    operations: Option<u64>,
    seconds: Option<f64>,
    mebibytes: Option<usize>,
}

impl Bounds {
    fn budget(&self) -> Budget {
        let usual = Budget::default();
        let time = self.seconds.map(Duration::try_from_secs_f64);
        Budget {
            operations: self.operations.unwrap_or(usual.operations),
            time: time.and_then(Result::ok).unwrap_or(usual.time),
            memory: self.mebibytes.map_or(usual.memory, |mib| mib << 20),
            ..usual
        }
    }
}

/// Room for a question of so many bytes.
#[unsafe(no_mangle)]
pub extern "C" fn room(bytes: usize) -> *mut u8 {
    DESK.with_borrow_mut(|desk| {
        desk.question = vec![0; bytes];
        desk.question.as_mut_ptr()
    })
}

/// Answers the question; where the answer begins.
#[unsafe(no_mangle)]
pub extern "C" fn ask() -> *const u8 {
    DESK.with_borrow_mut(|desk| {
        let question = std::mem::take(&mut desk.question);
        desk.answer = Vec::new();
        desk.answer = match answer(&mut desk.session, &question) {
            Ok((kind, body)) => whole(200, kind, &body),
            Err(refusal) => {
                let told = json!({ "message": refusal.message }).to_string();
                whole(409, JSON, told.as_bytes())
            }
        };
        desk.answer.as_ptr()
    })
}

/// Bytes of the answer.
#[unsafe(no_mangle)]
pub extern "C" fn length() -> usize {
    DESK.with_borrow(|desk| desk.answer.len())
}

/// Whether the core broke down.
#[unsafe(no_mangle)]
pub extern "C" fn panicked() -> bool {
    PANICKED.load(Ordering::Relaxed)
}

/// Whether it broke down over a value that is held already.
#[unsafe(no_mangle)]
pub extern "C" fn waited() -> bool {
    WAITED.load(Ordering::Relaxed)
}

const JSON: &str = "application/json";

fn whole(status: u16, kind: &str, body: &[u8]) -> Vec<u8> {
    let mut answer = format!("{status} {kind}\n").into_bytes();
    answer.extend_from_slice(body);
    answer
}

fn answer(
    session: &mut Option<Session>,
    question: &[u8],
) -> Result<(&'static str, Vec<u8>), Refusal> {
    let question = serde_json::from_slice(question).map_err(|error| error.to_string())?;
    match (question, session) {
        (Question::Open { open }, session) => {
            let session = session.insert(opened(&open));
            session.answer(Request::Turn { turn: open.turn })?;
            let next = if open.run {
                Request::Run
            } else {
                Request::State { known: Vec::new() }
            };
            session.answer(next).map(body)
        }
        (Question::Ask(request), Some(session)) => session.answer(request).map(body),
        (Question::Ask(_), None) => Err("no recipe is open".into()),
    }
}

fn opened(open: &Opening) -> Session {
    std::panic::set_hook(Box::new(|panic| {
        PANICKED.store(true, Ordering::Relaxed);
        let waited = panic.payload_as_str() == Some(CANNOT_WAIT);
        WAITED.store(waited, Ordering::Relaxed);
    }));
    set_clock(|| Duration::from_secs_f64(now() / 1000.0));
    let store = MemoryStore::new();
    for (path, text) in &open.texts {
        store.put(path, text);
    }
    let given = Given {
        recipe: open.recipe.as_str().into(),
        reach: Reach::OwnFolder,
        typed: Typed::within(open.budget.budget()),
    };
    Session::at(store, given, open.serial)
}

/// The media type and the bytes of an answer.
fn body(answer: Answer) -> (&'static str, Vec<u8>) {
    match answer {
        Answer::Data(text) => (JSON, text.as_bytes().to_vec()),
        Answer::Drawing(svg) => ("image/svg+xml", svg.into_bytes()),
        Answer::Pixels(png) => ("image/png", png),
        Answer::Paper(paper) => (paper.kind, paper.bytes),
        Answer::Fault(fault) => (JSON, json!({ "fault": fault }).to_string().into_bytes()),
        other => {
            let told = serde_json::to_value(&other).map(|mut told| told["with"].take());
            (JSON, told.unwrap_or_default().to_string().into_bytes())
        }
    }
}
