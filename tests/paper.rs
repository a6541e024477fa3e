//! The blank forms: what stands on them, whether they fit their paper, and whether a browser prints them whole.
//!
//! Judged by poppler, the Nu HTML checker, Chromium's printing, and GNU date for the names of weeks.

#![cfg(test)]
#![expect(clippy::disallowed_methods, reason = "a test runs programs and reads what they wrote")]

mod golden;
#[path = "outside/program.rs"]
mod program;
#[path = "outside/run.rs"]
mod run;

use pinindex::bedside::paper::{self, Made, Paper, Span, Week};
use pinindex::bedside::{form_code, steps};
use pinindex::command::typst::{Typeset, typeset};
use pinindex::contents::{self, Contents};
use pinindex::logbook;
use pinindex::procedure::Sheet;
use pinindex::record::Date;
use pinindex::register::site;
use std::path::{Path, PathBuf};
use std::process::Command;

const MACHINES: [&str; 3] = ["theatre-1", "theatre-2", "spare-1"];
const PROCEDURES: [&str; 3] = ["daily", "complete", "each-patient"];

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn example() -> Contents {
    let snapshot = logbook::read_working_files(&root().join("records-example")).expect("the example can be read");
    contents::read(&snapshot, &mut |_| {}).0
}

fn day(text: &str) -> Date {
    text.parse().expect("a date")
}

fn week(name: &str) -> Span {
    Span::Week(Some(Week::named(name).expect("a week")))
}

/// Returns a sheet of a logbook, as on 25 November 2026.
fn sheet(contents: &Contents, machine: &str, procedure: &str, span: Span) -> Paper {
    let made = Made {
        site: contents.site.as_ref().expect("the example has a site"),
        contents,
        machine,
        procedure,
        span,
        today: day("2026-11-25"),
        commit: Some("3f2a9c51d0b7e6a4"),
        made: "2026-11-25T12:00:00+01:00".parse().expect("a moment"),
    };
    paper::build(&made).expect("the machine and the procedure are there")
}

fn pdf(paper: &Paper) -> Vec<u8> {
    match typeset(|extra| paper::typeset::setting(paper, extra), None).expect("the scratch folder can be written") {
        Typeset::Pdf(pdf) => pdf,
        other => panic!("no PDF: {other:?}; `tests/run` installs what the tests need"),
    }
}

fn asked(program: &str, arguments: &[&str], folder: &Path) -> String {
    let output = run::run(Command::new(program).args(arguments).current_dir(folder), "");
    assert!(output.status.success(), "{program} {arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("the program writes UTF-8")
}

/// What poppler finds in a PDF.
struct Printed {
    pages: usize,
    /// Width and height of a page, in points.
    size: (f64, f64),
    /// All words without the white space between them.
    text: String,
}

fn printed(pdf: &Path) -> Printed {
    let (folder, name) = (pdf.parent().unwrap(), pdf.file_name().unwrap().to_str().unwrap());
    let info = asked("pdfinfo", &[name], folder);
    let line = |start: &str| info.lines().find_map(|line| line.strip_prefix(start)).expect("pdfinfo says it").trim();
    let numbers: Vec<f64> = line("Page size:").split(' ').filter_map(|word| word.parse().ok()).collect();
    // Words that lie outside the page would be there as text and missing on paper.
    let boxes = asked("pdftotext", &["-bbox", name, "-"], folder);
    let mut words = 0;
    for word in boxes.lines().filter(|line| line.contains("<word ")) {
        let at = |side: &str| -> f64 {
            let from = word.split(&format!("{side}=\"")).nth(1).expect("a place");
            from.split('"').next().and_then(|number| number.parse().ok()).expect("a number")
        };
        assert!(at("xMin") > 14.0 && at("xMax") < numbers[0] - 14.0, "beside the paper: {word}");
        assert!(at("yMin") > 10.0 && at("yMax") < numbers[1] - 10.0, "above or below the paper: {word}");
        words += 1;
    }
    assert!(words > 100, "{words} words");
    let text = asked("pdftotext", &["-raw", name, "-"], folder);
    Printed { pages: line("Pages:").parse().unwrap(), size: (numbers[0], numbers[1]), text: joined(&text) }
}

fn joined(text: &str) -> String {
    text.split_whitespace().collect()
}

/// Asserts that everything a person must read stands on the print, on so many pages of the right size.
fn complete(paper: &Paper, print: &Printed, name: &str) {
    let (pages, week) = (if paper.days.is_empty() { 2 } else { 1 }, !paper.days.is_empty());
    // The longest procedure needs the back of a week sheet on every paper; its rows keep 7 mm there.
    let pages = if week && paper.rows.len() > 35 { 2 } else { pages };
    assert!(print.pages <= pages, "{name}: {} pages", print.pages);
    let (width, height) = match paper.layout.paper {
        site::Paper::A4 => (595.0, 842.0),
        site::Paper::UsLetter => (612.0, 792.0),
    };
    let (width, height) = if paper.layout.landscape { (height, width) } else { (width, height) };
    assert!((print.size.0 - width).abs() < 1.5 && (print.size.1 - height).abs() < 1.5, "{name}: {:?}", print.size);
    assert!(paper.layout.row >= if week { 5.5 } else { 7.0 }, "{name}: rows of {} mm", paper.layout.row);
    let mut wanted = vec![&paper.code, &paper.code_says, &paper.site, &paper.machine, &paper.heading, &paper.span];
    wanted.extend(paper.facts.iter().map(|fact| &fact.value));
    wanted.extend(paper.call.iter().chain(&paper.notices).chain(&paper.date).chain([&paper.by, &paper.foot]));
    wanted.extend(paper.signs.iter().map(|sign| &sign.value));
    for row in &paper.rows {
        wanted.push(&row.title);
        wanted.extend(row.choices.iter().map(|choice| &choice.word));
        wanted.extend(&row.by);
        if week {
            wanted.extend([&row.short_limits].into_iter().filter(|limits| !limits.is_empty()));
        } else {
            wanted.extend(row.limits.iter().flat_map(|limit| [&limit.name, &limit.value]));
            wanted.extend(row.instruction.as_ref().filter(|_| paper.layout.instructions));
        }
    }
    for words in wanted {
        assert!(print.text.contains(&joined(words)), "{name} lacks `{words}`");
    }
    for words in paper.cautions.iter().chain([&paper.words.no_patient, &paper.words.typed_in]) {
        assert!(print.text.contains(&joined(words)), "{name} lacks `{words}`");
    }
}

/// Returns every sheet of the example on both papers, with a name for each.
fn every_sheet() -> Vec<(String, Paper)> {
    let mut contents = example();
    let mut sheets = Vec::new();
    for size in [site::Paper::A4, site::Paper::UsLetter] {
        contents.site.as_mut().expect("the example has a site").report.paper = size;
        for machine in MACHINES {
            for procedure in PROCEDURES {
                for span in [Span::Day(None), week("2026-W48")] {
                    let name = format!("{machine}-{procedure}-{}-{size:?}", span.name());
                    sheets.push((name, sheet(&contents, machine, procedure, span)));
                }
            }
        }
    }
    sheets
}

#[test]
fn every_sheet_of_the_example_fits_its_paper_with_every_word() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    for (name, paper) in every_sheet() {
        let path = folder.path().join(format!("{name}.pdf"));
        std::fs::write(&path, pdf(&paper)).expect("the scratch folder can be written");
        complete(&paper, &printed(&path), &name);
    }
}

#[test]
fn a_browser_prints_every_page_whole_and_the_checker_has_nothing_to_say() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let jar = root().join("tests/outside/node_modules/vnu-jar/build/dist/vnu.jar").display().to_string();
    let mut pages = Vec::new();
    for (name, paper) in every_sheet() {
        let page = paper::html::render(&paper);
        for outside in ["<script", "<link", "<img", " src=", " href=", "@import", "url("] {
            assert!(!page.contains(outside), "{name} needs {outside}");
        }
        std::fs::write(folder.path().join(format!("{name}.html")), page).expect("the scratch folder can be written");
        pages.push((format!("{name}.html"), name, paper));
    }
    let mut arguments = vec!["-jar", &jar, "--stdout"];
    arguments.extend(pages.iter().map(|(file, ..)| file.as_str()));
    let said = run::run(Command::new("java").args(&arguments).current_dir(folder.path()), "");
    let words = String::from_utf8_lossy(&said.stdout).into_owned() + &String::from_utf8_lossy(&said.stderr);
    assert!(said.status.success() && words.trim().is_empty(), "{words}");
    let profile = format!("--user-data-dir={}", folder.path().join("profile").display());
    // A browser takes seconds to start: of the second paper, the machine with the most steps stands for all.
    let printed_here = |paper: &Paper| paper.layout.paper == site::Paper::A4 || paper.machine == "Theatre 1";
    for (file, name, paper) in pages.iter().filter(|(.., paper)| printed_here(paper)) {
        let print = folder.path().join(format!("{name}.pdf"));
        let quiet = "--headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-sync \
                     --disable-background-networking --disable-component-update --no-pdf-header-footer";
        let print_to = format!("--print-to-pdf={}", print.display());
        let address = format!("file://{}", folder.path().join(file).display());
        let arguments: Vec<&str> = quiet.split_whitespace().chain([profile.as_str(), &print_to, &address]).collect();
        asked("chromium", &arguments, folder.path());
        complete(paper, &printed(&print), name);
    }
}

#[test]
fn the_rows_are_the_steps_in_their_order_and_the_code_is_theirs() {
    let contents = example();
    for machine in MACHINES {
        for procedure in PROCEDURES {
            let paper = sheet(&contents, machine, procedure, Span::Day(None));
            let followed = contents.in_force(procedure, day("2026-11-25")).expect("it is in force");
            let asked = Sheet::of(followed, &contents.machines[machine]);
            let steps: Vec<(usize, String)> =
                steps(&asked).iter().enumerate().map(|(at, step)| (at + 1, step.title())).collect();
            let rows: Vec<(usize, String)> = paper.rows.iter().map(|row| (row.number, row.title.clone())).collect();
            assert_eq!(rows, steps, "{machine} {procedure}");
            assert_eq!(paper.code, form_code::of(followed, machine, &asked));
            assert_eq!(paper.code.len(), 9, "eight signs and a hyphen");
        }
    }
}

#[test]
fn weeks_are_named_as_the_date_program_names_them() {
    for name in ["2026-W01", "2026-W48", "2026-W53", "2027-W01", "2020-W53", "2025-W01", "2024-W09"] {
        let days = Week::named(name).expect("the week is there").days();
        assert_eq!(days.len(), 7);
        for (at, day) in days.iter().enumerate() {
            let said = asked("date", &["-u", "-d", &day.to_string(), "+%G-W%V %u"], &root());
            assert_eq!(said.trim(), format!("{name} {}", at + 1), "{day}");
        }
    }
}

#[test]
fn days_the_calendar_does_not_expect_are_struck_and_an_open_week_has_none() {
    let contents = example();
    let expected = |paper: &Paper| paper.days.iter().map(|day| day.expected).collect::<Vec<_>>();
    let named = sheet(&contents, "theatre-1", "daily", week("2026-W48"));
    let (yes, no) = (Some(true), Some(false));
    assert_eq!(expected(&named), [yes, no, yes, no, yes, no, no]);
    assert_eq!(named.days[0].date.as_deref(), Some("23 Nov"));
    let page = paper::html::render(&named);
    assert_eq!(page.matches("not expected").count(), 4);
    let open = sheet(&contents, "theatre-1", "daily", Span::Week(None));
    assert!(open.days.iter().all(|day| day.date.is_none() && day.expected.is_none()));
    // No calendar for that year: nothing is known, nothing is struck.
    assert_eq!(expected(&sheet(&contents, "theatre-1", "daily", week("2027-W10"))), [None; 7]);
    // A check after a service falls on any day.
    assert_eq!(expected(&sheet(&contents, "theatre-1", "complete", week("2026-W48"))), [None; 7]);
}

#[test]
fn a_week_in_which_other_items_come_into_force_says_so() {
    let mut contents = example();
    let wednesday = day("2026-11-25");
    let key = ("daily".to_owned(), 2);
    contents.procedures.get_mut(&key).expect("the example has it").in_force_from = wednesday;
    let paper = sheet(&contents, "theatre-1", "daily", week("2026-W48"));
    let notice = "From Wednesday 25 November 2026 other items or limits are in force: make a new sheet for that day.";
    assert_eq!(paper.notices, [notice]);
    assert!(paper.code_says.contains("revision 1"), "{}", paper.code_says);
    assert!(sheet(&contents, "theatre-1", "daily", Span::Day(Some(wednesday))).notices.is_empty());
}

#[test]
fn names_in_other_scripts_stand_on_the_sheet_or_are_shown_by_number() {
    let mut contents = example();
    contents.site.as_mut().expect("the example has a site").name = "Больница Αγίας <b>#[x] \u{202E}".to_owned();
    contents.machines.get_mut("theatre-1").expect("the example has it").name = "手術室 1".to_owned();
    let folder = tempfile::tempdir().expect("a scratch folder");
    let print = folder.path().join("sheet.pdf");
    for span in [Span::Day(None), week("2026-W48")] {
        let paper = sheet(&contents, "theatre-1", "daily", span);
        std::fs::write(&print, pdf(&paper)).expect("the scratch folder can be written");
        let found = printed(&print);
        for words in
            ["Больница Αγίας <b>#[x]", "[U+624B][U+8853][U+5BA4] 1", "4 characters of this sheet have no picture"]
        {
            assert!(found.text.contains(&joined(words)), "{words}: {}", found.text);
        }
        let page = paper::html::render(&paper);
        assert!(page.contains("Больница Αγίας &lt;b&gt;#[x] [U+202E]") && page.contains("手術室 1"), "{page}");
    }
}

#[test]
fn the_same_sheet_is_the_same_bytes() {
    let paper = sheet(&example(), "theatre-1", "daily", Span::Day(Some(day("2026-11-26"))));
    assert_eq!(paper.date.as_deref(), Some("Thursday 26 November 2026"));
    assert!(pdf(&paper) == pdf(&paper), "two runs differ");
}

#[test]
fn the_value_of_a_sheet_is_as_it_was() {
    let contents = example();
    for (name, span) in [("day", Span::Day(None)), ("week", week("2026-W48"))] {
        let paper = sheet(&contents, "theatre-1", "daily", span);
        let text = serde_json::to_string_pretty(&paper).expect("a form is only texts and numbers") + "\n";
        golden::matches(&format!("paper-{name}.json"), &text);
    }
}

#[test]
fn without_typst_the_page_comes_and_the_words_say_so() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let to = folder.path().display().to_string();
    let asked = |more: &[&str]| {
        let fixed = ["paper", "theatre-1", "--logbook", "records-example", "--output", &to];
        let mut command = program::pinindex();
        run::run(command.current_dir(root()).env("PATH", folder.path()).args(fixed).args(more), "")
    };
    let said = asked(&["--week", "2026-W48"]);
    let words = String::from_utf8_lossy(&said.stdout).into_owned();
    assert_eq!(said.status.code(), Some(0), "{words}");
    assert!(words.contains("no PDF: the typst program is not on PATH."), "{words}");
    assert!(folder.path().join("theatre-1-daily-2026-W48.html").is_file(), "{words}");
    assert_eq!(asked(&["--format", "pdf"]).status.code(), Some(2));
    assert!(!folder.path().join("theatre-1-daily-day.html").exists());
    for (wrong, says) in [
        (&["--week", "2026-W54"][..], "`2026-W54` is no week"),
        (&["--day", "26.11."], "`26.11.` is not a date such as 2026-11-25"),
        (&["--procedure", "dayly"], "did you mean `daily`?"),
    ] {
        let said = asked(wrong);
        let words = String::from_utf8_lossy(&said.stderr).into_owned();
        assert!(said.status.code() == Some(2) && words.contains(says), "{words}");
    }
}
