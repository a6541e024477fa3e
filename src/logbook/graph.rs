//! Which commits stand on which: the history as a graph, without what the commits say.
//!
//! A commit has a place, and every parent stands before its children; so whoever looks for what a commit stands on goes from
//! the highest place down and meets each commit once.

use std::cell::Cell;
use std::collections::{BTreeMap, HashSet};

/// So many commits are looked at for one commit of the history, all merges taken together, and [`LOOKS_AT_LEAST`] more.
/// A logbook whose computers are joined now and then needs one or two for each.
const LOOKS_A_COMMIT: u64 = 200;
const LOOKS_AT_LEAST: u64 = 1_000_000;

/// The commits of a history and their parents, by place.
#[derive(Debug, Default)]
pub struct Graph {
    parents: Vec<Vec<usize>>,
    /// How many commits were looked at for merges so far.
    looks: Cell<u64>,
}

/// What two parts of a history have that met in a merge.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Sides {
    /// The best common ancestors: those on which no other common one stands.
    pub bases: Vec<usize>,
    /// What only the first part stands on, its own commits among them.
    pub left: Vec<usize>,
    /// What only the second part stands on.
    pub right: Vec<usize>,
}

impl Graph {
    /// Adds a commit that stands on those at the places of its parents, and returns its place.
    pub fn add(&mut self, parents: Vec<usize>) -> usize {
        self.parents.push(parents);
        self.parents.len() - 1
    }

    /// Returns the places of the parents of a commit.
    pub fn parents(&self, at: usize) -> &[usize] {
        self.parents.get(at).map_or(&[], Vec::as_slice)
    }

    /// Returns the merges, by place.
    pub fn merges(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.parents.len()).filter(|at| self.parents(*at).len() > 1)
    }

    /// Returns whether a commit is another one, or among those that it stands on.
    pub fn leads_to(&self, old: usize, new: usize) -> bool {
        let mut seen = HashSet::new();
        let mut open = vec![new];
        while let Some(at) = open.pop() {
            if at == old {
                return true;
            }
            // Nothing before the older one can stand on it.
            if at > old && seen.insert(at) {
                open.extend(self.parents(at));
            }
        }
        false
    }

    /// Returns, for each commit, whether it is this one or stands on it.
    pub fn standing_on(&self, old: usize) -> Vec<bool> {
        let mut standing = vec![false; self.parents.len()];
        for at in old..self.parents.len() {
            standing[at] = at == old || self.parents(at).iter().any(|parent| standing.get(*parent) == Some(&true));
        }
        standing
    }

    /// Returns those of some commits that stand on none of the others; `some` is in order.
    pub fn lowest(&self, some: &[usize]) -> Vec<usize> {
        let (Some(first), Some(last)) = (some.first(), some.last()) else { return Vec::new() };
        let mut lowest = Vec::new();
        let mut standing = vec![false; self.parents.len()];
        for at in *first..self.parents.len().min(last + 1) {
            let stands = self.parents(at).iter().any(|parent| standing.get(*parent) == Some(&true));
            let is_one = some.binary_search(&at).is_ok();
            lowest.extend((is_one && !stands).then_some(at));
            standing[at] = stands || is_one;
        }
        lowest
    }

    /// Returns what some commits stand on and what another one stands on, each side and the best of what is common.
    ///
    /// Nothing where so many commits were looked at that no honest history needs it: an answer could take for ever.
    pub fn sides(&self, left: &[usize], right: usize) -> Option<Sides> {
        const LEFT: u8 = 1;
        const RIGHT: u8 = 2;
        const BELOW_A_BASE: u8 = 4;
        const BOTH: u8 = LEFT | RIGHT;
        let mut sides = Sides::default();
        let mut open: BTreeMap<usize, u8> = left.iter().map(|at| (*at, LEFT)).collect();
        *open.entry(right).or_default() |= RIGHT;
        let mut undecided = open.len();
        while undecided > 0 {
            let Some((at, marks)) = open.pop_last() else { break };
            self.look()?;
            undecided -= usize::from(marks & BELOW_A_BASE == 0);
            let mut handed_down = marks;
            match marks {
                LEFT => sides.left.push(at),
                RIGHT => sides.right.push(at),
                BOTH => {
                    sides.bases.push(at);
                    handed_down |= BELOW_A_BASE;
                }
                _ => {}
            }
            for parent in self.parents(at) {
                let known = open.entry(*parent).or_insert_with(|| {
                    undecided += 1;
                    0
                });
                let was_decided = *known & BELOW_A_BASE != 0;
                *known |= handed_down;
                undecided -= usize::from(!was_decided && *known & BELOW_A_BASE != 0);
            }
        }
        Some(sides)
    }

    fn look(&self) -> Option<()> {
        let most = LOOKS_AT_LEAST.saturating_add(LOOKS_A_COMMIT.saturating_mul(self.parents.len() as u64));
        self.looks.set(self.looks.get() + 1);
        (self.looks.get() <= most).then_some(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn graph(parents: &[&[usize]]) -> Graph {
        let mut graph = Graph::default();
        for parents in parents {
            graph.add(parents.to_vec());
        }
        graph
    }

    fn bases(graph: &Graph, left: &[usize], right: usize) -> Vec<usize> {
        graph.sides(left, right).unwrap().bases
    }

    #[test]
    fn one_that_another_stands_on_is_their_base() {
        let line = graph(&[&[], &[0], &[1], &[2]]);
        assert_eq!(line.sides(&[3], 1), Some(Sides { bases: vec![1], left: vec![3, 2], right: vec![] }));
        assert_eq!(line.sides(&[1], 3), Some(Sides { bases: vec![1], left: vec![], right: vec![3, 2] }));
        assert_eq!(line.sides(&[2], 2), Some(Sides { bases: vec![2], left: vec![], right: vec![] }));
        assert!(line.leads_to(1, 3) && line.leads_to(3, 3) && !line.leads_to(3, 1));
        assert_eq!(line.standing_on(2), [false, false, true, true]);
        assert_eq!(line.lowest(&[1, 3]), [1]);
    }

    #[test]
    fn two_histories_without_a_common_beginning_have_no_base() {
        let two = graph(&[&[], &[], &[0], &[1, 2]]);
        assert_eq!(two.sides(&[1], 2), Some(Sides { bases: vec![], left: vec![1], right: vec![2, 0] }));
        assert_eq!(two.lowest(&[1, 2, 3]), [1, 2]);
        assert_eq!(two.lowest(&[]), [0; 0]);
        assert_eq!(two.merges().collect::<Vec<_>>(), [3]);
    }

    #[test]
    fn of_merges_that_cross_each_other_both_are_bases() {
        // 1 and 2 on 0; 3 and 4 merge both.
        let crossed = graph(&[&[], &[0], &[0], &[1, 2], &[2, 1]]);
        assert_eq!(bases(&crossed, &[3], 4), [2, 1]);
        assert_eq!(bases(&crossed, &[1, 2], 4), [2, 1]);
        assert_eq!(bases(&crossed, &[1], 2), [0]);
    }

    #[test]
    fn a_base_below_another_base_is_none() {
        // 3 stands on 0 and on 1, and 1 stands on 0.
        let folded = graph(&[&[], &[0], &[1], &[0, 1]]);
        assert_eq!(bases(&folded, &[2], 3), [1]);
    }

    #[test]
    fn looking_ends() {
        let line = graph(&[&[], &[0], &[1]]);
        line.looks.set(LOOKS_AT_LEAST + LOOKS_A_COMMIT * 3 - 1);
        assert!(line.sides(&[2], 2).is_some());
        assert!(line.sides(&[2], 2).is_none());
    }
}
