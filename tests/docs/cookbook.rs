//! `docs/cookbook.md`: thirty questions, each with a recipe or a session that is run.

use std::fs;

use crate::book::{carry_out, document};

#[test]
fn every_answer_works_as_written() {
    let done = carry_out("cookbook.md");
    assert!(
        done.headings.len() >= 30,
        "{} questions",
        done.headings.len()
    );
    assert!(done.recipes + done.commands.len() >= 30);
    assert!(done.told >= 20, "{} answers tell what they make", done.told);
}

#[test]
fn every_question_has_an_answer_that_is_run() {
    let text = fs::read_to_string(document("cookbook.md")).expect("the cookbook");
    for part in text.split("\n## ").skip(1) {
        let question = part.lines().next().unwrap_or_default();
        assert!(question.starts_with("How do I "), "{question}");
        assert!(
            part.contains("```rhai") || part.contains("```console"),
            "{question}"
        );
    }
}

/// Common practice, and the rule of every text here that tells how to cut.
#[test]
fn what_tells_of_cutting_cautions() {
    for name in ["cookbook.md", "getting-started.md"] {
        let text = fs::read_to_string(document(name)).expect("a document");
        for word in ["guard", "push block", "manual", "qualified", "eyes"] {
            assert!(text.contains(word), "{name} says nothing of {word}");
        }
    }
}
