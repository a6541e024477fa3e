//! Covered time against a worked example and against counting second by second.

use super::*;
use proptest::prelude::*;

#[test]
fn a_month_of_overlapping_outages_counts_each_hour_once() {
    let outages = [(-10, Some(5)), (3, Some(20)), (20, Some(22)), (100, Some(130)), (110, Some(120)), (700, None)];
    let hours = covered_seconds(&outages, 0, 720);
    assert_eq!(hours, 72);
    // Added up one by one the same outages would make 84.
    let one_by_one: i64 = outages.iter().map(|outage| covered_seconds(&[*outage], 0, 720)).sum();
    assert_eq!(one_by_one, 84);
}

#[test]
fn edges_belong_to_what_begins_there() {
    assert_eq!(covered_seconds(&[(0, Some(5)), (5, Some(10))], 0, 10), 10);
    assert_eq!(covered_seconds(&[(-5, Some(0)), (10, Some(15))], 0, 10), 0);
    assert_eq!(covered_seconds(&[(10, None)], 0, 10), 0);
    assert_eq!(covered_seconds(&[(9, None)], 0, 10), 1);
}

#[test]
fn nothing_and_less_than_nothing_cover_nothing() {
    assert_eq!(covered_seconds(&[(4, Some(4))], 0, 10), 0);
    assert_eq!(covered_seconds(&[(6, Some(4))], 0, 10), 0);
    assert_eq!(covered_seconds(&[(0, None)], 10, 10), 0);
    assert_eq!(covered_seconds(&[(0, None)], 10, 0), 0);
    // The backward span takes nothing away from its neighbours.
    assert_eq!(covered_seconds(&[(1, Some(3)), (8, Some(2)), (5, Some(7))], 0, 10), 4);
}

#[test]
fn the_ends_of_time_do_no_harm() {
    assert_eq!(covered_seconds(&[(i64::MIN, None)], i64::MIN, i64::MAX), i64::MAX);
    assert_eq!(covered_seconds(&[(i64::MIN, Some(i64::MAX)), (0, None)], -5, 5), 10);
}

proptest! {
    #[test]
    fn it_is_the_number_of_seconds_that_lie_in_a_span(
        spans in prop::collection::vec((-30_i64..60, prop::option::of(-30_i64..60)), 0..12),
        from in -20_i64..40,
        until in -20_i64..40,
    ) {
        let lies_in = |second: &i64| {
            spans.iter().any(|(start, end)| start <= second && *second < end.unwrap_or(i64::MAX))
        };
        let counted = (from..until).filter(lies_in).count() as i64;
        prop_assert_eq!(covered_seconds(&spans, from, until), counted);
    }

    #[test]
    fn the_order_of_the_spans_does_not_matter(
        spans in prop::collection::vec((any::<i64>(), prop::option::of(any::<i64>())), 0..12),
        from: i64, until: i64, turn: usize,
    ) {
        let mut turned = spans.clone();
        turned.rotate_left(turn % spans.len().max(1));
        let covered = covered_seconds(&spans, from, until);
        prop_assert_eq!(covered_seconds(&turned, from, until), covered);
        prop_assert!(covered >= 0);
        prop_assert!(i128::from(covered) <= (i128::from(until) - i128::from(from)).max(0));
    }
}
