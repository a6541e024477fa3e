//! The program under `strace`: the calls by which it changes the disk, and what happens when one of them does not.

use super::ward::{Done, Ward};
use std::collections::HashMap;
use std::fmt;
use std::fs;
use std::os::unix::process::ExitStatusExt;
use std::process::{Command, Output};

/// The calls that change what is on the disk, or make sure of it, or tell a person.
const WRITING: [&str; 21] = [
    "openat",
    "creat",
    "write",
    "pwrite64",
    "writev",
    "rename",
    "renameat",
    "renameat2",
    "link",
    "linkat",
    "symlinkat",
    "unlink",
    "unlinkat",
    "mkdir",
    "mkdirat",
    "rmdir",
    "ftruncate",
    "fchmod",
    "fsync",
    "fdatasync",
    "flock",
];

/// One call that the program made.
#[derive(Debug, Clone)]
pub struct Call {
    pub name: String,
    /// Which of its calls of this name it was, from 1 on.
    pub number: usize,
    /// Everything that strace says of it; names of opened files stand behind their numbers.
    pub line: String,
}

impl Call {
    fn writes(&self) -> bool {
        self.name != "openat" || self.line.contains("O_CREAT")
    }

    pub fn failed(&self) -> bool {
        self.line.contains(") = -1 ")
    }

    /// Returns the texts between quotation marks: the paths of a call that names some.
    pub fn quoted(&self) -> Vec<String> {
        self.line.split('"').skip(1).step_by(2).map(str::to_owned).collect()
    }

    /// Returns the path of the open file that the call is about.
    pub fn file(&self) -> String {
        let behind = self.line.split_once('<').map_or("", |(_, behind)| behind);
        behind.split_once('>').map_or("", |(path, _)| path).to_owned()
    }
}

impl fmt::Display for Call {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} number {}: {}", self.name, self.number, self.line)
    }
}

/// The calls of a run that write, in order.
pub struct Trace {
    pub calls: Vec<Call>,
}

/// Runs the program and lists its calls that write.
pub fn trace(ward: &Ward, arguments: &[&str]) -> Trace {
    let (output, text) = strace(ward, &[], arguments);
    assert!(
        output.status.success() && !text.is_empty(),
        "the program cannot be watched: {output:?}\nstrace must be installed (`tests/run` does that) and this machine must \
         allow ptrace"
    );
    let mut numbers: HashMap<String, usize> = HashMap::new();
    // Other threads only read; the first line is the thread that writes.
    let main = text.split_whitespace().next().unwrap_or_default().to_owned();
    let mut calls = Vec::new();
    for line in text.lines() {
        let Some((thread, call)) = line.split_once(' ') else { continue };
        let call = call.trim_start();
        let Some((name, _)) = call.split_once('(').filter(|_| thread == main) else { continue };
        if !WRITING.contains(&name) {
            continue;
        }
        let number = numbers.entry(name.to_owned()).or_default();
        *number += 1;
        calls.push(Call { name: name.to_owned(), number: *number, line: call.to_owned() });
    }
    calls.retain(Call::writes);
    assert!(calls.len() > 20, "a record is not written with {} calls", calls.len());
    Trace { calls }
}

/// Returns the calls worth spoiling: all of them if asked for, else the first and the last of each run of alike ones, and
/// of those one in `share`.
pub fn worth_spoiling(calls: &[Call], share: usize) -> Vec<Call> {
    if all_asked_for() {
        return calls.to_vec();
    }
    let alike = |at: usize, other: Option<usize>| {
        other.and_then(|other| calls.get(other)).map(|c| &c.name) == Some(&calls[at].name)
    };
    let ends = (0..calls.len()).filter(|at| !(alike(*at, at.checked_sub(1)) && alike(*at, Some(at + 1))));
    ends.step_by(share).map(|at| calls[at].clone()).collect()
}

pub fn all_asked_for() -> bool {
    std::env::var("SURVIVAL").is_ok_and(|which| which == "all")
}

/// Kills the program as it is about to make a call.
pub fn kill_at(ward: &Ward, call: &Call, arguments: &[&str]) -> Done {
    let spoil = format!("inject={}:signal=KILL:when={}", call.name, call.number);
    let (output, _) = strace(ward, &["-e", &spoil], arguments);
    assert_eq!(output.status.signal(), Some(9), "it was not killed at {call}: {output:?}");
    Done::of(&output)
}

/// Lets a call of the program fail with an error such as ENOSPC.
pub fn fail_at(ward: &Ward, call: &Call, error: &str, arguments: &[&str]) -> Done {
    let spoil = format!("inject={}:error={error}:when={}", call.name, call.number);
    let (output, text) = strace(ward, &["-e", &spoil], arguments);
    assert!(text.contains("(INJECTED)"), "{call} did not fail: {output:?}");
    Done::of(&output)
}

fn strace(ward: &Ward, spoil: &[&str], arguments: &[&str]) -> (Output, String) {
    let log = ward.folder().join("strace.log");
    let program = ward.program(arguments);
    let mut command = Command::new("strace");
    // Not with --seccomp-bpf: a signal to be injected then comes too late or never (strace 6.1).
    command.args(["-f", "-qq", "-y", "-s", "200", "-e", &format!("trace={}", WRITING.join(","))]);
    command.args(spoil).arg("-o").arg(&log).arg("--").arg(program.get_program()).args(program.get_args());
    ward.surround(&mut command);
    // Only to find strace itself; the program gets the same and starts no other.
    command.env("PATH", std::env::var_os("PATH").unwrap_or_default());
    let output = command.output().unwrap_or_else(|error| {
        panic!("strace cannot be started ({error}): `tests/run` installs what is missing");
    });
    let text = fs::read_to_string(&log).unwrap_or_default();
    (output, text)
}
