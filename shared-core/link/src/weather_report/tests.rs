//! Reports against another library, against the meaning printed with published ones, and group by group.

use metar::{Data, Metar, Pressure, WindSpeed};
use proptest::prelude::*;
use sponson_readiness::conditions::{Ambient, Conditions, Visibility};
use sponson_readiness::moment::Moment;
use sponson_readiness::weather_report::{Reach, Reported, WeatherReport};
use sponson_show::units::{print, speed};

use super::{fill, read};

const REPORTS: &str = include_str!("../../../../tests/reference/weather-reports.csv");

fn moment(text: &str) -> Moment {
    let at = chrono::DateTime::parse_from_rfc3339(&text.replace('Z', ":00Z"));
    Moment(at.expect(text).timestamp_millis())
}

/// Rows of the file: asked, report, and what the other library reads.
fn rows() -> Vec<Vec<&'static str>> {
    let lines = REPORTS.lines().filter(|line| !line.starts_with('#'));
    lines
        .skip(1)
        .map(|line| line.split(',').collect())
        .collect()
}

fn taken(row: &[&str]) -> WeatherReport {
    read(row[1], moment(row[0])).unwrap_or_else(|error| panic!("{row:?}: {error:?}"))
}

/// Whether a value is the printed one, within half a unit of its last digit and what two units of a
/// library's own inch or knot may differ.
fn agrees(printed: &str, value: Option<f64>, tolerance: f64) -> bool {
    match (printed, value) {
        ("", None) => true,
        ("", Some(_)) | (_, None) => false,
        (printed, Some(value)) => {
            let printed: f64 = printed.parse().expect(printed);
            (printed - value).abs() <= tolerance
        }
    }
}

/// python-metar 2.0.2. Where it and this reading differ on purpose stands in `made_again/weather.py`.
#[test]
fn every_report_reads_as_python_metar_reads_it() {
    let rows = rows();
    assert_eq!(rows.len(), 62);
    for row in rows {
        let report = taken(&row);
        let milli = |value: Option<i32>| value.map(|value| f64::from(value) / 1000.0);
        let per_s = |value: Option<u32>| value.map(|value| f64::from(value) / 1000.0);
        let wind = report.wind;
        assert_eq!(report.at, moment(row[2]), "{row:?}");
        let found = [
            (row[3], milli(report.air_mc), 0.01),
            (row[4], milli(report.dew_point_mc), 0.01),
            (row[5], per_s(wind.map(|it| it.mean_mm_s)), 0.006),
            (row[6], per_s(wind.and_then(|it| it.gust_mm_s)), 0.006),
            (
                row[7],
                report.visibility.map(|it| f64::from(it.metres)),
                0.51,
            ),
            (
                row[8],
                report.altimeter_pa.map(|pa| pa as f64 / 100.0),
                0.06,
            ),
        ];
        for (number, (printed, value, tolerance)) in found.into_iter().enumerate() {
            let place = number + 4;
            assert!(
                agrees(printed, value, tolerance),
                "{place}: {value:?} {row:?}"
            );
        }
        assert_eq!(report.not_understood, Vec::<String>::new(), "{row:?}");
    }
}

/// The metar library 0.9.3, where it reads a report at all.
#[test]
fn reports_that_the_metar_library_reads_are_the_same_to_it() {
    let mut read_by_both = 0;
    for row in rows() {
        let Ok(other) = Metar::parse(row[1]) else {
            continue;
        };
        read_by_both += 1;
        let report = taken(&row);
        assert_eq!(report.station, other.station, "{row:?}");
        if let Data::Known(air_c) = other.temperature {
            let mc = report.air_mc.expect("air");
            assert!((mc - air_c * 1_000).abs() <= 500, "{row:?}");
        }
        if let metar::Wind::Present { speed: said, .. } = other.wind {
            let WindSpeed::Knots { speed: knots, .. } = said else {
                continue;
            };
            let mean = report.wind.map(|wind| print::speed(wind.mean_mm_s));
            let theirs = match knots {
                Data::Known(kn) => speed("wind", &format!("{kn}kn")).ok().map(print::speed),
                Data::Unknown => None,
            };
            assert_eq!(mean, theirs, "{row:?}");
        }
        if let Pressure::Hectopascals(Data::Known(hpa)) = other.pressure {
            assert_eq!(report.altimeter_pa, Some(i64::from(hpa) * 100), "{row:?}");
        }
    }
    assert!(read_by_both >= 25, "{read_by_both}");
}

/// At 17:00 UTC on the 28th.
fn now() -> Moment {
    moment("2026-11-28T17:00Z")
}

fn of(groups: &str) -> WeatherReport {
    let text = format!("KRAP 281652Z {groups}");
    read(&text, now()).unwrap_or_else(|error| panic!("{text}: {error:?}"))
}

/// What the navigation rules call restricted (33 CFR 83.03(l)) is so whatever the distance; the rest
/// goes by the distance.
#[test]
fn what_restricts_visibility() {
    let cases = [
        ("10SM BCFG", Some(Visibility::Restricted)),
        ("10SM MIFG", Some(Visibility::Restricted)),
        ("5SM BR", Some(Visibility::Restricted)),
        ("2SM +RA", Some(Visibility::Restricted)),
        ("6SM SN", Some(Visibility::Restricted)),
        ("6SM -SN", Some(Visibility::Metres(9_656))),
        ("10SM VCFG", Some(Visibility::Metres(16_093))),
        ("10SM DRSN", Some(Visibility::Metres(16_093))),
        ("5SM HZ", Some(Visibility::Metres(8_047))),
        ("// HZ", Some(Visibility::Restricted)),
        ("-SN", Some(Visibility::Restricted)),
        ("-RA", None),
        ("//// //", None),
        ("M1/4SM", Some(Visibility::Restricted)),
        ("0000", Some(Visibility::Restricted)),
        ("P6SM", Some(Visibility::Metres(9_656))),
        ("CAVOK", Some(Visibility::Metres(10_000))),
        ("2000 0900S", Some(Visibility::Metres(900))),
        ("1 1/2SM", Some(Visibility::Metres(2_414))),
    ];
    for (groups, wanted) in cases {
        let report = of(&format!("31014KT {groups} 12/03 A2992"));
        assert_eq!(report.sight(), wanted, "{groups}: {report:?}");
        assert!(report.not_understood.is_empty(), "{groups}: {report:?}");
    }
}

#[test]
fn gusts_count_where_there_are_any() {
    let wind = |groups| of(groups).wind.expect(groups);
    assert_eq!(wind("31014G32KT 10SM").counts_mm_s(), 16_462);
    assert_eq!(wind("31014KT 10SM").counts_mm_s(), 7_202);
    assert_eq!(wind("24004MPS 10SM").counts_mm_s(), 4_000);
    assert_eq!(wind("140P99KT 10SM").reach, Reach::OrMore);
    assert_eq!(wind("140ABV49MPS 10SM").counts_mm_s(), 49_000);
}

/// Capitals or not, on several lines, with the name of the code before it, put right, from a bulletin or a
/// list: all one report.
#[test]
fn however_it_is_pasted() {
    let plain = of("31014G32KT 1/2SM FG M05/M07 A2992 RMK AO2 T10501072");
    let cases = [
        "METAR KRAP 281652Z 31014G32KT 1/2SM FG M05/M07 A2992 RMK AO2 T10501072=",
        "SPECI KRAP 281652Z COR 31014G32KT 1/2SM FG M05/M07 A2992 RMK AO2 T10501072",
        "METAR COR KRAP 281652Z AUTO 31014G32KT 1/2SM FG M05/M07 A2992 RMK AO2 T10501072 =",
        "  krap 281652z\r\n\t31014g32kt 1/2sm fg\n  m05/m07 a2992 rmk ao2 t10501072\n",
        "SAUS43 KUNR 281652 METAR KRAP 281652Z 31014G32KT 1/2SM FG M05/M07 A2992 RMK T10501072",
        "2026/11/28 16:52 KRAP 281652Z 31014G32KT 1/2SM FG M05/M07 A2992 RMK AO2 T10501072",
        "KRAP 281652Z 31014G32KT 1/2SM FG M05/M07 A2992 Q1013 RMK AO2 T10501072 $",
    ];
    for text in cases {
        let report = read(text, now()).expect(text);
        assert!(report.not_understood.is_empty(), "{report:?}");
        let same = WeatherReport {
            text: plain.text.clone(),
            not_used: plain.not_used.clone(),
            ..report
        };
        assert_eq!(same, plain, "{text}");
    }
    assert_eq!(plain.air_mc, Some(-5_000));
    assert_eq!(plain.dew_point_mc, Some(-7_200));
}

/// A group that is not understood is listed, and nothing is made of it; what two groups say
/// differently is taken from neither.
#[test]
fn what_is_not_understood_is_listed() {
    let cases: [(&str, &[&str], &[Reported]); 14] = [
        (
            "310145678KT 10SM 12/03 A2992",
            &["310145678KT"],
            &[Reported::Wind],
        ),
        (
            "31040G20KT 10SM 12/03 A2992",
            &["31040G20KT"],
            &[Reported::Wind],
        ),
        ("37014KT 10SM 12/03 A2992", &["37014KT"], &[Reported::Wind]),
        (
            "310300KT 10SM 12/03 A2992",
            &["310300KT"],
            &[Reported::Wind],
        ),
        (
            "31014KT 10/0SM 12/03 A2992",
            &["10/0SM"],
            &[Reported::Visibility],
        ),
        ("31014KT 1 3/2SM 12/03 A2992", &["1"], &[]),
        ("31014KT 10SM 75/03 A2992", &["75/03"], &[Reported::Air]),
        ("31014KT 10SM 03/12 A2992", &["03/12"], &[Reported::Air]),
        (
            "31014KT 10SM 12/03 A9992",
            &["A9992"],
            &[Reported::Altimeter],
        ),
        (
            "31014KT 10SM 12/03 Q0013",
            &["Q0013"],
            &[Reported::Altimeter],
        ),
        (
            "31014KT 31024KT 10SM 12/03 A2992",
            &["31014KT", "31024KT"],
            &[Reported::Wind],
        ),
        (
            "31014KT 10SM 12/03 A2992 Q0985",
            &["A2992", "Q0985"],
            &[Reported::Altimeter],
        ),
        (
            "31014KT 10SM 12/03 A2992 RMK T02500030",
            &["12/03", "T02500030"],
            &[Reported::Air],
        ),
        ("31014KT 10SM 12/03 A2992 W\u{fc}rm", &["W\u{fc}RM"], &[]),
    ];
    for (groups, listed, lacking) in cases {
        let report = of(groups);
        let listed: Vec<String> = listed.iter().map(|it| it.to_uppercase()).collect();
        let found: Vec<String> = report
            .not_understood
            .iter()
            .map(|it| it.to_uppercase())
            .collect();
        assert_eq!(found, listed, "{groups}");
        let offers = report.offers();
        for what in Reported::ALL {
            assert_ne!(
                offers.contains(&what),
                lacking.contains(&what),
                "{groups}: {what:?}"
            );
        }
    }
}

#[test]
fn forecasts_and_remarks_are_not_what_is() {
    let report = of("31014KT 9999 12/03 Q1013 TEMPO 35045KT 0500 +SN");
    assert_eq!(report.sight(), Some(Visibility::Metres(10_000)));
    assert_eq!(report.not_used, ["TEMPO 35045KT 0500 +SN"]);
    let report = of("31014KT 10SM 12/03 A2992 RMK PK WND 31045/15 VIS 1/2V1");
    assert_eq!(report.wind.map(|wind| wind.counts_mm_s()), Some(7_202));
    assert_eq!(report.not_used, ["RMK PK WND 31045/15 VIS 1/2V1"]);
}

#[test]
fn refused_with_what_and_why() {
    let long = format!("KRAP 281652Z 31014KT {}", "RA ".repeat(700));
    let cases = [
        ("", "is empty"),
        ("=", "is empty"),
        ("METAR", "is empty"),
        ("TAF KRAP 281720Z 2818/2918 31014KT P6SM", "begins with TAF"),
        ("hello 281652Z 31014KT", "begins with 'HELLO'"),
        ("KRAP", "has 'nothing' after KRAP"),
        ("KRAP 31014KT 10SM", "has '31014KT' after KRAP"),
        ("KRAP 321652Z 31014KT", "has '321652Z' after KRAP"),
        ("KRAP 282452Z 31014KT", "has '282452Z' after KRAP"),
        ("KRAP 281652Z NIL=", "of KRAP says NIL"),
        (
            "KRAP 281652Z QQQ 55",
            "nothing that can be used; not understood: QQQ 55",
        ),
        (
            "KRAP 281652Z /////KT //// // ///// A////",
            "nothing that can be used",
        ),
        (
            "KRAP 281652Z 31014KT KPIR 281655Z 32012KT",
            "more than one report",
        ),
        (
            "KRAP 281652Z 31014KT= KPIR 281655Z 32012KT=",
            "more than one report",
        ),
        (
            "KRAP 281852Z 31014KT 10SM",
            "281852Z comes 1 h 52 min after",
        ),
        (
            "KRAP 291652Z 31014KT 10SM",
            "291652Z comes 23 h 52 min after",
        ),
        ("KRAP 261652Z 31014KT 10SM", "261652Z is 2 days before"),
        ("KRAP 311652Z 31014KT 10SM", "311652Z is 28 days before"),
        (&long, "has 2121 bytes; at most 2048 are allowed"),
    ];
    for (text, wanted) in cases {
        let refusal = read(text, now()).expect_err(text);
        let said = tonic::Status::from(refusal).message().to_owned();
        assert!(said.contains(wanted), "{text}: {said}");
        assert!(said.starts_with("weather report "), "{said}");
    }
}

/// The latest such time counts that is not after the asked moment; a report is dated by the minute at which it
/// is due, so it may be a little ahead.
#[test]
fn when_a_report_was_made() {
    let cases = [
        ("2026-03-01T00:10Z", "010003Z", "2026-03-01T00:03Z"),
        ("2026-03-01T00:10Z", "282353Z", "2026-02-28T23:53Z"),
        ("2028-03-01T00:10Z", "292353Z", "2028-02-29T23:53Z"),
        ("2026-01-01T00:10Z", "312353Z", "2025-12-31T23:53Z"),
        ("2025-12-31T23:55Z", "010000Z", "2026-01-01T00:00Z"),
        ("2026-11-28T17:00Z", "281710Z", "2026-11-28T17:10Z"),
        ("2026-11-28T17:00Z", "271700Z", "2026-11-27T17:00Z"),
    ];
    for (asked, stamp, wanted) in cases {
        let text = format!("KRAP {stamp} 31014KT 10SM");
        let report = read(&text, moment(asked)).expect(&text);
        assert_eq!(report.at, moment(wanted), "{asked} {stamp}");
    }
}

#[test]
fn what_is_given_by_hand_counts() {
    let report = || of("31014G32KT 1/2SM FG M05/M07 A2992");
    let (mut air_mc, mut conditions) = (None, Conditions::NONE);
    let taken = fill(report(), &mut air_mc, &mut conditions);
    assert_eq!(air_mc, Some(-5_000));
    assert_eq!(conditions.wind_mm_s, Some(16_462));
    assert_eq!(conditions.visibility, Some(Visibility::Restricted));
    assert_eq!(conditions.ambient, Some(Ambient::AltimeterPa(101_321)));
    assert!(taken.by_hand.is_empty());

    let by_hand = Conditions {
        wind_mm_s: Some(1),
        visibility: Some(Visibility::Clear),
        ambient: Some(Ambient::StationPa(90_000)),
        ..Conditions::NONE
    };
    let (mut air_mc, mut conditions) = (Some(0), by_hand.clone());
    let taken = fill(report(), &mut air_mc, &mut conditions);
    assert_eq!((air_mc, &conditions), (Some(0), &by_hand));
    assert_eq!(taken.by_hand, Reported::ALL.into_iter().collect());
    assert!(taken.taken().is_empty());
    // Of what the report does not say nothing is told to be by hand instead.
    let (mut air_mc, mut conditions) = (Some(0), by_hand);
    let taken = fill(of("31014KT"), &mut air_mc, &mut conditions);
    assert_eq!(taken.by_hand, [Reported::Wind].into_iter().collect());
}

fn group() -> impl Strategy<Value = String> {
    let known: Vec<String> = rows()
        .iter()
        .flat_map(|row| row[1].split(' '))
        .map(str::to_owned)
        .collect();
    prop_oneof![
        prop::sample::select(known),
        "[0-9A-Z/+$-]{0,9}",
        "[0-9]{1,4}(SM|KT|KM|MPS|Z|V|G)[0-9]{0,4}",
        "\\PC{0,6}",
    ]
}

proptest! {
    /// No text panics, and each text is refused or read.
    #[test]
    fn any_text_is_read_or_refused(text in "\\PC{0,200}", ms in any::<i64>()) {
        let _ = read(&text, Moment(ms));
    }

    /// The same for what looks like a report.
    #[test]
    fn any_groups_are_read_or_refused(groups in prop::collection::vec(group(), 0..14)) {
        let text = format!("KRAP 281652Z {}", groups.join(" "));
        if let Ok(report) = read(&text, now()) {
            prop_assert!(report.wind.is_none_or(|wind| wind.counts_mm_s() <= 120_000));
            let settings = 85_000..=110_000;
            prop_assert!(report.altimeter_pa.is_none_or(|pa| settings.contains(&pa)));
            let read_again = read(&report.text, now());
            prop_assert_eq!(read_again.ok(), Some(report));
        }
    }

    /// A group that means nothing is listed wherever it stands, and changes nothing else.
    #[test]
    fn a_group_that_means_nothing_is_listed(at in 0_usize..6, odd in "[XQZ]{2}[0-9]{3}[KW]") {
        let mut groups = vec!["31014G32KT", "10SM", "FEW045", "M05/M07", "A2992"];
        let plain = of(&groups.join(" "));
        groups.insert(at.min(5), &odd);
        let report = of(&groups.join(" "));
        prop_assert_eq!(&report.not_understood, std::slice::from_ref(&odd));
        let same = WeatherReport {
            text: plain.text.clone(),
            not_understood: Vec::new(),
            ..report
        };
        prop_assert_eq!(same, plain);
    }
}
