//! The interval against simulated use, and what readings that cannot be of one meter do.

use sponson_made::Seeded;

use super::{DaysUntil, EngineUse, MeterRead, UseNotKnown};
use crate::dates::DAY_MS;
use crate::moment::Moment;
use crate::standard::{AheadPolicy, Policy};

const HOUR_S: f64 = 3_600.0;

fn policy() -> AheadPolicy {
    Policy::parse(Policy::default_text())
        .expect("settings")
        .ahead
}

/// Days until the next, at random.
fn wait(seeded: &mut Seeded, mean: f64) -> f64 {
    -mean * libm::log(seeded.share())
}

/// About normal: the sum of twelve.
fn normal(seeded: &mut Seeded) -> f64 {
    (0..12).map(|_| seeded.share()).sum::<f64>() - 6.0
}

/// How a motor is used: uses a week at random, hours of each.
#[derive(Clone, Copy)]
struct Pattern {
    uses_a_week: f64,
    mean_h: f64,
    /// Spread of the logarithm of the hours; none for a memoryless length.
    spread: Option<f64>,
}

impl Pattern {
    fn use_h(&self, seeded: &mut Seeded) -> f64 {
        match self.spread {
            None => wait(seeded, self.mean_h),
            Some(spread) => {
                self.mean_h * libm::exp(spread * normal(seeded) - spread * spread / 2.0)
            }
        }
    }

    /// Runs for some days, with three minutes of the weekly run spread over them, and says the hours
    /// at the end of each step.
    fn readings(&self, seeded: &mut Seeded, days: u32, step: u32) -> Vec<MeterRead> {
        let mut next = wait(seeded, 7.0 / self.uses_a_week);
        let mut used_h = 0.0;
        let mut readings = Vec::new();
        for day in (0..=days).step_by(usize::try_from(step).expect("fits")) {
            while next <= f64::from(day) {
                used_h += self.use_h(seeded);
                next += wait(seeded, 7.0 / self.uses_a_week);
            }
            let run_h = 0.05 / 7.0 * f64::from(day);
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a test"
            )]
            let engine_s = ((used_h + run_h) * HOUR_S) as u64;
            readings.push(MeterRead {
                at: Moment(i64::from(day) * DAY_MS),
                engine_s,
            });
        }
        readings
    }

    /// Days until it has run for so many hours.
    fn runs_for(&self, seeded: &mut Seeded, left_h: f64) -> f64 {
        let (mut day, mut run_h) = (0.0, 0.0);
        loop {
            let wait = wait(seeded, 7.0 / self.uses_a_week);
            let by_runs = 0.05 / 7.0;
            if run_h + by_runs * wait >= left_h {
                return day + (left_h - run_h) / by_runs;
            }
            day += wait;
            run_h += by_runs * wait + self.use_h(seeded);
            if run_h >= left_h {
                return day;
            }
        }
    }
}

/// The share of a thousand counties of one motor whose day lies in the interval, of a thousand.
fn covers(pattern: Pattern, (days, step): (u32, u32), left_h: f64) -> u32 {
    let mut seeded = Seeded::new(20_261_128);
    let (mut inside, mut all) = (0_u32, 0_u32);
    for _ in 0..1_000 {
        let readings = pattern.readings(&mut seeded, days, step);
        let until = readings.last().expect("some").at;
        let Ok(used) = EngineUse::of(&readings, until, &policy()) else {
            continue;
        };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a test"
        )]
        let DaysUntil { between, .. } = used.days_until((left_h * HOUR_S) as u64);
        let came = pattern.runs_for(&mut seeded, left_h);
        all += 1;
        inside += u32::from(between.0 <= came && came <= between.1);
    }
    assert!(all > 950, "{all}");
    inside * 1_000 / all
}

/// Source: simulation on a fixed seed, a thousand motors each. A county reads the meter at the weekly check
/// or once in four weeks, over a year; a motor is used from twice a month to four times a week. The
/// interval then covers 938 to 962 of a thousand, by pattern:
///
/// | used | every 7 days, 15 h and 90 h left | every 28 days |
/// |---|---|---|
/// | four times a week | 960, 962 | 958, 950 |
/// | twice a week, long nights among them | 953, 957 | 952, 953 |
/// | twice in three weeks | 944, 948 | 948, 944 |
/// | twice in a month | 957, 949 | 956, 938 |
///
/// It covers less where less is known: of a motor used once in three weeks from 915 on.
#[test]
fn with_a_year_of_readings_the_interval_covers_what_it_says() {
    let memoryless = |uses_a_week, mean_h| Pattern {
        uses_a_week,
        mean_h,
        spread: None,
    };
    let skewed = Pattern {
        spread: Some(0.7),
        ..memoryless(2.0, 1.5)
    };
    for (name, pattern, least) in [
        ("used four times a week", memoryless(4.0, 0.7), 930),
        ("used twice a week, long nights among them", skewed, 930),
        ("used twice in three weeks", memoryless(0.7, 1.5), 930),
        ("used twice in a month", memoryless(0.5, 2.0), 930),
        ("used once in three weeks", memoryless(0.3, 2.0), 915),
    ] {
        for step in [7, 28] {
            for left_h in [15.0, 90.0] {
                let covered = covers(pattern, (364, step), left_h);
                assert!(
                    (least..=970).contains(&covered),
                    "{name}, read every {step} days, {left_h} h: {covered}"
                );
            }
        }
    }
}

fn reads(values: &[(i64, u64)]) -> Vec<MeterRead> {
    let read = |(day, hours): &(i64, u64)| MeterRead {
        at: Moment(day * DAY_MS),
        engine_s: hours * 3_600,
    };
    values.iter().map(read).collect()
}

fn used(values: &[(i64, u64)]) -> Result<(u64, u32, u32), UseNotKnown> {
    let used = EngineUse::of(&reads(values), Moment(400 * DAY_MS), &policy())?;
    Ok((used.run_s / 3_600, used.days, used.stretches))
}

#[test]
fn a_changed_meter_a_late_entry_and_too_little_say_what_they_may() {
    let plain = used(&[(40, 10), (140, 30), (240, 40)]);
    assert_eq!(plain, Ok((30, 200, 2)));
    // Entered late: the order in which readings come says nothing.
    assert_eq!(used(&[(240, 40), (40, 10), (140, 30)]), plain);
    // Another meter, that begins anew: what ran between is not known, and its days do not count.
    assert_eq!(
        used(&[(40, 10), (140, 30), (190, 2), (290, 12)]),
        Ok((30, 200, 2))
    );
    // One that had run elsewhere: faster than the clock.
    assert_eq!(
        used(&[(40, 10), (140, 30), (142, 500), (242, 510)]),
        Ok((30, 200, 2))
    );
    // Older than a year.
    assert_eq!(used(&[(1, 0), (40, 10), (140, 30), (240, 40)]), plain);
    assert_eq!(used(&[(40, 10), (140, 30)]), Err(UseNotKnown::NotRead));
    assert_eq!(used(&[]), Err(UseNotKnown::NotRead));
    assert_eq!(
        used(&[(40, 10), (80, 30), (131, 40)]),
        Err(UseNotKnown::TooShort(91))
    );
    assert_eq!(
        used(&[(40, 10), (140, 10), (240, 10)]),
        Err(UseNotKnown::NotRun)
    );
}

#[test]
fn the_expected_day_is_what_is_left_over_the_use_and_lies_within_the_interval() {
    let values = reads(&[(40, 10), (140, 30), (240, 40)]);
    let used = EngineUse::of(&values, Moment(400 * DAY_MS), &policy()).expect("known");
    // 30 h in 200 days; 15 h are left.
    let until = used.days_until(15 * 3_600);
    assert!((until.expected - 100.0).abs() < 1e-9, "{until:?}");
    assert!(
        until.between.0 < 100.0 && until.between.1 > 100.0,
        "{until:?}"
    );
    assert_eq!(used.days_until(0).between, (0.0, 0.0));
    // As even as a clock.
    let even: Vec<(i64, u64)> = (0_i64..40)
        .map(|step| (step * 10, 2 * step.unsigned_abs()))
        .collect();
    let even = EngineUse::of(&reads(&even), Moment(400 * DAY_MS), &policy()).expect("known");
    let until = even.days_until(40 * 3_600);
    assert!((until.expected - 200.0).abs() < 1e-9, "{until:?}");
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig { failure_persistence: None, ..Default::default() })]

    /// Less left is never later, in any of the three days.
    #[test]
    fn the_less_is_left_the_sooner(
        steps in proptest::collection::vec(0_u64..40, 4..30),
        left_h in 0_u64..200,
        less_h in 0_u64..200,
    ) {
        let mut hours = 0;
        let values: Vec<(i64, u64)> = steps.iter().zip(0_i64..).map(|(run, step)| {
            hours += run;
            (40 + step * 30, hours)
        }).collect();
        let until = Moment(values.last().expect("some").0 * DAY_MS);
        if let Ok(used) = EngineUse::of(&reads(&values), until, &policy()) {
            let (more, less) = (used.days_until((left_h + less_h) * 3_600), used.days_until(left_h * 3_600));
            proptest::prop_assert!(less.expected <= more.expected);
            proptest::prop_assert!(less.between.0 <= more.between.0 + 1e-6);
            proptest::prop_assert!(less.between.1 <= more.between.1 + 1e-6);
            proptest::prop_assert!(less.between.0 <= less.expected && less.expected <= less.between.1);
        }
    }
}
