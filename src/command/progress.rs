//! A progress line for work that takes longer than a second, on a terminal only.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::time::{Duration, Instant};

/// Work that is done in less time shows no line at all.
const PATIENCE: Duration = Duration::from_secs(1);

/// A progress line on standard error; it draws nothing when that is no terminal.
pub struct Progress {
    line: ProgressBar,
    begun: Instant,
    shown: bool,
}

/// Begins a line that says what is done, and of how many.
pub fn begin(what: &'static str, total: usize) -> Progress {
    let line = ProgressBar::with_draw_target(Some(total as u64), ProgressDrawTarget::hidden());
    if let Ok(style) = ProgressStyle::with_template("{msg} {pos} of {len}") {
        line.set_style(style);
    }
    line.set_message(what);
    Progress { line, begun: Instant::now(), shown: false }
}

impl Progress {
    /// Tells how many are done.
    pub fn done(&mut self, n: usize) {
        if !self.shown && self.begun.elapsed() > PATIENCE {
            self.line.set_draw_target(ProgressDrawTarget::stderr_with_hz(2));
            self.shown = true;
        }
        self.line.set_position(n as u64);
    }

    /// Takes the line away.
    pub fn end(self) {
        self.line.finish_and_clear();
    }
}
