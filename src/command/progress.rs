//! A progress line for work that takes longer than a moment, on a terminal only.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// Returns a progress line on standard error; it draws nothing when that is no terminal.
pub fn line(what: &'static str, total: usize) -> ProgressBar {
    // Twice a second is often enough for a person, and a logbook that is read in less than that shows nothing.
    let bar = ProgressBar::with_draw_target(Some(total as u64), ProgressDrawTarget::stderr_with_hz(2));
    if let Ok(style) = ProgressStyle::with_template("{msg} {pos} of {len}") {
        bar.set_style(style);
    }
    bar.set_message(what);
    bar
}
