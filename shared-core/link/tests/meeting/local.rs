//! The local service: dialled when another process serves the folder, else served here.

use std::os::unix::fs::PermissionsExt as _;

use sponson_link::local::{Listening, Local, Opening, SOCKET, Side, connect, serve};
use sponson_link::{Code, refusal};
use sponson_proto::answer::v1::Question;
use sponson_proto::event::v1 as event;
use sponson_proto::service::v1 as service;
use tokio::sync::oneshot;
use tonic::Code as StatusCode;

use crate::world::{County, Station, craft, device, entropy, limited, try_join};

fn opening(county: &County, station: &Station) -> Opening {
    Opening {
        folder: station.folder.path().to_owned(),
        side: Side::Station(county.at()),
        clock: county.hands.clock(),
        entropy: entropy(77),
        version: "test".to_owned(),
        places: None,
    }
}

#[tokio::test]
async fn a_folder_that_is_free_is_opened_here_and_free_again_afterwards() {
    limited(async {
        let county = County::found(1).await;
        let station = Station::join(&county, "North", 10).await;
        station.register("Marsh 21").await;
        station.shared.close().await;
        // A socket left over by a process that ended.
        std::fs::write(station.folder.path().join(SOCKET), b"").expect("file");
        for _ in 0..3 {
            let local = connect(opening(&county, &station)).await.expect("opened");
            assert!(local.is_within());
            assert_eq!(craft(&mut local.client()).await, ["Marsh 21"]);
            local.close().await;
        }
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_folder_that_is_served_is_dialled() {
    limited(async {
        let county = County::found(2).await;
        let station = Station::join(&county, "North", 10).await;
        let socket = station.folder.path().join(SOCKET);
        let (stop, stopped) = oneshot::channel::<()>();
        let listening = Listening::begin(socket.clone()).expect("a socket");
        // From here on commands come through it, whether or not it is served yet.
        let opening = || opening(&county, &station);
        let dialled = tokio::spawn(connect(opening()));
        let serving = tokio::spawn(serve(station.host(&county.at()), listening, async {
            let _ = stopped.await;
        }));
        let local = dialled.await.expect("no panic").expect("dialled");
        assert!(!local.is_within());
        let mode = std::fs::metadata(&socket).expect("socket").permissions();
        assert_eq!(mode.mode() & 0o777, 0o600);
        station.register("Marsh 21").await;
        assert_eq!(craft(&mut local.client()).await, ["Marsh 21"]);
        local.close().await;

        stop.send(()).expect("it runs");
        serving.await.expect("no panic").expect("it ran well");
        assert!(!socket.exists());
        station.shared.close().await;
        let local = connect(opening()).await.expect("opened");
        assert!(local.is_within());
        local.close().await;
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn the_log_comes_in_pages_the_newest_first() {
    limited(async {
        let county = County::found(3).await;
        let station = Station::join(&county, "North", 10).await;
        for number in 0..7 {
            station.register(&format!("Quay {number}")).await;
        }
        let local = station.local().await;
        let mut client = local.client();
        let mut pages = Vec::new();
        let mut token = String::new();
        loop {
            let request = service::LogRequest {
                page_size: 3,
                page_token: token,
                ..service::LogRequest::default()
            };
            let page = client.log(request).await.expect("a page").into_inner();
            pages.push(
                page.lines
                    .iter()
                    .map(|line| line.numbers.join(" "))
                    .collect::<Vec<_>>()
                    .join(", "),
            );
            token = page.next_page_token;
            if token.is_empty() {
                break;
            }
        }
        assert_eq!(
            pages,
            ["Quay 4, Quay 5, Quay 6", "Quay 1, Quay 2, Quay 3", "Quay 0"]
        );
        let bad = service::LogRequest {
            page_token: "7".to_owned(),
            ..service::LogRequest::default()
        };
        let refused = client.log(bad).await.expect_err("no token of ours");
        assert_eq!(refused.code(), StatusCode::InvalidArgument);
        county.stop().await;
    })
    .await;
}

async fn report(local: &Local) -> service::SyncReport {
    let mut replies = local
        .client()
        .sync_now(service::SyncNowRequest {})
        .await
        .expect("begun")
        .into_inner();
    let mut last = None;
    while let Some(reply) = replies.message().await.expect("synced") {
        last = reply.report;
    }
    last.expect("a report at the end")
}

#[tokio::test]
async fn a_station_syncs_and_verifies_through_it() {
    limited(async {
        let county = County::found(4).await;
        let station = Station::join(&county, "North", 10).await;
        station.register("Marsh 21").await;
        let local = station.local().await;
        let synced = report(&local).await;
        assert_eq!((synced.sent, synced.waiting, synced.refused), (1, 0, 0));

        let about = local
            .client()
            .about(service::AboutRequest {})
            .await
            .expect("about")
            .into_inner();
        assert!(about.admitted);
        assert_eq!(about.station_name, "North");
        assert!(about.last_sync_unix_ms.is_some());

        let mut replies = local
            .client()
            .verify(service::VerifyRequest {})
            .await
            .expect("begun")
            .into_inner();
        let mut last = None;
        while let Some(reply) = replies.message().await.expect("verified") {
            last = reply.report;
        }
        let found = last.expect("a report at the end");
        assert_eq!(found.wrong, Vec::<String>::new());
        assert_eq!(found.events, about.events);

        let refused = county
            .local()
            .await
            .client()
            .sync_now(service::SyncNowRequest {})
            .await;
        let refused = refused.expect_err("the county syncs with nobody");
        assert_eq!(refusal::reason(&refused).as_deref(), Some("NOT_A_STATION"));
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_carry_file_takes_events_past_a_dead_network() {
    limited(async {
        let county = County::found(5).await;
        let north = Station::join(&county, "North", 10).await;
        let south = Station::join(&county, "South", 20).await;
        north.sync(&county).await;
        south.sync(&county).await;
        for number in 0..5 {
            north.register(&format!("Quay {number}")).await;
        }
        let mut replies = north
            .local()
            .await
            .client()
            .carry_out(service::CarryOutRequest { new_only: true })
            .await
            .expect("begun")
            .into_inner();
        let (mut file, mut events) = (Vec::new(), 0);
        while let Some(piece) = replies.message().await.expect("a piece") {
            file.extend_from_slice(&piece.data);
            events = piece.events;
        }
        assert_eq!(events, 5);

        let mut client = south.local().await.client();
        let pieces = |file: &[u8]| {
            let pieces: Vec<service::CarryInRequest> = file
                .chunks(1000)
                .map(|piece| service::CarryInRequest {
                    data: piece.to_vec().into(),
                })
                .collect();
            tokio_stream::iter(pieces)
        };
        let cut = client.carry_in(pieces(&file[..file.len() - 1])).await;
        let cut = cut.expect_err("cut short");
        assert_eq!(refusal::reason(&cut).as_deref(), Some("CARRY_FILE_REFUSED"));
        assert!(south.craft().await.is_empty(), "nothing of it was kept");
        let taken = client.carry_in(pieces(&file)).await.expect("taken in");
        let taken = taken.into_inner();
        assert_eq!((taken.new_events, taken.refused), (5, 0), "{taken:?}");
        assert_eq!(south.craft().await.len(), 5);
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn codes_name_stations_and_their_limits() {
    limited(async {
        let county = County::found(6).await;
        let mut client = county.local().await.client();
        let request = |station: &str, hours, roles: Vec<i32>| service::MakeCodeRequest {
            station: station.to_owned(),
            hours,
            roles,
            ..service::MakeCodeRequest::default()
        };
        let one = client.make_code(request("North", 1, Vec::new())).await;
        let two = client.make_code(request(" North ", 2, Vec::new())).await;
        let (one, two) = (one.expect("a code"), two.expect("a code"));
        let (one, two) = (one.into_inner(), two.into_inner());
        assert_eq!(one.station, two.station, "one station of one name");
        assert_ne!(one.code, two.code);
        let refused = [
            request("", 1, Vec::new()),
            request("North", 721, Vec::new()),
            request("North", 1, vec![event::Role::County.into()]),
            request("North", 1, vec![99]),
        ];
        for request in refused {
            let refused = client.make_code(request).await.expect_err("refused");
            assert_eq!(refused.code(), StatusCode::InvalidArgument, "{refused}");
        }
        let station = Station::join(&county, "South", 10).await;
        let at_station = station
            .local()
            .await
            .client()
            .make_code(request("West", 1, Vec::new()))
            .await
            .expect_err("only at the county");
        assert_eq!(
            refusal::reason(&at_station).as_deref(),
            Some("NOT_A_COUNTY")
        );
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_question_about_an_unknown_craft_names_near_ones() {
    limited(async {
        let county = County::found(7).await;
        let station = Station::join(&county, "North", 10).await;
        station.register("Marsh 21").await;
        let ask = service::AskRequest {
            question: Some(Question {
                craft: "Marsh 12".to_owned(),
                ..Question::default()
            }),
            ..service::AskRequest::default()
        };
        let refused = station.local().await.client().ask(ask).await;
        let refused = refused.expect_err("unknown");
        assert_eq!(refused.code(), StatusCode::NotFound);
        insta::assert_snapshot!(refused.message(), @"no craft with the number 'Marsh 12' is known here: did you mean Marsh 21?");
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_county_that_does_not_run_gives_codes_that_work_once_it_does() {
    limited(async {
        let (folder, hands) = County::found(8).await.stop().await;
        let opening = Opening {
            folder: folder.path().to_owned(),
            side: Side::County,
            clock: hands.clock(),
            entropy: entropy(80),
            version: "test".to_owned(),
            places: None,
        };
        let local = connect(opening).await.expect("opened");
        let request = service::MakeCodeRequest {
            station: "North".to_owned(),
            ..service::MakeCodeRequest::default()
        };
        let made = local.client().make_code(request).await.expect("a code");
        local.close().await;
        let code = Code::parse(&made.into_inner().code).expect("it can be read");

        let county = County::start(folder, hands, 81).await;
        let joined = try_join(&code, &county.address, &device(10)).await;
        assert_eq!(joined.expect("in").station_name, "North");
        county.stop().await;
    })
    .await;
}
