use sponson_readiness::standard::Policy;

use super::{AirOutside, PressureAsked, pressure};

fn text(change: impl Fn(&mut PressureAsked)) -> String {
    let mut asked = PressureAsked {
        gauge_pa: 24_000,
        from_mc: 20_000,
        to_mc: 4_000,
        from: AirOutside::NotGiven,
        to: None,
        relief_pa: None,
        hottest_mc: None,
        wanted_pa: None,
    };
    change(&mut asked);
    let policy = Policy::parse(Policy::default_text()).expect("built-in policy");
    pressure(&asked, &policy.pressure).to_text()
}

#[test]
fn a_figure_is_said_with_its_spread() {
    insta::assert_snapshot!(text(|asked| asked.wanted_pa = Some(24_000)), @"
    171.6 mbar (2.49 psi) there: 240.0 mbar (3.48 psi) here, -68.4 mbar
    it may be from 147.6 mbar (2.14 psi) to 181.6 mbar (2.63 psi): gauge 5.0 mbar (0.07 psi) either way, weather 5.0 mbar (0.07 psi) either way, moist air up to 14.0 mbar (0.20 psi) less
    air pressure outside: 1013.2 hPa where it was read, 1013.2 hPa there
    bring it to 312.4 mbar (4.53 psi) here, and it shows 240.0 mbar (3.48 psi) there
    assumed: a closed, rigid part that loses no air by itself, and a settled reading
    assumed: gauge within 5.0 mbar (0.07 psi) either way, air inside at 100 % humidity: settings of the county
    assumed: standard air pressure at sea level where it was read
    assumed: the same air pressure there
    assumed: weather within 5.0 mbar (0.07 psi) either way, since no air pressure was measured at both places
    source: gas law for a closed, rigid part of dry air; real air differs by at most 73 Pa
    source: moist air: vapour that condenses, Buck (1981), J. Appl. Meteorol. 20, 1527
    source: air pressure by elevation: US Standard Atmosphere 1976, ISO 2533
    Advice only: local procedure, the maker's manual and the person in charge decide.
    ");
}

#[test]
fn a_slack_part_is_said_to_be_slack_and_a_valve_to_be_no_leak() {
    let slack = text(|asked| {
        asked.gauge_pa = 1_000;
        asked.to_mc = 0;
    });
    assert!(slack.starts_with("slack: 10.0 mbar (0.15 psi) here is no pressure at all there\n"));
    assert!(slack.contains("it may be from slack to "), "{slack}");
    let vented = text(|asked| {
        asked.relief_pa = Some(25_000);
        asked.hottest_mc = Some(45_000);
        asked.wanted_pa = Some(24_000);
    });
    assert!(vented.contains("by air that the relief valve lets out in the warm: no leak"));
    assert!(vented.contains("the relief valve holds no more than 250.0 mbar (3.63 psi) here"));
}

#[test]
fn an_altimeter_setting_names_its_tables() {
    let text = text(|asked| {
        asked.from = AirOutside::Altimeter(101_320, 1_500_000);
        asked.to = Some(AirOutside::Measured(84_300));
    });
    assert!(text.contains("Smithsonian Meteorological Tables (1951) p. 269"));
    assert!(!text.contains("US Standard Atmosphere"), "{text}");
    assert!(!text.contains("weather within"), "{text}");
}
