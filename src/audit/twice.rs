//! Records that came in twice: by two commits of which neither stands on the other, in two histories that were merged.
//!
//! Whoever wants to put something into the past builds the commits since then anew, and ties the true ones to them by a merge,
//! so that no copy notices. A rebase or a copied commit that is merged does the same without meaning it.

use super::account::{self, RecordAccount};
use super::altered::word;
use super::words::{also, made};
use super::{Evidence, Found};
use crate::diagnostic::{Diagnostic, Place, counted};
use crate::logbook::{Content, Sides, Step};
use std::collections::{BTreeMap, HashMap, HashSet};

/// A record as a commit brought it.
type Copy<'a> = (&'a str, Content);

/// Returns a problem for each merge of two histories that both bring the same.
pub(super) fn problems(evidence: &Evidence<'_>, _: &[RecordAccount]) -> Vec<Found> {
    let (steps, graph) = (&evidence.trail.steps, &evidence.trail.graph);
    let by_step = suspects(evidence);
    if by_step.is_empty() {
        return Vec::new();
    }
    let mut told: HashSet<Copy<'_>> = HashSet::new();
    let mut problems = Vec::new();
    for at in graph.merges() {
        let parents = graph.parents(at);
        let mut twice: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
        for (number, parent) in parents.iter().enumerate().skip(1) {
            let both = match graph.sides(&parents[..number], *parent) {
                Some(Sides { left, right, .. }) => in_both(&by_step, &left, &right),
                // A history too tangled to be sure: rather all that came in twice than none.
                None => again(&by_step),
            };
            for (copy, commits) in both {
                if told.insert(copy) {
                    twice.insert(copy.0, commits);
                }
            }
        }
        problems.extend(steps.get(at).and_then(|merge| Some((Some(at), problem(steps, merge, &twice)?))));
    }
    problems
}

/// Returns the commits that brought what another one brought as well, with what that is.
fn suspects<'a>(evidence: &Evidence<'a>) -> BTreeMap<usize, Vec<Copy<'a>>> {
    let mut by_step: BTreeMap<usize, Vec<Copy<'a>>> = BTreeMap::new();
    for (path, all) in account::brought(evidence.trail).into_iter().filter(|(_, all)| all.len() > 1) {
        let mut times: HashMap<Content, usize> = HashMap::new();
        all.iter().for_each(|(_, content)| *times.entry(*content).or_default() += 1);
        for (at, content) in all.into_iter().filter(|(_, content)| times.get(content) > Some(&1)) {
            by_step.entry(at).or_default().push((path, content));
        }
    }
    by_step
}

type Both<'a> = Vec<(Copy<'a>, (usize, usize))>;

/// Returns what two sides both brought, and the commits that did.
fn in_both<'a>(by_step: &BTreeMap<usize, Vec<Copy<'a>>>, left: &[usize], right: &[usize]) -> Both<'a> {
    let copies = |side: &[usize]| -> BTreeMap<Copy<'a>, usize> {
        let those = side.iter().filter_map(|at| Some((*at, by_step.get(at)?)));
        those.flat_map(|(at, copies)| copies.iter().map(move |copy| (*copy, at))).collect()
    };
    let right = copies(right);
    copies(left).into_iter().filter_map(|(copy, at)| Some((copy, (at, *right.get(&copy)?)))).collect()
}

/// Returns everything that was brought again by a later commit of the walk.
fn again<'a>(by_step: &BTreeMap<usize, Vec<Copy<'a>>>) -> Both<'a> {
    let mut first: BTreeMap<Copy<'a>, usize> = BTreeMap::new();
    let mut again = Vec::new();
    for (at, copy) in by_step.iter().flat_map(|(at, copies)| copies.iter().map(move |copy| (*at, *copy))) {
        match first.get(&copy) {
            Some(first) => again.push((copy, (*first, at))),
            None => drop(first.insert(copy, at)),
        }
    }
    again
}

fn problem(steps: &[Step], merge: &Step, twice: &BTreeMap<&str, (usize, usize)>) -> Option<Diagnostic> {
    let (path, (one, other)) = twice.first_key_value()?;
    let (one, other) = (steps.get(*one)?, steps.get(*other)?);
    let headline = match twice.len() {
        1 => format!("{} came in twice, in two histories that were merged", word(path)),
        number => format!("{} came in twice, in two histories that were merged", counted(number, "record")),
    };
    let others = also("likewise", twice.keys().skip(1).copied());
    let (first, second) = (one.commit.short(), other.commit.short());
    let problem = Diagnostic::problem("record-came-in-twice", Place::file(path), headline)
        .label(format!("{first} and {second} both bring it, and neither stands on the other; merged {}{others}", made(merge)))
        .help(
            "ask who built one history anew beside the other; a rebase does that, and so does whoever puts something into the \
             past. Compare both with the lines below, and with a copy that was made before",
        )
        .paste(format!("git log --stat {first}\ngit log --stat {second}"));
    Some(problem)
}
