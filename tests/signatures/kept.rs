//! `allowed-signers` follows the people's file, and a private key is found where it may be and nowhere else.

use crate::bench::{Bench, fingerprint};

#[test]
fn keep_writes_the_file_with_the_people_in_one_commit() {
    let bench = Bench::new();
    let line = bench.make_key(".ssh/id_ed25519", "");
    bench.give_key("m-okafor", &line, "from: 2026-11-01, until: 2027-10-31");
    bench.program(&["validate"]).is(1).says("allowed-signers-differ").says("there is no `allowed-signers`");
    let done = bench.program(&["keep", "--by", "m-okafor"]).is(0).says("kept people.yaml (changed");
    done.says("kept allowed-signers (new, commit ").says("signed with the key ");
    let files = bench.hospital.git(&["show", "--name-only", "--format=", "HEAD"]);
    assert_eq!(files, "allowed-signers\npeople.yaml\n");
    let key = line.trim_end_matches(" made for a test");
    let text = bench.hospital.text("allowed-signers");
    let own = text.lines().filter(|line| !line.starts_with('#')).collect::<Vec<_>>();
    let due = format!(
        "m.okafor@hollerbruck.example namespaces=\"git\",valid-after=\"20261031230000Z\",valid-before=\"20271031225959Z\" {key}"
    );
    // Vienna is one hour before UTC in winter, which begins on 31 October in 2027 (the tz database).
    assert_eq!(own, [due]);
    bench.program(&["validate"]).is(0).keeps_silent_about("allowed-signers");
    bench.program(&["keep", "--by", "m-okafor"]).is(0).says("Nothing to keep");

    // A stranger's line in the folder is never kept.
    bench.hospital.put("allowed-signers", &format!("{text}stranger@h.example {key}\n"));
    bench.program(&["validate"]).is(1).says("`allowed-signers` is not what `people.yaml` gives");
    bench
        .program(&["keep", "--by", "m-okafor"])
        .is(0)
        .says("Nothing to keep")
        .says("In the folder allowed-signers was written anew");
    assert_eq!(bench.hospital.text("allowed-signers"), text);
    // Nor one that came into the history by git.
    bench.hospital.put("allowed-signers", &format!("{text}stranger@h.example {key}\n"));
    bench.hospital.git(&["-c", "user.name=A", "-c", "user.email=a@h.example", "commit", "--quiet", "-am", "x"]);
    bench.program(&["validate"]).is(1);
    bench.program(&["keep", "--by", "m-okafor"]).is(0).says("kept allowed-signers (changed");
    assert_eq!(bench.hospital.text("allowed-signers"), text);
    bench.program(&["validate"]).is(0);
    assert_eq!(bench.hospital.git(&["status", "--porcelain"]), "");

    // Where no key counts on any day there is no such file.
    let people = bench.hospital.text("people.yaml");
    let never = "from: 2026-11-01, revoked: {on: 2026-11-01, because: lost}";
    bench.hospital.put("people.yaml", &people.replacen("from: 2026-11-01, until: 2027-10-31", never, 1));
    bench
        .program(&["keep", "--by", "r-castellanos"])
        .is(0)
        .says("kept allowed-signers (taken out")
        .keeps_silent_about("signed with");
    assert!(!bench.root().join("allowed-signers").exists());
    bench.program(&["validate"]).is(0);
}

#[test]
fn a_key_that_cannot_be_read_or_is_private_is_not_kept() {
    let bench = Bench::new();
    let line = bench.make_key(".ssh/id_ed25519", "");
    bench.give_key("m-okafor", &line[..60], "from: 2026-11-01");
    let head = bench.id("HEAD");
    bench.program(&["keep", "--by", "m-okafor"]).is(1).says("signing-key-not-readable").says("nothing was kept");
    let private = std::fs::read_to_string(bench.ssh("id_ed25519")).unwrap();
    let block: String = private.lines().map(|line| format!("        {line}\n")).collect();
    let people = bench.hospital.text("people.yaml");
    let (before, rest) = people.split_once("    - {key: ").unwrap();
    let rest = rest.split_once('\n').unwrap().1;
    bench.hospital.put("people.yaml", &format!("{before}    - from: 2026-11-01\n      key: |\n{block}{rest}"));
    bench
        .program(&["keep", "--by", "m-okafor"])
        .is(1)
        .says("this is a private key")
        .says("use that key nowhere any more");
    assert_eq!(bench.id("HEAD"), head);
    assert!(!bench.root().join("allowed-signers").exists());
}

#[test]
fn a_named_file_is_used_when_it_is_the_persons_key_and_never_otherwise() {
    let bench = Bench::with_key();
    let print = fingerprint(&bench.ssh("id_ed25519.pub"));
    let mine = bench.home.path().join("stick");
    std::fs::rename(bench.ssh("id_ed25519"), &mine).unwrap();
    let record = |minute: u32, key: &str| {
        let file = bench.check(minute);
        bench.program(&["record", &file, "--signing-key", key]).is(0).says("recorded records/")
    };
    record(10, mine.to_str().unwrap()).says(&format!("signed with the key {print} of Maryam Okafor"));

    bench.make_key("other", "");
    let other = bench.home.path().join("other");
    record(12, other.to_str().unwrap()).says("not signed: the key of Maryam Okafor is not on this computer");
    record(14, "people.yaml").says("not signed: `").says("people.yaml` holds no private key that can be read");
    record(16, "/nowhere/at/all").says("holds no private key that can be read");
    let commit = bench.raw("HEAD");
    assert!(!commit.contains("gpgsig"), "{commit}");

    let file = bench.check(18);
    let mut command = bench.command(&["record", &file]);
    crate::bench::run(command.env("PININDEX_SIGNING_KEY", &mine)).is(0).says("signed with the key");
    bench.verify("HEAD").is(0);

    // Beside a public key with the right text lies another private key.
    std::fs::copy(&other, bench.ssh("id_ed25519")).unwrap();
    bench.program(&["record", &bench.check(20)]).is(0).says("is not on this computer");
    // Under any other name it is found.
    std::fs::rename(bench.ssh("id_ed25519.pub"), bench.ssh("of the hospital.pub")).unwrap();
    std::fs::copy(&mine, bench.ssh("of the hospital")).unwrap();
    bench.program(&["record", &bench.check(22)]).is(0).says("signed with the key");
}

#[test]
fn a_key_that_is_not_in_force_is_not_used_and_the_next_one_is() {
    let bench = Bench::new();
    let old = bench.make_key(".ssh/old", "");
    let new = bench.make_key(".ssh/new", "");
    let both = format!("from: 2026-01-01, until: 2026-10-31}}\n    - {{key: {new}, from: 2026-11-01");
    bench.give_key("m-okafor", &old, &both);
    bench.program(&["keep", "--by", "m-okafor"]).is(0).says(&fingerprint(&bench.ssh("new.pub")));
    std::fs::remove_file(bench.ssh("new")).unwrap();
    bench
        .program(&["record", &bench.check(10)])
        .is(0)
        .says("not signed: the key of Maryam Okafor is not on this computer");
}
