//! Whether a seal was made when and by whom it says.
//!
//! Its file says both, and anybody can write a file. The commit that brings it says it too, and so does the commit that it
//! covers: nobody seals what is not there yet.

use super::file::Seal;
use crate::diagnostic::{Diagnostic, Place};
use crate::record::Moment;
use crate::record::moment::{CLOCKS_DIFFER, spoken};

/// The commit that brings a seal.
#[derive(Clone, Debug, PartialEq)]
pub struct Brought {
    pub moment: Moment,
    /// The name of its author.
    pub author: String,
    /// Whether that is who the seal says made it, among the people of that commit.
    pub is_by_sealer: bool,
}

/// What a seal's own words about itself are held against.
#[derive(Clone, Copy, Debug)]
pub struct Times<'a> {
    /// The time of the commit that it covers.
    pub covered: Moment,
    /// The first moment after its month at the site.
    pub over: Moment,
    pub brought: Option<&'a Brought>,
}

/// The rule of these problems.
pub const MADE_OTHERWISE: &str = "seal-made-otherwise";

/// Returns the problems of a seal that was made at another time, or by another person, than it says.
pub fn made_otherwise(seal: &Seal, times: Times<'_>) -> Vec<Diagnostic> {
    let month = seal.seal.words();
    let problem = |field: &str, headline: String, label: String| {
        Diagnostic::problem("seal-made-otherwise", Place::value(&seal.seal.seal_path(), format!("/{field}")), headline)
            .label(label)
            .help("ask who made it; what it covers is held against the history all the same")
            .paste(format!("git log --format=fuller -- {}", seal.seal.seal_path()))
    };
    let mut problems = Vec::new();
    let early = times.covered.seconds_since(seal.sealed);
    if early > CLOCKS_DIFFER {
        problems.push(problem(
            "sealed",
            format!("seal of {month} says it was made {} before the commit that it covers", spoken(early)),
            format!("covers a commit of {}", times.covered.short()),
        ));
    }
    if seal.sealed < times.over {
        problems.push(problem(
            "sealed",
            format!("seal of {month} says it was made before the month was over"),
            format!("it was over on {}", times.over.short()),
        ));
    }
    let Some(brought) = times.brought else { return problems };
    let apart = brought.moment.seconds_since(seal.sealed);
    if apart.abs() > CLOCKS_DIFFER {
        let word = if apart > 0 { "before" } else { "after" };
        problems.push(problem(
            "sealed",
            format!("seal of {month} says it was made {} {word} its commit", spoken(apart.abs())),
            format!("committed {}", brought.moment.short()),
        ));
    }
    if !brought.is_by_sealer {
        problems.push(problem(
            "by",
            format!("seal of {month} says `{}` made it, and its commit is by another author", seal.by),
            format!("committed by {}", brought.author),
        ));
    }
    problems
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::seal::Leaves;

    fn said(sealed: &str, brought: &str, is_by_sealer: bool) -> Vec<String> {
        let moment = |text: &str| text.parse::<Moment>().unwrap();
        let seal = Seal::of("2026-10".parse().unwrap(), (moment(sealed), "x"), "4f0c", &Leaves::default(), None);
        let brought = Brought { moment: moment(brought), author: "Y".to_owned(), is_by_sealer };
        let times = Times {
            covered: moment("2026-11-19T08:00:00+01:00"),
            over: moment("2026-11-01T00:00:00+01:00"),
            brought: Some(&brought),
        };
        made_otherwise(&seal, times)
            .into_iter()
            .map(|problem| format!("{}; {}", problem.headline, problem.label))
            .collect()
    }

    #[test]
    fn a_seal_is_as_old_as_its_commit_younger_than_what_it_covers_and_by_its_author() {
        assert_eq!(said("2026-11-25T13:00:00+01:00", "2026-11-25T12:04:59Z", true), [""; 0]);
        let found = said("2026-10-20T08:00:00+02:00", "2026-11-25T13:00:00+01:00", false);
        let headlines = [
            "says it was made 30 d 1 h before the commit that it covers; covers a commit of 2026-11-19 08:00",
            "says it was made before the month was over; it was over on 2026-11-01 00:00",
            "says it was made 36 d 6 h before its commit; committed 2026-11-25 13:00",
            "says `x` made it, and its commit is by another author; committed by Y",
        ];
        assert_eq!(found, headlines.map(|headline| format!("seal of October 2026 {headline}")));
        assert_eq!(said("2026-11-25T13:05:01+01:00", "2026-11-25T13:00:00+01:00", true).len(), 1);
    }
}
