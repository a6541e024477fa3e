//! Drifts.

#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use pinindex::contents::{self, Contents};
use pinindex::demo::{Settings, plan, planted};
use pinindex::logbook::{FileContent, Snapshot, Source, belongs};
use pinindex::record::{Moment, write};
use pinindex::report::drift::{Finding, counted_drifts, section};
use pinindex::report::{Basis, Period};
use pinindex::timeline::{Lives, lives};

fn demo(settings: &Settings) -> (Contents, Lives) {
    let plan = plan(settings);
    let files = plan.files.iter().filter(|(path, _)| belongs(path)).cloned();
    let records = plan.records.iter().map(|p| (p.path.clone(), write::text(&p.record).unwrap()));
    let bytes = |text: String| FileContent::Bytes(text.into_bytes().into());
    let files = files.chain(records).map(|(path, text)| (path, bytes(text))).collect();
    let source = Source::WorkingFiles { head: None, uncommitted: false };
    let (contents, _) = contents::read(&Snapshot { files, source }, &mut |_| {});
    let lives = lives(&contents);
    (contents, lives)
}

fn with_basis<T>(contents: &Contents, lives: &Lives, period: &str, then: impl FnOnce(&Basis<'_>) -> T) -> T {
    let site = contents.site.as_ref().unwrap();
    let period = Period::named(period).unwrap();
    let now: Moment = "2026-11-25T12:00:00+01:00".parse().unwrap();
    let as_of = Basis::as_of(site, period, now, now);
    then(&Basis { site, contents, lives, period, as_of, built_from: None, left_out: &[] })
}

#[test]
fn look() {
    for seed in 1..6 {
        let settings = Settings { machines: 6, months: 14, seed, last_day: "2026-11-25".parse().unwrap() };
        let (contents, lives) = demo(&settings);
        eprintln!("=== {seed} planted {:?}", planted(&settings).drift);
        for period in ["2026-03", "2026-06", "2026-08", "2026-10", "2026-11"] {
            with_basis(&contents, &lives, period, |basis| {
                let start = std::time::Instant::now();
                let drifts = counted_drifts(basis);
                let took = start.elapsed();
                let (section, _) = section(basis, &drifts);
                eprintln!("-- {period} {took:?} asked {} tested {}", drifts.questions().count(), drifts.tested());
                if let pinindex::report::Block::Paragraph(p) = &section.blocks[0] {
                    eprintln!("{p}");
                }
                for (series, q) in drifts.questions() {
                    if let Some(s) = &q.slope
                        && !matches!(q.finding, Finding::NoTrend)
                    {
                        eprintln!(
                            "   {} {} {} n={} d={} first={} p={:.2e} {:?} cuts {:?}",
                            series.machine,
                            series.place(),
                            q.bound.words,
                            q.counted(series).len(),
                            q.days(series),
                            q.first(),
                            s.kendall_p,
                            q.finding,
                            q.cuts.iter().map(|c| (c.why, c.at.short())).collect::<Vec<_>>()
                        );
                    }
                }
            });
        }
    }
}
