//! How far a long computation has come, on a terminal only.

use std::io::{self, IsTerminal, Write};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc;
use std::time::{Duration, Instant};

use super::screen::Screen;
use crate::job::Job;

/// A bar on standard error, from the first second on; silent where standard
/// error is no terminal. Steps may come from any thread.
pub(super) struct Progress {
    total: usize,
    done: AtomicUsize,
    what: &'static str,
    wanted: bool,
    started: Instant,
    /// When the bar was last drawn.
    drawn: Mutex<Option<Instant>>,
}

/// What takes less than this gets no bar.
const PATIENCE: Duration = Duration::from_secs(1);
/// Time between two drawings.
const PAUSE: Duration = Duration::from_millis(100);
/// Columns of the bar itself.
const COLUMNS: usize = 40;

impl Progress {
    /// A bar for `total` steps, called `what` in the plural.
    pub(super) fn new(total: usize, what: &'static str) -> Progress {
        let wanted = io::stderr().is_terminal();
        let drawn = Mutex::new(None);
        Progress { total, done: AtomicUsize::new(0), what, wanted, started: Instant::now(), drawn }
    }

    /// One step is done.
    pub(super) fn step(&self) {
        let done = self.done.fetch_add(1, Ordering::Relaxed) + 1;
        if !self.wanted || self.started.elapsed() < PATIENCE {
            return;
        }
        // Another thread that is drawing shows as much as this one would.
        let Ok(mut drawn) = self.drawn.try_lock() else { return };
        if drawn.is_none_or(|at| at.elapsed() >= PAUSE) {
            *drawn = Some(Instant::now());
            write(&format!("\r{}", line(done, self.total, self.what)));
        }
    }

    /// Takes the bar away, so that results stand alone.
    pub(super) fn clear(&self) {
        if self.drawn.lock().is_ok_and(|drawn| drawn.is_some()) {
            let width = line(self.total, self.total, self.what).len();
            write(&format!("\r{}\r", " ".repeat(width)));
        }
    }
}

/// From so many rounds on an answer may take longer than anyone expects.
const MANY_ROUNDS: usize = 24;

/// Says before long work that it is long, on a terminal or not.
pub(super) fn announce(job: &Job, screen: &Screen) {
    if let Some(line) = long_work(job.rounds.len(), job.stations.len()) {
        screen.note(&line);
    }
}

fn long_work(rounds: usize, stations: usize) -> Option<String> {
    (rounds >= MANY_ROUNDS).then(|| {
        format!(
            "{rounds} rounds at {stations} stations: this takes longer than usual, up to some minutes. Nothing is \
             lost if you stop it with Ctrl-C."
        )
    })
}

/// Does the work; from the first second on a line on a terminal says what is being
/// done and for how long already.
pub(super) fn while_working<T>(what: &str, work: impl FnOnce() -> T) -> T {
    if !io::stderr().is_terminal() {
        return work();
    }
    std::thread::scope(|scope| {
        let (done, waits) = mpsc::channel::<()>();
        scope.spawn(move || tell(what, &waits));
        let result = work();
        drop(done);
        result
    })
}

/// Tells every second until the other end is gone.
fn tell(what: &str, waits: &mpsc::Receiver<()>) {
    let started = Instant::now();
    let mut width = 0;
    while waits.recv_timeout(PATIENCE) == Err(mpsc::RecvTimeoutError::Timeout) {
        let text = format!("{what}, {} s", started.elapsed().as_secs());
        width = text.len();
        write(&format!("\r{text}"));
    }
    if width > 0 {
        write(&format!("\r{}\r", " ".repeat(width)));
    }
}

/// Nobody is left to tell when standard error is closed.
fn write(text: &str) {
    let mut stderr = io::stderr().lock();
    let _ = stderr.write_all(text.as_bytes()).and_then(|()| stderr.flush());
}

/// The bar as it is drawn, as wide at any step.
pub fn line(done: usize, total: usize, what: &str) -> String {
    let full = COLUMNS * done / total.max(1);
    format!("[{}{}] {done} of {total} {what}", "=".repeat(full), " ".repeat(COLUMNS - full))
}
