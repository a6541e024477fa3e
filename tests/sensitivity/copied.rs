//! Copied checks: how many days of the same numbers it takes until the sheet asks about them.
//!
//! Some days of a demo's machine get the results of the first of them; everything else stays as it was.

use super::block::{Block, in_hundred, of};
use super::chance::Chance;
use super::demo::Demo;
use super::planted::asks_about;
use pinindex::contents::Filed;
use pinindex::record::Body;
use pinindex::report::Period;
use pinindex::timeline::{CheckDone, lives};
use std::sync::Arc;

/// How many checks running have the same numbers, and how often that was asked about.
pub struct Copied {
    pub days: usize,
    pub asked: usize,
    pub of: usize,
}

/// Copies so many days of a machine in a month of each demo, `each` times a demo.
pub fn play(demos: &[Demo], lengths: &[usize], each: u64) -> Vec<Copied> {
    let row = |&days: &usize| {
        let mut copied = Copied { days, asked: 0, of: 0 };
        for (number, demo) in demos.iter().enumerate() {
            for game in 0..each {
                let mut chance = Chance::of(number as u64 * each + game);
                if let Some(asked) = asked(demo, days, &mut chance) {
                    copied.of += 1;
                    copied.asked += usize::from(asked);
                }
            }
        }
        copied
    };
    lengths.iter().map(row).collect()
}

/// Copies in a random month with half a year before it; nothing when the machine has no such days in it.
fn asked(demo: &Demo, days: usize, chance: &mut Chance) -> Option<bool> {
    let months = demo.months();
    let month = *months.get(6 + chance.below(months.len() - 6))?;
    let machine = demo.lives.keys().nth(chance.below(demo.lives.len()))?;
    if demo.planted.copied.as_ref().is_some_and(|copied| copied.machine == *machine && month.contains(copied.from)) {
        return None;
    }
    let run = run(demo, machine, month, days)?;
    let results = &run.first()?.check.results;
    let mut contents = demo.contents.clone();
    for done in &run {
        let filed = contents.records.iter_mut().find(|filed| filed.path == done.path())?;
        let mut record = filed.record.clone();
        let Body::Check(check) = &mut record.body else { return None };
        Arc::make_mut(check).results = results.clone();
        *filed = Arc::new(Filed { path: done.path().to_owned(), record });
    }
    let lives = lives(&contents);
    let demo = Demo { planted: demo.planted.clone(), contents, lives };
    Some(asks_about(&demo.questions(month), machine))
}

/// Returns the first daily checks running of a month that passed in the same items.
fn run<'a>(demo: &'a Demo, machine: &str, month: Period, days: usize) -> Option<Vec<&'a CheckDone>> {
    let daily = demo.lives[machine].checks.iter().filter(|done| done.check.procedure == "daily");
    let daily: Vec<&CheckDone> = daily.filter(|done| month.contains(done.day)).collect();
    let places =
        |done: &CheckDone| -> Vec<String> { done.check.results.single().map(|(.., pointer)| pointer).collect() };
    let alike = |run: &&[&CheckDone]| {
        let first = places(run[0]);
        run.iter().all(|done| done.judgement.failures().next().is_none() && places(done) == first)
    };
    daily.windows(days).find(alike).map(<[&CheckDone]>::to_vec)
}

/// Returns the table.
pub fn block(rows: &[Copied]) -> Block {
    let row = |one: &Copied| {
        vec![format!("{} days", one.days), of(one.asked, one.of), in_hundred(one.asked as f64 / one.of.max(1) as f64)]
    };
    Block {
        title: "Copied checks",
        meaning: "Three days filled in from the first one are asked about more often than not, a week or two nearly always: the numbers of a whole check hardly ever repeat by themselves. Daily checks of random machines and months of the demos, with half a year of honest checks before.".to_owned(),
        columns: vec!["the same numbers for", "asked about", "share"],
        rows: rows.iter().map(row).collect(),
    }
}
