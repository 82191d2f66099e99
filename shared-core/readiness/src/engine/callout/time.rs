//! Time to water: crew raised, made ready, drive, launch, in whole minutes.
//!
//! A craft is made ready once its crew is raised, unless the county says that others do it
//! meanwhile. What is not known is never taken for nothing: there is then no sum, only what is known
//! of it. Where no crew is there the sum would be of no worth, and there is none.

use super::Given;
use crate::answer::{Access, CraftAnswer, CrewKnown, LaunchBy, LaunchPlace, TimeToWater};
use crate::engine::craft::Work;
use crate::ids::SubjectId;
use crate::standard::{AtBank, LaunchRule, MadeReady, Standard};

/// How a craft goes in at the place: its boat standard decides, else the county by its class.
pub(super) fn launch_by(given: &Given<'_>, craft: &CraftAnswer) -> LaunchBy {
    let access = given.callout.launch.as_ref().and_then(access_of);
    match (access, at_bank(given, craft)) {
        (Some(Access::Ramp), _) => LaunchBy::Ramp,
        (Some(Access::Bank), AtBank::GoesIn) => LaunchBy::Bank,
        (Some(Access::Bank), AtBank::NeedsRamp) => LaunchBy::NoRamp,
        (None, AtBank::GoesIn) => LaunchBy::Either,
        (None, AtBank::NeedsRamp) => LaunchBy::RampIfThere,
    }
}

const fn access_of(launch: &LaunchPlace) -> Option<Access> {
    launch.access
}

pub(super) fn standard<'a>(given: &Given<'a>, craft: &CraftAnswer) -> Option<&'a Standard> {
    given.county.standards.get(&craft.model)
}

fn rule<'a>(given: &Given<'a>, craft: &CraftAnswer) -> Option<&'a LaunchRule> {
    standard(given, craft).and_then(|standard| standard.launch.as_ref())
}

fn at_bank(given: &Given<'_>, craft: &CraftAnswer) -> AtBank {
    let said = rule(given, craft).and_then(|rule| rule.bank);
    said.unwrap_or_else(|| {
        let class = standard(given, craft).map(|standard| standard.class);
        let carried = &given.county.policy.callout.bank;
        match class.is_some_and(|class| carried.contains(&class)) {
            true => AtBank::GoesIn,
            false => AtBank::NeedsRamp,
        }
    })
}

/// Time to water from a station.
pub(super) fn from(
    given: &Given<'_>,
    craft: &CraftAnswer,
    (station, by, known): (SubjectId, LaunchBy, CrewKnown),
    work: &Work<'_>,
) -> TimeToWater {
    let policy = &given.county.policy.callout;
    let named = given.county.stations.get(&station);
    let own = named.and_then(|station| policy.raise_crew_of(&station.name));
    let crew = own.unwrap_or(policy.raise_crew);
    let at_once = match policy.made_ready {
        MadeReady::Meanwhile => true,
        MadeReady::AfterCrew => false,
    };
    let drive = given.way_from(station).minutes();
    let launch = launch(given, craft, by);
    let first = |ready: u32| match at_once {
        true => crew.max(ready),
        false => crew.saturating_add(ready),
    };
    let sum = |ready: u32, drive: u32, launch: u32| {
        first(ready).saturating_add(drive).saturating_add(launch)
    };
    let ready = work.minutes();
    let parts = ready.zip(drive).zip(launch);
    let total = parts.map(|((ready, drive), launch)| sum(ready, drive, launch));
    let total = total.filter(|_| match known {
        CrewKnown::AsAsked | CrewKnown::Enough { .. } | CrewKnown::NotKnown => true,
        CrewKnown::Short { .. } => false,
    });
    let at = |minutes: u32| given.asked.as_of.plus_ms(i64::from(minutes) * 60_000);
    TimeToWater {
        crew,
        ready,
        at_once,
        drive,
        launch,
        total,
        at_least: sum(work.at_least(), drive.unwrap_or(0), launch.unwrap_or(0)),
        at: total.map(at),
    }
}

/// Minutes to go in; none where it cannot. Where ramp or bank is not known, the longer.
fn launch(given: &Given<'_>, craft: &CraftAnswer, by: LaunchBy) -> Option<u32> {
    let policy = &given.county.policy.callout;
    let rule = rule(given, craft);
    let own = |minutes: fn(&LaunchRule) -> Option<u32>| rule.and_then(minutes);
    let ramp = own(|rule| rule.ramp_minutes).unwrap_or(policy.launch_ramp);
    let bank = own(|rule| rule.bank_minutes).unwrap_or(policy.launch_bank);
    match by {
        LaunchBy::Ramp | LaunchBy::RampIfThere => Some(ramp),
        LaunchBy::Bank => Some(bank),
        LaunchBy::Either => Some(ramp.max(bank)),
        LaunchBy::NoRamp => None,
    }
}
