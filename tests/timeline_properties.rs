//! What must hold of every machine's life, whatever records come in and in whatever order.
//!
//! Arbitrary records of one machine and of a second one, at moments that often coincide, against sentences that are true
//! of time itself: a moment counted by looking at each quarter of an hour is the judge of the sums.

#![cfg(test)]

use chrono::Duration;
use pinindex::contents::{self, Contents, Filed};
use pinindex::diagnostic::Severity;
use pinindex::logbook::{self, FileContent};
use pinindex::record::moment::start_of_day;
use pinindex::record::{self, Moment, Record, Use};
use pinindex::report::{Basis, Period, downtime};
use pinindex::rule::{self, Facts};
use pinindex::timeline::{self, Life, Lives, status};
use proptest::prelude::*;
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::LazyLock;

const MACHINE: &str = "theatre-2";
const OTHER: &str = "theatre-1";
/// The first moment; every other one lies some quarters of an hour after it. The clocks change within them.
const BEGIN: &str = "2026-10-20T06:00:00+02:00";
const QUARTERS: i64 = 4 * 24 * 20;
const QUARTER: i64 = 15 * 60;

const PASSED: &str =
    "\n  suction: pass\n  low-pressure-leak: {held: 12 s}\n  circuit-leak: {from: 30 cmH2O, to: 30 cmH2O, in: 10 s}
  absorbent: {choice: fresh}\n  vaporizers-filled: {sevoflurane: pass}";

/// What a record is made from. `of` chooses among the earlier records that can be named.
#[derive(Clone, Debug)]
struct Deed {
    kind: Kind,
    quarter: i64,
    late: i64,
    of: prop::sample::Index,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Kind {
    Passed,
    Failed,
    Withheld,
    Restricted,
    Repair,
    Release,
    Void,
    Corrected,
}

use Kind::{Corrected, Failed, Passed, Release, Repair, Restricted, Void, Withheld};

const PLAIN: [Kind; 6] = [Passed, Failed, Withheld, Restricted, Repair, Release];
const ALL: [Kind; 8] = [Passed, Failed, Withheld, Restricted, Repair, Release, Void, Corrected];

fn deeds(kinds: &'static [Kind], most: usize) -> impl Strategy<Value = Vec<Deed>> {
    let quarter = prop_oneof![0..QUARTERS, 0..24i64];
    let deed = (prop::sample::select(kinds), quarter, prop_oneof![Just(0), 0..400i64], any::<prop::sample::Index>());
    prop::collection::vec(deed.prop_map(|(kind, quarter, late, of)| Deed { kind, quarter, late, of }), 0..most)
}

fn moment(quarter: i64) -> Moment {
    let begin: Moment = BEGIN.parse().unwrap();
    Moment(begin.0 + Duration::seconds(quarter * QUARTER))
}

/// The small logbook of the rule pages without its records, and a complete check.
static GROUND: LazyLock<Contents> = LazyLock::new(|| {
    let mut snapshot =
        logbook::read_working_files(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pages-base")).unwrap();
    snapshot.files.retain(|path, _| !path.starts_with("records/"));
    let daily = String::from_utf8(snapshot.bytes("procedures/daily/1.yaml").unwrap().to_vec()).unwrap();
    let complete = daily.replace("procedure: daily", "procedure: complete").replace("first-case", "after-service");
    snapshot.files.insert("procedures/complete/1.yaml".to_owned(), FileContent::Bytes(complete.into_bytes().into()));
    let (contents, faults) = contents::read(&snapshot, &mut |_| {});
    assert_eq!(faults, []);
    contents
});

/// Makes the records of a machine, each under the name that the program gives it.
fn records(machine: &str, deeds: &[Deed]) -> Vec<Filed> {
    let mut filed: Vec<Filed> = Vec::new();
    for deed in deeds {
        if let Some(record) = record(machine, deed, &filed) {
            file(&mut filed, record);
        }
    }
    filed
}

fn file(filed: &mut Vec<Filed>, record: Record) {
    let name = |n| logbook::numbered_record_path(record.when().0, &record.common.machine, record.kind(), n);
    let path = (1..).map(name).find(|path| filed.iter().all(|other| other.path != *path)).unwrap();
    filed.push(Filed { path, record });
}

fn record(machine: &str, deed: &Deed, earlier: &[Filed]) -> Option<Record> {
    let now = moment(deed.quarter);
    let recorded = moment(deed.quarter + deed.late);
    let named = |kinds: &[&str]| {
        let fitting: Vec<&Filed> = earlier.iter().filter(|filed| kinds.contains(&filed.record.kind())).collect();
        (!fitting.is_empty()).then(|| fitting[deed.of.index(fitting.len())])
    };
    let before = moment(deed.quarter - 1);
    let check = |suction: &str| {
        let results = PASSED.replace("suction: pass", &format!("suction: {suction}"));
        let procedure = if deed.of.index(2) == 0 { "daily" } else { "complete" };
        format!(
            "record: check\nprocedure: {procedure}\nrevision: 1\nstarted: \"{before}\"\nfinished: \"{now}\"\nresults:{results}"
        )
    };
    let fault =
        |usage: &str| format!("record: fault\nfound: \"{now}\"\nfound-during: {{way: in-use}}\nwhat: x\nuse: {usage}");
    let fields = match deed.kind {
        Passed => check("pass"),
        Failed => check("fail"),
        Withheld => fault("withheld"),
        Restricted => fault("{restricted: only with a bag at hand, until: 2026-11-02, owner: r-castellanos}"),
        Repair => {
            let fault = &named(&["fault"])?.path;
            format!(
                "record: repair\nfault: {fault}\nstarted: \"{before}\"\nfinished: \"{now}\"\ncause: wear-or-age\nwork: x"
            )
        }
        Release => {
            let (fault, proof) = (&named(&["fault"])?.path, &named(&["check"])?.path);
            format!("record: release\nfaults: [{fault}]\nproved-by: {proof}\nreleased: \"{now}\"")
        }
        Void => format!("record: void\nof: {}\nbecause: x", named(&record::kinds::KINDS)?.path),
        Corrected => {
            let wrong = named(&["check", "fault", "repair", "release"])?;
            let mut record = wrong.record.clone();
            record.common.recorded = recorded;
            record.common.corrects =
                Some(record::Correction { record: wrong.path.clone(), because: "a slip of the pen".to_owned() });
            return Some(record);
        }
    };
    let text = format!("{fields}\nmachine: {machine}\nby: [r-castellanos]\nrecorded: \"{recorded}\"\n");
    let (record, faults) = record::read("x", text.as_bytes());
    assert_eq!(faults, [], "{text}");
    record
}

fn with(filed: impl IntoIterator<Item = Filed>) -> Contents {
    let mut contents = GROUND.clone();
    contents.add(filed);
    contents
}

fn life(contents: &Contents) -> Life {
    timeline::lives(contents)[MACHINE].clone()
}

/// Takes out what any rule finds fault with, as every command does before it counts.
fn without_faulty(mut contents: Contents) -> (Contents, Lives) {
    loop {
        let lives = timeline::lives(&contents);
        let now = moment(10 * QUARTERS);
        let judged = rule::judge(&Facts { contents: &contents, lives: &lives, now, came: None });
        let faulty: BTreeSet<&str> =
            judged.iter().filter(|d| d.severity == Severity::Problem).map(|d| d.place.path.as_str()).collect();
        if faulty.is_empty() {
            return (contents, lives);
        }
        contents = contents.without(&faulty);
    }
}

fn basis<'a>(contents: &'a Contents, lives: &'a Lives, period: Period) -> Basis<'a> {
    let site = contents.site.as_ref().unwrap();
    let as_of = Basis::as_of(site, period, moment(10 * QUARTERS), moment(10 * QUARTERS));
    Basis { site, contents, lives, period, as_of, built_from: None, left_out: &[], also: &[], seals: &[] }
}

/// Returns the paths of the records that name a fault, and of the fault itself.
fn all_of_case(filed: &[Filed], fault: &str) -> Vec<String> {
    let names = |one: &&Filed| one.path == fault || one.record.references().iter().any(|(_, path, _)| *path == fault);
    filed.iter().filter(names).map(|one| one.path.clone()).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(64) })]

    #[test]
    fn the_order_in_which_records_are_read_does_not_matter(all in deeds(&ALL, 24)) {
        let filed = records(MACHINE, &all);
        let forward = with(filed.clone());
        let backward = with(filed.iter().rev().cloned());
        let mut one_by_one = GROUND.clone();
        filed.iter().rev().for_each(|one| one_by_one.add([one.clone()]));
        prop_assert_eq!(life(&forward), life(&backward));
        prop_assert_eq!(life(&forward), life(&one_by_one));
        let standing = |contents: &Contents| filed.iter().map(|one| contents.standing(&one.path)).collect::<Vec<_>>();
        prop_assert_eq!(standing(&forward), standing(&backward));
    }

    #[test]
    fn at_every_moment_a_machine_has_exactly_one_status(all in deeds(&ALL, 24), at in 0..QUARTERS) {
        let contents = with(records(MACHINE, &all));
        let life = life(&contents);
        let now = moment(at);
        let state = status(&contents, &life, now).unwrap();
        let open: BTreeSet<&str> = life.cases.iter().filter(|case| case.open_at(now)).map(|case| case.path.as_str()).collect();
        let withheld: BTreeSet<&str> = state.withheld_by.iter().map(String::as_str).collect();
        let restricted: BTreeSet<&str> = state.restricted_by.iter().map(|one| one.fault.as_str()).collect();
        prop_assert!(withheld.is_disjoint(&restricted));
        prop_assert_eq!(&open, &withheld.union(&restricted).copied().collect::<BTreeSet<_>>());
        prop_assert_eq!(state.withheld_by.len() + state.restricted_by.len(), open.len());
        if state.ready() {
            prop_assert!(withheld.is_empty() && state.todays_check.is_some() && state.in_use);
            prop_assert!(state.lacking.is_none() && state.unanswered.is_empty());
        }
        // A failure is answered for by a fault record that names it, of which there is none here, or by a later proof.
        let failed = life.checks_until(now).iter().rposition(|check| check.judgement.failures().next().is_some());
        if let Some(failed) = failed {
            let proved = life.checks_until(now).iter().skip(failed + 1).any(|c| c.judgement.complete);
            prop_assert!(proved || !state.ready());
        }
        prop_assert!(state.todays_check.is_none_or(|check| check.check.finished <= now));
    }

    #[test]
    fn an_open_fault_stays_open_until_the_first_release_that_names_it(all in deeds(&ALL, 30)) {
        let contents = with(records(MACHINE, &all));
        for case in &life(&contents).cases {
            let ends = contents.counting().filter_map(|filed| match &filed.record.body {
                record::Body::Release(release) => {
                    let names = release.faults.iter().any(|fault| contents.speaking_for(fault) == Some(case.path.as_str()));
                    names.then_some(release.released)
                }
                _ => None,
            });
            prop_assert_eq!(case.released.as_ref().map(|released| released.released), ends.min());
            for quarter in -1..=QUARTERS {
                let now = moment(quarter);
                let released = case.released.as_ref().is_some_and(|released| released.released <= now);
                prop_assert_eq!(case.open_at(now), case.found <= now && !released);
            }
        }
    }

    #[test]
    fn what_no_rule_finds_fault_with_stands_in_the_order_of_time(all in deeds(&ALL, 30)) {
        let (contents, lives) = without_faulty(with(records(MACHINE, &all)));
        let life = &lives[MACHINE];
        prop_assert!(life.checks.windows(2).all(|pair| pair[0].check.finished <= pair[1].check.finished));
        prop_assert!(life.cases.windows(2).all(|pair| pair[0].found <= pair[1].found));
        for case in &life.cases {
            prop_assert!(case.works.windows(2).all(|pair| pair[0].repair.started <= pair[1].repair.started));
            for work in &case.works {
                prop_assert!(case.found <= work.repair.finished && work.repair.started <= work.repair.finished);
            }
            let Some(released) = &case.released else { continue };
            prop_assert!(case.found <= released.released, "{} is released before it was found", case.path);
            let proof = contents.speaking_for(&released.proved_by).and_then(|path| life.check(path)).unwrap();
            prop_assert!(case.found <= proof.check.started && proof.check.finished <= released.released);
            for work in &case.works {
                prop_assert!(work.repair.finished <= proof.check.started, "{} is proved before {} ended", case.path, work.path);
            }
            if let Some((path, finished)) = &case.first_check_after {
                prop_assert!(*finished > released.released && *path != released.proved_by);
            }
        }
    }

    #[test]
    fn time_out_of_service_is_counted_once_and_adds_up_over_the_months(all in deeds(&ALL, 30)) {
        let contents = with(records(MACHINE, &all));
        let lives = timeline::lives(&contents);
        let (life, machine) = (&lives[MACHINE], &contents.machines[MACHINE]);
        let of = |name: &str| {
            let period = Period::named(name).unwrap();
            downtime::downtime(&basis(&contents, &lives, period), machine, life, period)
        };
        let (whole, parts) = (of("2026-10..2026-12"), ["2026-10", "2026-11", "2026-12"].map(of));
        prop_assert_eq!(whole.withheld, parts.iter().map(|part| part.withheld).sum::<i64>());
        prop_assert_eq!(whole.restricted, parts.iter().map(|part| part.restricted).sum::<i64>());
        prop_assert_eq!(whole.belonged, parts.iter().map(|part| part.belonged).sum::<i64>());
        // Every moment is a whole quarter, and so is the end of the year.
        let end = start_of_day("2027-01-01".parse::<record::Date>().unwrap().0, contents.site.as_ref().unwrap().time_zone);
        let quarters = (0..).map(moment).take_while(|now| *now < end);
        let withheld = |now: Moment| life.cases.iter().any(|case| case.withholds_at(now));
        let restricted = |now: Moment| life.cases.iter().any(|case| case.usage != Use::Withheld && case.open_at(now));
        let (mut seconds_withheld, mut seconds_restricted) = (0, 0);
        for now in quarters {
            seconds_withheld += if withheld(now) { QUARTER } else { 0 };
            seconds_restricted += if restricted(now) { QUARTER } else { 0 };
        }
        prop_assert_eq!((whole.withheld, whole.restricted), (seconds_withheld, seconds_restricted));
        prop_assert!(0 <= whole.withheld && whole.withheld <= whole.belonged);
    }

    #[test]
    fn voiding_everything_of_a_fault_gives_the_life_without_it(all in deeds(&PLAIN, 24), which in any::<prop::sample::Index>()) {
        let filed = records(MACHINE, &all);
        let faults: Vec<&Filed> = filed.iter().filter(|one| one.record.kind() == "fault").collect();
        prop_assume!(!faults.is_empty());
        let gone = all_of_case(&filed, &faults[which.index(faults.len())].path);
        let kept = filed.iter().filter(|one| !gone.contains(&one.path)).cloned().collect::<Vec<_>>();
        let mut voided = filed.clone();
        for (n, path) in gone.iter().enumerate() {
            let n = i64::try_from(n).unwrap();
            let text = format!(
                "record: void\nmachine: {MACHINE}\nof: {path}\nbecause: x\nby: [r-castellanos]\nrecorded: \"{}\"\n",
                moment(5 * QUARTERS + n)
            );
            file(&mut voided, record::read("x", text.as_bytes()).0.unwrap());
        }
        prop_assert_eq!(life(&with(voided.clone())), life(&with(kept)));
        // A void of each void gives everything back.
        let voids: Vec<String> = voided.iter().filter(|one| one.record.kind() == "void").map(|one| one.path.clone()).collect();
        for (n, path) in voids.iter().enumerate() {
            let n = i64::try_from(n).unwrap();
            let text = format!(
                "record: void\nmachine: {MACHINE}\nof: {path}\nbecause: x\nby: [r-castellanos]\nrecorded: \"{}\"\n",
                moment(6 * QUARTERS + n)
            );
            file(&mut voided, record::read("x", text.as_bytes()).0.unwrap());
        }
        prop_assert_eq!(life(&with(voided)), life(&with(filed)));
    }

    #[test]
    fn a_void_of_any_record_that_counts_gives_the_life_without_it(all in deeds(&ALL, 24), which in any::<prop::sample::Index>()) {
        let filed = records(MACHINE, &all);
        let contents = with(filed.clone());
        let counting: Vec<String> = contents.counting().map(|one| one.path.clone()).collect();
        prop_assume!(!counting.is_empty());
        let gone = &counting[which.index(counting.len())];
        // A correction that was written down before what it names has no say while that is there, and would have one without.
        let names_it = |one: &Filed| one.record.common.corrects.as_ref().is_some_and(|it| it.record == *gone);
        prop_assume!(!filed.iter().any(names_it));
        let text = format!(
            "record: void\nmachine: {MACHINE}\nof: {gone}\nbecause: x\nby: [r-castellanos]\nrecorded: \"{}\"\n",
            moment(5 * QUARTERS)
        );
        let mut voided = filed.clone();
        file(&mut voided, record::read("x", text.as_bytes()).0.unwrap());
        let kept = filed.into_iter().filter(|one| one.path != *gone);
        prop_assert_eq!(life(&with(voided)), life(&with(kept)));
    }

    #[test]
    fn a_record_of_another_machine_changes_nothing(all in deeds(&ALL, 20), others in deeds(&ALL, 20)) {
        let (own, other) = (records(MACHINE, &all), records(OTHER, &others));
        let alone = with(own.clone());
        let together = with(own.into_iter().chain(other.clone()));
        prop_assert_eq!(life(&alone), life(&together));
        prop_assert_eq!(&timeline::lives(&together)[OTHER], &timeline::lives(&with(other))[OTHER]);
        for quarter in (0..QUARTERS).step_by(96) {
            let (alone, together) =
                (status(&alone, &life(&alone), moment(quarter)), status(&together, &life(&together), moment(quarter)));
            prop_assert_eq!(alone, together);
        }
    }

    #[test]
    fn a_record_of_today_that_names_nothing_leaves_yesterday_as_it_was(
        all in deeds(&ALL, 24),
        new in prop::sample::select(&[Passed, Failed, Withheld, Restricted][..]),
        of in any::<prop::sample::Index>(),
    ) {
        let filed = records(MACHINE, &all);
        let today = Deed { kind: new, quarter: QUARTERS + 400, late: 0, of };
        let mut more = filed.clone();
        file(&mut more, record(MACHINE, &today, &filed).unwrap());
        let (before, after) = (with(filed), with(more));
        let (was, is) = (life(&before), life(&after));
        for quarter in (0..QUARTERS + 400).step_by(48) {
            let now = moment(quarter);
            prop_assert_eq!(status(&before, &was, now), status(&after, &is, now));
            prop_assert_eq!(was.checks_until(now), is.checks_until(now));
        }
        for case in &was.cases {
            let same = is.case(&case.path).unwrap();
            // What comes after a release is the one thing that a later check can add to.
            prop_assert!(case.first_check_after.is_none() || case.first_check_after == same.first_check_after);
            prop_assert_eq!(&timeline::Case { first_check_after: None, ..case.clone() }, &timeline::Case { first_check_after: None, ..same.clone() });
        }
    }

    #[test]
    fn a_correction_that_says_the_same_changes_only_the_name(all in deeds(&PLAIN, 20), which in any::<prop::sample::Index>()) {
        let filed = records(MACHINE, &all);
        prop_assume!(!filed.is_empty());
        let wrong = &filed[which.index(filed.len())];
        let mut record = wrong.record.clone();
        record.common.recorded = moment(5 * QUARTERS);
        record.common.corrects = Some(record::Correction { record: wrong.path.clone(), because: "x".to_owned() });
        let mut more = filed.clone();
        file(&mut more, record);
        let (was, is) = (life(&with(filed.clone())), life(&with(more)));
        prop_assert_eq!(was.checks.len(), is.checks.len());
        let spans = |life: &Life| {
            let mut spans: Vec<_> = life.cases.iter().map(|case| {
                (case.found, case.usage == Use::Withheld, case.works.len(), case.released.as_ref().map(|released| released.released))
            }).collect();
            spans.sort();
            spans
        };
        prop_assert_eq!(spans(&was), spans(&is));
    }
}
