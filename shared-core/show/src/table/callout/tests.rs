//! The call-out as a coordinator sees it.

use unicode_width::UnicodeWidthStr as _;

use super::callout_report;
use crate::sample;
use crate::sample::callout::called_out;
use crate::table::WIDTH;

#[test]
fn one_of_each_sort() {
    let text = callout_report(&called_out(), &sample::context());
    assert!(text.lines().all(|line| line.width() <= WIDTH), "{text}");
    insta::assert_snapshot!(text, @"
    As of 2026-03-14 08:30 (UTC-04:00), mission: swiftwater
    Launch: air 41 °F, water 41 °F, elevation 820 ft, at 44.9000N 103.2000W
    Job: 2 h, dark throughout (sunset 2026-03-13 21:30, sunrise 11:30), clear, wind
         15 kn
    Assumed: water temperature (the air's), crew (the least)
    Goes in at: Mill Street ramp (ramp)

    NOT HEARD FOR LONG: what they did since is not known here
      Otter Ferry: last heard 2026-03-11 08:30 (3 days ago)

    WHO CAN GO, by time to water (1)
      Boat 3      24 min to water (08:54): crew 10, meanwhile made ready 5, drive 8,
                  ramp 6
          - Mill Race; 8 min drive by the county's table
          - ready; checked 9 h ago; 4 seats, 2 trips to bring all home
          - crew of 2: its station can raise 1 crew (3 persons) until 2026-03-14
            18:30
          - life jacket, youth: 3 short; shelf S1 of Otter Ferry has 2 to bring
            (12.0 mi in a straight line, and no travel time known); 1 still short
          - safety boat: Marsh 22, when both are in the water is not known
          - crews of Mill Race: 1 there, wanted by Boat 7 too
          - left then: 1 craft can still go; none at Mill Race

    CAN GO, BUT ONLY THE STRAIGHT LINE IS KNOWN: not by road (1)
      Boat 7      at least 16 min to water: crew 10, meanwhile made ready 5, drive
                  not known, ramp 6
          - stations differ where it is: Mill Race / Otter Ferry; 12.0 mi in a
            straight line, and no travel time known
          - ready with limits; checked 9 h ago; 4 seats
          - add air to tube 1 before power is used
          - by daylight and in clear weather only
          - crew of 2: crew not known, ask
          - safety boat: none can go together with it
          - Mill Race: 24 min to water, 8 min drive by the county's table
          - Otter Ferry: at least 16 min to water, 12.0 mi in a straight line, and
            no travel time known

    NOT CHECKED: would go if (1)
      Boat 9      gauge 3 chambers, count life jackets: 8 min; call Mill Race (radio
                  call Mill)

    CANNOT GO: would go if (1)
      Raft 2      the road from its station is closed; too few crew; call Mill Race
                  (radio call Mill)

    ALL HOME AT ONCE: Boat 3, Boat 7, when the last is in the water is not known

    Times rest on 3 settings of the county's: raising a crew 10 min; made ready
      while the crew is raised; going in by a ramp 6 min

    Stations heard: Mill Race 10 min ago
    Crews: Mill Race 2 crews (6 persons) until 2026-03-14 18:30
    Crew not known: Otter Ferry

    Rests on 812 entries of the county log, and 2 entries held here that it does not
      prove yet. Rules version 1.

    Advice only: local procedure, the maker's manual and the person in charge
    decide.
    ");
}

#[test]
fn no_call_out_asked_is_no_page() {
    assert_eq!(callout_report(&sample::county(), &sample::context()), "");
}
