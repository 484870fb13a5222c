//! How far a long computation is: on standard error, only on a terminal, only after a second.

use std::{
    io::{IsTerminal as _, Write as _},
    sync::{
        Mutex,
        atomic::{AtomicU64, Ordering},
    },
    time::{Duration, Instant},
};

/// Nothing is said before this.
const PATIENCE: Duration = Duration::from_secs(1);
/// Nothing is said more often than this.
const PAUSE: Duration = Duration::from_millis(200);

/// A count on its way to a total.
pub(crate) struct Progress {
    total: u64,
    done: AtomicU64,
    next: Mutex<Instant>,
    shown: bool,
    said: AtomicU64,
}

impl Progress {
    /// Begins.
    pub(crate) fn of(total: u64) -> Self {
        Self {
            total,
            done: AtomicU64::new(0),
            next: Mutex::new(Instant::now() + PATIENCE),
            shown: std::io::stderr().is_terminal(),
            said: AtomicU64::new(0),
        }
    }

    /// Counts.
    pub(crate) fn add(&self, count: u64) {
        let done = self.done.fetch_add(count, Ordering::Relaxed) + count;
        if !self.shown || self.total == 0 {
            return;
        }
        // Who finds the lock taken has nothing to say.
        let Ok(mut next) = self.next.try_lock() else { return };
        let now = Instant::now();
        if now < *next {
            return;
        }
        *next = now + PAUSE;
        self.said.store(1, Ordering::Relaxed);
        let _ = write!(std::io::stderr().lock(), "\r{done} of {} solved ", self.total);
    }

    /// Wipes what was said.
    pub(crate) fn end(&self) {
        if self.said.load(Ordering::Relaxed) > 0 {
            let _ = write!(std::io::stderr().lock(), "\r{:40}\r", "");
        }
    }
}
