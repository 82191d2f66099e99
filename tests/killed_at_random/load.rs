//! Who records, takes pictures and syncs at stations all the time, over their local sockets, and
//! notes what was acknowledged.

use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;
use std::time::Duration;

use end_to_end::many;
use prost::Message as _;
use sponson_link::stubs::service::local_client::LocalClient;
use sponson_log::ids::{Digest, EventId, SubjectId};
use sponson_proto::event::v1::{Fault, FaultFound, Kind, Severity, SubjectType};
use sponson_proto::service::v1 as service;
use tonic::Status;
use tonic::transport::{Channel, Endpoint};

/// Who records at one station at a time.
const WRITERS: u64 = 2;

/// Between two entries of one writer, and two syncs: what one life writes stays within a few
/// thousand entries.
const PAUSE: Duration = Duration::from_millis(15);
const BETWEEN_SYNCS: Duration = Duration::from_millis(150);

/// How long whoever finds nobody serving waits before the next look.
const LOOK_AGAIN: Duration = Duration::from_millis(20);

/// One entry in so many has a picture.
const PICTURE_EVERY: u64 = 30;

/// What was acknowledged.
#[derive(Debug, Default)]
pub(super) struct Noted {
    entries: Mutex<Vec<EventId>>,
    pictures: Mutex<Vec<Digest>>,
}

impl Noted {
    pub(super) fn entries(&self) -> Vec<EventId> {
        self.entries.lock().expect("no panic").clone()
    }

    pub(super) fn pictures_kept(&self) -> Vec<Digest> {
        self.pictures.lock().expect("no panic").clone()
    }

    /// Entries.
    pub(super) fn count(&self) -> u64 {
        u64::try_from(self.entries.lock().expect("no panic").len()).expect("few")
    }

    /// Pictures.
    pub(super) fn pictures(&self) -> u64 {
        u64::try_from(self.pictures.lock().expect("no panic").len()).expect("few")
    }

    fn entry(&self, id: &[u8]) {
        let id = EventId::parse("event_id", id).expect("the service gives an id");
        self.entries.lock().expect("no panic").push(id);
    }
}

/// The threads.
#[derive(Debug)]
pub(super) struct Load {
    stop: Arc<AtomicBool>,
    threads: Vec<JoinHandle<()>>,
}

/// What one thread does, again and again.
struct Worker {
    socket: PathBuf,
    craft: Vec<SubjectId>,
    noted: Arc<Noted>,
    stop: Arc<AtomicBool>,
    number: u64,
}

impl Load {
    /// Begins at each socket.
    pub(super) fn begin(
        sockets: impl Iterator<Item = PathBuf>,
        craft: &[SubjectId],
        noted: &Arc<Noted>,
    ) -> Self {
        let stop = Arc::new(AtomicBool::new(false));
        let mut threads = Vec::new();
        for socket in sockets {
            let worker = |number| Worker {
                socket: socket.clone(),
                craft: craft.to_vec(),
                noted: Arc::clone(noted),
                stop: Arc::clone(&stop),
                number,
            };
            for writer in 1..=WRITERS {
                // Apart, so that no two say the same.
                let mut worker = worker(writer * 100_000);
                threads.push(std::thread::spawn(move || worker.works(false)));
            }
            let mut worker = worker(0);
            threads.push(std::thread::spawn(move || worker.works(true)));
        }
        Self { stop, threads }
    }

    /// Ends all of it.
    pub(super) fn end(self) {
        self.stop.store(true, Ordering::Relaxed);
        for thread in self.threads {
            thread.join().expect("no panic");
        }
    }
}

impl Worker {
    /// Works until it is to stop; whoever is killed meanwhile is dialled again.
    fn works(&mut self, syncs: bool) {
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build();
        let runtime = runtime.expect("a runtime");
        runtime.block_on(async {
            while !self.stop.load(Ordering::Relaxed) {
                let endpoint = Endpoint::try_from(format!("unix:{}", self.socket.display()));
                let endpoint = endpoint.expect("a path");
                let Ok(channel) = endpoint.connect().await else {
                    tokio::time::sleep(LOOK_AGAIN).await;
                    continue;
                };
                let mut client = LocalClient::new(channel);
                while !self.stop.load(Ordering::Relaxed) {
                    let done = if syncs {
                        sync(&mut client).await
                    } else {
                        self.records(&mut client).await
                    };
                    if done.is_err() {
                        break;
                    }
                    tokio::time::sleep(if syncs { BETWEEN_SYNCS } else { PAUSE }).await;
                }
            }
        });
    }

    async fn records(&mut self, client: &mut LocalClient<Channel>) -> Result<(), Status> {
        self.number += 1;
        if self.number.is_multiple_of(PICTURE_EVERY) {
            return self.pictures(client).await;
        }
        let said = many::nth(self.number, &self.craft);
        let (craft, _) = said.subjects[0];
        let text = said
            .texts
            .into_iter()
            .map(|(belongs_to, text, _)| service::AppendText { belongs_to, text });
        let request = service::AppendRequest {
            texts: text.collect(),
            ..request(said.kind, said.payload, &craft)
        };
        let reply = client.append(request).await?.into_inner();
        self.noted.entry(&reply.event_id);
        Ok(())
    }

    async fn pictures(&self, client: &mut LocalClient<Channel>) -> Result<(), Status> {
        let begin = [0xff, 0xd8, 0xff].into_iter();
        let content = begin.chain(self.number.to_be_bytes().into_iter().cycle());
        let content: Vec<u8> = content.take(20_000).collect();
        let request_ = service::KeepPictureRequest {
            content: content.into(),
        };
        let picture = client.keep_picture(request_).await?.into_inner().picture;
        let found = FaultFound {
            part: "floor".to_owned(),
            class: "hole".to_owned(),
            severity: Severity::Minor as i32,
            ..FaultFound::default()
        };
        let message = Fault {
            faults: vec![found],
        };
        let craft = self.craft[usize::try_from(self.number).expect("few") % self.craft.len()];
        let request = service::AppendRequest {
            pictures: vec![service::AppendPicture {
                belongs_to: "fault:0".to_owned(),
                picture: picture.clone(),
            }],
            ..request(Kind::Fault, message.encode_to_vec(), &craft)
        };
        let reply = client.append(request).await?.into_inner();
        self.noted.entry(&reply.event_id);
        let picture = Digest::parse("picture", &picture).expect("the service gives a digest");
        self.noted.pictures.lock().expect("no panic").push(picture);
        Ok(())
    }
}

fn request(kind: Kind, payload: Vec<u8>, craft: &SubjectId) -> service::AppendRequest {
    service::AppendRequest {
        kind: i32::from(kind).unsigned_abs(),
        kind_version: 1,
        payload: payload.into(),
        subjects: vec![service::AppendSubject {
            id: craft.as_bytes().to_vec().into(),
            r#type: SubjectType::Craft.into(),
        }],
        member: "M-7".to_owned(),
        ..service::AppendRequest::default()
    }
}

/// One sync; that the county is down just now ends nothing.
async fn sync(client: &mut LocalClient<Channel>) -> Result<(), Status> {
    let mut told = client
        .sync_now(service::SyncNowRequest::default())
        .await?
        .into_inner();
    while let Ok(Some(_)) = told.message().await {}
    Ok(())
}
