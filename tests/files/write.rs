//! A file is written whole or not at all.

use std::fs;
use std::process::Command;

use crate::common::{Bench, names};
use plyloom::files::{FileError, Sink, write_new, write_picture_by, write_whole};

#[test]
fn a_file_is_made_and_replaced_and_nothing_is_left_over() {
    let bench = Bench::new();
    let path = bench.path("a.svg");
    write_whole(&path, b"one").unwrap();
    write_whole(&path, b"two").unwrap();
    assert_eq!(bench.read("a.svg"), "two");
    assert_eq!(bench.names("."), ["a.svg"]);
}

#[test]
fn a_missing_folder_is_named() {
    let bench = Bench::new();
    let error = write_whole(&bench.path("no/a.svg"), b"x").expect_err("no folder");
    assert!(matches!(error, FileError::NoFolder { .. }), "{error}");
    assert!(error.help().contains("mkdir -p"), "{}", error.help());
}

#[test]
fn a_folder_in_the_way_is_named() {
    let bench = Bench::new().file("a.svg/inner", "");
    let error = write_whole(&bench.path("a.svg"), b"x").expect_err("a folder");
    assert!(matches!(error, FileError::InTheWay { .. }), "{error}");
}

#[test]
fn a_new_file_replaces_nothing() {
    let bench = Bench::new().file("a", "old");
    assert!(matches!(
        write_new(&bench.path("a"), b"x"),
        Err(FileError::Exists { .. })
    ));
    assert_eq!(bench.read("a"), "old");
    write_new(&bench.path("b"), b"new").unwrap();
    assert_eq!(bench.read("b"), "new");
}

#[test]
fn a_picture_is_as_long_as_what_was_written_whatever_was_expected() {
    let bench = Bench::new();
    let path = bench.path("a.svg");
    for (expected, written) in [
        (9 << 20, 3_000_001),
        (1 << 20, 3_000_001),
        ((1 << 20) + 1, 3_000_001),
        (9 << 20, 7),
        (0, 7),
    ] {
        let content = vec![b'x'; written];
        write_picture_by(&path, expected, |file| file.write_all(&content)).unwrap();
        assert!(fs::read(&path).unwrap() == content);
        // Room that was reserved and not used is given back.
        #[cfg(unix)]
        {
            use std::os::unix::fs::MetadataExt as _;
            let taken = fs::metadata(&path).unwrap().blocks() * 512;
            assert!(
                taken < written as u64 + (1 << 20),
                "{taken} bytes for {written}"
            );
        }
    }
    for expected in [7, 9 << 20] {
        let fails = |_: &mut dyn Sink| Err(std::io::Error::other("no more"));
        let error = write_picture_by(&path, expected, fails).expect_err("it failed");
        assert!(matches!(error, FileError::Unwritable { .. }), "{error}");
        assert_eq!(bench.read("a.svg"), "xxxxxxx");
    }
    assert_eq!(bench.names("."), ["a.svg"]);
}

#[cfg(unix)]
mod on_unix {
    use super::*;
    use std::os::unix::fs::{PermissionsExt as _, symlink};

    fn mode(path: &std::path::Path) -> u32 {
        fs::metadata(path).expect("a file").permissions().mode() & 0o777
    }

    #[test]
    fn a_new_file_has_the_permissions_of_any_new_file() {
        let bench = Bench::new().file("usual", "");
        write_whole(&bench.path("ours"), b"x").unwrap();
        assert_eq!(mode(&bench.path("ours")), mode(&bench.path("usual")));
    }

    #[test]
    fn a_former_file_keeps_its_permissions() {
        let bench = Bench::new().file("a", "old");
        fs::set_permissions(bench.path("a"), fs::Permissions::from_mode(0o640)).unwrap();
        write_whole(&bench.path("a"), b"new").unwrap();
        assert_eq!(mode(&bench.path("a")), 0o640);
        assert_eq!(bench.read("a"), "new");
    }

    #[test]
    fn through_a_link_the_file_is_replaced_and_the_link_stays() {
        let bench = Bench::new().file("real/a", "old");
        symlink("real/a", bench.path("link")).unwrap();
        write_whole(&bench.path("link"), b"new").unwrap();
        assert!(
            fs::symlink_metadata(bench.path("link"))
                .unwrap()
                .is_symlink()
        );
        assert_eq!(bench.read("real/a"), "new");
        assert_eq!(bench.names("real"), ["a"]);
        symlink("real/later", bench.path("dangling")).unwrap();
        write_whole(&bench.path("dangling"), b"made").unwrap();
        assert_eq!(bench.read("real/later"), "made");
        symlink("circle", bench.path("circle")).unwrap();
        assert!(write_whole(&bench.path("circle"), b"x").is_err());
    }

    #[test]
    fn a_device_is_written_to_as_it_is() {
        write_whole(std::path::Path::new("/dev/null"), b"x").unwrap();
        assert!(!fs::metadata("/dev/null").unwrap().is_file());
    }

    #[test]
    fn a_protected_folder_and_a_protected_file_are_named() {
        let bench = Bench::new().file("shut/a.svg", "old").file("b.svg", "old");
        fs::set_permissions(bench.path("b.svg"), fs::Permissions::from_mode(0o444)).unwrap();
        fs::set_permissions(bench.path("shut"), fs::Permissions::from_mode(0o555)).unwrap();
        // Permissions do not hold back a superuser: there is nothing to see then.
        if fs::write(bench.path("shut/probe"), "").is_ok() {
            eprintln!("skipped: this user may write to a protected folder");
            return;
        }
        for name in ["shut/a.svg", "b.svg"] {
            let error = write_whole(&bench.path(name), b"new").expect_err("protected");
            assert!(matches!(error, FileError::Protected { .. }), "{error}");
            assert!(error.help().contains("--out"), "{}", error.help());
            assert_eq!(bench.read(name), "old");
        }
        fs::set_permissions(bench.path("shut"), fs::Permissions::from_mode(0o755)).unwrap();
    }
}

/// A tiny disk of its own, unmounted at the end; only a superuser may have one.
#[cfg(target_os = "linux")]
struct TinyDisk<'a>(&'a std::path::Path);

#[cfg(target_os = "linux")]
impl<'a> TinyDisk<'a> {
    fn at(folder: &'a std::path::Path) -> Option<Self> {
        let mounted = Command::new("mount")
            .args(["-t", "tmpfs", "-o", "size=64k", "tmpfs"])
            .arg(folder)
            .stderr(std::process::Stdio::null())
            .status();
        mounted.is_ok_and(|s| s.success()).then_some(Self(folder))
    }
}

#[cfg(target_os = "linux")]
impl Drop for TinyDisk<'_> {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.0).status();
    }
}

#[cfg(target_os = "linux")]
#[test]
fn on_a_full_disk_the_former_file_stays_whole() {
    let bench = Bench::new().file("disk/.keep", "");
    let folder = bench.path("disk");
    let Some(_disk) = TinyDisk::at(&folder) else {
        eprintln!("skipped: this user may not mount a small disk");
        return;
    };
    let path = folder.join("a.svg");
    write_whole(&path, b"former").unwrap();
    let error = write_whole(&path, &vec![b'x'; 1 << 20]).expect_err("a full disk");
    assert!(matches!(error, FileError::Full { .. }), "{error}");
    assert!(error.to_string().contains("no room left"), "{error}");
    assert_eq!(fs::read(&path).unwrap(), b"former");
    assert_eq!(names(&folder), ["a.svg"]);
}
