//! The author's date of a commit, which `git log` shows first and which anybody may choose.

use super::account::RecordAccount;
use super::{Evidence, Found};
use crate::diagnostic::{Diagnostic, Place};
use crate::record::Moment;
use crate::record::moment::{CLOCKS_DIFFER, spoken};

/// Returns a finding for each record whose author cannot have worked at the date that its commit gives: before it was written
/// down, or after the commit was made.
pub(super) fn findings(evidence: &Evidence<'_>, records: &[RecordAccount]) -> Vec<Found> {
    records.iter().filter_map(|record| finding(evidence, record)).collect()
}

fn finding(evidence: &Evidence<'_>, record: &RecordAccount) -> Option<Found> {
    let step = evidence.trail.steps.get(record.step)?;
    let info = &step.commit;
    if !info.is_dated || !info.is_author_dated {
        return None;
    }
    let (dated, recorded) = (Moment(info.author_time), record.says.as_ref()?.recorded);
    let (early, late) = (recorded.seconds_since(dated), dated.seconds_since(Moment(info.time)));
    let what = if early > CLOCKS_DIFFER {
        format!("{} before it says it was written down", spoken(early))
    } else if late > CLOCKS_DIFFER {
        format!("{} after its commit was made", spoken(late))
    } else {
        return None;
    };
    let headline = format!("author's date of a record is {what}");
    let finding = Diagnostic::finding("author-date-differs", Place::value(&record.path, "/recorded"), headline)
        .label(format!(
            "git shows {} as its date; committed {} in {}",
            dated.short(),
            Moment(info.time).short(),
            info.short()
        ))
        .help(format!("ask {}: whoever commits with git may write any date there", step.commit.committer_name))
        .paste(format!("git show --no-patch --format=fuller {}", info.short()));
    Some((Some(record.step), finding))
}
