//! The few words that a rendering adds to a report: heads of the columns it makes itself, the page foot,
//! descriptions of what travels along. All other words stand in the report.

use serde::Serialize;

/// Words that every rendering shares.
#[derive(Clone, Copy, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Words {
    /// The title of a report that has none.
    pub untitled: &'static str,
    pub from_to: &'static str,
    pub figure: &'static str,
    pub value: &'static str,
    pub detail: &'static str,
    pub when: &'static str,
    pub what: &'static str,
    pub who: &'static str,
    pub record: &'static str,
    pub role: &'static str,
    pub name_in_print: &'static str,
    pub date: &'static str,
    pub signature: &'static str,
    pub notice: &'static str,
    /// What a table without a caption is called.
    pub table: &'static str,
    /// What a picture without a caption is called.
    pub picture: &'static str,
    /// What opens the table behind a picture.
    pub behind: &'static str,
    pub page: &'static str,
    pub of: &'static str,
    /// What the attached spreadsheet is.
    pub figures_attached: &'static str,
    /// What the attached report is.
    pub report_attached: &'static str,
}

/// The words in English.
pub const WORDS: Words = Words {
    untitled: "Report",
    from_to: "to",
    figure: "Figure",
    value: "Value",
    detail: "Detail",
    when: "When",
    what: "What",
    who: "Who",
    record: "Record",
    role: "Role",
    name_in_print: "Name in print",
    date: "Date",
    signature: "Signature",
    notice: "Note",
    table: "Table",
    picture: "Picture",
    behind: "The numbers behind the picture",
    page: "Page",
    of: "of",
    figures_attached: "Every figure of this report as a table for spreadsheets and scripts",
    report_attached: "This report as data, every text as it was recorded",
};
