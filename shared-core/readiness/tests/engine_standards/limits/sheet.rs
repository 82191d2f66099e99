//! Limits of a boat standard.

use sponson_readiness::standard::{SHEET_MAX, Standard};
use toml::{Table, Value};

use super::super::sheet;
use super::{Row, changed, check, long, set};

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
