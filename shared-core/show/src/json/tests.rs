//! The form as written, and that its description names every field.

use std::collections::BTreeSet;

use serde_json::Value;
use sponson_readiness::answer::Differ;

use super::*;
use crate::clean::obeyed;
use crate::sample;

const DESCRIPTION: &str = include_str!("../../answer-schema.md");

#[test]
#[expect(clippy::too_many_lines, reason = "the snapshot shows the whole form")]
fn the_form_as_written() {
    let mut answer = sample::county();
    answer.craft.truncate(2);
    insta::assert_snapshot!(to_string(&answer, &sample::context()), @r#"
    {
      "schema": "sponson.answer/1",
      "as_of": "2026-03-14T12:30:00Z",
      "asked_at": "2026-03-14T12:30:00Z",
      "known_by": {
        "log_id": "0c0c0c0c0c0c0c0c0c0c0c0c0c0c0c0c",
        "size": 812,
        "root": "0d0d0d0d0d0d0d0d0d0d0d0d0d0d0d0d0d0d0d0d0d0d0d0d0d0d0d0d0d0d0d0d",
        "beyond": 2
      },
      "asked": {
        "mission": "swiftwater",
        "air_c": 5.0,
        "water_c": 5.0,
        "elevation_m": 249.936,
        "crew": null,
        "crew_mass_g": null,
        "people": [],
        "place": {
          "lat_deg": 44.9,
          "lon_deg": -103.2
        },
        "duration_s": 7200,
        "dark": "yes",
        "sunset": "2026-03-14T01:30:00Z",
        "sunrise": "2026-03-14T15:30:00Z",
        "lights_from": "2026-03-14T12:30:00Z",
        "visibility": "clear",
        "visibility_m": null,
        "wind_m_s": 7.717,
        "current_m_s": null,
        "tow": false,
        "ambient_pa": null,
        "altimeter_pa": null,
        "station_pa": 98358,
        "together": null,
        "assumed": [
          "water",
          "crew"
        ],
        "clock": null
      },
      "engine": 1,
      "stations": [
        {
          "station": "Mill Race",
          "last_heard": "2026-03-14T12:20:00Z",
          "age_s": 600,
          "silent": false,
          "crews": {
            "crews": 2,
            "persons": 6,
            "until": "2026-03-14T22:30:00Z",
            "operators": [
              "214"
            ]
          }
        },
        {
          "station": "Otter Ferry",
          "last_heard": "2026-03-11T12:30:00Z",
          "age_s": 259200,
          "silent": true,
          "crews": null
        }
      ],
      "craft": [
        {
          "craft": "Boat 3",
          "station": "Mill Race",
          "stations": [
            "Mill Race"
          ],
          "model": "inflatable-14",
          "readiness": "ready",
          "status": "available",
          "why": [],
          "limits": [],
          "pressures": [],
          "load": {
            "crew": 2,
            "crew_mass_g": 113398,
            "seats": 4,
            "child_seats": 4,
            "mass_left_g": 453592,
            "binds": "persons",
            "lines": [],
            "counted": [],
            "plate_counts": null,
            "plate_counts_assumed": false,
            "people": null
          },
          "air": null,
          "minutes_to_ready": null,
          "checked_at": "2026-03-14T03:30:00Z",
          "stowage": "rigged",
          "crews": {
            "crews": 2,
            "persons": 6,
            "until": "2026-03-14T22:30:00Z",
            "operators": [
              "214"
            ]
          },
          "crew_least": 2
        },
        {
          "craft": "Boat 7",
          "station": "Otter Ferry",
          "stations": [
            "Otter Ferry"
          ],
          "model": "inflatable-14",
          "readiness": "ready_with_limits",
          "status": "available",
          "why": [
            {
              "rule": "pressure_low",
              "severity": "major",
              "effect": "limit",
              "subject": "tube 1 (port bow)",
              "measured": {
                "kind": "gauge_pa",
                "value": 17995,
                "text": "2.61 psi"
              },
              "required": {
                "low": {
                  "kind": "gauge_pa",
                  "value": 23994,
                  "text": "3.48 psi"
                },
                "high": {
                  "kind": "gauge_pa",
                  "value": 25993,
                  "text": "3.77 psi"
                },
                "text": "from 3.48 psi to 3.77 psi"
              },
              "evidence": [
                "a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1"
              ],
              "basis": "maker",
              "source": "maker's manual of the model, inflation table",
              "what_to_do": [
                "bring tube 1 (port bow) to 3.60 psi now, where the craft stands (5 min)"
              ],
              "text": "tube 1 (port bow) would be 2.61 psi at the launch; at least 3.48 psi wanted"
            },
            {
              "rule": "kit_expires_soon",
              "severity": "minor",
              "effect": "note",
              "subject": "hand flare",
              "measured": {
                "kind": "date",
                "value": "2026-04-01",
                "text": "2026-04-01"
              },
              "required": null,
              "evidence": [
                "a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1a1"
              ],
              "basis": "agency",
              "source": "county boat rules, section 4",
              "what_to_do": [],
              "text": "hand flare: date runs out on 2026-04-01 (in 18 days)"
            }
          ],
          "limits": [
            "add air to tube 1 before power is used",
            "by daylight and in clear weather only"
          ],
          "pressures": [
            {
              "part": "tube-1",
              "read_gauge_pa": 23442,
              "read_at": "2026-03-14T03:30:00Z",
              "launch_low_pa": 17995,
              "launch_high_pa": 18960,
              "own_leak_pa": null,
              "range_low_pa": 23994,
              "range_high_pa": 25993,
              "slack": false,
              "spread": {
                "least_pa": 16820,
                "most_pa": 19960,
                "gauge_pa": 500,
                "ambient_pa": 500,
                "moist_pa": 175
              },
              "home_high_pa": 25993,
              "home_mc": 15000,
              "in_sun": {
                "temperature_mc": 50000,
                "high_pa": 25993,
                "then_low_pa": 10410
              }
            }
          ],
          "load": {
            "crew": 2,
            "crew_mass_g": 113398,
            "seats": 4,
            "child_seats": 4,
            "mass_left_g": 453592,
            "binds": "persons",
            "lines": [],
            "counted": [],
            "plate_counts": null,
            "plate_counts_assumed": false,
            "people": null
          },
          "air": null,
          "minutes_to_ready": 5,
          "checked_at": "2026-03-14T03:30:00Z",
          "stowage": "rigged",
          "crews": {
            "crews": 2,
            "persons": 6,
            "until": "2026-03-14T22:30:00Z",
            "operators": [
              "214"
            ]
          },
          "crew_least": 2
        }
      ],
      "missing_kit": [
        {
          "craft": "Boat 9",
          "item": "life-jacket",
          "label": "life jacket",
          "have": 3,
          "need": 4
        }
      ],
      "overdue": [
        {
          "craft": "Boat 3",
          "inspection": "fuel-line",
          "label": "fuel line inspection",
          "due": "2026-02-10",
          "days_over": 32,
          "engine_hours_over": 2.5,
          "effect": "note"
        }
      ],
      "disagreements": [
        {
          "subject": "Raft 2",
          "subject_id": "43434343434343434343434343434343",
          "craft_ids": [
            "43434343434343434343434343434343"
          ],
          "differ": "placed_twice",
          "about": "the craft",
          "text": "stations differ about where it is",
          "sides": [
            {
              "value": "Mill Race",
              "station": "Mill Race",
              "member": "17",
              "device": "0101010101010101010101010101010101010101010101010101010101010101",
              "claimed_at": "2026-03-14T03:30:00Z",
              "confirmed": "yes",
              "event": "c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1c1"
            },
            {
              "value": "Otter Ferry",
              "station": "Otter Ferry",
              "member": "17",
              "device": "0202020202020202020202020202020202020202020202020202020202020202",
              "claimed_at": "2026-03-14T03:30:00Z",
              "confirmed": "yes",
              "event": "c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2c2"
            }
          ],
          "until": {
            "counts": "unproven",
            "side": null,
            "units": null,
            "text": "not offered from either without saying so: go and look"
          },
          "settle": [
            {
              "by": "place",
              "command": "sponson move 'Raft 2' PLACE",
              "text": "see where it is and record it: sponson move 'Raft 2' PLACE"
            }
          ]
        }
      ],
      "together": null,
      "caution": "Advice only: local procedure, the maker's manual and the person in charge decide."
    }
    "#);
}

#[test]
fn the_text_and_the_value_are_one() {
    let (answer, ctx) = (sample::county(), sample::context());
    let text = to_string(&answer, &ctx);
    let parsed: Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(parsed, county_answer(&answer, &ctx));
    assert!(text.ends_with("}\n"));
}

#[test]
fn readiness_words_are_the_contract() {
    let value = county_answer(&sample::county(), &sample::context());
    let words: Vec<&str> = value["craft"]
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(|craft| craft["readiness"].as_str())
        .collect();
    assert_eq!(
        words,
        ["ready", "ready_with_limits", "not_ready", "unproven"]
    );
}

#[test]
fn every_field_is_described() {
    let mut names = BTreeSet::new();
    fields(
        &county_answer(&sample::callout::called_out(), &sample::context()),
        &mut names,
    );
    let mut what_if = crate::without::tests::taken();
    what_if.asked.weather_report = Some(crate::weather_report::tests::report(30));
    fields(&county_answer(&what_if, &sample::context()), &mut names);
    assert!(
        names.len() > 60,
        "the sample fills the form: {}",
        names.len()
    );
    for name in names {
        assert!(
            DESCRIPTION.contains(&format!("`{name}`")),
            "{name} is not described"
        );
    }
}

fn fields(value: &Value, names: &mut BTreeSet<String>) {
    if let Value::Object(map) = value {
        names.extend(map.keys().cloned());
        map.values().for_each(|inner| fields(inner, names));
    } else if let Value::Array(list) = value {
        list.iter().for_each(|inner| fields(inner, names));
    }
}

#[test]
fn escape_codes_do_not_pass_and_are_not_lost() {
    let mut answer = sample::county();
    let number = "Boat \u{1b}[2J\u{9b}1m\u{202e}3";
    answer.craft[0].number = number.to_owned();
    let text = to_string(&answer, &sample::context());
    assert!(!text.chars().any(|c| c != '\n' && obeyed(c)));
    let parsed: Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(parsed["craft"][0]["craft"], number);
}

/// Older answers stay as they were: what was not asked is not there.
#[test]
fn a_report_and_what_is_taken_away_are_there_when_asked() {
    let plain = county_answer(&sample::county(), &sample::context());
    assert!(plain.get("taken_away").is_none());
    assert!(plain["asked"].get("without").is_none());
    assert!(plain["asked"].get("weather_report").is_none());
    let mut what_if = crate::without::tests::taken();
    what_if.asked.weather_report = Some(crate::weather_report::tests::report(91));
    let form = county_answer(&what_if, &sample::context());
    assert_eq!(form["taken_away"][1]["by"], "station");
    assert_eq!(form["taken_away"][1]["by_station"], "Otter Ferry");
    assert_eq!(form["asked"]["without"]["kit"][0]["item"], "throw-bag");
    let report = &form["asked"]["weather_report"];
    assert_eq!(report["old"], true);
    assert_eq!(report["gust_m_s"], 16.462);
    assert_eq!(report["by_hand"][0], "wind");
    assert_eq!(report["taken"], serde_json::json!(["air", "visibility"]));
}

#[test]
fn every_sort_of_disagreement_is_described() {
    let described = include_str!("../../answer-schema.md");
    for differ in Differ::ALL {
        let row = format!("| `{}` |", differ.id());
        assert!(described.contains(&row), "{row}");
    }
}
