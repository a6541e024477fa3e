//! Every way in which up to five records can void and correct what is there before them, against the plain recursion.

use super::*;
use crate::record::{self, Record};

const FIRST: &str = "records/2026/11/25/060000-a.check.yaml";

/// What a record says of an earlier one, by its place among them.
#[derive(Clone, Copy, Debug)]
enum Said {
    Voids(usize),
    Corrects(usize),
    /// A void of one record that stands in the place of another void.
    Instead {
        of: usize,
        corrects: usize,
    },
}

fn path(n: usize) -> String {
    if n == 0 { FIRST.to_owned() } else { format!("records/2026/11/25/07000{n}-a.void.yaml") }
}

fn filed(path: &str, text: &str) -> Arc<Filed> {
    let (record, problems) = record::read(path, text.as_bytes());
    assert_eq!(problems, [], "{text}");
    Arc::new(Filed { path: path.to_owned(), record: record.unwrap() })
}

fn check(path: &str, corrects: &str) -> Arc<Filed> {
    let head = "record: check\nmachine: a\nprocedure: daily\nrevision: 1\nstarted: \"2026-11-25T05:50:00Z\"\nfinished: \"2026-11-25T06:00:00Z\"\n";
    filed(path, &format!("{head}recorded: \"2026-11-25T07:00:00Z\"\nby: [x]\nresults: {{suction: pass}}\n{corrects}"))
}

/// Returns a check and what was said after it, a second apart or all at one moment.
fn records(said: &[Said], seconds: usize) -> Vec<Arc<Filed>> {
    let mut records = vec![check(FIRST, "")];
    for (n, said) in said.iter().enumerate() {
        let moment = |record: &mut Record| {
            let second = i64::try_from((n + 1) * seconds).unwrap();
            record.common.recorded.0 += chrono::Duration::seconds(second);
        };
        let corrects = |of: usize| format!("corrects: {{record: {}, because: x}}\n", path(of));
        let void = |of: usize, rest: &str| {
            let text = format!(
                "record: void\nmachine: a\nof: {}\nrecorded: \"2026-11-25T07:00:00Z\"\nby: [x]\nbecause: x\n{rest}",
                path(of)
            );
            filed(&path(n + 1), &text)
        };
        let mut record = match said {
            Said::Voids(of) => void(*of, ""),
            Said::Corrects(of) => check(&path(n + 1), &corrects(*of)),
            Said::Instead { of, corrects: old } => void(*of, &corrects(*old)),
        };
        moment(&mut Arc::make_mut(&mut record).record);
        records.push(record);
    }
    records.sort_by(|a, b| a.path.cmp(&b.path));
    records
}

/// Returns which later record has the say over one, and whether it voids it: the newest whose own record counts.
fn expected(said: &[Said], of: usize) -> Option<(usize, bool)> {
    let newer = (of + 1..=said.len()).rev();
    let claims = newer.flat_map(|n| match said[n - 1] {
        Said::Voids(target) => vec![(n, target, true)],
        Said::Corrects(target) => vec![(n, target, false)],
        Said::Instead { of, corrects } => vec![(n, corrects, false), (n, of, true)],
    });
    let mut counting = claims.filter(|(n, target, is_void)| {
        *target == of
            && match expected(said, *n) {
                None => true,
                Some((_, over_is_void)) => !over_is_void && !is_void,
            }
    });
    counting.next().map(|(n, _, is_void)| (n, is_void))
}

fn holds(said: &[Said]) {
    for seconds in [1, 0] {
        let records = records(said, seconds);
        let replaced = replaced(&records);
        for of in 0..=said.len() {
            let wanted = expected(said, of).map(|(n, is_void)| match is_void {
                true => Standing::VoidedBy(path(n)),
                false => Standing::CorrectedBy(path(n)),
            });
            assert_eq!(replaced.get(&path(of)), wanted.as_ref(), "{} of {said:?}", path(of));
        }
        let backwards: Vec<Arc<Filed>> = records.iter().rev().cloned().collect();
        assert_eq!(super::replaced(&backwards), replaced, "{said:?}");
    }
}

/// Tries everything that can be said of what is there before it, `more` times.
fn every(said: &mut Vec<Said>, more: usize, instead: bool) -> usize {
    holds(said);
    if more == 0 {
        return 1;
    }
    let there = said.len() + 1;
    let plain = (0..there).flat_map(|of| [Said::Voids(of), Said::Corrects(of)]);
    let pairs = (0..there).flat_map(|of| (0..there).map(move |corrects| Said::Instead { of, corrects }));
    let mut tried = 1;
    for next in plain.chain(pairs.filter(|_| instead)).collect::<Vec<_>>() {
        said.push(next);
        tried += every(said, more - 1, instead);
        said.pop();
    }
    tried
}

#[test]
fn the_newest_that_counts_has_the_say_in_every_chain_of_five() {
    assert_eq!(every(&mut Vec::new(), 5, false), 1 + 2 + 8 + 48 + 384 + 3840);
}

#[test]
fn a_void_that_corrects_another_one_has_the_say_for_both() {
    assert_eq!(every(&mut Vec::new(), 3, true), 1 + 3 + 3 * 8 + 3 * 8 * 15);
}

#[test]
fn records_that_name_each_other_in_a_circle_end_it_whatever_their_order() {
    for length in 2..=5_usize {
        let name = |n: usize| format!("records/2026/11/25/06000{n}-a.check.yaml");
        let corrects = |n: usize| format!("corrects: {{record: {}, because: x}}\n", name((n + 1) % length));
        let circle: Vec<Arc<Filed>> = (0..length).map(|n| check(&name(n), &corrects(n))).collect();
        let replaced = replaced(&circle);
        assert_eq!(replaced.len(), length - 1, "one of them still counts: {replaced:?}");
        let contents = Contents { records: circle.clone(), replaced: replaced.clone(), ..Contents::default() };
        let counting: Vec<&str> = contents.counting().map(|filed| filed.path.as_str()).collect();
        for filed in &circle {
            assert_eq!(contents.speaking_for(&filed.path), counting.first().copied());
        }
        let backwards: Vec<Arc<Filed>> = circle.into_iter().rev().collect();
        assert_eq!(super::replaced(&backwards), replaced);
    }
}
