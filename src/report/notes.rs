//! Sections that stand in every report: how each number is made, the cautions, and the lines to sign on.

use super::basis::Basis;
use super::document::{Block, Section};

/// The cautions that stand in every report and in the README.
pub const CAUTIONS: [&str; 10] = [
    "This is an aid to keeping records. It is not a medical device and gives no clinical advice.",
    "It does not test, clear or certify any machine. A pass is what the named people recorded.",
    "The maker's instructions for use and local policy come first, always.",
    "Limits are examples from the sources named beside them. The responsible clinician and the clinical engineer must approve them for this hospital.",
    "Checks are done only by trained staff who are licensed or authorised to do them.",
    "A failed or missing check never stands in the way of emergency care. The clinician decides.",
    "A check does not reveal every defect.",
    "Records hold no patient's data, and must not.",
    "This report is not in itself evidence that any accreditation requirement is met. Serious events are reported by law elsewhere, not by this program.",
    "A name in a file is not a signature, and whoever can write to the history can rewrite it. Protect it and keep a copy outside.",
];

const DEFINITIONS: [&str; 10] = [
    "Check expected: a machine-day on which the calendar expects the machine in use, less the days on which it was withheld from use from midnight to midnight. One check before the first case is expected on each. A check on a day on which the machine was withheld all day is neither expected nor unexpected. A day on which it was withheld only from some hour on is expected like any other: without a check it counts as missing.",
    "Done: a check before the first case, or a complete one after service, finished on that day in the site's time zone and before the machine's first check before a patient on that day, with every item that applies answered by pass or fail. A check that failed was done. Incomplete: a check that left an item undone, or one that was completed only after a patient's check.",
    "Late: written down later after the work than the site allows. A day is late when any of its checks before the first case or after service was late; what was done stays done.",
    "Failed check: a check with at least one item that failed, by its limit or by the word of the person who did it. The share is failed checks of all checks before use.",
    "95 % interval: the exact limits of Clopper and Pearson (Biometrika 1934; 26: 404–413), two-sided. Over many months they hold the true rate at least 95 times in 100 if checks fail independently of each other. One defect can fail several checks; the true uncertainty is then larger than the limits show. Limits are rounded outward to one decimal.",
    "Fault: the state of a machine after a failure, from the record that says it was found to the release that names it. Each fault counts once, however many checks it failed. A fault found exactly at midnight belongs to the day that begins.",
    "Response: from found to the first work begun. Work: over all repairs, from beginning to end, less the waiting that a repair record names when it fits between them. Waiting that does not fit was before or between the work and is told apart. Only work begun by the end of the report counts, and of work that was not finished by then only its beginning. Time to return to service: from found to released, with all waiting in it (the moments are those of ISO/TR 12489:2013). It is the time of each fault: a machine with two faults is back in service only when both are released.",
    "Median time to return to service: of the faults that withheld a machine and were found in the twelve months to the end of the period, or since the logbook's first record when that is younger, by the product-limit method of Kaplan and Meier (J Am Stat Assoc 1958; 53: 457–481). A fault still open counts as lasting at least as long as it has been open. Where the curve stands at exactly one half, the earlier time is given. With fewer than five released faults no median is printed; each fault is listed.",
    "Verdicts are computed from the readings by the revision of the procedure that the check followed. They are not stored in the records.",
    "Counts of days and of faults are a census of what was recorded, not a sample, and carry no interval.",
];

/// Returns the method notes, the cautions and the signatures.
pub fn sections(basis: &Basis<'_>) -> Vec<Section> {
    let mut method = vec![Block::List(DEFINITIONS.map(str::to_owned).to_vec())];
    method.push(Block::Heading("What this report was built from".to_owned()));
    method.push(Block::List(provenance(basis)));
    if !basis.site.report.standards.is_empty() {
        method.push(Block::Heading("Standards this binder answers to, as the hospital states them".to_owned()));
        method.push(Block::List(basis.site.report.standards.clone()));
    }
    let signatures = if basis.site.report.signatures.is_empty() {
        vec!["Responsible clinician".to_owned(), "Clinical engineer".to_owned()]
    } else {
        basis.site.report.signatures.clone()
    };
    vec![
        Section {
            id: "method".to_owned(),
            title: "How each number is made".to_owned(),
            blocks: method,
            new_page: true,
        },
        Section {
            id: "cautions".to_owned(),
            title: "Cautions".to_owned(),
            blocks: vec![Block::List(CAUTIONS.map(str::to_owned).to_vec())],
            new_page: false,
        },
        Section {
            id: "signatures".to_owned(),
            title: "Signatures".to_owned(),
            blocks: vec![Block::Signatures(signatures)],
            new_page: false,
        },
    ]
}

fn provenance(basis: &Basis<'_>) -> Vec<String> {
    let mut lines = match &basis.built_from {
        Some(built) => vec![
            format!("Commit {} of {}.", built.commit, basis.clock(built.time)),
            if basis.period_is_over() {
                "The period was over when this report was made, so it looks back from the end of the period. Made again at any later time from the same commit, with the same version of the program, it is the same to the byte."
            } else {
                "The period was not over when this report was made, so it looks back from the moment of the commit, or from an earlier one that was asked for. Made again from the same commit after the end of the period, it looks back from that end."
            }
            .to_owned(),
            "Whether a record's time lies in the future is judged by the moment of the commit, not by a clock.".to_owned(),
        ],
        None => vec!["Files in no git history: nothing shows whether they were changed. This is a draft.".to_owned()],
    };
    lines.push(format!(
        "Records that count, over the logbook's whole life: {}; left out: {}.",
        basis.contents.counting().count(),
        basis.left_out.len()
    ));
    lines.push(format!(
        "What happened {} {} is not counted; records that were written down later about the time before it are.",
        if basis.period_is_over() { "at or after" } else { "after" },
        basis.clock(basis.as_of)
    ));
    lines.push(format!("Times are those of the zone {}.", basis.site.time_zone.name()));
    lines.push(format!("pinindex {}.", env!("CARGO_PKG_VERSION")));
    lines
}
