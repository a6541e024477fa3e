//! How far the figures can be trusted: how often intervals hold the truth, how often a signal is false, and how often what
//! is there is told.
//!
//! Prints tables of Markdown; `GOLDEN=overwrite cargo bench --bench sensitivity` writes them into DEVELOPERS.md instead.
//! The random numbers are the same in every run, so that the tables are too.

#![expect(
    clippy::disallowed_macros,
    clippy::disallowed_methods,
    clippy::unwrap_used,
    reason = "a bench prints, writes the page that holds its tables, and stops at what it did not expect"
)]

#[path = "../limits/exact_coverage.rs"]
mod exact_coverage;
#[path = "../sensitivity/block.rs"]
mod block;
#[path = "../sensitivity/chance.rs"]
mod chance;
#[path = "../sensitivity/copied.rs"]
mod copied;
#[path = "../sensitivity/demo.rs"]
mod demo;
#[path = "../sensitivity/drifts.rs"]
mod drifts;
#[path = "../sensitivity/exact_intervals.rs"]
mod exact_intervals;
#[path = "../sensitivity/page.rs"]
mod page;
#[path = "../sensitivity/planted.rs"]
mod planted;
#[path = "../sensitivity/played_intervals.rs"]
mod played_intervals;
#[path = "../sensitivity/signals.rs"]
mod signals;

use block::Block;
use demo::Demo;

const GAMES: u32 = 20_000;
const REPORTS: u32 = 5_000;
const STEADY_ROWS: u32 = 10_000;
const FALLING_ROWS: u32 = 1_000;
const DEMOS: u64 = 20;
const COPIES_A_DEMO: u64 = 4;

fn main() {
    let mut tables = Vec::new();
    let began = std::time::Instant::now();
    let mut add = |block: Block| {
        anstream::eprintln!("{:.0?}: {}", began.elapsed(), block.title);
        tables.push(block.text());
    };
    add(exact_intervals::block(&exact_intervals::covered()));
    add(played_intervals::block(&played_intervals::played(GAMES), GAMES));
    let hospitals = signals::hospitals();
    add(signals::tests_block(&hospitals));
    let reports: Vec<_> = hospitals
        .iter()
        .map(|one| (*one, signals::play(*one, 1.0, REPORTS), signals::play(*one, 3.0, REPORTS)))
        .collect();
    add(signals::reports_block(&reports, REPORTS));
    let demos: Vec<Demo> = (1..=DEMOS).map(Demo::new).collect();
    let asked = drifts::play(&demos[0], STEADY_ROWS, FALLING_ROWS);
    add(drifts::steady_block(&asked, STEADY_ROWS));
    add(drifts::falling_block(&asked, FALLING_ROWS));
    add(copied::block(&copied::play(&demos, &[3, 5, 10], COPIES_A_DEMO)));
    let mut found = planted::Found::default();
    demos.iter().for_each(|demo| planted::look(demo, demo.months().get(2..).unwrap_or_default(), &mut found));
    add(planted::block(&found, DEMOS));

    let text = tables.join("\n");
    if std::env::var_os("GOLDEN").is_some_and(|wish| wish == "overwrite") {
        std::fs::write(page::path(), page::with(&text)).unwrap();
    } else {
        println!("{text}");
        println!("{}", if page::tables() == text { "DEVELOPERS.md says the same." } else { "DEVELOPERS.md differs." });
    }
}
