//! How far an import is, on standard error: a bar on a terminal, plain lines elsewhere.

use crate::import::{Control, Observer, Progress};
use crate::register::{Accounts, Problem};
use indicatif::{ProgressBar, ProgressStyle};
use std::fmt::Write as _;
use std::io::{IsTerminal, Write as _};
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

/// A line is written at most so often.
const EVERY: Duration = Duration::from_secs(5);

/// Shows an import while it runs.
pub(super) struct Display {
    bar: Option<ProgressBar>,
    control: Control,
    last: Mutex<Last>,
}

#[derive(Default)]
struct Last {
    line: Duration,
    stopping: bool,
}

impl Display {
    /// A bar where standard error is a terminal.
    pub(super) fn new(control: &Control) -> Self {
        let bar = std::io::stderr().is_terminal().then(|| {
            let bar = ProgressBar::no_length();
            // The template is a constant, and one that cannot be read leaves the default.
            if let Ok(style) = ProgressStyle::with_template("{wide_bar} {msg}") {
                bar.set_style(style);
            }
            bar
        });
        Self {
            bar,
            control: control.clone(),
            last: Mutex::default(),
        }
    }

    /// Leaves the terminal as it was.
    pub(super) fn end(&self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }

    fn say(&self, line: &str) {
        match &self.bar {
            Some(bar) => bar.println(line),
            // Progress that nobody can see changes nothing.
            None => drop(writeln!(std::io::stderr(), "{line}")),
        }
    }
}

impl Observer for Display {
    fn progress(&self, progress: &Progress) {
        let mut last = self.last.lock().unwrap_or_else(PoisonError::into_inner);
        if self.control.is_stopped() && !last.stopping {
            last.stopping = true;
            self.say("stopping: what is in hand is finished; once more ends it at once");
        }
        let text = line(progress);
        if let Some(bar) = &self.bar {
            if let Some(total) = progress.total {
                bar.set_length(total);
            }
            bar.set_position(progress.accounts.seen);
            bar.set_message(text);
        } else if progress.elapsed.saturating_sub(last.line) >= EVERY {
            last.line = progress.elapsed;
            self.say(&text);
        }
    }

    fn problem(&self, problem: &Problem) {
        let word = if problem.failed { "failed" } else { "refused" };
        self.say(&format!("{word}: {}: {}", problem.source, problem.reason));
    }
}

/// `1432 of 38474: 1400 taken, 30 held, 2 refused, 0 failed; 1.9 a second, 5 h 20 min left`
fn line(progress: &Progress) -> String {
    let Accounts {
        seen,
        taken,
        held,
        refused,
        failed,
        ..
    } = progress.accounts;
    let mut text = match progress.total {
        Some(total) => format!("{seen} of {}", total.max(seen)),
        None => format!("{seen}"),
    };
    // Writing into a string cannot fail.
    let _ = write!(
        text,
        ": {taken} taken, {held} held, {refused} refused, {failed} failed"
    );
    let seconds = progress.elapsed.as_secs_f64();
    if seconds < 1.0 || seen == 0 {
        return text;
    }
    let rate = seen as f64 / seconds;
    let _ = write!(text, "; {rate:.1} a second");
    if let Some(left) = progress.total.and_then(|total| total.checked_sub(seen)) {
        let _ = write!(text, ", {} left", duration(left as f64 / rate));
    }
    text
}

/// A duration in the two units that matter.
pub(super) fn duration(seconds: f64) -> String {
    let whole = seconds.round() as u64;
    let (hours, minutes) = (whole / 3600, whole / 60 % 60);
    if hours > 0 {
        format!("{hours} h {minutes} min")
    } else if minutes > 0 {
        format!("{minutes} min {} s", whole % 60)
    } else {
        format!("{whole} s")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn progress_is_in_numbers() {
        let mut progress = Progress {
            accounts: Accounts {
                seen: 100,
                taken: 90,
                held: 7,
                refused: 2,
                failed: 1,
                left: 0,
            },
            total: Some(1000),
            elapsed: Duration::from_secs(50),
        };
        assert_eq!(
            line(&progress),
            "100 of 1000: 90 taken, 7 held, 2 refused, 1 failed; 2.0 a second, 7 min 30 s left"
        );
        progress.total = None;
        assert!(line(&progress).starts_with("100: 90 taken"));
    }
}
