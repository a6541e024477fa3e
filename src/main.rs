//! The program: parse, run, and turn the outcome into an exit status.
//!
//! 0: nothing wrong. 1: faults in records. 2: the work could not be done.

use pinindex::cli;
use std::process::ExitCode;

fn main() -> ExitCode {
    match cli::run() {
        Ok(cli::Outcome::Clean) => ExitCode::SUCCESS,
        Ok(cli::Outcome::Problems) => ExitCode::from(1),
        // Whoever read the output has seen enough, as in `pinindex history theatre-1 | head`.
        Err(error) if cli::is_broken_pipe(&error) => ExitCode::SUCCESS,
        Err(error) => {
            cli::complain(&error);
            ExitCode::from(2)
        }
    }
}
