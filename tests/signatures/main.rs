//! Signatures of commits, judged by git and ssh-keygen; and their signatures, judged by us.
//!
//! `bench.rs` is a hospital with keys of its own, a home folder and an agent. A machine without git and OpenSSH cannot pass
//! these tests. The form of a signature is that of OpenSSH's PROTOCOL.sshsig, the file of signers that of ssh-keygen(1).

#![cfg(test)]
#![cfg(unix)]
#![expect(clippy::disallowed_methods, reason = "a test runs programs and reads what they wrote")]

mod agent;
mod bench;
mod committed;
#[path = "../terminal/hospital.rs"]
#[expect(dead_code, reason = "the tests at the terminal use the rest")]
mod hospital;
mod judged;
mod kept;
mod passphrase;
#[path = "../terminal/seat.rs"]
#[expect(dead_code, reason = "the tests at the terminal use the rest")]
mod seat;
mod times;
mod turnover;
