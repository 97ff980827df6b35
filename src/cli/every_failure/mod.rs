//! Every way to fail that the layers have, and what each door says of it: `tests/suite/failures.txt`.
//!
//! The enums are walked: a new kind without a case here does not compile.

mod of_recipes;
mod of_texts;

use std::fmt::Write as _;
use std::path::PathBuf;
use std::{env, fs};

use super::cli_error::CliError;
use crate::recipe::failure::Failure;
use crate::recipe::fault::Fault;
use crate::recipe::kind::Kind;
use crate::recipe::misuse::Misuse;
use crate::session::{self, OpenError, RunError};
use of_recipes::{layout, rules, stock};
use of_texts::{bundle, file, open, read};

/// All kinds, from the first one on.
fn walked<T>(first: T, next: impl Fn(&T) -> Option<T>) -> Vec<T> {
    let mut all = vec![first];
    while let Some(one) = all.last().and_then(&next) {
        all.push(one);
    }
    all
}

/// What the terminal says.
fn terminal(told: &mut String, trouble: &CliError) {
    let _ = writeln!(told, "  {}: {trouble}", trouble.code());
    if let Some(help) = trouble.help() {
        let _ = writeln!(told, "    help: {help}");
    }
}

/// What the page says.
fn page(told: &mut String, error: &RunError) {
    let fault =
        serde_json::to_value(session::fault::FaultReport::of(error)).expect("a fault is data");
    let _ = writeln!(
        told,
        "  page: {}",
        fault["message"].as_str().unwrap_or_default()
    );
    let _ = writeln!(
        told,
        "    try: {}",
        fault["help"].as_str().unwrap_or_default()
    );
}

fn failed(fault: Fault) -> Failure {
    Failure {
        code: fault.kind.code(),
        kind: fault.kind,
        message: fault.message,
        place: None,
        label: None,
        help: fault.help,
        inside: Vec::new(),
        trace: Vec::new(),
        sources: Vec::new(),
    }
}

#[test]
fn every_failure_is_told_at_every_door() {
    let mut told = String::new();
    told.push_str("A text that cannot be had\n");
    for error in read() {
        page(&mut told, &OpenError::from(error.clone()).into());
        terminal(&mut told, &CliError::from(error));
    }
    told.push_str("A recipe that cannot be opened\n");
    for error in open() {
        page(&mut told, &error.clone().into());
        terminal(&mut told, &CliError::from(error));
    }
    told.push_str("A pack or picture that cannot be taken apart\n");
    for error in bundle() {
        let path = PathBuf::from("tray.pack");
        let error = OpenError::Pack { path, error };
        page(&mut told, &error.clone().into());
        terminal(&mut told, &CliError::from(error));
    }
    told.push_str("A file\n");
    for error in file() {
        terminal(&mut told, &CliError::from(error));
    }
    told.push_str("Wood\n");
    for error in stock() {
        of_recipe(&mut told, error.into());
    }
    told.push_str("A layout\n");
    for error in layout() {
        of_recipe(&mut told, error.into());
    }
    told.push_str("A word that stands where it cannot\n");
    for misuse in Misuse::each() {
        of_recipe(&mut told, misuse.into());
    }
    told.push_str("Conditions\n");
    for error in rules() {
        of_recipe(&mut told, error.into());
    }
    told.push_str("The codes of a recipe's failures\n");
    for kind in Kind::each() {
        let _ = writeln!(told, "  {}", kind.code());
    }
    let told = told.replace(env!("CARGO_PKG_VERSION"), "VERSION");
    let kept = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/suite/failures.txt");
    if env::var_os("PLYLOOM_BLESS").is_some() {
        fs::write(kept, &told).expect("the text is written");
    }
    let kept = fs::read_to_string(kept)
        .unwrap_or_default()
        .replace('\r', "");
    assert_eq!(told, kept);
}

fn of_recipe(told: &mut String, fault: Fault) {
    let failure = failed(fault);
    page(told, &RunError::Recipe(Box::new(failure.clone())));
    terminal(told, &CliError::from(failure));
}
