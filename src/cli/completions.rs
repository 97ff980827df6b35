//! `plyloom completions`: what a shell needs to complete our command lines.

use clap::{Args, Command};
use clap_complete::Shell;

use super::cli_error::CliError;
use super::terminal::print_bytes;

/// Print the completions of this command line for a shell
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  plyloom completions bash > ~/.local/share/bash-completion/completions/plyloom\n  \
                  plyloom completions zsh > ~/.zfunc/_plyloom\n  \
                  plyloom completions fish > ~/.config/fish/completions/plyloom.fish"
)]
pub(super) struct CompletionsArgs {
    /// The shell
    #[arg(value_name = "SHELL")]
    shell: Shell,
}

pub(super) fn run(args: &CompletionsArgs, definition: &mut Command) -> Result<(), CliError> {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, definition, "plyloom", &mut script);
    print_bytes(&script)
}
