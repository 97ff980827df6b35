//! Files that are committed and drawn anew by every run of the tests: held equal, or written anew where
//! `PLYLOOM_BLESS` is set.

use std::{collections::BTreeMap, fs, path::Path};

/// The files of a folder that have this ending, by name; none where there is no such folder.
pub(crate) fn files(folder: &Path, ending: &str) -> BTreeMap<String, Vec<u8>> {
    let Ok(entries) = fs::read_dir(folder) else {
        return BTreeMap::new();
    };
    entries
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|e| e == ending))
        .map(|path| {
            let name = path
                .file_name()
                .expect("a name")
                .to_string_lossy()
                .into_owned();
            (name, fs::read(&path).expect("a readable file"))
        })
        .collect()
}

/// Holds that `new` is what is committed in `folder` under the ending, or writes it anew.
#[track_caller]
pub(crate) fn agree(new: &BTreeMap<String, Vec<u8>>, folder: &Path, ending: &str) {
    if std::env::var_os("PLYLOOM_BLESS").is_some() {
        fs::create_dir_all(folder).expect("a folder");
        for name in files(folder, ending).keys() {
            fs::remove_file(folder.join(name)).expect("an old file goes");
        }
        for (name, bytes) in new {
            fs::write(folder.join(name), bytes).expect("a new file comes");
        }
    }
    let committed = files(folder, ending);
    assert_eq!(
        new.keys().collect::<Vec<_>>(),
        committed.keys().collect::<Vec<_>>(),
        "the files in {} by name",
        folder.display()
    );
    for (name, bytes) in new {
        assert!(
            *bytes == committed[name],
            "{name} has changed: look at it, then write it anew"
        );
    }
}
