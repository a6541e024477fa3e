//! The board, judged by the Nu HTML checker, and the readiness it shows; the program as it is built makes it anew.

#![expect(
    clippy::disallowed_methods,
    clippy::unwrap_used,
    reason = "a test starts programs, reads files, and stops at what it did not expect"
)]

use pinindex::bedside::board::{Board, html};
use pinindex::bedside::policy;
use pinindex::bedside::readiness::{self, Readiness, State, Uncounted};
use pinindex::contents::{self, Contents, Filed};
use pinindex::logbook::{FileContent, Snapshot, Source};
use pinindex::record::{self, Moment};
use pinindex::timeline;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

const NOW: &str = "2026-11-25T12:00:00+01:00";

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn moment(text: &str) -> Moment {
    text.parse().unwrap()
}

/// Reads the example logbook, with some of its files changed: path, what stands there, what takes its place.
fn example(changes: &[(&str, &str, &str)]) -> Contents {
    let folder = root().join("records-example");
    let mut files = pinindex::logbook::read_working_files(&folder).unwrap().files;
    for (path, from, to) in changes {
        let Some(FileContent::Bytes(bytes)) = files.get(*path) else { unreachable!("{path} is not in the example") };
        let text = String::from_utf8(bytes.to_vec()).unwrap();
        assert!(text.contains(from), "`{from}` is not in {path}");
        files.insert((*path).to_owned(), FileContent::Bytes(text.replace(from, to).into_bytes().into()));
    }
    contents::read(&Snapshot { files, source: Source::WorkingFiles { head: None, uncommitted: false } }, &mut |_| {}).0
}

fn readiness(contents: &Contents, now: &str) -> Vec<Readiness> {
    readiness::of(contents, &timeline::lives(contents), moment(now), &Uncounted::new())
}

fn page(contents: &Contents, now: &str) -> String {
    let machines = readiness(contents, now);
    html(&Board { contents, machines: &machines, now: moment(now), left_out: 0, is_draft: false })
}

fn one<'a>(all: &'a [Readiness], machine: &str) -> &'a Readiness {
    all.iter().find(|one| one.machine == machine).unwrap()
}

fn words(one: &Readiness) -> Vec<String> {
    one.reasons.iter().chain(&one.notes).map(ToString::to_string).collect()
}

/// Returns the example's machine `theatre-1` as it would look `times` over.
fn many(times: usize) -> Vec<Readiness> {
    let all = readiness(&example(&[]), NOW);
    let named = |n: usize| Readiness { name: format!("Theatre {n}"), ..one(&all, "theatre-1").clone() };
    (1..=times).rev().map(named).collect()
}

/// Asserts that the Nu HTML checker has nothing to say.
fn silent(pages: &[String]) {
    let jar = root().join("tests/outside/node_modules/vnu-jar/build/dist/vnu.jar");
    assert!(jar.is_file(), "the Nu HTML checker is missing; run tests/run, which installs what the tests need");
    let folder = tempfile::tempdir().unwrap();
    let mut java = Command::new("java");
    // It knows no digest of a style or script, and takes every page that names them by digest for one that forbids them.
    // Whether the digests are right is judged below, and by the browser.
    let of_digests = ".*Inline (style|script) violates Content Security Policy.*";
    java.arg("-jar").arg(jar).args(["--stdout", "--filterpattern", of_digests]);
    for (n, page) in pages.iter().enumerate() {
        let place = folder.path().join(format!("{n}.html"));
        fs::write(&place, page).unwrap();
        java.arg(place);
    }
    let output = java.output().expect("java must be installed");
    let words = String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success() && words.trim().is_empty(), "{words}");
}

#[test]
fn the_checker_has_nothing_to_say() {
    let contents = example(&[]);
    let all = many(40);
    let left_out = html(&Board { contents: &contents, machines: &all, now: moment(NOW), left_out: 2, is_draft: false });
    let nothing =
        html(&Board { contents: &Contents::default(), machines: &[], now: moment(NOW), left_out: 0, is_draft: false });
    silent(&[page(&contents, NOW), left_out, nothing]);
}

#[test]
fn each_machine_stands_there_with_its_state_in_words_and_a_shape() {
    let page = page(&example(&[]), NOW);
    for (name, id, word) in [
        ("Theatre 1", "ready", "Ready"),
        ("Theatre 2", "not-ready", "Not ready"),
        ("Spare 1", "not-ready", "Not ready"),
    ] {
        let card = page.split("<li ").find(|card| card.contains(&format!("<h2>{name}</h2>"))).unwrap();
        assert!(card.starts_with(&format!("class=\"machine {id}\"")), "{card}");
        assert!(card.contains(&format!("<use href=\"#{id}\"/></svg><span>{word}</span>")), "{card}");
        assert!(page.contains(&format!("<symbol id=\"{id}\"")));
    }
    assert!(page.contains("1 ready · 0 restricted · 2 not ready"));
    assert!(page.contains("What the records say at <strong>12:00</strong>, 25 November 2026"));
    assert!(page.contains("The maker's instructions and the clinician's judgement come first."));
}

#[test]
fn whoever_checked_stands_there_by_initials_only() {
    let contents = example(&[]);
    let page = page(&contents, NOW);
    assert!(page.contains("check passed at 06:58, by MO, JL</p>"), "{page}");
    for (id, person) in &contents.people {
        assert!(!page.contains(&person.name) && !page.contains(id), "{id}");
    }
}

#[test]
fn reserve_restriction_and_service_stand_there_without_their_sources() {
    let contents = example(&[]);
    let page = page(&contents, NOW);
    assert!(page.contains("spare oxygen 1530 psi: about 531 L, 265 min at 2 L/min</p>"), "{page}");
    assert!(page.contains("<p class=\"why\">restricted until 2026-12-05: only while the second socket"), "{page}");
    assert!(!page.contains("records/2026"), "{page}");
    let due = one(&readiness(&contents, NOW), "theatre-2").service_due.unwrap();
    let service = format!("service due on {due}");
    assert!(!page.contains(&service), "{due} is far away");
    let near = self::page(&contents, &format!("{due}T12:00:00+01:00"));
    assert!(near.contains(&service) && !near.contains("service was due on"), "{due}");
}

#[test]
fn the_last_day_of_a_restriction_counts_and_the_day_after_does_not() {
    let contents = example(&[]);
    let last = readiness(&contents, "2026-12-05T23:59:59+01:00");
    let after = readiness(&contents, "2026-12-06T00:00:00+01:00");
    assert!(words(one(&last, "theatre-2")).iter().any(|words| words.starts_with("restricted until 2026-12-05: ")));
    let ended = "the restriction ended on 2026-12-05 and the fault is still open: ";
    assert!(one(&after, "theatre-2").reasons.iter().any(|why| why.words.starts_with(ended)));
}

#[test]
fn the_gauge_of_the_spare_oxygen_is_found_by_what_it_is_and_not_by_its_name() {
    let renamed = [
        ("procedures/daily/2.yaml", "id: spare-oxygen-cylinder", "id: reserve-gauge"),
        ("records/2026/11/25/065840-theatre-1.check.yaml", "spare-oxygen-cylinder:", "reserve-gauge:"),
    ];
    let (before, after) = (readiness(&example(&[]), NOW), readiness(&example(&renamed), NOW));
    assert_eq!(one(&before, "theatre-1"), one(&after, "theatre-1"));
    assert!(
        words(one(&after, "theatre-1")).iter().any(|words| words.starts_with("spare oxygen 1530 psi: about 531 L"))
    );
}

#[test]
fn a_record_that_is_not_counted_and_a_machine_that_is_not_read_are_never_called_ready() {
    let contents = example(&[("machines/spare-1.yaml", "gases:", "gazes:")]);
    let path = "records/2026/11/25/080000-theatre-1.fault.yaml".to_owned();
    let uncounted: Uncounted = BTreeMap::from([("theatre-1".to_owned(), BTreeSet::from([path.clone()]))]);
    let all = readiness::of(&contents, &timeline::lives(&contents), moment(NOW), &uncounted);
    assert_eq!(one(&all, "theatre-1").state, State::NotReady);
    assert!(one(&all, "theatre-1").reasons.iter().any(|why| why.words.ends_with(&path)));
    let unread = one(&all, "spare-1");
    assert_eq!((unread.state, unread.name.as_str()), (State::NotReady, ""));
    let page = html(&Board { contents: &contents, machines: &all, now: moment(NOW), left_out: 1, is_draft: false });
    assert!(page.contains("1 record with problems not counted") && page.contains("<h2>spare-1</h2>"), "{page}");
    assert!(page.contains("machines/spare-1.yaml has problems and was not read"));
}

#[test]
fn a_machine_that_is_not_in_use_has_no_card() {
    let contents = example(&[("machines/spare-1.yaml", "in-use: {", "in-use: {until: 2026-11-20, ")]);
    let page = page(&contents, NOW);
    assert!(
        page.contains("<p class=\"put-by\">Not in use today: Spare 1</p>") && !page.contains("<h2>Spare 1"),
        "{page}"
    );
}

#[test]
fn machines_stand_in_the_order_in_which_people_count() {
    let all = many(12);
    let page = html(&Board { contents: &example(&[]), machines: &all, now: moment(NOW), left_out: 0, is_draft: false });
    let at = |n: usize| page.find(&format!("<h2>Theatre {n}</h2>")).unwrap();
    assert!((1..12).all(|n| at(n) < at(n + 1)), "{page}");
}

#[test]
fn what_a_record_says_is_text_and_a_long_reason_is_cut_between_words() {
    let path = "records/2026/11/05/070200-theatre-2.fault.yaml";
    let markup = "<script>alert(1)</script> \"&\" \u{202E}turned";
    let long = format!("{markup} {}", "very ".repeat(60));
    let contents = example(&[(path, "what: ", &format!("what: '{long}'\nremarks: "))]);
    let mut all = readiness(&contents, NOW);
    all[0].reasons[0].words = long.clone();
    all[1].name = markup.to_owned();
    let page = html(&Board { contents: &contents, machines: &all, now: moment(NOW), left_out: 0, is_draft: false });
    assert_eq!(page.matches("<script>").count(), 1);
    assert!(page.contains("&lt;script&gt;alert(1)&lt;/script&gt; &quot;&amp;&quot; [U+202E]turned"), "{page}");
    assert!(page.contains("very very …</p>"), "{page}");
}

#[test]
fn the_page_needs_nothing_from_outside_and_says_so_to_the_browser() {
    let page = page(&example(&[]), NOW);
    for outside in ["<link", "<img", "<iframe", " src=", "@import", "url(", "<a ", "http:", "https:"] {
        assert!(!page.contains(outside), "{outside}");
    }
    let between = |from: &str, to: &str| page.split_once(from).unwrap().1.split_once(to).unwrap().0;
    let policy = policy::of(between("<style>", "</style>"), between("<script>", "</script>"));
    assert!(policy.starts_with("default-src 'none'; ") && page.contains(&format!("content=\"{policy}\"")), "{policy}");
    // What is not in the policy by its digest, no browser takes.
    assert!(!page.contains("style=\"") && !page.contains("unsafe-inline"));
    assert_eq!((page.matches("<style>").count(), page.matches("<script>").count()), (1, 1));
}

#[test]
fn the_page_knows_when_it_was_made_and_when_its_day_ends() {
    // `date -d 2026-11-25T12:00:00+01:00 +%s` and `date -d 2026-11-26T00:00:00+01:00 +%s`.
    let page = page(&example(&[]), NOW);
    assert!(page.contains("data-made=\"1795604400\" data-day-ends=\"1795647600\" data-at=\"12:00\""), "{page}");
}

/// The program in a folder: nothing else on PATH, no settings, a fixed moment.
fn run(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_pinindex"));
    command.current_dir(folder).env_clear().env("PATH", "/nonexistent").args(["--now", NOW]).args(arguments);
    let Output { status, stdout, stderr } = command.output().unwrap();
    (status.code().unwrap(), String::from_utf8(stdout).unwrap(), String::from_utf8(stderr).unwrap())
}

const FAULT: &str = "record: fault
machine: theatre-1
found: \"2026-11-25T08:06:00+00:00\"
recorded: \"2026-11-25T08:07:30+00:00\"
by: [b-technician]
found-during: {way: in-use}
what: gas flows out and not back
use: withheld
";

#[test]
fn the_board_at_its_usual_place_is_made_anew_with_each_record_and_change() {
    let folder = tempfile::tempdir().unwrap();
    run(folder.path(), &["init", "logbook"]);
    let logbook = folder.path().join("logbook");
    let board = logbook.join("reports/board.html");
    let fault = folder.path().join("fault.yaml");
    fs::write(&fault, FAULT).unwrap();

    // Nobody asked for a board: none is made.
    let (status, out, err) = run(&logbook, &["record", "../fault.yaml"]);
    assert_eq!((status, err.as_str()), (0, ""), "{out}");
    assert!(!board.exists());

    let (status, out, err) = run(&logbook, &["board"]);
    assert_eq!((status, err.as_str()), (0, ""), "{out}");
    assert_eq!(out.trim(), board.display().to_string());
    assert!(fs::read_to_string(&board).unwrap().contains("withheld from use: gas flows out and not back"));

    fs::write(&fault, FAULT.replace("08:06:00", "08:07:00").replace("gas flows out", "air flows out")).unwrap();
    let (status, out, err) = run(&logbook, &["record", "../fault.yaml"]);
    assert_eq!((status, err.as_str()), (0, ""), "{out}");
    assert!(!out.contains("board"), "{out}");
    assert!(fs::read_to_string(&board).unwrap().contains("withheld from use: air flows out and not back"));

    let machine = logbook.join("machines/theatre-1.yaml");
    fs::write(&machine, fs::read_to_string(&machine).unwrap().replace("name: Theatre 1", "name: Small Theatre"))
        .unwrap();
    let (status, out, err) = run(&logbook, &["keep", "--by", "a-provider"]);
    assert_eq!((status, err.as_str()), (0, ""), "{out}");
    assert!(fs::read_to_string(&board).unwrap().contains("<h2>Small Theatre</h2>"));
}

#[test]
fn a_board_that_cannot_be_made_anew_stops_no_record_and_is_told() {
    let folder = tempfile::tempdir().unwrap();
    run(folder.path(), &["init", "logbook"]);
    let logbook = folder.path().join("logbook");
    // A folder stands where the page belongs, and nothing can take its place.
    fs::create_dir_all(logbook.join("reports/board.html/inside")).unwrap();
    fs::write(folder.path().join("fault.yaml"), FAULT).unwrap();
    let (status, out, err) = run(&logbook, &["record", "../fault.yaml"]);
    assert_eq!(status, 0, "{out}{err}");
    assert!(out.contains("recorded records/2026/11/25/080600-theatre-1.fault.yaml"), "{out}");
    assert!(err.starts_with("the board could not be made anew and shows what was: "), "{err}");
}

#[test]
fn a_board_can_lie_elsewhere_and_a_record_with_a_fault_is_told_beside_its_machine() {
    let folder = tempfile::tempdir().unwrap();
    run(folder.path(), &["init", "logbook"]);
    let logbook = folder.path().join("logbook");
    let (status, out, _) = run(&logbook, &["board", "--output", "../screen/board.html"]);
    assert_eq!(status, 0, "{out}");
    assert!(folder.path().join("screen/board.html").is_file() && !logbook.join("reports").exists());
    fs::remove_dir_all(logbook.join(".git")).unwrap();
    let place = logbook.join("records/2026/11/25/080600-theatre-1.fault.yaml");
    fs::create_dir_all(place.parent().unwrap()).unwrap();
    fs::write(&place, FAULT.replace("b-technician", "nobody")).unwrap();
    let (status, _, err) = run(&logbook, &["board"]);
    assert_eq!(status, 1, "{err}");
    assert!(err.contains("1 record with problems left out"), "{err}");
    let page = fs::read_to_string(logbook.join("reports/board.html")).unwrap();
    assert!(page.contains("a record of this machine has a problem and was not counted"), "{page}");
}

/// Today's check of the example's machine.
const TODAYS: &str = "records/2026/11/25/065840-theatre-1.check.yaml";

#[test]
fn a_check_by_people_who_may_not_do_its_steps_makes_nothing_ready() {
    let by = "by: [m-okafor, j-lindqvist]";
    let said = |named: &str| {
        let contents = example(&[(TODAYS, by, named)]);
        let all = readiness(&contents, NOW);
        let one = one(&all, "theatre-1");
        assert_eq!(one.state, State::NotReady, "{named}");
        one.reasons.iter().map(ToString::to_string).collect::<Vec<_>>()
    };
    let of_auditor =
        "21 steps need a provider or a technician, 1 a provider and a technician, 1 a provider; named: auditor";
    assert_eq!(said("by: [p-hofstetter]"), [of_auditor]);
    assert_eq!(
        said("by: [j-lindqvist]"),
        ["1 step needs a provider and a technician, 1 a provider; named: technician"]
    );
    // Whoever has left counts for nobody.
    let gone = "1 step needs a provider and a technician, 1 a provider; named: technician, d-ivanchova, who was not here \
                that day";
    assert_eq!(said("by: [d-ivanchova, j-lindqvist]"), [gone]);
}

#[test]
fn a_number_that_is_hard_to_believe_makes_nothing_ready() {
    let of = |place: &str, from: &str, to: &str| {
        let contents = example(&[(TODAYS, from, to)]);
        let all = readiness(&contents, NOW);
        let one = one(&all, "theatre-1");
        let reasons: Vec<String> = one.reasons.iter().map(ToString::to_string).collect();
        assert_eq!((one.state, reasons.len()), (State::NotReady, 1), "{place}: {reasons:?}");
        assert!(reasons[0].contains(&format!("`pinindex correct {TODAYS}`")), "{reasons:?}");
        reasons.into_iter().next().unwrap()
    };
    let cylinder = of("cylinder", "{reading: 1530 psi}", "{reading: 40000 psi}");
    assert!(cylinder.contains("40000 psi is hard to believe; a full cylinder shows"), "{cylinder}");
    let pipeline = of("pipeline", "oxygen: {reading: 53 psi}", "oxygen: {reading: 53 bar}");
    assert!(pipeline.contains("oxygen: 53 bar is hard to believe; a usual pipeline has about 400 kPa"), "{pipeline}");
}

#[test]
fn a_number_that_is_hard_to_believe_counts_also_in_a_check_that_does_not() {
    // The technician alone, later in the day: the check of the morning is the one that counts, and the gauge is the same.
    let later = |at: &str, reading: &str| {
        let text = fs::read_to_string(root().join("records-example").join(TODAYS)).unwrap();
        let text = text.replace("by: [m-okafor, j-lindqvist]", "by: [j-lindqvist]").replace("1530 psi", reading);
        let text = text.replace("T06:", &format!("T{at}:"));
        let path = TODAYS.replace("/06", &format!("/{at}"));
        Filed { record: record::read(&path, text.as_bytes()).0.unwrap(), path }
    };
    let mut contents = example(&[]);
    contents.add([later("09", "40000 psi")]);
    let all = readiness(&contents, NOW);
    assert_eq!(one(&all, "theatre-1").state, State::NotReady);
    assert!(words(one(&all, "theatre-1"))[0].contains("40000 psi is hard to believe"));
    // Read once more in a whole check, it is settled.
    contents.add([later("10", "1500 psi")]);
    assert_eq!(one(&readiness(&contents, NOW), "theatre-1").state, State::Ready);
}

#[test]
fn a_failure_of_an_earlier_day_stays_until_somebody_answers_for_it() {
    let failed = [(TODAYS, "suction: pass", "suction: fail")];
    let contents = example(&failed);
    let later = readiness(&contents, "2026-11-26T12:00:00+01:00");
    let reasons: Vec<&str> = one(&later, "theatre-1").reasons.iter().map(|why| why.words.as_str()).collect();
    assert!(reasons.iter().any(|why| why.starts_with("check at 2026-11-25 06:58 failed: ")), "{reasons:?}");
    let page = page(&contents, NOW);
    assert!(page.contains("no fault record says what became of it") && !page.contains("pinindex fault"), "{page}");
}

#[test]
fn a_machine_that_is_called_after_its_place_is_named_once() {
    let location = fs::read_to_string(root().join("records-example/machines/theatre-1.yaml")).unwrap();
    let location = location.lines().find(|line| line.starts_with("location:")).unwrap().to_owned();
    let shown = page(&example(&[]), NOW);
    assert!(shown.contains("<h2>Theatre 1</h2>\n<p class=\"place\">"), "the place stands under another name");
    let shown = page(&example(&[("machines/theatre-1.yaml", &location, "location: Theatre 1")]), NOW);
    assert!(shown.contains("<h2>Theatre 1</h2>\n<p class=\"state\">"), "{shown}");
}
