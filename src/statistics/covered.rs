//! How long something was covered by spans of time that may overlap, reach outside, or still run.
//!
//! Takes spans in seconds on one line of time and the part of that line that is asked about, gives
//! whole seconds. Counts every second once, however many spans cover it. It is a census, so it has
//! no interval. Leaves out clocks and calendars: a month in which they change has an hour more or
//! less, and the caller's instants say so.

/// Returns how many of the seconds from `from` to `until` lie in at least one of the spans.
///
/// A span is its beginning and its end; one without an end reaches to `until`. The end itself no
/// longer belongs to a span, nor does `until` to what is asked about, so spans that touch leave no
/// gap and share no second. What lies outside `from` to `until` is cut off. A span that ends where
/// it begins covers nothing, and neither does one that ends before it begins, which is a mistake
/// the caller looks for. 0 when `until` is not after `from`.
///
/// ```
/// use pinindex::statistics::covered::covered_seconds;
///
/// // Two spans that share two seconds, and one that still runs.
/// assert_eq!(covered_seconds(&[(1, Some(5)), (3, Some(6)), (9, None)], 0, 10), 6);
/// assert_eq!(covered_seconds(&[], 0, 10), 0);
/// ```
pub fn covered_seconds(spans: &[(i64, Option<i64>)], from: i64, until: i64) -> i64 {
    let clipped = |&(start, end): &(i64, Option<i64>)| (start.max(from), end.unwrap_or(until).min(until));
    let mut inside: Vec<(i64, i64)> = spans.iter().map(clipped).filter(|(start, end)| start < end).collect();
    inside.sort_unstable();

    let mut covered = 0_i64;
    let mut reached = from;
    for (start, end) in inside {
        // Only what lies beyond all spans so far is new.
        covered = covered.saturating_add(end.saturating_sub(start.max(reached)).max(0));
        reached = reached.max(end);
    }
    covered
}

#[cfg(test)]
mod tests;
