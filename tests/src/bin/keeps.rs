//! Records events in a device's store and says each one once it is durable: a real process for
//! tests of power cuts, full disks and kills. `keeps FOLDER COUNT [CARRY-FILE]`.

use std::io::Write as _;
use std::path::PathBuf;

use anyhow::{Context as _, Result};
use end_to_end::many;
use sponson_link::founding::STORE_FOLDER;
use sponson_link::{Clock, Identity};
use sponson_replica::Replica;

fn main() -> Result<()> {
    let mut args = std::env::args_os().skip(1);
    let folder = PathBuf::from(args.next().context("the folder is missing")?);
    let count = args.next().context("the count is missing")?;
    let count: u64 = count.to_string_lossy().parse()?;
    let identity = Identity::load(&folder)?;
    let mut replica = Replica::open(&folder.join(STORE_FOLDER), identity.log_key().clone())?;
    let mut out = std::io::stdout();
    let craft = many::craft(&mut replica);
    for number in 0..count {
        let kept = replica.append(many::nth(number, &craft), &Clock::system().now())?;
        // One write each: it is the acknowledgement.
        out.write_all(format!("kept {}\n", kept.id).as_bytes())?;
        out.flush()?;
    }
    if let Some(file) = args.next() {
        let file = std::fs::read(file)?;
        let now = Clock::system().now().unix_ms;
        let taken = replica.carry_in(&file, now)?;
        let ids: Vec<String> = taken.new.iter().map(|id| format!("kept {id}\n")).collect();
        out.write_all(ids.concat().as_bytes())?;
        out.flush()?;
    }
    Ok(())
}
