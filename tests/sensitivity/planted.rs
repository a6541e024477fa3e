//! What was planted in demos and what the reports and the sheets of questions make of it, and of everything else.

use super::block::{Block, in_hundred, of};
use super::demo::Demo;
use pinindex::question::Questions;
use pinindex::report::Period;
use pinindex::report::drift::counted_drifts;
use pinindex::report::tally::Tally;
use pinindex::report::{machines, repeats, signals};

/// How often something was told, of how often it could have been.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Told {
    pub told: usize,
    pub of: usize,
}

impl Told {
    fn add(&mut self, told: bool) {
        self.told += usize::from(told);
        self.of += 1;
    }

    fn words(self) -> String {
        of(self.told, self.of)
    }

    fn share(self) -> String {
        in_hundred(self.told as f64 / self.of.max(1) as f64)
    }
}

/// What was told of demos.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Found {
    pub drift: Told,
    pub copied: Told,
    pub repeat: Told,
    pub worst_machine: Told,
    /// The worst machine has the highest rate of the list, told apart or not.
    pub worst_first: Told,
    pub worsening_month: Told,
    /// Reports with a signal in a month in which nothing was planted.
    pub other_signals: Told,
    /// Machines other than the worst that were told to have more faults than the others.
    pub other_machines: Told,
    /// Reports with a date for readings that lead nowhere.
    pub other_dates: Told,
    /// Sheets that ask about a copy or a pattern where nothing was planted.
    pub other_questions: Told,
    /// Sheets that call something impossible that is certain to be so.
    pub impossible: Told,
}

/// Adds what is told of a demo by the reports and sheets of some of its months, of which the last is the worsening one.
pub fn look(demo: &Demo, months: &[Period], found: &mut Found) {
    let planted = &demo.planted;
    for &month in months {
        let worsening = month.contains(planted.worsening_month);
        demo.with_basis(month, |basis| {
            let tally = Tally::of(basis);
            let signals = signals::compared(basis, &tally);
            let last = signals.last_faults.as_ref().is_some_and(|last| last.signals(month));
            let compared = signals.three_months.iter().chain([&signals.against_before]);
            let any = last || compared.into_iter().any(signals::Compared::signals);
            if worsening { &mut found.worsening_month } else { &mut found.other_signals }.add(any);
            if let Some(comparison) = machines::compared(basis, &tally) {
                let worse = |one: &machines::Beside| one.signals() && one.ratio.is_none_or(|ratio| ratio > 1.0);
                for one in comparison.machines.iter().filter(|one| one.machine != planted.worst_machine) {
                    found.other_machines.add(worse(one));
                }
                let worst = comparison.machines.iter().find(|one| one.machine == planted.worst_machine);
                if let Some(worst) = worst.filter(|_| worsening) {
                    let rate = |one: &machines::Beside| one.own.faults as f64 / one.own.machine_days as f64;
                    found.worst_machine.add(worse(worst));
                    found.worst_first.add(comparison.machines.iter().all(|one| rate(one) <= rate(worst)));
                }
            }
            let dated = counted_drifts(basis).dated();
            let drifts = |machine: &str, place: &str| (machine, place) == (&planted.drift.0, &planted.drift.1);
            // A spare cylinder empties truly, and its date is right.
            let other = |place: &str| place != "spare-oxygen-cylinder";
            found.other_dates.add(dated.iter().any(|one| other(&one.place) && !drifts(&one.machine, &one.place)));
            if worsening {
                found.drift.add(dated.iter().any(|one| drifts(&one.machine, &one.place)));
                if let Some((machine, item, from)) = &planted.repeat {
                    let pairs = repeats::counted_repeats(basis).pairs;
                    let is_it = |case: &pinindex::timeline::Case| {
                        case.machine == *machine
                            && basis.day(case.found) >= *from
                            && case.found_during.items.contains(item)
                    };
                    found.repeat.add(pairs.iter().any(|(first, again)| is_it(first) && is_it(again)));
                }
            }
        });
        let questions = demo.questions(month);
        let copied = planted.copied.as_ref().filter(|copied| month.contains(copied.from));
        if let Some(copied) = copied {
            found.copied.add(asks_about(&questions, &copied.machine));
        }
        let other = |machine: &str| copied.is_none_or(|copied| copied.machine != machine);
        found.other_questions.add(
            questions.copies.iter().any(|one| one.asked() && other(&one.what.machine))
                || questions.streaks.iter().any(|one| one.asked() && other(&one.what.machine))
                || questions.marks.iter().any(|one| one.asked()),
        );
        let certain = questions.places.asked.questions.iter().any(|one| one.certain);
        found.impossible.add(certain || !questions.short.questions.is_empty() || !questions.finer.questions.is_empty());
    }
}

/// Returns whether a sheet asks about copies of the daily check of a machine.
pub fn asks_about(questions: &Questions, machine: &str) -> bool {
    let copies = |one: &pinindex::question::Copies| one.machine == machine && one.procedure == "daily";
    questions.copies.iter().any(|one| one.asked() && copies(&one.what))
}

/// Returns the table of what was planted, and of what was not.
pub fn block(found: &Found, demos: u64) -> Block {
    let row = |what: &str, told: Told| vec![what.to_owned(), told.words(), told.share()];
    Block {
        title: "What was planted in the demo, and what was not",
        meaning: format!(
            "Drifts, copies and repeats are found. In a hospital of six machines one that is three times as bad as the others is told apart half of the time, and a month with about twice the faults was never told: the report says beside each comparison how often it would miss a doubling. Of what was not planted next to nothing is told. {demos} demos of six machines, each with the reports and sheets of its months from the third on."
        ),
        columns: vec!["told", "how often", "share"],
        rows: vec![
            row("planted: the drift has a date", found.drift),
            row("planted: the copied week is asked about", found.copied),
            row("planted: the repeat is listed", found.repeat),
            row("planted: the worst machine is told apart", found.worst_machine),
            row("planted: the worst machine has the highest rate", found.worst_first),
            row("planted: the worsening month has a signal", found.worsening_month),
            row("not planted: a report with a signal in another month", found.other_signals),
            row("not planted: another machine told to be worse, of all asked about", found.other_machines),
            row("not planted: a report with another date, spare cylinders left out", found.other_dates),
            row("not planted: a sheet with a question about a copy or a pattern", found.other_questions),
            row("not planted: a sheet that calls something impossible", found.impossible),
        ],
    }
}
