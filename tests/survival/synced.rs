//! Nothing is announced before it would survive a power cut: the order of the calls, as strace saw them.
//!
//! That fsync brings a file to the disk is POSIX (IEEE Std 1003.1, fsync); that a new name needs an fsync of its folder as
//! well is in the Linux manual page fsync(2).

use super::traced::{self, Call};
use super::works::{CHECK, KEEP, RECORD, Work};
use std::collections::BTreeSet;

/// The files whose names a reader follows: what they rest on must be on the disk before they get their names.
const TURNING_POINTS: [&str; 3] = [".git/pinindex.pending", ".git/index", ".git/refs/heads/main"];

/// What was done to the disk and may not be there after a power cut.
#[derive(Default)]
struct Unsure {
    /// Files whose content was written.
    contents: BTreeSet<String>,
    /// Files and folders that got their names.
    names: BTreeSet<String>,
}

impl Unsure {
    fn note(&mut self, call: &Call) {
        let quoted = call.quoted();
        match (call.name.as_str(), quoted.as_slice()) {
            ("openat" | "mkdir", [path, ..]) => {
                self.names.insert(path.clone());
            }
            ("write", _) => {
                self.contents.insert(call.file());
            }
            ("fsync", _) => {
                let place = call.file();
                self.contents.remove(&place);
                self.names.retain(|name| folder(name) != place);
            }
            ("renameat" | "renameat2", [from, to]) => {
                self.names.remove(from);
                self.names.insert(to.clone());
                if self.contents.remove(from) {
                    self.contents.insert(to.clone());
                }
            }
            // What comes back after a power cut is a lock, a note or a file in the inbox: the next command knows them.
            ("unlink", [path]) => {
                self.names.remove(path);
                self.contents.remove(path);
            }
            ("flock", _) => {}
            (name, _) => panic!("what does {name} do to the disk? {call}"),
        }
    }

    /// Returns what must not be unsure: everything but locks, git's log of where the branch was, and the note of the newest
    /// commits, by which a rewritten history is known: no record rests on it.
    fn that_matters(&self) -> Vec<&String> {
        let all = self.contents.iter().chain(&self.names);
        let passing = |path: &str| {
            path.ends_with(".lock") || path.contains("/.git/logs/") || path.ends_with("/.git/pinindex.seen")
        };
        all.filter(|path| !passing(path)).collect()
    }
}

fn folder(path: &str) -> &str {
    path.rsplit_once('/').map_or("", |(folder, _)| folder)
}

fn is_synced_before_it_is_announced(work: &Work, announced: &str) {
    let trace = traced::trace(&(work.ward)(), work.arguments);
    let mut unsure = Unsure::default();
    let mut turned = Vec::new();
    for call in trace.calls.iter().filter(|call| !call.failed()) {
        if call.line.starts_with("write(1<") {
            assert!(call.line.contains(announced), "{call}");
            assert_eq!(unsure.that_matters(), Vec::<&String>::new(), "announced before it was sure to stay");
            assert_eq!(turned, TURNING_POINTS);
            return;
        }
        if let ("renameat", [from, to]) = (call.name.as_str(), call.quoted().as_slice())
            && let Some(point) = TURNING_POINTS.iter().find(|point| to.ends_with(*point))
        {
            assert!(!unsure.contents.contains(from), "its content is not sure to stay: {call}");
            let others: Vec<_> = unsure.that_matters().into_iter().filter(|path| *path != from).collect();
            assert_eq!(others, Vec::<&String>::new(), "not sure to stay: {call}");
            turned.push(*point);
        }
        unsure.note(call);
    }
    panic!("nothing was announced");
}

#[test]
fn a_record_is_synced_before_it_is_announced() {
    is_synced_before_it_is_announced(&RECORD, "recorded records/2026/");
}

#[test]
fn a_check_is_synced_before_it_is_announced() {
    is_synced_before_it_is_announced(&CHECK, "recorded records/2026/");
}

#[test]
fn a_kept_change_is_synced_before_it_is_announced() {
    is_synced_before_it_is_announced(&KEEP, "kept people.yaml");
}
