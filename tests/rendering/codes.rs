//! The square code of a seal, read by a program by others from what people print and see.

use std::fs;
use std::path::Path;

use pinindex::report::document::{Block, Report, Table};
use pinindex::report::html;
use pinindex::report::picture::svg;
use serde_json::{Value, json};

use crate::{pictures, python, sample, tools};

/// A report with the card of a seal and nothing else.
fn sealed() -> Report {
    let mut report = sample::saying("The seal of the month:");
    report.sections[0].blocks.push(Block::Picture(pictures::shown("card", Table::default())));
    report
}

/// Asks whether the code is read from pictures, each in colour or in grey, scaled by a factor.
fn read(pictures: &[(&Path, bool, f64)]) {
    let question =
        |(picture, grey, factor): &(&Path, bool, f64)| json!({"picture": picture, "grey": grey, "factor": factor});
    let questions: Vec<Value> = pictures.iter().map(question).collect();
    for (question, answer) in questions.iter().zip(python::ask("codes.py", &questions)) {
        assert_eq!(answer, json!([pictures::CODE]), "{question}");
    }
}

#[test]
fn the_code_is_read_from_the_printed_page_also_from_a_poor_copy() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    fs::write(folder.path().join("report.pdf"), tools::pdf(&sealed(), None))
        .expect("the scratch folder can be written");
    for (name, dots) in [("fine", "300"), ("coarse", "150"), ("poor", "100")] {
        tools::output("pdftoppm", &["-r", dots, "-gray", "-singlefile", "report.pdf", name], folder.path());
    }
    let [fine, coarse, poor] = ["fine.pgm", "coarse.pgm", "poor.pgm"].map(|name| folder.path().join(name));
    // The last is a copy of a copy: 150 dots an inch, made smaller and larger again by the reader.
    read(&[(&fine, true, 1.0), (&coarse, true, 1.0), (&poor, true, 1.0), (&coarse, true, 0.7)]);
}

#[test]
fn the_code_is_read_from_the_screen_in_the_light_and_in_the_dark() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let page = html::render(&sealed());
    // What a browser shows to somebody who likes the dark.
    let dark = page.replace("(prefers-color-scheme: dark)", "all");
    assert_ne!(page, dark);
    for (name, page, width) in [("light", &page, "1200"), ("dark", &dark, "1200"), ("narrow", &dark, "640")] {
        fs::write(folder.path().join(format!("{name}.html")), page).expect("the scratch folder can be written");
        browser(
            folder.path(),
            &[&format!("--window-size={width},900"), &format!("--screenshot={name}.png"), &format!("{name}.html")],
        );
    }
    let [light, dark, narrow] = ["light.png", "dark.png", "narrow.png"].map(|name| folder.path().join(name));
    read(&[(&light, false, 1.0), (&light, true, 1.0), (&dark, false, 1.0), (&dark, true, 1.0), (&narrow, true, 1.0)]);
    // The same page on paper, by the browser.
    browser(folder.path(), &["--no-pdf-header-footer", "--print-to-pdf=print.pdf", "light.html"]);
    tools::output("pdftoppm", &["-r", "150", "-gray", "-singlefile", "print.pdf", "print"], folder.path());
    read(&[(&folder.path().join("print.pgm"), true, 1.0)]);
}

/// Runs Chromium in a folder.
fn browser(folder: &Path, more: &[&str]) {
    let profile = format!("--user-data-dir={}", folder.join("profile").display());
    let quiet = "--headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-sync \
                 --disable-background-networking --disable-component-update";
    let arguments: Vec<&str> = quiet.split_whitespace().chain([profile.as_str()]).chain(more.iter().copied()).collect();
    let output = tools::run("chromium", &arguments, folder);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
}

#[test]
fn the_code_has_its_white_around_it_and_modules_that_a_printer_can_print() {
    // ISO/IEC 18004: four modules of white on every side. Half a millimetre for a module is our own measure.
    let drawing = pictures::drawn("card");
    let drawn = svg::write(&drawing, "card", "", "");
    let parsed = roxmltree::Document::parse(&drawn).expect("a drawing is XML");
    let named = |tag: &str| parsed.descendants().find(|node| node.has_tag_name(("http://www.w3.org/2000/svg", tag)));
    let (white, black) = (named("rect").expect("the white"), named("path").expect("the modules"));
    assert_eq!((white.attribute("fill"), white.attribute("class")), (Some("#ffffff"), Some("fill-white")));
    assert_eq!((black.attribute("fill"), black.attribute("class")), (Some("#000000"), Some("fill-black")));
    let sheet = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("report-templates/summary.css"));
    let sheet = sheet.expect("the style sheet is part of the project");
    assert!(
        !sheet.contains("fill-white") && !sheet.contains("fill-black"),
        "a page may not change what a camera reads"
    );
    let outline = black.attribute("d").expect("an outline");
    let numbers = |text: &str| text.split([',', 'h']).filter_map(|part| part.parse::<f64>().ok()).collect::<Vec<_>>();
    let first = numbers(outline.trim_start_matches('M').split('v').next().unwrap_or_default());
    let module =
        outline.split('v').nth(1).and_then(|rest| rest.split('h').next()?.parse::<f64>().ok()).expect("a height");
    assert!(module / 72.0 * 25.4 >= 0.5, "{module}");
    // The first run is the upper edge of the left finder pattern, seven modules wide.
    assert_eq!(first, [4.0 * module, 4.0 * module, 7.0 * module]);
    let side: f64 = white.attribute("width").and_then(|width| width.parse().ok()).expect("a width");
    let modules = (side / module).round();
    // A version of the standard has 17 modules and 4 more for each version.
    assert_eq!((modules as i64 - 8 - 17) % 4, 0, "{modules} modules with the white");
}
