//! Nobody is fooled by a file, a name, a history or a text that means harm: the program as it is built, run with a
//! gibibyte of memory, on logbooks that real git made.
//!
//! Every command must end by itself, soon and without a crash, say which file it is about, and leave everything outside
//! the logbook as it was.

#![cfg(test)]
#![expect(clippy::disallowed_methods, reason = "a test runs programs, and reads and writes files")]

mod bounds;
mod commits;
mod corpus;
mod files;
mod git_folder;
mod ground;
mod histories;
mod honest;
mod links;
mod names;
mod owner;
#[path = "../outside/run.rs"]
mod run;
mod shown;
mod surroundings;
mod texts;
