//! The report for scripts: its figures as CSV, and all of it as JSON.
//!
//! CSV cells are what a spreadsheet shows, so a text that a spreadsheet would run as a formula is disarmed.
//! JSON is the value as it is.

use super::document::{Figure, Report};

const HEADS: [&str; 10] = ["figure", "of", "k", "n", "value", "unit", "lower", "upper", "state", "note"];

/// Returns the figures as CSV with a line of heads; an unknown number is an empty cell, never a zero.
pub fn csv(report: &Report) -> String {
    let mut text = line(&HEADS.map(str::to_owned));
    for figure in &report.figures {
        text.push_str(&line(&cells(figure)));
    }
    text
}

/// Returns the whole report as indented JSON, keys in the order of the value.
pub fn json(report: &Report) -> String {
    let mut text = serde_json::to_string_pretty(report).expect("a report holds only texts, numbers and lists of them");
    text.push('\n');
    text
}

fn cells(figure: &Figure) -> [String; 10] {
    let count = |count: Option<u64>| count.map(|count| count.to_string()).unwrap_or_default();
    let number = |number: &Option<String>| guarded(number.as_deref().unwrap_or_default());
    [
        guarded(&figure.figure),
        guarded(&figure.of),
        count(figure.k),
        count(figure.n),
        number(&figure.value),
        guarded(&figure.unit),
        number(&figure.lower),
        number(&figure.upper),
        guarded(&figure.state),
        guarded(&figure.note),
    ]
}

fn line(cells: &[String]) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(cells).expect("writing to memory cannot fail");
    let bytes = writer.into_inner().expect("writing to memory cannot fail");
    String::from_utf8(bytes).expect("cells are UTF-8, and so are the commas and quotes between them")
}

/// Returns the text with an apostrophe before it when a spreadsheet would take it for a formula.
///
/// A spreadsheet also looks behind a leading tab or line break. A negative number stays a number.
fn guarded(text: &str) -> String {
    let risky = text.trim_start().starts_with(['=', '+', '-', '@', '＝', '＋', '－', '＠']);
    let number = text.starts_with(['+', '-'])
        && text.chars().skip(1).all(|c| c.is_ascii_digit() || c == '.')
        && text.parse::<f64>().is_ok();
    if risky && !number { format!("'{text}") } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::guarded;

    #[test]
    fn a_formula_is_disarmed_and_a_number_is_left_alone() {
        for formula in ["=1+1", "+cmd", "-2+3", "@sum(a1)", "\t=1", "\r\n=1", "-", "--1", "-inf", "-1e5", "＝1"] {
            assert_eq!(guarded(formula), format!("'{formula}"));
        }
        for plain in ["-3", "+3", "-0.25", "12", "", "theatre-1", "5 - 3", "a=b"] {
            assert_eq!(guarded(plain), plain);
        }
    }
}
