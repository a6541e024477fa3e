//! `pinindex completions`: what a shell needs to complete commands and options.

use crate::cli::{Cli, Outcome};
use clap::CommandFactory;

/// Write the completions for a shell to standard output
#[derive(clap::Args, Debug)]
#[command(after_help = "Example:\n  pinindex completions bash > pinindex.bash")]
pub struct Arguments {
    /// The shell
    #[arg(value_enum)]
    shell: clap_complete::Shell,
}

/// Runs the command.
pub fn run(arguments: Arguments) -> anyhow::Result<Outcome> {
    let mut text = Vec::new();
    clap_complete::generate(arguments.shell, &mut Cli::command(), "pinindex", &mut text);
    std::io::Write::write_all(&mut std::io::stdout().lock(), &text)?;
    Ok(Outcome::Clean)
}
