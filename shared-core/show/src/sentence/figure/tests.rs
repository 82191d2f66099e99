use sponson_readiness::answer::Effect;
use sponson_readiness::event::Extent;
use sponson_readiness::standard::built_in;

use super::*;
use crate::sample;

fn reading(gauge_pa: i64, moment: ReadingMoment) -> Reading {
    Reading {
        part: PartId::from("tube-1"),
        moment,
        gauge_pa,
        gauge: None,
        air_mc: Some(5_000),
        stood_s: Some(50_000),
        fabric_mc: None,
        ambient_pa: None,
        elevation_mm: None,
        valves: None,
        since_inflating_s: None,
    }
}

/// The craft of the sample, whose first tube is read at 23 442 Pa and found soft, as told.
fn told(change: impl FnOnce(&mut CraftAnswer, &mut Asked, &mut Check)) -> String {
    let (_, text) = built_in()[0];
    let standard = Standard::parse(text).expect("a built-in sheet");
    let county = sample::county();
    let (mut craft, mut asked) = (sample::limited(), county.asked);
    craft.why[0].subject = Subject::Part(PartId::from("tube-1"), "tube 1".to_owned());
    craft.stowage = Some(Stowage::Rigged);
    asked.assumed.clear();
    let mut check = Check {
        extent: Extent::Part,
        readings: vec![reading(23_442, ReadingMoment::AsFound)],
        ..Check::default()
    };
    change(&mut craft, &mut asked, &mut check);
    let said = figures(&check, &craft, (&standard, &asked), &sample::context());
    let said = said
        .into_iter()
        .map(|(field, text)| format!("{field:?}: {text}\n"));
    said.collect()
}

#[test]
fn a_gauge_value_is_told_with_what_it_becomes_and_what_is_wanted() {
    let all = [
        told(|_, _, _| {}),
        told(|craft, _, _| craft.why.clear()),
        told(|_, asked, _| {
            asked.water_mc = asked.air_mc;
            asked.assumed.insert(Assumed::Air);
        }),
        told(|_, asked, _| asked.as_of = asked.as_of.plus_ms(3 * 86_400_000)),
        told(|craft, _, _| craft.stowage = Some(Stowage::Rolled)),
        told(|craft, _, _| craft.pressures.clear()),
        // Of two readings in one check the one as left is told, and a worse one of somebody else.
        told(|_, _, check| check.readings.push(reading(25_000, ReadingMoment::AsLeft))),
        told(|craft, _, _| {
            let mut finding = sample::finding(Rule::PressureProvisional, Effect::Note);
            finding.subject = Subject::Part(PartId::from("tube-1"), "tube 1".to_owned());
            craft.why = vec![finding];
        }),
        // What is not of this sheet has no figure.
        told(|_, _, check| check.readings[0].part = PartId::from("hull")),
    ];
    insta::assert_snapshot!(all.join("-\n"));
}
