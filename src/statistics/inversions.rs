//! How many pairs of a row stand in order by chance alone.
//!
//! Takes the length of a row without ties, gives a probability for each number of pairs. All orders of the row count as
//! equally likely. The test of slope rests on it. Leaves out ties, for which there is no such single table.

/// The longest row that is answered; the time an answer takes grows with the cube of the length.
pub(super) const LONGEST: usize = 60;

/// Returns for each k from 0 to n(n-1)/2 the probability that at least k of the pairs of a random
/// row of n stand in ascending order.
///
/// The number of rows of n with k pairs in order is the Mahonian number T(n, k) (P. A. MacMahon
/// 1916, "Combinatory Analysis", volume 2): to a row of n - 1 the n-th element adds 0 to n - 1
/// pairs, each as likely. M. G. Kendall 1938, "A new measure of rank correlation", Biometrika
/// 30:81-93, uses it for his S, which is twice the pairs in order less all pairs. Only positive
/// numbers are added, so nothing cancels.
///
/// None when the row is longer than [`LONGEST`].
pub(super) fn tails(n: usize) -> Option<Vec<f64>> {
    if n > LONGEST {
        return None;
    }
    let mut chances = vec![1.0_f64];
    for length in 2..=n {
        let mut longer = vec![0.0; chances.len() + length - 1];
        for (pairs, chance) in chances.iter().enumerate() {
            for sum in &mut longer[pairs..pairs + length] {
                *sum += chance / length as f64;
            }
        }
        chances = longer;
    }
    // From the smallest to the largest, so that the small ones are not lost.
    let mut sum = 0.0;
    for chance in chances.iter_mut().rev() {
        sum += *chance;
        *chance = f64::min(sum, 1.0);
    }
    // Every row has none or more, whatever the sum was rounded to.
    chances[0] = 1.0;
    Some(chances)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at_least(pairs: usize, n: usize) -> f64 {
        tails(n).unwrap()[pairs]
    }

    fn close(ours: f64, expected: f64) -> bool {
        (ours - expected).abs() <= 1e-14 * expected
    }

    #[test]
    fn small_rows_can_be_counted_out() {
        // Of the 24 rows of four one is wholly in order; of six rows of three one.
        assert!(close(at_least(6, 4), 1.0 / 24.0));
        assert!(close(at_least(10, 5), 1.0 / 120.0));
        // T(4, k) is 1 3 5 6 5 3 1.
        let at_least_of_four = [24.0, 23.0, 20.0, 15.0, 9.0, 4.0, 1.0];
        for (pairs, rows) in at_least_of_four.into_iter().enumerate() {
            assert!(close(at_least(pairs, 4), rows / 24.0));
        }
        assert_eq!(tails(4).unwrap().len(), 7);
    }

    #[test]
    fn every_order_of_seven_is_tried() {
        let mut rows = [0_u32; 22];
        let mut row = [0, 1, 2, 3, 4, 5, 6];
        each_order(&mut row, 0, &mut |row| {
            let in_order = (0..7).flat_map(|j| (0..j).map(move |i| (i, j))).filter(|&(i, j)| row[i] < row[j]);
            rows[in_order.count()] += 1;
        });
        assert_eq!(rows.iter().sum::<u32>(), 5040);
        for pairs in 0..rows.len() {
            let counted = rows[pairs..].iter().sum::<u32>();
            assert!(close(at_least(pairs, 7), f64::from(counted) / 5040.0));
        }
    }

    fn each_order(row: &mut [usize; 7], fixed: usize, see: &mut impl FnMut(&[usize; 7])) {
        if fixed == row.len() {
            return see(row);
        }
        for other in fixed..row.len() {
            row.swap(fixed, other);
            each_order(row, fixed + 1, see);
            row.swap(fixed, other);
        }
    }

    #[test]
    fn the_edges_are_certain_or_unanswered() {
        for n in 0..=LONGEST {
            assert_eq!(at_least(0, n), 1.0);
        }
        assert_eq!(tails(LONGEST + 1), None);
        // The rarest row of 60 is one of 60!, about 8.3e81.
        let rarest = at_least(1770, 60);
        assert!((rarest * 8.320_987_112_741_39e81 - 1.0).abs() < 1e-12);
    }
}
