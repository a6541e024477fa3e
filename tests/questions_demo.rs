//! Questions about whole demos: honest records give hardly one, and the week of copied readings is found.
//!
//! `cargo test --test questions_demo -- --nocapture` prints the counts.

#![expect(
    clippy::disallowed_macros,
    clippy::unwrap_used,
    reason = "a test prints what it counted, and stops at what it did not expect"
)]

use chrono::Duration;
use pinindex::contents::{self, Contents};
use pinindex::demo::{Settings, plan, planted};
use pinindex::logbook::{FileContent, Snapshot, Source, belongs};
use pinindex::question::{self, Questions, Span};
use pinindex::record::moment::start_of_day;
use pinindex::record::{Moment, write};
use pinindex::report::Period;
use pinindex::timeline::lives;

fn ask(contents: &Contents, period: Period) -> Questions {
    let zone = contents.site.as_ref().unwrap().time_zone;
    let last_moment = Moment(start_of_day(period.after.0, zone).0 - Duration::seconds(1));
    question::ask(contents, &lives(contents), &Span { first: period.first, after: period.after, last_moment, zone })
}

/// A demo as a logbook that was read.
fn demo(number: u64) -> (Settings, Contents) {
    let settings = Settings { machines: 6, months: 14, seed: number, last_day: "2026-11-25".parse().unwrap() };
    let plan = plan(&settings);
    let files = plan.files.into_iter().filter(|(path, _)| belongs(path));
    let records = plan.records.into_iter().map(|p| (p.path, write::text(&p.record).unwrap()));
    let bytes = |(path, text): (String, String)| (path, FileContent::Bytes(text.into_bytes().into()));
    let files = files.chain(records).map(bytes).collect();
    let source = Source::WorkingFiles { head: None, uncommitted: false };
    let (contents, faults) = contents::read(&Snapshot { files, source }, &mut |_| {});
    assert_eq!(faults, []);
    (settings, contents)
}

#[test]
fn demos_give_the_copied_week_and_hardly_anything_else() {
    const DEMOS: u64 = 3;
    let (mut sheets, mut found, mut false_ones, mut perhaps) = (0, 0, 0, 0);
    let (mut weighed, mut below) = (0, 0);
    for number in 1..=DEMOS {
        let (settings, contents) = demo(number);
        let copied = planted(&settings).copied.unwrap();
        let mut period = Period::month_of(planted(&settings).first_day).unwrap();
        while period.after <= settings.last_day {
            let questions = ask(&contents, period);
            sheets += 1;
            assert_eq!(questions.short.questions, [], "demo {number}, {}", period.name());
            assert_eq!(questions.finer.questions, [], "demo {number}, {}", period.name());
            assert!(questions.places.asked.questions.iter().all(|q| !q.certain), "demo {number}, {}", period.name());
            perhaps += questions.places.asked.questions.len();
            // What was planted: the copied week, and its streaks on the same machine.
            let is_planted = |machine: &str| machine == copied.machine && period.contains(copied.from);
            for c in &questions.copies {
                if is_planted(&c.what.machine) && c.what.procedure == "daily" {
                    found += usize::from(c.asked());
                } else {
                    false_ones += usize::from(c.asked());
                    weighed += 1;
                    below += usize::from(c.p <= 0.05);
                }
            }
            for s in questions.streaks.iter().filter(|s| !is_planted(&s.what.machine)) {
                false_ones += usize::from(s.asked());
                weighed += 1;
                below += usize::from(s.p <= 0.05);
            }
            false_ones += questions.marks.iter().filter(|m| m.asked()).count();
            period = Period::month_of(period.after).unwrap();
        }
    }
    let told = format!(
        "{DEMOS} demos, {sheets} sheets: copied week found {found} of {DEMOS}; other questions about copies and patterns \
         {false_ones}; perhaps in two places {perhaps}; honest chances of 0.05 or less {below} of {weighed}"
    );
    println!("{told}");
    assert_eq!(sheets, 14 * DEMOS);
    assert_eq!(found, DEMOS as usize, "{told}");
    // One sheet in twenty is what honest records may give; the chances are never too small on the whole.
    assert!(false_ones * 20 <= sheets as usize, "{told}");
    assert!(weighed > 1000 && below * 20 <= weighed, "{told}");
    assert!(perhaps <= DEMOS as usize, "{told}");
}
