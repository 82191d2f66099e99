//! A check that is tried at the local service: asked back with the names of its fields, stood by,
//! told what it means at the launch; and nothing is recorded.

use prost::Message as _;
use sponson_link::Local;
use sponson_link::local::aboard_of;
use sponson_proto::answer::v1::Question;
use sponson_proto::event::v1 as event;
use sponson_proto::service::v1 as service;

use crate::answer::adopt_standards;
use crate::world::{County, Station, limited};

/// A reading of the first tube at 5 °C, and far too many knives.
fn entered(craft: [u8; 16], gauge_pa: i64) -> service::AppendRequest {
    let payload = event::Check {
        extent: event::CheckExtent::Part as i32,
        readings: vec![event::Reading {
            part: "tube-1".to_owned(),
            moment: event::ReadingMoment::AsFound as i32,
            gauge_pa,
            air_mc: Some(5_000),
            stood_s: Some(20_000),
            ..event::Reading::default()
        }],
        counts: vec![event::ItemCount {
            item: "knife".to_owned(),
            count: 22,
            ..event::ItemCount::default()
        }],
        ..event::Check::default()
    };
    service::AppendRequest {
        kind: event::Kind::Check as u32,
        kind_version: 1,
        payload: payload.encode_to_vec().into(),
        subjects: vec![service::AppendSubject {
            id: craft.to_vec().into(),
            r#type: event::SubjectType::Craft as i32,
        }],
        member: "M-104".to_owned(),
        ..service::AppendRequest::default()
    }
}

fn request(craft: [u8; 16], gauge_pa: i64) -> service::TryCheckRequest {
    service::TryCheckRequest {
        craft: craft.to_vec().into(),
        events: vec![entered(craft, gauge_pa)],
        question: Some(Question {
            air_mc: Some(0),
            water_mc: Some(0),
            ..Question::default()
        }),
        affirmed: Vec::new(),
    }
}

async fn tried(local: &Local, request: service::TryCheckRequest) -> service::TryCheckReply {
    let reply = local.client().try_check(request).await;
    reply.expect("it can be recorded").into_inner()
}

#[tokio::test]
async fn a_check_is_asked_back_stood_by_and_told_and_nothing_is_recorded() {
    limited(async {
        let county = County::found(31).await;
        adopt_standards(&county).await;
        let station = Station::join(&county, "North", 41).await;
        let craft = station.register("Marsh 21").await;
        station.sync(&county).await;
        let local = station.local().await;
        let held = *station.shared.held().borrow();

        let told = tried(&local, request(craft, 110_000)).await;
        let names = |told: &service::TryCheckReply| -> Vec<(String, String)> {
            let asked = told.asked.iter();
            let names = asked.map(|line| (line.field.clone(), line.affirmed_by.clone()));
            names.collect()
        };
        let pair = |field: &str, by: &str| (field.to_owned(), by.to_owned());
        let both = [
            pair("reading.tube-1.found", "reading.tube-1.affirmed"),
            pair("count.knife.count", "count.knife.affirmed"),
        ];
        assert_eq!(names(&told), both);
        assert!(
            told.asked[0]
                .words
                .contains("is it that of floor, high pressure?")
        );

        let mut stood_by = request(craft, 110_000);
        stood_by.affirmed = vec!["reading.tube-1.affirmed".to_owned()];
        assert_eq!(names(&tried(&local, stood_by).await), both[1..]);

        let told = tried(&local, request(craft, 25_000)).await;
        let [figure] = &told.figures[..] else {
            panic!("{:?}", told.figures);
        };
        assert_eq!(figure.field, "reading.tube-1.found");
        // (25000 + 101325) * 273.15 / 278.15 - 101325 = 22729 Pa, or 3.30 psi.
        assert!(
            figure.words.contains("3.63 psi at 41 °F") && figure.words.contains("3.30 psi"),
            "{}",
            figure.words
        );
        let answer = told.answer.expect("an answer");
        assert_eq!(answer.craft.len(), 1);
        assert!(told.text.contains("Marsh 21"));
        assert_eq!(*station.shared.held().borrow(), held, "nothing is recorded");
    })
    .await;
}

#[tokio::test]
async fn what_cannot_be_tried_says_why() {
    limited(async {
        let county = County::found(32).await;
        adopt_standards(&county).await;
        let station = Station::join(&county, "North", 42).await;
        let craft = station.register("Marsh 21").await;
        station.sync(&county).await;
        let local = station.local().await;
        let mut over = request(craft, 25_000);
        if let Some(question) = &mut over.question {
            question.as_of_unix_ms = Some(crate::world::START - 3_600_000);
        }
        let mut stood_by = request(craft, 25_000);
        stood_by.affirmed = vec![String::new(); 501];
        let mut nobody = request(craft, 25_000);
        nobody.craft = vec![1, 2].into();
        let cases = [
            (over, "the moment to judge is over"),
            (stood_by, "501 fields are stood by"),
            (nobody, "craft"),
        ];
        for (request, words) in cases {
            let refused = local.client().try_check(request).await;
            let refused = refused.expect_err("it cannot be tried");
            assert!(refused.message().contains(words), "{refused:?}");
        }
    })
    .await;
}

#[tokio::test]
async fn what_is_on_a_craft_comes_over_as_it_is() {
    limited(async {
        let county = County::found(33).await;
        adopt_standards(&county).await;
        let station = Station::join(&county, "North", 43).await;
        let craft = station.register("Marsh 21").await;
        let local = station.local().await;
        let ask = || service::OnCraftRequest {
            craft: craft.to_vec().into(),
        };
        let refused = local.client().on_craft(ask()).await;
        let refused = refused.expect_err("no sheet is in force here yet");
        assert!(refused.message().contains("boat standard"), "{refused:?}");
        station.sync(&county).await;
        let mut client = local.client();
        client
            .append(entered(craft, 25_000))
            .await
            .expect("recorded");
        let aboard = aboard_of(&client.on_craft(ask()).await.expect("known").into_inner());
        let items: Vec<&str> = aboard.on_craft.iter().map(|item| item.as_str()).collect();
        assert_eq!(items, ["knife"]);
        assert!(aboard.bags.is_empty() && aboard.gear.is_empty());
    })
    .await;
}
