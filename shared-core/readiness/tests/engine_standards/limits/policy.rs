//! Limits of the county's policy.

use sponson_readiness::standard::Policy;

use super::{Row, check, long};

#[test]
#[expect(clippy::too_many_lines, reason = "a table, one entry a limit")]
fn quantities_of_a_policy() {
    let rows: &[Row<'_>] = &[
        (
            "air",
            &["'-60 °C'", "'60 °C'"],
            &["'-60.1 °C'", "'60.1 °C'"],
            "from -60 to 60 °C",
        ),
        (
            "elevation",
            &["'-450 m'", "'6000 m'"],
            &["'-451 m'", "'6001 m'"],
            "from -450 to 6000 m",
        ),
        (
            "crew_mass",
            &["'40 kg'", "'250 kg'"],
            &["'39.9 kg'", "'250.1 kg'"],
            "from 40 kg (88 lb) to 250 kg",
        ),
        (
            "person_mass",
            &["'40 kg'", "'250 kg'"],
            &["'39.9 kg'", "'250.1 kg'"],
            "from 40 kg (88 lb) to 250 kg",
        ),
        (
            "silent",
            &["'1 h'", "'20000 h'"],
            &["'59 min'"],
            "at least 1 h",
        ),
        ("silent", &[], &["'20001 h'"], "from 0 s to 20000 h"),
        (
            "unsettled_spread",
            &["'0 °C'", "'40 °C'"],
            &["'-1 °C'", "'40.1 °C'"],
            "from 0 to 40 °C",
        ),
        (
            "utc_offset_min",
            &["-840", "840"],
            &["-841", "841"],
            "from -840 to 840",
        ),
        (
            "restricted_visibility",
            &["'100 km'"],
            &["'100.1 km'"],
            "from 0 to 100 km",
        ),
        (
            "pressure.gauge_accuracy",
            &["'0 mbar'", "'100 mbar'"],
            &["'100.1 mbar'"],
            "from 0 to 100 mbar",
        ),
        (
            "pressure.ambient_swing",
            &["'0 mbar'", "'100 mbar'"],
            &["'100.1 mbar'"],
            "from 0 to 100 mbar",
        ),
        (
            "pressure.fill_humidity_percent",
            &["0", "100"],
            &["101"],
            "from 0 (dry air) to 100",
        ),
        (
            "load.fuel_density",
            &["'0.65 kg/L'", "'0.9 kg/L'"],
            &["'0.649 kg/L'", "'0.901 kg/L'"],
            "from 0.65 to 0.9",
        ),
        (
            "load.adult_over",
            &["'1000 kg'"],
            &["'1001 kg'"],
            "from 0 to 1000 kg",
        ),
        (
            "leak.limit_per_day",
            &["'0 bar'", "'10 bar'"],
            &["'10.1 bar'"],
            "from 0 to 10 bar",
        ),
        (
            "recurring.same_place_within",
            &["'0 m'", "'5 m'"],
            &["'5.01 m'"],
            "from 0 to 5 m",
        ),
        (
            "asked_back.tank",
            &["'0 l'", "'1000 l'"],
            &["'1001 l'"],
            "from 0 to 1000 l",
        ),
        (
            "asked_back.date",
            &["'1 month'", "'240 months'"],
            &["'0 months'", "'241 months'"],
            "from 1 to 240",
        ),
        (
            "pictures.budget",
            &["'1 MB'", "'100 GB'"],
            &["'0.9 MB'", "'100.1 GB'"],
            "from 1 MB to 100 GB",
        ),
        (
            "spares.counted",
            &["'1 day'", "'3660 days'"],
            &["'3661 days'"],
            "from 0 to 3660",
        ),
        ("spares.counted", &[], &["'0 days'"], "at least 1 day"),
        (
            "callout.raise_crew",
            &["'24 h'"],
            &["'1441 min'"],
            "at most 24 h",
        ),
        (
            "callout.launch_ramp",
            &["'24 h'"],
            &["'1441 min'"],
            "at most 24 h",
        ),
        (
            "callout.launch_bank",
            &["'24 h'"],
            &["'1441 min'"],
            "at most 24 h",
        ),
        (
            "ahead.lead",
            &["'0 days'", "'3660 days'"],
            &["'3661 days'"],
            "from 0 to 3660",
        ),
    ];
    check(Policy::default_text(), rows, |text| {
        Policy::parse(text).map(|_| ())
    });
}

#[test]
#[expect(clippy::too_many_lines, reason = "a table, one entry a limit")]
fn counts_of_a_policy() {
    let names = |count: usize| format!("[{}]", vec!["'a'"; count].join(", "));
    let levels = (names(16), names(17));
    let rows: &[Row<'_>] = &[
        (
            "free_air.growth_percent",
            &["0", "20"],
            &["21"],
            "from 0 to 20",
        ),
        (
            "free_air.pump_losses_percent",
            &["0", "90"],
            &["91"],
            "from 0 to 90",
        ),
        (
            "free_air.least_charge_percent",
            &["0", "100"],
            &["101"],
            "from 0 to 100",
        ),
        (
            "free_air.breathing_litres_a_minute",
            &["10", "200"],
            &["9", "201"],
            "from 10 to 200",
        ),
        (
            "cylinder.0.test_times",
            &["1", "10"],
            &["0", "11"],
            "from 1 to 10",
        ),
        (
            "cylinder.0.requalify",
            &["'240 months'"],
            &["'241 months'"],
            "from 1 to 240",
        ),
        (
            "leak.known_readings",
            &["2", "16"],
            &["1", "17"],
            "from 2 to 16",
        ),
        ("leak.least_time", &["'1 h'"], &["'59 min'"], "at least 1 h"),
        (
            "hold.hour_loss_percent",
            &["1", "50"],
            &["0", "51"],
            "from 1 to 50",
        ),
        (
            "asked_back.gauge_change_percent",
            &["1000"],
            &["1001"],
            "at most 1000",
        ),
        (
            "asked_back.count_margin",
            &["1000"],
            &["1001"],
            "at most 1000",
        ),
        (
            "asked_back.cylinder_over_percent",
            &["1000"],
            &["1001"],
            "at most 1000",
        ),
        (
            "pictures.longest_side",
            &["320", "4000"],
            &["319", "4001"],
            "from 320 to 4000",
        ),
        (
            "pictures.bytes_each",
            &["20000", "1000000"],
            &["19999", "1000001"],
            "from 20000 to 1000000",
        ),
        ("recurring.few", &["1", "20"], &["0", "21"], "from 1 to 20"),
        (
            "recurring.false_alarms_percent",
            &["1", "50"],
            &["0", "51"],
            "from 1 to 50",
        ),
        (
            "recurring.more_percent",
            &["101", "1000"],
            &["100", "1001"],
            "from 101 to 1000",
        ),
        (
            "recurring.interval_percent",
            &["50", "99"],
            &["49", "100"],
            "from 50 to 99",
        ),
        (
            "recurring.trend_percent",
            &["1", "20"],
            &["0", "21"],
            "from 1 to 20",
        ),
        (
            "recurring.trend_least",
            &["3", "50"],
            &["2", "51"],
            "from 3 to 50",
        ),
        (
            "recurring.repair_again_after",
            &["1", "20"],
            &["0", "21"],
            "from 1 to 20",
        ),
        (
            "recurring.maker_after",
            &["1", "20"],
            &["0", "21"],
            "from 1 to 20",
        ),
        (
            "recurring.take_out_after",
            &["1", "20"],
            &["0", "21"],
            "from 1 to 20",
        ),
        (
            "recurring.condemn_after",
            &["1", "20"],
            &["0", "21"],
            "from 1 to 20",
        ),
        (
            "recurring.maker_within",
            &["'1 day'"],
            &["'0 days'"],
            "at least 1 day",
        ),
        (
            "recurring.hold_faults",
            &["2", "100"],
            &["1", "101"],
            "from 2 to 100",
        ),
        (
            "recurring.hold_units",
            &["1", "100"],
            &["0", "101"],
            "from 1 to 100",
        ),
        (
            "recurring.hold_apart_percent",
            &["1", "50"],
            &["0", "51"],
            "from 1 to 50",
        ),
        (
            "doubted.least_series",
            &["2", "1000"],
            &["1", "1001"],
            "from 2 to 1000",
        ),
        (
            "doubted.least_pairs",
            &["6", "1000"],
            &["5", "1001"],
            "from 6 to 1000",
        ),
        (
            "doubted.pairs_within",
            &["'1 day'", "'366 days'"],
            &["'0 days'", "'367 days'"],
            "from 1 to 366",
        ),
        (
            "doubted.apart",
            &["'0 mbar'", "'100 mbar'"],
            &["'100.1 mbar'"],
            "100 mbar",
        ),
        (
            "doubted.by_chance_percent",
            &["1", "50"],
            &["0", "51"],
            "from 1 to 50",
        ),
        (
            "people.levels",
            &[&levels.0],
            &["[]", &levels.1],
            "from 1 to 16",
        ),
    ];
    check(Policy::default_text(), rows, |text| {
        Policy::parse(text).map(|_| ())
    });
}

#[test]
fn shifts_and_stations_of_a_policy() {
    let text = format!(
        "{}\n[shifts]\nnames = ['A', 'B']\nfirst_day = '2026-01-05'\nstarts = '07:00'\neach = '24 h'\n",
        Policy::default_text()
    );
    let names = |count: usize| format!("[{}]", vec!["'a'"; count].join(", "));
    let (most, over) = (names(168), names(169));
    let (name, too_long) = (format!("[{}]", long(40)), format!("[{}]", long(41)));
    let stations = |count: usize| {
        let times = (0..count).map(|station| format!("'S{station}' = '8 min'"));
        format!("{{ {} }}", times.collect::<Vec<_>>().join(", "))
    };
    let (all, one_more) = (stations(500), stations(501));
    let rows: &[Row<'_>] = &[
        (
            "shifts.names",
            &[&most, &name],
            &["[]", &over, &too_long],
            "from 1 to 168 names of 1 to 40",
        ),
        (
            "shifts.starts",
            &["'00:00'", "'23:59'"],
            &["'24:00'", "'23:60'"],
            "a time of day",
        ),
        (
            "shifts.each",
            &["'1 h'", "'168 h'"],
            &["'59 min'", "'169 h'"],
            "from 1 h to 168 h",
        ),
        (
            "callout.raise_crew_at",
            &[&all],
            &[&one_more],
            "at most 500 stations",
        ),
    ];
    check(&text, rows, |text| Policy::parse(text).map(|_| ()));
}
