//! A key that is locked with a passphrase, at a real terminal and without one.

use crate::bench::Bench;
use crate::seat::Seat;

const RIGHT: &str = "correct-battery";
const WRONG: &str = "incorrect-stapler";

/// A bench whose key is locked; the history knows it.
fn locked() -> Bench {
    let bench = Bench::new();
    let line = bench.make_key(".ssh/id_ed25519", RIGHT);
    bench.give_key("m-okafor", &line, "from: 2026-11-01");
    let why = "not signed: the key of Maryam Okafor is locked, and there is no terminal to ask for its passphrase at; `pinindex audit` will ask about it\n";
    bench.program(&["keep", "--by", "m-okafor"]).is(0).says("kept people.yaml").says(why);
    bench
}

fn shown(seat: &Seat) -> String {
    String::from_utf8_lossy(&seat.bytes).into_owned()
}

#[test]
fn the_passphrase_is_asked_again_when_it_is_wrong_and_never_shown() {
    let bench = locked();
    let file = bench.check(10);
    let mut seat = Seat::at(bench.command(&["record", &file]));
    seat.asks("Maryam Okafor signs with the key in", "passphrase:").press(&format!("{WRONG}\r"));
    seat.sees("That is not the passphrase of this key.").sees("passphrase:").press(&format!("{RIGHT}\r"));
    seat.sees("recorded records/2026/11/27/061050-theatre-1.check.yaml").sees("signed with the key SHA256:").ends();
    for secret in [RIGHT, WRONG] {
        assert!(!shown(&seat).contains(secret), "{}", shown(&seat));
    }
    bench.verify("HEAD").is(0);
}

#[test]
fn whoever_has_no_passphrase_at_hand_records_all_the_same() {
    let bench = locked();
    let file = bench.check(10);
    let mut seat = Seat::at(bench.command(&["record", &file]));
    seat.sees("passphrase:").press("\u{1b}");
    seat.sees("recorded records/").sees("not signed: no passphrase was given for the key of Maryam Okafor").ends();

    let file = bench.check(12);
    let mut seat = Seat::at(bench.command(&["record", &file]));
    for _ in 0..3 {
        seat.sees("passphrase:").press("no\r").sees("not the passphrase");
    }
    seat.sees("recorded records/").sees("the passphrase of the key of Maryam Okafor was wrong 3 times").ends();
    assert_eq!(bench.hospital.recorded().len(), 2);
    let head = bench.id("HEAD");

    let file = bench.check(14);
    let mut seat = Seat::at(bench.command(&["record", &file]));
    seat.sees("passphrase:").press("\u{3}").sees("stopped at the passphrase; nothing was committed").ends();
    assert_eq!(bench.id("HEAD"), head);
    assert!(bench.root().join(&file).exists());
}

#[test]
fn what_is_asked_for_at_the_terminal_is_signed_too() {
    let bench = locked();
    let mut fault =
        vec!["fault", "theatre-1", "--by", "m-okafor", "--found", "2026-11-27 06:00", "--found-during", "in-use"];
    fault.extend(["--what", "suction is weak", "--use", "withheld"]);
    let mut seat = Seat::at(bench.command(&fault));
    seat.asks("Maryam Okafor signs with the key in", "passphrase:").press(&format!("{RIGHT}\r"));
    seat.sees("recorded records/2026/11/27/060000-theatre-1.fault.yaml").sees("signed with the key SHA256:").ends();
    bench.verify("HEAD").is(0).says("Good \"git\" signature for m.okafor@hollerbruck.example");
}

#[test]
fn nobody_waits_for_somebody_at_a_passphrase() {
    let bench = locked();
    let file = bench.check(10);
    let mut seat = Seat::at(bench.command(&["record", &file]));
    seat.sees("passphrase:");
    bench.program(&["record", &bench.check(12)]).is(0).says("recorded records/2026/11/27/061250-theatre-1.check.yaml");
    seat.press(&format!("{RIGHT}\r")).sees("recorded records/2026/11/27/061050-theatre-1.check.yaml").ends();
    bench.verify("HEAD").is(0);
    assert_eq!(bench.hospital.recorded().len(), 2);
}
