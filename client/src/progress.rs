//! Progress of long commands, on stderr and only when somebody sits at the terminal.

use std::time::Duration;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use sponson_show::terminal::Attended;

/// Progress of one command. Shows nothing when nobody watches.
#[derive(Debug)]
pub(crate) struct Progress(Option<ProgressBar>);

impl Progress {
    /// Begins.
    pub(crate) fn start(attended: Attended, what: &'static str) -> Self {
        match attended {
            Attended::No => Self(None),
            Attended::Yes => {
                let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr());
                let style = ProgressStyle::with_template("{msg} {pos} of {len} {elapsed}")
                    .unwrap_or_else(|_| ProgressStyle::default_bar());
                bar.set_style(style);
                bar.set_message(what);
                bar.enable_steady_tick(Duration::from_secs(1));
                Self(Some(bar))
            }
        }
    }

    /// So much is done; `total` is 0 when it is not known.
    pub(crate) fn at(&mut self, done: u64, total: u64) {
        if let Some(bar) = &self.0 {
            if total > 0 {
                bar.set_length(total);
            }
            bar.set_position(done);
        }
    }

    /// Ends, and takes the line away.
    pub(crate) fn end(self) {
        if let Some(bar) = self.0 {
            bar.finish_and_clear();
        }
    }
}
