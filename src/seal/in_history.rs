//! Whether a seal holds: what it says, against the files it covers, the files of the last commit, and the seal before.
//!
//! A record that came after the seal of its month is no problem: it is told, and the next seal covers it.

use super::file::{LogbookTree, MonthTree, NumberedSeal, Seal};
use super::leaves::Leaves;
use super::made::Brought;
use super::month::Month;
use crate::diagnostic::{Diagnostic, Place, counted};
use crate::logbook::short_commit;

/// A seal with what the history says of it.
#[derive(Clone, Debug, PartialEq)]
pub struct SealInHistory {
    pub numbered: NumberedSeal,
    /// The records of its month that came after it; nothing where there is no history to ask.
    pub late: Option<Vec<String>>,
    /// The files it covers that may be changed, and were since: site, people, machines, procedures, calendar.
    pub changed: Vec<String>,
    /// The records of its month that it covers, and that a record which came after it corrects or voids.
    pub replaced: Vec<String>,
    /// The commit that brings it, where that says otherwise than the seal when or by whom it was made.
    pub made: Option<Brought>,
    /// In what it does not hold.
    pub problems: Vec<Diagnostic>,
}

impl SealInHistory {
    /// Returns a seal where there is no history that it could be held against.
    pub fn without_history(numbered: NumberedSeal) -> SealInHistory {
        let (changed, replaced, problems) = (Vec::new(), Vec::new(), Vec::new());
        SealInHistory { numbered, late: None, changed, replaced, made: None, problems }
    }
}

/// The files that a seal covers.
#[derive(Clone, Copy, Debug)]
pub enum Covered<'a> {
    /// Those of its commit, which the history has.
    ByCommit(&'a Leaves),
    /// The history has not its commit; these are the files before the commit that holds the seal, where one does.
    Rewritten(Option<&'a Leaves>),
}

/// The most files that a problem names.
const NAMED: usize = 3;

/// Returns the records of a month that are there now and were not when it was sealed.
///
/// `elsewhere` are the records that happened in another month, by the days of the site, than they lie in.
pub fn late<'a>(
    month: Month,
    then: &Leaves,
    now: &Leaves,
    elsewhere: impl Iterator<Item = (Month, &'a str)>,
) -> Vec<String> {
    let now = now.below(&month.folder());
    let elsewhere = elsewhere.filter(|(of, _)| *of == month).map(|(_, path)| path);
    let all = now.iter().map(|(path, _)| path).chain(elsewhere);
    all.filter(|path| then.get(path).is_none()).map(str::to_owned).collect()
}

/// Returns the files that were sealed, are no records or seals, and are not what they were. Figures that are counted anew rest on
/// them too.
pub fn changed(then: &Leaves, now: &Leaves) -> Vec<String> {
    let those = then.iter().filter(|(path, _)| !path.starts_with("records/") && !path.starts_with("seals/"));
    those.filter(|(path, leaf)| now.get(path) != Some(*leaf)).map(|(path, _)| path.to_owned()).collect()
}

/// Returns the problems of a seal.
///
/// `before` is the seal before it in the logbook, and `told` the files that one covers: what changed in those is its problem,
/// but for the records of this seal's own month.
pub fn problems(
    numbered: &NumberedSeal,
    before: Option<&NumberedSeal>,
    covered: Covered<'_>,
    told: Option<&Leaves>,
    now: &Leaves,
) -> Vec<Diagnostic> {
    let seal = &numbered.seal;
    let mut problems: Vec<Diagnostic> = out_of_chain(seal, before).into_iter().collect();
    match covered {
        Covered::ByCommit(then) => {
            problems.extend(says_otherwise(seal, then));
            problems.extend(changed_since(seal, then, told, now));
        }
        Covered::Rewritten(then) => problems.push(rewritten(seal, then, now)),
    }
    problems
}

fn place(seal: &Seal, pointer: &str) -> Place {
    Place::value(&seal.seal.seal_path(), pointer)
}

/// Returns the problem of a seal that does not name the one before it as the logbook has it.
fn out_of_chain(seal: &Seal, before: Option<&NumberedSeal>) -> Option<Diagnostic> {
    let month = seal.seal.words();
    let found = |pointer: &str, headline: String, label: String| {
        let help =
            "bring back the seals as they were committed; the printed numbers say which of them are the true ones";
        Diagnostic::problem("seal-out-of-chain", place(seal, pointer), headline).label(label).help(help)
    };
    match (&seal.before, before) {
        (None, None) => None,
        (None, Some(before)) => Some(found(
            "/seal",
            format!("seal of {month} names no seal before it"),
            format!("the logbook has one of {}", before.seal.seal.words()),
        )),
        (Some(named), _) if named.seal != seal.seal.previous() => Some(found(
            "/before/seal",
            format!("seal of {month} does not follow the month before"),
            format!("the month before is {}", seal.seal.previous().words()),
        )),
        (Some(named), Some(before)) if named.seal == before.seal.seal && named.sha256 == before.number => None,
        (Some(named), Some(before)) if named.seal == before.seal.seal => Some(
            found(
                "/before/sha256",
                format!("seal of {month} names another seal of {} than the logbook has", named.seal.words()),
                "this number was the one when it was made".to_owned(),
            )
            .also(Place::file(&named.seal.seal_path()), format!("this one has the number {}", before.number.short())),
        ),
        (Some(named), _) => Some(found(
            "/before/seal",
            format!("seal of {month} follows one that the logbook has not"),
            format!("there is no `{}`", named.seal.seal_path()),
        )),
    }
}

/// Returns the problems of a seal whose trees are not those of the files it covers.
fn says_otherwise(seal: &Seal, then: &Leaves) -> Vec<Diagnostic> {
    let (month, logbook) = (MonthTree::of(seal.seal, then), LogbookTree::of(then));
    let parts = [
        ("/month", "the records of its month", (seal.month.records, seal.month.sha256), (month.records, month.sha256)),
        (
            "/logbook",
            "the files of the logbook",
            (seal.logbook.files, seal.logbook.sha256),
            (logbook.files, logbook.sha256),
        ),
    ];
    let wrong = parts.into_iter().filter(|(_, _, said, found)| said != found);
    wrong
        .map(|(pointer, what, said, found)| {
            let label = if said.0 == found.0 {
                "other content than is sealed here".to_owned()
            } else {
                format!("{} sealed here, {} in its commit", said.0, found.0)
            };
            Diagnostic::problem(
                "seal-broken",
                place(seal, pointer),
                format!("seal of {} does not fit {what} in its commit", seal.seal.words()),
            )
            .label(label)
            .help("compare its number with the printed one; when that differs, bring the committed file back")
        })
        .collect()
}

/// Returns the problem of a seal that covers records or seals which are not what they were.
fn changed_since(seal: &Seal, then: &Leaves, told: Option<&Leaves>, now: &Leaves) -> Option<Diagnostic> {
    let lasts = |path: &str| path.starts_with("records/") || path.starts_with("seals/");
    // A month's own records are its seal's matter, also those that the seal before covers because they came before it.
    let own = seal.seal.folder();
    let by_the_one_before =
        |path: &str, leaf| !path.starts_with(&own) && told.is_some_and(|told| told.get(path) == Some(leaf));
    let changed: Vec<&str> = then
        .iter()
        .filter(|(path, leaf)| lasts(path) && now.get(path) != Some(*leaf) && !by_the_one_before(path, *leaf))
        .map(|(path, _)| path)
        .collect();
    let first = changed.first()?;
    let more = changed.len().saturating_sub(NAMED);
    let mut label = changed.iter().take(NAMED).copied().collect::<Vec<_>>().join(", ");
    if more > 0 {
        label = format!("{label} and {more} more");
    }
    let (are, they) = if changed.len() == 1 { ("is", "it was") } else { ("are", "they were") };
    let what = format!(
        "{} that the seal of {} covers {are} not what {they}",
        counted(changed.len(), "file"),
        seal.seal.words()
    );
    Some(
        Diagnostic::problem("seal-broken", place(seal, "/commit"), what)
            .label(label)
            .help("bring the sealed text back, and put right by a record of its own what was wrong in it")
            .paste(format!("git checkout {} -- {first}", short_commit(&seal.commit))),
    )
}

/// Returns the problem of a seal whose commit is gone, with what can still be said of the records.
fn rewritten(seal: &Seal, then: Option<&Leaves>, now: &Leaves) -> Diagnostic {
    let is_sealed = |files: &Leaves| MonthTree::of(seal.seal, files) == seal.month;
    let whole = |files: &Leaves| LogbookTree::of(files) == seal.logbook;
    let month = seal.seal.words();
    let still = |files: &Leaves| files.below("records/").iter().all(|(path, leaf)| now.get(path) == Some(leaf));
    let records = match then {
        Some(then) if whole(then) && still(then) => {
            "all files it covers are in the history as they were, and no record changed since".to_owned()
        }
        Some(then)
            if is_sealed(then) && late(seal.seal, then, now, std::iter::empty()).is_empty() && is_sealed(now) =>
        {
            format!("the records of {month} are still the same, other files it covers are not")
        }
        _ if is_sealed(now) => format!("the records of {month} are still the same"),
        Some(then) if is_sealed(then) => {
            format!("the records of {month} were the same when it was committed and are not, or others came after it")
        }
        _ => format!("the records of {month} are not those that were sealed"),
    };
    Diagnostic::problem(
        "history-rewritten",
        place(seal, "/commit"),
        format!("commit that the seal of {month} stands on is not in the history"),
    )
    .label(records)
    .help("ask who rewrote the history and why, and compare with the copy that is kept outside")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::seal::{Digest, number_of};

    const RECORD: &str = "records/2026/10/05/070000-a.check.yaml";

    fn numbered(seal: Seal) -> NumberedSeal {
        let number = number_of(seal.text().unwrap().as_bytes());
        NumberedSeal { seal, number }
    }

    fn sealed(month: &str, files: &Leaves, before: Option<&NumberedSeal>) -> NumberedSeal {
        let moment = "2026-12-02T09:12:00+01:00".parse().unwrap();
        let commit = "4f0c2a9d81e7b35560cd1f2e9a7740be6d3c8812";
        numbered(Seal::of(month.parse().unwrap(), (moment, "r-castellanos"), commit, files, before))
    }

    fn files() -> Leaves {
        let mut files = Leaves::default();
        for path in ["site.yaml", "records/2026/09/05/070000-a.check.yaml", RECORD] {
            files.add(path, path.as_bytes());
        }
        files
    }

    fn with(files: &Leaves, path: &str, content: &str) -> Leaves {
        let mut files = files.clone();
        files.add(path, content.as_bytes());
        files
    }

    fn said(problems: &[Diagnostic]) -> Vec<String> {
        problems.iter().map(|problem| format!("{}: {}; {}", problem.rule, problem.headline, problem.label)).collect()
    }

    #[test]
    fn a_seal_holds_when_records_are_added_and_limits_change() {
        let then = files();
        let september = sealed("2026-09", &then, None);
        let october = sealed("2026-10", &then, Some(&september));
        let late_record = "records/2026/10/06/070000-a.check.yaml";
        let now = with(&with(&then, late_record, "late"), "site.yaml", "another");
        assert_eq!(problems(&october, Some(&september), Covered::ByCommit(&then), None, &now), []);
        let early = "records/2026/11/01/045200-a.check.yaml";
        let elsewhere = |month: &str| [(month.parse().unwrap(), early)].into_iter();
        assert_eq!(late(october.seal.seal, &then, &now, elsewhere("2026-09")), [late_record]);
        assert_eq!(late(october.seal.seal, &then, &now, elsewhere("2026-10")), [late_record, early]);
    }

    #[test]
    fn a_record_that_changed_is_named_by_its_own_month_and_by_the_first_seal_that_covers_it() {
        let then = files();
        let september = sealed("2026-09", &then, None);
        let october = sealed("2026-10", &then, Some(&september));
        let earlier = "records/2026/09/05/070000-a.check.yaml";
        let now = with(&then, earlier, "changed");
        let found = problems(&september, None, Covered::ByCommit(&then), None, &now);
        let expected = |month: &str, path: &str| {
            [format!("seal-broken: 1 file that the seal of {month} 2026 covers is not what it was; {path}")]
        };
        assert_eq!(said(&found), expected("September", earlier));
        assert_eq!(problems(&october, Some(&september), Covered::ByCommit(&then), Some(&then), &now), []);
        // A record of October that September's seal covers as well, because that was made later.
        let october_changed = with(&then, RECORD, "changed");
        let found = problems(&october, Some(&september), Covered::ByCommit(&then), Some(&then), &october_changed);
        assert_eq!(said(&found), expected("October", RECORD));
        let gone = then.below("site");
        let found = problems(&september, None, Covered::ByCommit(&then), None, &gone);
        assert!(found[0].headline.starts_with("2 files that"), "{found:?}");
    }

    #[test]
    fn a_seal_that_says_something_else_is_broken() {
        let then = files();
        let mut october = sealed("2026-10", &then, None);
        october.seal.month.records = 2;
        october.seal.logbook.sha256 = Digest::of(&[]);
        let found = said(&problems(&october, None, Covered::ByCommit(&then), None, &then));
        assert_eq!(found.len(), 2, "{found:?}");
        assert!(
            found[0].ends_with("2 sealed here, 1 in its commit") && found[1].contains("other content"),
            "{found:?}"
        );
    }

    #[test]
    fn a_chain_has_no_gap_no_other_link_and_one_beginning() {
        let then = files();
        let september = sealed("2026-09", &then, None);
        let another = sealed("2026-09", &with(&then, "people.yaml", "x"), None);
        let october = sealed("2026-10", &then, Some(&september));
        let november = sealed("2026-11", &then, Some(&september));
        let alone = sealed("2026-10", &then, None);
        for (seal, before, words) in [
            (&october, Some(&another), "names another seal of September 2026 than the logbook has"),
            (&october, None, "follows one that the logbook has not"),
            (&november, Some(&september), "does not follow the month before"),
            (&alone, Some(&september), "names no seal before it"),
        ] {
            let found = problems(seal, before, Covered::ByCommit(&then), None, &then);
            assert_eq!(found.len(), 1, "{found:?}");
            assert!(found[0].rule == "seal-out-of-chain" && found[0].headline.ends_with(words), "{found:?}");
        }
    }

    #[test]
    fn of_a_history_that_was_rewritten_it_is_said_whether_the_records_are_the_same() {
        let then = files();
        let october = sealed("2026-10", &then, None);
        let changed = with(&then, RECORD, "changed");
        let elsewhere = with(&then, "site.yaml", "changed");
        for (covered, now, words) in [
            (Some(&then), &then, "all files it covers are in the history as they were"),
            (Some(&elsewhere), &elsewhere, "are still the same, other files it covers are not"),
            (None, &then, "the records of October 2026 are still the same"),
            (Some(&then), &changed, "were the same when it was committed and are not"),
            (Some(&changed), &changed, "are not those that were sealed"),
            (None, &changed, "are not those that were sealed"),
        ] {
            let found = problems(&october, None, Covered::Rewritten(covered), None, now);
            assert_eq!((found.len(), found[0].rule), (1, "history-rewritten"));
            assert!(found[0].label.contains(words), "{} / {words}", found[0].label);
        }
    }
}
