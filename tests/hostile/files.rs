//! Files that mean harm, handed in and lying in the history: each is told by its name, with line and column where it has
//! text, and the rest of the logbook is shown all the same.

use super::ground::{CHECK, Ground, RECORD};
use std::fs::{self, File};
use std::path::Path;

/// A file, and the rule that finds fault with it.
struct Hostile {
    name: &'static str,
    bytes: Vec<u8>,
    rule: &'static str,
}

/// What the check of the small logbook says, with one piece in the place of another.
fn check_with(from: &str, to: &str) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pages-base").join(CHECK);
    let text = fs::read_to_string(path).unwrap().replace("2026-11-23T06:5", "2026-11-25T06:5");
    assert!(text.contains(from), "{from}");
    text.replace(from, to).into_bytes()
}

fn remark(text: &str) -> Vec<u8> {
    check_with("by: [m-okafor]", &format!("by: [m-okafor]\nremarks: {text}"))
}

fn reading(text: &str) -> Vec<u8> {
    check_with("1450 psi", text)
}

fn hostile_files() -> Vec<Hostile> {
    let of = |name, rule, bytes: Vec<u8>| Hostile { name, bytes, rule };
    let text = |name, rule, text: String| Hostile { name, bytes: text.into_bytes(), rule };
    let bomb: String =
        (1..=9).map(|n| format!("a{n}: &a{n} [{}]\n", vec![format!("*a{}", n - 1); 9].join(","))).collect();
    let blocks: String = (0..200).map(|n| format!("{}a:\n", " ".repeat(n))).collect();
    let many_keys: String = (0..5000).map(|n| format!("k{n}: 1\n")).collect();
    vec![
        text("alias-bomb", "not-plain-yaml", format!("record: check\na0: &a0 x\n{bomb}")),
        text("brackets", "not-yaml", "[".repeat(60_000)),
        text("braces", "not-yaml", "{a: ".repeat(15_000)),
        text("dashes", "nested-too-deep", "- ".repeat(30_000)),
        text("questions", "nested-too-deep", "? ".repeat(30_000)),
        text("blocks", "nested-too-deep", blocks),
        text("many-keys", "unknown-field", format!("record: check\n{many_keys}")),
        text("one-key-often", "repeated-key", format!("record: check\n{}", "a: 1\n".repeat(12_000))),
        text("long-key", "unknown-field", format!("record: check\n? {}\n: 1\n", "k".repeat(60_000))),
        text("long-line", "unknown-field", format!("record: check\nx: \"{}\"\n", "\\u0041".repeat(10_000))),
        text("many-items", "wrong-shape", format!("record: check\nby: [{}]\n", "a,".repeat(30_000))),
        text("documents", "more-than-one-document", "---\n".repeat(15_000)),
        text("directives", "not-yaml", "%YAML 1.1\n%YAML 1.2\n".repeat(1000)),
        text("comments-only", "empty-file", "#\n".repeat(30_000)),
        of("zero-bytes", "hidden-character", vec![0; 60_000]),
        of("utf-16", "not-utf-8", [&b"\xff\xfe"[..], &b"r\0e\0c\0o\0r\0d\0"[..]].concat()),
        of("half-a-pair", "not-utf-8", b"record: \xed\xa0\x80\n".to_vec()),
        of("too-long-form", "not-utf-8", b"record: \xc0\xaf\n".to_vec()),
        of("escape-codes", "hidden-character", remark("\u{1b}]52;c;aGVsbG8=\u{7}")),
        of("turned-line", "hidden-character", remark("\u{202e}dessap\u{202c}")),
        of("isolated-line", "hidden-character", remark("\u{2067}dessap\u{2069}")),
        of("deleted", "hidden-character", remark("fail\u{7f}\u{7f}pass")),
        of("next-line", "hidden-character", remark("a\u{85}b")),
        of("tag", "not-plain-yaml", remark("!!python/object/apply:os.system [id]")),
        of("merge", "not-plain-yaml", remark("x\n<<: {by: [r-castellanos]}")),
        of("list-as-key", "not-plain-yaml", remark("x\n? [a]\n: 1")),
        of("too-high-to-be-a-number", "unknown-unit", reading("1e400 psi")),
        of("many-digits", "not-a-quantity", reading(&format!("{} psi", "9".repeat(400)))),
        of("hexadecimal", "unknown-unit", reading("0x5AA psi")),
        of("underscore", "unknown-unit", reading("1_450 psi")),
        of("exponent", "unknown-unit", reading("1.45e3 psi")),
        of("no-number", "not-a-quantity", reading("NaN psi")),
        of("no-end", "not-a-quantity", reading("inf psi")),
        of("yaml-no-number", "not-a-quantity", reading(".nan")),
        of("bare-overflow", "unknown-unit", reading("1e400")),
        of("other-digits", "not-a-quantity", reading("\"\u{661}\u{662}\u{663} psi\"")),
        of("huge-revision", "wrong-shape", check_with("revision: 1", "revision: 99999999999999999999")),
        of("half-a-revision", "wrong-shape", check_with("revision: 1", "revision: 1.5")),
        of("no-such-day", "not-a-moment", check_with("finished: \"2026-11-25", "finished: \"2026-02-30")),
        of("before-time", "not-a-moment", check_with("finished: \"2026-11-25", "finished: \"-0001-11-25")),
        of(
            "far-offset",
            "not-a-moment",
            check_with("recorded: \"2026-11-25T06:53:00+01:00", "recorded: \"2026-11-25T06:53:00+99:99"),
        ),
        text("carriage-returns", "not-yaml", "record: check\rmachine: [\r".to_owned()),
        text("open-quote", "not-yaml", format!("record: \"{}", "\n".repeat(60_000))),
        text("open-block", "unknown-field", format!("record: check\nx: |9\n{}", "          a\n".repeat(5000))),
    ]
}

#[test]
fn handed_in_each_is_refused_with_its_place() {
    let ground = Ground::new();
    let mut astray = Vec::new();
    for Hostile { name, bytes, .. } in hostile_files() {
        fs::write(ground.inbox().join(format!("{name}.yaml")), bytes).unwrap();
    }
    let done = ground.run(&["record", "--format", "short", "../inbox"]).is(1);
    for Hostile { name, rule, .. } in hostile_files() {
        let start = format!("../inbox/{name}.yaml:");
        let told: Vec<&str> = done.out.lines().filter_map(|line| line.strip_prefix(&start)).collect();
        if !told.iter().any(|line| line.contains(&format!("problem[{rule}]"))) {
            astray.push(format!("{name}, expected {rule}: {told:?}"));
        }
        for place in told {
            let mut numbers = place.splitn(3, ':').take(2).map(str::parse::<usize>);
            assert!(numbers.all(|n| n.is_ok_and(|n| n >= 1)), "{name}: {place}");
        }
    }
    assert_eq!(astray, [""; 0]);
    let all = hostile_files().len();
    assert!(done.out.contains(&format!("{all} files refused")), "{}", done.out);
    assert_eq!(fs::read_dir(ground.inbox()).unwrap().count(), all, "a refused file stays where it was");
    assert_eq!(ground.git(&["log", "--format=%s"]), "As it was handed over");
}

#[test]
fn in_the_history_each_is_told_and_the_rest_is_shown() {
    let ground = Ground::new();
    let places: Vec<(String, &str)> = hostile_files()
        .into_iter()
        .enumerate()
        .map(|(n, hostile)| {
            let path = format!("records/2026/11/25/07{:02}{:02}-theatre-1.check.yaml", n / 60, n % 60);
            ground.put(&path, hostile.bytes);
            (path, hostile.rule)
        })
        .collect();
    ground.commit_all();
    let all = ground.look_at_all();
    let short = ground.run(&["validate", "--format", "short"]).is(1);
    for (path, rule) in &places {
        let told = short.out.lines().any(|line| line.starts_with(path) && line.contains(&format!("problem[{rule}]")));
        assert!(told, "{path}: {rule} is not told");
    }
    for done in &all {
        assert!(done.status < 2, "{}: {}", done.arguments, done.err);
    }
    assert!(all[5].err.contains("left out") || all[5].out.contains("left out"), "{}{}", all[5].out, all[5].err);
    let report = fs::read_to_string(ground.root().join("reports/2026-11.md")).unwrap();
    assert!(report.contains(&*pinindex::report::markdown::escape(&places[0].0)), "the report names what it left out");
}

#[test]
fn in_the_place_of_a_machine_a_person_or_a_site_each_is_told() {
    for path in ["site.yaml", "people.yaml", "machines/theatre-1.yaml", "procedures/daily/1.yaml", "calendar/2026.yaml"]
    {
        let ground = Ground::new();
        for name in ["alias-bomb", "many-keys", "zero-bytes"] {
            let hostile = hostile_files().into_iter().find(|hostile| hostile.name == name).unwrap();
            ground.put(path, hostile.bytes);
            ground.run(&["validate"]).is(1).says(path);
            // What checks were judged by is not even looked at: it is never changed.
            let refused = if path.starts_with("procedures/") { 2 } else { 1 };
            ground.run(&["keep", "--by", "m-okafor"]).is(refused).says(path);
        }
        ground.commit_all();
        for done in ground.look_at_all() {
            assert!(done.status > 0 || done.arguments.starts_with("history"), "{path}: {}", done.arguments);
        }
    }
}

#[test]
fn a_file_over_the_limit_is_not_read() {
    let ground = Ground::new();
    // A hundred million brackets, and a file of a million million bytes that holds nothing.
    fs::write(ground.inbox().join("brackets.yaml"), vec![b'['; 100_000_000]).unwrap();
    File::create(ground.inbox().join("holes.yaml")).unwrap().set_len(1 << 40).unwrap();
    for (name, size) in [("brackets", 100_000_000_u64), ("holes", 1 << 40)] {
        ground
            .run(&["record", &format!("../inbox/{name}.yaml")])
            .is(1)
            .says("problem[file-too-large]")
            .says(&format!("file has {size} bytes"));
    }
    ground.put(RECORD, vec![b'['; 100_000_000]);
    ground.commit_all();
    for done in ground.look_at_all() {
        assert!(done.status < 2, "{}: {}", done.arguments, done.err);
    }
    ground.run(&["validate"]).is(1).says("file has 100000000 bytes").says(RECORD);
}

#[test]
fn marks_and_signs_of_no_width_are_shown_and_do_no_harm() {
    let ground = Ground::new();
    let flood = format!("e{}", "\u{301}".repeat(900));
    let unseen = format!("a{}b", "\u{200b}\u{200d}\u{2060}".repeat(300));
    for (n, text) in [flood, unseen].iter().enumerate() {
        fs::write(ground.inbox().join(format!("{n}.yaml")), remark(text)).unwrap();
        ground.run(&["record", &format!("../inbox/{n}.yaml")]).is(0);
    }
    // A word with ten thousand marks is longer than any text may be.
    fs::write(ground.inbox().join("word.yaml"), remark(&format!("e{}", "\u{301}".repeat(10_000)))).unwrap();
    ground.run(&["record", "../inbox/word.yaml"]).is(1).says("remarks").says("word.yaml:");
    for done in ground.look_at_all() {
        assert!(done.status < 2, "{}: {}", done.arguments, done.err);
    }
}
