//! Which settings of the county a call-out went by, with where they come from.

use std::collections::BTreeSet;

use super::Given;
use crate::answer::{Candidate, LaunchBy, Setting, SettingOf};
use crate::ids::SubjectId;
use crate::standard::MadeReady;

pub(super) fn used(given: &Given<'_>, candidates: &[Candidate]) -> Vec<Setting> {
    let policy = &given.county.policy.callout;
    let setting = |of, minutes| Setting {
        of,
        minutes,
        basis: policy.cited.basis,
        source: policy.cited.source.clone(),
    };
    let made_ready = match policy.made_ready {
        MadeReady::AfterCrew => SettingOf::OneAfterOther,
        MadeReady::Meanwhile => SettingOf::AtOnce,
    };
    let mut used = vec![setting(SettingOf::RaiseCrew, Some(policy.raise_crew))];
    let stations: BTreeSet<SubjectId> = candidates.iter().filter_map(|it| it.station).collect();
    let own = stations.into_iter().filter_map(|id| {
        let station = given.county.stations.get(&id)?;
        let minutes = policy.raise_crew_of(&station.name)?;
        Some(setting(SettingOf::RaiseCrewAt(id), Some(minutes)))
    });
    used.extend(own);
    used.push(setting(made_ready, None));
    let goes_in = |by: &[LaunchBy]| candidates.iter().any(|it| by.contains(&it.launch));
    let by_ramp = [LaunchBy::Ramp, LaunchBy::RampIfThere, LaunchBy::Either];
    if goes_in(&by_ramp) {
        used.push(setting(SettingOf::LaunchRamp, Some(policy.launch_ramp)));
    }
    if goes_in(&[LaunchBy::Bank, LaunchBy::Either]) {
        used.push(setting(SettingOf::LaunchBank, Some(policy.launch_bank)));
    }
    if goes_in(&[LaunchBy::Bank, LaunchBy::Either]) {
        used.push(setting(SettingOf::BankUnlessSaid, None));
    }
    if goes_in(&[LaunchBy::NoRamp, LaunchBy::RampIfThere]) {
        used.push(setting(SettingOf::RampUnlessSaid, None));
    }
    if given.wants_safety_boat() {
        used.push(Setting {
            of: SettingOf::SafetyBoat,
            minutes: None,
            basis: policy.safety_boat_cited.basis,
            source: policy.safety_boat_cited.source.clone(),
        });
    }
    used
}
