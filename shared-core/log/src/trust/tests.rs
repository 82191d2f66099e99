//! Each row of the table of roles, and each reason for which an event is unconfirmed.

use sponson_proto::event::v1::{KeyAdmitted, KeyEndReason, KeyEnded, RoleGiven};

use super::*;
use crate::chains::tests::Writer;
use crate::event::SignedEvent;
use crate::ids::CountyId;

struct County {
    working: Writer,
    root: Writer,
    registry: Registry,
    chains: Chains,
}

impl County {
    fn new() -> Self {
        let root = Writer::root(1);
        let working = Writer::new(2, root.county);
        let mut county = Self {
            registry: Registry::new(root.county),
            chains: Chains::default(),
            root,
            working,
        };
        let payload = admitted(&county.working.key(), &[Role::County, Role::Lead]);
        let event = county.root.write(Kind::KeyAdmitted, &payload);
        county.apply(&event);
        county
    }

    fn apply(&mut self, event: &SignedEvent) {
        self.chains.add(event);
        self.registry.apply(event, &self.chains);
    }

    fn admit(&mut self, seed: u8, roles: &[Role]) -> Writer {
        let writer = Writer::new(seed, self.root.county);
        let event = self
            .working
            .write(Kind::KeyAdmitted, &admitted(&writer.key(), roles));
        self.apply(&event);
        writer
    }

    fn end(&mut self, key: &Key, last_good: Option<&SignedEvent>) {
        let event = self.working.write(
            Kind::KeyEnded,
            &KeyEnded {
                key: key.to_bytes(),
                last_good: last_good
                    .map(|event| event.id().to_bytes())
                    .unwrap_or_default(),
                last_good_seq: last_good.map_or(0, |event| event.header().seq),
                reason: KeyEndReason::Lost as i32,
            },
        );
        self.apply(&event);
    }

    fn trust(&self, event: &SignedEvent) -> Trust {
        trust(&self.registry, &self.chains, event)
    }

    fn check(&self, events: &[&SignedEvent], want: &[Trust]) {
        let found: Vec<Trust> = events.iter().map(|event| self.trust(event)).collect();
        assert_eq!(found, want);
    }
}

fn admitted(key: &Key, roles: &[Role]) -> KeyAdmitted {
    KeyAdmitted {
        key: key.to_bytes(),
        roles: roles.iter().map(|role| *role as i32).collect(),
        ..KeyAdmitted::default()
    }
}

const PARTED: Trust = Trust::Unconfirmed(Unconfirmed::Parted);
const AFTER_END: Trust = Trust::Unconfirmed(Unconfirmed::AfterEnd);
const NO_ROLE: Trust = Trust::Unconfirmed(Unconfirmed::NoRole);
const NOT_ADMITTED: Trust = Trust::Unconfirmed(Unconfirmed::NotAdmitted);

#[test]
fn every_kind_is_signed_by_the_roles_of_its_row() {
    use Role::{Coordinator, County as CountyRole, Crew, Lead, Maintenance, Reader};
    let crew: &[Role] = &[Crew, Maintenance, Coordinator, Lead];
    let maintenance: &[Role] = &[Maintenance, Lead];
    let rows: [(&[Role], &[Kind]); 6] = [
        (
            crew,
            &[
                Kind::Check,
                Kind::AirChanged,
                Kind::Use,
                Kind::Fault,
                Kind::OutOfService,
                Kind::Note,
                Kind::Attachment,
                Kind::StockCounted,
                Kind::Placed,
                Kind::Fitted,
                Kind::TakenOff,
                Kind::CrewsAvailable,
                Kind::Correction,
            ],
        ),
        (
            maintenance,
            &[
                Kind::Repair,
                Kind::SignOff,
                Kind::InspectionDone,
                Kind::GearRegistered,
                Kind::BagRegistered,
                Kind::ShelfRegistered,
                Kind::NumberChanged,
            ],
        ),
        (&[Maintenance, Lead], &[Kind::Returned]),
        (&[Coordinator, Lead], &[Kind::Assigned, Kind::Released]),
        (
            &[Lead],
            &[
                Kind::CraftRegistered,
                Kind::Condemned,
                Kind::HeldCountyWide,
                Kind::HoldLifted,
                Kind::SameAs,
                Kind::WaiverGranted,
                Kind::WaiverWithdrawn,
                Kind::MemberLevel,
                Kind::Dismissed,
                Kind::Redacted,
                Kind::LeadDecision,
            ],
        ),
        (
            &[CountyRole],
            &[
                Kind::KeyAdmitted,
                Kind::KeyEnded,
                Kind::StationRegistered,
                Kind::RoleGiven,
                Kind::Policy,
                Kind::BoatStandard,
                Kind::LogBegun,
            ],
        ),
    ];
    let mut county = County::new();
    for (seed, role) in (10..).zip([Crew, Maintenance, Coordinator, Lead, Reader]) {
        let mut writer = county.admit(seed, &[role]);
        for (kind, may) in rows
            .iter()
            .flat_map(|(may, kinds)| kinds.iter().map(move |k| (k, may)))
        {
            let event = writer.write_about(*kind as i32, Vec::new(), Vec::new());
            county.apply(&event);
            let want = if may.contains(&role) {
                Trust::Trusted
            } else {
                NO_ROLE
            };
            assert_eq!(county.trust(&event), want, "{role:?} {kind:?}");
        }
        let unknown = writer.write_about(9_999, Vec::new(), Vec::new());
        county.apply(&unknown);
        let want = if role == Reader {
            NO_ROLE
        } else {
            Trust::Trusted
        };
        assert_eq!(county.trust(&unknown), want, "{role:?}");
        assert_eq!(may_sign_off(&[role]), maintenance.contains(&role));
    }
    let every: usize = rows.iter().map(|(_, kinds)| kinds.len()).sum();
    let known = (1..1_000)
        .filter(|number| Kind::try_from(*number).is_ok())
        .count();
    assert_eq!(every, known, "a kind stands in no row");
}

#[test]
fn working_key_writes_the_registry_and_what_its_other_roles_allow() {
    let mut county = County::new();
    let policy = county
        .working
        .write_about(Kind::Policy as i32, Vec::new(), Vec::new());
    let waiver = county
        .working
        .write_about(Kind::WaiverGranted as i32, Vec::new(), Vec::new());
    let admits = county
        .root
        .write_about(Kind::KeyAdmitted as i32, Vec::new(), Vec::new());
    let check = county.root.note(1);
    for event in [&policy, &waiver, &admits, &check] {
        county.apply(event);
    }
    let want = [Trust::Trusted, Trust::Trusted, Trust::Trusted, NO_ROLE];
    county.check(&[&policy, &waiver, &admits, &check], &want);
}

#[test]
fn stranger_counts_from_its_admission_and_from_its_first_event() {
    let mut county = County::new();
    let mut writer = Writer::new(10, county.root.county);
    let note = writer.note(1);
    county.apply(&note);
    county.check(&[&note], &[NOT_ADMITTED]);
    county.admit(10, &[Role::Crew]);
    county.check(&[&note], &[Trust::Trusted]);
}

#[test]
fn event_of_another_county_is_not_trusted() {
    let mut county = County::new();
    county.admit(10, &[Role::Crew]);
    let event = Writer::new(10, CountyId::from_bytes([9; 16])).note(1);
    county.check(&[&event], &[NOT_ADMITTED]);
}

#[test]
fn role_counts_from_its_seq() {
    let mut county = County::new();
    let mut writer = county.admit(10, &[Role::Crew]);
    let mut sign_off = || writer.write_about(Kind::SignOff as i32, Vec::new(), Vec::new());
    let (one, two, three) = (sign_off(), sign_off(), sign_off());
    for event in [&one, &two, &three] {
        county.apply(event);
    }
    let given = county.working.write(
        Kind::RoleGiven,
        &RoleGiven {
            key: writer.key().to_bytes(),
            roles: vec![Role::Maintenance as i32],
            from_seq: 3,
            after: two.id().to_bytes(),
        },
    );
    county.apply(&given);
    county.check(&[&one, &two, &three], &[NO_ROLE, NO_ROLE, Trust::Trusted]);
}

#[test]
fn parted_chain_counts_up_to_the_parting() {
    let mut county = County::new();
    let mut left = county.admit(10, &[Role::Crew]);
    let one = left.note(1);
    let mut right = left.clone();
    let (l2, l3, r2) = (left.note(2), left.note(3), right.note(4));
    for event in [&one, &l2, &l3] {
        county.apply(event);
    }
    county.check(&[&one, &l2, &l3], &[Trust::Trusted; 3]);
    county.apply(&r2);
    county.check(
        &[&one, &l2, &l3, &r2],
        &[Trust::Trusted, PARTED, PARTED, PARTED],
    );
    // The lead names the good branch.
    county.end(&left.key(), Some(&l2));
    county.check(
        &[&one, &l2, &l3, &r2],
        &[Trust::Trusted, Trust::Trusted, AFTER_END, AFTER_END],
    );
}

#[test]
fn ended_key_counts_up_to_its_last_good_event() {
    let mut county = County::new();
    let mut writer = county.admit(10, &[Role::Crew]);
    let (one, two, three) = (writer.note(1), writer.note(2), writer.note(3));
    for event in [&one, &two, &three] {
        county.apply(event);
    }
    county.end(&writer.key(), Some(&two));
    county.check(
        &[&one, &two, &three],
        &[Trust::Trusted, Trust::Trusted, AFTER_END],
    );
    county.end(&writer.key(), None);
    county.check(&[&one, &two, &three], &[AFTER_END; 3]);
}

#[test]
fn chain_on_another_branch_than_the_last_good_event_is_not_trusted() {
    let mut county = County::new();
    let mut writer = county.admit(10, &[Role::Crew]);
    let one = writer.note(1);
    let mut other = writer.clone();
    let (two, elsewhere) = (writer.note(2), other.note(3));
    county.apply(&one);
    county.end(&writer.key(), Some(&elsewhere));
    county.check(&[&one], &[Trust::Trusted]);
    county.apply(&two);
    county.check(&[&one, &two], &[AFTER_END; 2]);
    // Once the good branch is held, it is known which events are on it.
    county.apply(&elsewhere);
    county.check(
        &[&one, &two, &elsewhere],
        &[Trust::Trusted, AFTER_END, Trust::Trusted],
    );
}
