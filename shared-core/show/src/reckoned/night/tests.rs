//! Words and figures of a night.

use super::*;

const NOON: Moment = Moment(1_773_511_200_000);

fn asked(hours: i64, duration_s: Option<u32>) -> NightAsked {
    NightAsked {
        position: Position {
            lat_e7: 449_000_000,
            lon_e7: -1_032_000_000,
        },
        at: hour(hours),
        duration_s,
        visibility: None,
        utc_offset_min: -360,
    }
}

fn hour(hours: i64) -> Moment {
    NOON.plus_ms(hours * 3_600_000)
}

/// Sunset at 18:00, sunrise at 06:00, local time.
fn light() -> Light {
    Light {
        from: hour(-40),
        to: hour(44),
        dark: vec![
            (hour(-40), hour(-30)),
            (hour(-18), hour(-6)),
            (hour(6), hour(18)),
            (hour(30), hour(42)),
        ],
    }
}

fn reckoned(asked: &NightAsked, light: &Light) -> Reckoned {
    let policy = Policy::parse(Policy::default_text()).expect("the settings can be read");
    night(asked, light, &policy)
}

#[test]
fn a_job_that_runs_into_the_dark() {
    let text = reckoned(&asked(4, Some(10_800)), &light()).to_text();
    insta::assert_snapshot!(text, @"");
}

#[test]
fn figures_of_a_moment_by_night() {
    let json = reckoned(&asked(-8, None), &light()).to_json();
    insta::assert_snapshot!(json, @"");
}

#[test]
fn restricted_visibility_wants_lights_by_day() {
    let cases = [
        (None, false),
        (Some(Visibility::Clear), false),
        (Some(Visibility::Restricted), true),
        (Some(Visibility::Metres(3_703)), true),
        (Some(Visibility::Metres(3_704)), false),
    ];
    for (visibility, wanted) in cases {
        let asked = NightAsked {
            visibility,
            ..asked(0, None)
        };
        let text = reckoned(&asked, &light()).to_text();
        assert_eq!(
            text.contains("lights needed from 2026-03-14 12:00"),
            wanted,
            "{text}"
        );
    }
}

#[test]
fn a_sun_that_does_not_set_is_said() {
    let polar = Light {
        dark: Vec::new(),
        ..light()
    };
    let text = reckoned(&asked(0, Some(3_600)), &polar).to_text();
    assert!(text.contains("no sunset that day"), "{text}");
    assert!(text.contains("lights not needed"), "{text}");
}
