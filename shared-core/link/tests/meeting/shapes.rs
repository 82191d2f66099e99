//! Every method there is, called with messages of every shape: extreme, broken, nested, recorded.
//! Whatever comes is answered or refused in words; nothing that is not right in form is kept, and the
//! log still works afterwards.
//!
//! `SPONSON_SEED=S` (hexadecimal) tries one seed again, `SPONSON_ROUNDS=N` as many as wanted,
//! `SPONSON_LONG=MINUTES` goes on until that time is over.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use bytes::{Buf as _, BufMut as _, Bytes};
use hyper_util::rt::TokioIo;
use prost::Message as _;
use sponson_link::local::{self, Host, Listening, ServeError};
use sponson_link::refusal;
use sponson_link::tls::{self, Learnt, Trusted};
use sponson_log::sign::Signed;
use sponson_made::Seeded;
use sponson_proto::event::v1 as event;
use sponson_proto::service::v1 as service;
use sponson_proto::sync::v1::ExchangeRequest;
use tokio::net::UnixStream;
use tokio::sync::oneshot;
use tokio::task::JoinHandle;
use tonic::codec::{Codec, DecodeBuf, Decoder, EncodeBuf, Encoder};
use tonic::transport::{Channel, Endpoint};
use tonic::{Code, Request, Status};

use crate::answer::adopt_standards;
use crate::strangers::push;
use crate::world::{County, Station};

mod forms;
mod later;

use forms::{Forms, Maker, Pool};

/// Messages to each method in one round.
const EACH: usize = 6;

/// How long one call may take: as long as the county's own limit.
const CALL: Duration = Duration::from_secs(40);

/// Passes bytes as they are.
#[derive(Clone, Copy, Debug, Default)]
struct AsTheyAre;

impl Codec for AsTheyAre {
    type Encode = Bytes;
    type Decode = Bytes;
    type Encoder = Self;
    type Decoder = Self;

    fn encoder(&mut self) -> Self {
        Self
    }

    fn decoder(&mut self) -> Self {
        Self
    }
}

impl Encoder for AsTheyAre {
    type Item = Bytes;
    type Error = Status;

    fn encode(&mut self, item: Bytes, into: &mut EncodeBuf<'_>) -> Result<(), Status> {
        into.put(item);
        Ok(())
    }
}

impl Decoder for AsTheyAre {
    type Item = Bytes;
    type Error = Status;

    fn decode(&mut self, from: &mut DecodeBuf<'_>) -> Result<Option<Bytes>, Status> {
        Ok(Some(from.copy_to_bytes(from.remaining())))
    }
}

/// Calls a method and takes its first reply.
async fn call(channel: &Channel, path: &str, message: &[u8]) -> Result<(), Status> {
    let mut grpc = tonic::client::Grpc::new(channel.clone())
        .max_decoding_message_size(usize::MAX)
        .max_encoding_message_size(usize::MAX);
    grpc.ready()
        .await
        .map_err(|error| Status::unavailable(error.to_string()))?;
    let once = tokio_stream::once(Bytes::copy_from_slice(message));
    let path = path.parse().expect("a path");
    let replies = grpc.streaming(Request::new(once), path, AsTheyAre).await?;
    replies.into_inner().message().await.map(|_| ())
}

/// How a call ended.
type Ended = Result<Result<(), Status>, tokio::time::error::Elapsed>;

/// The same in a word.
fn word(ended: &Ended) -> String {
    match ended {
        Err(_) => "HANGS".to_owned(),
        Ok(Ok(())) => "OK".to_owned(),
        Ok(Err(refused)) => refusal::reason(refused).unwrap_or_else(|| refused.code().to_string()),
    }
}

/// What is wrong with how a call ended; none when all is well.
fn wrong(ended: Ended) -> Option<String> {
    let refused = match ended {
        Err(_) => return Some("hangs".to_owned()),
        Ok(Ok(())) => return None,
        Ok(Err(refused)) => refused,
    };
    let broken = ["LOG_CLOSED", "UNEXPECTED", "STORE_FAILED", "ROW_DAMAGED"];
    match refusal::reason(&refused) {
        Some(reason) if broken.contains(&&*reason) => Some(format!("{reason}: {refused}")),
        Some(_) => None,
        // Refused before any service of ours saw it.
        None if refused.code() == Code::Internal
            && refused.message().starts_with("failed to decode Protobuf") =>
        {
            None
        }
        None if refused.code() == Code::OutOfRange
            && refused.message().contains("the limit is") =>
        {
            None
        }
        None => Some(format!("no reason: {refused}")),
    }
}

/// Seeds to try, and until when.
struct Rounds {
    seeds: Box<dyn Iterator<Item = u64>>,
    until: Option<Instant>,
}

impl Rounds {
    fn asked(own: u64) -> Self {
        let number = |name: &str, radix| {
            let text = std::env::var(name).ok()?;
            let text = text.trim_start_matches("0x").to_owned();
            Some(u64::from_str_radix(&text, radix).expect("a number"))
        };
        if let Some(seed) = number("SPONSON_SEED", 16) {
            return Self {
                seeds: Box::new(std::iter::once(seed)),
                until: None,
            };
        }
        let from = number("SPONSON_FROM", 16).unwrap_or(1);
        if let Some(minutes) = number("SPONSON_LONG", 10) {
            return Self {
                seeds: Box::new(from..),
                until: Some(Instant::now() + Duration::from_secs(60 * minutes)),
            };
        }
        let count = number("SPONSON_ROUNDS", 10).unwrap_or(own);
        Self {
            seeds: Box::new(from..from + count),
            until: None,
        }
    }
}

impl Iterator for Rounds {
    type Item = u64;

    fn next(&mut self) -> Option<u64> {
        if self.until.is_some_and(|until| Instant::now() >= until) {
            return None;
        }
        self.seeds.next()
    }
}

/// Genuine parts of a county and a station that has recorded something.
async fn pool(county: &County, station: &Station) -> Pool {
    let craft = station.register("Quay 1").await;
    let events = station.unproven().await;
    station.sync(county).await;
    let request = ExchangeRequest {
        county_id: station.joined.county.to_bytes(),
        entries_bytes_max: 500_000,
        ..ExchangeRequest::default()
    };
    let reply = station
        .exchanger(county)
        .await
        .exchange(request.clone())
        .await;
    let reply = reply.expect("answered").into_inner();
    let checkpoint = reply.checkpoint.expect("a county has one").encode_to_vec();
    let mut bytes = vec![
        Vec::new(),
        craft.to_vec(),
        station.joined.county.to_bytes().to_vec(),
        station.joined.station.to_bytes().to_vec(),
        station.identity.log_key().key().to_bytes().to_vec(),
        station.identity.tls_key().to_bytes().to_vec(),
    ];
    for event in &events {
        bytes.extend([event.body.to_vec(), event.signature.to_vec()]);
        let id = sponson_log::event::event_id(&event.body);
        bytes.push(id.to_bytes().to_vec());
    }
    let events = events.iter().map(prost::Message::encode_to_vec).collect();
    let subject = service::AppendSubject {
        id: craft.to_vec().into(),
        r#type: event::SubjectType::Craft.into(),
    };
    Pool {
        bytes,
        genuine: BTreeMap::from([
            (".sponson.event.v1.Event", events),
            (".sponson.county.v1.Checkpoint", vec![checkpoint]),
            (
                ".sponson.sync.v1.ExchangeRequest",
                vec![request.encode_to_vec()],
            ),
            (
                ".sponson.service.v1.AppendSubject",
                vec![subject.encode_to_vec()],
            ),
        ]),
    }
}

/// How much a county holds, and its root.
async fn held(county: &County) -> String {
    let about = county.host.shared.call(|replica| replica.about()).await;
    let about = about.expect("open");
    format!("{} {:?}", about.events, about.root)
}

fn again(seed: u64) -> String {
    format!("try again: SPONSON_SEED={seed:x} cargo test -p sponson-link --test meeting shapes")
}

/// Calls all these methods; gives what is wrong, and adds what each said.
async fn try_all(
    maker: &mut Maker<'_>,
    channel: &Channel,
    methods: &[(String, String)],
    heard: &mut BTreeSet<String>,
) -> Vec<String> {
    let mut said = Vec::new();
    for (path, form) in methods {
        for _ in 0..EACH {
            let message = maker.message(form);
            let ended = tokio::time::timeout(CALL, call(channel, path, &message)).await;
            heard.insert(format!("{path} {}", word(&ended)));
            if let Some(wrong) = wrong(ended) {
                let start = &message[..message.len().min(2000)];
                said.push(format!("{path} with {start:02x?}: {wrong}"));
            }
        }
    }
    said
}

async fn channel(county: &County, station: Option<&Station>) -> Channel {
    let trusted = Trusted::Learn(Learnt::default());
    let config = match station {
        Some(station) => tls::client(&station.identity, trusted),
        None => tls::client_without_key(trusted),
    };
    let channel = tls::channel(&county.address, config.expect("tls")).await;
    channel.expect("open")
}

#[tokio::test]
async fn whatever_is_sent_over_the_network_is_refused_in_words_and_not_kept() {
    let forms = Forms::read();
    let methods = forms.methods.iter().cloned();
    let methods: Vec<_> = methods
        .filter(|(path, _)| !path.contains(".Local/"))
        .collect();
    assert!(methods.len() >= 8, "{methods:?}");
    let county = County::found(1).await;
    adopt_standards(&county).await;
    let north = Station::join(&county, "North", 10).await;
    let pool = pool(&county, &north).await;
    let before = held(&county).await;
    let mut heard = BTreeSet::new();
    for seed in Rounds::asked(12) {
        for caller in [None, Some(&north)] {
            let mut maker = Maker {
                forms: &forms,
                pool: &pool,
                drawn: Seeded::new(seed),
                breaks: true,
            };
            let channel = channel(&county, caller).await;
            let said = try_all(&mut maker, &channel, &methods, &mut heard).await;
            assert!(said.is_empty(), "{}\n{}", again(seed), said.join("\n"));
            assert_eq!(held(&county).await, before, "{}", again(seed));
        }
    }
    // Not all was refused at the first look.
    for reached in [
        "Sync/Exchange OK",
        "County/Answer OK",
        "Answer CRAFT_NOT_KNOWN",
    ] {
        assert!(
            heard.iter().any(|line| line.ends_with(reached)),
            "{heard:#?}"
        );
    }
    north.register("Quay 2").await;
    north.sync(&county).await;
    county.stop().await;
}

/// Full name of the message of a kind: `KIND_CRAFT_REGISTERED` is of `CraftRegistered`.
fn message_of(kind: event::Kind) -> String {
    let words = kind.as_str_name().trim_start_matches("KIND_").split('_');
    let named = words.map(|word| {
        let (first, rest) = word.split_at(1);
        format!("{first}{}", rest.to_lowercase())
    });
    format!(".sponson.event.v1.{}", named.collect::<String>())
}

/// Requests to record an event of each kind, right in form and extreme in value.
fn recorded(maker: &mut Maker<'_>, craft: &[u8]) -> Vec<(event::Kind, service::AppendRequest)> {
    let kinds = (1..200).filter_map(|kind| event::Kind::try_from(kind).ok());
    let kinds: Vec<_> = kinds
        .filter(|kind| maker.forms.has(&message_of(*kind)))
        .collect();
    assert!(kinds.len() > 30, "the names of kinds are those of messages");
    let mut requests = Vec::new();
    for kind in kinds {
        let payload = maker.message(&message_of(kind));
        let version = sponson_proto::version::needed(kind, &payload);
        requests.push((
            kind,
            service::AppendRequest {
                kind: i32::from(kind).unsigned_abs(),
                kind_version: version,
                payload: payload.into(),
                subjects: vec![service::AppendSubject {
                    id: craft.to_vec().into(),
                    r#type: event::SubjectType::Craft.into(),
                }],
                ..service::AppendRequest::default()
            },
        ));
    }
    requests
}

#[tokio::test]
async fn a_device_that_records_extremes_breaks_neither_itself_nor_the_county() {
    let forms = Forms::read();
    let county = County::found(2).await;
    adopt_standards(&county).await;
    let north = Station::join(&county, "North", 10).await;
    let pool = pool(&county, &north).await;
    let craft = pool.bytes[1].clone();
    let local = north.local().await;
    let mut kinds = BTreeSet::new();
    for seed in Rounds::asked(8) {
        let mut maker = Maker {
            forms: &forms,
            pool: &pool,
            drawn: Seeded::new(seed),
            breaks: false,
        };
        for (kind, request) in recorded(&mut maker, &craft) {
            let message = format!("{request:?}");
            match local.client().append(request).await {
                Ok(_) => drop(kinds.insert(kind)),
                Err(refused) => {
                    let wrong = wrong(Ok(Err(refused)));
                    assert_eq!(wrong, None, "{}\n{message}", again(seed));
                }
            }
        }
        let asked = local.client().ask(service::AskRequest::default()).await;
        let wrong_here = wrong(Ok(asked.map(|_| ())));
        assert_eq!(wrong_here, None, "the station answers: {}", again(seed));
        north.sync(&county).await;
        let asked = county
            .local()
            .await
            .client()
            .ask(service::AskRequest::default())
            .await;
        let wrong_there = wrong(Ok(asked.map(|_| ())));
        assert_eq!(wrong_there, None, "the county answers: {}", again(seed));
    }
    assert!(kinds.len() > 12, "something was recorded: {kinds:?}");
    county.stop().await;
}

/// Found by seeds 3 and d: a refusal repeated the whole of what was refused, in headers that no client
/// takes, and the person saw 'h2 protocol error'.
#[tokio::test]
async fn a_refusal_of_something_long_comes_across() {
    let county = County::found(5).await;
    let local = county.local().await;
    let member = "y".repeat(70_000);
    let let_in = service::LetInRequest {
        member,
        ..service::LetInRequest::default()
    };
    let refused = local.client().let_in(let_in).await.expect_err("too long");
    assert!(refusal::reason(&refused).is_some(), "{refused}");
    let policy = event::Policy {
        format: 1,
        text: "y\u{e4}".repeat(10_000),
    };
    let append = service::AppendRequest {
        kind: i32::from(event::Kind::Policy).unsigned_abs(),
        kind_version: 1,
        payload: policy.encode_to_vec().into(),
        ..service::AppendRequest::default()
    };
    let refused = local.client().append(append).await.expect_err("no policy");
    let reason = refusal::reason(&refused);
    assert_eq!(reason.as_deref(), Some("EVENT_REFUSED"), "{refused}");
    county.stop().await;
}

/// The chain of a device that signs whatever it likes: of its next event it tells the truth where the
/// county would refuse it else, and lies in all the rest.
struct Liar<'a> {
    station: &'a Station,
    seq: u64,
    previous: Bytes,
}

impl Liar<'_> {
    /// Signs an event of this kind with a header and a payload as they are made.
    fn event(&self, maker: &mut Maker<'_>, (kind, craft): (u32, &[u8])) -> Option<event::Event> {
        let header = maker.message(".sponson.event.v1.Header");
        let known = event::Kind::try_from(i32::try_from(kind).ok()?);
        let payload = known.map_or_else(|_| vec![8, 1], |kind| maker.message(&message_of(kind)));
        let mut header = event::Header::decode(&*header).ok()?;
        header.county_id = self.station.joined.county.to_bytes();
        header.key = self.station.identity.log_key().key().to_bytes();
        if maker.drawn.below(8) > 0 {
            (header.seq, header.previous) = (self.seq, self.previous.clone());
        }
        header.kind = kind;
        if maker.drawn.below(8) > 0 {
            header.kind_version =
                known.map_or(1, |kind| sponson_proto::version::needed(kind, &payload));
            header.subjects = vec![event::Subject {
                id: Bytes::copy_from_slice(craft),
                r#type: event::SubjectType::Craft.into(),
                seen: Vec::new(),
            }];
            header.beside.clear();
            header.member = "M-1".to_owned();
            header.if_not_understood = event::IfNotUnderstood::Hold.into();
            // What is right in form; the times in it are as extreme as they come.
            let clock = header.clock.get_or_insert_default();
            clock.boot_id = vec![9; 16].into();
            clock.utc_offset_min = clock.utc_offset_min.clamp(-1_000, 1_000);
            header.checkpoint = None;
        }
        let body = event::Body {
            header: Some(header),
            payload: payload.into(),
        };
        let body = body.encode_to_vec();
        let signature = self.station.identity.log_key().sign(Signed::Event, &body);
        Some(event::Event {
            body: body.into(),
            algorithm: event::SignatureAlgorithm::Ed25519.into(),
            signature: Bytes::copy_from_slice(&signature),
            beside: Vec::new(),
        })
    }
}

#[tokio::test]
async fn a_device_that_signs_whatever_it_likes_breaks_nobody_else() {
    let forms = Forms::read();
    let county = County::found(4).await;
    adopt_standards(&county).await;
    let north = Station::join(&county, "North", 10).await;
    let south = Station::join(&county, "South", 20).await;
    let pool = pool(&county, &north).await;
    let craft = pool.bytes[1].clone();
    let kinds = (1..200).filter(|kind| {
        let known = event::Kind::try_from(*kind);
        known.is_ok_and(|kind| forms.has(&message_of(kind)))
    });
    let kinds: Vec<u32> = kinds.map(i32::unsigned_abs).collect();
    let unknown = [0, 199, 0x7fff_ffff, u32::MAX];
    let mut liar = Liar {
        station: &south,
        seq: 1,
        previous: Bytes::new(),
    };
    let mut refusals = BTreeSet::new();
    for seed in Rounds::asked(6) {
        let mut maker = Maker {
            forms: &forms,
            pool: &pool,
            drawn: Seeded::new(seed),
            breaks: false,
        };
        for kind in kinds.iter().chain(&unknown) {
            let Some(event) = liar.event(&mut maker, (*kind, &craft)) else {
                continue;
            };
            let id = sponson_log::event::event_id(&event.body).to_bytes();
            let refused = push(&county, &south, vec![event]).await;
            if refused.is_empty() {
                (liar.seq, liar.previous) = (liar.seq + 1, id);
            }
            refusals.extend(refused);
        }
        north.sync(&county).await;
        for local in [county.local().await, north.local().await] {
            let asked = local.client().ask(service::AskRequest::default()).await;
            let wrong = wrong(Ok(asked.map(|_| ())));
            assert_eq!(wrong, None, "{}", again(seed));
        }
    }
    assert!(
        liar.seq > 60,
        "most is kept, whatever it says: {}",
        liar.seq
    );
    for wanted in ["NOT_AN_EVENT", "MISSING_REFERENCES"] {
        assert!(refusals.contains(wanted), "{refusals:?}");
    }
    county.stop().await;
}

/// The local service at its socket.
struct Socket {
    path: PathBuf,
    stop: oneshot::Sender<()>,
    task: JoinHandle<Result<(), ServeError>>,
}

impl Socket {
    fn serve(host: Host, path: &Path) -> Self {
        let listening = Listening::begin(path.to_owned()).expect("a socket");
        let (stop, stopped) = oneshot::channel::<()>();
        let task = tokio::spawn(local::serve(host, listening, async {
            let _ = stopped.await;
        }));
        Self {
            path: path.to_owned(),
            stop,
            task,
        }
    }

    async fn channel(&self) -> Channel {
        let path = self.path.clone();
        let dial = tower::service_fn(move |_| {
            let path = path.clone();
            async move { UnixStream::connect(path).await.map(TokioIo::new) }
        });
        let endpoint = Endpoint::from_static("http://local.example");
        endpoint.connect_with_connector(dial).await.expect("open")
    }

    async fn stop(self) {
        self.stop.send(()).expect("it runs");
        self.task.await.expect("no panic").expect("it ran well");
    }
}

#[tokio::test]
async fn whatever_a_program_of_this_machine_sends_is_answered_in_words() {
    let forms = Forms::read();
    let methods = forms.methods.iter().cloned();
    let methods: Vec<_> = methods
        .filter(|(path, _)| path.contains(".Local/"))
        .collect();
    assert!(methods.len() > 30, "{methods:?}");
    let county = County::found(3).await;
    adopt_standards(&county).await;
    let north = Station::join(&county, "North", 10).await;
    let pool = pool(&county, &north).await;
    let at = north.joined.at.clone();
    let services = [
        Socket::serve(county.host.clone(), &county.folder.path().join("socket")),
        Socket::serve(north.host(&at), &north.folder.path().join("socket")),
    ];
    let mut heard = BTreeSet::new();
    for seed in Rounds::asked(2) {
        for service in &services {
            let mut maker = Maker {
                forms: &forms,
                pool: &pool,
                drawn: Seeded::new(seed),
                breaks: true,
            };
            let channel = service.channel().await;
            let said = try_all(&mut maker, &channel, &methods, &mut heard).await;
            assert!(said.is_empty(), "{}\n{}", again(seed), said.join("\n"));
        }
    }
    let answered = methods
        .iter()
        .filter(|(path, _)| heard.contains(&format!("{path} OK")));
    assert!(answered.count() > 5, "{heard:#?}");
    for service in services {
        service.stop().await;
    }
    county.stop().await;
}
