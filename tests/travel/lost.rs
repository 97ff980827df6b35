//! Whatever happens at a bad moment, no file is half a file and no recipe is lost: the program is
//! killed (SIGKILL), the disk is full, several runs share a folder.
#![allow(clippy::unwrap_used, reason = "a test may stop at once")]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::Duration;

use crate::common::Bench;

pub(crate) const RECIPE: &str = r#"
let shade = param("shade", 1, #{ from: 1, to: 9 });
let tile = bar(laminate([veneer(0.6, "navy"), plywood(13, 17), veneer(0.6, "navy")]).square()).slice("tile");
panel("p", squares(tile)).size(30, 20).fill(random("mix", tile.looks()));
"#;
/// How often each command is killed.
const KILLS: u64 = 24;

/// A number below `most` by a seeded chance (the splitmix64 of Steele, Lea and Flood, OOPSLA 2014).
pub(crate) fn chance(seed: u64, most: u64) -> u64 {
    let mut z = seed.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    (z ^ (z >> 31)) % most
}

pub(crate) fn start(bench: &Bench, arguments: &[&str]) -> Child {
    bench
        .command(arguments)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

fn kill_after(mut child: Child, micros: u64) {
    thread::sleep(Duration::from_micros(micros));
    let _ = child.kill();
    let _ = child.wait();
}

/// All files under a folder with their bytes, unfinished neighbours left out.
pub(crate) fn whole_files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(next) = folders.pop() {
        let Ok(entries) = fs::read_dir(&next) else {
            continue;
        };
        for entry in entries.flatten() {
            let (path, name) = (
                entry.path(),
                entry.file_name().to_string_lossy().into_owned(),
            );
            if path.is_dir() {
                folders.push(path);
            } else if !(name.starts_with(".plyloom-")
                && Path::new(&name).extension().is_some_and(|e| e == "part"))
            {
                found.insert(
                    path.strip_prefix(folder).unwrap().display().to_string(),
                    fs::read(path).unwrap(),
                );
            }
        }
    }
    found
}

#[test]
fn a_killed_preview_leaves_the_former_picture_or_the_new_one() {
    let bench = Bench::new().file("a.rhai", RECIPE);
    let drawn = |shade: &str, file: &str| {
        let set = format!("shade={shade}");
        bench
            .run(&["preview", "a.rhai", "--set", &set, "--out", file])
            .ended(0);
        fs::read(bench.path(file)).unwrap()
    };
    for file in ["x.svg", "x.png"] {
        let (former, new) = (
            drawn("1", &format!("one-{file}")),
            drawn("2", &format!("two-{file}")),
        );
        fs::write(bench.path(file), &former).unwrap();
        // Long enough for some to end by themselves: a kill can come at any moment of the run.
        for kill in 0..KILLS / 2 {
            let child = start(
                &bench,
                &["preview", "a.rhai", "--set", "shade=2", "--out", file],
            );
            kill_after(child, chance(kill, 150_000));
            let there = fs::read(bench.path(file)).unwrap();
            assert!(
                there == former || there == new,
                "kill {kill}: half of {file}"
            );
            assert_eq!(bench.read("a.rhai"), RECIPE);
        }
    }
}

#[test]
fn a_killed_sweep_keeps_what_was_done_and_goes_on_from_there() {
    let bench = Bench::new().file("a.rhai", RECIPE);
    let sweep = |out: &'static str| {
        [
            "vary",
            "a.rhai",
            "--seeds",
            "1..6",
            "--set",
            "shade=1,2",
            "--out",
            out,
        ]
    };
    bench.run(&sweep("whole")).ended(0);
    let expected = whole_files(&bench.path("whole"));
    for kill in 0..KILLS {
        kill_after(start(&bench, &sweep("killed")), chance(100 + kill, 400_000));
        for (name, bytes) in whole_files(&bench.path("killed")) {
            // The journal grows line by line; every other file is one of the finished sweep, or the page of what is
            // made so far.
            if name == "sheet.html" && bytes != expected[&name] {
                let page = String::from_utf8(bytes).unwrap();
                assert!(page.contains(" of 12 so far"), "kill {kill}: {page}");
                assert!(page.ends_with("</html>\n"), "kill {kill}: {page}");
            } else if expected.contains_key(&name) {
                assert!(bytes == expected[&name], "kill {kill}: {name} is not whole");
            }
        }
        assert_eq!(bench.read("a.rhai"), RECIPE);
        if kill % 8 == 7 {
            bench.run(&sweep("killed")).ended(0);
            assert!(
                whole_files(&bench.path("killed")) == expected,
                "kill {kill}"
            );
            fs::remove_dir_all(bench.path("killed")).unwrap();
        }
    }
}

#[test]
fn a_killed_watch_leaves_whole_pictures() {
    let bench = Bench::new().file("a.rhai", RECIPE);
    let texts: Vec<String> = (1..=4)
        .map(|n| {
            RECIPE.replace(
                "\"navy\"",
                ["\"poppy\"", "\"soot\"", "\"ink\"", "\"navy\""][n % 4],
            )
        })
        .collect();
    let pictures: Vec<Vec<u8>> = texts
        .iter()
        .map(|text| {
            bench.write("a.rhai", text);
            bench.run(&["preview", "a.rhai"]).ended(0);
            fs::read(bench.path("a.svg")).unwrap()
        })
        .collect();
    for kill in 0..KILLS / 2 {
        let child = start(&bench, &["watch", "a.rhai"]);
        for save in 0..3 {
            thread::sleep(Duration::from_micros(chance(1000 * kill + save, 60_000)));
            let text = &texts[usize::try_from(chance(kill + save, 4)).unwrap()];
            bench.save_by_rename("a.rhai", text);
        }
        kill_after(child, chance(500 + kill, 60_000));
        let there = fs::read(bench.path("a.svg")).unwrap();
        assert!(pictures.contains(&there), "kill {kill}: half a picture");
        assert!(
            texts.contains(&bench.read("a.rhai")),
            "kill {kill}: the recipe"
        );
    }
}

#[test]
fn several_runs_share_a_folder() {
    let bench = Bench::new().file("a.rhai", RECIPE).file("out/.keep", "");
    let mut expected = Vec::new();
    for shade in 1..=3 {
        let set = format!("shade={shade}");
        bench
            .run(&["preview", "a.rhai", "--set", &set, "--out", "one.svg"])
            .ended(0);
        expected.push(fs::read(bench.path("one.svg")).unwrap());
    }
    for _ in 0..4 {
        let mut children: Vec<Child> = (1..=3)
            .map(|shade| {
                let set = format!("shade={shade}");
                start(
                    &bench,
                    &["preview", "a.rhai", "--set", &set, "--out", "out/same.svg"],
                )
            })
            .collect();
        for child in &mut children {
            assert!(child.wait().unwrap().success());
        }
        assert!(expected.contains(&fs::read(bench.path("out/same.svg")).unwrap()));
        assert_eq!(bench.names("out"), [".keep", "same.svg"]);
    }
    // A sweep has its folder to itself: of several at once each is done whole or told to wait.
    let sweep = ["vary", "a.rhai", "--seeds", "1..4", "--out", "v"];
    let children: Vec<Child> = (0..3).map(|_| start(&bench, &sweep)).collect();
    let ends: Vec<i32> = children
        .into_iter()
        .map(|mut child| child.wait().unwrap().code().unwrap())
        .collect();
    assert!(
        ends.contains(&0) && ends.iter().all(|code| [0, 1].contains(code)),
        "{ends:?}"
    );
    bench
        .run(&["vary", "a.rhai", "--seeds", "1..4", "--out", "w"])
        .ended(0);
    assert!(whole_files(&bench.path("v")) == whole_files(&bench.path("w")));
    // So has what is unpacked: one of several writes, the others find it there.
    let children: Vec<Child> = (0..3)
        .map(|_| start(&bench, &["unpack", "one.svg", "--out", "u"]))
        .collect();
    let ends: Vec<i32> = children
        .into_iter()
        .map(|mut child| child.wait().unwrap().code().unwrap())
        .collect();
    assert!(ends.contains(&0), "{ends:?}");
    assert_eq!(bench.read("u/a.rhai"), RECIPE);
}

/// A small file system in memory, gone again when this ends; none where it may not be mounted.
struct SmallDisk(std::path::PathBuf);

impl SmallDisk {
    fn mount(at: std::path::PathBuf, size: &str) -> Option<Self> {
        fs::create_dir_all(&at).unwrap();
        let mounted = Command::new("mount")
            .args(["-t", "tmpfs", "-o", &format!("size={size}"), "tmpfs"])
            .arg(&at)
            .stderr(Stdio::null())
            .status();
        mounted
            .is_ok_and(|status| status.success())
            .then_some(Self(at))
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(&self.0).status();
    }
}

#[test]
fn a_full_disk_costs_neither_the_former_picture_nor_the_recipe() {
    let bench = Bench::new().file("a.rhai", RECIPE);
    let Some(_disk) = SmallDisk::mount(bench.path("disk"), "96k") else {
        println!("not tried: a file system may not be mounted here");
        return;
    };
    bench.write("disk/a.rhai", RECIPE);
    let small = RECIPE.replace("size(30, 20)", "size(2, 2)");
    bench.write("small.rhai", &small);
    bench
        .run(&["preview", "small.rhai", "--out", "disk/x.svg"])
        .ended(0);
    let former = bench.read("disk/x.svg");
    fs::write(bench.path("disk/filler"), vec![0; 60 * 1024]).unwrap();
    for words in [
        &["preview", "disk/a.rhai", "--out", "disk/x.svg", "--flat"][..],
        &["preview", "disk/a.rhai", "--out", "disk/x.png"],
        &[
            "vary",
            "disk/a.rhai",
            "--seeds",
            "1..9",
            "--out",
            "disk/v",
            "--flat",
        ],
    ] {
        bench.run(words).ended(1).err_has("no room left");
        assert_eq!(bench.read("disk/x.svg"), former, "{words:?}");
        assert_eq!(bench.read("disk/a.rhai"), RECIPE, "{words:?}");
        let left: Vec<String> = bench
            .names("disk")
            .into_iter()
            .filter(|name| !["a.rhai", "filler", "v", "x.svg"].contains(&name.as_str()))
            .collect();
        assert!(left.is_empty(), "{words:?} left {left:?}");
    }
    // With room again, the sweep goes on.
    fs::remove_file(bench.path("disk/filler")).unwrap();
    bench.run(&["pack", "disk/a.rhai"]).ended(0);
}
