//! The program `plyloom`: the command line of the library of the same name.

#![forbid(unsafe_code)]

use std::process::ExitCode;

fn main() -> ExitCode {
    plyloom::cli::run(std::env::args_os())
}
