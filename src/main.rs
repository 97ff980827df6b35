//! The program `plyloom`: the command line of the library of the same name.

use std::process::ExitCode;

fn main() -> ExitCode {
    plyloom::cli::run(std::env::args_os())
}
