//! When a key counts: git, by the file of signers, and we, by the days of the people's file, say the same to the second.

use crate::bench::{Bench, Done, fingerprint, run};
use chrono::{DateTime, FixedOffset};
use pinindex::record::{Date, Moment};
use pinindex::register::{KeyStanding, Person, allowed_signers};
use std::collections::BTreeMap;

const ZONE: chrono_tz::Tz = chrono_tz::Europe::Vienna;

/// Days of a key, a moment, and whether the key counts then. Vienna left summer time on 25 October 2026 at 01:00 UTC (the
/// tz database).
const CASES: [(&str, &str, bool); 12] = [
    ("from: 2026-11-10, until: 2026-11-20", "2026-11-09T22:59:59Z", false),
    ("from: 2026-11-10, until: 2026-11-20", "2026-11-09T23:00:00Z", true),
    ("from: 2026-11-10, until: 2026-11-20", "2026-11-20T22:59:59Z", true),
    ("from: 2026-11-10, until: 2026-11-20", "2026-11-20T23:00:00Z", false),
    ("from: 2026-11-10", "2031-01-01T00:00:00Z", true),
    ("from: 2026-10-25, until: 2026-10-25", "2026-10-24T21:59:59Z", false),
    ("from: 2026-10-25, until: 2026-10-25", "2026-10-24T22:00:00Z", true),
    ("from: 2026-10-25, until: 2026-10-25", "2026-10-25T22:59:59Z", true),
    ("from: 2026-10-25, until: 2026-10-25", "2026-10-25T23:00:00Z", false),
    ("from: 2026-11-10, revoked: {on: 2026-11-15, because: lost}", "2026-11-14T22:59:59Z", true),
    ("from: 2026-11-10, revoked: {on: 2026-11-15, because: lost}", "2026-11-14T23:00:00Z", false),
    ("from: 2026-11-10, revoked: {on: 2026-11-10, because: lost}", "2026-11-10T12:00:00Z", false),
];

#[test]
fn git_and_we_agree_on_every_boundary() {
    let bench = Bench::new();
    let line = bench.make_key(".ssh/id_ed25519", "");
    let print = fingerprint(&bench.ssh("id_ed25519.pub"));
    let key = pinindex::signature::PublicKey::read(&line).unwrap().fingerprint();
    assert_eq!(key.to_string(), print);
    for (days, moment, counts) in CASES {
        let text = format!("name: A\nrole: provider\nemail: a@h.example\nsigning-keys: [{{key: {line}, {days}}}]\n");
        let person: Person = person_of(&text);
        let at = Moment(DateTime::<FixedOffset>::parse_from_rfc3339(moment).unwrap());
        let standing = person.standing_of_key(&key, Date(at.date_in(ZONE))).unwrap();
        assert_eq!(standing == KeyStanding::InForce, counts, "{days} at {moment}: {standing:?}");

        let people = BTreeMap::from([("a".to_owned(), person)]);
        bench.hospital.put("allowed-signers", &allowed_signers::text(&people, ZONE).unwrap_or_default());
        let mut git = bench.git(&["-c", "user.name=A", "-c", "user.email=a@h.example", "-c", "gpg.format=ssh"]);
        git.args(["-c", &format!("user.signingkey={}", bench.ssh("id_ed25519").display())]);
        git.env("GIT_COMMITTER_DATE", moment).args(["commit", "--quiet", "--allow-empty", "-S", "-m", "words"]);
        run(&mut git).is(0);
        // Wherever the one who looks may be, but for summer time: git hands ssh-keygen the time on the wall, and ssh-keygen
        // takes it for winter time.
        for zone in ["UTC", "Asia/Kathmandu"] {
            let done: Done = run(bench.git(&["verify-commit", "HEAD"]).env("TZ", zone));
            let is_good = done.status == 0 && done.said.contains("Good \"git\" signature for a@h.example");
            assert_eq!(is_good, counts, "{days} at {moment}, looked at in {zone}: {}", done.said);
            assert_eq!(done.said.contains("No principal matched"), !counts, "{days} at {moment}: {}", done.said);
        }
    }
}

/// Reads YAML as the program does.
fn person_of(text: &str) -> Person {
    serde_yaml::from_str(text).unwrap()
}

#[test]
fn a_key_of_somebody_else_has_no_standing() {
    let person: Person = person_of("name: A\nrole: provider\nemail: a@h.example\n");
    let bench = Bench::new();
    let line = bench.make_key("other", "");
    let key = pinindex::signature::PublicKey::read(&line).unwrap();
    assert_eq!(person.standing_of_key(&key.fingerprint(), "2026-11-27".parse().unwrap()), None);
}
