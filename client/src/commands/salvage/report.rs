//! What a salvage did, in plain words, and what to do next.

use std::path::Path;

use sponson_link::local::under_way::UNDER_WAY_FOLDER;
use sponson_replica::TailDoubt;
use sponson_show::clean;
use sponson_show::units::print;

use super::NewKey;
use super::filling::{Filled, Met};
use crate::catalogue::hex;
use crate::settings::Settings;

/// Lines of what could not be read: more help nobody at a station; the log of the program has all.
const WRONG_SAID_MAX: usize = 5;

/// The report.
pub(super) fn text(filled: &Filled, set_aside: &Path, settings: &Settings) -> String {
    let mut lines = vec![read(filled)];
    let wrong = filled.read.wrong.iter().take(WRONG_SAID_MAX);
    lines.extend(wrong.map(|line| format!("  not readable: {}", clean(line))));
    for (file, taken) in &filled.from_carry {
        let file = clean(&file.display().to_string());
        lines.push(match taken {
            Ok(new) => format!("from {file}: {}", events(*new)),
            Err(why) => format!("from {file}: nothing; {}", clean(why)),
        });
    }
    lines.push(met(&filled.met));
    if filled.left > 0 {
        lines.push(format!(
            "{} of the old store cannot be kept: what they refer to is lost; sync, or give a \
             carry file that holds it",
            events(filled.left)
        ));
    }
    lines.extend(filled.wrong.iter().map(|line| clean(line)));
    lines.push(format!("held now: {}", events(filled.held)));
    lines.push(format!(
        "the old store is set aside as {}",
        clean(&set_aside.display().to_string())
    ));
    lines.extend(under_way(set_aside));
    lines.extend(next(filled, settings));
    lines.join("\n")
}

/// Checks that were begun stand beside the store, and nothing was done to them.
fn under_way(set_aside: &Path) -> Option<String> {
    let folder = set_aside.parent()?.join(UNDER_WAY_FOLDER);
    let is_there = std::fs::read_dir(folder).ok()?.next().is_some();
    is_there.then(|| "checks under way are left as they were: sponson checks".to_owned())
}

fn read(filled: &Filled) -> String {
    let missing = filled.read.missing();
    let of = match (filled.read.kept, missing) {
        (None, _) => "; how many it held is not known".to_owned(),
        (Some(_), 0) => String::new(),
        (Some(_), missing) => format!("; {} could not be read in their places", events(missing)),
    };
    let read = events(filled.read.count());
    format!(
        "read of the old store: {read}{of}; {} kept again",
        filled.from_old
    )
}

fn met(met: &Met) -> String {
    match met {
        Met::NotAsked => "from the county: nothing, it was not asked".to_owned(),
        Met::NotYetAdmitted => {
            "from the county: nothing, since it does not know this device's new key yet".to_owned()
        }
        Met::Failed(why) => format!("from the county: not all; {}", clean(why)),
        Met::ToTheEnd(new) => format!("from the county: {}", events(*new)),
    }
}

fn next(filled: &Filled, settings: &Settings) -> Vec<String> {
    let why = match filled.key {
        NewKey::NotNeeded => {
            let mut lines = vec!["this device goes on as before".to_owned()];
            if !matches!(filled.met, Met::ToTheEnd(_)) {
                lines.push("next: sync".to_owned());
            }
            return lines;
        }
        NewKey::HadOne => "its key was made anew".to_owned(),
        NewKey::Made(why) => doubt(why),
    };
    let county = settings.county.as_deref().unwrap_or("HOST:PORT");
    let (key, head) = filled.old_key;
    // The county takes a newest entry only when it holds it.
    let last = head
        .filter(|_| matches!(filled.met, Met::ToTheEnd(_)))
        .map_or_else(String::new, |head| {
            format!(" --last {}", hex(head.as_bytes()))
        });
    vec![
        format!("what this device recorded last may be lost: {why}"),
        "it has a new key now, and what it records counts once the lead has let it in again:"
            .to_owned(),
        "  1. ask the lead for a new code for this station (sponson-county admit STATION)"
            .to_owned(),
        format!(
            "  2. sponson join CODE --county {} --replaces {}{last}",
            clean(county),
            hex(key.as_bytes())
        ),
        "  3. sponson sync".to_owned(),
        "  4. look again at the craft that were checked since the last sync".to_owned(),
    ]
}

fn doubt(why: TailDoubt) -> String {
    match why {
        TailDoubt::NotSaid => "the old store does not say what it held".to_owned(),
        TailDoubt::NotRead { entries } => {
            format!("{} at its end could not be read", entries_said(entries))
        }
        TailDoubt::NotKeptAgain { seq } => {
            format!("its entry {seq} stands on one that is lost")
        }
        TailDoubt::KnownElsewhere { read, known } => format!(
            "the old store gave its entries up to {read}, while others hold them up to {known}"
        ),
    }
}

fn events(count: u64) -> String {
    print::count(i64::try_from(count).unwrap_or(i64::MAX), "event")
}

fn entries_said(count: u64) -> String {
    match count {
        1 => "1 entry".to_owned(),
        count => format!("{count} entries"),
    }
}
