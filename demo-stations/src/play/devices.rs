//! The devices of the county: a real county service with TLS, and one local service for each
//! station, each with its own folder, keys and clock.

use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use sponson_client::CommandError;
use sponson_client::settings::{Places, Settings};
use sponson_client::web::at::AtError;
use sponson_link::county::CountyServer;
use sponson_link::local::{self, Host, HostRole, Opening, Side};
use sponson_link::{Clock, Entropy};
use sponson_proto::event::v1::Kind;
use sponson_server::pages::{PagesError, PagesUp, Wanted};
use tokio::net::TcpListener;
use tokio::sync::watch;
use tokio::task::JoinHandle;

use super::{LineError, Player, SEED};
use crate::entropy::SeededEntropy;
use crate::radio::Radio;
use crate::sim_clock::SimClock;

/// The invented county's water, roads and boundary.
const MAP: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/county/county.geojson");

/// The county's launch places, with its travel times.
const PLACES: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/county/places.csv");

/// How far a station's clock runs ahead of true time: the n-th by n times 7 seconds, as cheap
/// clocks do.
const FAST_MS: i64 = 7_000;

/// The county's services while they run.
pub(super) struct CountyRunning {
    address: SocketAddr,
    serving: Serving,
    entropy: Entropy,
    clock: Clock,
}

/// A station's services while they run.
pub(super) struct StationRunning {
    number: u32,
    radio: Radio,
    serving: Serving,
    entropy: Entropy,
    clock: Clock,
}

/// Tasks that stop together.
struct Serving {
    stop: watch::Sender<bool>,
    tasks: Vec<JoinHandle<()>>,
    host: Host,
}

impl Serving {
    /// Serves a folder's local socket until stopped.
    fn begin(host: Host, folder: &Path) -> Self {
        let (stop, stopped) = watch::channel(false);
        // Before the task, so that commands find it from now on.
        let listening = local::Listening::begin(folder.join(local::SOCKET));
        let serving = host.clone();
        let task = tokio::spawn(async move {
            let served = match listening {
                Ok(listening) => local::serve(serving, listening, until(stopped)).await,
                Err(error) => Err(error),
            };
            if let Err(error) = served {
                tracing::error!(%error, "a local service of the demo ended");
            }
        });
        Self {
            stop,
            tasks: vec![task],
            host,
        }
    }

    async fn stop(self) {
        // Nobody listening any more means that all have stopped.
        let _stopped = self.stop.send(true);
        for task in self.tasks {
            let _ended = task.await;
        }
        self.host.shared.close().await;
    }
}

async fn until(mut stopped: watch::Receiver<bool>) {
    // A sender that is gone stops as well.
    let _gone = stopped.wait_for(|stop| *stop).await;
}

impl CountyRunning {
    pub(super) const fn address(&self) -> SocketAddr {
        self.address
    }

    /// Serves the county's pages too, at the usual port when that is free; says where.
    pub(super) async fn serve_pages(&mut self) -> Result<Vec<String>, PagesError> {
        let settings = Settings {
            name: Some("Demo county".to_owned()),
            ..Settings::default()
        };
        let host = &self.serving.host;
        let usual = Wanted::usual().with_map(MAP.into());
        let up = match PagesUp::begin(&usual, host.clone(), &settings).await {
            Err(PagesError::At(AtError::Listen { .. })) => {
                let other = Wanted::any_port().with_map(MAP.into());
                PagesUp::begin(&other, host.clone(), &settings).await?
            }
            up => up?,
        };
        let said = up.said();
        let mut stopped = self.serving.stop.subscribe();
        let (tell, told) = watch::channel(());
        self.serving.tasks.push(tokio::spawn(async move {
            let telling = async {
                let _gone = stopped.wait_for(|stop| *stop).await;
                drop(tell);
            };
            tokio::join!(up.serve(told), telling);
        }));
        Ok(said)
    }

    pub(super) async fn stop(self) {
        self.serving.stop().await;
    }
}

impl StationRunning {
    pub(super) const fn number(&self) -> u32 {
        self.number
    }

    pub(super) const fn radio(&self) -> &Radio {
        &self.radio
    }

    pub(super) async fn stop(self) {
        self.serving.stop().await;
    }
}

impl Player {
    /// Folder, clock and randomness of a device, running or about to be made.
    pub(super) fn device(&self, who: &str) -> Result<(PathBuf, Clock, Entropy), LineError> {
        let name = who.replace('-', " ");
        let folder = self.device_folder(&name);
        if name == "county" {
            let county = self.county.as_ref();
            let (clock, entropy) = county
                .map(|county| (county.clock.clone(), county.entropy.clone()))
                .unwrap_or_else(|| new_device(&self.clock, "county", 0));
            return Ok((folder, clock, entropy));
        }
        let station = self.station(&name)?;
        Ok((folder, station.clock.clone(), station.entropy.clone()))
    }

    pub(super) fn station(&self, who: &str) -> Result<&StationRunning, LineError> {
        let name = who.replace('-', " ");
        let station = self.stations.get(&name);
        station.ok_or_else(|| LineError::Word(format!("no station {name}")))
    }

    fn device_folder(&self, name: &str) -> PathBuf {
        self.folder.join(name.to_lowercase().replace(' ', "-"))
    }

    /// Founds the county and starts its service on a loopback port.
    pub(super) async fn found(&mut self, name: &str) -> Result<(), LineError> {
        let root_key = format!("{}/root.key", self.folder.display());
        let words = ["init", "--name", name, "--root-key", &root_key].map(str::to_owned);
        self.typed("county", &words).await?.expect(0)?;
        let (folder, clock, entropy) = self.device("county")?;
        let host = open(&folder, Side::County, &clock, &entropy).await?;
        let listener = TcpListener::bind("127.0.0.1:0").await?;
        let address = listener.local_addr()?;
        let mut serving = Serving::begin(host.clone(), &folder);
        let HostRole::County { codes, .. } = &host.role else {
            return Err(LineError::Device(
                "the county's folder is a station's".to_owned(),
            ));
        };
        let server = CountyServer::new(
            host.shared.clone(),
            Arc::clone(&host.identity),
            Arc::clone(codes),
        );
        let stopped = serving.stop.subscribe();
        serving.tasks.push(tokio::spawn(async move {
            if let Err(error) = server.run(listener, until(stopped)).await {
                tracing::error!(%error, "the county service of the demo ended");
            }
        }));
        self.county = Some(CountyRunning {
            address,
            serving,
            entropy,
            clock,
        });
        Ok(())
    }

    /// Admits a station with a code, as the lead and the crew would, and starts its local service;
    /// `facts` are its position and its radio call as the command takes them.
    pub(super) async fn admit(&mut self, token: &str, facts: &[&str]) -> Result<(), LineError> {
        let name = token.replace('-', " ");
        let words = ["admit", &name, "--role", "crew", "--role", "maintenance"];
        let mut words = words.map(str::to_owned).to_vec();
        words.extend(facts.iter().map(|fact| format!("--{fact}")));
        let admitted = self.typed("county", &words).await?;
        admitted.expect(0)?;
        let code = code_in(&admitted.out)?;
        let county = self
            .county_address()
            .ok_or_else(|| LineError::Word("the county is not founded yet".to_owned()))?;
        let radio = Radio::to(county).await?;
        let number = u32::try_from(self.stations.len() + 1).unwrap_or(u32::MAX);
        let (clock, entropy) = new_device(&self.clock, &name, i64::from(number) * FAST_MS);
        let folder = self.device_folder(&name);
        std::fs::create_dir_all(&folder)?;
        let address = radio.address().to_string();
        let join = ["join", &code, "--county", &address].map(str::to_owned);
        let device = (clock.clone(), entropy.clone());
        self.typed_as(&name, &folder, device, &join)
            .await
            .expect(0)?;
        let places = Places::of("sponson", Some(&folder)).map_err(CommandError::from)?;
        let settings = Settings::read(&places.settings).map_err(CommandError::from)?;
        let side = settings.station_side()?;
        let host = open(&folder, side, &clock, &entropy).await?;
        let station = StationRunning {
            number,
            radio,
            serving: Serving::begin(host, &folder),
            entropy,
            clock,
        };
        self.stations.insert(name, station);
        Ok(())
    }
}

impl Player {
    /// From now on a station's device is of an older version that does not know a kind of event.
    pub(super) async fn make_older(&mut self, station: &str, kind: &str) -> Result<(), LineError> {
        let name = format!("KIND_{}", kind.to_uppercase().replace('-', "_"));
        let kind = Kind::from_str_name(&name)
            .ok_or_else(|| LineError::Word(format!("'{kind}' is no kind of event")))?;
        let shared = self.station(station)?.serving.host.shared.clone();
        shared
            .call(move |replica| replica.read_as_older_than([kind]))
            .await
            .map_err(|error| LineError::Device(error.to_string()))
    }
}

fn new_device(clock: &SimClock, name: &str, fast_ms: i64) -> (Clock, Entropy) {
    let seeded = SeededEntropy::of(SEED, name);
    let mut boot_id = [0; 16];
    seeded.fill(&mut boot_id);
    let clock = clock.clone();
    (
        Clock::new(move || clock.read(boot_id, fast_ms)),
        Entropy::new(move |bytes| seeded.fill(bytes)),
    )
}

async fn open(
    folder: &Path,
    side: Side,
    clock: &Clock,
    entropy: &Entropy,
) -> Result<Host, LineError> {
    let places = match side {
        Side::County => Some(PLACES.into()),
        Side::Station(_) => None,
    };
    let opening = Opening {
        folder: folder.to_owned(),
        side,
        clock: clock.clone(),
        entropy: entropy.clone(),
        version: env!("CARGO_PKG_VERSION").to_owned(),
        places,
    };
    opening
        .host()
        .await
        .map_err(|error| LineError::Device(error.to_string()))
}

/// The code in what `admit` printed: the longest word with hyphens.
fn code_in(text: &str) -> Result<String, LineError> {
    text.split_whitespace()
        .filter(|word| word.matches('-').count() >= 4)
        .max_by_key(|word| word.len())
        .map(str::to_owned)
        .ok_or_else(|| LineError::Word(format!("no code in '{text}'")))
}
