//! Who looked at what, and when: the fields of a check shared out to the events that it becomes.

use std::collections::{BTreeMap, BTreeSet};

use sponson_proto::event::v1::Observed;
use sponson_proto::service::v1::{CheckUnderWay, FieldEntered};
use sponson_readiness::moment::Moment;

use crate::under_way::fields::{CountField, FieldName, FuelField, ReadingField, SealField};
use crate::under_way::form::{Fields, Group, group};

/// What lay for so long before it was recorded, or before the same member went on, is told by when
/// it was looked at: nobody walks round one craft for longer. Common practice, no source.
const IN_ONE_GO_MS: i64 = 60 * 60 * 1_000;

/// Shares of one check: with more, each member's are told as one.
const SHARES_MAX: usize = 8;

/// What one member looked at in one go.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Share {
    pub(super) member: String,
    pub(super) fields: Fields,
    /// When, where that is not just now.
    pub(super) looked_at: Option<Observed>,
    /// The last event: it has the extent of the check.
    pub(super) is_last: bool,
}

impl Share {
    /// One without fields.
    pub(super) fn of(member: &str) -> Self {
        Self {
            member: member.to_owned(),
            ..Self::default()
        }
    }
}

/// A group of fields with who entered it and when.
struct Looked<'a> {
    member: &'a str,
    unix_ms: i64,
    fields: Vec<(FieldName, String)>,
}

/// Shares a check out; the last share is that of whoever records it.
pub(super) fn shares(check: &CheckUnderWay, recorder: &str, now: Moment) -> Vec<Share> {
    let (around, groups) = groups(check);
    let mut goes: Vec<Vec<Looked<'_>>> = Vec::new();
    if check.from_paper {
        let mut all = groups;
        for looked in &mut all {
            looked.member = recorder;
            looked.unix_ms = now.0;
        }
        goes.push(all);
    } else {
        goes.extend(in_goes(groups, IN_ONE_GO_MS));
        if goes.len() > SHARES_MAX {
            let all = goes.into_iter().flatten().collect();
            goes = in_goes(all, i64::MAX);
        }
    }
    let mut shares: Vec<Share> = goes
        .into_iter()
        .map(|go| share(go, &around, recorder, now))
        .collect();
    // The last of them stand last, and of the recorder there is one.
    shares.sort_by_key(|share| share.is_last);
    if !shares.last().is_some_and(|share| share.is_last) {
        shares.push(Share {
            fields: around.clone(),
            is_last: true,
            ..Share::of(recorder)
        });
    }
    shares
}

fn share(go: Vec<Looked<'_>>, around: &Fields, recorder: &str, now: Moment) -> Share {
    let member = go.first().map_or("", |looked| looked.member).to_owned();
    let times = || go.iter().map(|looked| looked.unix_ms.min(now.0));
    let (from, to) = (
        times().min().unwrap_or(now.0),
        times().max().unwrap_or(now.0),
    );
    let is_late = now.0.saturating_sub(from) > IN_ONE_GO_MS;
    let is_last = member == recorder && now.0.saturating_sub(to) <= IN_ONE_GO_MS;
    let own = go.into_iter().flat_map(|looked| looked.fields);
    let mut fields = around.clone();
    fields.extend(own);
    Share {
        member,
        fields,
        looked_at: is_late.then_some(Observed {
            from_unix_ms: from,
            to_unix_ms: to,
        }),
        is_last,
    }
}

/// Groups with what holds around all of them: the air, for how long, which gauge, where.
fn groups(check: &CheckUnderWay) -> (Fields, Vec<Looked<'_>>) {
    let mut around = Fields::new();
    let mut groups: BTreeMap<Group, Vec<(FieldName, &FieldEntered)>> = BTreeMap::new();
    for entered in &check.fields {
        let Ok(name) = entered.name.parse::<FieldName>() else {
            continue;
        };
        if is_around(&name) {
            around.insert(name, entered.value.clone());
        } else {
            groups
                .entry(group(&name))
                .or_default()
                .push((name, entered));
        }
    }
    let looked = groups.into_values().filter_map(|mut fields| {
        fields.sort_by_key(|(name, _)| !is_main(name));
        let (_, first) = fields.first()?;
        let (member, unix_ms) = (first.member.as_str(), first.unix_ms);
        let fields = fields.into_iter();
        let fields = fields.map(|(name, entered)| (name, entered.value.clone()));
        Some(Looked {
            member,
            unix_ms,
            fields: fields.collect(),
        })
    });
    (around, looked.collect())
}

/// Shares out by member, and by when she stopped for longer than `in_one_go_ms`.
fn in_goes(mut groups: Vec<Looked<'_>>, in_one_go_ms: i64) -> Vec<Vec<Looked<'_>>> {
    groups.sort_by_key(|looked| looked.unix_ms);
    let members: BTreeSet<String> = groups.iter().map(|one| one.member.to_owned()).collect();
    let mut goes: Vec<Vec<Looked<'_>>> = Vec::new();
    for member in members {
        let mut before: Option<i64> = None;
        let (own, rest) = groups
            .into_iter()
            .partition::<Vec<_>, _>(|one| one.member == member);
        groups = rest;
        for looked in own {
            let at = looked.unix_ms;
            let went_on = before.is_some_and(|before| at.saturating_sub(before) <= in_one_go_ms);
            match goes.last_mut() {
                Some(go) if went_on => go.push(looked),
                _ => goes.push(vec![looked]),
            }
            before = Some(at);
        }
    }
    goes.sort_by_key(|go| go.iter().map(|looked| looked.unix_ms).max());
    goes
}

/// Whoever entered this entered its group.
const fn is_main(name: &FieldName) -> bool {
    match name {
        FieldName::Reading(_, field) => matches!(field, ReadingField::Left | ReadingField::Found),
        FieldName::Count(_, _, field) => matches!(field, CountField::Count),
        FieldName::Seal(_, field) => matches!(field, SealField::Number),
        FieldName::Fuel(_, field) => matches!(field, FuelField::Amount),
        FieldName::AnswerNote(_) | FieldName::FaultPicture(..) => false,
        FieldName::Air
        | FieldName::Stood
        | FieldName::Gauge
        | FieldName::Ambient
        | FieldName::Elevation
        | FieldName::Stowage
        | FieldName::Observed
        | FieldName::ObservedBy
        | FieldName::Note
        | FieldName::Answer(_)
        | FieldName::Meter(_)
        | FieldName::Cylinder(_)
        | FieldName::Aboard(_)
        | FieldName::Fault(..)
        | FieldName::Picture(_)
        | FieldName::Affirmed(_) => true,
    }
}

const fn is_around(name: &FieldName) -> bool {
    matches!(
        name,
        FieldName::Air
            | FieldName::Stood
            | FieldName::Gauge
            | FieldName::Ambient
            | FieldName::Elevation
            | FieldName::Observed
            | FieldName::ObservedBy
    )
}
