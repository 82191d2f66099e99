use sponson_readiness::leak::{Cut, Step};

use super::{PSI_PA, parse};

/// Cases D and F: numpy 2.4.6, scipy 1.17.1, statsmodels 0.15.0.
const REFERENCE: &str = include_str!("../../../../../../tests/reference/leak-readings.csv");

fn refusal(text: &str) -> String {
    match parse(text, None) {
        Ok(_) => panic!("read: {text}"),
        Err(error) => error.to_string(),
    }
}

#[test]
fn the_reference_is_read_as_it_stands() {
    let read = parse(REFERENCE, Some("D")).expect("case D");
    assert_eq!(read.steps.len(), 9);
    let Some(Step::Read(second)) = read.steps.get(1) else {
        panic!("a reading");
    };
    assert!((second.gauge_pa - 2.75 * PSI_PA).abs() < 1e-9);
    assert_eq!(second.air.temperature_mc, 12_000);
    assert!((second.air.ambient_pa - 101_100.0).abs() < 1e-9);
    assert!(!read.ambient_assumed);
    let error = refusal(REFERENCE);
    assert!(
        error.contains("line 10") && error.contains("--only"),
        "{error}"
    );
}

#[test]
fn readings_as_people_write_them() {
    let text = "time,gauge,temperature,before\n\
                2026-03-01 08:00,3.1 psi,62 F,\n\
                2026-03-02 20:00,\"210,5 mbar\",-2 C,repaired\n";
    let read = parse(text, None).expect("readings");
    assert!(read.ambient_assumed && read.day_0.is_some());
    let [
        Step::Read(first),
        Step::Cut(Cut::Repaired),
        Step::Read(last),
    ] = read.steps.as_slice()
    else {
        panic!("{:?}", read.steps);
    };
    assert!((first.gauge_pa - 3.1 * PSI_PA).abs() < 1e-5);
    assert_eq!(first.air.temperature_mc, 16_667);
    assert!((last.t_days - 1.5).abs() < 1e-12);
    assert!((last.gauge_pa - 21_050.0).abs() < 1e-6);
}

#[test]
fn what_cannot_be_read_is_named_with_its_line() {
    for (text, said) in [
        ("t_days,gauge_psi\n0,3\n", "temperature"),
        ("gauge_psi,temp_c\n3,15\n", "t_days or time"),
        ("t_days,temp_c\n0,15\n", "gauge_psi"),
        ("t_days,gauge_psi,temp_c\n0,3,15\n1,three,15\n", "line 3"),
        ("t_days,gauge_psi,temp_c\n1,3,15\n0,3,15\n", "line 3"),
        ("t_days,gauge,temp_c\n0,3,15\n", "no unit"),
        ("t_days,gauge_psi,temp_c\n0,3,150\n", "line 2, temperature"),
        (
            "t_days,gauge_psi,temp_c,ambient_pa\n0,3,15,1013\n",
            "300 hPa",
        ),
        ("t_days,gauge_psi,temp_c,before\n0,3,15,pumped\n", "let-out"),
        ("t_days,gauge_psi,temp_c\n0,3\n", "same number of values"),
        ("t_days,gauge_psi,temp_c\nNaN,3,15\n", "no number"),
    ] {
        let error = refusal(text);
        assert!(error.contains(said), "{text}: {error}");
    }
    let nobody = parse(
        "part,t_days,gauge_psi,temp_c\ntube-1,0,3,15\n",
        Some("tube-9"),
    );
    assert!(nobody.is_err());
}
