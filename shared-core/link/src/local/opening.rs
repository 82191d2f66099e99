//! Finding the service of a folder: dial it, or be it.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use hyper_util::rt::TokioIo;
use sponson_replica::{OpenError, PictureFileError, Replica};
use tokio::io::DuplexStream;
use tokio::net::UnixStream;
use tokio::sync::Mutex;
use tonic::transport::{Channel, Endpoint};

use super::under_way::{UnderWay, UnderWayError};
use super::{Host, HostRole, SOCKET, serve};
use crate::clock::{Clock, Entropy};
use crate::county::codes::{Codes, CodesError};
use crate::county::visitors::{Visitors, VisitorsError};
use crate::founding::{STORE_FOLDER, is_begun};
use crate::identity::{Identity, IdentityError};
use crate::limits::LOCAL_MESSAGE_BYTES_MAX;
use crate::shared::Shared;
use crate::station::CountyAt;
use crate::stubs::service::local_client::LocalClient;

/// Name of the folder of pictures in a device's folder.
pub const PHOTOS_FOLDER: &str = "photos";

/// Buffer of the pipe: one HTTP/2 window.
const PIPE_BYTES: usize = 64 * 1024;

/// Tries while another process has the folder but does not answer yet: it is starting or ending,
/// which takes about as long as opening a store, 40 tries of 100 ms.
const TRIES: u32 = 40;

/// Pause between them.
const PAUSE: Duration = Duration::from_millis(100);

/// What is needed to open a folder.
#[derive(Clone, Debug)]
pub struct Opening {
    /// The device's folder: keys, store, socket.
    pub folder: PathBuf,
    /// What the replica is.
    pub side: Side,
    /// The device's clocks.
    pub clock: Clock,
    /// The device's random bytes.
    pub entropy: Entropy,
    /// Version of the program, for people.
    pub version: String,
    /// The county's list of launch places, where one is kept.
    pub places: Option<PathBuf>,
}

/// What the replica is, as the settings say.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Side {
    /// The county.
    County,
    /// A station of the county.
    Station(CountyAt),
}

/// Why no local service was found or opened.
#[derive(Debug, thiserror::Error)]
pub enum ConnectError {
    /// The keys could not be read.
    #[error(transparent)]
    Identity(#[from] IdentityError),
    /// The store could not be opened.
    #[error(transparent)]
    Open(#[from] OpenError),
    /// The pictures could not be looked at.
    #[error(transparent)]
    Pictures(#[from] PictureFileError),
    /// The codes could not be read.
    #[error(transparent)]
    Codes(#[from] CodesError),
    /// Who may use the pages could not be read.
    #[error(transparent)]
    Visitors(#[from] VisitorsError),
    /// Checks under way could not be opened.
    #[error(transparent)]
    UnderWay(#[from] UnderWayError),
    /// The folder is the other side's.
    #[error("folder {} is {whose}: use its own program, or give another --folder", folder.display())]
    OtherSide {
        /// The folder.
        folder: PathBuf,
        /// Whose it is.
        whose: &'static str,
    },
    /// The county's founding was cut short.
    #[error("the founding of the county in {} was cut short: give init again, which begins anew", .0.display())]
    HalfFounded(PathBuf),
    /// The pipe could not be set up.
    #[error("the local service could not be reached: {0}; try again")]
    Pipe(#[from] tonic::transport::Error),
    /// Opening met an unexpected fault.
    #[error("opening {0} met an unexpected fault: verify the store")]
    Unexpected(PathBuf),
}

/// A connection to the local service. When the service runs in this process, it ends with the last
/// client.
#[derive(Debug)]
pub struct Local {
    client: LocalClient<Channel>,
    found: Found,
}

/// Where the service was found.
#[derive(Debug)]
enum Found {
    /// In another process.
    Elsewhere,
    /// In this one, with a replica that was open already.
    Here,
    /// In this one, with a replica that was opened for this connection.
    Opened(Shared),
}

impl Local {
    /// A client; cheap to clone.
    #[must_use]
    pub fn client(&self) -> LocalClient<Channel> {
        self.client.clone()
    }

    /// Whether the service runs in this process.
    #[must_use]
    pub const fn is_within(&self) -> bool {
        match self.found {
            Found::Elsewhere => false,
            Found::Here | Found::Opened(_) => true,
        }
    }

    /// Ends the connection; when it opened the folder, that is free afterwards. Calls in progress
    /// end first; clients that are still there are told that the log is closed.
    pub async fn close(self) {
        drop(self.client);
        match self.found {
            Found::Elsewhere | Found::Here => {}
            Found::Opened(shared) => shared.close().await,
        }
    }
}

impl Opening {
    /// With the list of launch places, where one is kept.
    #[must_use]
    pub fn with_places(self, places: Option<PathBuf>) -> Self {
        Self { places, ..self }
    }

    /// Opens the folder in this process.
    ///
    /// # Errors
    /// When the keys or the store cannot be opened.
    pub async fn host(&self) -> Result<Host, ConnectError> {
        let opening = self.clone();
        tokio::task::spawn_blocking(move || opening.open())
            .await
            .map_err(|_| ConnectError::Unexpected(self.folder.clone()))?
    }

    fn open(self) -> Result<Host, ConnectError> {
        if is_begun(&self.folder) {
            return Err(ConnectError::HalfFounded(self.folder));
        }
        let mut identity = Identity::load(&self.folder)?;
        let store = self.folder.join(STORE_FOLDER);
        let mut opened = Replica::open(&store, identity.log_key().clone());
        if let Err(OpenError::OtherKey { stored, .. }) = &opened
            && Identity::take_next(&self.folder, stored)?
        {
            identity = Identity::load(&self.folder)?;
            opened = Replica::open(&store, identity.log_key().clone());
        }
        let photos = self.folder.join(PHOTOS_FOLDER);
        let replica = opened?.with_pictures(&photos, self.clock.now().unix_ms)?;
        let other_side = |whose| ConnectError::OtherSide {
            folder: self.folder.clone(),
            whose,
        };
        match (&self.side, replica.is_county()) {
            (Side::County, true) | (Side::Station(_), false) => {}
            (Side::County, false) => return Err(other_side("a station's")),
            (Side::Station(_), true) => return Err(other_side("the county's")),
        }
        let under_way = match self.side {
            Side::County => None,
            Side::Station(_) => Some(UnderWay::open(&self.folder)?),
        };
        let role = match self.side {
            Side::County => HostRole::County {
                codes: Arc::new(Mutex::new(Codes::load(&self.folder)?)),
                visitors: Arc::new(Mutex::new(Visitors::load(&self.folder)?)),
            },
            Side::Station(county) => HostRole::Station {
                county,
                visitors: Arc::new(Mutex::new(Visitors::load(&self.folder)?)),
            },
        };
        Ok(Host {
            shared: Shared::new(replica, self.clock, self.entropy)
                .with_places(self.places)
                .with_under_way(under_way),
            identity: Arc::new(identity),
            role,
            version: self.version,
        })
    }
}

/// Connects to the local service of a folder: dials the process that serves it, else serves it in
/// this process.
///
/// # Errors
/// When nobody serves it and it cannot be opened.
pub async fn connect(opening: Opening) -> Result<Local, ConnectError> {
    let socket = opening.folder.join(SOCKET);
    let mut tries = 0;
    loop {
        if let Some(client) = dial(&socket).await {
            return Ok(Local {
                client,
                found: Found::Elsewhere,
            });
        }
        tries += 1;
        match opening.host().await {
            Ok(host) => {
                let found = Found::Opened(host.shared.clone());
                return pipe(host, found).await;
            }
            Err(ConnectError::Open(OpenError::InUse(_))) if tries < TRIES => {
                tokio::time::sleep(PAUSE).await;
            }
            Err(error) => return Err(error),
        }
    }
}

/// A client of whoever listens at a socket; none when nobody does (a file may be left over).
async fn dial(socket: &Path) -> Option<LocalClient<Channel>> {
    let probe = UnixStream::connect(socket).await.ok()?;
    let path = socket.to_owned();
    let mut first = Some(probe);
    let connector = tower::service_fn(move |_| {
        let (ready, path) = (first.take(), path.clone());
        async move {
            let stream = match ready {
                Some(stream) => stream,
                None => UnixStream::connect(path).await?,
            };
            Ok::<_, std::io::Error>(TokioIo::new(stream))
        }
    });
    let channel = endpoint().connect_with_connector(connector).await.ok()?;
    Some(client(channel))
}

/// Serves what this process has open already, over a pipe: for the pages of a running service.
///
/// # Errors
/// When the pipe cannot be set up.
pub async fn within(host: Host) -> Result<Local, ConnectError> {
    pipe(host, Found::Here).await
}

async fn pipe(host: Host, found: Found) -> Result<Local, ConnectError> {
    let (ours, theirs) = tokio::io::duplex(PIPE_BYTES);
    tokio::spawn(serve::pipe(host, theirs));
    let mut ours = Some(ours);
    let connector = tower::service_fn(move |_| {
        let pipe = ours.take();
        async move {
            let ended = || std::io::Error::other("the local service has ended");
            pipe.map(TokioIo::<DuplexStream>::new).ok_or_else(ended)
        }
    });
    let channel = endpoint().connect_with_connector(connector).await?;
    Ok(Local {
        client: client(channel),
        found,
    })
}

fn endpoint() -> Endpoint {
    // The name is not looked up: the connector knows where to go.
    Endpoint::from_static("http://local")
}

fn client(channel: Channel) -> LocalClient<Channel> {
    LocalClient::new(channel)
        .max_decoding_message_size(LOCAL_MESSAGE_BYTES_MAX)
        .max_encoding_message_size(LOCAL_MESSAGE_BYTES_MAX)
}
