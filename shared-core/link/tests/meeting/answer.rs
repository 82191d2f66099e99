//! One question, asked at the station and at the county.

use std::collections::BTreeSet;

use prost::Message as _;
use sponson_link::stubs::service::county_client::CountyClient;
use sponson_link::tls::{self, Trusted};
use sponson_proto::answer::v1::{CountyAnswer, CrewAsked, People, Question};
use sponson_proto::event::v1 as event;
use sponson_proto::service::v1 as service;

use crate::world::{County, Station, append, limited};

pub(crate) async fn adopt_standards(county: &County) {
    let mut client = county.local().await.client();
    for (model, text) in sponson_readiness::standard::built_in() {
        let standard = event::BoatStandard {
            model: model.to_owned(),
            revision: 1,
            format: 1,
            text: text.to_owned(),
        };
        append(
            &mut client,
            event::Kind::BoatStandard,
            standard.encode_to_vec(),
            Vec::new(),
        )
        .await;
    }
}

async fn ask_county(county: &County, station: &Station, question: Question) -> CountyAnswer {
    let pinned = Trusted::Keys(BTreeSet::from([county.host.identity.tls_key()]));
    let config = tls::client(&station.identity, pinned).expect("tls");
    let channel = tls::channel(&county.address, config).await.expect("open");
    let request = service::AnswerRequest {
        question: Some(question),
    };
    let reply = CountyClient::new(channel).answer(request).await;
    reply.expect("answered").into_inner().answer.expect("whole")
}

#[tokio::test]
async fn station_and_county_answer_alike_in_messages_json_and_text() {
    limited(async {
        let county = County::found(1).await;
        adopt_standards(&county).await;
        let station = Station::join(&county, "North", 10).await;
        station.register("Marsh 21").await;
        station.register("Marsh 22").await;
        station.sync(&county).await;

        let question = Question {
            as_of_unix_ms: Some(crate::world::START + 3_600_000),
            craft: "marsh 21".to_owned(),
            ..Question::default()
        };
        let there = ask_county(&county, &station, question.clone()).await;
        let ask = service::AskRequest {
            question: Some(question),
            ..service::AskRequest::default()
        };
        let here = station.local().await.client().ask(ask).await;
        let here = here.expect("answered").into_inner();
        let answer = here.answer.expect("as messages");
        assert_eq!(answer.craft, there.craft);
        assert_eq!(answer.craft.len(), 1);
        let craft = &answer.craft[0];
        assert_eq!(craft.craft, "Marsh 21");
        assert_eq!(craft.readiness, "unproven");
        assert_eq!(craft.stations, ["North"]);
        assert!(craft.why.iter().any(|why| why.rule == "never_checked"));

        let json: serde_json::Value = serde_json::from_str(&here.json).expect("json");
        assert_eq!(json["schema"], answer.schema.as_str());
        assert_eq!(json["craft"][0]["readiness"], craft.readiness.as_str());
        let rules = json["craft"][0]["why"].as_array().expect("why");
        let rules: Vec<_> = rules.iter().map(|why| why["rule"].as_str()).collect();
        let messages: Vec<_> = craft
            .why
            .iter()
            .map(|why| Some(why.rule.as_str()))
            .collect();
        assert_eq!(rules, messages);
        assert!(here.text.contains("Marsh 21"), "{}", here.text);
        assert!(!here.text.contains("Marsh 22"), "{}", here.text);
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_mission_that_no_standard_has_is_refused_by_either_side() {
    limited(async {
        let county = County::found(3).await;
        adopt_standards(&county).await;
        let station = Station::join(&county, "North", 10).await;
        station.sync(&county).await;
        let question = |mission: &str| Question {
            mission: mission.to_owned(),
            ..Question::default()
        };
        let there = ask_county(&county, &station, question("Flood")).await;
        assert_eq!(there.asked.expect("told").mission, "flood");
        for slip in ["flod", "moon"] {
            let ask = service::AskRequest {
                question: Some(question(slip)),
            ..service::AskRequest::default()
        };
            let refused = station.local().await.client().ask(ask).await;
            let refused = refused.expect_err("no such mission");
            let reason = sponson_link::refusal::reason(&refused);
            assert_eq!(reason.as_deref(), Some("MISSION_NOT_KNOWN"));
            if slip == "flod" {
                insta::assert_snapshot!(refused.message(), @"no boat standard here has a mission 'flod': did you mean flood?");
            }
        }
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn who_is_aboard_is_asked_told_back_and_refused_where_it_cannot_be() {
    limited(async {
        let county = County::found(4).await;
        adopt_standards(&county).await;
        let station = Station::join(&county, "North", 10).await;
        station.sync(&county).await;
        let people = |size: &str, count, mass_g| People {
            size: size.to_owned(),
            lying: false,
            count,
            mass_g,
        };
        let question = |count, people: Vec<People>| Question {
            crew: Some(CrewAsked {
                count,
                mass_g: Some(100_000),
            }),
            people,
            ..Question::default()
        };
        let good = question(Some(3), vec![people("adult", 2, None)]);
        let asked = ask_county(&county, &station, good.clone()).await.asked;
        let asked = asked.expect("told");
        assert_eq!((asked.crew, &asked.people), (good.crew, &good.people));
        assert!(asked.assumed.contains(&"people_weight".to_owned()));
        assert!(!asked.assumed.contains(&"crew".to_owned()));
        for (question, said) in [
            (question(Some(0), Vec::new()), "crew is 0"),
            (question(Some(31), Vec::new()), "crew is 31"),
            (
                question(None, vec![people("dog", 1, None)]),
                "a size is 'dog'",
            ),
            (
                question(None, vec![people("adult", 201, None)]),
                "people are 201",
            ),
            (
                question(None, vec![people("adult", 1, Some(0))]),
                "weighs 0 g",
            ),
            (
                question(None, vec![people("adult", 1, Some(u64::MAX))]),
                "at most 300000 g",
            ),
        ] {
            let ask = service::AskRequest {
                question: Some(question),
                ..service::AskRequest::default()
            };
            let refused = station.local().await.client().ask(ask).await;
            let refused = refused.expect_err("cannot be");
            assert!(refused.message().contains(said), "{}", refused.message());
        }
        county.stop().await;
    })
    .await;
}

/// Root of the county log after a short story.
async fn story() -> Vec<u8> {
    let county = County::found(2).await;
    let station = Station::join(&county, "North", 10).await;
    station.register("Marsh 21").await;
    station.sync(&county).await;
    let mut client = county.local().await.client();
    let about = client.about(service::AboutRequest {}).await;
    let root = about.expect("about").into_inner().root;
    county.stop().await;
    root.to_vec()
}

#[tokio::test]
async fn the_same_clocks_and_random_bytes_write_the_same_log() {
    limited(async {
        assert_eq!(story().await, story().await);
    })
    .await;
}
