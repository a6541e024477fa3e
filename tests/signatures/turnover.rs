//! Keys that are lost, stolen, replaced or end, and people who come and go: what DEVELOPERS.md says to do can be done, and
//! leaves nothing that the audit calls a fault.

use crate::bench::{Bench, Done, NOW, fingerprint, run};
use std::path::Path;

/// What happened, as the table in DEVELOPERS.md has it, and doing what it says there.
const ROWS: [(&str, fn()); 9] = [
    ("a new key takes the place of the old one", in_time),
    ("a key, or its passphrase, is lost", lost),
    ("a key may be in other hands", stolen),
    ("somebody leaves", leaves),
    ("somebody comes back", comes_back),
    ("the only person with a key loses it", only_one_with_a_key),
    ("the only person of all loses the key", only_one),
    ("a key ran out before there was a new one", ran_out),
    ("a key stands under the wrong name", wrong_name),
];

const TODAY: &str = "2026-11-27";
/// A moment of the same day, before that of all else.
const EARLIER: &str = "2026-11-27T06:20:00+01:00";

#[test]
fn what_the_table_says_can_be_done() {
    let text = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("DEVELOPERS.md")).unwrap();
    let (_, rest) =
        text.split_once("| what happened | what to write into `people.yaml` | who keeps it |\n| --- |").unwrap();
    let rows: Vec<&str> = rest.lines().skip(1).map_while(|line| line.strip_prefix("| ")?.split(" | ").next()).collect();
    assert_eq!(rows, ROWS.map(|(what, _)| what));
    std::thread::scope(|scope| {
        for (_, play) in ROWS {
            scope.spawn(play);
        }
    });
}

/// A bench with the commit from which on the audit must be clean; before it stands what the tests' own git committed.
struct Ward {
    bench: Bench,
    start: String,
}

impl Ward {
    /// Okafor has the key in `.ssh/id_ed25519`.
    fn new() -> Ward {
        Ward::of(Bench::with_key())
    }

    fn of(bench: Bench) -> Ward {
        let start = bench.id("HEAD");
        Ward { bench, start }
    }

    /// Makes another key of Okafor and returns its entry from today on.
    fn new_key(&self) -> String {
        let line = self.bench.make_key(".ssh/new", "");
        format!("    - {{key: {line}, from: {TODAY}}}\n")
    }

    fn text(&self) -> String {
        self.bench.hospital.text("people.yaml")
    }

    /// Writes more into the one entry of Okafor's key, and other entries after it.
    fn end_key(&self, how: &str, others: &str) {
        let text = self.text();
        let (before, own) = text.split_once("m-okafor:\n").unwrap();
        let (own, entry) = own.split_once("    - {key: ").unwrap();
        let (entry, after) = entry.split_once("}\n").unwrap();
        let text = format!("{before}m-okafor:\n{own}    - {{key: {entry}{how}}}\n{others}{after}");
        self.bench.hospital.put("people.yaml", &text);
    }

    fn keep(&self, by: &str) -> Done {
        self.bench.program(&["keep", "--by", by])
    }

    /// A check of Okafor is taken in; says by which key it is signed.
    fn records(&self, minute: u32) -> Done {
        self.bench.program(&["record", &self.bench.check(minute)]).is(0)
    }

    /// The old key is not on this computer any more, and the new one signs.
    fn goes_on_with_the_new_key(&self) {
        let _ = std::fs::remove_file(self.bench.ssh("id_ed25519"));
        let print = fingerprint(&self.bench.ssh("new.pub"));
        self.records(30).says(&format!("signed with the key {print} of Maryam Okafor"));
        self.bench.verify("HEAD").is(0);
    }

    fn audit(&self) -> Done {
        self.bench.program(&["audit", "--since", &self.start, "--format", "short"])
    }

    fn is_clean(&self) {
        self.audit().is(0).says(": no problems, 0 findings\n");
        assert_eq!(self.bench.hospital.git(&["status", "--porcelain", "--untracked-files=no"]), "");
    }

    fn is_asked_about(&self, rule: &str) {
        self.audit().is(0).says(": no problems, 1 finding\n").says(&format!("finding[{rule}]"));
    }
}

const OWN_END: &str = "this ends every key that Maryam Okafor could sign it with";

fn in_time() {
    let ward = Ward::new();
    let new = ward.new_key();
    ward.end_key(&format!(", until: {TODAY}"), &new);
    let old = fingerprint(&ward.bench.ssh("id_ed25519.pub"));
    ward.keep("m-okafor").is(0).says(&format!("signed with the key {old} of Maryam Okafor"));
    ward.goes_on_with_the_new_key();
    ward.is_clean();
}

fn lost() {
    let bench = Bench::new();
    let castellanos = bench.make_key("castellanos", "");
    bench.give_key("r-castellanos", &castellanos, "from: 2026-11-01");
    let with = bench.home.path().join("castellanos");
    let with = ["--signing-key", with.to_str().unwrap()];
    let mut first = bench.command_at(EARLIER, &["keep", "--by", "r-castellanos"]);
    run(first.args(with)).is(0).says("of Rosa Castellanos");
    let okafor = bench.make_key(".ssh/id_ed25519", "");
    bench.give_key("m-okafor", &okafor, "from: 2026-11-01");
    bench.program(&["keep", "--by", "m-okafor"]).is(0).says("of Maryam Okafor");
    let ward = Ward::of(bench);
    let keep = |by: &str| run(ward.bench.command(&["keep", "--by", by]).args(with));
    std::fs::remove_file(ward.bench.ssh("id_ed25519")).unwrap();
    ward.records(10).says("not signed: the key of Maryam Okafor is not on this computer");
    let new = ward.new_key();
    ward.end_key(&format!(", revoked: {{on: {TODAY}, because: lost}}"), &new);
    let head = ward.bench.id("HEAD");
    keep("m-okafor").is(2).says(OWN_END).says("let somebody else keep it");
    assert_eq!(ward.bench.id("HEAD"), head);
    keep("r-castellanos").is(0).says("of Rosa Castellanos");
    ward.goes_on_with_the_new_key();
    // The record of the day between is asked about: it could be anybody's.
    ward.is_asked_about("signature-missing");
}

fn stolen() {
    let ward = Ward::new();
    let new = ward.new_key();
    ward.end_key(&format!(", revoked: {{on: {TODAY}, because: stolen}}"), &new);
    ward.keep("m-okafor").is(2).says(OWN_END);
    ward.keep("r-castellanos").is(0);
    ward.is_clean();
    let mut thief = ward.bench.git(&["-c", "user.name=Maryam Okafor", "-c", "user.email=m.okafor@hollerbruck.example"]);
    thief.args(["-c", "gpg.format=ssh", "-c", &format!("user.signingkey={}", ward.bench.ssh("id_ed25519").display())]);
    thief.env("GIT_COMMITTER_DATE", NOW).env("GIT_AUTHOR_DATE", NOW);
    run(thief.args(["commit", "--quiet", "--allow-empty", "-S", "--message", "mine"])).is(0);
    ward.audit().is(1).says("signature-of-revoked-key");
    ward.goes_on_with_the_new_key();
}

fn leaves() {
    let ward = Ward::new();
    let text = ward.text();
    let until = |day: &str| {
        ward.bench
            .hospital
            .put("people.yaml", &text.replacen("  signing-keys:", &format!("  until: {day}\n  signing-keys:"), 1));
    };
    until("2026-11-26");
    ward.keep("m-okafor").is(2).says(OWN_END);
    until(TODAY);
    ward.keep("m-okafor").is(0).says("signed with the key ");
    ward.is_clean();
}

fn comes_back() {
    let ward = Ward::new();
    let here = ward.text();
    let gone = here.replacen("  signing-keys:", "  until: 2026-11-26\n  signing-keys:", 1);
    ward.bench.hospital.put("people.yaml", &gone);
    ward.keep("r-castellanos").is(0);
    ward.bench.hospital.put("people.yaml", &here);
    ward.keep("r-castellanos").is(2).says("a key of Maryam Okafor that has ended would count again");
    let new = ward.new_key();
    ward.end_key(", until: 2026-11-26", &new);
    ward.keep("r-castellanos").is(0);
    ward.goes_on_with_the_new_key();
    ward.is_clean();
}

fn only_one_with_a_key() {
    let ward = Ward::new();
    std::fs::remove_file(ward.bench.ssh("id_ed25519")).unwrap();
    let new = ward.new_key();
    ward.end_key(&format!(", revoked: {{on: {TODAY}, because: lost}}"), &new);
    ward.keep("m-okafor").is(2).says(OWN_END);
    ward.keep("r-castellanos").is(0).keeps_silent_about("signed");
    ward.goes_on_with_the_new_key();
    ward.is_clean();
}

fn only_one() {
    let bench = Bench::with_key();
    let text = bench.hospital.text("people.yaml");
    let (_, own) = text.split_once("m-okafor:\n").unwrap();
    let own: String = own.lines().take_while(|line| line.starts_with(' ')).map(|line| format!("{line}\n")).collect();
    bench.hospital.put("people.yaml", &format!("m-okafor:\n{own}"));
    bench.program(&["keep", "--by", "m-okafor"]).is(0).says("signed with");
    let ward = Ward::of(bench);
    std::fs::remove_file(ward.bench.ssh("id_ed25519")).unwrap();
    let new = ward.new_key();
    ward.end_key(&format!(", revoked: {{on: {TODAY}, because: lost}}"), &new);
    let why = "not signed: this ends every key of Maryam Okafor; `pinindex audit` will ask about it";
    ward.keep("m-okafor").is(0).says(why);
    ward.goes_on_with_the_new_key();
    ward.is_asked_about("signature-missing");
}

fn ran_out() {
    let bench = Bench::new();
    let line = bench.make_key(".ssh/id_ed25519", "");
    bench.give_key("m-okafor", &line, "from: 2026-11-01, until: 2026-11-26");
    let mut keep = bench.command_at("2026-11-25T08:00:00+01:00", &["keep", "--by", "m-okafor"]);
    run(&mut keep).is(0).says("signed with the key");
    let ward = Ward::of(bench);
    let check = ward.bench.check(10);
    run(&mut ward.bench.command_at(EARLIER, &["record", &check])).is(0).keeps_silent_about("signed");
    let new = ward.new_key();
    ward.end_key("", &new);
    ward.keep("m-okafor").is(0).keeps_silent_about("signed");
    ward.goes_on_with_the_new_key();
    ward.is_clean();
}

fn wrong_name() {
    let bench = Bench::new();
    let line = bench.make_key(".ssh/id_ed25519", "");
    bench.give_key("m-okafor", &line, "from: 2026-11-01");
    bench.program(&["keep", "--by", "r-castellanos"]).is(0);
    let ward = Ward::of(bench);
    let new = ward.new_key();
    ward.end_key(", revoked: {on: 2026-11-01, because: put under the wrong name}", &new);
    ward.keep("r-castellanos").is(0);
    ward.goes_on_with_the_new_key();
    ward.is_clean();
}

#[test]
fn a_key_is_never_taken_off_the_list_by_keep() {
    let ward = Ward::new();
    let people = ward.text();
    let (before, rest) = people.split_once("  signing-keys:\n").unwrap();
    ward.bench.hospital.put("people.yaml", &format!("{before}{}", rest.split_once('\n').unwrap().1));
    for by in ["m-okafor", "r-castellanos"] {
        ward.keep(by).is(2).says("a key of Maryam Okafor would be gone from `people.yaml`").says("`until: 2026-11-27`");
    }
    assert_eq!(ward.bench.id("HEAD"), ward.start);
}

#[test]
fn keep_leaves_no_file_of_signers_behind_when_its_commit_fails() {
    let bench = Bench::new();
    let line = bench.make_key(".ssh/id_ed25519", "");
    bench.give_key("m-okafor", &line, "from: 2026-11-01");
    let lock = bench.root().join(".git/index.lock");
    std::fs::write(&lock, "").unwrap();
    bench.program(&["keep", "--by", "m-okafor"]).is(2);
    assert!(!bench.root().join("allowed-signers").exists());
    std::fs::remove_file(&lock).unwrap();
    bench.program(&["keep", "--by", "m-okafor"]).is(0);
    let kept = bench.hospital.text("allowed-signers");

    bench.give_key("r-castellanos", &bench.make_key("other", ""), "from: 2026-11-01");
    std::fs::write(&lock, "").unwrap();
    bench.program(&["keep", "--by", "m-okafor"]).is(2);
    assert_eq!(bench.hospital.text("allowed-signers"), kept);
}
