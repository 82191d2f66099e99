//! Every limit of a boat standard and of the county's policy: just under it passes, just over it is
//! refused in words that name the field, the value and what is allowed.

use sponson_readiness::standard::{Policy, SHEET_MAX, Standard, StandardError};
use toml::{Table, Value};

use super::sheet;

/// Where a value stands; values that pass; values that do not; what the refusal says.
type Row<'a> = (&'a str, &'a [&'a str], &'a [&'a str], &'a str);

/// Holds each row against a text, one value changed at a time.
fn check(text: &str, rows: &[Row<'_>], read: impl Fn(&str) -> Result<(), StandardError>) {
    for (path, pass, over, said) in rows {
        for value in *pass {
            let read = read(&changed(text, path, value));
            assert_eq!(read, Ok(()), "{path} = {value} is within");
        }
        for value in *over {
            let refused = read(&changed(text, path, value))
                .expect_err(value)
                .to_string();
            let field = path.rsplit('.').find(|name| name.parse::<usize>().is_err());
            let field = field.expect("a name");
            assert!(refused.contains(said), "{path} = {value}: {refused}");
            assert!(
                refused.contains(field) || refused.contains(&field.replace('_', " ")),
                "{path} = {value} is not named: {refused}"
            );
        }
    }
}

/// The text with one value changed: names and places in lists, parted by points.
fn changed(text: &str, path: &str, value: &str) -> String {
    let mut all = Value::Table(toml::from_str(text).expect("TOML"));
    let value: Table = toml::from_str(&format!("v = {value}")).expect("a value");
    let names: Vec<&str> = path.split('.').collect();
    set(&mut all, &names, &value["v"]);
    toml::to_string(&all).expect("TOML")
}

fn set(at: &mut Value, path: &[&str], value: &Value) {
    let Some((name, rest)) = path.split_first() else {
        *at = value.clone();
        return;
    };
    match at {
        Value::Array(list) => set(
            &mut list[name.parse::<usize>().expect("a place")],
            rest,
            value,
        ),
        Value::Table(table) => {
            let empty = || Value::Table(Table::new());
            set(table.entry(*name).or_insert_with(empty), rest, value);
        }
        Value::String(_)
        | Value::Integer(_)
        | Value::Float(_)
        | Value::Boolean(_)
        | Value::Datetime(_) => panic!("nothing stands in {at}"),
    }
}

/// A value of so many of one character.
fn long(length: usize) -> String {
    format!("'{}'", "x".repeat(length))
}

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

#[test]
#[expect(clippy::too_many_lines, reason = "a table, one entry a limit")]
fn numbers_of_a_sheet() {
    let (word, too_long) = (long(40), long(41));
    let (text, too_wordy) = (long(200), long(201));
    let uses =
        |count: u32| format!("[{{ item = 'spark-plug', label = 'plugs', count = {count} }}]");
    let (used, overused) = (uses(100), uses(101));
    let rows: &[Row<'_>] = &[
        (
            "crew_min",
            &["1", "30"],
            &["0", "31"],
            "from 1 to 30 persons",
        ),
        (
            "missions.ice.crew_min",
            &["30"],
            &["31"],
            "from 1 to 30 persons",
        ),
        ("revision", &["1"], &["0"], "give 1 or more"),
        (
            "length",
            &["'2 m'", "'15 m'"],
            &["'1.99 m'", "'15.01 m'"],
            "from 2 to 15 m",
        ),
        (
            "operator_level",
            &[&word],
            &[&too_long, "''"],
            "1 to 40 small letters",
        ),
        (
            "label",
            &[&text],
            &[&too_wordy, "''"],
            "1 to 200 characters",
        ),
        ("rig_minutes", &["0", "1440"], &["1441"], "at most 1440"),
        (
            "check.every",
            &["'1 day'", "'3660 days'"],
            &["'0 days'"],
            "at least 1 day",
        ),
        ("check.every", &[], &["'3661 days'"], "from 0 to 3660"),
        ("check.minutes", &["1440"], &["1441"], "at most 1440"),
        (
            "launch",
            &["{ ramp_minutes = 240, basis = 'trade', source = 'x' }"],
            &[],
            "",
        ),
        (
            "load.lying_seats",
            &["1", "8"],
            &["0", "9"],
            "from 1 to 8 seats",
        ),
        (
            "limits.wind",
            &["'60 m/s'"],
            &["'60.1 m/s'"],
            "from 0 to 60 m/s",
        ),
        (
            "limits.current",
            &["'60 m/s'"],
            &["'60.1 m/s'"],
            "from 0 to 60 m/s",
        ),
        (
            "fuel.tank",
            &["'1000 l'"],
            &["'1001 l'"],
            "from 0 to 1000 l",
        ),
        ("fuel.mix", &["10", "200"], &["9", "201"], "from 10 to 200"),
        ("item.0.count", &["1000"], &["1001"], "at most 1000"),
        ("item.0.count_minutes", &["1440"], &["1441"], "at most 1440"),
        (
            "item.0.mass",
            &["'1000 kg'"],
            &["'1001 kg'"],
            "from 0 to 1000 kg",
        ),
        ("inspection.0.minutes", &["1440"], &["1441"], "at most 1440"),
        (
            "inspection.0.every_engine",
            &["'1 h'", "'20000 h'"],
            &["'59 min'"],
            "at least 1 h",
        ),
        (
            "inspection.0.uses",
            &[&used],
            &[
                "[{ item = 'spark-plug', label = 'plugs', count = 0 }]",
                &overused,
            ],
            "from 1 to 100",
        ),
        ("question.0.minutes", &["1440"], &["1441"], "at most 1440"),
    ];
    check(sheet("flat-bottom-16"), rows, |text| {
        Standard::parse(text).map(|_| ())
    });
    let launch = |minutes: u32| {
        let launch = format!("{{ ramp_minutes = {minutes}, basis = 'trade', source = 'x' }}");
        Standard::parse(&changed(sheet("flat-bottom-16"), "launch", &launch)).map(|_| ())
    };
    let refused = launch(241).expect_err("too long").to_string();
    assert!(
        refused.contains("ramp_minutes") && refused.contains("from 0 to 240"),
        "{refused}"
    );
}

#[test]
fn pressures_and_signals_of_a_sheet() {
    let text = sheet("inflatable-14");
    let standard = Standard::parse(text).expect("a sheet");
    let tube = standard
        .parts
        .iter()
        .position(|part| part.pressure.is_some());
    let signal = standard.items.iter().position(|item| item.signal.is_some());
    let pressure = |field: &str| format!("part.{}.pressure.{field}", tube.expect("a tube"));
    let units = format!("item.{}.signal.units", signal.expect("a signal"));
    let (above, minutes, read) = (
        pressure("implausible_above"),
        pressure("top_up_minutes"),
        pressure("read_minutes"),
    );
    let rows: &[Row<'_>] = &[
        (&above, &["'10 bar'"], &["'10.01 bar'"], "from 0 to 10 bar"),
        (&minutes, &["1440"], &["1441"], "at most 1440"),
        (&read, &["1440"], &["1441"], "at most 1440"),
        (&units, &["1", "12"], &["0", "13"], "from 1 to 12"),
    ];
    check(text, rows, |text| Standard::parse(text).map(|_| ()));
}

#[test]
fn a_sheet_has_so_many_stops() {
    let stops = |count: usize| {
        let parts = ["hull", "transom", "motor", "trailer"];
        let mut table: Table = toml::from_str(sheet("flat-bottom-16")).expect("TOML");
        let questions = table["question"].as_array_mut().expect("questions");
        let one = questions[0].clone();
        let mut stops = Vec::new();
        for number in 0..count {
            let mut line = one.clone();
            set(&mut line, &["id"], &Value::String(format!("q{number}")));
            set(
                &mut line,
                &["part"],
                &Value::String(parts[number % 4].to_owned()),
            );
            questions.push(line);
            let stop = format!("id = 's{number}'\nlabel = 's'\nlines = ['q{number}']");
            stops.push(Value::Table(toml::from_str(&stop).expect("TOML")));
        }
        table.insert("stop".to_owned(), Value::Array(stops));
        Standard::parse(&toml::to_string(&table).expect("TOML"))
    };
    let most = stops(40).expect("as many as there may be");
    assert_eq!(most.stops.len(), 40);
    let refused = stops(41).expect_err("one more").to_string();
    assert!(
        refused.contains("41 stops") && refused.contains("at most 40"),
        "{refused}"
    );
}

#[test]
fn the_text_of_a_sheet_has_60_kib() {
    let padded = |text: &str, length: usize| {
        let comment = length - text.len() - 1;
        format!("{text}#{}", "x".repeat(comment))
    };
    let text = sheet("flat-bottom-16");
    assert!(Standard::parse(&padded(text, SHEET_MAX)).is_ok());
    let refused = Standard::parse(&padded(text, SHEET_MAX + 1)).expect_err("too long");
    let refused = refused.to_string();
    assert!(
        refused.contains("61441 bytes") && refused.contains("at most 60 KiB"),
        "{refused}"
    );
}
