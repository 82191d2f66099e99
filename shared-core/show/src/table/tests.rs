//! What a person sees, and that no text of theirs breaks the page.

use proptest::prelude::*;
use sponson_readiness::answer::{Differ, Limit, Measure, Said, Settle, Subject, Until};
use sponson_readiness::event::OutReason;
use sponson_readiness::ids::{FaultId, LineId, PartId};
use unicode_width::UnicodeWidthStr as _;

use super::*;
use crate::clean::obeyed;
use crate::sample;

#[test]
fn county_by_night() {
    insta::assert_snapshot!(county_report(&sample::county(), &sample::context()), @r#"
    As of 2026-03-14 08:30 (UTC-04:00), mission: swiftwater
    Launch: air 41 °F, water 41 °F, elevation 820 ft, at 44.9000N 103.2000W
    Job: 2 h, dark throughout (sunset 2026-03-13 21:30, sunrise 11:30), clear, wind
         15 kn
    Assumed: water temperature (the air's), crew (the least)

    NOT HEARD FOR LONG: what they did since is not known here
      Otter Ferry: last heard 2026-03-11 08:30 (3 days ago)

    4 CRAFT
      can go       1: Boat 3
      with limits  1: Boat 7*
      not free     none
      not checked  1: Raft 2*
      cannot go    1: Boat 9
      * its station has not been heard for long

    CAN GO (1)
      Boat 3      Mill Race; 4 seats beyond a crew of 2; checked 9 h ago

    CAN GO, WITH LIMITS (1)
      Boat 7      Otter Ferry (not heard for long); 4 seats beyond a crew of 2;
                  checked 9 h ago
          - by daylight and in clear weather only
          - soft in the cold; before power is used, top up now, where it stands:
            tube 1 to 3.60 psi (5 min)

    NOT CHECKED: go and look first (1)
      Raft 2      Mill Race / Otter Ferry (not heard for long); 30 min of work would
                  make it go; seats not known; not checked since 2026-02-20 08:30
                  (22 days ago)
          - last full check 22 days ago; every 7 days wanted. To do: do a full check
            (30 min)

    CANNOT GO (1)
      Boat 9      Mill Race; out of service: mechanical; nothing known here would
                  make it go; checked 9 h ago
          - seam open at transom, starboard, 4 ft forward of the transom: not signed
            off. To do: repair it, then have somebody entitled sign it off
          - declared out of service: mechanical

    KIT SHORT
      Boat 9      life jacket: 3 of 4

    OVERDUE
      Boat 3      fuel line inspection: 32 days overdue (due 2026-02-10), 2.5 engine
                  hours over; noted only

    STATIONS DIFFER
      Raft 2      stations differ about where it is
          - Mill Race, 17, 2026-03-13 23:30: Mill Race (entry c1c1c1c1c1c1)
          - Otter Ferry, 17, 2026-03-13 23:30: Otter Ferry (entry c2c2c2c2c2c2)
          until then: not offered from either without saying so: go and look
          to settle it: see where it is and record it: sponson move 'Raft 2' PLACE

    Stations heard: Mill Race 10 min ago
    Crews: Mill Race 2 crews (6 persons) until 2026-03-14 18:30
    Crew not known: Otter Ferry

    Rests on 812 entries of the county log, and 2 entries held here that it does not
      prove yet. Rules version 1.

    Advice only: local procedure, the maker's manual and the person in charge
    decide.
    "#);
}

#[test]
fn one_craft() {
    let answer = sample::county();
    let report = craft_report(&sample::limited(), &answer.asked, &sample::context());
    insta::assert_snapshot!(report, @r#"
    Boat 7: READY WITH LIMITS
    Model inflatable-14; Otter Ferry; available; rigged; checked 9 h ago
    As of 2026-03-14 08:30 (UTC-04:00), mission: swiftwater
    Launch: air 41 °F, water 41 °F, elevation 820 ft, at 44.9000N 103.2000W
    Job: 2 h, dark throughout (sunset 2026-03-13 21:30, sunrise 11:30), clear, wind
         15 kn
    Assumed: water temperature (the air's), crew (the least)

    LIMITS
      - add air to tube 1 before power is used
      - by daylight and in clear weather only

    WHY
      1. tube 1 (port bow) would be 2.61 psi at the launch; at least 3.48 psi wanted
         add air to tube 1 before power is used (major)
         to do: bring tube 1 (port bow) to 3.60 psi now, where the craft stands (5
                min)
         source (maker): maker's manual of the model, inflation table
         evidence: a1a1a1a1a1a1
      2. hand flare: date runs out on 2026-04-01 (in 18 days)
         noted only (minor)
         source (agency): county boat rules, section 4
         evidence: a1a1a1a1a1a1

    PRESSURE AT THE LAUNCH
      tube 1: 2.61 to 2.75 psi (wanted 3.48 to 3.77; read 3.40, 9 h ago; with gauge,
          weather and moist air 2.44 to 2.89; after the sun at 122 °F 1.51, its
          valve lets air out)
      own leaks since the reading: none known, so nothing is taken off

    LOAD
      4 seats beyond a crew of 2 (250 lb each), 1000 lb left; the plate's number of
        persons binds

    CREW
      its station can raise 2 crews (6 persons) until 2026-03-14 18:30; least crew 2

    Advice only: local procedure, the maker's manual and the person in charge
    decide.
    "#);
}

#[test]
fn nothing_known_yet() {
    let mut answer = sample::county();
    answer.craft.clear();
    answer.stations.clear();
    answer.missing_kit.clear();
    answer.overdue.clear();
    answer.disagreements.clear();
    insta::assert_snapshot!(county_report(&answer, &sample::context()), @r#"
    As of 2026-03-14 08:30 (UTC-04:00), mission: swiftwater
    Launch: air 41 °F, water 41 °F, elevation 820 ft, at 44.9000N 103.2000W
    Job: 2 h, dark throughout (sunset 2026-03-13 21:30, sunrise 11:30), clear, wind
         15 kn
    Assumed: water temperature (the air's), crew (the least)

    0 CRAFT
      can go       none
      with limits  none
      not free     none
      not checked  none
      cannot go    none

    Rests on 812 entries of the county log, and 2 entries held here that it does not
      prove yet. Rules version 1.

    Advice only: local procedure, the maker's manual and the person in charge
    decide.
    "#);
}

#[test]
fn lists_for_commands() {
    let long = "answered every line but the trailer's coupler, which could not be looked at";
    let rows = vec![
        vec!["0c0c0c0c0c0c", "2026-03-14 08:30", "Boat 3", "full check"],
        vec!["0d0d0d0d0d0d", "2026-03-14 09:10", "Boat 7", long],
    ];
    insta::assert_snapshot!(columns(&["entry", "when", "craft", "what"], &rows), @"
    entry         when              craft   what
    --------------------------------------------------------------------------------
    0c0c0c0c0c0c  2026-03-14 08:30  Boat 3  full check
    0d0d0d0d0d0d  2026-03-14 09:10  Boat 7  answered every line but the trailer's
                                            coupler, which could not be looked at
    ");
}

fn check(text: &str) -> Result<(), TestCaseError> {
    for line in text.lines() {
        prop_assert!(line.width() <= WIDTH, "{} columns: {line}", line.width());
        prop_assert!(!line.chars().any(obeyed), "{line:?}");
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn nasty_names_stay_on_the_page(name in "(\\PC|[a-z ]|\u{1b}\\[2J|\n|船|é){0,120}") {
        let mut ctx = sample::context();
        let mut answer = sample::county();
        ctx.stations.values_mut().for_each(|station| station.clone_from(&name));
        answer.stations.iter_mut().for_each(|station| station.name.clone_from(&name));
        answer.missing_kit[0].number.clone_from(&name);
        answer.missing_kit[0].label.clone_from(&name);
        answer.overdue[0].label.clone_from(&name);
        answer.overdue[0].inspection = LineId(name.clone());
        answer.disagreements[0].about = Subject::Part(PartId(name.clone()), name.clone());
        for craft in &mut answer.craft {
            craft.number.clone_from(&name);
            craft.model.0.clone_from(&name);
            craft.limits.push(Limit::TopUp(PartId(name.clone())));
            for finding in &mut craft.why {
                finding.source.clone_from(&name);
                finding.subject = Subject::Line(LineId(name.clone()), name.clone());
            }
            check(&craft_report(craft, &answer.asked, &ctx))?;
        }
        check(&county_report(&answer, &ctx))?;
        check(&columns(&["a", &name], &[vec![name.clone(), name.clone(), name.clone()]]))?;
    }
}

/// Sorts of disagreement with two sides, what counts, and what settles it.
fn sorts() -> Vec<(Differ, [Measure; 2], Until, Settle)> {
    let fault = FaultId {
        event: sample::event(0xf1),
        ordinal: 0,
    };
    let other = FaultId {
        event: sample::event(0xf2),
        ordinal: 10_000,
    };
    let boat = "Boat 3".to_owned();
    let said = |said| Measure::Said(said);
    let two = vec![sample::station(3), sample::station(4)];
    vec![
        (
            Differ::FaultAndSignOff,
            [Measure::Word("leak".to_owned()), said(Said::SignedOff)],
            Until::FaultOpen,
            Settle::SignOff(boat.clone(), vec![fault]),
        ),
        (
            Differ::DefectTwice,
            [
                Measure::Word("leak".to_owned()),
                Measure::Word("leak".to_owned()),
            ],
            Until::FaultOpen,
            Settle::SignOff(boat.clone(), vec![fault, other]),
        ),
        (
            Differ::OutAndReturned,
            [
                said(Said::OutOfService(OutReason::Mechanical)),
                said(Said::Returned),
            ],
            Until::OutOfService,
            Settle::Return(boat.clone()),
        ),
        (
            Differ::AssignedTwice,
            [
                Measure::Word("Flood 12".to_owned()),
                Measure::Word("Fire 7".to_owned()),
            ],
            Until::Assigned,
            Settle::Release(boat.clone()),
        ),
        (
            Differ::AssignedAndOut,
            [
                Measure::Word("Flood 12".to_owned()),
                said(Said::OutOfService(OutReason::Mechanical)),
            ],
            Until::OutOfService,
            Settle::Release(boat.clone()),
        ),
        (
            Differ::AssignedAndReleased,
            [Measure::Word("Flood 12".to_owned()), said(Said::Released)],
            Until::Assigned,
            Settle::Assign(boat.clone()),
        ),
        (
            Differ::KitMoved,
            [Measure::Count(4), said(Said::MovedAway(3))],
            Until::Units(1),
            Settle::Check(boat.clone()),
        ),
        (
            Differ::Inspections,
            [said(Said::Passed), said(Said::Failed)],
            Until::Side(1),
            Settle::Inspect(boat, LineId::from("seams")),
        ),
        (
            Differ::NumberTwice,
            [
                Measure::Word("#03030303".to_owned()),
                Measure::Word("#04040404".to_owned()),
            ],
            Until::Each,
            Settle::SameAs(two),
        ),
    ]
}

/// Each sort with what counts until then and what settles it, in the words of crews.
#[test]
fn every_disagreement_in_words() {
    let sample = sample::county().disagreements.remove(0);
    let mut answer = sample::county();
    answer.disagreements.clear();
    for (differ, [one, other], until, settle) in sorts() {
        let mut row = sample.clone();
        row.differ = differ;
        row.sides[0].value = one;
        row.sides[1].value = other;
        row.until = until;
        row.settle = vec![settle];
        answer.disagreements.push(row);
    }
    // Two devices of one station are told apart.
    let last = answer.disagreements.last_mut().expect("rows");
    last.sides[1].origin.author.station = last.sides[0].origin.author.station;
    let text = disagreements_report(&answer, &sample::context());
    assert!(check(&text).is_ok());
    insta::assert_snapshot!(text, @"
    As of 2026-03-14 08:30 (UTC-04:00), 9 open disagreements are known here.

      Raft 2      a fault, and a sign-off that had not seen it
          - Mill Race, 17, 2026-03-13 23:30: leak (entry c1c1c1c1c1c1)
          - Otter Ferry, 17, 2026-03-13 23:30: signed off (entry c2c2c2c2c2c2)
          until then: the fault is open: a sign-off closes only what it names
          to settle it: when it is over, sign it off by name: sponson sign-off 'Boat
                        3' f1f1f1f1-0
      Raft 2      what may be one defect, written down more than once
          - Mill Race, 17, 2026-03-13 23:30: leak (entry c1c1c1c1c1c1)
          - Otter Ferry, 17, 2026-03-13 23:30: leak (entry c2c2c2c2c2c2)
          until then: each is open
          to settle it: when they are one and it is over, sign off each; else only
                        those that are over: sponson sign-off 'Boat 3' f1f1f1f1-0
                        f2f2f2f2-10000
      Raft 2      out of service, and a return that had not seen it
          - Mill Race, 17, 2026-03-13 23:30: out of service, mechanical (entry
            c1c1c1c1c1c1)
          - Otter Ferry, 17, 2026-03-13 23:30: back in service (entry c2c2c2c2c2c2)
          until then: it is out of service
          to settle it: when it is fit, return it to service: sponson back 'Boat 3'
      Raft 2      assigned to more than one incident by coordinators who did not
                  know of each other
          - Mill Race, 17, 2026-03-13 23:30: assigned to Flood 12 (entry
            c1c1c1c1c1c1)
          - Otter Ferry, 17, 2026-03-13 23:30: assigned to Fire 7 (entry
            c2c2c2c2c2c2)
          until then: assigned to each, so not free: find out which of them it goes
                      to
          to settle it: release it from where it does not go: sponson release 'Boat
                        3' --from INCIDENT
      Raft 2      assigned to an incident, and declared out of service: neither had
                  seen the other
          - Mill Race, 17, 2026-03-13 23:30: assigned to Flood 12 (entry
            c1c1c1c1c1c1)
          - Otter Ferry, 17, 2026-03-13 23:30: out of service, mechanical (entry
            c2c2c2c2c2c2)
          until then: it is out of service
          to settle it: release it from where it does not go: sponson release 'Boat
                        3' --from INCIDENT
      Raft 2      assigned to an incident, and released from it: neither had seen
                  the other
          - Mill Race, 17, 2026-03-13 23:30: assigned to Flood 12 (entry
            c1c1c1c1c1c1)
          - Otter Ferry, 17, 2026-03-13 23:30: released from it (entry c2c2c2c2c2c2)
          until then: it is assigned, so not free
          to settle it: assign it anew to where it goes, which ends the others:
                        sponson assign 'Boat 3' INCIDENT
      Raft 2      counted without having seen that a bag of it was moved away
          - Mill Race, 17, 2026-03-13 23:30: 4 (entry c1c1c1c1c1c1)
          - Otter Ferry, 17, 2026-03-13 23:30: 3 moved away (entry c2c2c2c2c2c2)
          until then: 1 counts here: the count less what was moved
          to settle it: look again and record it: sponson check 'Boat 3' --from FILE
      Raft 2      one says passed, one says failed
          - Mill Race, 17, 2026-03-13 23:30: passed (entry c1c1c1c1c1c1)
          - Otter Ferry, 17, 2026-03-13 23:30: failed (entry c2c2c2c2c2c2)
          until then: the worse counts: failed
          to settle it: do it again and record the result: sponson inspect 'Boat 3'
                        seams RESULT
      Raft 2      one number on more than one craft: they cannot be told apart
          - Mill Race, 17, device 01010101, 2026-03-13 23:30: #03030303 (entry
            c1c1c1c1c1c1)
          - Mill Race, 17, device 02020202, 2026-03-13 23:30: #04040404 (entry
            c2c2c2c2c2c2)
          until then: each is as ready as it was
          to settle it: when they are one boat, have the lead join them:
                        sponson-county same-as '#03030303' '#04040404'

    Each is settled by what somebody records who has seen every side: sync first.
    ");
}
