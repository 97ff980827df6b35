//! `docs/reference/` is what `plyloom words --pages` writes.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use crate::book::document;
use crate::common::Bench;

fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut all = BTreeMap::new();
    for place in ["", "pictures"] {
        let Ok(entries) = fs::read_dir(folder.join(place)) else {
            continue;
        };
        for entry in entries.map(|entry| entry.expect("an entry")) {
            if entry.path().is_file() {
                let name = format!("{place}/{}", entry.file_name().to_string_lossy());
                all.insert(name, fs::read(entry.path()).expect("a file"));
            }
        }
    }
    all
}

#[test]
fn the_reference_is_current() {
    let bench = Bench::new();
    bench
        .run(&["words", "--pages", "new"])
        .ended(0)
        .out_has("pages and");
    let new = files(&bench.path("new"));
    let kept = document("reference");
    if std::env::var_os("PLYLOOM_BLESS").is_some() {
        fs::create_dir_all(kept.join("pictures")).expect("a folder");
        for name in files(&kept).keys() {
            fs::remove_file(kept.join(name.trim_start_matches('/'))).expect("an old one goes");
        }
        for (name, bytes) in &new {
            fs::write(kept.join(name.trim_start_matches('/')), bytes).expect("a new one comes");
        }
    }
    let committed = files(&kept);
    assert_eq!(
        new.keys().collect::<Vec<_>>(),
        committed.keys().collect::<Vec<_>>()
    );
    for (name, bytes) in &new {
        assert!(
            *bytes == committed[name],
            "{name} has changed: look at it, then write it anew"
        );
    }
}

#[test]
fn every_link_of_the_reference_leads_somewhere() {
    let text = fs::read_to_string(document("reference/README.md")).expect("the index");
    let mut links = 0;
    for link in text.split("](").skip(1) {
        let link = link.split(')').next().unwrap_or_default();
        let (file, heading) = link.split_once('#').unwrap_or((link, ""));
        let page = fs::read_to_string(document("reference").join(file)).expect(file);
        let found = page.lines().any(|line| {
            let line = line.to_lowercase().replace("::", "");
            heading.is_empty() || line == format!("## {heading}")
        });
        assert!(found, "{link}");
        links += 1;
    }
    assert!(links > 100, "{links} links");
}

#[test]
fn every_picture_of_a_page_is_there_and_shown() {
    let folder = document("reference");
    let all = files(&folder);
    let pages: String = all
        .iter()
        .filter(|(name, _)| Path::new(name).extension().is_some_and(|e| e == "md"))
        .map(|(_, bytes)| String::from_utf8_lossy(bytes).into_owned())
        .collect();
    let pictures = all.keys().filter_map(|name| name.strip_prefix("pictures/"));
    let mut count = 0;
    for picture in pictures {
        assert!(
            pages.contains(&format!("pictures/{picture}\"")),
            "{picture}"
        );
        count += 1;
    }
    assert_eq!(count, pages.matches("<img ").count());
    assert!(count > 80, "{count} pictures");
}
