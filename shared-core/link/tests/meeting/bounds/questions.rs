//! What a question asks.

use sponson_link::local::Local;
use sponson_proto::answer::v1 as answer;
use sponson_proto::answer::v1::conditions::Ambient;
use sponson_proto::service::v1 as service;
use tonic::Status;

use super::held;
use crate::answer::adopt_standards;
use crate::world::{County, Station, limited};

async fn ask(local: &Local, question: answer::Question) -> Result<(), Status> {
    let request = service::AskRequest {
        question: Some(question),
        ..service::AskRequest::default()
    };
    local.client().ask(request).await.map(|_| ())
}

/// Two questions to one local service.
async fn asked(local: &Local, under: answer::Question, over: answer::Question, said: &str) {
    held(ask(local, under).await, ask(local, over).await, said);
}

#[tokio::test]
#[expect(clippy::too_many_lines, reason = "a table, one entry a limit")]
async fn numbers_of_a_question() {
    limited(async {
        let county = County::found(1).await;
        adopt_standards(&county).await;
        let local = county.local().await;
        let crew = |count, mass_g| answer::Question {
            crew: Some(answer::CrewAsked { count, mass_g }),
            ..answer::Question::default()
        };
        asked(
            &local,
            crew(Some(30), None),
            crew(Some(31), None),
            "from 1 to 30",
        )
        .await;
        asked(
            &local,
            crew(Some(1), None),
            crew(Some(0), None),
            "from 1 to 30",
        )
        .await;
        asked(
            &local,
            crew(None, Some(300_000)),
            crew(None, Some(300_001)),
            "at most 300000 g",
        )
        .await;
        let people = |counts: Vec<u32>| answer::Question {
            people: counts
                .into_iter()
                .map(|count| answer::People {
                    size: "adult".to_owned(),
                    count,
                    ..answer::People::default()
                })
                .collect(),
            ..answer::Question::default()
        };
        asked(&local, people(vec![200]), people(vec![201]), "at most 200").await;
        asked(
            &local,
            people(vec![1; 200]),
            people(vec![0; 201]),
            "at most 200",
        )
        .await;
        let job = |conditions| answer::Question {
            conditions: Some(conditions),
            ..answer::Question::default()
        };
        let wind = |wind| {
            job(answer::Conditions {
                wind_mm_s: Some(wind),
                ..answer::Conditions::default()
            })
        };
        asked(&local, wind(120_000), wind(120_001), "at most 120000").await;
        let current = |current| {
            job(answer::Conditions {
                current_mm_s: Some(current),
                ..answer::Conditions::default()
            })
        };
        asked(&local, current(20_000), current(20_001), "at most 20000").await;
        let lasts = |seconds| {
            job(answer::Conditions {
                duration_s: Some(seconds),
                ..answer::Conditions::default()
            })
        };
        asked(
            &local,
            lasts(2_592_000),
            lasts(2_592_001),
            "at most 2592000",
        )
        .await;
        let pressed = |pa| {
            job(answer::Conditions {
                ambient: Some(Ambient::AmbientPa(pa)),
                ..answer::Conditions::default()
            })
        };
        asked(
            &local,
            pressed(30_000),
            pressed(29_999),
            "from 30000 to 110000",
        )
        .await;
        asked(
            &local,
            pressed(110_000),
            pressed(110_001),
            "from 30000 to 110000",
        )
        .await;
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn lists_of_a_question() {
    limited(async {
        let county = County::found(2).await;
        adopt_standards(&county).await;
        let north = Station::join(&county, "North", 10).await;
        north.register("Marsh 21").await;
        north.sync(&county).await;
        let local = county.local().await;
        let without = |count: usize| answer::Question {
            without: Some(answer::Without {
                stations: vec![
                    answer::WithoutStation {
                        station: "North".to_owned(),
                        ..answer::WithoutStation::default()
                    };
                    count
                ],
                ..answer::Without::default()
            }),
            ..answer::Question::default()
        };
        asked(
            &local,
            without(256),
            without(257),
            "stations has 257 lines; at most 256",
        )
        .await;
        let vehicles = |count: usize| answer::Question {
            together: Some(answer::TogetherAsked {
                vehicles: vec![answer::VehiclesAt::default(); count],
                ..answer::TogetherAsked::default()
            }),
            ..answer::Question::default()
        };
        asked(
            &local,
            vehicles(256),
            vehicles(257),
            "vehicles has 257 lines; at most 256",
        )
        .await;
        let wanted = |count| answer::Question {
            together: Some(answer::TogetherAsked {
                wanted: Some(count),
                ..answer::TogetherAsked::default()
            }),
            ..answer::Question::default()
        };
        asked(&local, wanted(1_000), wanted(1_001), "at most 1000").await;
        let way = |minutes| answer::WayFrom {
            station: "North".to_owned(),
            way: "said".to_owned(),
            minutes: Some(minutes),
            ..answer::WayFrom::default()
        };
        let ways = |ways: Vec<answer::WayFrom>| answer::Question {
            conditions: Some(answer::Conditions {
                lat_e7: Some(450_000_000),
                lon_e7: Some(-1_030_000_000),
                ..answer::Conditions::default()
            }),
            callout: Some(answer::CalloutAsked {
                ways,
                ..answer::CalloutAsked::default()
            }),
            ..answer::Question::default()
        };
        asked(
            &local,
            ways(vec![way(1)]),
            ways(vec![way(1); 257]),
            "ways has 257 lines; at most 256",
        )
        .await;
        asked(
            &local,
            ways(vec![way(1_440)]),
            ways(vec![way(1_441)]),
            "1440",
        )
        .await;
        let csv = |count: usize| {
            let request = service::AskRequest {
                csv: vec!["who".to_owned(); count],
                ..service::AskRequest::default()
            };
            let mut client = local.client();
            async move { client.ask(request).await }
        };
        held(
            csv(5).await,
            csv(6).await,
            "csv names 6 sections; at most 5",
        );
        county.stop().await;
    })
    .await;
}
