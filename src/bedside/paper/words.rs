//! The words that stand on every sheet. All other words come from the logbook.

use serde::Serialize;

/// Words that both renderings share.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Words {
    pub form_code: &'static str,
    pub date: &'static str,
    pub started: &'static str,
    pub finished: &'static str,
    pub done_by: &'static str,
    pub name: &'static str,
    pub signature: &'static str,
    pub initials: &'static str,
    pub emergency_start: &'static str,
    pub number: &'static str,
    pub item: &'static str,
    pub answer: &'static str,
    pub pass: &'static str,
    pub fail: &'static str,
    pub not_done: &'static str,
    pub again: &'static str,
    pub fails: &'static str,
    pub unit: &'static str,
    pub not_expected: &'static str,
    pub failed: &'static str,
    pub what_failed: &'static str,
    pub withheld: &'static str,
    pub restricted: &'static str,
    pub withheld_by: &'static str,
    pub label: &'static str,
    pub call: &'static str,
    pub called_at: &'static str,
    pub spoken_to: &'static str,
    pub remarks: &'static str,
    pub remarks_of_week: &'static str,
    pub names: &'static str,
    pub week_head: &'static str,
    pub no_patient: &'static str,
    pub typed_in: &'static str,
    pub typed_on: &'static str,
    pub page: &'static str,
    pub of: &'static str,
}

/// The sign of an item that is done even when a patient cannot wait.
pub const EMERGENCY: &str = "E";
/// The sign of an item whose failure withholds the machine.
pub const WITHHOLD: &str = "W";
/// The sign of an item whose failure restricts the machine.
pub const RESTRICT: &str = "R";

/// The words in English.
pub const WORDS: Words = Words {
    form_code: "Form code",
    date: "Date",
    started: "Started",
    finished: "Finished",
    done_by: "Done by",
    name: "name",
    signature: "signature",
    initials: "Initials",
    emergency_start: "Emergency start",
    number: "No.",
    item: "Item, what to do, and its limits",
    answer: "What was read",
    pass: "pass",
    fail: "fail",
    not_done: "not done",
    again: "Tested again",
    fails: "fails",
    unit: "unit",
    not_expected: "not expected",
    failed: "If an item failed",
    what_failed: "What failed, by number, and what was seen",
    withheld: "machine withheld from use",
    restricted: "machine restricted; used only",
    withheld_by: "Withheld or restricted by, name and signature",
    label: "label put on the machine",
    call: "Call",
    called_at: "called at",
    spoken_to: "spoken to",
    remarks: "Remarks, and why an item was not done",
    remarks_of_week: "Remarks (more on the back): day, item number; what failed, who was called, why not done",
    names: "Initials and names",
    week_head: "A column for each day. A second try goes to the remarks.",
    no_patient: "No patient's name or number on this sheet.",
    typed_in: "Typed into the logbook by",
    typed_on: "on",
    page: "Page",
    of: "of",
};

/// The cautions in short.
pub const CAUTIONS: [&str; 4] = [
    "The maker's instructions for use and local policy come first.",
    "Checks are done only by trained staff who are licensed or authorised to do them.",
    "A failed or missing check never stands in the way of emergency care: the clinician decides.",
    "A check does not reveal every defect.",
];
