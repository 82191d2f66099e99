use sponson_readiness::event::DateMark;
use sponson_readiness::ids::SubjectId;
use sponson_readiness::standard::built_in;

use super::*;
use crate::sample;

const fn mark(year: i32, month: u32) -> DateMark {
    DateMark {
        year,
        month: Some(month),
        day: None,
    }
}

type Case = (FieldRef, AskedWhy);

fn gauges() -> Vec<Case> {
    let tube = || FieldRef::Reading(PartId::from("tube-1"), ReadingMoment::AsFound);
    let left = || FieldRef::Reading(PartId::from("tube-1"), ReadingMoment::AsLeft);
    let then = sample::AS_OF.plus_ms(-3_600_000);
    let (least_pa, most_pa) = (0, 50_000);
    vec![
        (
            tube(),
            AskedWhy::OtherPart {
                gauge_pa: 110_000,
                least_pa,
                most_pa,
                fits: PartId::from("floor"),
            },
        ),
        (
            tube(),
            AskedWhy::NoPart {
                gauge_pa: 350_000,
                least_pa,
                most_pa,
            },
        ),
        (
            tube(),
            AskedWhy::FarFromLast {
                gauge_pa: 12_000,
                last_pa: 24_800,
                limit_pa: 6_500,
                last_at: then,
            },
        ),
        (
            left(),
            AskedWhy::LeftBelowFound {
                found_pa: 24_000,
                left_pa: 22_000,
            },
        ),
    ]
}

fn others() -> Vec<Case> {
    let flares = LineId::from("flare-red-hand");
    let dates = || FieldRef::Dates(flares.clone(), None);
    let motor = SubjectId::from_bytes([3; 16]);
    let now = sample::AS_OF;
    vec![
        (
            FieldRef::Count(flares.clone(), None),
            AskedWhy::MoreThanEver {
                count: 33,
                last: Some(3),
                wanted: 3,
            },
        ),
        (
            FieldRef::Count(flares.clone(), None),
            AskedWhy::MoreThanEver {
                count: 33,
                last: None,
                wanted: 3,
            },
        ),
        (
            dates(),
            AskedWhy::BeforeLast {
                date: mark(2027, 3),
                last: mark(2028, 6),
            },
        ),
        (
            dates(),
            AskedWhy::Over {
                date: mark(2025, 1),
            },
        ),
        (
            dates(),
            AskedWhy::BeyondLife {
                date: mark(2072, 1),
                life_months: 42,
            },
        ),
        (
            FieldRef::Filled(None),
            AskedWhy::NotYet {
                date: mark(2030, 1),
            },
        ),
        (
            FieldRef::SealDate(motor),
            AskedWhy::Over {
                date: mark(2025, 1),
            },
        ),
        (
            FieldRef::Meter(Some(motor)),
            AskedWhy::MeterBack {
                engine_s: 36_000,
                last_s: 360_000,
            },
        ),
        (
            FieldRef::Meter(Some(motor)),
            AskedWhy::MeterFast {
                engine_s: 3_600_000,
                last_s: 360_000,
                passed_s: 7_200,
            },
        ),
        (
            FieldRef::Fuel(None),
            AskedWhy::AboveTank {
                amount_ml: 120_000,
                most_ml: 45_425,
            },
        ),
        (
            FieldRef::Cylinder(motor),
            AskedWhy::AboveService {
                gauge_kpa: 41_000,
                service_kpa: 31_000,
            },
        ),
        (
            FieldRef::Observed,
            AskedWhy::InTheFuture {
                observed: now.plus_ms(86_400_000),
                now,
            },
        ),
        (
            FieldRef::Air,
            AskedWhy::HardlyAnyAir {
                air_mc: 68_000,
                least_mc: -30_000,
                most_mc: 50_000,
            },
        ),
    ]
}

#[test]
fn everything_that_is_asked_back_is_a_question_in_plain_words() {
    let (_, text) = built_in()[0];
    let standard = Standard::parse(text).expect("a built-in sheet");
    let ctx = sample::context();
    let said = gauges().into_iter().chain(others()).map(|(field, why)| {
        let text = asked_back_text(&AskedBack { field, why }, &standard, sample::AS_OF, &ctx);
        assert!(text.ends_with('?') && !text.contains("  "), "{text}");
        text + "\n"
    });
    insta::assert_snapshot!(said.collect::<String>());
}
