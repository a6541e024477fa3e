//! What DEVELOPERS.md says of how far the figures can be trusted: the exact tables as they stand, the played ones in small.
//!
//! The margins are those of the games: a share that is truly at its level is above its margin less than once in a
//! thousand times. The numbers are the same in every run. `cargo bench --bench sensitivity` makes the whole.

#![cfg(test)]
#![expect(clippy::disallowed_methods, reason = "a test reads the page it is about")]

#[path = "../limits/exact_coverage.rs"]
mod exact_coverage;
mod block;
mod chance;
mod copied;
mod demo;
mod drifts;
mod exact_intervals;
mod page;
mod planted;
mod played_intervals;
mod signals;

use block::Block;
use demo::Demo;
use planted::{Found, Told};
use std::sync::LazyLock;

static DEMOS: LazyLock<Vec<Demo>> = LazyLock::new(|| (1..=2).map(Demo::new).collect());

/// Returns the most that so many games may show of something that truly has this probability.
fn margin(probability: f64, games: u32) -> f64 {
    probability + 3.1 * (probability * (1.0 - probability) / f64::from(games)).sqrt()
}

/// Finds that a table stands on the page, but for its numbers, which take longer to make than a test may.
#[track_caller]
fn stands_but_for_numbers(block: &Block) {
    let words = |text: &str| -> String { text.chars().filter(|c| c.is_alphabetic() || *c == '|').collect() };
    let (page, text) = (page::tables(), block.text());
    let stands = |part: &str| words(&page).contains(&words(part));
    assert!(
        stands(&text),
        "no longer as in DEVELOPERS.md; `GOLDEN=overwrite cargo bench --bench sensitivity`:\n{text}"
    );
}

#[track_caller]
fn stands(block: &Block) {
    let text = block.text();
    assert!(
        page::tables().contains(&text),
        "not in DEVELOPERS.md as it is now; `GOLDEN=overwrite cargo bench --bench sensitivity`:\n{text}"
    );
}

#[test]
fn the_tables_can_be_written_anew_without_touching_the_rest_of_the_page() {
    assert_eq!(page::with(&page::tables()), page::text());
    assert!(page::with("other\n").contains("## Decisions") && !page::with("other\n").contains("### How often"));
}

#[test]
fn exact_intervals_hold_the_truth_as_often_as_they_say() {
    let covered = exact_intervals::covered();
    stands(&exact_intervals::block(&covered));
    for one in covered.iter().filter(|one| one.exact) {
        assert!(one.coverage.least >= 0.95 - 1e-11, "{}: {:?}", one.what, one.coverage);
    }
    assert_eq!(covered.iter().filter(|one| !one.exact).count(), 1);
}

#[test]
fn other_intervals_hold_it_about_as_often() {
    let games = 1000;
    let played = played_intervals::played(games);
    stands_but_for_numbers(&played_intervals::block(&played, games));
    for one in &played {
        // Limits that rest on large numbers may hold the truth in 94 of 100; 0.021 are three standard errors.
        assert!(one.covered >= 0.94 - 0.024, "{}: {}", one.what, one.covered);
        assert!(one.given > 0.8, "{}: {}", one.what, one.given);
    }
}

#[test]
fn a_comparison_is_no_oftener_wrong_than_it_may_be() {
    // The large hospitals take a release build; what they add is in the page.
    let hospitals = signals::hospitals();
    let (small, large) = hospitals.split_at(3);
    let block = signals::tests_block(small);
    for row in &block.rows {
        let line = format!("| {} |\n", row.join(" | "));
        assert!(page::tables().contains(&line), "not in DEVELOPERS.md: {line}");
    }
    for one in small.iter().chain(large) {
        for months in [1, 3].into_iter().filter(|_| one.machines == 6) {
            let told = [1.0, 2.0, 3.0].map(|times| one.told(months, times));
            assert!(told[0] <= 0.005 && told[0] < told[1] && told[1] < told[2], "{told:?}");
        }
        let told = [1.0, 2.0, 3.0].map(|times| one.machine_told(times));
        assert!(told[0] <= 0.05 / one.machines as f64 && told[1] < told[2], "{told:?}");
    }
}

#[test]
fn a_report_is_no_oftener_wrong_than_it_says() {
    let reports = 600;
    let hospitals = [signals::hospitals()[1], signals::hospitals()[2]];
    let rows = hospitals.map(|one| (one, signals::play(one, 1.0, reports), signals::play(one, 3.0, reports)));
    for (_, quiet, tripled) in &rows {
        for (what, share) in
            [("month", quiet.month), ("three months", quiet.three_months), ("last three faults", quiet.last_three)]
        {
            assert!(share <= margin(0.005, reports), "{what}: {share}");
        }
        assert!(quiet.machines <= margin(0.05, reports), "machines: {}", quiet.machines);
        assert!(quiet.signals <= margin(quiet.expected, reports), "{} of {}", quiet.signals, quiet.expected);
        assert!(quiet.any <= quiet.signals && tripled.any > 2.0 * quiet.any, "{} {}", quiet.any, tripled.any);
    }
    let page = page::tables();
    assert!(page.contains(signals::reports_block(&rows, reports).title));
}

#[test]
fn dates_of_drifts_are_no_oftener_false_than_allowed_and_in_time() {
    let asked = drifts::play(&DEMOS[0], 300, 40);
    let steady = drifts::steady_block(&asked, 300);
    stands_but_for_numbers(&steady);
    stands_but_for_numbers(&drifts::falling_block(&asked, 40));
    for one in asked.steady.iter().filter(|one| one.habit.kept == 0.0) {
        assert!(one.dated <= margin(0.05 / asked.questions as f64, 300), "{}", one.dated);
    }
    for one in asked.falling.iter().filter(|one| one.habit.kept == 0.0 && one.habit.scatter == 0.1) {
        assert!(one.dated > 0.9 && one.in_time > 0.85 && one.missed < 20, "{} days: {}", one.days, one.dated);
    }
}

#[test]
fn what_is_planted_is_found_and_hardly_anything_else() {
    let mut found = Found::default();
    for demo in DEMOS.iter() {
        let months = demo.months();
        let copied = demo.planted.copied.as_ref().unwrap();
        let wanted = |n: &usize, month: &pinindex::report::Period| *n == 7 || month.contains(copied.from) || *n == 13;
        let months: Vec<_> = months.iter().enumerate().filter(|(n, month)| wanted(n, month)).map(|(_, m)| *m).collect();
        planted::look(demo, &months, &mut found);
    }
    stands_but_for_numbers(&planted::block(&found, 2));
    let all = Told { told: 2, of: 2 };
    assert_eq!((found.drift, found.copied, found.repeat), (all, all, all));
    assert_eq!((found.worst_machine.of, found.worst_first.of, found.worsening_month.of), (2, 2, 2));
    assert!(found.other_machines.told <= 1 && found.other_machines.of >= 20, "{found:?}");
    assert!(found.other_dates.told <= 1 && found.other_questions.told <= 1, "{found:?}");
    assert_eq!(found.impossible.told, 0, "{found:?}");
    assert!(found.other_signals.told <= 1 && found.other_signals.of >= 3, "{found:?}");
}

#[test]
fn copied_days_are_asked_about() {
    let rows = copied::play(&DEMOS, &[5], 1);
    let row = &rows[0];
    assert_eq!((row.asked, row.of), (2, 2));
    let table = copied::block(&rows);
    assert!(page::tables().contains(&format!("### {}\n\n{}", table.title, table.meaning)));
}
