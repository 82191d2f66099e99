//! The call-out as other programs read it.

use serde_json::{Value, json};

use crate::json::county_answer;
use crate::sample;
use crate::sample::callout::called_out;

fn candidate(number: &str) -> Value {
    let whole = county_answer(&called_out(), &sample::context());
    let all = whole["callout"]["candidates"].as_array().cloned();
    let mut all = all.unwrap_or_default().into_iter();
    all.find(|one| one["craft"] == number).unwrap_or_default()
}

#[test]
fn what_is_not_asked_is_absent() {
    let whole = county_answer(&sample::county(), &sample::context());
    assert_eq!(whole.get("callout"), None);
    assert_eq!(whole["asked"].get("callout"), None);
}

#[test]
fn what_was_asked() {
    let whole = county_answer(&called_out(), &sample::context());
    assert_eq!(
        whole["asked"]["callout"],
        json!({
            "place": "Mill Street ramp",
            "access": "ramp",
            "ways": [
                {"station": "Mill Race", "way": "table", "minutes": 8, "metres": null},
                {"station": "Otter Ferry", "way": "straight", "minutes": null, "metres": 19322},
            ],
        })
    );
    assert_eq!(
        whole["callout"]["all_home_at_once"],
        json!({"craft": ["Boat 3", "Boat 7"], "fewest": true, "total_min": null})
    );
    assert_eq!(
        whole["callout"]["settings"][0],
        json!({
            "setting": "raise_crew", "station": null, "minutes": 10, "basis": "trade",
            "source": "common practice, no source",
        })
    );
}

#[test]
fn one_that_goes_by_time() {
    assert_eq!(
        candidate("Boat 3"),
        json!({
            "craft": "Boat 3",
            "station": "Mill Race",
            "reach": "by_time",
            "way": {"way": "table", "minutes": 8, "metres": null},
            "time_to_water": {
                "crew_min": 10, "ready_min": 5, "ready_meanwhile": true, "drive_min": 8,
                "launch_min": 6, "total_min": 24, "at_least_min": 24,
                "at": "2026-03-14T12:54:00Z",
            },
            "launch": "ramp",
            "crew": {
                "least": 2, "goes": 2, "known": "enough", "crews": 1, "persons": 3,
                "until": "2026-03-14T22:30:00Z",
            },
            "seats": 4,
            "trips": {"trips": 2, "left_behind": 0, "fewest": true},
            "disputed": [],
            "shared": [{"what": "crew", "name": "Mill Race", "there": 1, "with": ["Boat 7"]}],
            "safety_boat": {"second": "boat", "craft": "Marsh 22", "both_min": null},
            "kit_at_ramp": [{
                "item": "life-jackets", "label": "life jacket, youth", "short": 3,
                "from": [{
                    "holder": "shelf", "number": "S1", "station": "Otter Ferry", "units": 2,
                    "way": {"way": "straight", "minutes": null, "metres": 19322},
                }],
                "still_short": 1,
            }],
            "cover_left": {
                "craft": 1, "less": [{"station": "Mill Race", "craft": 0}],
                "without": ["Mill Race"],
            },
            "hindrances": [],
            "to_do": [],
            "to_do_min": 0,
            "whom_to_call": [{"station": "Mill Race", "call": "Mill"}],
            "would_go": null,
        })
    );
}

#[test]
fn those_that_do_not_go_by_time() {
    let line = candidate("Boat 7");
    assert_eq!(line["reach"], "by_line");
    assert_eq!(line["time_to_water"]["total_min"], Value::Null);
    assert_eq!(line["time_to_water"]["at_least_min"], 16);
    assert_eq!(line["disputed"][0]["station"], "Mill Race");
    assert_eq!(line["disputed"][1]["way"]["metres"], 19_322);
    let unchecked = candidate("Boat 9");
    assert_eq!(
        unchecked["to_do"],
        json!(["gauge 3 chambers", "count life jackets"])
    );
    assert_eq!(unchecked["to_do_min"], 8);
    let none = candidate("Raft 2");
    assert_eq!(none["hindrances"], json!(["way_closed", "crew_short"]));
    assert_eq!(none["crew"]["known"], "short");
    assert_eq!(
        none["would_go"],
        "the road from its station is closed; too few crew; call Mill Race (radio call Mill)"
    );
}
