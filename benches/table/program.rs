//! Whole processes: the program itself, the smallest one, and how long and large they get.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::OnceLock;
use std::time::Duration;

use super::pair::timed;

/// The program.
pub(crate) fn plyloom() -> Command {
    quiet(Command::new(env!("CARGO_BIN_EXE_plyloom")))
}

/// The smallest program that runs a script and writes a file (`benches/floor`), built on first use.
pub(crate) fn floor() -> Option<Command> {
    static BUILT: OnceLock<Option<PathBuf>> = OnceLock::new();
    let built = BUILT.get_or_init(|| {
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        let target = Path::new(env!("CARGO_TARGET_TMPDIR")).join("floor");
        let status = Command::new(env!("CARGO"))
            .args([
                "build",
                "--release",
                "--quiet",
                "--locked",
                "--manifest-path",
            ])
            .arg(root.join("benches/floor/Cargo.toml"))
            .arg("--target-dir")
            .arg(&target)
            .status();
        let program = target.join("release/floor");
        (status.is_ok_and(|s| s.success()) && program.exists()).then_some(program)
    });
    built.as_ref().map(|program| quiet(Command::new(program)))
}

fn quiet(mut command: Command) -> Command {
    command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    command
}

/// How long a process takes from start to end.
pub(crate) fn run(command: &mut Command) -> Duration {
    let (took, status) = timed(|| command.status().expect("the program starts"));
    assert!(status.success(), "{command:?}");
    took
}

/// The most memory that a process takes, in bytes, as Linux tells it; 0 elsewhere.
pub(crate) fn peak(command: &mut Command) -> u64 {
    let mut child = command.spawn().expect("the program starts");
    let mut peak = 0;
    // The mark only ever rises, so the last look before the end tells it.
    while child.try_wait().expect("the program is ours").is_none() {
        peak = peak.max(high_water(&child));
        std::thread::sleep(Duration::from_micros(200));
    }
    peak
}

fn high_water(child: &Child) -> u64 {
    let status = fs::read_to_string(format!("/proc/{}/status", child.id())).unwrap_or_default();
    status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))
        .and_then(|text| text.trim().trim_end_matches(" kB").parse::<u64>().ok())
        .map_or(0, |kib| kib * 1024)
}
