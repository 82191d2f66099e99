//! The station's program: `sponson`.

use std::process::ExitCode;

use sponson_client::{Surroundings, run, tracing_setup};

fn main() -> ExitCode {
    tracing_setup::to_stderr();
    let mut surroundings = Surroundings::of_this_process();
    let exit = run(std::env::args_os(), &mut surroundings);
    exit.into()
}
