//! A station without any network: its events go on a stick to another station, from there to the
//! county, and the county's word that it holds them comes back on a stick.

use end_to_end::county::{World, about, answer, differences, fault, text, tomorrow, verify};

#[test]
fn a_stick_carries_there_and_back() {
    let world = World::founded();
    let county = world.county();
    let (up, address) = county.serve_county();
    let (cut_off, other) = (
        world.joined("Millrace", address),
        world.joined("Weir", address),
    );
    for station in [&cut_off, &other] {
        station.fine(&["sync"]);
    }

    let name = fault(&cut_off, "11", "tube-3", "leak");
    let event = name.trim_end_matches("-0");
    let stick = world.path("there.carry");
    let said = cut_off.fine(&["carry", "out", text(&stick), "--new-only"]);
    assert!(said.starts_with("1 event written"), "{said}");
    let said = other.fine(&["carry", "in", text(&stick)]);
    assert_eq!(said, "1 event in the file, 1 new here, 0 refused\n");
    // Something of its own too: a station of which no event is known counts as silent where it
    // was not heard directly.
    let _ = fault(&other, "21", "tube-5", "tear");
    let said = other.fine(&["sync"]);
    assert!(said.starts_with("sent 2 events, "), "{said}");
    let as_of = tomorrow();
    let at_county = answer(&county, "answer", &as_of);
    assert!(
        at_county["craft"].to_string().contains(event),
        "the county names {event} as evidence"
    );

    // That the other station has it proves nothing: only the county's own log does.
    assert_eq!(about(&cut_off, "waiting for the county"), 1);
    let back = world.path("back.carry");
    county.fine(&["carry", "out", text(&back)]);
    cut_off.fine(&["carry", "in", text(&back)]);
    assert_eq!(about(&cut_off, "waiting for the county"), 0);

    assert_eq!(up.terminate().code(), Some(0));
    let at_cut_off = answer(&cut_off, "ready", &as_of);
    assert_eq!(
        differences(&at_county["craft"], &at_cut_off["craft"]),
        Vec::<String>::new()
    );
    for device in [&county, &cut_off, &other] {
        assert_eq!(about(device, "events held"), about(&county, "events held"));
        verify(device);
    }
}
