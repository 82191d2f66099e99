//! A county and its stations, for tests.

use std::collections::BTreeSet;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, AtomicU64, Ordering};
use std::time::Duration;

use prost::Message as _;
use sha2::{Digest as _, Sha256};
use sponson_link::county::CountyServer;
use sponson_link::county::codes::Codes;
use sponson_link::county::visitors::Visitors;
use sponson_link::founding::{STORE_FOLDER, found};
use sponson_link::limits::{Patience, Places};
use sponson_link::local::{Host, HostRole, Local, PHOTOS_FOLDER, within};
use sponson_link::station::{CountyAt, JoinError, Joined, SyncFailure, SyncReport, join, sync};
use sponson_link::stubs::service::local_client::LocalClient;
use sponson_link::stubs::sync::sync_client::SyncClient;
use sponson_link::tls::{self, Trusted};
use sponson_link::{Clock, Code, Entropy, Identity, Shared};
use sponson_log::sign::DeviceKey;
use sponson_proto::event::v1 as event;
use sponson_proto::service::v1 as service;
use sponson_replica::{Founding, Now, Replica};
use tempfile::TempDir;
use tokio::net::TcpListener;
use tokio::sync::{Mutex, oneshot};
use tokio::task::JoinHandle;
use tonic::transport::Channel;

/// No test waits longer.
pub(crate) const LIMIT: Duration = Duration::from_secs(60);

/// Calls that go on when a server stops are cut after this.
const DRAIN: Duration = Duration::from_secs(1);

/// 2026-03-01T08:00:00Z.
pub(crate) const START: i64 = 1_772_352_000_000;

/// Ends a test that hangs.
pub(crate) async fn limited<T>(work: impl Future<Output = T>) -> T {
    tokio::time::timeout(LIMIT, work)
        .await
        .expect("the test ends in time")
}

pub(crate) fn entropy(seed: u64) -> Entropy {
    let drawn = AtomicU64::new(0);
    Entropy::new(move |bytes| {
        for chunk in bytes.chunks_mut(32) {
            let count = drawn.fetch_add(1, Ordering::Relaxed);
            let block = Sha256::new()
                .chain_update(seed.to_be_bytes())
                .chain_update(count.to_be_bytes())
                .finalize();
            chunk.copy_from_slice(&block[..chunk.len()]);
        }
    })
}

/// A clock that goes on by a millisecond whenever it is read.
#[derive(Clone, Debug)]
pub(crate) struct Hands(Arc<AtomicI64>);

impl Hands {
    pub(crate) fn new() -> Self {
        Self(Arc::new(AtomicI64::new(START)))
    }

    pub(crate) fn move_by_ms(&self, ms: i64) {
        self.0.fetch_add(ms, Ordering::Relaxed);
    }

    pub(crate) fn clock(&self) -> Clock {
        let held = Arc::clone(&self.0);
        Clock::new(move || {
            let unix_ms = held.fetch_add(1, Ordering::Relaxed);
            Now {
                unix_ms,
                utc_offset_min: -300,
                boot_id: [9; 16],
                monotonic_ms: unix_ms.unsigned_abs(),
            }
        })
    }
}

/// A running county.
pub(crate) struct County {
    pub(crate) folder: TempDir,
    pub(crate) hands: Hands,
    pub(crate) host: Host,
    pub(crate) address: String,
    server: Running,
}

/// A server and how to stop it.
pub(crate) struct Running {
    stop: oneshot::Sender<()>,
    task: JoinHandle<Result<(), sponson_link::county::ServeError>>,
}

impl Running {
    pub(crate) async fn stop(self) {
        self.stop.send(()).expect("it runs");
        self.task.await.expect("no panic").expect("it ran well");
    }
}

impl County {
    pub(crate) async fn found(seed: u64) -> Self {
        Self::found_with(seed, Patience::default()).await
    }

    /// The same with a county that waits for so long.
    pub(crate) async fn found_with(seed: u64, patience: Patience) -> Self {
        Self::found_within(seed, (patience, Places::default())).await
    }

    /// The same with one that has room for so many connections.
    pub(crate) async fn found_within(seed: u64, limits: (Patience, Places)) -> Self {
        let folder = tempfile::tempdir().expect("folder");
        let (entropy, hands) = (entropy(seed), Hands::new());
        let root = DeviceKey::from_seed(entropy.draw());
        let identity = Identity::create(folder.path(), &entropy).expect("keys");
        let clock = hands.clock();
        let replica = found(folder.path(), &root, &identity, &clock, &entropy).expect("founded");
        let shared = Shared::new(picturing(replica, &folder), clock, entropy);
        Self::run((folder, hands), shared, identity, limits).await
    }

    async fn run(
        (folder, hands): (TempDir, Hands),
        shared: Shared,
        identity: Identity,
        (patience, places): (Patience, Places),
    ) -> Self {
        let codes = Codes::load(folder.path()).expect("codes");
        let codes = Arc::new(Mutex::new(codes));
        let visitors = Visitors::load(folder.path()).expect("visitors");
        let visitors = Arc::new(Mutex::new(visitors));
        let identity = Arc::new(identity);
        let listener = TcpListener::bind("127.0.0.1:0").await.expect("a port");
        let address = listener.local_addr().expect("address").to_string();
        let (stop, stopped) = oneshot::channel::<()>();
        let server = CountyServer::new(shared.clone(), Arc::clone(&identity), Arc::clone(&codes))
            .drain(DRAIN)
            .patience(patience)
            .places(places);
        let task = tokio::spawn(server.run(listener, async {
            let _ = stopped.await;
        }));
        let host = Host {
            shared,
            identity,
            role: HostRole::County { codes, visitors },
            version: "test".to_owned(),
        };
        Self {
            folder,
            hands,
            host,
            address,
            server: Running { stop, task },
        }
    }

    /// Stops the server and closes the store.
    pub(crate) async fn stop(self) -> (TempDir, Hands) {
        self.server.stop().await;
        self.host.shared.close().await;
        (self.folder, self.hands)
    }

    /// Starts again from what is on disk, at another port.
    pub(crate) async fn start(folder: TempDir, hands: Hands, seed: u64) -> Self {
        let identity = Identity::load(folder.path()).expect("keys");
        let store = folder.path().join(STORE_FOLDER);
        let replica = Replica::open(&store, identity.log_key().clone()).expect("store");
        let shared = Shared::new(picturing(replica, &folder), hands.clock(), entropy(seed));
        let limits = (Patience::default(), Places::default());
        Self::run((folder, hands), shared, identity, limits).await
    }

    pub(crate) fn at(&self) -> CountyAt {
        CountyAt {
            address: self.address.clone(),
            tls_key: self.host.identity.tls_key(),
        }
    }

    pub(crate) async fn local(&self) -> Local {
        within(self.host.clone()).await.expect("local service")
    }

    pub(crate) async fn code(&self, station: &str) -> Code {
        self.code_for(station, &[]).await
    }

    /// A code that gives these roles; the usual ones when there are none.
    pub(crate) async fn code_for(&self, station: &str, roles: &[event::Role]) -> Code {
        let made = self
            .local()
            .await
            .client()
            .make_code(service::MakeCodeRequest {
                station: station.to_owned(),
                roles: roles.iter().map(|role| i32::from(*role)).collect(),
                ..service::MakeCodeRequest::default()
            })
            .await
            .expect("a code");
        Code::parse(&made.into_inner().code).expect("it can be read")
    }

    /// Ends a key at the lead's command.
    pub(crate) async fn end_key(&self, identity: &Identity) {
        let ended = event::KeyEnded {
            key: identity.log_key().key().to_bytes(),
            reason: event::KeyEndReason::Lost.into(),
            ..event::KeyEnded::default()
        };
        append(
            &mut self.local().await.client(),
            event::Kind::KeyEnded,
            ended.encode_to_vec(),
            Vec::new(),
        )
        .await;
    }

    pub(crate) async fn events(&self) -> u64 {
        let about = self.host.shared.call(|replica| replica.about()).await;
        about.expect("open").events
    }
}

/// A device that joined.
pub(crate) struct Station {
    pub(crate) folder: TempDir,
    pub(crate) identity: Arc<Identity>,
    pub(crate) shared: Shared,
    pub(crate) joined: Joined,
    drawn: Entropy,
}

/// With the folder of pictures that a program of ours gives it.
fn picturing(replica: Replica, folder: &TempDir) -> Replica {
    let photos = folder.path().join(PHOTOS_FOLDER);
    replica.with_pictures(&photos, START).expect("photos")
}

/// A device's keys, before it joins.
pub(crate) fn device(seed: u64) -> Identity {
    Identity::draw(&entropy(seed)).expect("keys")
}

pub(crate) async fn try_join(
    code: &Code,
    address: &str,
    device: &Identity,
) -> Result<Joined, JoinError> {
    join(code, address, device, "bay tablet", None).await
}

impl Station {
    pub(crate) async fn join(county: &County, name: &str, seed: u64) -> Self {
        Self::join_with(county, &county.code(name).await, seed).await
    }

    pub(crate) async fn join_with(county: &County, code: &Code, seed: u64) -> Self {
        let folder = tempfile::tempdir().expect("folder");
        let drawn = entropy(seed);
        let identity = Identity::create(folder.path(), &drawn).expect("keys");
        let joined = try_join(code, &county.address, &identity)
            .await
            .expect("joined");
        let founding = Founding::Station {
            county: joined.county,
        };
        let replica = Replica::create(
            &folder.path().join(STORE_FOLDER),
            &founding,
            identity.log_key().clone(),
        )
        .expect("store");
        let shared = Shared::new(
            picturing(replica, &folder),
            county.hands.clock(),
            entropy(seed + 1000),
        );
        Self {
            folder,
            identity: Arc::new(identity),
            shared,
            joined,
            drawn,
        }
    }

    pub(crate) fn host(&self, county: &CountyAt) -> Host {
        Host {
            shared: self.shared.clone(),
            identity: Arc::clone(&self.identity),
            role: HostRole::Station {
                county: county.clone(),
                visitors: Arc::new(Mutex::new(
                    Visitors::load(self.folder.path()).expect("no visitors yet"),
                )),
            },
            version: "test".to_owned(),
        }
    }

    pub(crate) async fn local(&self) -> Local {
        within(self.host(&self.joined.at))
            .await
            .expect("local service")
    }

    pub(crate) async fn try_sync(&self, at: &CountyAt) -> Result<SyncReport, SyncFailure> {
        sync(&self.shared, at, &self.identity, |_| {}).await
    }

    /// Its own client of the county's sync, for requests that no program of ours makes.
    pub(crate) async fn exchanger(&self, county: &County) -> SyncClient<Channel> {
        let pinned = Trusted::Keys(BTreeSet::from([county.host.identity.tls_key()]));
        let config = tls::client(&self.identity, pinned).expect("tls");
        let channel = tls::channel(&county.address, config).await.expect("open");
        SyncClient::new(channel)
    }

    /// Events that it holds and the county log, as far as it knows, does not.
    pub(crate) async fn unproven(&self) -> Vec<event::Event> {
        let unproven = self.shared.call(|replica| replica.unproven(0, usize::MAX));
        let (events, _) = unproven.await.expect("open");
        events.into_iter().map(|(_, event)| event).collect()
    }

    pub(crate) async fn sync(&self, county: &County) -> SyncReport {
        self.try_sync(&county.at()).await.expect("synced")
    }

    /// Registers a craft and gives its subject id.
    pub(crate) async fn register(&self, number: &str) -> [u8; 16] {
        let craft: [u8; 16] = self.drawn.draw();
        let registered = event::CraftRegistered {
            number: number.to_owned(),
            model: "inflatable-14".to_owned(),
            station: self.joined.station.to_bytes(),
            ..event::CraftRegistered::default()
        };
        append(
            &mut self.local().await.client(),
            event::Kind::CraftRegistered,
            registered.encode_to_vec(),
            vec![service::AppendSubject {
                id: craft.to_vec().into(),
                r#type: event::SubjectType::Craft.into(),
            }],
        )
        .await;
        craft
    }

    /// Painted numbers of the craft that it knows, in order.
    pub(crate) async fn craft(&self) -> Vec<String> {
        craft(&mut self.local().await.client()).await
    }

    pub(crate) async fn waiting(&self) -> u64 {
        let about = self.shared.call(|replica| replica.about()).await;
        about.expect("open").waiting
    }
}

pub(crate) async fn craft(client: &mut LocalClient<Channel>) -> Vec<String> {
    let reply = client
        .catalogue(service::CatalogueRequest {})
        .await
        .expect("catalogue");
    let mut numbers: Vec<String> = reply
        .into_inner()
        .entries
        .into_iter()
        .filter(|entry| entry.r#type() == event::SubjectType::Craft)
        .map(|entry| entry.number)
        .collect();
    numbers.sort();
    numbers
}

pub(crate) async fn append(
    client: &mut LocalClient<Channel>,
    kind: event::Kind,
    payload: Vec<u8>,
    subjects: Vec<service::AppendSubject>,
) -> service::AppendReply {
    let request = service::AppendRequest {
        kind: i32::from(kind).unsigned_abs(),
        kind_version: 1,
        payload: payload.into(),
        subjects,
        ..service::AppendRequest::default()
    };
    client.append(request).await.expect("recorded").into_inner()
}
