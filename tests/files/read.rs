//! What a maker is told when a recipe cannot be read.

use crate::common::Bench;

#[test]
fn a_missing_recipe_is_answered_with_its_neighbours() {
    let bench = Bench::new()
        .file("in/basket.rhai", "")
        .file("in/notes.txt", "");
    bench
        .run(&["preview", "in/baskte.rhai"])
        .ended(1)
        .err_has("there is no file `in/baskte.rhai`")
        .err_has("did you mean `in/basket.rhai`?");
    bench
        .run(&["preview", "in/basket"])
        .ended(1)
        .err_has("did you mean `in/basket.rhai`?");
    bench
        .run(&["preview", "nowhere/x.rhai"])
        .ended(1)
        .err_has("check the name and the folder");
}

#[test]
fn a_folder_is_answered_with_the_recipes_in_it() {
    let bench = Bench::new().file("in/a.rhai", "").file("in/b.rhai", "");
    bench
        .run(&["preview", "in"])
        .ended(1)
        .err_has("`in` is a folder, not a file")
        .err_has("`a.rhai` or `b.rhai`");
}

#[test]
fn the_folder_of_a_plain_name_is_the_one_that_the_program_is_in() {
    // That of these tests is the root of the project.
    let of = |folder: &str| plyloom::files::recipes_of(std::path::Path::new(folder));
    assert!(of("").expect("a folder").is_empty());
    assert!(of("demo-patterns").expect("a folder").len() > 40);
    assert!(of("nowhere").is_err());
}

#[test]
fn bytes_that_are_no_text_are_named_with_their_place() {
    Bench::new()
        .file("a.rhai", b"let a = 1;\nlet b = \"\xe9\";\n")
        .run(&["preview", "a.rhai"])
        .ended(1)
        .err_has("`a.rhai` is not UTF-8 text: byte 21 (0xe9) on line 2, column 10")
        .err_has("save it as UTF-8");
}

#[test]
fn a_file_of_many_megabytes_is_no_recipe() {
    Bench::new()
        .file("a.rhai", vec![b' '; 3 << 20])
        .run(&["preview", "a.rhai"])
        .ended(1)
        .err_has("too large to be a recipe");
}

#[cfg(unix)]
#[test]
fn a_device_is_no_recipe() {
    Bench::new()
        .run(&["preview", "/dev/zero"])
        .ended(1)
        .err_has("`/dev/zero` is not a plain file");
}

#[cfg(unix)]
#[test]
fn a_name_with_codes_in_it_is_shown_as_signs() {
    let ran = Bench::new().run(&["preview", "\u{1b}[2Jx.rhai"]);
    ran.ended(1).err_has("␛[2Jx.rhai");
    assert!(!ran.err.contains('\u{1b}'));
}
