//! Killed at every call that writes, and at random instants: what was to be recorded is in the history or still where it
//! was, the next command works, and in the end everything is there exactly once.

use super::traced;
use super::ward::Done;
use super::works::{CHECK, CORRECTION, FAULT, KEEP, RECORD, SEAL, Work};
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use std::process::Stdio;
use std::time::Instant;

/// Random instants at which to kill, unless `SURVIVAL_INSTANTS` says another number.
const INSTANTS: u32 = 30;
/// Where the random numbers begin.
const BEGIN: u64 = 2026;

fn killed_at_each_call(work: &Work) {
    let trace = traced::trace(&(work.ward)(), work.arguments);
    for call in traced::worth_spoiling(&trace.calls, work.share) {
        let ward = (work.ward)();
        let killed = traced::kill_at(&ward, &call, work.arguments);
        named(&format!("killed before {call}"), || (work.survives)(&ward, &killed));
    }
}

/// Does what fails with words about where.
pub fn named(place: &str, survives: impl FnOnce()) {
    struct Told<'a>(&'a str);
    impl Drop for Told<'_> {
        fn drop(&mut self) {
            if std::thread::panicking() {
                println!("{}", self.0);
            }
        }
    }
    let _told = Told(place);
    survives();
}

#[test]
fn a_record_survives_a_kill_at_every_call() {
    killed_at_each_call(&RECORD);
}

#[test]
fn a_check_survives_a_kill_at_every_call() {
    killed_at_each_call(&CHECK);
}

#[test]
fn a_fault_survives_a_kill_at_every_call() {
    killed_at_each_call(&FAULT);
}

#[test]
fn a_correction_survives_a_kill_at_every_call() {
    killed_at_each_call(&CORRECTION);
}

#[test]
fn seals_survive_a_kill_at_every_call() {
    killed_at_each_call(&SEAL);
}

#[test]
fn a_kept_change_survives_a_kill_at_every_call() {
    killed_at_each_call(&KEEP);
}

#[test]
fn everything_survives_a_kill_at_random_instants() {
    let instants = std::env::var("SURVIVAL_INSTANTS").map_or(INSTANTS, |number| number.parse().expect("a number"));
    let mut chance = ChaCha8Rng::seed_from_u64(BEGIN);
    for number in 0..instants {
        let works = [&RECORD, &CHECK, &KEEP, &FAULT, &CORRECTION, &SEAL];
        let work = works[number as usize % works.len()];
        let begun = Instant::now();
        Done::of(&(work.ward)().program(work.arguments).output().unwrap()).is(0);
        // The second half of a run is where it writes.
        let mut after = begun.elapsed().mul_f64(chance.random_range(0.4..1.1));
        // On a machine that is less busy by now it may have ended before: then it is killed sooner, at last at once.
        loop {
            let ward = (work.ward)();
            let mut child = ward.program(work.arguments).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
            std::thread::sleep(after);
            child.kill().unwrap();
            let done = Done::of(&child.wait_with_output().unwrap());
            named(&format!("instant {number}, {after:?} after the start"), || (work.survives)(&ward, &done));
            if done.status.is_none() {
                break;
            }
            after /= 2;
        }
    }
}
