//! Figures that are only made when they are asked for.

use crate::small_logbook::{ALL_PASSED, Logbook, does_not_say, figure, says};
use pinindex::report::Also;
use pinindex::report::document::Figure;

/// Returns a logbook of a machine that was checked on each of the thirty days of November.
fn every_day(also: &[Also]) -> Logbook {
    let mut logbook = Logbook::new();
    logbook.also = also.to_vec();
    logbook.put("calendar/2026.yaml", "year: 2026\nweekly:\n  theatre-2: [mon, tue, wed, thu, fri, sat, sun]\n");
    for day in 1..=30 {
        logbook.check("daily", &format!("11-{day:02}T07:00"), ALL_PASSED);
    }
    logbook
}

/// Records a fault that leaves the machine in use on a day of November.
fn fault_on(logbook: &mut Logbook, day: u32) {
    let usage = "{restricted: on mains only, until: 2026-12-20, owner: r-castellanos}";
    logbook.fault(&format!("11-{day:02}T10:00"), "battery is weak", usage);
}

fn limits(figure: &Figure) -> (Option<&str>, Option<&str>, Option<&str>) {
    (figure.value.as_deref(), figure.lower.as_deref(), figure.upper.as_deref())
}

#[test]
fn what_nobody_asked_for_is_not_there() {
    let report = every_day(&[]).november();
    does_not_say(&report, "On request");
    assert!(report.sections.iter().all(|section| section.id != "on-request"));
    for name in ["failed-checks-wilson", "machine-days-between-faults", "growth-shape"] {
        assert!(report.figures.iter().all(|figure| figure.figure != name), "{name}");
    }
}

#[test]
fn wilson_stands_beside_the_exact_limits() {
    let mut logbook = every_day(&[Also::Wilson]);
    let failing = ALL_PASSED.replace("suction: pass", "suction: fail");
    logbook.check("daily", "11-03T07:00", &failing);
    // 1 of 30; the exact limits are 0.08436 % and 17.2169 % (scipy 1.17.1), those of Wilson 0.5909 % and 16.6702 %.
    let report = logbook.november();
    assert_eq!(limits(figure(&report, "failed-checks-wilson")), (Some("3.3"), Some("0.5"), Some("16.7")));
    says(&report, "| Theatre 2 | 1 | 30 | 3.3 % | 0.0 % | 17.3 % | 0.5 % | 16.7 % |");
}

#[test]
fn five_faults_without_a_trend_have_a_mean_time_between_them() {
    let mut logbook = every_day(&[Also::MeanTimeBetweenFaults, Also::Growth]);
    for day in [3, 9, 15, 21] {
        fault_on(&mut logbook, day);
    }
    let report = logbook.november();
    assert_eq!(figure(&report, "machine-days-between-faults").state, "too-little-data");
    assert_eq!(figure(&report, "growth-shape").state, "too-little-data");
    says(&report, "Too little data: 4 faults in 30 machine-days over the twelve months; 5 faults are needed.");
    fault_on(&mut logbook, 27);
    let report = logbook.november();
    // 60/20.4832 with 10 more machine-days below the line than Garwood's counts 1.6235 and 11.6683: 30/11.6683, 30/1.6235.
    let mean = figure(&report, "machine-days-between-faults");
    assert_eq!(limits(mean), (Some("6.0"), Some("2.5"), Some("18.5")));
    assert_eq!((mean.k, mean.n, mean.state.as_str()), (Some(5), Some(30), "value"));
    says(&report, "one in 6.0 machine-days on average, 95 % interval 2.5 to 18.5. No trend is seen");
    // (5 - 1) over the sum of ln(30/t), t being 2.5, 8.5, 14.5, 20.5 and 26.5: 4/4.9777.
    assert_eq!(figure(&report, "growth-shape").value.as_deref(), Some("0.80"));
    says(&report, "Whether faults became rarer or more frequent could not be told by this.");
    // 30/(5 * 0.8035); the limits are the mean times at which 5 or more, and 5 or fewer, have a probability of 2.5 %, summed
    // with mpmath: 1.78985 and 35.0159.
    says(&report, "one fault in 7.5 machine-days at the end of the twelve months, 95 % interval 1.7 to 35.1;");
}

#[test]
fn faults_that_become_rarer_or_more_frequent_have_no_mean_time_between_them() {
    for (days, words, growth) in [
        ([1, 1, 2, 2, 3, 4], "less and less often", "became rarer"),
        ([30, 30, 29, 29, 28, 27], "more and more often", "became more frequent"),
    ] {
        let mut logbook = every_day(&[Also::MeanTimeBetweenFaults, Also::Growth]);
        for (n, day) in days.into_iter().enumerate() {
            let usage = "{restricted: on mains only, until: 2026-12-20, owner: r-castellanos}";
            logbook.fault(&format!("11-{day:02}T10:{n:02}"), "battery is weak", usage);
        }
        let report = logbook.november();
        let mean = figure(&report, "machine-days-between-faults");
        assert_eq!((limits(mean), mean.state.as_str()), ((None, None, None), "not-given"));
        says(&report, &format!("they come {words}, so one mean would describe no time at all"));
        says(&report, growth);
    }
}

#[test]
fn without_a_calendar_no_time_between_faults_is_recorded() {
    let mut logbook = every_day(&[Also::MeanTimeBetweenFaults, Also::Growth]);
    logbook.files.remove("calendar/2026.yaml");
    let report = logbook.november();
    for name in ["machine-days-between-faults", "growth-shape"] {
        assert_eq!((figure(&report, name).state.as_str(), figure(&report, name).n), ("not-recorded", None));
    }
    says(&report, "Not recorded: no calendar says on how many machine-days a check was expected.");
}
