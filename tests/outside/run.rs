//! Runs a program that is not ours, or ours as people run it, and says what to do when it is missing.

use std::io::Write;
use std::process::{Command, Output, Stdio};

/// Gives the program its input and returns what came of it; a program that cannot be started fails the test.
pub fn run(command: &mut Command, input: &str) -> Output {
    let mut child =
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap_or_else(|error| {
            panic!("{command:?} cannot be started ({error}): `tests/run` installs what is missing")
        });
    let mut pipe = child.stdin.take().expect("standard input is a pipe");
    std::thread::scope(|scope| {
        // Beside the reading: a program that answers line by line would wait for us while we wait for it. One that ends
        // early has its own reason, which says more than a broken pipe.
        scope.spawn(move || pipe.write_all(input.as_bytes()));
        child.wait_with_output().expect("a program that was started can be waited for")
    })
}
