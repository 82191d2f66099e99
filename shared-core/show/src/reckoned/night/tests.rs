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
    insta::assert_snapshot!(text, @"
    2026-03-14 16:00 (22:00 UTC) for 3 h: dark from 2026-03-14 18:00 (00:00 UTC)
    lights needed from 2026-03-14 18:00 (00:00 UTC)
    sunrise 2026-03-14 06:00 (12:00 UTC)
    sunset 2026-03-14 18:00 (00:00 UTC)
    night from 2026-03-14 18:00 (00:00 UTC) to 2026-03-15 06:00 (12:00 UTC)
    assumed: clear visibility
    source: sunrise and sunset: Solar Position Algorithm, Reda and Andreas 2003; upper limb at a level horizon, standard refraction; hills and weather make it dark sooner
    source: lights from sunset to sunrise and in restricted visibility: 33 CFR 83.20
    Advice only: local procedure, the maker's manual and the person in charge decide.
    ");
}

#[test]
fn figures_of_a_moment_by_night() {
    let json = reckoned(&asked(-8, None), &light()).to_json();
    insta::assert_snapshot!(json, @r#"
    {
      "schema": "sponson.reckon/1",
      "reckoned": "night",
      "given": {
        "lat_deg": 44.9,
        "lon_deg": -103.2,
        "time": "2026-03-14T10:00:00Z",
        "duration_s": null,
        "visibility": null,
        "visibility_m": null,
        "utc_offset_min": -360
      },
      "sunrise": "2026-03-14T12:00:00Z",
      "sunset": "2026-03-15T00:00:00Z",
      "sunrise_local": "2026-03-14 06:00",
      "sunset_local": "2026-03-14 18:00",
      "night_from": "2026-03-14T00:00:00Z",
      "night_to": "2026-03-14T12:00:00Z",
      "dark": "yes",
      "restricted_visibility": false,
      "lights_from": "2026-03-14T10:00:00Z",
      "assumed": [
        "clear visibility"
      ],
      "sources": [
        "sunrise and sunset: Solar Position Algorithm, Reda and Andreas 2003; upper limb at a level horizon, standard refraction; hills and weather make it dark sooner",
        "lights from sunset to sunrise and in restricted visibility: 33 CFR 83.20"
      ],
      "caution": "Advice only: local procedure, the maker's manual and the person in charge decide."
    }
    "#);
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
