//! The live page: what a browser shows, and what the server refuses.
//!
//! The harness is one that can tell why a test is ignored when it is its turn: `needs.rs`.

#[cfg(unix)]
#[macro_use]
mod needs;

#[cfg(unix)]
mod alone;
#[cfg(unix)]
mod arranging;
#[cfg(unix)]
mod asking;
#[cfg(unix)]
mod browser;
#[cfg(unix)]
mod checker;
#[cfg(unix)]
mod choosing;
#[cfg(unix)]
#[path = "../common/mod.rs"]
mod common;
#[cfg(unix)]
mod firefox;
#[cfg(unix)]
mod following;
#[cfg(unix)]
mod guarding;
#[cfg(unix)]
mod hands;
#[cfg(unix)]
mod keeping;
#[cfg(unix)]
mod keyboard;
#[cfg(unix)]
mod laying;
#[cfg(unix)]
mod looking;
#[cfg(unix)]
mod mirroring;
#[cfg(unix)]
mod module;
#[cfg(unix)]
mod moving;
#[cfg(unix)]
mod opening;
#[cfg(unix)]
mod phone;
#[cfg(unix)]
mod photo;
#[cfg(unix)]
mod picking;
#[cfg(unix)]
mod pinned;
#[cfg(unix)]
mod recalling;
#[cfg(unix)]
mod reminding;
#[cfg(unix)]
mod scene;
#[cfg(unix)]
mod seeing;
#[cfg(unix)]
mod sensing;
#[cfg(unix)]
mod served;
#[cfg(unix)]
mod shaping;
#[cfg(unix)]
mod stepping;
#[cfg(unix)]
mod ticking;
#[cfg(unix)]
mod touching;
#[cfg(unix)]
mod turning;
#[cfg(unix)]
mod writing;

#[cfg(unix)]
fn main() -> std::process::ExitCode {
    let arguments = libtest_mimic::Arguments::from_args();
    let trials = [
        alone::trials(),
        arranging::trials(),
        choosing::trials(),
        firefox::trials(),
        following::trials(),
        guarding::trials(),
        keeping::trials(),
        keyboard::trials(),
        laying::trials(),
        looking::trials(),
        mirroring::trials(),
        module::trials(),
        moving::trials(),
        opening::trials(),
        phone::trials(),
        photo::trials(),
        picking::trials(),
        pinned::trials(),
        recalling::trials(),
        reminding::trials(),
        seeing::trials(),
        sensing::trials(),
        served::trials(),
        shaping::trials(),
        stepping::trials(),
        ticking::trials(),
        touching::trials(),
        turning::trials(),
        writing::trials(),
    ];
    libtest_mimic::run(&arguments, trials.into_iter().flatten().collect()).exit_code()
}

/// The program is ended by signals here, which other systems have not.
#[cfg(not(unix))]
fn main() {}
