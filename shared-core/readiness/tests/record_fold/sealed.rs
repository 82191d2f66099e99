//! Seals of a bag: noted with a full count, looked at, broken, another; apart, unconfirmed.

use sponson_readiness::event::{BagSeal, Check, DateMark, ItemCount, Payload};
use sponson_readiness::record::Seals;

use crate::desk::{BAG, CRAFT, Desk, Role, count, subject};

const ABOUT: [(
    sponson_readiness::ids::SubjectId,
    sponson_readiness::event::SubjectKind,
); 2] = [CRAFT, BAG];

fn check(counts: &[(&str, u32)], number: Option<&str>) -> Payload {
    let seal = |number: &str| BagSeal {
        bag: BAG.0,
        number: Some(number.to_owned()).filter(|it| !it.is_empty()),
        earliest: Some(DateMark {
            year: 2027,
            month: Some(5),
            day: None,
        }),
    };
    let counts = counts.iter();
    let counts: Vec<ItemCount> = counts
        .map(|(item, number)| count(item, *number, Some(BAG.0)))
        .collect();
    Payload::Check(Check {
        counts,
        seals: number.map(seal).into_iter().collect(),
        ..Check::default()
    })
}

const ALL: [(&str, u32); 2] = [("flare", 3), ("whistle", 1)];

/// Numbers noted, looks as (number, how many counts it vouches for), numbers found instead.
type Shown = (Vec<String>, Vec<(String, usize)>, Vec<String>);

fn shown(desk: &Desk) -> Shown {
    let word = |number: &Option<String>| number.clone().unwrap_or_else(|| "none".to_owned());
    let Seals {
        noted,
        looked,
        opened,
    } = desk.record_of(BAG).seals;
    let looks = looked.iter().map(|side| &side.value);
    (
        noted.iter().map(|side| word(&side.value.number)).collect(),
        looks
            .map(|look| (word(&look.seal.number), look.vouches.len()))
            .collect(),
        opened.iter().map(|side| word(&side.value.number)).collect(),
    )
}

fn expect(desk: &Desk, noted: &[&str], looked: &[(&str, usize)], opened: &[&str]) {
    let words = |of: &[&str]| of.iter().map(|it| (*it).to_owned()).collect();
    let looked = looked.iter();
    let looked = looked.map(|(word, vouches)| ((*word).to_owned(), *vouches));
    assert_eq!(shown(desk), (words(noted), looked.collect(), words(opened)));
}

#[test]
fn a_look_vouches_for_the_count_that_noted_the_same_number() {
    let mut desk = Desk::new(1, Role::Crew);
    desk.writes_about(&ABOUT, check(&[], Some("121")));
    expect(&desk, &[], &[("121", 0)], &[]);
    desk.writes_about(&ABOUT, check(&ALL, Some("122")));
    expect(&desk, &["122"], &[], &[]);
    desk.writes_about(&ABOUT, check(&[], Some("122")));
    desk.writes_about(&ABOUT, check(&[], Some("122")));
    expect(&desk, &["122"], &[("122", 1)], &[]);
}

#[test]
fn a_broken_or_another_seal_stays_until_all_in_the_bag_is_counted() {
    for (found, word) in [("", "none"), ("900", "900")] {
        let mut desk = Desk::new(1, Role::Crew);
        desk.writes_about(&ABOUT, check(&ALL, Some("122")));
        desk.writes_about(&ABOUT, check(&[], Some(found)));
        expect(&desk, &["122"], &[(word, 0)], &[word]);
        // The right number afterwards, or a part of the count, settles nothing.
        desk.writes_about(&ABOUT, check(&[], Some("122")));
        desk.writes_about(&ABOUT, check(&[("flare", 3)], None));
        expect(&desk, &["122"], &[("122", 1)], &[word]);
        desk.writes_about(&ABOUT, check(&[("flare", 3)], Some("123")));
        expect(&desk, &["122"], &[("123", 0)], &[word, "123"]);
        desk.writes_about(&ABOUT, check(&ALL, Some("124")));
        expect(&desk, &["124"], &[], &[]);
        desk.writes_about(&ABOUT, check(&ALL, None));
        expect(&desk, &[], &[], &[]);
    }
}

#[test]
fn a_count_settles_what_it_knew_of_in_either_order() {
    for first in [0, 1] {
        let mut one = Desk::new(1, Role::Crew);
        let mut two = Desk::new(2, Role::Crew);
        one.writes_about(&ABOUT, check(&ALL, Some("122")));
        two.meets(&mut one);
        one.writes_about(&ABOUT, check(&[], Some("")));
        two.writes_about(&ABOUT, check(&ALL, Some("123")));
        // A third look, of the number that was put on apart.
        one.writes_about(&ABOUT, check(&[], Some("123")));
        if first == 0 {
            one.meets(&mut two);
        } else {
            two.meets(&mut one);
            one = two;
        }
        let (noted, looked, opened) = shown(&one);
        assert_eq!(noted, ["123"]);
        assert_eq!(looked, [("123".to_owned(), 0)], "it knew no such count");
        assert!(opened.contains(&"none".to_owned()), "{opened:?}");
        one.writes_about(&ABOUT, check(&ALL, Some("124")));
        expect(&one, &["124"], &[], &[]);
    }
}

#[test]
fn what_is_not_confirmed_vouches_for_nothing_and_settles_nothing() {
    let mut crew = Desk::new(1, Role::Crew);
    let mut stranger = Desk::new(2, Role::Stranger);
    crew.writes_about(&ABOUT, check(&ALL, Some("122")));
    stranger.meets(&mut crew);
    stranger.writes_about(&ABOUT, check(&[], Some("122")));
    crew.meets(&mut stranger);
    expect(&crew, &["122"], &[("122", 0)], &[]);
    crew.writes_about(&ABOUT, check(&[], Some("")));
    stranger.meets(&mut crew);
    stranger.writes_about(&ABOUT, check(&ALL, Some("123")));
    crew.meets(&mut stranger);
    let (noted, _, opened) = shown(&crew);
    assert_eq!(noted, ["122"]);
    assert_eq!(opened, ["none", "123"]);
    // Nor does a line that only a stranger counted have to be counted.
    stranger.writes_about(&ABOUT, check(&[("rope", 1)], None));
    crew.meets(&mut stranger);
    crew.writes_about(&ABOUT, check(&ALL, Some("124")));
    expect(&crew, &["124"], &[], &[]);
}

/// In the store, with the bag on no craft.
#[test]
fn a_count_of_stock_settles_it_as_well() {
    let mut desk = Desk::new(1, Role::Crew);
    desk.writes_about(&ABOUT, check(&ALL, Some("122")));
    desk.writes_about(&ABOUT, check(&[], Some("")));
    let stock = |items: &[(&str, u32)]| {
        let items = items.iter();
        Payload::StockCounted(
            items
                .map(|(item, number)| count(item, *number, None))
                .collect(),
        )
    };
    desk.writes_about(&[BAG], stock(&[("flare", 2)]));
    expect(&desk, &["122"], &[("none", 0)], &["none"]);
    desk.writes_about(&[BAG], stock(&ALL));
    expect(&desk, &[], &[], &[]);
}

#[test]
fn the_seal_of_another_bag_is_not_this_ones() {
    let mut desk = Desk::new(1, Role::Crew);
    desk.writes_about(&ABOUT, check(&ALL, Some("122")));
    let other = BagSeal {
        bag: subject(77),
        number: None,
        earliest: None,
    };
    let payload = Payload::Check(Check {
        seals: vec![other],
        ..Check::default()
    });
    desk.writes_about(&ABOUT, payload);
    expect(&desk, &["122"], &[], &[]);
}
