//! Help, completions and manual pages: of every command, from one definition.

use crate::common::Bench;

/// The commands as `--help` lists them.
fn commands() -> Vec<String> {
    let ran = Bench::new().run(&["--help"]);
    let (_, list) = ran
        .out
        .split_once("Commands:\n")
        .expect("a list of commands");
    let lines = list.lines().take_while(|line| !line.trim().is_empty());
    let names = lines.filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    let names: Vec<String> = names
        .filter_map(|line| line.split_whitespace().next())
        .map(str::to_owned)
        .collect();
    assert!(names.len() >= 14, "{names:?}");
    names
}

#[test]
fn every_command_shows_examples_of_itself() {
    for command in commands() {
        let ran = Bench::new().run(&[&command, "--help"]);
        ran.ended(0).out_has("Examples:\n");
        let (_, examples) = ran.out.split_once("Examples:\n").expect("examples");
        let own = format!("  plyloom {command}");
        assert!(examples.contains(&own), "{command}: {examples}");
    }
}

#[test]
fn every_shell_completes_every_command() {
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let ran = Bench::new().run(&["completions", shell]);
        ran.ended(0);
        for command in commands() {
            assert!(
                ran.out.contains(&command),
                "{shell} does not know {command}"
            );
        }
        assert!(ran.out.contains("max-seconds"), "{shell} knows no options");
    }
}

#[test]
fn every_command_has_a_manual_page() {
    let bench = Bench::new();
    bench.run(&["man"]).ended(0).out_has(".TH plyloom 1");
    for command in commands() {
        bench
            .run(&["man", &command])
            .ended(0)
            .out_has(&format!(".TH plyloom\\-{command} 1").replace("\\-", "-"))
            .out_has("Examples:");
    }
}

#[test]
fn no_command_writes_control_codes_into_a_pipe() {
    let recipe = "let block = bar(plywood(13, 36).square()).slice(\"block\");\n\
                  panel(\"p\", squares(block)).size(3, 2).fill(block);";
    let bench = Bench::new()
        .file("a.rhai", recipe)
        .file("bad.rhai", "let x = ;");
    for line in [
        &["preview", "a.rhai"][..],
        &["preview", "bad.rhai"],
        &["preview", "missing.rhai"],
        &["arrangements", "a.rhai"],
        &["legible", "a.rhai"],
        &["plan", "a.rhai"],
        &["compare", "a.rhai", "a.rhai"],
        &["vary", "a.rhai", "--seeds", "1..3"],
        &["gallery", ".", "--out", "g"],
        &["words"],
        &["words", "rings"],
        &["words", "hexagon"],
        &["preview", "--help"],
        &["--help"],
    ] {
        let ran = bench.run(line);
        for text in [&ran.out, &ran.err] {
            let odd = text.chars().find(|c| c.is_control() && *c != '\n');
            assert_eq!(odd, None, "{line:?}: {text}");
        }
    }
}
