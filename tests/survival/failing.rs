//! A call that writes fails: the disk is full or broken, or something may not be written. The person is told plainly and
//! with a next step, what was announced is there, and once the obstacle is gone the same command does its work.

use super::killed::named;
use super::traced;
use super::works::{CHECK, CORRECTION, FAULT, KEEP, RECORD, SEAL, Work};

/// No room, a broken disk, no permission.
const ERRORS: [&str; 3] = ["ENOSPC", "EIO", "EACCES"];

/// Lets each call fail; with another error each time, and with all of them where every call is asked for.
fn each_call_fails(work: &Work) {
    let trace = traced::trace(&(work.ward)(), work.arguments);
    for (number, call) in traced::worth_spoiling(&trace.calls, work.share + 1).iter().enumerate() {
        let errors = if traced::all_asked_for() { &ERRORS[..] } else { &ERRORS[number % 3..][..1] };
        for error in errors {
            let ward = (work.ward)();
            let done = traced::fail_at(&ward, call, error, work.arguments);
            named(&format!("{error} from {call}\n{done:#?}"), || {
                // Some failures change nothing, such as a half-written file that cannot be taken away.
                if done.status == Some(0) {
                    assert!(done.err.is_empty());
                    let begins = |word| done.out.starts_with(word);
                    assert!(["recorded ", "kept ", "sealed "].into_iter().any(begins));
                } else {
                    assert_eq!(done.status, Some(2));
                    done.speaks_plainly();
                }
                (work.survives)(&ward, &done);
            });
        }
    }
}

#[test]
fn a_record_survives_the_failure_of_every_call() {
    each_call_fails(&RECORD);
}

#[test]
fn a_check_survives_the_failure_of_every_call() {
    each_call_fails(&CHECK);
}

#[test]
fn a_kept_change_survives_the_failure_of_every_call() {
    each_call_fails(&KEEP);
}

#[test]
fn a_fault_survives_the_failure_of_every_call() {
    each_call_fails(&FAULT);
}

#[test]
fn a_correction_survives_the_failure_of_every_call() {
    each_call_fails(&CORRECTION);
}

#[test]
fn seals_survive_the_failure_of_every_call() {
    each_call_fails(&SEAL);
}
