//! All that the typst program needs to set a paper as a PDF: its files, and its arguments.
//!
//! Takes the paper, which is the report here, and fonts beyond our own; gives plain data. Running the program is the
//! command's work. The template reads the paper as data, so no text of a record is ever read as typst.

use super::coverage::Coverage;
use super::document::Report;
use super::figures;
use super::words::WORDS;

/// The template's file name, and that of the PDF that any template becomes.
const TEMPLATE: &str = "summary.typ";
pub const PDF: &str = "paper.pdf";

const SOURCE: &str = include_str!("../../report-templates/summary.typ");

/// The fonts inside the program: a PDF looks the same on every machine.
pub static FONTS: [(&str, &[u8]); 4] = [
    ("NotoSans-Regular.ttf", include_bytes!("../../report-templates/fonts/NotoSans-Regular.ttf")),
    ("NotoSans-Bold.ttf", include_bytes!("../../report-templates/fonts/NotoSans-Bold.ttf")),
    ("DejaVuSans.ttf", include_bytes!("../../report-templates/fonts/DejaVuSans.ttf")),
    ("DejaVuSans-Bold.ttf", include_bytes!("../../report-templates/fonts/DejaVuSans-Bold.ttf")),
];

/// What the typst program is given.
#[derive(Clone, Debug, PartialEq)]
pub struct Setting {
    /// Every file as a path in the scratch folder and its content.
    pub files: Vec<(String, Vec<u8>)>,
    /// The arguments of the program, run in the scratch folder; it leaves [`PDF`] there.
    pub arguments: Vec<String>,
}

/// Returns what sets a report as a PDF: PDF/A-3a for the archive, with attachments, and PDF/UA-1 for readers who hear or
/// feel it.
///
/// `report.json` is what is set: characters without a picture are replaced there. What is attached to the PDF is
/// the report as it is.
pub fn setting(report: &Report, extra_fonts: &[Vec<u8>]) -> Setting {
    let (drawn, _) = Coverage::of(&fonts(extra_fonts)).drawable(report);
    let words = serde_json::to_vec_pretty(&WORDS).expect("words are only texts");
    let files = vec![
        (TEMPLATE.to_owned(), SOURCE.as_bytes().to_vec()),
        ("report.json".to_owned(), figures::json(&drawn).into_bytes()),
        ("words.json".to_owned(), words),
        ("attached/report.json".to_owned(), figures::json(report).into_bytes()),
        ("attached/figures.csv".to_owned(), figures::csv(report).into_bytes()),
    ];
    Setting::of(TEMPLATE, "a-3a,ua-1", report.about.timestamp, files, extra_fonts)
}

/// Returns our fonts and those beyond.
pub fn fonts(extra_fonts: &[Vec<u8>]) -> Vec<&[u8]> {
    FONTS.iter().map(|(_, font)| *font).chain(extra_fonts.iter().map(Vec::as_slice)).collect()
}

impl Setting {
    /// Returns what sets one of the files, a template, by standards of PDF and with a date in seconds since 1970.
    ///
    /// Only the fonts of the scratch folder count, each family by name and in order, so that what [`Coverage`] found is
    /// what can be drawn: left to itself, the typesetter looks through the families it was not told of only once.
    pub fn of(
        template: &str,
        standards: &str,
        timestamp: i64,
        mut files: Vec<(String, Vec<u8>)>,
        extra_fonts: &[Vec<u8>],
    ) -> Setting {
        // A PDF's date has four digits for the year.
        const YEAR_9999: i64 = 253_402_300_799;
        files.extend(FONTS.iter().map(|(name, font)| (format!("fonts/{name}"), font.to_vec())));
        files.extend(extra_fonts.iter().enumerate().map(|(at, font)| (format!("fonts/extra-{at}.ttf"), font.clone())));
        let families = Coverage::of(&fonts(extra_fonts)).names().join("\n");
        files.push(("fonts.txt".to_owned(), families.into_bytes()));
        let timestamp = timestamp.clamp(0, YEAR_9999);
        let arguments = format!(
            "compile --root . --pdf-standard {standards} --ignore-system-fonts --ignore-embedded-fonts \
             --font-path fonts --diagnostic-format short --creation-timestamp {timestamp} {template} {PDF}"
        );
        Setting { files, arguments: arguments.split_whitespace().map(str::to_owned).collect() }
    }
}
