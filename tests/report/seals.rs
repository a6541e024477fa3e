//! What the report says of seals: of months with and without, of several, of what came after, and of one that does not hold.

use crate::small_logbook::{ALL_PASSED, LATER, Logbook, does_not_say, moment, says};
use pinindex::diagnostic::{Diagnostic, Place};
use pinindex::report::{self, Basis, BuiltFrom, Report};
use pinindex::seal::{Leaves, NumberedSeal, Seal, SealInHistory, number_of};

/// Returns the seals of October and November as a chain.
fn seals() -> Vec<SealInHistory> {
    let mut before: Option<NumberedSeal> = None;
    let mut seals = Vec::new();
    for month in ["2026-10", "2026-11"] {
        let sealed = (moment("12-02T09:12"), "r-castellanos");
        let commit = "4f0c2a9d81e7b35560cd1f2e9a7740be6d3c8812";
        let seal = Seal::of(month.parse().unwrap(), sealed, commit, &Leaves::default(), before.as_ref());
        let numbered = NumberedSeal { number: number_of(seal.text().unwrap().as_bytes()), seal };
        before = Some(numbered.clone());
        seals.push(SealInHistory { late: Some(Vec::new()), ..SealInHistory::without_history(numbered) });
    }
    seals
}

/// Returns the report of a period from a history whose seals are these.
fn reported(period: &str, seals: &[SealInHistory]) -> Report {
    let mut logbook = Logbook::new();
    logbook.check("daily", "10-05T07:00", ALL_PASSED);
    for seal in seals {
        logbook.put(&seal.numbered.seal.seal.seal_path(), &seal.numbered.seal.text().unwrap());
    }
    logbook.with_basis(period, LATER, LATER, |basis| {
        let commit = "013cf8117225382f2dda9f1d9a7cb417a4f74656".to_owned();
        report::build(&Basis {
            site: basis.site,
            contents: basis.contents,
            lives: basis.lives,
            period: basis.period,
            as_of: basis.as_of,
            built_from: Some(BuiltFrom { commit, time: basis.as_of }),
            left_out: &[],
            seals: &seals
                .iter()
                .filter(|seal| basis.period.contains(pinindex::record::Date(seal.numbered.seal.seal.first_day())))
                .cloned()
                .collect::<Vec<_>>(),
            also: &[],
        })
    })
}

#[test]
fn a_month_without_a_seal_names_the_command() {
    says(&reported("2026-11", &[]), "Not sealed: November 2026. \\`pinindex seal 2026-11 --by ID\\` closes it.");
    let both = reported("2026-10..2026-11", &[]);
    says(&both, "Not sealed: October 2026, November 2026. \\`pinindex seal 2026-10..2026-11 --by ID\\` closes them.");
    says(&reported("2026-12", &[]), "December 2026 is not over; a month is sealed when it is.");
    // A month that comes after the next one to be sealed.
    let december = reported("2026-11", &seals()[..1]);
    says(&december, "Not sealed: November 2026. \\`pinindex seal 2026-11 --by ID\\` closes it.");
    says(&reported("2026-09..2026-10", &seals()), "It comes before the first seal of this logbook");
    assert!(!both.about.foot.contains("seal"), "{}", both.about.foot);
}

#[test]
fn a_sealed_month_shows_its_whole_number_and_its_foot_the_first_digits() {
    let seals = seals();
    let [october, november] = [&seals[0].numbered.number, &seals[1].numbered.number];
    let report = reported("2026-11", &seals);
    says(&report, &november.in_groups());
    says(&report, "sealed 2026-12-02 09:12 by Rosa Castellanos");
    says(&report, &format!("follows the seal of October 2026, whose number begins {}", october.short()));
    does_not_say(&report, "Not sealed");
    does_not_say(&report, "came after its seal");
    assert!(report.about.foot.ends_with(&format!("seal of 2026-11: {}", november.short())), "{}", report.about.foot);
    says(&reported("2026-10", &seals), "the first seal of this logbook");
}

#[test]
fn a_period_of_several_months_lists_each() {
    let seals = seals();
    let report = reported("2026-10..2026-12-05", &seals);
    for (month, seal) in ["October 2026", "November 2026"].iter().zip(&seals) {
        let number = seal.numbered.number.short();
        says(&report, &format!("| {month} | 2026-12-02 09:12 | Rosa Castellanos | 0 | {number} |"));
    }
    says(&report, "Not sealed: December 2026.");
}

#[test]
fn what_came_after_a_seal_is_listed_and_one_that_does_not_hold_is_not_passed_off() {
    let mut seals = seals();
    seals[1].late = Some(vec!["records/2026/11/05/070000-a.check.yaml".to_owned()]);
    let report = reported("2026-11", &seals);
    says(&report, "1 record of November 2026 came after its seal. The next seal covers it:");
    says(&report, "- records/2026/11/05/070000-a.check.yaml");
    seals[1].late = None;
    says(&reported("2026-11", &seals), "Whether records of November 2026 came after its seal cannot be said here.");
    let place = Place::file("seals/2026-11.yaml");
    seals[1].problems = vec![Diagnostic::problem("seal-broken", place, "2 files are not what they were").label("a, b")];
    let report = reported("2026-11", &seals);
    says(&report, "This seal does not hold. 2 files are not what they were (a, b).");
    assert!(report.about.foot.ends_with("seal of 2026-11 does not hold"), "{}", report.about.foot);
}
