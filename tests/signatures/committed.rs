//! What the program signs, git and ssh-keygen call good; and nothing else.

use crate::bench::{Bench, fingerprint, run};
use pinindex::logbook::signed_commits;
use pinindex::signature::{Check, check};
use std::io::Write;
use std::process::{Command, Stdio};

/// Stores a commit as it is given, and returns its name.
fn store(bench: &Bench, raw: &str) -> String {
    let mut git = bench.git(&["hash-object", "-t", "commit", "-w", "--stdin"]);
    let mut child = git.stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
    child.stdin.take().unwrap().write_all(raw.as_bytes()).unwrap();
    let output = child.wait_with_output().unwrap();
    assert!(output.status.success());
    String::from_utf8(output.stdout).unwrap().trim().to_owned()
}

fn judge(bench: &Bench, commit: &str) -> Option<Check> {
    let signed = signed_commits(&bench.root(), &[commit]).unwrap().remove(0)?;
    Some(check(&signed.payload, &signed.armored))
}

#[test]
fn git_calls_a_record_good_and_names_its_recorder() {
    let bench = Bench::with_key();
    let print = fingerprint(&bench.ssh("id_ed25519.pub"));
    let done = bench.program(&["record", &bench.check(10)]).is(0);
    done.says("recorded records/2026/11/27/061050-theatre-1.check.yaml")
        .says(&format!("\nsigned with the key {print} of Maryam Okafor\n"));
    let good = format!("Good \"git\" signature for m.okafor@hollerbruck.example with ED25519 key {print}");
    bench.verify("HEAD").is(0).says(&good);
    bench.verify("HEAD~1").is(0).says(&good);
    assert_eq!(bench.hospital.recorded().len(), 1);

    // The line at the head of the file is what a person types.
    let signers = bench.hospital.text("allowed-signers");
    let line = signers.lines().find_map(|line| line.strip_prefix("#   git ")).unwrap();
    let mut typed = Command::new("sh");
    typed.current_dir(bench.root()).args(["-c", &format!("git {line} -2")]).env("GIT_CONFIG_GLOBAL", "/dev/null");
    let shown = run(typed.env("GIT_PAGER", "cat").env("LC_ALL", "C")).is(0).said;
    assert_eq!(shown.matches(&good).count(), 2, "{shown}");

    // ssh-keygen alone, on what was taken out of the commit.
    let signed = signed_commits(&bench.root(), &[bench.id("HEAD")]).unwrap().remove(0).unwrap();
    let file = bench.home.path().join("commit.sig");
    std::fs::write(&file, &signed.armored).unwrap();
    let payload = bench.home.path().join("commit");
    std::fs::write(&payload, &signed.payload).unwrap();
    let mut verify = Command::new("ssh-keygen");
    verify.current_dir(bench.root()).args(["-Y", "verify", "-n", "git", "-f", "allowed-signers"]);
    verify.args(["-I", "m.okafor@hollerbruck.example", "-Overify-time=20261127054210Z", "-s"]).arg(&file);
    let output = verify.stdin(std::fs::File::open(&payload).unwrap()).output().expect("ssh-keygen must be installed");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stdout));
    assert!(matches!(judge(&bench, &bench.id("HEAD")), Some(Check::Good(key)) if key.to_string() == print));
}

#[test]
fn any_other_text_under_a_signature_is_bad() {
    let bench = Bench::with_key();
    bench.program(&["record", &bench.check(10)]).is(0);
    let raw = bench.raw("HEAD");
    assert_eq!(store(&bench, &raw), bench.id("HEAD"));
    let parent = bench.id("HEAD~1");
    let others = [
        raw.replace("check passed", "check failed"),
        raw.replace("author Maryam Okafor", "author Rosa Castellanos"),
        raw.replace("committer Maryam Okafor", "committer Rosa Castellanos"),
        raw.replace(" +0100\ncommitter", " +0000\ncommitter"),
        raw.replace(&parent, &bench.id("HEAD~2")),
        format!("{raw}one word more\n"),
    ];
    for other in others {
        assert_ne!(other, raw);
        let commit = store(&bench, &other);
        let done = bench.verify(&commit);
        assert_ne!(done.status, 0, "{other}\n{}", done.said);
        done.keeps_silent_about("Good \"git\" signature");
        assert!(matches!(judge(&bench, &commit), Some(Check::Bad(..))), "{other}");
    }
}

#[test]
fn a_key_that_nobody_has_is_of_no_principal() {
    let bench = Bench::with_key();
    bench.make_key(".ssh/stranger", "");
    let key = bench.ssh("stranger");
    let mut amend = bench.git(&["-c", "user.name=Maryam Okafor", "-c", "user.email=m.okafor@hollerbruck.example"]);
    amend.args(["-c", "gpg.format=ssh", "-c", &format!("user.signingkey={}", key.display())]);
    run(amend.args(["commit", "--quiet", "--amend", "-S", "--message", "another text"])).is(0);
    let done = bench.verify("HEAD");
    assert_ne!(done.status, 0);
    done.says("No principal matched.");
    // The signature itself holds: only whose key it is speaks against it.
    let print = fingerprint(&bench.ssh("stranger.pub"));
    assert!(matches!(judge(&bench, &bench.id("HEAD")), Some(Check::Good(key)) if key.to_string() == print));
}

#[test]
fn whoever_takes_records_in_commits_and_signs_them() {
    let bench = Bench::with_key();
    let line = bench.make_key(".ssh/castellanos", "");
    bench.give_key("r-castellanos", &line, "from: 2026-11-20");
    bench.program(&["keep", "--by", "r-castellanos"]).is(0).says("of Rosa Castellanos");
    let file = bench.check(10);
    bench.program(&["record", &file, "--by", "r-castelanos"]).is(2).says("did you mean `r-castellanos`?");
    assert!(bench.root().join(&file).exists());
    bench.program(&["record", &file, "--by", "r-castellanos"]).is(0).says("of Rosa Castellanos\n");
    let who = bench.hospital.git(&["log", "-1", "--format=%an, %cn, %aI"]);
    assert_eq!(who, "Maryam Okafor, Rosa Castellanos, 2026-11-27T06:10:55+01:00\n");
    bench.verify("HEAD").is(0).says("Good \"git\" signature for r.castellanos@hollerbruck.example");
    // Without a word about it the recorder commits.
    bench.program(&["record", &bench.check(12)]).is(0).says("of Maryam Okafor\n");
    assert_eq!(bench.hospital.git(&["log", "-1", "--format=%cn"]), "Maryam Okafor\n");
}

#[test]
fn each_record_of_an_inbox_is_signed_with_the_key_of_its_recorder() {
    let bench = Bench::with_key();
    bench.check(10);
    bench.check(12);
    let other = bench.hospital.text(&bench.check(14)).replace("m-okafor", "r-castellanos");
    bench.hospital.put("inbox/14.yaml", &other);
    let done = bench.program(&["record", "inbox"]).is(0);
    assert_eq!(done.said.matches("signed with the key").count(), 1, "{}", done.said);
    for commit in ["HEAD~1", "HEAD~2"] {
        bench.verify(commit).is(0);
    }
    assert_eq!(judge(&bench, &bench.id("HEAD")), None);
}

#[test]
fn without_a_key_the_commit_is_what_git_itself_would_make_and_nothing_is_said() {
    let bench = Bench::new();
    bench.program(&["record", &bench.check(10)]).is(0).keeps_silent_about("signed");
    let tree = bench.id("HEAD^{tree}");
    let mut git = bench.git(&["commit-tree", &tree, "-p", "HEAD~1", "-F", "-"]);
    for (name, value) in [
        ("GIT_AUTHOR_NAME", "Maryam Okafor"),
        ("GIT_AUTHOR_EMAIL", "m.okafor@hollerbruck.example"),
        ("GIT_AUTHOR_DATE", "2026-11-27T06:10:55+01:00"),
        ("GIT_COMMITTER_NAME", "Maryam Okafor"),
        ("GIT_COMMITTER_EMAIL", "m.okafor@hollerbruck.example"),
        ("GIT_COMMITTER_DATE", crate::bench::NOW),
    ] {
        git.env(name, value);
    }
    let mut child = git.stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
    let (_, message) = bench.raw("HEAD").split_once("\n\n").map(|(a, b)| (a.to_owned(), b.to_owned())).unwrap();
    child.stdin.take().unwrap().write_all(message.as_bytes()).unwrap();
    let output = child.wait_with_output().unwrap();
    assert_eq!(String::from_utf8(output.stdout).unwrap().trim(), bench.id("HEAD"));
}

#[test]
fn a_crash_before_the_branch_moves_ends_in_the_very_same_signed_commit() {
    let bench = Bench::with_key();
    let before = bench.id("HEAD");
    bench.program(&["record", &bench.check(10)]).is(0);
    let made = bench.id("HEAD");
    // As a crash leaves it: the file, the objects and the note are there, index and branch are not.
    bench.hospital.git(&["reset", "--quiet", "--soft", &before]);
    bench.hospital.git(&["read-tree", &before]);
    bench.hospital.put(".git/pinindex.pending", &format!("{before} {made}\n"));
    bench.program(&["record", &bench.check(12)]).is(0).says("signed with the key");
    assert_eq!(bench.id("HEAD~1"), made);
    bench.verify("HEAD~1").is(0);
    bench.verify("HEAD").is(0);
    assert_eq!(bench.hospital.recorded().len(), 2);
}
