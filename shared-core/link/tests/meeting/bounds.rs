//! Every limit on what a program may ask of the local service: just under passes, just over is
//! refused, in words that say what is allowed.

use prost::Message as _;
use sponson_link::craft_record::write_at_most;
use sponson_link::limits::CARRY_BYTES_MAX;
use sponson_link::local::under_way::{OPEN_MAX, UNDER_WAY_FOLDER};
use sponson_link::local::{Local, Opening, Side, connect};
use sponson_log::carry::MAGIC;
use sponson_proto::answer::v1 as answer;
use sponson_proto::answer::v1::conditions::Ambient;
use sponson_proto::event::v1 as event;
use sponson_proto::service::v1 as service;
use sponson_replica::Replica;
use tonic::Status;

use crate::answer::adopt_standards;
use crate::world::{County, Station, append, entropy, limited};

/// Of one limit: whether each value was refused at the door, with its words.
fn held<T>(under: Result<T, Status>, over: Result<T, Status>, said: &str) {
    // It may be refused for something else: only what is over this limit is refused with its words.
    if let Err(status) = &under {
        let told = status.message();
        assert!(!told.contains(said), "just under '{said}': {told}");
    }
    match over {
        Ok(_) => panic!("just over '{said}' was taken"),
        Err(status) => assert!(status.message().contains(said), "'{said}': {status}"),
    }
}

fn long(length: usize) -> String {
    "x".repeat(length)
}

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

#[tokio::test]
async fn what_the_county_s_own_programs_ask() {
    limited(async {
        let county = County::found(3).await;
        adopt_standards(&county).await;
        let local = county.local().await;
        let let_in = |member: usize, hours| {
            let request = service::LetInRequest {
                member: long(member),
                role: event::Role::Lead as i32,
                hours,
            };
            let mut client = local.client();
            async move { client.let_in(request).await }
        };
        held(
            let_in(32, 168).await,
            let_in(33, 168).await,
            "33 bytes; 1 to 32 bytes",
        );
        held(
            let_in(1, 168).await,
            let_in(1, 169).await,
            "hours is 169; at most 168",
        );
        let code = |name: usize, hours| {
            let request = service::MakeCodeRequest {
                station: long(name),
                hours,
                ..service::MakeCodeRequest::default()
            };
            let mut client = local.client();
            async move { client.make_code(request).await }
        };
        held(
            code(64, 720).await,
            code(65, 720).await,
            "station has 65 bytes; 1 to 64",
        );
        held(
            code(1, 720).await,
            code(1, 721).await,
            "hours is 721; at most 720",
        );
        let end = |count: usize| {
            let request = service::SignedInRequest {
                end: vec!["M-1".to_owned(); count],
                end_all: false,
            };
            let mut client = local.client();
            async move { client.signed_in(request).await }
        };
        held(
            end(200).await,
            end(201).await,
            "end has 201 names; at most 200",
        );
        let moves = |count: usize| {
            let request = service::PlanKitMovesRequest {
                missions: vec!["flood".to_owned(); count],
                ..service::PlanKitMovesRequest::default()
            };
            let mut client = local.client();
            async move { client.plan_kit_moves(request).await }
        };
        held(
            moves(64).await,
            moves(65).await,
            "missions has 65; at most 64",
        );
        let prove = |digits: usize| {
            let request = service::ProveRequest {
                event: "0".repeat(digits),
            };
            let mut client = local.client();
            async move { client.prove(request).await }
        };
        held(
            prove(8).await,
            prove(7).await,
            "has 8 to 64 hexadecimal digits",
        );
        held(
            prove(64).await,
            prove(65).await,
            "has 8 to 64 hexadecimal digits",
        );
        county.stop().await;
    })
    .await;
}

/// A station's folder, opened as a command opens it.
async fn opened(county: &County, station: &Station) -> Local {
    let opening = Opening {
        folder: station.folder.path().to_owned(),
        side: Side::Station(county.at()),
        clock: county.hands.clock(),
        entropy: entropy(77),
        version: "test".to_owned(),
        places: None,
    };
    connect(opening).await.expect("opened")
}

fn begin(craft: &[u8], number: usize, member: usize) -> service::BeginRequest {
    service::BeginRequest {
        craft: craft.to_vec().into(),
        craft_number: long(number),
        kind: service::UnderWayKind::Full as i32,
        member: long(member),
        ..service::BeginRequest::default()
    }
}

#[tokio::test]
async fn a_check_under_way() {
    limited(async {
        let county = County::found(4).await;
        let station = Station::join(&county, "North", 14).await;
        let craft = station.register("Marsh 21").await;
        station.shared.close().await;
        let local = opened(&county, &station).await;
        let mut client = local.client();
        let mut one = async |request| client.begin(request).await;
        let number = (
            one(begin(&craft, 64, 1)).await,
            one(begin(&craft, 65, 1)).await,
        );
        held(number.0, number.1, "a number of at most 64 bytes");
        let member = (
            one(begin(&craft, 1, 32)).await,
            one(begin(&craft, 1, 33)).await,
        );
        held(member.0, member.1, "at most 32 bytes");
        let longer = [craft.as_slice(), &[0]].concat();
        let named = (
            one(begin(&craft, 1, 1)).await,
            one(begin(&longer, 1, 1)).await,
        );
        held(named.0, named.1, "name one by its id");
        let standard = |bytes: usize| service::BeginRequest {
            standard: vec![7; bytes].into(),
            ..begin(&craft, 1, 1)
        };
        let by = (one(standard(32)).await, one(standard(33)).await);
        held(by.0, by.1, "standard has 33 bytes");
        // Four are under way by now.
        for _ in 4..OPEN_MAX - 1 {
            one(begin(&craft, 1, 1)).await.expect("there is room");
        }
        let last = (
            one(begin(&craft, 1, 1)).await,
            one(begin(&craft, 1, 1)).await,
        );
        held(last.0, last.1, "64 checks are under way here");
        local.close().await;
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn fields_of_a_check_under_way() {
    limited(async {
        let county = County::found(5).await;
        let station = Station::join(&county, "North", 15).await;
        let craft = station.register("Marsh 21").await;
        station.shared.close().await;
        let local = opened(&county, &station).await;
        let mut client = local.client();
        let mut fresh = async || {
            let begun = client.begin(begin(&craft, 1, 1)).await.expect("begins");
            begun.into_inner().check.expect("a check").id
        };
        let (id, full, wide) = (fresh().await, fresh().await, fresh().await);
        let enter = |id: &str, fields: Vec<(String, String)>| {
            let fields = fields.into_iter();
            let request = service::EnterRequest {
                id: id.to_owned(),
                member: "M-1".to_owned(),
                fields: fields
                    .map(|(name, value)| service::FieldTyped { name, value })
                    .collect(),
            };
            let mut client = local.client();
            async move { client.enter(request).await }
        };
        let fields = |from: usize, count: usize, value: usize| -> Vec<(String, String)> {
            let names = (from..from + count).map(|at| format!("f{at}"));
            names.map(|name| (name, long(value))).collect()
        };
        let at_once = (
            enter(&id, fields(0, 256, 1)).await,
            enter(&id, fields(0, 257, 1)).await,
        );
        held(
            at_once.0,
            at_once.1,
            "257 fields were sent at once: send at most 256",
        );
        let named = |length| vec![(long(length), "1".to_owned())];
        let name = (enter(&id, named(160)).await, enter(&id, named(161)).await);
        held(name.0, name.1, "too long");
        let value = (
            enter(&id, fields(0, 1, 4_096)).await,
            enter(&id, fields(0, 1, 4_097)).await,
        );
        held(value.0, value.1, "at most 4096 bytes");
        // A thousand fields, and not one more; one that is there already can still be changed.
        for from in [0, 250, 500, 750] {
            enter(&full, fields(from, 250, 1))
                .await
                .expect("there is room");
        }
        let more = (
            enter(&full, fields(0, 1, 2)).await,
            enter(&full, fields(1_000, 1, 1)).await,
        );
        held(more.0, more.1, "record it");
        // A mebibyte of entries: 200 values of 4 KiB fit once, and not twice.
        let bytes = (
            enter(&wide, fields(0, 200, 4_096)).await,
            enter(&wide, fields(0, 200, 4_095)).await,
        );
        held(bytes.0, bytes.1, "record it");
        let check = enter(&id, Vec::new()).await.expect("entered").into_inner();
        let check = check.check.expect("a check");
        let record = |count: usize| {
            let request = service::RecordUnderWayRequest {
                id: check.id.clone(),
                member: "M-1".to_owned(),
                events: vec![service::AppendRequest::default(); count],
                entries: check.entries,
            };
            let mut client = local.client();
            async move { client.record_under_way(request).await }
        };
        let over = record(33).await;
        held(
            record(32).await,
            over,
            "33 events were sent: a check becomes 1 to 32",
        );
        local.close().await;
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_picture_and_a_carry_file() {
    limited(async {
        let county = County::found(6).await;
        let station = Station::join(&county, "North", 16).await;
        let local = station.local().await;
        let picture = |bytes: usize| {
            let mut content = vec![0xff, 0xd8, 0xff];
            content.resize(bytes, 7);
            let request = service::KeepPictureRequest {
                content: content.into(),
            };
            let mut client = local.client();
            async move { client.keep_picture(request).await }
        };
        held(
            picture(1_000_000).await,
            picture(1_000_001).await,
            "1000000",
        );
        let carried = |bytes: usize| {
            const PIECE: usize = 32 * 1024 * 1024;
            let mut begun = MAGIC.to_vec();
            begun.resize(PIECE.min(bytes), 0);
            let pieces = (0..bytes.div_ceil(PIECE)).map(move |at| {
                let data = if at == 0 {
                    begun.clone()
                } else {
                    vec![0; PIECE.min(bytes - at * PIECE)]
                };
                service::CarryInRequest { data: data.into() }
            });
            let mut client = local.client();
            async move { client.carry_in(tokio_stream::iter(pieces)).await }
        };
        let over = carried(CARRY_BYTES_MAX + 1).await;
        held(
            carried(CARRY_BYTES_MAX).await,
            over,
            "more than 268435456 bytes",
        );
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn fields_that_somebody_stands_by() {
    limited(async {
        let county = County::found(7).await;
        adopt_standards(&county).await;
        let station = Station::join(&county, "North", 17).await;
        let craft = station.register("Marsh 21").await;
        let local = station.local().await;
        let tried = |count: usize| {
            let request = service::TryCheckRequest {
                craft: craft.to_vec().into(),
                affirmed: vec!["reading.tube-1.found".to_owned(); count],
                ..service::TryCheckRequest::default()
            };
            let mut client = local.client();
            async move { client.try_check(request).await }
        };
        held(
            tried(500).await,
            tried(501).await,
            "501 fields are stood by: at most 500",
        );
        county.stop().await;
    })
    .await;
}

/// Length of the text of an event in a check's file (RFC 4648 section 4).
fn as_text(event: &service::AppendRequest) -> usize {
    event.encoded_len().div_ceil(3) * 4
}

/// An event that takes so many bytes of text, a multiple of 4.
fn event_of(text: usize) -> service::AppendRequest {
    // Before its one field stand its number, and its length in four bytes.
    let event = service::AppendRequest {
        payload: vec![7; text / 4 * 3 - 5].into(),
        ..service::AppendRequest::default()
    };
    assert_eq!(as_text(&event), text);
    event
}

#[tokio::test]
async fn what_is_to_be_recorded_of_a_check() {
    limited(async {
        let county = County::found(8).await;
        let station = Station::join(&county, "North", 18).await;
        let craft = station.register("Marsh 21").await;
        station.shared.close().await;
        let local = opened(&county, &station).await;
        let record = async |id: &str, member: usize, event: service::AppendRequest| {
            let asked = service::UnderWayRequest {
                id: id.to_owned(),
                ..service::UnderWayRequest::default()
            };
            let listed = local.client().under_way(asked).await.expect("it is there");
            let request = service::RecordUnderWayRequest {
                id: id.to_owned(),
                member: long(member),
                events: vec![event],
                entries: listed.into_inner().checks[0].entries,
            };
            local.client().record_under_way(request).await.map(|_| ())
        };
        // With what is in the file already, to the byte; the rest is for noting what was recorded.
        let most = 3 * 1024 * 1024 - 64 * 1024;
        let mut said = Vec::new();
        for bytes in [most, most + 1] {
            let begun = local.client().begin(begin(&craft, 1, 1)).await;
            let id = begun
                .expect("begins")
                .into_inner()
                .check
                .expect("a check")
                .id;
            let folder = station.folder.path().join(UNDER_WAY_FOLDER);
            let file = folder.join(&id).with_extension("check");
            // No event is of no kind: it is written down, refused, and the check is open again.
            let probe = service::AppendRequest {
                payload: vec![7; 30].into(),
                ..service::AppendRequest::default()
            };
            record(&id, 4, probe.clone()).await.expect_err("no kind");
            let text = std::fs::read_to_string(&file).expect("there");
            let line = text.lines().rev().nth(1).expect("what was to be recorded");
            let around = line.len() + 1 - as_text(&probe) - 4;
            let left = bytes - text.len() - around;
            // The member's number fills what is no multiple of 4.
            let member = 4 + left % 4;
            said.push(record(&id, member, event_of(left - member)).await);
        }
        let over = said.pop().expect("two");
        held(
            said.pop().expect("two"),
            over,
            "this check takes 3080193 bytes with what is to be recorded, and at most 3080192",
        );
        local.close().await;
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn entries_of_one_record_of_a_craft() {
    limited(async {
        let county = County::found(9).await;
        let station = Station::join(&county, "North", 19).await;
        let craft = station.register("Marsh 21").await;
        let moves = event::NumberChanged {
            number: "Marsh 22".to_owned(),
            ..event::NumberChanged::default()
        };
        let subject = service::AppendSubject {
            id: craft.to_vec().into(),
            r#type: event::SubjectType::Craft.into(),
        };
        for _ in 0..2 {
            append(
                &mut station.local().await.client(),
                event::Kind::NumberChanged,
                moves.encode_to_vec(),
                vec![subject.clone()],
            )
            .await;
        }
        let now = county.hands.clock().now();
        let written = async |most: usize| {
            let request = service::CraftRecordRequest {
                craft: craft.to_vec().into(),
                ..service::CraftRecordRequest::default()
            };
            let write = move |replica: &mut Replica| {
                let written = write_at_most(most, replica, &request, &now, "test");
                written.map(|written| written.record.entries.len())
            };
            let written = station.shared.call(write).await.expect("open");
            written.map_err(Status::from)
        };
        assert_eq!(written(3).await.ok(), Some(3));
        held(
            written(3).await,
            written(2).await,
            "3 entries lie in this time; at most 2 go into one record: ask for less time: from, until",
        );
        county.stop().await;
    })
    .await;
}
