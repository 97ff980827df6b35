//! What the table was measured on.

use std::fs;
use std::process::Command;

/// Cores, processor, system and compiler, as one line of Markdown.
pub(crate) fn described() -> String {
    let cores = std::thread::available_parallelism().map_or(0, usize::from);
    let info = fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let processor = field(&info, "model name").unwrap_or("unknown processor");
    let release = fs::read_to_string("/etc/os-release").unwrap_or_default();
    let system = release
        .lines()
        .find_map(|line| line.strip_prefix("PRETTY_NAME="))
        .map_or(std::env::consts::OS, |name| name.trim_matches('"'));
    let memory = fs::read_to_string("/proc/meminfo").unwrap_or_default();
    let memory = field(&memory, "MemTotal")
        .and_then(|text| text.trim_end_matches(" kB").trim().parse::<f64>().ok())
        .map_or(String::new(), |kib| {
            format!(", {:.0} GiB of memory", kib / (1024.0 * 1024.0))
        });
    let compiler = Command::new("rustc").arg("-V").output().ok();
    let compiler = compiler.map_or_else(String::new, |told| {
        let told = String::from_utf8_lossy(&told.stdout);
        let version = told.split_whitespace().nth(1).unwrap_or_default();
        format!(", rustc {version}")
    });
    format!("{cores} cores ({processor}){memory}, {system}{compiler}\n")
}

fn field<'a>(text: &'a str, name: &str) -> Option<&'a str> {
    text.lines()
        .find_map(|line| line.strip_prefix(name)?.trim().strip_prefix(':'))
        .map(str::trim)
}
