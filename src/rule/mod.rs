//! The rules that a logbook is judged by, one per file with its page beside it.
//!
//! Takes what was read and replayed, and gives diagnostics: a problem is something wrong with a file, a finding is something
//! a good record says about a machine or about the work. Only records that count have open ones: what a
//! later record corrects or voids is settled. [`RULES`] is the whole list. Rules without a check are found by the readers, or by whoever takes a record in, which also emit them;
//! they stand here for their page. Nothing here draws, sorts or filters.

mod allowed_signers_differ;
mod answer_does_not_fit;
mod check_too_long;
mod check_while_withheld;
mod correction_does_not_fit;
mod correction_of_other_work;
mod email_of_two_people;
mod emergency_start_not_completed;
mod facts;
mod failed_check_without_fault;
mod fault_names_passed_item;
mod finished_before_started;
mod instrument_out_of_calibration;
mod item_failed;
mod item_not_done;
mod item_not_on_machine;
mod limit_does_not_fit;
mod machine_not_in_use_then;
mod misfiled_record;
mod need;
mod offset_not_at_site;
mod passed_after_failed_try;
mod person_may_not_do_item;
mod person_not_here_then;
mod reading_not_believable;
mod record_of_another_machine;
mod recorded_late;
mod release_without_passing_check;
mod released_twice;
mod released_without_repair;
mod repair_before_fault;
mod repair_begun_before_fault;
mod repeated_item;
mod restriction_expired;
mod revision_not_in_force;
mod said_not_fitted;
mod service_overdue;
mod signing_key_not_readable;
mod signing_key_of_two_people;
mod time_in_the_future;
mod unanswered_item;
mod unknown_feature;
mod unknown_item;
mod unknown_machine;
mod unknown_person;
mod unknown_procedure;
mod unknown_record;
mod void_already;
mod words;
mod wrong_kind_of_record;

pub use facts::Facts;

use crate::contents::Standing;
use crate::diagnostic::{Diagnostic, Severity};

/// One rule: its name, how serious it is, its page, and the function that looks for it.
pub struct Rule {
    /// The problem in words with hyphens; the only code there is.
    pub name: &'static str,
    pub severity: Severity,
    /// What the rule finds and why it matters, with an example; in Markdown.
    pub page: &'static str,
    /// Nothing for a rule that the readers find, and for what is only told when a record is taken in.
    pub check: Option<fn(&Facts) -> Vec<Diagnostic>>,
}

/// Every rule, by name.
pub const RULES: &[Rule] = &[
    allowed_signers_differ::RULE,
    answer_does_not_fit::RULE,
    check_too_long::RULE,
    check_while_withheld::RULE,
    correction_does_not_fit::RULE,
    correction_of_other_work::RULE,
    email_of_two_people::RULE,
    emergency_start_not_completed::RULE,
    by_reader("empty-file", include_str!("empty_file.md")),
    failed_check_without_fault::RULE,
    fault_names_passed_item::RULE,
    by_reader("file-too-large", include_str!("file_too_large.md")),
    finished_before_started::RULE,
    at_taking_in("form-out-of-date", include_str!("form_out_of_date.md")),
    by_reader("hidden-character", include_str!("hidden_character.md")),
    instrument_out_of_calibration::RULE,
    item_failed::RULE,
    item_not_done::RULE,
    item_not_on_machine::RULE,
    limit_does_not_fit::RULE,
    machine_not_in_use_then::RULE,
    misfiled_record::RULE,
    by_reader("missing-field", include_str!("missing_field.md")),
    by_reader("missing-file", include_str!("missing_file.md")),
    by_reader("more-than-one-document", include_str!("more_than_one_document.md")),
    by_reader("nested-too-deep", include_str!("nested_too_deep.md")),
    by_reader("not-a-date", include_str!("not_a_date.md")),
    by_reader("not-a-file", include_str!("not_a_file.md")),
    by_reader("not-a-moment", include_str!("not_a_moment.md")),
    by_reader("not-a-quantity", include_str!("not_a_quantity.md")),
    by_reader("not-plain-yaml", include_str!("not_plain_yaml.md")),
    by_reader("not-utf-8", include_str!("not_utf_8.md")),
    by_reader("not-yaml", include_str!("not_yaml.md")),
    offset_not_at_site::RULE,
    passed_after_failed_try::RULE,
    person_may_not_do_item::RULE,
    person_not_here_then::RULE,
    reading_not_believable::RULE,
    by_reader("reading-without-unit", include_str!("reading_without_unit.md")),
    record_of_another_machine::RULE,
    recorded_late::RULE,
    release_without_passing_check::RULE,
    released_twice::RULE,
    released_without_repair::RULE,
    repair_before_fault::RULE,
    repair_begun_before_fault::RULE,
    repeated_item::RULE,
    by_reader("repeated-key", include_str!("repeated_key.md")),
    restriction_expired::RULE,
    revision_not_in_force::RULE,
    said_not_fitted::RULE,
    service_overdue::RULE,
    signing_key_not_readable::RULE,
    signing_key_of_two_people::RULE,
    by_reader("stray-file", include_str!("stray_file.md")),
    by_reader("text-cut-by-hash", include_str!("text_cut_by_hash.md")),
    time_in_the_future::RULE,
    by_reader("two-versions", include_str!("two_versions.md")),
    unanswered_item::RULE,
    unknown_feature::RULE,
    by_reader("unknown-field", include_str!("unknown_field.md")),
    unknown_item::RULE,
    unknown_machine::RULE,
    unknown_person::RULE,
    unknown_procedure::RULE,
    unknown_record::RULE,
    by_reader("unknown-unit", include_str!("unknown_unit.md")),
    void_already::RULE,
    wrong_kind_of_record::RULE,
    by_reader("wrong-shape", include_str!("wrong_shape.md")),
];

/// Judges everything by every rule, in no particular order.
///
/// A problem of a record that a later one corrects or voids is settled: the record itself can never be edited.
pub fn judge(facts: &Facts) -> Vec<Diagnostic> {
    let open = |d: &Diagnostic| facts.contents.standing(&d.place.path) == Standing::Counts;
    RULES.iter().filter_map(|rule| rule.check).flat_map(|check| check(facts)).filter(open).collect()
}

/// Returns whether a finding about what the history has refuses a record as it comes in: nothing is edited once it is
/// committed, and until then it can be put right.
pub fn refuses(finding: &Diagnostic) -> bool {
    finding.rule == offset_not_at_site::RULE.name
}

/// A finding about a record as it comes in, which is not told again of what is in the history.
const fn at_taking_in(name: &'static str, page: &'static str) -> Rule {
    Rule { name, severity: Severity::Finding, page, check: None }
}

const fn by_reader(name: &'static str, page: &'static str) -> Rule {
    Rule { name, severity: Severity::Problem, page, check: None }
}
