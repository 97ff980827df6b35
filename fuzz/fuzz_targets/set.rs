//! Values of parameters as typed after `--set`, for one parameter of each kind.
#![no_main]

use libfuzzer_sys::fuzz_target;
use plyloom::geom::length;

const RECIPE: &str = r#"
let a = param("whole", 8, #{ from: 2, to: 40 });
let b = param("mm", 18.0, #{ unit: "mm", from: 1, to: 400 });
let c = param("inch", "3/4 in", #{ unit: "in" });
let d = param("angle", 60.0, #{ kind: "angle" });
let e = param("dye", "navy", #{ kind: "colour" });
let f = param("choice", "x", #{ choices: ["x", "y"] });
let g = param("text", "x");
let h = param("yes", true);
"#;
const NAMES: [&str; 9] = ["whole", "mm", "inch", "angle", "dye", "choice", "text", "yes", "none"];

fuzz_target!(|bytes: &[u8]| {
    let Some((first, rest)) = bytes.split_first() else { return };
    let Ok(text) = std::str::from_utf8(rest) else { return };
    if let Ok(mm) = length::parse(text) {
        assert!(mm.is_finite(), "{text:?}");
    }
    let name = NAMES[usize::from(*first) % NAMES.len()];
    let set = [(name.to_owned(), text.to_owned())];
    if let Ok(outcome) = plyloom_fuzz::run(RECIPE, &set) {
        for parameter in &outcome.parameters {
            let _ = parameter.shown();
        }
    }
});
