//! Checks under way through the local service: two members at one, a start in between, and a cut
//! between the events that a check becomes.

use std::path::PathBuf;

use prost::Message as _;
use sponson_link::local::under_way::UNDER_WAY_FOLDER;
use sponson_link::local::{Listening, Local, Opening, SOCKET, Side, connect, serve};
use sponson_link::refusal;
use sponson_proto::event::v1 as event;
use sponson_proto::service::v1 as service;
use sponson_proto::service::v1::{UnderWayKind, UnderWayStage};
use tokio::sync::oneshot;
use tonic::Status;

use crate::world::{County, Station, entropy, limited};

struct Place {
    county: County,
    station: Station,
    craft: [u8; 16],
}

impl Place {
    async fn new(seed: u64) -> Self {
        let county = County::found(seed).await;
        let station = Station::join(&county, "North", seed + 10).await;
        let craft = station.register("Marsh 21").await;
        station.shared.close().await;
        Self {
            county,
            station,
            craft,
        }
    }

    /// The folder, opened as a command opens it.
    async fn open(&self) -> Local {
        connect(self.opening()).await.expect("opened")
    }

    fn opening(&self) -> Opening {
        Opening {
            folder: self.station.folder.path().to_owned(),
            side: Side::Station(self.county.at()),
            clock: self.county.hands.clock(),
            entropy: entropy(77),
            version: "test".to_owned(),
            places: None,
        }
    }

    fn file(&self, id: &str) -> PathBuf {
        let folder = self.station.folder.path().join(UNDER_WAY_FOLDER);
        folder.join(id).with_extension("check")
    }

    async fn begin(&self, local: &Local) -> service::CheckUnderWay {
        let request = service::BeginRequest {
            craft: self.craft.to_vec().into(),
            craft_number: "Marsh 21".to_owned(),
            kind: UnderWayKind::Full as i32,
            member: "M-104".to_owned(),
            or_go_on: true,
            ..service::BeginRequest::default()
        };
        let begun = local.client().begin(request).await.expect("begins");
        begun.into_inner().check.expect("a check")
    }

    /// A fault at a part, as an event.
    fn fault(&self, member: &str, part: &str) -> service::AppendRequest {
        let fault = event::FaultFound {
            part: part.to_owned(),
            class: "leak".to_owned(),
            severity: event::Severity::Minor as i32,
            ..event::FaultFound::default()
        };
        let payload = event::Fault {
            faults: vec![fault],
        };
        service::AppendRequest {
            kind: event::Kind::Fault as u32,
            kind_version: 1,
            payload: payload.encode_to_vec().into(),
            subjects: vec![service::AppendSubject {
                id: self.craft.to_vec().into(),
                r#type: event::SubjectType::Craft as i32,
            }],
            member: member.to_owned(),
            ..service::AppendRequest::default()
        }
    }
}

async fn enter(
    local: &Local,
    id: &str,
    member: &str,
    (name, value): (&str, &str),
) -> Result<service::CheckUnderWay, Status> {
    let request = service::EnterRequest {
        id: id.to_owned(),
        member: member.to_owned(),
        fields: vec![service::FieldTyped {
            name: name.to_owned(),
            value: value.to_owned(),
        }],
    };
    let reply = local.client().enter(request).await?.into_inner();
    Ok(reply.check.expect("a check"))
}

async fn record(
    local: &Local,
    check: &service::CheckUnderWay,
    events: Vec<service::AppendRequest>,
) -> Result<service::RecordUnderWayReply, Status> {
    let request = service::RecordUnderWayRequest {
        id: check.id.clone(),
        member: "M-104".to_owned(),
        events,
        entries: check.entries,
    };
    let reply = local.client().record_under_way(request).await?;
    Ok(reply.into_inner())
}

async fn one(local: &Local, id: &str) -> service::CheckUnderWay {
    let request = service::UnderWayRequest {
        id: id.to_owned(),
        ..service::UnderWayRequest::default()
    };
    let reply = local.client().under_way(request).await.expect("listed");
    reply.into_inner().checks.remove(0)
}

/// Parts of the faults in the log, in its order.
async fn faults(local: &Local) -> Vec<String> {
    let request = service::LogRequest {
        page_size: 1_000,
        ..service::LogRequest::default()
    };
    let lines = local.client().log(request).await.expect("log").into_inner();
    let faults = lines.lines.into_iter();
    let faults = faults.filter(|line| line.kind == event::Kind::Fault as u32);
    let parts = faults.map(|line| {
        let body = event::Body::decode(line.event.expect("whole").body).expect("a body");
        let mut fault = event::Fault::decode(body.payload).expect("a fault");
        fault.faults.remove(0).part
    });
    parts.collect()
}

#[tokio::test]
async fn two_members_enter_one_check_and_it_is_there_after_a_start() {
    limited(async {
        let place = Place::new(60).await;
        let local = place.open().await;
        let check = place.begin(&local).await;
        let again = place.begin(&local).await;
        assert_eq!(again.id, check.id, "the second goes on with it");
        let mut watch = local
            .client()
            .watch_under_way(service::WatchUnderWayRequest {})
            .await
            .expect("watched")
            .into_inner();
        let before = watch.message().await.expect("told").expect("at once");
        enter(&local, &check.id, "M-104", ("air", "41 F"))
            .await
            .expect("kept");
        let after = watch.message().await.expect("told").expect("changed");
        assert!(after.changes > before.changes);
        drop(watch);
        enter(&local, &check.id, "M-099", ("air", "43 F"))
            .await
            .expect("kept");
        local.close().await;
        let local = place.open().await;
        let check = one(&local, &check.id).await;
        let air = &check.fields[0];
        let said = (&*air.value, &*air.member, &*air.before, &*air.before_member);
        assert_eq!(said, ("43 F", "M-099", "41 F", "M-104"));
        let request = service::EndUnderWayRequest {
            id: check.id.clone(),
            member: "M-099".to_owned(),
        };
        local
            .client()
            .end_under_way(request)
            .await
            .expect("dropped");
        let late = enter(&local, &check.id, "M-104", ("air", "1 F")).await;
        let late = late.expect_err("it was dropped");
        assert_eq!(refusal::reason(&late).as_deref(), Some("CHECK_NOT_OPEN"));
        assert!(late.message().contains("dropped by M-099"), "{late:?}");
        local.close().await;
        place.county.stop().await;
    })
    .await;
}

/// A cut after each line that recording writes: going on records what is missing, and nothing twice.
#[tokio::test]
async fn a_cut_between_the_events_of_a_check_repeats_none() {
    limited(async {
        let place = Place::new(61).await;
        let parts = ["tube-1", "tube-2", "tube-3"];
        let events = || parts.map(|part| place.fault("M-104", part)).to_vec();
        let local = place.open().await;
        let check = place.begin(&local).await;
        let check = enter(&local, &check.id, "M-104", ("air", "41 F"))
            .await
            .expect("kept");
        let stale = service::CheckUnderWay {
            entries: 0,
            ..check.clone()
        };
        let refused = record(&local, &stale, events())
            .await
            .expect_err("somebody entered more");
        assert_eq!(refusal::reason(&refused).as_deref(), Some("CHECK_CHANGED"));
        let recorded = record(&local, &check, events()).await.expect("recorded");
        assert_eq!(recorded.recorded.len(), 3);
        local.close().await;
        let file = place.file(&check.id);
        let text = std::fs::read_to_string(&file).expect("reads");
        let lines: Vec<&str> = text.split_inclusive('\n').collect();
        assert_eq!(
            lines.len(),
            7,
            "begun, entered, fixed, three events, recorded"
        );
        for kept in 3..=6 {
            std::fs::write(&file, lines[..kept].concat()).expect("writes");
            let local = place.open().await;
            let half = one(&local, &check.id).await;
            assert_eq!(half.stage(), UnderWayStage::Recording, "{kept} lines");
            assert_eq!(half.recorded.len(), kept - 3);
            let more = enter(&local, &check.id, "M-099", ("air", "43 F")).await;
            assert!(more.is_err(), "what is to be recorded is fixed");
            let done = record(&local, &half, Vec::new()).await.expect("went on");
            let done = done.check.expect("a check");
            assert_eq!(done.stage(), UnderWayStage::Recorded);
            assert_eq!(done.ended_by, "M-104");
            let ids: Vec<_> = done.recorded.iter().map(|event| &event.event_id).collect();
            let first = recorded.check.as_ref().expect("a check").recorded.iter();
            assert_eq!(ids, first.map(|event| &event.event_id).collect::<Vec<_>>());
            assert_eq!(faults(&local).await, parts, "{kept} lines");
            local.close().await;
        }
        place.county.stop().await;
    })
    .await;
}

/// A service that starts finishes what a cut left half recorded, without being asked.
#[tokio::test]
async fn a_service_that_starts_goes_on_recording() {
    limited(async {
        let place = Place::new(63).await;
        let local = place.open().await;
        let check = place.begin(&local).await;
        let events = vec![
            place.fault("M-104", "tube-1"),
            place.fault("M-104", "tube-2"),
        ];
        record(&local, &check, events).await.expect("recorded");
        local.close().await;
        let file = place.file(&check.id);
        let text = std::fs::read_to_string(&file).expect("reads");
        let lines: Vec<&str> = text.split_inclusive('\n').collect();
        std::fs::write(&file, lines[..3].concat()).expect("writes");
        let host = place.opening().host().await.expect("opens");
        let socket = place.station.folder.path().join(SOCKET);
        let listening = Listening::begin(socket).expect("a socket");
        let (stop, stopped) = oneshot::channel::<()>();
        let serving = tokio::spawn(serve(host.clone(), listening, async {
            let _ = stopped.await;
        }));
        let local = place.open().await;
        assert!(!local.is_within(), "it is served");
        let watch = service::WatchUnderWayRequest {};
        let watch = local
            .client()
            .watch_under_way(watch)
            .await
            .expect("watched");
        let mut watch = watch.into_inner();
        while one(&local, &check.id).await.stage() != UnderWayStage::Recorded {
            watch.message().await.expect("told").expect("changes");
        }
        assert_eq!(faults(&local).await, ["tube-1", "tube-2"]);
        drop(watch);
        local.close().await;
        stop.send(()).expect("it serves");
        serving.await.expect("no panic").expect("ended");
        host.shared.close().await;
        place.county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn an_event_that_the_log_refuses_leaves_a_check_that_can_be_set_right() {
    limited(async {
        let place = Place::new(62).await;
        let local = place.open().await;
        let check = place.begin(&local).await;
        let wrong = service::AppendRequest {
            payload: vec![0xff].into(),
            ..place.fault("M-104", "tube-1")
        };
        let refused = record(&local, &check, vec![wrong.clone()]).await;
        let refused = refused.expect_err("no fault");
        assert_eq!(refusal::reason(&refused).as_deref(), Some("EVENT_REFUSED"));
        let check = one(&local, &check.id).await;
        assert_eq!(check.stage(), UnderWayStage::Open);
        // Behind one that is in the log already it stays fixed, and goes on from there.
        let events = vec![place.fault("M-099", "tube-1"), wrong];
        record(&local, &check, events)
            .await
            .expect_err("the second");
        let check = one(&local, &check.id).await;
        assert_eq!(check.stage(), UnderWayStage::Recording);
        assert_eq!(check.recorded[0].member, "M-099");
        record(&local, &check, Vec::new()).await.expect_err("still");
        assert_eq!(faults(&local).await, ["tube-1"]);
        local.close().await;
        place.county.stop().await;
    })
    .await;
}
