//! Proof files from real stores, checked without them.

use sponson_log::event_proof::{Proven, check};
use sponson_log::ids::EventId;
use sponson_log::trust::{Trust, Unconfirmed};
use sponson_proto::event::v1::{Kind, Role};
use sponson_replica::{ProveError, Replica};

use crate::county::{
    DAY, MINUTE, NORTH, Placed, START, county_id, craft_registered, end, fault, found, join, north,
    note, reading, south, stranger, sync,
};
use crate::durable::copy;

const NOW: i64 = START + 9 * DAY;

fn proven(placed: &Placed, id: &EventId) -> Proven {
    let file = placed.replica.prove(id, NOW).expect("it can be proved");
    check(&file, Some(county_id())).expect("the file holds")
}

/// A county with a station that has written, and one of its events.
fn written() -> (Placed, Placed, EventId) {
    let mut county = found();
    let mut station = join(north());
    sync(&mut station, &mut county, START + DAY);
    station.append(craft_registered("4-1", NORTH), START + DAY);
    let id = station.append(note("washed at the ramp"), START + DAY + MINUTE);
    sync(&mut station, &mut county, START + DAY + 2 * MINUTE);
    (county, station, id)
}

#[test]
fn county_and_station_prove_the_same() {
    let (mut county, mut station, id) = written();
    for placed in [&county, &station] {
        let proven = proven(placed, &id);
        assert_eq!(proven.event.id(), id);
        assert_eq!(proven.event.beside().len(), 1, "the note goes with it");
        assert_eq!(proven.received_unix_ms, START + DAY + 2 * MINUTE);
        assert_eq!(proven.trust, Trust::Trusted);
        assert_eq!(proven.roles, [Role::Crew, Role::Maintenance, Role::Lead]);
        let name = proven.station.map(|(_, name)| name);
        assert_eq!(name.as_deref(), Some("North Ford"));
        assert_eq!(proven.vouched_by.0, placed.replica.key());
        assert_eq!(placed.replica.named(&id.to_string()[..12]), [id]);
    }
    // Every event of the log, those of the registry and the root among them.
    sync(&mut station, &mut county, START + 2 * DAY);
    for event in county.events() {
        assert_eq!(proven(&county, &event.id()).trust, Trust::Trusted);
        assert_eq!(proven(&station, &event.id()).event.id(), event.id());
    }
}

#[test]
fn what_the_county_did_not_confirm_is_not_proved() {
    let (mut county, mut station, _) = written();
    let waiting = station.append(reading(20_000), START + 2 * DAY);
    let refused = station.replica.prove(&waiting, NOW);
    assert!(matches!(refused, Err(ProveError::Waiting(id)) if id == waiting));
    let nowhere = EventId::from_bytes([7; 32]);
    let refused = county.replica.prove(&nowhere, NOW);
    assert!(matches!(refused, Err(ProveError::NotHeld(id)) if id == nowhere));
    // A device that nobody let in can vouch for nothing.
    let mut alone = join(stranger());
    sync(&mut alone, &mut county, START + 2 * DAY);
    let held = county.events()[0].id();
    let refused = alone.replica.prove(&held, NOW);
    assert!(matches!(refused, Err(ProveError::NotAdmitted)));
    // What a stranger wrote is proved to be stored, and to count for nothing.
    let strange = alone.append(fault("leak"), START + 2 * DAY);
    sync(&mut alone, &mut county, START + 2 * DAY);
    let trust = proven(&county, &strange).trust;
    assert_eq!(trust, Trust::Unconfirmed(Unconfirmed::NotAdmitted));
}

#[test]
fn a_copied_device_and_an_ended_key_are_shown_as_such() {
    let (mut county, mut station, id) = written();
    let folder = copy(station.folder.path());
    let replica = Replica::open(folder.path(), north()).expect("the copy opens");
    let mut copied = Placed { replica, folder };
    let one = station.append(fault("leak"), START + 2 * DAY);
    let other = copied.append(fault("tear"), START + 2 * DAY);
    sync(&mut station, &mut county, START + 2 * DAY);
    sync(&mut copied, &mut county, START + 2 * DAY);
    for event in [one, other] {
        let trust = proven(&county, &event).trust;
        assert_eq!(trust, Trust::Unconfirmed(Unconfirmed::Parted));
    }
    assert_eq!(proven(&county, &id).trust, Trust::Trusted);
    // The lead says which branch is good.
    let seq = county.replica.event(&one).expect("whole").expect("held");
    let seq = seq.header().seq;
    county.append(end(&north(), Some((seq, one))), START + 3 * DAY);
    assert_eq!(proven(&county, &one).trust, Trust::Trusted);
    let trust = proven(&county, &other).trust;
    assert_eq!(trust, Trust::Unconfirmed(Unconfirmed::AfterEnd));
    // The ended device vouches for nothing once it knows.
    sync(&mut station, &mut county, START + 3 * DAY);
    let refused = station.replica.prove(&id, NOW);
    assert!(matches!(refused, Err(ProveError::NotAdmitted)));
    let mut second = join(south());
    sync(&mut second, &mut county, START + 3 * DAY);
    assert_eq!(proven(&second, &other).trust, trust);
    assert_eq!(
        proven(&second, &one).event.header().kind,
        Kind::Fault as i32
    );
}

#[test]
fn a_role_that_was_taken_is_shown_from_the_event_on_that_it_names() {
    let (mut county, mut station, first) = written();
    let seq = |id: &EventId| {
        let event = county.replica.event(id).expect("whole").expect("held");
        event.header().seq
    };
    let given = sponson_proto::event::v1::RoleGiven {
        key: north().key().to_bytes(),
        roles: vec![Role::Reader as i32],
        from_seq: seq(&first) + 1,
        after: first.to_bytes(),
    };
    let subject = (NORTH, sponson_proto::event::v1::SubjectType::Station);
    let given = crate::county::about(Kind::RoleGiven, &given, subject);
    county.append(given, START + 2 * DAY);
    let second = station.append(fault("leak"), START + 3 * DAY);
    sync(&mut station, &mut county, START + 3 * DAY);
    for placed in [&county, &station] {
        assert_eq!(proven(placed, &first).trust, Trust::Trusted);
        let proven = proven(placed, &second);
        assert_eq!(proven.roles, [Role::Reader]);
        assert_eq!(proven.trust, Trust::Unconfirmed(Unconfirmed::NoRole));
    }
}
