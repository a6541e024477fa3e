//! What fonts can draw, and what stands for the rest.

use std::fs;
use std::path::Path;

use pinindex::report::coverage::Coverage;
use pinindex::report::document::{Block, Report};

use crate::sample;

fn font(name: &str) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("report-templates/fonts").join(name);
    fs::read(path).expect("the font is part of the project")
}

/// Returns the one paragraph of a report, and the notice after it.
fn words(report: &Report) -> (&str, Option<&str>) {
    match report.sections[0].blocks.as_slice() {
        [Block::Paragraph(text)] => (text, None),
        [Block::Paragraph(text), Block::Notice(notice)] => (text, Some(notice)),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_report_that_can_be_drawn_is_left_as_it_is() {
    let (latin, report) =
        (font("NotoSans-Regular.ttf"), sample::saying("Þ. Ólafsdóttir, Ελένη, 4.8 % – \u{201C}ok\u{201D}"));
    assert_eq!(Coverage::of(&[&latin]).drawable(&report), (report, Vec::new()));
}

#[test]
fn a_further_font_draws_more() {
    let (latin, wide, report) = (font("NotoSans-Regular.ttf"), font("DejaVuSans.ttf"), sample::saying("דנה"));
    let (drawn, missing) = Coverage::of(&[&latin]).drawable(&report);
    assert_eq!(words(&drawn).0, "[U+05D3][U+05E0][U+05D4]");
    assert_eq!(missing, ['ד', 'ה', 'נ']);
    assert_eq!(Coverage::of(&[&latin, &wide]).drawable(&report).0, report);
    let nothing: &[u8] = b"no font";
    assert_eq!(Coverage::of(&[nothing, &latin, &wide]).drawable(&report).0, report);
}

#[test]
fn one_letter_is_not_drawn_from_two_fonts() {
    // A Hebrew letter is in the second font only, the mark above it in the first only.
    let (latin, wide) = (font("NotoSans-Regular.ttf"), font("DejaVuSans.ttf"));
    let report = sample::saying("א\u{350}");
    assert_eq!(words(&Coverage::of(&[&latin, &wide]).drawable(&report).0).0, "א[U+0350]");
}

#[test]
fn a_letter_that_is_in_the_plain_font_only_is_not_drawn() {
    // Mathematical letters, which DejaVu Sans has and its bold font has not: a heading with one would stop the PDF.
    let (plain, bold) = (font("DejaVuSans.ttf"), font("DejaVuSans-Bold.ttf"));
    let report = sample::saying("\u{1D5A0}");
    assert_eq!(Coverage::of(&[&plain]).drawable(&report).0, report);
    assert_eq!(words(&Coverage::of(&[&plain, &bold]).drawable(&report).0).0, "[U+1D5A0]");
}

#[test]
fn a_mark_that_would_join_what_is_drawn_before_it_is_shown_by_number() {
    // The mark is in the second font only; at the start of a text, or after a sign shown by number, it would sit on a
    // letter of the first.
    let (latin, wide) = (font("NotoSans-Regular.ttf"), font("DejaVuSans.ttf"));
    let drawn = |text: &str| words(&Coverage::of(&[&latin, &wide]).drawable(&sample::saying(text)).0).0.to_owned();
    assert_eq!(drawn("\u{65A} x"), "[U+065A] x");
    assert_eq!(drawn("x\n\u{65A}"), "x\n[U+065A]");
    assert_eq!(drawn("\u{7}\u{65A}"), "[U+0007][U+065A]");
    assert_eq!(drawn("\u{637}\u{65A}"), "\u{637}\u{65A}");
}

#[test]
fn families_are_named_in_the_order_they_came() {
    let fonts = ["NotoSans-Regular.ttf", "DejaVuSans.ttf", "NotoSans-Bold.ttf"].map(font);
    let fonts: Vec<_> = fonts.iter().map(Vec::as_slice).collect();
    assert_eq!(Coverage::of(&fonts).names(), ["Noto Sans", "DejaVu Sans"]);
}

#[test]
fn signs_without_a_picture_or_with_a_hidden_effect_are_shown() {
    let (latin, wide) = (font("NotoSans-Regular.ttf"), font("DejaVuSans.ttf"));
    let report = sample::saying("a\u{202E}b\u{7}c\u{E000}d\u{FEFF}e\tf\r\ng");
    let (drawn, missing) = Coverage::of(&[&latin, &wide]).drawable(&report);
    assert_eq!(words(&drawn).0, "a[U+202E]b[U+0007]c[U+E000]d[U+FEFF]e f\ng");
    assert_eq!(missing, ['\u{7}', '\u{202E}', '\u{E000}', '\u{FEFF}']);
}

#[test]
fn the_notice_counts_and_names_what_is_missing() {
    let latin = font("NotoSans-Regular.ttf");
    let say = |text: &str| {
        let drawn = Coverage::of(&[&latin]).drawable(&sample::saying(text)).0;
        words(&drawn).1.expect("something is missing").to_owned()
    };
    assert_eq!(
        say("王"),
        "1 character of this report has no picture in the fonts at hand and is shown by number in square brackets: \
         U+738B. The attached file report.json holds every text as it was recorded."
    );
    let many: String = ('一'..='丏').collect();
    assert!(say(&many).contains("16 characters of this report have no picture"), "{}", say(&many));
    assert!(say(&many).contains("U+4E0B and 4 more."), "{}", say(&many));
}
