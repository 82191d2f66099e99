//! The county's program: `sponson-county`.

use std::process::ExitCode;

use sponson_client::{Surroundings, tracing_setup};
use sponson_server::run;

fn main() -> ExitCode {
    tracing_setup::to_stderr();
    let mut surroundings = Surroundings::of_this_process();
    let exit = run(std::env::args_os(), &mut surroundings);
    exit.into()
}
