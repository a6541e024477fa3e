//! All that the typst program needs to set a report as a PDF: its files, and its arguments.
//!
//! Takes the report and fonts beyond our own; gives plain data. Running the program is the command's work. The
//! template reads the report as data, so no text of a record is ever read as typst.

use super::coverage::Coverage;
use super::document::Report;
use super::figures;
use super::words::WORDS;

/// The template's file name, and that of the PDF it becomes.
pub const TEMPLATE: &str = "summary.typ";
pub const PDF: &str = "summary.pdf";

const SOURCE: &str = include_str!("../../report-templates/summary.typ");

/// The fonts inside the program: a PDF looks the same on every machine.
pub static FONTS: [(&str, &[u8]); 4] = [
    ("NotoSans-Regular.ttf", include_bytes!("../../report-templates/fonts/NotoSans-Regular.ttf")),
    ("NotoSans-Bold.ttf", include_bytes!("../../report-templates/fonts/NotoSans-Bold.ttf")),
    ("DejaVuSans.ttf", include_bytes!("../../report-templates/fonts/DejaVuSans.ttf")),
    ("DejaVuSans-Bold.ttf", include_bytes!("../../report-templates/fonts/DejaVuSans-Bold.ttf")),
];

/// Returns every file as a path in the scratch folder and its content.
///
/// `report.json` is what is set: characters without a picture are replaced there. What is attached to the PDF is
/// the report as it is.
pub fn inputs(report: &Report, extra_fonts: &[Vec<u8>]) -> Vec<(String, Vec<u8>)> {
    let fonts: Vec<&[u8]> = FONTS.iter().map(|(_, font)| *font).chain(extra_fonts.iter().map(Vec::as_slice)).collect();
    let (drawn, _) = Coverage::of(&fonts).drawable(report);
    let words = serde_json::to_vec_pretty(&WORDS).expect("words are only texts");
    let mut files = vec![
        (TEMPLATE.to_owned(), SOURCE.as_bytes().to_vec()),
        ("report.json".to_owned(), figures::json(&drawn).into_bytes()),
        ("words.json".to_owned(), words),
        ("attached/report.json".to_owned(), figures::json(report).into_bytes()),
        ("attached/figures.csv".to_owned(), figures::csv(report).into_bytes()),
    ];
    files.extend(FONTS.iter().map(|(name, font)| (format!("fonts/{name}"), font.to_vec())));
    files.extend(extra_fonts.iter().enumerate().map(|(at, font)| (format!("fonts/extra-{at}.ttf"), font.clone())));
    files
}

/// Returns the arguments of the typst program, run in the scratch folder.
///
/// PDF/A-3a for the archive, with attachments, and PDF/UA-1 for readers who hear or feel it. Only the fonts of the
/// scratch folder count, so that what [`Coverage`] found is what can be drawn.
pub fn arguments(timestamp: i64) -> Vec<String> {
    // A PDF's date has four digits for the year.
    const YEAR_9999: i64 = 253_402_300_799;
    let timestamp = timestamp.clamp(0, YEAR_9999).to_string();
    let fixed = "compile --root . --pdf-standard a-3a,ua-1 --ignore-system-fonts --ignore-embedded-fonts \
                 --font-path fonts --diagnostic-format short --creation-timestamp";
    fixed.split_whitespace().map(str::to_owned).chain([timestamp, TEMPLATE.to_owned(), PDF.to_owned()]).collect()
}
