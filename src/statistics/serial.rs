//! Slopes of readings that resemble the ones before them.
//!
//! Two readings of neighbouring days say less than two of days far apart: a warm week, a supply that is low for a while, a
//! gauge that is read with the last number in mind. A test that takes each for a new one finds trends that are none. Takes
//! points in the order of x and a slope, gives the slope with wider limits and a larger p. Takes into account only how much a
//! reading resembles the one before; what swings over weeks or with the seasons is beyond it.

use super::normal;
use super::slope::{Slope, theil_sen};

/// The most that readings are taken to resemble each other; n of them then count like n/39.
const MOST_ALIKE: f64 = 0.95;

/// A deviation that is smaller than this share of the largest value is noise of the arithmetic.
const NOISE: f64 = 1e-9;

/// Returns how much deviations resemble the one before each, from 0 (or less) to 0.95.
///
/// The correlation r of neighbours, sum d_i d_(i+1) / sum d_i^2 with d around the mean, and (1 + 4 r)/n added for what it
/// falls short of in a short row (F. H. C. Marriott, J. A. Pope 1954, "Bias in the estimation of autocorrelations",
/// Biometrika 41:390-402; from memory). Less than 0 is taken for 0: alternating readings are not worth more than
/// independent ones. 0 for deviations that are all alike, and for fewer than three.
///
/// ```
/// use pinindex::statistics::serial::likeness;
///
/// assert!((likeness(&[1.0, 2.0, 3.0, 4.0, 5.0]) - 0.92).abs() < 1e-12); // 4/10 and 2.6/5
/// assert_eq!(likeness(&[1.0, -1.0, 1.0, -1.0]), 0.0);
/// assert_eq!(likeness(&[1.0, 1.0, 1.0]), 0.0);
/// ```
pub fn likeness(deviations: &[f64]) -> f64 {
    let n = deviations.len() as f64;
    let mean = deviations.iter().sum::<f64>() / n;
    let squares: f64 = deviations.iter().map(|d| (d - mean) * (d - mean)).sum();
    let neighbours: f64 = deviations.iter().zip(deviations.iter().skip(1)).map(|(d, e)| (d - mean) * (e - mean)).sum();
    if deviations.len() < 3 || !(squares > 0.0 && squares.is_finite()) {
        return 0.0;
    }
    let r = neighbours / squares;
    (r + (1.0 + 4.0 * r) / n).clamp(0.0, MOST_ALIKE)
}

/// Returns the slope of points with limits and a p that allow for how much each resembles the one before.
///
/// The deviations from the line give r ([`likeness`]). n points count like n (1 - r)/(1 + r) independent ones (G. V. Bayley,
/// J. M. Hammersley 1946, "The effective number of independent observations in an autocorrelated time series", Supplement
/// to the Journal of the Royal Statistical Society 8:184-197; for Kendall's test S. Yue, C. Y. Wang 2004, Water Resources
/// Management 18:201-218; both from memory): the standard deviation of Kendall's S grows by the square root of (1 + r)/(1 - r),
/// and with it the distance between the limits' ranks. The slope itself stays. Without likeness, `slope` comes back as it is.
///
/// `slope` is that of `theil_sen(points, confidence)`. None when so few points leave no limits that are wide enough.
pub fn widened(points: &[(f64, f64)], slope: &Slope, confidence: f64) -> Option<Slope> {
    let largest = points.iter().map(|(_, y)| y.abs()).fold(0.0, f64::max);
    let deviation = |(x, y): &(f64, f64)| {
        let d = y - slope.at.1 - slope.slope * (x - slope.at.0);
        if d.abs() <= NOISE * largest { 0.0 } else { d }
    };
    let r = likeness(&points.iter().map(deviation).collect::<Vec<f64>>());
    if r == 0.0 {
        return Some(*slope);
    }
    let factor = ((1.0 + r) / (1.0 - r)).sqrt();
    let wide = normal::quantile((1.0 + confidence) / 2.0)? * factor;
    let wider = theil_sen(points, 1.0 - 2.0 * normal::lower_tail(-wide))?;
    let kendall_p = match normal::quantile(slope.kendall_p / 2.0) {
        Some(z) => 2.0 * normal::lower_tail(z / factor),
        // Smaller than every number; there is no distance to be divided.
        None => slope.kendall_p,
    };
    Some(Slope { lower: wider.lower, upper: wider.upper, kendall_p: kendall_p.min(1.0), ..*slope })
}

#[cfg(test)]
mod tests;
