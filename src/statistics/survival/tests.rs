//! The curve against worked examples and properties.

use super::*;
use proptest::prelude::*;

pub(super) const HOUR: i64 = 3600;

pub(super) fn ended(seconds: i64) -> FollowUp {
    FollowUp { seconds, ended: true }
}

pub(super) fn running(seconds: i64) -> FollowUp {
    FollowUp { seconds, ended: false }
}

pub(super) fn curve(durations: &[FollowUp]) -> Curve {
    kaplan_meier(durations).unwrap()
}

/// Returns time, at risk, ended and the exact share of every step.
fn table(curve: &Curve) -> Vec<(i64, u64, u64, (u128, u128))> {
    let row = |step: &Step| {
        let exact = step.exact.unwrap();
        (step.seconds, step.at_risk, step.ended, (exact.numerator, exact.denominator))
    };
    curve.steps.iter().map(row).collect()
}

/// Returns the weeks in remission of E. J. Freireich and others 1963.
pub(super) fn remission_weeks() -> Vec<FollowUp> {
    let weeks = [6, 6, 6, 7, 10, 13, 16, 22, 23].map(ended);
    let followed = [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35].map(running);
    [&weeks[..], &followed[..]].concat()
}

#[test]
fn remission_data_of_1963_give_the_published_steps() {
    // E. J. Freireich and others 1963, Blood 21:699-716: weeks in remission under 6-mercaptopurine,
    // as printed in D. R. Cox and D. Oakes 1984, "Analysis of survival data". The median of 23
    // weeks is quoted from memory; the steps are those of the Python package lifelines on its copy
    // of the data (`load_leukemia`).
    let curve = curve(&remission_weeks());
    assert_eq!(
        table(&curve),
        [
            (6, 21, 3, (6, 7)),
            (7, 17, 1, (96, 119)),
            (10, 15, 1, (64, 85)),
            (13, 12, 1, (176, 255)),
            (16, 11, 1, (32, 51)),
            (22, 7, 1, (64, 119)),
            (23, 6, 1, (160, 357)),
        ]
    );
    assert!((curve.steps[6].survival - 0.4481792717).abs() < 1e-10);
    assert_eq!(curve.quantile(1, 2), Quantile::At(23));
    // S falls to exactly 6/7 at the first step.
    assert_eq!(curve.quantile(1, 7), Quantile::At(6));
    assert_eq!(curve.quantile(9, 10), Quantile::MoreThan(35));
}

#[test]
fn four_repairs_still_open_move_the_median() {
    let closed = [2, 4, 6, 8, 24, 48].map(|hours| ended(hours * HOUR));
    let open = [240, 400, 600, 720].map(|hours| running(hours * HOUR));
    let all = curve(&[&closed[..], &open[..]].concat());
    // S is exactly 1/2 from 24 to 48 hours; the first of these times is given.
    assert_eq!(all.quantile(1, 2), Quantile::At(24 * HOUR));
    assert_eq!(all.quantile(3, 5), Quantile::At(48 * HOUR));
    assert_eq!(all.quantile(9, 10), Quantile::MoreThan(720 * HOUR));
    // Leaving out the open ones would make it look three times as quick.
    assert_eq!(curve(&closed).quantile(1, 2), Quantile::At(6 * HOUR));
}

#[test]
fn at_equal_times_endings_come_first() {
    let tied = curve(&[running(5), ended(5), running(5)]);
    assert_eq!(table(&tied), [(5, 3, 1, (2, 3))]);
}

#[test]
fn without_durations_or_endings_there_is_no_made_up_number() {
    assert_eq!(kaplan_meier(&[]), None);
    let all_open = curve(&[running(7), running(3)]);
    assert_eq!(all_open, Curve { steps: vec![], running: vec![3, 7], longest: 7 });
    assert_eq!(all_open.quantile(1, 2), Quantile::MoreThan(7));
}

#[test]
fn one_ending_is_every_quantile() {
    let one = curve(&[ended(9)]);
    assert_eq!(table(&one), [(9, 1, 1, (0, 1))]);
    assert_eq!(one.quantile(1, 100), Quantile::At(9));
    assert_eq!(one.quantile(1, 1), Quantile::At(9));
}

#[test]
fn the_last_follow_up_open_means_that_not_all_have_ended() {
    let last_open = curve(&[ended(1), ended(2), running(3)]);
    assert_eq!(last_open.quantile(1, 1), Quantile::MoreThan(3));
}

#[test]
fn a_share_that_is_none_has_no_answer() {
    let one = curve(&[ended(9)]);
    for (numerator, denominator) in [(0, 1), (0, 0), (1, 0), (3, 2)] {
        assert_eq!(one.quantile(numerator, denominator), Quantile::NoData);
    }
}

#[test]
fn extreme_times_do_no_harm() {
    let extreme = curve(&[ended(i64::MIN), ended(0), running(i64::MAX)]);
    assert_eq!(extreme.quantile(2, 3), Quantile::At(0));
    assert_eq!(extreme.quantile(u64::MAX, u64::MAX), Quantile::MoreThan(i64::MAX));
}

/// Returns a curve on which each ending is followed by the end of one follow-up, so that little
/// cancels and the fraction outgrows 128 bits.
fn alternating(pairs: i64) -> Curve {
    let times = (0..pairs).flat_map(|pair| [ended(2 * pair), running(2 * pair + 1)]);
    curve(&times.collect::<Vec<_>>())
}

#[test]
fn quantiles_stay_exact_when_the_fraction_no_longer_fits() {
    let long = alternating(400);
    assert!(long.steps.iter().any(|step| step.exact.is_none()), "the fraction still fits");
    // S after m of 400 pairs is the product of (2j - 1)/(2j) over the last m values of j up to
    // 400, about sqrt(1 - m/400), which is one half when three quarters of the pairs are done.
    let Quantile::At(median) = long.quantile(1, 2) else { panic!("the median is not reached") };
    let at_median = long.steps.iter().position(|step| step.seconds == median).unwrap();
    assert!(long.steps[at_median].survival <= 0.5 && long.steps[at_median - 1].survival > 0.5);
    assert!((295..=305).contains(&at_median), "step {at_median}");
    // The fallback for the printed number loses next to nothing.
    let by_product: f64 =
        long.steps[..=at_median].iter().map(|step| (step.at_risk - step.ended) as f64 / step.at_risk as f64).product();
    assert!((long.steps[at_median].survival / by_product - 1.0).abs() < 1e-13);
}

#[test]
fn a_tie_beyond_128_bits_is_still_a_tie() {
    let pairs = (0..400).flat_map(|pair| [ended(2 * pair), running(2 * pair + 1)]);
    let all: Vec<_> = pairs.chain([ended(999), ended(999)]).collect();
    let long = curve(&all);
    let last = long.steps.last().unwrap();
    assert_eq!((last.exact, last.survival), (None, 0.0));
    assert_eq!(long.quantile(1, 1), Quantile::At(999));
}

#[test]
fn a_share_is_met_exactly_and_missed_by_a_hair() {
    // Asking for exactly 1 - S of a step finds that step; the next larger share of the same
    // denominator, some 1e-18 more, finds the next step.
    let few = alternating(38);
    let exact = few.steps[25].exact.unwrap();
    let numerator = u64::try_from(exact.numerator).unwrap();
    let denominator = u64::try_from(exact.denominator).unwrap();
    let met = few.quantile(denominator - numerator, denominator);
    let missed = few.quantile(denominator - numerator + 1, denominator);
    assert_eq!(met, Quantile::At(few.steps[25].seconds));
    assert_eq!(missed, Quantile::At(few.steps[26].seconds));
    assert!(denominator > 1 << 53, "a rounded number could have decided this");
}

pub(super) fn durations() -> impl Strategy<Value = Vec<FollowUp>> {
    let one = (0_i64..30, any::<bool>()).prop_map(|(seconds, ended)| FollowUp { seconds, ended });
    prop::collection::vec(one, 1..60)
}

proptest! {
    #[test]
    fn with_everything_ended_the_curve_is_the_plain_share(
        times in prop::collection::vec(0_i64..20, 1..50),
    ) {
        let curve = curve(&times.iter().copied().map(ended).collect::<Vec<_>>());
        let n = times.len() as u128;
        for step in &curve.steps {
            let longer = times.iter().filter(|&&time| time > step.seconds).count() as u128;
            let exact = step.exact.unwrap();
            prop_assert_eq!(exact.numerator * n, longer * exact.denominator);
        }
        // The median of n ended durations is the ceil(n/2)-th of them in order.
        let mut ordered = times.clone();
        ordered.sort();
        prop_assert_eq!(curve.quantile(1, 2), Quantile::At(ordered[times.len().div_ceil(2) - 1]));
    }

    #[test]
    fn the_order_of_the_durations_does_not_matter(durations in durations(), turn: usize) {
        let mut turned = durations.clone();
        turned.rotate_left(turn % durations.len());
        prop_assert_eq!(curve(&durations), curve(&turned));
    }

    #[test]
    fn the_curve_falls_at_every_step_and_stays_a_share(durations in durations()) {
        let curve = curve(&durations);
        let mut before = 1.0;
        for step in &curve.steps {
            prop_assert!(0.0 <= step.survival && step.survival < before);
            prop_assert!(0 < step.ended && step.ended <= step.at_risk);
            before = step.survival;
        }
        prop_assert_eq!(curve.longest, durations.iter().map(|one| one.seconds).max().unwrap());
    }

    #[test]
    fn a_duration_followed_further_never_shortens_the_median(
        durations in durations(), which: usize,
    ) {
        let mut longer = durations.clone();
        let one = &mut longer[which % durations.len()];
        one.seconds += 10;
        one.ended = false;
        let before = curve(&durations).quantile(1, 2);
        let after = curve(&longer).quantile(1, 2);
        let never_shorter = match (before, after) {
            (Quantile::At(before), Quantile::At(after)) => before <= after,
            (_, Quantile::MoreThan(_)) => true,
            _ => matches!(before, Quantile::MoreThan(_)),
        };
        prop_assert!(never_shorter, "{before:?}, then {after:?}");
    }

    #[test]
    fn a_larger_share_never_comes_earlier(durations in durations(), n in 1_u64..100) {
        let curve = curve(&durations);
        let mut before = i64::MIN;
        for numerator in 1..=n {
            let time = match curve.quantile(numerator, n) {
                Quantile::At(seconds) => seconds,
                Quantile::MoreThan(_) => i64::MAX,
                Quantile::NoData => panic!("{numerator}/{n} is a share"),
            };
            prop_assert!(before <= time);
            before = time;
        }
    }
}
