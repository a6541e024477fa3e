//! Texts in Markdown appear as typed and do nothing.

use pinindex::report::markdown::{escape, render};
use proptest::prelude::*;

use crate::sample;

/// Returns the text that a reader sees of HTML without links, pictures or code.
fn seen(html: &str) -> String {
    let mut text = String::new();
    let mut inside = false;
    for c in html.chars() {
        match c {
            '<' => inside = true,
            '>' if inside => inside = false,
            c if !inside => text.push(c),
            _ => {}
        }
    }
    let text = text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"");
    text.replace("&amp;", "&")
}

fn options() -> comrak::Options<'static> {
    let mut options = comrak::Options::default();
    options.extension.table = true;
    options.extension.strikethrough = true;
    options.extension.tasklist = true;
    options.extension.footnotes = true;
    options.extension.math_dollars = true;
    options.extension.autolink = true;
    options
}

/// Asserts that the text is seen as typed, and that nothing but the block around it was made.
fn stays_itself(text: &str) {
    // Markdown has no form for the zero character; readers show the replacement sign.
    let expected = text.replace('\0', "\u{FFFD}");
    let escaped = escape(text);
    let places = [
        (format!("{escaped}\n"), ["<p>", "</p>"], "p"),
        (format!("- {escaped}\n"), ["<li>", "</li>"], "ul li"),
        (format!("### {escaped}\n"), ["<h3>", "</h3>"], "h3"),
        (format!("> {escaped}\n"), ["<p>", "</p>"], "blockquote p"),
        (format!("| {escaped} | x |\n| --- | --- |\n| y | z |\n"), ["<th>", "</th>"], "table thead tbody tr th td"),
        (format!("| x | y |\n| --- | --- |\n| {escaped} | z |\n"), ["<td>", "</td>"], "table thead tbody tr th td"),
    ];
    for (markdown, [open, close], elements) in places {
        let html = comrak::markdown_to_html(&markdown, &options());
        let found = html.split_once(open).and_then(|(_, rest)| rest.split_once(close)).map(|(inner, _)| seen(inner));
        assert_eq!(found.as_deref(), Some(&*expected), "of {markdown:?} came {html:?}");
        for tag in html.split('<').skip(1).filter(|tag| !tag.starts_with('/')) {
            let name = tag.split(['>', ' ']).next().unwrap_or_default();
            assert!(elements.split(' ').any(|element| element == name), "of {markdown:?} came {html:?}");
        }
    }
}

#[test]
fn texts_that_try_to_be_markup_stay_texts() {
    sample::NASTY.iter().for_each(|text| stays_itself(text));
}

#[test]
fn ordinary_texts_stay_readable() {
    for text in ["4.8 % (95 % interval 1.0 to 13.5 %)", "2026-10-05 06:44", "R&D, don't: \"no\"", "theatre-1", "0 - 5"]
    {
        assert_eq!(escape(text), text);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]
    #[test]
    fn arbitrary_texts_stay_texts(text in "(?s).{1,40}") {
        stays_itself(&text);
    }

    #[test]
    fn arbitrary_signs_stay_signs(text in r##"[-+=*_`~#>|<&:;.)(\[\]!\\$@^{}a1w \n\t/"']{1,14}"##) {
        stays_itself(&text);
    }
}

#[test]
fn the_whole_report_has_its_structure() {
    let html = comrak::markdown_to_html(&render(&sample::month()), &options());
    assert_eq!(html.matches("<h1>").count(), 1);
    assert_eq!(html.matches("<h2>").count(), 6);
    assert_eq!(html.matches("<table>").count(), 13);
    assert!(html.contains("<strong>66</strong>"), "the total is set off");
    assert!(
        html.contains("<p><strong>Oxygen sensor of theatre-2</strong></p>\n<p>The reading falls by 0.19 % a month")
    );
    assert!(!html.contains("svg"), "Markdown tells what a picture shows");
    let nasty = comrak::markdown_to_html(&render(&sample::nasty()), &options());
    for tag in ["<a", "<img", "<script", "<em>", "<del>", "<code>", "<!--", "<input"] {
        assert!(!nasty.contains(tag), "{tag} in {nasty}");
    }
}
