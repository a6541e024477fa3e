//! Texts that try to be something else, as what people write everywhere: the name of a machine, a person, a place, what
//! is wrong, what was done. Each appears as typed, or visibly escaped, and does nothing.
//!
//! The terminal's bytes, Chromium, the Nu HTML checker, a Markdown reader, readers of CSV and JSON, and git are the judges.

use super::ground::{CHECK, Done, Ground, NOW};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Command;

/// A text, how a terminal shows it and how a report does, where these differ from it.
struct Text(&'static str, &'static str, &'static str);

const fn plain(text: &'static str) -> Text {
    Text(text, text, text)
}

const TEXTS: [Text; 22] = [
    plain("</title></style></script><script>mark=1</script>"),
    plain("<img src=x onerror=mark=1><svg onload=mark=1>"),
    plain("\" onmouseover=\"mark=1\" autofocus='"),
    plain("&lt;b&gt; &amp; &#x41; <!-- ]]> -->"),
    plain("<iframe src=https://hospital.example/></iframe>"),
    plain("[click](https://hospital.example) ![p](https://hospital.example/p.png)"),
    plain("https://hospital.example www.hospital.example m@hospital.example"),
    plain("# no heading | a | b | `code` **bold** ~~gone~~ - [ ] $x^2$"),
    plain("#read(\"/etc/passwd\") #let x = 1 $ @ref <label> \\u{41} #image(\"x\")"),
    plain("=cmd|' /C calc'!A0"),
    plain("+1+1"),
    plain("-2+3"),
    plain("@SUM(1;1)"),
    plain("\",\"a\":{\"b\":[1],\\"),
    plain("'; rm -rf / # $(id) `id` | sh > x"),
    plain("%s %n {0} {{x}} ${HOME} ../../x"),
    Text("\u{1b}[31mred\u{1b}[2J", "\\u{1b}[31mred\\u{1b}[2J", "[U+001B][31mred[U+001B][2J"),
    Text(
        "\u{1b}]8;;https://hospital.example\u{7}x\u{1b}]52;c;YQ==\u{7}",
        "\\u{1b}]8;;https://hospital.example\\u{7}x\\u{1b}]52;c;YQ==\\u{7}",
        "[U+001B]]8;;https://hospital.example[U+0007]x[U+001B]]52;c;YQ==[U+0007]",
    ),
    Text("a\u{9b}31mb\u{8}\u{8}c\u{0}d", "a\\u{9b}31mb\\u{8}\\u{8}c\\u{0}d", "a[U+009B]31mb[U+0008][U+0008]c[U+0000]d"),
    Text("pass \u{202e}liaf\u{202c} x", "pass \\u{202e}liaf\\u{202c} x", "pass [U+202E]liaf[U+202C] x"),
    Text("a\u{85}Co-authored-by: b", "a\\u{85}Co-authored-by: b", "a[U+0085]Co-authored-by: b"),
    Text("x\u{2028}Signed-off-by: y", "x Signed-off-by: y", "x[U+2028]Signed-off-by: y"),
];

fn quoted(text: &str) -> String {
    // Every sign that an editor could refuse is written as an escape, which means the sign itself.
    let escaped = |c: char| match c {
        '\u{7f}'..='\u{9f}' | '\u{2028}' | '\u{202a}'..='\u{202e}' => format!("\\u{:04x}", u32::from(c)),
        c => c.to_string(),
    };
    serde_json::to_string(text).unwrap().chars().map(escaped).collect()
}

/// Returns a logbook with a machine and a person for each text, and everything that happened to the machine; the records
/// came in by the program itself.
fn told() -> (Ground, Done) {
    let ground = Ground::new();
    let read = |path: &str| fs::read_to_string(ground.root().join(path)).unwrap();
    let (machine, people, check, daily) =
        (read("machines/theatre-2.yaml"), read("people.yaml"), read(CHECK), read("procedures/daily/1.yaml"));
    let mut all_people = people.clone();
    let check = check
        .replace("  spare-oxygen-cylinder: {reading: 1450 psi}\n", "")
        .replace("    isoflurane: pass\n", "")
        .replace("  nitrous-oxide-cutoff: pass\n", "")
        .replace("2026-11-23", "2026-11-25");
    for (n, Text(text, ..)) in TEXTS.iter().enumerate() {
        let text = quoted(text);
        ground.put(
            &format!("machines/m-{n}.yaml"),
            machine
                .replace("name: Theatre 2", &format!("name: {text}"))
                .replace("location: Theatre 2", &format!("location: {text}"))
                .replace("asset: \"00418\"", &format!("asset: {text}")),
        );
        all_people += &format!("p-{n}: {{name: {text}, role: provider, email: m.okafor@hospital.example}}\n");
        all_people += &format!("b-{n}: {{name: {text}, role: biomed, email: m.okafor@hospital.example}}\n");
        let put = |name: &str, record: String| {
            fs::write(ground.inbox().join(format!("{n}-{name}.yaml")), record).unwrap();
        };
        let with =
            |from: &str, to: String| check.replace("machine: theatre-1", &format!("machine: m-{n}")).replace(from, &to);
        put(
            "check",
            with("by: [m-okafor]", format!("by: [p-{n}]\nremarks: {text}"))
                .replace("suction: pass", &format!("suction: {{not-done: {text}}}")),
        );
        let common = |by: char, time: &str| {
            format!("machine: m-{n}\nby: [{by}-{n}]\nrecorded: \"2026-11-25T{time}+01:00\"\nremarks: {text}\n")
        };
        let usage = match n % 2 {
            0 => "withheld".to_owned(),
            _ => format!("{{restricted: {text}, until: 2026-12-24, owner: b-{n}}}"),
        };
        put(
            "fault",
            format!(
                "record: fault\n{}found: \"2026-11-25T07:00:00+01:00\"\nfound-during: {{way: in-use}}\nwhat: {text}\nuse: {usage}\n",
                common('p', "07:05:00")
            ),
        );
        put(
            "repair",
            format!(
                "record: repair\n{}fault: records/2026/11/25/070000-m-{n}.fault.yaml\nstarted: \"2026-11-25T08:00:00+01:00\"\nfinished: \"2026-11-25T09:00:00+01:00\"\ncause: wear-or-age\nwork: {text}\nparts: [{text}]\nwaited: [{{for: parts, time: 10 min}}]\n",
                common('b', "09:05:00")
            ),
        );
        put(
            "service",
            format!(
                "record: service\n{}started: \"2026-11-25T09:10:00+01:00\"\nfinished: \"2026-11-25T10:00:00+01:00\"\nwork: {text}\nnext-due: 2026-11-20\n",
                common('b', "10:05:00")
            ),
        );
        put(
            "void",
            format!(
                "record: void\n{}of: records/2026/11/25/100000-m-{n}.service.yaml\nbecause: {text}\n",
                common('b', "10:30:00")
            ),
        );
        ground.put(
            &format!("procedures/d-{n}/1.yaml"),
            daily
                .replace("procedure: daily", &format!("procedure: d-{n}"))
                .replace("when: first-case", "when: after-service")
                .replace("title: Patient suction", &format!("title: {text}"))
                .replace("do: Turn suction on and block the tube.", &format!("do: {text}"))
                .replace("source: FDA 1993 step 5", &format!("source: {text}"))
                .replace(
                    "sources: [FDA Anesthesia Apparatus Checkout Recommendations 1993]",
                    &format!("sources: [{text}]"),
                ),
        );
    }
    ground.put("people.yaml", all_people);
    let site = read("site.yaml").replace("Example Hospital", &quoted("<b>=1+1</b> \u{1b}[2J"));
    ground.put("site.yaml", site);
    ground.commit_all();
    let done = ground.run(&["record", "../inbox"]).is(0);
    (ground, done)
}

/// Returns a text without any blank, because lines are broken anywhere.
fn joined(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

#[track_caller]
fn holds_all(place: &str, shown: &str, form: impl Fn(&Text) -> &str) {
    let shown = joined(shown);
    for text in &TEXTS {
        let expected = joined(form(text));
        let near: String = expected.chars().take(8).collect();
        let near = shown.find(&near).map_or("", |at| &shown[at..]).chars().take(150).collect::<String>();
        assert!(shown.contains(&expected), "{place} does not show {:?} as {:?}: {near}", text.0, form(text));
    }
}

#[test]
fn each_appears_as_typed_and_does_nothing() {
    let (ground, recorded) = told();
    assert!(recorded.out.contains("recorded records/2026/11/25/070000-m-0.fault.yaml"), "{}", recorded.out);
    in_the_history_of_git(&ground);
    on_the_terminal(&ground);
    let reports = ground.root().join("reports");
    let done = ground.run(&["report", "2026-11", "--format", "html,md,csv,json"]);
    assert!(done.status < 2, "{}", done.err);
    let done = ground.run(&["questions", "2026-11", "--format", "html,md,csv,json"]);
    assert!(done.status < 2, "{}", done.err);
    let read = |name: &str| fs::read_to_string(reports.join(name)).unwrap();
    in_markdown(&read("2026-11.md"));
    in_csv(&read("2026-11.csv"));
    in_csv(&read("2026-11-questions.csv"));
    in_json(&read("2026-11.json"));
    ground.run(&["board"]);
    for n in 0..TEXTS.len() {
        let (machine, procedure) = (format!("m-{n}"), format!("d-{n}"));
        ground.run(&["page", &machine, "--procedure", &procedure]).is(0);
        ground.run(&["paper", &machine, "--procedure", &procedure, "--format", "html"]).is(0);
    }
    in_a_browser(&reports);
}

fn in_the_history_of_git(ground: &Ground) {
    let commits = ground.git(&["log", "--format=%H"]);
    let commits: Vec<&str> = commits.lines().collect();
    assert_eq!(commits.len(), TEXTS.len() * 5 + 2);
    for commit in &commits[..TEXTS.len() * 5] {
        let raw = ground.git(&["cat-file", "commit", commit]);
        let (head, message) = raw.split_once("\n\n").unwrap();
        assert_eq!(head.lines().count(), 4, "{raw:?}");
        assert!(message.lines().count() == 3 && !message.contains("-by:"), "{message:?}");
        let sign = raw.chars().find(|c| pinindex::diagnostic::hidden::is_hidden(*c));
        assert_eq!(sign, None, "{raw:?}");
    }
    assert_eq!(ground.git(&["log", "--format=%(trailers)"]).trim(), "");
    ground.git(&["fsck", "--strict"]);
}

fn on_the_terminal(ground: &Ground) {
    let ready = ground.run(&["ready"]);
    let ready_json = ground.run(&["ready", "--format", "json"]);
    holds_all("ready", &ready.out, |text| text.1);
    for (n, Text(text, shown, _)) in TEXTS.iter().enumerate() {
        let machine = format!("m-{n}");
        let done = ground.run(&["history", &machine, "--readings"]);
        // Its name, what was wrong, what was done, why it is void, and the reason why an item was not done.
        let times = joined(&done.out).matches(&joined(shown)).count();
        assert!(times >= 8, "history shows {text:?} {times} times:\n{}", done.out);
        let lines = ground.run(&["history", &machine, "--format", "json"]).out;
        let values: Vec<Value> = lines.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
        assert_eq!(values.len(), 5);
        assert!(values.iter().any(|value| strings(value).iter().any(|s| s == text)), "{text:?} is not in {lines}");
        assert!(
            ready_json.out.lines().any(|line| strings(&serde_json::from_str(line).unwrap()).iter().any(|s| s == text))
        );
    }
    for arguments in [&["validate"][..], &["validate", "--format", "short"], &["validate", "--format", "json"]] {
        let done = ground.run(arguments);
        assert!(done.status < 2, "{}", done.err);
    }
}

/// Returns every text of a JSON value.
fn strings(value: &Value) -> Vec<String> {
    match value {
        Value::String(text) => vec![text.clone()],
        Value::Array(items) => items.iter().flat_map(strings).collect(),
        Value::Object(members) => members.values().flat_map(strings).collect(),
        _ => Vec::new(),
    }
}

fn in_markdown(markdown: &str) {
    let mut options = comrak::Options::default();
    options.extension.table = true;
    options.extension.strikethrough = true;
    options.extension.tasklist = true;
    options.extension.footnotes = true;
    options.extension.math_dollars = true;
    options.extension.autolink = true;
    let html = comrak::markdown_to_html(markdown, &options);
    let tags: BTreeSet<&str> =
        html.split('<').skip(1).filter_map(|tag| tag.split(['>', ' ', '/']).find(|name| !name.is_empty())).collect();
    let made =
        ["h1", "h2", "h3", "p", "table", "thead", "tbody", "tr", "th", "td", "strong", "ul", "li", "hr", "blockquote"];
    assert_eq!(tags.iter().filter(|tag| !made.contains(tag)).collect::<Vec<_>>(), [""; 0].iter().collect::<Vec<_>>());
    let mut seen = String::new();
    for part in html.split('<') {
        seen += part.split_once('>').map_or("", |(_, text)| text);
    }
    let seen = seen.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&");
    holds_all("Markdown", &seen, |text| text.2);
}

fn in_csv(text: &str) {
    let mut rows = csv::Reader::from_reader(text.as_bytes());
    let width = rows.headers().unwrap().len();
    for row in rows.records() {
        let row = row.unwrap();
        assert_eq!(row.len(), width);
        for cell in &row {
            let number = cell.parse::<f64>().is_ok();
            // The first signs by which spreadsheets know a formula (OWASP, CSV Injection; from memory).
            assert!(number || !cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "a spreadsheet would run {cell:?}");
        }
    }
}

fn in_json(text: &str) {
    let all = strings(&serde_json::from_str(text).unwrap()).join("\n");
    for Text(text, ..) in &TEXTS {
        assert!(all.contains(text), "JSON does not hold {text:?}");
    }
}

fn in_a_browser(reports: &Path) {
    let pages: Vec<_> = fs::read_dir(reports)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|end| end == "html"))
        .collect();
    assert_eq!(pages.len(), 3 + 2 * TEXTS.len());
    let program = format!("{}/tests/outside/hostile_texts.mjs", env!("CARGO_MANIFEST_DIR"));
    let output =
        super::run::run(Command::new("node").arg(program), &json!({ "files": pages, "time": NOW }).to_string());
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert!(
        output.status.success(),
        "tests/outside/hostile_texts.mjs (`tests/run` installs what it needs):\n{complaint}"
    );
    let answers = String::from_utf8(output.stdout).unwrap();
    let answers: Vec<Value> = answers.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!(answers.len(), pages.len());
    for answer in &answers {
        let file = answer["file"].as_str().unwrap();
        let name = file.rsplit('/').next().unwrap();
        assert_eq!(answer["wrong"], json!([]), "{name}");
        let elements: BTreeSet<&str> =
            answer["elements"].as_array().unwrap().iter().filter_map(Value::as_str).collect();
        for element in ["img", "iframe", "object", "embed", "form", "video"] {
            assert!(!elements.contains(element), "{name} has an element `{element}`");
        }
        let text = answer["text"].as_str().unwrap();
        let all = !name.starts_with("check-") && !name.starts_with("m-") && !name.contains("questions");
        let number = |name: &str| name.split('-').find_map(|part| part.parse::<usize>().ok());
        match all {
            true => holds_all(name, text, |text| text.2),
            false if !name.contains("questions") => {
                let Text(typed, _, shown) = &TEXTS[number(name).unwrap()];
                let (seen, title) = (joined(text), joined(answer["title"].as_str().unwrap()));
                assert!(seen.contains(&joined(shown)), "{name} does not show {typed:?}");
                assert!(title.contains(&joined(shown)), "the title of {name} does not show {typed:?}");
            }
            false => {}
        }
    }
    checked_by_nu(&pages);
}

/// Asserts that the Nu HTML checker has nothing to say but about policies that name a style by its digest.
fn checked_by_nu(pages: &[std::path::PathBuf]) {
    let jar = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/outside/node_modules/vnu-jar/build/dist/vnu.jar");
    assert!(jar.is_file(), "the Nu HTML checker is missing; run tests/run, which installs what the tests need");
    let of_digests = ".*Inline (style|script) violates Content Security Policy.*";
    let mut java = Command::new("java");
    java.arg("-jar").arg(jar).args(["--stdout", "--filterpattern", of_digests]).args(pages);
    let output = super::run::run(&mut java, "");
    let words = String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success() && words.trim().is_empty(), "{words}");
}
