//! The PDF, opened by poppler's tools.

use std::fs;

use pinindex::report::document::Step;
use pinindex::report::{Block, Column, Report, Section, Table, figures, typeset};
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};

use crate::{sample, tools};

/// Returns the text of a PDF with every run of white space as one space: lines end elsewhere on paper.
fn text(pdf: &[u8], pages: &[&str]) -> String {
    let folder = tempfile::tempdir().expect("a scratch folder");
    fs::write(folder.path().join("report.pdf"), pdf).expect("the scratch folder can be written");
    let arguments = [pages, &["report.pdf", "-"]].concat();
    let text = tools::output("pdftotext", &arguments, folder.path());
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Returns the text without white space, for words that a narrow column breaks.
fn joined(text: &str) -> String {
    text.split_whitespace().collect()
}

#[test]
fn page_one_is_the_first_section_and_every_page_has_its_foot() {
    let pdf = tools::pdf(&sample::month(), None);
    let folder = tempfile::tempdir().expect("a scratch folder");
    fs::write(folder.path().join("report.pdf"), &pdf).expect("the scratch folder can be written");
    let info = tools::output("pdfinfo", &["-isodates", "report.pdf"], folder.path());
    for line in ["Author: pinindex", "Tagged: yes", "Pages: 6", "Page size: 595.276 x 841.89 pts (A4)"] {
        assert!(
            info.lines().any(|found| found.split_whitespace().collect::<Vec<_>>().join(" ") == line),
            "{line}: {info}"
        );
    }
    assert!(info.contains("Anaesthesia machine checks: monthly summary"), "{info}");
    assert!(info.contains("2026-11-05"), "{info}");
    let first = text(&pdf, &["-l", "1"]);
    for words in
        ["Stillwater Valley Hospital", "October 2026", "62 of 66", "26 h 40 min", "find out why", "Page 1 of 6"]
    {
        assert!(first.contains(words), "{words}: {first}");
    }
    assert!(!first.contains("Checks by machine"), "{first}");
    assert!(text(&pdf, &["-f", "2", "-l", "2"]).contains("Checks by machine"), "page one is one page");
    assert!(text(&pdf, &["-f", "6"]).contains("Page 6 of 6"));
}

#[test]
fn the_words_of_a_picture_are_words_and_each_picture_is_read_out() {
    let pdf = tools::pdf(&sample::month(), None);
    let first = text(&pdf, &["-l", "1"]);
    for words in ["Failed checks, % of checks done", "share with its 95 % interval", "Jan 2026", "no checks", "of 55"] {
        assert!(first.contains(words), "{words}: {first}");
    }
    let whole = text(&pdf, &[]);
    for words in ["target: 3 days", "gantry room", "not before 8 November 2026", "begun, not finished"] {
        assert!(whole.contains(words), "{words}: {whole}");
    }
    let folder = tempfile::tempdir().expect("a scratch folder");
    fs::write(folder.path().join("report.pdf"), &pdf).expect("the scratch folder can be written");
    let structure = tools::output("pdfinfo", &["-struct", "report.pdf"], folder.path());
    assert_eq!(structure.matches("Figure:").count(), 7, "{structure}");
}

#[test]
fn a_long_table_says_its_heads_on_every_page() {
    let pdf = tools::pdf(&sample::month(), None);
    for page in ["2", "3"] {
        let page = text(&pdf, &["-f", page, "-l", page]);
        assert!(page.contains("Started") && page.contains("Result"), "{page}");
    }
}

/// Returns a report with a page one and these blocks.
fn of(blocks: Vec<Block>) -> Report {
    let mut report = sample::month();
    report.sections.truncate(1);
    report.sections.push(Section { id: "only".to_owned(), title: "Only".to_owned(), blocks, new_page: false });
    report
}

/// Returns the text of each page.
fn pages(pdf: &[u8]) -> Vec<String> {
    let folder = tempfile::tempdir().expect("a scratch folder");
    fs::write(folder.path().join("report.pdf"), pdf).expect("the scratch folder can be written");
    let text = tools::output("pdftotext", &["report.pdf", "-"], folder.path());
    text.split('\u{c}').map(|page| page.split_whitespace().collect::<Vec<_>>().join(" ")).collect()
}

/// Asserts that wherever the first words stand, the others stand on the same page.
fn together(pages: &[String], one: &str, other: &str) {
    let page = pages.iter().find(|page| page.contains(one)).unwrap_or_else(|| panic!("{one} is lost"));
    assert!(page.contains(other), "{one} without {other}: {page}");
}

fn table(name: &str, rows: usize) -> Block {
    let row = |row: usize| vec![format!("{name} row {row}."), row.to_string()];
    let columns = vec![Column::left("Row"), Column::right("Number")];
    let caption = format!("Table {name}");
    Block::Table(Table { caption, columns, rows: (1..=rows).map(row).collect(), total: true })
}

fn step(name: &str, number: usize, what: &str) -> Step {
    let [when, who, record] = ["when", "who", "record"].map(|word| format!("{name} {word} {number}."));
    Step { when, what: what.to_owned(), who, record }
}

#[test]
fn a_short_table_stands_on_one_page_with_its_caption() {
    // Of many heights, so that the foot of a page comes at many places.
    let rows = [9, 12, 7, 11, 8, 13, 10, 7, 12, 9, 13, 8];
    let tables = (10..22).map(|at| table(&format!("no. {at}"), rows[at - 10])).collect();
    let pages = pages(&tools::pdf(&of(tables), None));
    for at in 10..22 {
        together(&pages, &format!("Table no. {at}"), &format!("no. {at} row {}.", rows[at - 10]));
    }
    // Page one, the pages of tables and what follows the last form feed.
    assert!(pages.len() <= 7, "{pages:?}");
}

#[test]
fn a_fault_begins_with_its_heading_and_two_steps_on_one_page() {
    // The second step is high, so that the foot of some page comes within it.
    let what = |number: usize| "Proving check passed. ".repeat(if number == 2 { 20 } else { 1 });
    let fault = |at: usize| {
        let steps = (1..=9 + at % 4).map(|number| step(&format!("no. {at}"), number, &what(number))).collect();
        [Block::Heading(format!("Fault no. {at}")), Block::Steps(steps)]
    };
    let pages = pages(&tools::pdf(&of((10..40).flat_map(fault).collect()), None));
    for at in 10..40 {
        together(&pages, &format!("Fault no. {at}"), &format!("no. {at} when 2."));
    }
    // They are split where they do not fit, or else much paper would stay white.
    assert!(pages.len() <= 17, "{pages:?}");
}

#[test]
fn no_word_of_a_text_longer_than_a_page_is_lost() {
    for between in [" ", "\n"] {
        let long = |name: &str| (1..2000).map(|at| format!("{name}{at}.")).collect::<Vec<_>>().join(between);
        let row = vec![long("cell"), "1".to_owned(), "2".to_owned()];
        let columns = ["One", "Two", "Three"].map(Column::left).to_vec();
        let table = Table { caption: "Long".to_owned(), columns, rows: vec![row], total: false };
        let steps = vec![step("short", 1, "short"), step("long", 2, &long("step"))];
        let report = of(vec![Block::Table(table), Block::Heading("Long".to_owned()), Block::Steps(steps)]);
        let found = pages(&tools::pdf(&report, None)).join(" ");
        for at in 1..2000 {
            assert!(found.contains(&format!("cell{at}.")) && found.contains(&format!("step{at}.")), "{at}");
        }
    }
}

#[test]
fn a_section_that_asks_for_a_page_gets_one_only_where_little_is_left() {
    let asking = |at: usize, rows: usize| Section {
        id: format!("no-{at}"),
        title: format!("Section {at}"),
        blocks: vec![table(&format!("no. {at}"), rows)],
        new_page: true,
    };
    let mut report = of(vec![table("no. 0", 4)]);
    report.sections.extend([asking(1, 24), asking(2, 2), asking(3, 2)]);
    let pages = pages(&tools::pdf(&report, None));
    together(&pages, "Section 1", "no. 0 row 4.");
    let page = |words: &str| pages.iter().position(|page| page.contains(words)).expect("the section is there");
    assert!(page("Section 2") > page("no. 1 row 24."), "less than a third was left: {pages:?}");
    assert!(page("Section 3") > page("no. 2 row 2."), "the last one begins a page: {pages:?}");
}

#[test]
fn texts_stand_in_the_pdf_as_typed() {
    let found = joined(&text(&tools::pdf(&sample::nasty(), None), &[]));
    for text in sample::NASTY {
        assert!(found.contains(&joined(text)), "{text:?}");
    }
}

#[test]
fn the_figures_and_the_report_travel_along() {
    let report = sample::saying("Checked by 王小明 🙂");
    let folder = tempfile::tempdir().expect("a scratch folder");
    fs::write(folder.path().join("report.pdf"), tools::pdf(&report, None)).expect("the scratch folder can be written");
    tools::output("pdfdetach", &["-saveall", "report.pdf"], folder.path());
    let detached = |name: &str| fs::read_to_string(folder.path().join(name)).expect("the file is attached");
    assert_eq!(detached("figures.csv"), figures::csv(&report));
    assert_eq!(detached("report.json"), figures::json(&report));
}

#[test]
fn the_same_report_is_the_same_bytes() {
    let report = sample::month();
    let first = tools::pdf(&report, None);
    // Every run has a scratch folder of its own.
    assert!(first == tools::pdf(&report, None), "two runs differ");
    let folder = tempfile::tempdir().expect("a scratch folder");
    let setting = typeset::setting(&report, &[]);
    for (path, content) in setting.files {
        let path = folder.path().join(path);
        fs::create_dir_all(path.parent().expect("a file stands in a folder"))
            .expect("the scratch folder can be written");
        fs::write(path, content).expect("the scratch folder can be written");
    }
    let far = std::process::Command::new("typst")
        .args(setting.arguments)
        .current_dir(folder.path())
        .envs([("TZ", "Pacific/Kiritimati"), ("LC_ALL", "C")])
        .status()
        .expect("`typst` is missing; run tests/run, which installs what the tests need");
    assert!(far.success());
    assert!(
        first == fs::read(folder.path().join(typeset::PDF)).expect("typst left a PDF"),
        "another time zone differs"
    );
}

#[test]
fn characters_without_a_picture_are_shown_by_number() {
    let found = text(&tools::pdf(&sample::saying("Checked by 王 🙂, Ελένη, Ирина, דנה"), None), &[]);
    assert!(found.contains("Checked by [U+738B] [U+1F642], Ελένη, Ирина"), "{found}");
    assert!(found.contains("2 characters of this report have no picture"), "{found}");
    let plain = text(&tools::pdf(&sample::month(), None), &[]);
    assert!(!plain.contains("no picture"), "{plain}");
}

#[test]
fn a_folder_of_files_that_are_no_fonts_does_no_harm() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    fs::write(folder.path().join("broken.ttf"), b"no font").expect("the scratch folder can be written");
    fs::write(folder.path().join("note.txt"), b"no font").expect("the scratch folder can be written");
    let found = text(&tools::pdf(&sample::saying("plain 王"), Some(folder.path())), &[]);
    assert!(found.contains("plain [U+738B]"), "{found}");
}

#[test]
fn a_report_of_almost_nothing_is_a_pdf() {
    let mut hollow = sample::month().map_texts(|_| String::new());
    hollow.about.language = "??".to_owned();
    hollow.about.timestamp = i64::MIN;
    let mut bare = sample::saying("中");
    bare.sections.clear();
    bare.about.timestamp = i64::MAX;
    bare.about.language = "de-AT".to_owned();
    for report in [hollow, bare] {
        assert!(tools::pdf(&report, None).starts_with(b"%PDF-"));
    }
}

/// Characters of every kind that a font, a shaper or the standards for archives trip over.
fn odd_text() -> impl Strategy<Value = String> {
    let kinds = [
        "[a-zA-Z0-9 ,.-]{1,4}",
        "[\u{300}-\u{36F}]{1,3}",
        "\n[\u{5B0}-\u{5BD}\u{64B}-\u{65F}]{1,2}",
        "[\u{590}-\u{5FF}]{1,4}",
        "[\u{600}-\u{6FF}]{1,4}",
        "[\u{900}-\u{97F}]{1,4}",
        "[\u{E00}-\u{E7F}]{1,4}",
        "[\u{1100}-\u{11FF}]{1,3}",
        "[\u{200B}-\u{200F}\u{2028}-\u{202E}\u{2060}-\u{206F}\u{FEFF}\u{AD}\u{34F}\u{61C}]",
        "[\u{FE00}-\u{FE0F}\u{E0100}-\u{E0110}\u{E0001}-\u{E007F}]",
        "[\u{1F300}-\u{1FAFF}\u{1F1E6}-\u{1F1FF}]{1,3}",
        "[\u{E000}-\u{F8FF}\u{F0000}-\u{10FFFF}]",
        "[\u{FFF0}-\u{FFFF}\u{FDD0}-\u{FDEF}]",
        "[\u{0}-\u{1F}\u{7F}-\u{9F}]",
        "[\u{1E00}-\u{2BFF}]{1,3}",
        "(?s).{1,3}",
    ];
    let kinds: Vec<_> = kinds
        .iter()
        .map(|kind| proptest::string::string_regex(kind).expect("the pattern is written above").boxed())
        .collect();
    prop::collection::vec(prop::strategy::Union::new(kinds), 1..8).prop_map(|parts| parts.concat())
}

#[test]
fn a_letter_at_the_edge_of_a_font_keeps_no_pdf_from_coming() {
    // A mark of the second font at the start of a text or a line, alone and after a letter, and a letter that the second
    // font has not in bold.
    for text in ["\u{65A}", "x\n\u{65A}", "\u{5C1}\n\u{651}", "\u{7}\u{65A}", "a\u{65A}", "\u{1D5A0}"] {
        let report = sample::month().map_texts(|_| text.to_owned());
        assert!(tools::pdf(&report, None).starts_with(b"%PDF-"), "{text:?}");
    }
}

#[test]
fn no_text_keeps_the_pdf_from_coming() {
    let cases = std::env::var("PROPTEST_CASES").ok().and_then(|cases| cases.parse().ok()).unwrap_or(12);
    let texts = prop::collection::vec(odd_text(), 60);
    let mut runner = TestRunner::new(Config { cases, ..Config::default() });
    let result = runner.run(&texts, |texts| {
        let mut report = sample::month();
        let mut next = 0;
        report = report.map_texts(|_| {
            next += 1;
            texts[next % texts.len()].clone()
        });
        report.sections[0].blocks.push(Block::List(texts));
        prop_assert!(tools::pdf(&report, None).starts_with(b"%PDF-"));
        Ok(())
    });
    result.unwrap_or_else(|error| panic!("{error}"));
}
