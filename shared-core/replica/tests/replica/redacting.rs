//! What the lead has removed beside an event, in real folders: it goes everywhere, it stays gone,
//! and nothing that was proved becomes unproved.

use sponson_log::event::SignedEvent;
use sponson_log::ids::EventId;
use sponson_proto::event::v1::{self as wire, Kind, Role, SubjectType};
use sponson_proto::store::v1::ChunkSource;
use sponson_replica::{CarryScope, NewEvent, Replica};

use crate::county::{
    DAY, NORTH, Placed, SOUTH, START, about, admit_as, county_id, craft_registered, end, event,
    fault, found, join, key, north, south, sync,
};
use sponson_log::ids::SubjectId;

const TOLD: &str = "A. Nobody, Mill Lane 4, has a bad knee";

fn redaction(of: EventId, parts: &[u32]) -> NewEvent {
    let payload = wire::Redacted {
        event: of.to_bytes(),
        parts: parts.to_vec(),
        reason: wire::RedactionReason::Personal as i32,
    };
    let county = SubjectId::from_bytes(*county_id().as_bytes());
    about(Kind::Redacted, &payload, (county, SubjectType::County))
}

/// A fault with two texts beside it, the longer one over several rows.
fn told() -> NewEvent {
    let long = format!("{TOLD} {}", "and more ".repeat(400));
    NewEvent {
        texts: vec![
            ("fault:0".to_owned(), "at the port seam".to_owned(), [5; 16]),
            (String::new(), long, [6; 16]),
        ],
        ..fault("leak")
    }
}

fn beside(placed: &Placed, id: EventId) -> Vec<u32> {
    let event = placed.replica.event(&id).expect("its row is whole");
    let event = event.expect("it is held");
    event.beside().iter().map(|content| content.index).collect()
}

fn removed(placed: &Placed, id: EventId) -> Vec<u16> {
    placed.replica.removed(&id).into_keys().collect()
}

fn is_whole(placed: &Placed) {
    let found = placed.replica.verify(&mut |_, _| {});
    assert_eq!(found.wrong, Vec::<String>::new());
}

fn carried(placed: &Placed) -> Vec<u8> {
    let mut file = Vec::new();
    let write = &mut |bytes: Vec<u8>| file.extend(bytes);
    placed
        .replica
        .carry_out(CarryScope::All, START + DAY, write);
    file
}

fn holds_text(file: &[u8]) -> bool {
    file.windows(TOLD.len())
        .any(|window| window == TOLD.as_bytes())
}

/// The craft, with the entry at the north, the south and the county.
fn told_everywhere() -> (Placed, Placed, Placed, EventId) {
    let mut county = found();
    let (mut one, mut other) = (join(north()), join(south()));
    one.append(craft_registered("4-1", NORTH), START + DAY);
    let id = one.append(told(), START + DAY);
    sync(&mut one, &mut county, START + DAY);
    sync(&mut other, &mut county, START + DAY);
    (county, one, other, id)
}

#[test]
fn a_redaction_goes_everywhere_and_old_copies_do_not_bring_it_back() {
    let (mut county, mut one, mut other, id) = told_everywhere();
    let before = carried(&other);
    let records = county.thing_bytes();
    let answered_by = county.replica.known_by().size;
    assert!(holds_text(&before));
    one.append(redaction(id, &[1]), START + 2 * DAY);
    assert_eq!((beside(&one, id), removed(&one, id)), (vec![0], vec![1]));
    assert_eq!(beside(&county, id), [0, 1]);
    sync(&mut one, &mut county, START + 3 * DAY);
    sync(&mut other, &mut county, START + 3 * DAY);
    for placed in [&mut county, &mut one, &mut other] {
        placed
            .replica
            .carry_in(&before, START + 4 * DAY)
            .expect("the old file is whole");
        assert_eq!(
            (beside(placed, id), removed(placed, id)),
            (vec![0], vec![1])
        );
        assert_eq!(placed.thing_bytes(), records, "nothing rests on a text");
        assert!(!holds_text(&carried(placed)));
        is_whole(placed);
    }
    assert_eq!(county.replica.known_by().size, answered_by + 1);
    let mut one = one.reopen(north());
    assert_eq!(beside(&one, id), [0]);
    assert_eq!(one.thing_bytes(), records);

    // A device that begins with the old copy holds the text only until it hears of the redaction.
    let mut late = join(key(6));
    late.replica
        .carry_in(&before, START)
        .expect("the file is whole");
    assert_eq!(beside(&late, id), [0, 1]);
    let after = carried(&county);
    late.replica
        .carry_in(&after, START)
        .expect("the file is whole");
    assert_eq!((beside(&late, id), removed(&late, id)), (vec![0], vec![1]));
    is_whole(&late);
}

#[test]
fn a_copy_that_never_had_the_text_says_so_and_not_that_it_was_removed() {
    let (county, mut one, _, id) = told_everywhere();
    let mut bare = join(key(6));
    let without: Vec<SignedEvent> = county
        .events()
        .iter()
        .map(|event| {
            let mut wire = event.to_wire();
            wire.beside.clear();
            SignedEvent::open(wire).expect("what stands beside is in no signature")
        })
        .collect();
    let kept = bare.replica.keep(without, ChunkSource::Station, START);
    assert_eq!(kept.expect("the store is whole").refused, []);
    assert_eq!((beside(&bare, id), removed(&bare, id)), (vec![], vec![]));
    one.append(redaction(id, &[0]), START + 2 * DAY);
    let file = carried(&one);
    bare.replica
        .carry_in(&file, START)
        .expect("the file is whole");
    assert_eq!((beside(&bare, id), removed(&bare, id)), (vec![], vec![0]));
    is_whole(&bare);
}

#[test]
fn who_may_not_redact_removes_nothing() {
    let (mut county, mut one, _, id) = told_everywhere();
    county.append(
        admit_as(&key(5), SOUTH, &[Role::Crew, Role::Maintenance]),
        START + DAY,
    );
    let mut crew = join(key(5));
    sync(&mut crew, &mut county, START + DAY);
    crew.append(redaction(id, &[0, 1]), START + DAY);
    assert_eq!(beside(&crew, id), [0, 1]);
    // Nor its own: what a crew wrote of a fault is not theirs to wipe.
    let own = crew.append(told(), START + DAY);
    crew.append(redaction(own, &[0, 1]), START + DAY);
    let mut stranger = join(key(9));
    stranger
        .replica
        .carry_in(&carried(&crew), START)
        .expect("the file is whole");
    stranger.append(redaction(id, &[0, 1]), START + DAY);
    sync(&mut crew, &mut county, START + 2 * DAY);
    let file = carried(&stranger);
    county
        .replica
        .carry_in(&file, START + 2 * DAY)
        .expect("the file is whole");
    sync(&mut one, &mut county, START + 2 * DAY);
    for placed in [&county, &one, &crew, &stranger] {
        assert_eq!(
            (beside(placed, id), removed(placed, id)),
            (vec![0, 1], vec![])
        );
        assert_eq!(beside(placed, own), [0, 1]);
        is_whole(placed);
    }
}

#[test]
fn a_redaction_counts_from_when_its_key_does_and_what_went_stays_gone() {
    let (mut county, mut one, _, id) = told_everywhere();
    let mut lead = join(key(7));
    lead.replica
        .carry_in(&carried(&county), START)
        .expect("the file is whole");
    let by = lead.append(redaction(id, &[1]), START + DAY);
    let file = carried(&lead);
    county
        .replica
        .carry_in(&file, START + DAY)
        .expect("the file is whole");
    assert_eq!(beside(&county, id), [0, 1], "nobody vouches for it yet");
    county.append(admit_as(&key(7), NORTH, &[Role::Lead]), START + 2 * DAY);
    assert_eq!(
        (beside(&county, id), removed(&county, id)),
        (vec![0], vec![1])
    );
    sync(&mut one, &mut county, START + 2 * DAY);
    assert_eq!(beside(&one, id), [0]);
    county.append(end(&key(7), None), START + 3 * DAY);
    sync(&mut one, &mut county, START + 3 * DAY);
    for placed in [&county, &one] {
        assert_eq!((beside(placed, id), removed(placed, id)), (vec![0], vec![]));
        assert!(placed.replica.holds(&by));
        is_whole(placed);
    }
}

#[test]
fn a_redaction_names_an_entry_that_is_held_and_says_why() {
    let mut lead = join(north());
    let refused = |lead: &mut Placed, event: NewEvent| {
        let refused = lead.replica.append(event, &crate::county::now(START));
        refused.expect_err("it cannot be").to_string()
    };
    let nothing = refused(&mut lead, redaction(EventId::from_bytes([3; 32]), &[0]));
    assert!(nothing.contains("not held"), "{nothing}");
    let id = lead.append(told(), START);
    let none = refused(&mut lead, redaction(id, &[]));
    insta::assert_snapshot!(none, @"parts is empty; at least one must be named");
    let payload = wire::Redacted {
        event: id.to_bytes(),
        parts: vec![0],
        reason: 0,
    };
    let unsaid = refused(&mut lead, event(Kind::Redacted, &payload));
    insta::assert_snapshot!(unsaid, @"reason is 0; one of those known must be given");
}

/// The engine's file keeps what was removed until it uses the room again; written anew, it does not.
#[test]
fn written_anew_the_store_has_no_byte_of_a_text_that_was_removed() {
    let (_, mut one, _, id) = told_everywhere();
    one.append(redaction(id, &[0, 1]), START + 2 * DAY);
    let Placed { replica, folder } = one;
    drop(replica);
    let file = folder.path().join("store/db");
    let bytes = || std::fs::read(&file).expect("the engine's file");
    assert!(holds_text(&bytes()), "else this shows nothing");
    Replica::compact(folder.path(), north()).expect("it is whole");
    assert!(!holds_text(&bytes()));
    let replica = Replica::open(folder.path(), north()).expect("the store opens again");
    let one = Placed { replica, folder };
    assert_eq!(removed(&one, id), [0, 1]);
    is_whole(&one);
}
