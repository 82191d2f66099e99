//! Pictures over the wire: after the events, both ways, from any byte on; nothing for strangers.

use std::collections::BTreeSet;
use std::sync::atomic::{AtomicU64, Ordering};

use bytes::Bytes;
use prost::Message as _;
use sponson_link::founding::STORE_FOLDER;
use sponson_link::limits::{PICTURE_PIECE_BYTES_MAX, PICTURES_OFFERED_MAX, PICTURES_TIME_MAX};
use sponson_link::refusal;
use sponson_link::station::{CountyAt, PicturesReport, sync};
use sponson_link::stubs::service::pictures_client::PicturesClient;
use sponson_link::tls::{self, Trusted};
use sponson_link::{Clock, Shared};
use sponson_log::event::SignedEvent;
use sponson_log::ids::Digest;
use sponson_proto::event::v1 as event;
use sponson_proto::service::v1 as service;
use sponson_proto::store::v1::ChunkSource;
use sponson_replica::{Now, Part, PicturePlace, Replica};
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::{TcpListener, TcpStream};
use tonic::transport::Channel;
use tonic::{Code, Status};

use crate::world::{County, START, Station, entropy, limited};

pub(crate) fn jpeg(seed: u8, bytes: usize) -> Vec<u8> {
    // What zstd on the way cannot make smaller, so that a cut by bytes falls inside.
    let mut state = u32::from(seed) + 1;
    let noise = std::iter::repeat_with(|| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        state.to_be_bytes()[0]
    });
    let begin = [0xff, 0xd8, 0xff].into_iter();
    begin.chain(noise).take(bytes).collect()
}

/// Keeps a picture and records a fault that commits to it.
pub(crate) async fn pictured(station: &Station, craft: [u8; 16], content: Vec<u8>) -> Digest {
    let mut client = station.local().await.client();
    let request = service::KeepPictureRequest {
        content: content.into(),
    };
    let kept = client.keep_picture(request).await.expect("it is kept");
    let picture = kept.into_inner().picture;
    let fault = event::Fault {
        faults: vec![event::FaultFound {
            part: "tube-2".to_owned(),
            class: "leak".to_owned(),
            severity: event::Severity::Minor.into(),
            ..event::FaultFound::default()
        }],
    };
    let request = service::AppendRequest {
        kind: i32::from(event::Kind::Fault).unsigned_abs(),
        kind_version: 1,
        payload: fault.encode_to_vec().into(),
        subjects: vec![service::AppendSubject {
            id: craft.to_vec().into(),
            r#type: event::SubjectType::Craft.into(),
        }],
        pictures: vec![service::AppendPicture {
            belongs_to: "fault:0".to_owned(),
            picture: picture.clone(),
        }],
        ..service::AppendRequest::default()
    };
    client.append(request).await.expect("recorded");
    Digest::parse("picture", &picture).expect("a commitment")
}

pub(crate) async fn content(shared: &sponson_link::Shared, id: Digest) -> Option<Vec<u8>> {
    let read = move |replica: &mut Replica| replica.picture(&id).ok();
    let picture = shared.call(read).await.expect("open");
    picture.map(|picture| picture.content)
}

fn counts(report: &PicturesReport) -> (u64, u64, u64, u64) {
    (report.sent, report.fetched, report.waiting, report.to_fetch)
}

#[tokio::test]
async fn pictures_go_after_the_events_and_come_to_the_other_device_of_the_station() {
    limited(async {
        let county = County::found(1).await;
        let north = Station::join(&county, "North", 10).await;
        let also_north = Station::join(&county, "North", 11).await;
        let south = Station::join(&county, "South", 12).await;
        let craft = north.register("Marsh 21").await;
        let large = jpeg(1, 700_000);
        let id = pictured(&north, craft, large.clone()).await;
        let report = north.sync(&county).await;
        assert_eq!(report.pictures.said, Vec::<String>::new());
        assert_eq!(counts(&report.pictures), (1, 0, 0, 0));
        assert_eq!(
            content(&county.host.shared, id).await.as_ref(),
            Some(&large)
        );
        let report = also_north.sync(&county).await;
        assert_eq!(counts(&report.pictures), (0, 1, 0, 0));
        assert_eq!(content(&also_north.shared, id).await.as_ref(), Some(&large));
        let report = south.sync(&county).await;
        assert_eq!(counts(&report.pictures), (0, 0, 0, 0), "not of its craft");
        assert_eq!(content(&south.shared, id).await, None);
        for station in [&north, &also_north] {
            let again = station.sync(&county).await;
            assert_eq!(counts(&again.pictures), (0, 0, 0, 0), "nothing twice");
        }
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_county_that_lost_its_pictures_gets_them_back_from_stations() {
    limited(async {
        let county = County::found(1).await;
        let north = Station::join(&county, "North", 10).await;
        let craft = north.register("Marsh 21").await;
        let id = pictured(&north, craft, jpeg(1, 3_000)).await;
        north.sync(&county).await;
        let (folder, hands) = county.stop().await;
        let photos = folder.path().join(sponson_link::local::PHOTOS_FOLDER);
        std::fs::remove_dir_all(photos).expect("they were there");
        let county = County::start(folder, hands, 2).await;
        let report = north.sync(&county).await;
        assert_eq!(counts(&report.pictures), (1, 0, 0, 0));
        assert!(content(&county.host.shared, id).await.is_some());
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_picture_goes_on_from_every_byte_that_the_county_has() {
    limited(async {
        let county = County::found(1).await;
        let north = Station::join(&county, "North", 10).await;
        let craft = north.register("Marsh 21").await;
        let bytes = 40;
        for have in 0..16 + bytes {
            let content_ = jpeg(u8::try_from(have).expect("small"), bytes);
            let id = pictured(&north, craft, content_.clone()).await;
            let begin = move |replica: &mut Replica| {
                replica.picture_piece(&id, 0, have).expect("it is here").0
            };
            let piece = north.shared.call(begin).await.expect("open");
            // The events go first; the county then has so many bytes of the file.
            events_only(&north, &county).await;
            let put = move |replica: &mut Replica| {
                replica.take_picture_piece(&id, bytes as u64, (0, &piece))
            };
            let put = county.host.shared.call(put).await.expect("open");
            assert_eq!(put.expect("it is wanted"), Part::To(have as u64));
            let report = north.sync(&county).await;
            assert_eq!(report.pictures.sent, 1, "from byte {have}");
            assert_eq!(content(&county.host.shared, id).await, Some(content_));
        }
        county.stop().await;
    })
    .await;
}

/// The events of a station reach the county without their pictures, as by a carry file.
async fn events_only(station: &Station, county: &County) {
    let events = station.unproven().await.into_iter();
    let events = events
        .map(|event| SignedEvent::open(event).expect("its own"))
        .collect();
    let keep = move |replica: &mut Replica| replica.keep(events, ChunkSource::Carry, START);
    let kept = county.host.shared.call(keep).await.expect("open");
    assert_eq!(kept.expect("the store is whole").refused, []);
}

/// After how many bytes a link is cut.
#[derive(Clone, Copy, Debug)]
enum Cut {
    Up(usize),
    Down(usize),
}

/// Passes connections on and cuts each once so many bytes went one way.
async fn cutting(target: String, cut: Cut) -> String {
    let listener = TcpListener::bind("127.0.0.1:0").await.expect("a port");
    let address = listener.local_addr().expect("address").to_string();
    let (up, down) = match cut {
        Cut::Up(bytes) => (bytes, usize::MAX),
        Cut::Down(bytes) => (usize::MAX, bytes),
    };
    tokio::spawn(async move {
        while let Ok((from, _)) = listener.accept().await {
            let to = TcpStream::connect(&target).await.expect("the county");
            let (from_read, from_write) = from.into_split();
            let (to_read, to_write) = to.into_split();
            tokio::spawn(async move {
                tokio::select! {
                    () = pass(from_read, to_write, up) => {}
                    () = pass(to_read, from_write, down) => {}
                }
            });
        }
    });
    address
}

async fn pass(
    mut from: tokio::net::tcp::OwnedReadHalf,
    mut to: tokio::net::tcp::OwnedWriteHalf,
    mut left: usize,
) {
    let mut buffer = vec![0; 4096];
    while left > 0 {
        let most = left.min(buffer.len());
        match from.read(&mut buffer[..most]).await {
            Ok(0) | Err(_) => return,
            Ok(read) => {
                left -= read;
                if to.write_all(&buffer[..read]).await.is_err() {
                    return;
                }
            }
        }
    }
}

#[tokio::test]
async fn a_cut_while_pictures_go_or_come_fails_no_sync_and_the_next_goes_on() {
    limited(async {
        let county = County::found(1).await;
        let north = Station::join(&county, "North", 10).await;
        let also_north = Station::join(&county, "North", 11).await;
        let craft = north.register("Marsh 21").await;
        let large = jpeg(3, 400_000);
        let id = pictured(&north, craft, large.clone()).await;
        let at = |address| CountyAt {
            address,
            ..county.at()
        };
        let mut cut_off = 0;
        let mut had = 0;
        for bytes in [40_000, 70_000, 90_000, 130_000, 200_000] {
            let address = cutting(county.address.clone(), Cut::Up(bytes)).await;
            let report = north
                .try_sync(&at(address))
                .await
                .expect("the events are through");
            assert_eq!(north.waiting().await, 0);
            if report.pictures.waiting == 1 {
                assert!(!report.pictures.said.is_empty(), "it says why");
                cut_off += 1;
            }
            let place = county
                .host
                .shared
                .call(move |it| it.picture_place(&id))
                .await;
            match place.expect("open") {
                PicturePlace::Missing(bytes) => {
                    assert!(bytes >= had, "what came stays: {bytes}");
                    had = bytes;
                }
                PicturePlace::Held => had = u64::MAX,
                PicturePlace::NotKnown | PicturePlace::Removed => panic!("it is known"),
            }
        }
        assert!(cut_off >= 2 && had > 0, "{cut_off} cuts, {had} bytes");
        north.sync(&county).await;
        assert_eq!(
            content(&county.host.shared, id).await.as_ref(),
            Some(&large)
        );

        let mut cut_off = 0;
        for bytes in [40_000, 70_000, 90_000, 130_000, 200_000] {
            let address = cutting(county.address.clone(), Cut::Down(bytes)).await;
            let report = also_north.try_sync(&at(address)).await;
            cut_off += usize::from(report.expect("the events are through").pictures.to_fetch == 1);
        }
        assert!(cut_off >= 2, "{cut_off} cuts");
        also_north.sync(&county).await;
        assert_eq!(content(&also_north.shared, id).await.as_ref(), Some(&large));
        county.stop().await;
    })
    .await;
}

async fn client(county: &County, station: &Station) -> PicturesClient<Channel> {
    let pinned = Trusted::Keys(BTreeSet::from([county.host.identity.tls_key()]));
    let config = tls::client(&station.identity, pinned).expect("tls");
    let channel = tls::channel(&county.address, config).await.expect("open");
    PicturesClient::new(channel)
}

fn refused_as(status: &Status, code: Code, reason: &str) {
    assert_eq!(status.code(), code, "{status}");
    assert_eq!(refusal::reason(status).as_deref(), Some(reason));
}

#[tokio::test]
async fn nothing_is_stored_for_whoever_has_no_event_and_nothing_by_whoever_only_reads() {
    limited(async {
        let county = County::found(1).await;
        let north = Station::join(&county, "North", 10).await;
        let code = county.code_for("Watch", &[event::Role::Reader]).await;
        let reader = Station::join_with(&county, &code, 13).await;
        let craft = north.register("Marsh 21").await;
        let id = pictured(&north, craft, jpeg(1, 500)).await;
        let mut theirs = client(&county, &north).await;
        let put = |picture: Digest, data: usize| service::PutPictureRequest {
            picture: picture.to_bytes(),
            bytes: 500,
            offset: 0,
            data: vec![0; data].into(),
        };
        // The event is not at the county yet.
        let refused = theirs
            .put_picture(put(id, 100))
            .await
            .expect_err("not held");
        refused_as(&refused, Code::NotFound, "PICTURE_NOT_KNOWN");
        north.sync(&county).await;
        let unknown = Digest::from_bytes([1; 32]);
        for data in [100, PICTURE_PIECE_BYTES_MAX] {
            let refused = theirs.put_picture(put(unknown, data)).await;
            let refused = refused.expect_err("no event");
            refused_as(&refused, Code::NotFound, "PICTURE_NOT_KNOWN");
        }
        let refused = theirs
            .put_picture(put(id, PICTURE_PIECE_BYTES_MAX + 1))
            .await
            .expect_err("large");
        refused_as(&refused, Code::InvalidArgument, "FIELD_NOT_READABLE");
        let short = service::PutPictureRequest {
            picture: Bytes::from_static(b"short"),
            ..put(id, 1)
        };
        let refused = theirs.put_picture(short).await.expect_err("no commitment");
        refused_as(&refused, Code::InvalidArgument, "FIELD_NOT_READABLE");
        let many = |count| service::OfferPicturesRequest {
            pictures: vec![id.to_bytes(); count],
        };
        let fit = theirs.offer_pictures(many(PICTURES_OFFERED_MAX)).await;
        let states = fit.expect("just fit").into_inner().states;
        assert_eq!(states.len(), PICTURES_OFFERED_MAX);
        let over = many(PICTURES_OFFERED_MAX + 1);
        let refused = theirs.offer_pictures(over).await.expect_err("too many");
        refused_as(&refused, Code::InvalidArgument, "FIELD_NOT_READABLE");
        let asked = |picture: Digest| service::GetPictureRequest {
            picture: picture.to_bytes(),
            ..service::GetPictureRequest::default()
        };
        let refused = theirs
            .get_picture(asked(unknown))
            .await
            .expect_err("no event");
        refused_as(&refused, Code::NotFound, "PICTURE_NOT_KNOWN");
        let mut readers = client(&county, &reader).await;
        let refused = readers
            .put_picture(put(id, 1))
            .await
            .expect_err("it only reads");
        refused_as(&refused, Code::PermissionDenied, "KEY_ONLY_READS");
        let piece = readers.get_picture(asked(id)).await.expect("it may read");
        assert_eq!(piece.into_inner().bytes, 500);
        let photos = county
            .folder
            .path()
            .join(sponson_link::local::PHOTOS_FOLDER);
        assert_eq!(std::fs::read_dir(photos).expect("there").count(), 1);
        county.stop().await;
    })
    .await;
}

/// A clock that goes on by so much of its count whenever it is read.
fn stepping(step_ms: u64) -> Clock {
    let read = AtomicU64::new(1);
    Clock::new(move || Now {
        unix_ms: START,
        utc_offset_min: -300,
        boot_id: [9; 16],
        monotonic_ms: step_ms * read.fetch_add(1, Ordering::Relaxed),
    })
}

/// The clock is read once when the pictures of a sync begin, and again before the first piece.
#[tokio::test]
async fn the_pictures_of_one_sync_have_five_minutes_and_the_rest_goes_with_the_next() {
    limited(async {
        let county = County::found(1).await;
        let north = Station::join(&county, "North", 10).await;
        let craft = north.register("Marsh 21").await;
        pictured(&north, craft, jpeg(1, 3_000)).await;
        north.shared.close().await;
        let most = u64::try_from(PICTURES_TIME_MAX.as_millis()).expect("minutes");
        let late = "the link is slow: pictures had 5 minutes, and the rest goes with the next sync";
        for (step_ms, sent, waiting, said) in [(most + 1, 0, 1, vec![late]), (most, 1, 0, vec![])] {
            let store = north.folder.path().join(STORE_FOLDER);
            let replica = Replica::open(&store, north.identity.log_key().clone()).expect("store");
            let photos = north.folder.path().join(sponson_link::local::PHOTOS_FOLDER);
            let replica = replica.with_pictures(&photos, START).expect("photos");
            let shared = Shared::new(replica, stepping(step_ms), entropy(step_ms));
            let synced = sync(&shared, &county.at(), &north.identity, |_| {}).await;
            let report = synced.expect("the events are through").pictures;
            assert_eq!((report.sent, report.waiting), (sent, waiting), "{step_ms}");
            assert_eq!(report.said, said);
            shared.close().await;
        }
        county.stop().await;
    })
    .await;
}
