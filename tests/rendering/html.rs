//! The page, judged by the Nu HTML checker.

use std::fs;
use std::path::Path;

use pinindex::diagnostic::hidden::is_hidden;
use pinindex::report::document::{Block, Report};
use pinindex::report::html::render;
use pinindex::report::markdown;
use pinindex::report::picture::svg;

use crate::{pictures, sample, tools};

/// Asserts that the checker has nothing to say about the pages, or with `--errors-only` that it finds no error.
fn silent(pages: &[String], options: &[&str]) {
    let jar = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/outside/node_modules/vnu-jar/build/dist/vnu.jar");
    assert!(jar.is_file(), "the Nu HTML checker is missing; run tests/run, which installs what the tests need");
    let folder = tempfile::tempdir().expect("a scratch folder");
    let mut arguments = vec!["-jar".to_owned(), jar.display().to_string(), "--stdout".to_owned()];
    arguments.extend(options.iter().map(|option| (*option).to_owned()));
    for (at, page) in pages.iter().enumerate() {
        let name = format!("{at}.html");
        fs::write(folder.path().join(&name), page).expect("the scratch folder can be written");
        arguments.push(name);
    }
    let output = tools::run("java", &arguments, folder.path());
    let words = String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success() && words.trim().is_empty(), "{words}");
}

fn bare() -> Report {
    let mut report = sample::month();
    report.sections.clear();
    report.about.title.clear();
    report
}

fn hollow() -> Report {
    let mut report = sample::month().map_texts(|_| String::new());
    report.about.language.clear();
    report.sections[0].blocks.push(Block::List(Vec::new()));
    report.sections[0].blocks.push(Block::Tiles(Vec::new()));
    report
}

#[test]
fn the_checker_has_nothing_to_say() {
    silent(&[render(&sample::month()), render(&sample::nasty()), render(&bare()), render(&hollow())], &[]);
}

#[test]
fn odd_signs_of_a_record_are_no_error_of_the_page() {
    // It warns of letters that are not composed and of private signs: they stand as they were typed.
    let every_sign: String = (0..0x3000).filter_map(char::from_u32).collect();
    let forbidden = "\u{FFFE}\u{1FFFF}\u{FDD0}\u{E000}\u{202E}\u{0}";
    silent(&[render(&sample::saying(&every_sign)), render(&sample::saying(forbidden))], &["--errors-only"]);
}

#[test]
fn the_page_needs_nothing_from_outside() {
    for page in [render(&sample::month()), render(&sample::nasty())] {
        for outside in ["<script", "<link", "<img", "<iframe", " src=", " href=", "@import", "url(", "<a "] {
            assert!(!page.contains(outside), "{outside}");
        }
    }
}

#[test]
fn tables_name_their_heads_and_can_be_scrolled_by_keyboard() {
    let page = render(&sample::month());
    let tables = page.matches("<table").count();
    assert_eq!(tables, 12);
    assert_eq!(page.matches("role=\"region\"").count(), tables);
    assert_eq!(page.matches("tabindex=\"0\"").count(), tables);
    assert!(page.contains("<caption id=\"table-1\">Checks expected, done and failed, by machine</caption>"));
    assert!(page.contains("<th scope=\"col\">Machine</th><th scope=\"col\" class=\"number\">Expected</th>"));
    assert!(page.contains("<tr class=\"total\"><th scope=\"row\">All</th><td class=\"number\">66</td>"));
}

#[test]
fn a_picture_has_a_name_a_reading_and_its_numbers() {
    let page = render(&sample::month());
    assert_eq!(page.matches("<figure class=\"picture\">").count(), 7);
    assert_eq!(page.matches("role=\"img\"").count(), 7);
    for number in 1..=7 {
        let id = format!("picture-{number}");
        assert!(page.contains(&format!("aria-labelledby=\"{id}-title {id}-desc\"")), "{id}");
        assert_eq!(page.matches(&format!("id=\"{id}-title\"")).count(), 1, "{id}");
        assert_eq!(page.matches(&format!("id=\"{id}-desc\"")).count(), 1, "{id}");
    }
    assert!(page.contains("<p>Half of the machines were back in service after 1.1 days;"));
    // The first of them has many numbers, that of page one none.
    assert_eq!(page.matches("<details>").count(), 1);
    assert_eq!(page.matches("<details open>").count(), 5);
}

#[test]
fn a_picture_without_words_has_a_name_all_the_same() {
    let page = render(&hollow());
    assert!(page.contains("<title id=\"picture-1-title\">Picture</title>"));
    assert!(!page.contains("<figcaption>") && !page.contains("<text"));
}

#[test]
fn a_hidden_sign_of_a_name_turns_no_sentence_around() {
    let named = sample::month().map_texts(|_| "Theatre \u{202E}1\u{2066}\u{85}\u{200F}".to_owned());
    let seen = "Theatre [U+202E]1[U+2066][U+0085][U+200F]";
    let (page, plain) = (render(&named), markdown::render(&named));
    assert!(page.contains(&format!("<title id=\"picture-1-title\">{seen}</title>")), "{page}");
    assert!(plain.contains(&markdown::escape(seen)), "{plain}");
    let drawing = &pictures::drawn("strip");
    let picture = svg::write(drawing, "strip", "Theatre \u{202E}1", "What it \u{2069}says.");
    assert!(picture.contains(">Theatre [U+202E]1</title>") && picture.contains("What it [U+2069]says."), "{picture}");
    for text in [page, plain, picture] {
        assert_eq!(text.chars().find(|c| is_hidden(*c)), None);
    }
}

#[test]
fn texts_stand_on_the_page_as_typed() {
    let page = render(&sample::nasty());
    for text in sample::NASTY {
        let written = text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;");
        assert!(page.contains(&format!("<td>{written}</td>")), "cell {text:?}");
        assert!(page.contains(&format!("<li>{written}</li>")), "list {text:?}");
    }
}
