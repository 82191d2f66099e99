//! A station's program on a device whose clock stands wrong: `station_off MILLISECONDS ARGS...` runs
//! `sponson ARGS...` with that much added to the wall clock. The clock is an argument of the
//! library, and no option of a program.

use std::process::ExitCode;

use anyhow::{Context as _, Result};
use sponson_client::{Surroundings, run};
use sponson_link::Clock;
use sponson_replica::Now;

fn main() -> Result<ExitCode> {
    let mut args = std::env::args_os().skip(1);
    let off = args.next().context("how far off is missing")?;
    let off_ms: i64 = off.to_string_lossy().parse()?;
    let system = Clock::system();
    let mut surroundings = Surroundings::of_this_process();
    surroundings.clock = Clock::new(move || {
        let now = system.now();
        Now {
            unix_ms: now.unix_ms.saturating_add(off_ms),
            ..now
        }
    });
    let program = std::iter::once("sponson".into());
    Ok(run(program.chain(args), &mut surroundings).into())
}
