//! The threads of a program: all that it may have to wait for are started before its command begins.
//!
//! A system at its limit of processes starts no thread (`EAGAIN` of `clone(2)`). Met in the middle of
//! a command, the runtime panics, or leaves the work in its queue for a thread that never comes. So
//! threads for work that blocks are started first, and stay: when no other can be had, work waits for
//! one of them.

use std::io;
use std::panic::AssertUnwindSafe;
use std::sync::mpsc;
use std::time::Duration;

use tokio::runtime::{Builder, Runtime};

use crate::error::CommandError;

/// Threads for work that blocks, from the beginning on. At most three pieces of it wait for each
/// other: a file that is read for a carry-in, the store that takes it in, and a question to a person.
/// One more for the name of a host.
const READY: usize = 4;

/// How long they may take to begin: a thread needs milliseconds, on a busy machine a few hundred.
const BEGIN_WITHIN: Duration = Duration::from_secs(10);

/// Threads that are tried first: those two of the runtime, those for work that blocks, and as many as
/// the store has of its own at once. Who gets them all will get them again a moment later.
const TRIED: usize = 2 + READY + 6;

/// Idle ones stay for as long as any program runs: ten years.
const STAY: Duration = Duration::from_secs(10 * 365 * 24 * 60 * 60);

/// A runtime for one command: two threads, one for the command and one for the service, and those
/// for work that blocks.
///
/// # Errors
/// When the system gives no threads.
pub fn runtime() -> Result<Runtime, CommandError> {
    try_threads(TRIED).map_err(|error| CommandError::NoThread(error.to_string()))?;
    // Where a thread is refused after all, the runtime may wait for ever for those that it began.
    let (tell, told) = mpsc::channel();
    let making = move || {
        // Whoever waited may have given up.
        let _ = tell.send(quietly(make).flatten());
    };
    let thread = std::thread::Builder::new().spawn(making);
    thread.map_err(|error| CommandError::NoThread(error.to_string()))?;
    told.recv_timeout(BEGIN_WITHIN).unwrap_or_else(|_| {
        let said = format!(
            "the first did not begin within {} s",
            BEGIN_WITHIN.as_secs()
        );
        Err(CommandError::NoThread(said))
    })
}

/// Begins so many threads at once, and ends them.
fn try_threads(count: usize) -> io::Result<()> {
    let mut held = Vec::new();
    for _ in 0..count {
        let (hold, until) = mpsc::channel::<()>();
        held.push(hold);
        let waits = move || {
            let _ = until.recv();
        };
        std::thread::Builder::new().spawn(waits)?;
    }
    Ok(())
}

fn make() -> Result<Runtime, CommandError> {
    let mut builder = Builder::new_multi_thread();
    builder.worker_threads(2).thread_keep_alive(STAY);
    let runtime = builder.enable_all().build();
    let runtime = runtime.map_err(|error| CommandError::NoThread(error.to_string()))?;
    let begun = quietly(|| begin(&runtime, READY)).flatten();
    if let Err(refused) = begun {
        // What is in its queue is waited for by nobody.
        runtime.shutdown_background();
        return Err(refused);
    }
    Ok(runtime)
}

/// Begins so many threads for work that blocks, all at once.
fn begin(runtime: &Runtime, count: usize) -> Result<(), CommandError> {
    let (tell, told) = mpsc::channel();
    let mut held = Vec::new();
    for _ in 0..count {
        let tell = tell.clone();
        let (hold, until) = mpsc::channel::<()>();
        held.push(hold);
        runtime.spawn_blocking(move || {
            // Whoever began it may have given up.
            let _ = tell.send(());
            let _ = until.recv();
        });
    }
    for begun in 0..count {
        if told.recv_timeout(BEGIN_WITHIN).is_err() {
            let said = format!(
                "{begun} of {count} began within {} s",
                BEGIN_WITHIN.as_secs()
            );
            return Err(CommandError::NoThread(said));
        }
    }
    Ok(())
}

/// Does what panics where no thread can be had: its words are the error, and no trace is printed.
fn quietly<T>(does: impl FnOnce() -> T) -> Result<T, CommandError> {
    let hook = std::panic::take_hook();
    std::panic::set_hook(Box::new(|_| {}));
    let done = std::panic::catch_unwind(AssertUnwindSafe(does));
    std::panic::set_hook(hook);
    done.map_err(|panic| {
        let text = panic.downcast_ref::<String>().map(String::as_str);
        let text = text.or_else(|| panic.downcast_ref::<&str>().copied());
        CommandError::NoThread(text.unwrap_or("it panicked").to_owned())
    })
}
