//! `plyloom man`: the manual as a page for `man`, made from the same definition as the help.

use clap::{Args, Command};
use clap_mangen::Man;

use super::cli_error::CliError;
use super::terminal::print_bytes;

/// Print the manual page, for all commands or for one
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  plyloom man | man -l -\n  plyloom man preview | man -l -")]
pub(super) struct ManArgs {
    /// The command to describe (default: all, in brief)
    #[arg(value_name = "COMMAND")]
    command: Option<String>,
}

pub(super) fn run(args: &ManArgs, mut definition: Command) -> Result<(), CliError> {
    definition.build();
    let page = match &args.command {
        None => Man::new(definition),
        Some(name) => {
            let names: Vec<String> = definition
                .get_subcommands()
                .map(|c| c.get_name().to_owned())
                .collect();
            let Some(command) = definition.find_subcommand(name) else {
                return Err(CliError::Usage {
                    message: format!("there is no command `{name}`"),
                    help: format!("the commands are {}", names.join(", ")),
                });
            };
            Man::new(command.clone().display_name(format!("plyloom-{name}")))
        }
    };
    let mut text = Vec::new();
    page.render(&mut text)?;
    print_bytes(&text)
}
