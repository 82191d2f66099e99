//! A county of 500 craft is one page of less than 300 KB.

use sponson_readiness::answer::{
    Callout, Candidate, CountyAnswer, CraftAnswer, MissingKit, Overdue, StationHeard,
};
use sponson_readiness::ids::SubjectId;

use super::facts;
use crate::context::Context;
use crate::html::{FormValues, PageFacts, county_page};
use crate::sample;
use crate::sample::callout::called_out;

const BYTES_MAX: usize = 300_000;
const CRAFT: u16 = 500;
const STATIONS: u16 = 60;

/// The id of the n-th thing of a kind.
fn id(kind: u8, n: u16) -> SubjectId {
    let mut bytes = [kind; 16];
    bytes[14..].copy_from_slice(&n.to_be_bytes());
    SubjectId::from_bytes(bytes)
}

/// 500 craft at 60 stations: of each four one ready, one with limits, one not ready, one not checked.
pub(super) fn large() -> (CountyAnswer, Context) {
    let small = sample::county();
    let number = |n: u16| format!("Boat {:03}", n + 1);
    let pick = |n: u16| &small.craft[usize::from(n) % small.craft.len()];
    let craft = (0..CRAFT).map(|n| CraftAnswer {
        id: id(1, n),
        number: number(n),
        stations: vec![id(2, n % STATIONS)],
        ..pick(n).clone()
    });
    let stations = (0..STATIONS).map(|n| StationHeard {
        id: id(2, n),
        name: format!("Station {:02} at the river", n + 1),
        ..small.stations[usize::from(n) % 2].clone()
    });
    let short = (0..CRAFT / 2).map(|n| MissingKit {
        number: number(2 * n),
        ..small.missing_kit[0].clone()
    });
    let late = (0..CRAFT / 2).map(|n| Overdue {
        number: number(2 * n + 1),
        ..small.overdue[0].clone()
    });
    let stations: Vec<StationHeard> = stations.collect();
    let ctx = Context {
        stations: stations.iter().map(|it| (it.id, it.name.clone())).collect(),
        ..sample::context()
    };
    let answer = CountyAnswer {
        craft: craft.collect(),
        missing_kit: short.collect(),
        overdue: late.collect(),
        stations,
        ..small
    };
    (answer, ctx)
}

/// The same, called out to a place for five people; every other craft can go.
fn called_out_to_all() -> (CountyAnswer, Context) {
    let (mut answer, ctx) = large();
    let few = called_out();
    let sorts = few.callout.as_ref().map_or(&[][..], |it| &it.candidates);
    let candidates = answer
        .craft
        .iter()
        .enumerate()
        .map(|(at, craft)| Candidate {
            craft: craft.id,
            number: craft.number.clone(),
            station: craft.stations.first().copied(),
            ..sorts[at * sorts.len() / answer.craft.len()].clone()
        });
    answer.callout = few.callout.as_ref().map(|it| Callout {
        candidates: candidates.collect(),
        ..it.clone()
    });
    answer.asked = few.asked;
    (answer, ctx)
}

#[test]
fn a_call_out_of_five_hundred_craft_is_one_page() {
    let (answer, ctx) = called_out_to_all();
    let facts = PageFacts {
        query: "mission=flood&place=44.9,-103.2&metar=KRAP+141252Z+31012G22KT+3SM+BR+M01/M02+A2992\
                &people=adult:3,child:1&duration=2h&water=6C"
            .to_owned(),
        ..facts()
    };
    let page = county_page(&answer, &ctx, &facts, &FormValues::default());
    for craft in &answer.craft {
        assert!(
            page.contains(&format!("/craft/{}", craft.id)),
            "{}",
            craft.number
        );
    }
    assert!(page.len() < BYTES_MAX, "{} bytes", page.len());
}

#[test]
fn five_hundred_craft_are_one_page() {
    let (answer, ctx) = large();
    let page = county_page(&answer, &ctx, &facts(), &FormValues::default());
    let all = page.matches("href=\"/craft/").count();
    assert_eq!(all, usize::from(CRAFT), "every craft has its line");
    assert!(page.len() < BYTES_MAX, "{} bytes", page.len());
}
