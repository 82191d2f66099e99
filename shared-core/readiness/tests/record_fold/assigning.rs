//! Coordinators send and release one craft, knowing of each other or not: what the merged record
//! holds, in either order of ids.

use sponson_readiness::event::{OutReason, Payload};
use sponson_readiness::ids::EventId;
use sponson_readiness::record::Record;

use crate::desk::{Desk, Role, county};

fn to(incident: &str) -> Payload {
    Payload::Assigned {
        incident: incident.to_owned(),
        mission: "flood".into(),
    }
}

const fn from(assignment: EventId) -> Payload {
    Payload::Released { assignment }
}

/// Two coordinators apart, whose ids come in either order, and the record once they met.
fn apart(story: impl Fn(&mut Desk, &mut Desk) -> Wanted) {
    for swapped in [false, true] {
        let (one, other, _) = county();
        let (mut near, mut far) = if swapped { (other, one) } else { (one, other) };
        let wanted = story(&mut near, &mut far);
        near.meets(&mut far);
        assert_eq!(near.record(), far.record(), "swapped {swapped}");
        wanted.check(&near.record());
    }
}

/// What the merged record holds.
#[derive(Default)]
struct Wanted {
    stand: Vec<EventId>,
    elsewhere: Vec<(EventId, EventId)>,
    out: Vec<(EventId, EventId)>,
    released: Vec<(EventId, EventId)>,
}

impl Wanted {
    fn check(self, record: &Record) {
        let sorted = |mut all: Vec<(EventId, EventId)>| {
            all.sort_unstable();
            all
        };
        let mut stand = self.stand;
        stand.sort_unstable();
        let found: Vec<EventId> = record.assigned.keys().copied().collect();
        assert_eq!(found, stand, "assignments that stand");
        let (mut elsewhere, mut out, mut released) = (Vec::new(), Vec::new(), Vec::new());
        for (id, sent) in &record.apart.sent {
            elsewhere.extend(sent.elsewhere.iter().map(|other| (*id, *other)));
            out.extend(sent.out.iter().map(|other| (*id, *other)));
            released.extend(sent.released.iter().map(|origin| (*id, origin.event)));
        }
        let both = self.elsewhere.iter().flat_map(|&(a, b)| [(a, b), (b, a)]);
        assert_eq!(sorted(elsewhere), sorted(both.collect()), "elsewhere");
        assert_eq!(sorted(out), sorted(self.out), "out");
        assert_eq!(sorted(released), sorted(self.released), "released");
    }
}

#[test]
fn to_two_incidents_apart() {
    apart(|near, far| {
        let (one, other) = (near.writes(to("Flood 12")), far.writes(to("Fire 7")));
        Wanted {
            stand: vec![one, other],
            elsewhere: vec![(one, other)],
            ..Wanted::default()
        }
    });
}

#[test]
fn to_one_incident_apart_is_no_dispute_however_it_was_typed() {
    apart(|near, far| {
        let (one, other) = (near.writes(to("Flood 12")), far.writes(to(" flood  12")));
        Wanted {
            stand: vec![one, other],
            ..Wanted::default()
        }
    });
}

#[test]
fn whoever_knew_of_the_first_takes_the_craft_from_there() {
    apart(|near, far| {
        near.writes(to("Flood 12"));
        near.meets(far);
        let second = far.writes(to("Fire 7"));
        Wanted {
            stand: vec![second],
            ..Wanted::default()
        }
    });
}

#[test]
fn assigned_anew_by_one_who_saw_both_is_settled() {
    apart(|near, far| {
        near.writes(to("Flood 12"));
        far.writes(to("Fire 7"));
        near.meets(far);
        let settled = near.writes(to("Fire 7"));
        Wanted {
            stand: vec![settled],
            ..Wanted::default()
        }
    });
}

#[test]
fn a_release_from_one_of_two_settles_it() {
    apart(|near, far| {
        let one = near.writes(to("Flood 12"));
        let other = far.writes(to("Fire 7"));
        near.meets(far);
        far.writes(from(one));
        Wanted {
            stand: vec![other],
            ..Wanted::default()
        }
    });
}

#[test]
fn out_of_service_apart_from_an_assignment() {
    apart(|near, far| {
        let sent = near.writes(to("Flood 12"));
        let out = far.writes(Payload::OutOfService(OutReason::Mechanical));
        Wanted {
            stand: vec![sent],
            out: vec![(sent, out)],
            ..Wanted::default()
        }
    });
}

#[test]
fn who_sends_a_craft_that_she_knows_is_out_decides() {
    apart(|near, far| {
        near.writes(Payload::OutOfService(OutReason::Mechanical));
        near.meets(far);
        let sent = far.writes(to("Flood 12"));
        Wanted {
            stand: vec![sent],
            ..Wanted::default()
        }
    });
}

#[test]
fn a_return_or_a_new_declaration_of_one_who_saw_both_settles_it() {
    apart(|near, far| {
        let sent = near.writes(to("Flood 12"));
        let out = far.writes(Payload::OutOfService(OutReason::Rest));
        near.meets(far);
        far.writes(Payload::Returned { ends: vec![out] });
        Wanted {
            stand: vec![sent],
            ..Wanted::default()
        }
    });
    apart(|near, far| {
        let sent = near.writes(to("Flood 12"));
        far.writes(Payload::OutOfService(OutReason::Rest));
        near.meets(far);
        far.writes(Payload::OutOfService(OutReason::Mechanical));
        Wanted {
            stand: vec![sent],
            ..Wanted::default()
        }
    });
}

#[test]
fn a_release_apart_from_another_assignment_to_the_same_incident() {
    apart(|near, far| {
        let first = near.writes(to("Flood 12"));
        near.meets(far);
        let release = near.writes(from(first));
        let again = far.writes(to("Flood 12"));
        Wanted {
            stand: vec![again],
            released: vec![(again, release)],
            ..Wanted::default()
        }
    });
}

/// It came back from one and went to the other: both can be so.
#[test]
fn a_release_apart_from_an_assignment_to_another_incident_is_no_dispute() {
    apart(|near, far| {
        let first = near.writes(to("Flood 12"));
        near.meets(far);
        near.writes(from(first));
        let next = far.writes(to("Fire 7"));
        Wanted {
            stand: vec![next],
            ..Wanted::default()
        }
    });
}

#[test]
fn a_release_that_named_one_of_two_to_the_same_incident_leaves_the_other() {
    apart(|near, far| {
        let one = near.writes(to("Flood 12"));
        let other = far.writes(to("Flood 12"));
        let release = near.writes(from(one));
        Wanted {
            stand: vec![other],
            released: vec![(other, release)],
            ..Wanted::default()
        }
    });
}

#[test]
fn a_stranger_sends_nobody_away_and_frees_nothing() {
    let (mut near, _, _) = county();
    let mut stranger = Desk::new(77, Role::Stranger);
    let sent = near.writes(to("Flood 12"));
    near.meets(&mut stranger);
    let own = stranger.writes(to("Fire 7"));
    stranger.writes(from(sent));
    near.meets(&mut stranger);
    let record = near.record();
    let stand: Vec<EventId> = record.assigned.keys().copied().collect();
    assert!(stand.contains(&sent) && stand.contains(&own), "{stand:?}");
    assert!(record.apart.sent.is_empty());
    // Nor does the coordinator's next assignment end what nobody trusted said.
    let next = near.writes(to("Fire 7"));
    let stand: Vec<EventId> = near.record().assigned.keys().copied().collect();
    assert!(stand.contains(&own) && stand.contains(&next) && !stand.contains(&sent));
}
