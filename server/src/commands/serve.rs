//! `serve`: keeps the county up for its stations.

use std::net::SocketAddr;
use std::path::PathBuf;

use clap::Args;
use sponson_client::device::{opening, socket, told_to_end};
use sponson_client::settings::{Places, Settings};
use sponson_client::web::at::AtError;
use sponson_client::{CommandError, Surroundings};
use sponson_link::CountyServer;
use sponson_link::local::{self, Host, HostRole, Listening, Side};
use sponson_show::terminal::Exit;
use tokio::net::TcpListener;
use tokio::sync::watch;

use crate::clock_check::ClockCheck;
use crate::error::CountyError;
use crate::pages::{PagesError, PagesUp, Wanted};

/// Keep the county up for its stations, until told to end.
#[derive(Args, Debug)]
pub struct ServeArgs {
    /// Where to listen for stations, ADDRESS:PORT.
    #[arg(long, value_name = "ADDRESS:PORT")]
    listen: Option<String>,
    /// Where to serve the county's pages, ADDRESS:PORT, or none; 127.0.0.1:7342 when neither this
    /// nor the settings say. Beyond this machine they are encrypted and read by whoever let-in let
    /// in.
    #[arg(long, value_name = "ADDRESS:PORT|none")]
    pages: Option<String>,
}

/// Where the county listens when nothing else is said: this machine alone.
const LISTEN: &str = "127.0.0.1:7341";

/// Serves until SIGTERM or ctrl-c, then lets calls in progress end.
///
/// # Errors
/// When the folder cannot be opened, or the address cannot be listened at.
pub async fn run(
    args: &ServeArgs,
    places: &Places,
    (settings, clock): (&Settings, ClockCheck),
    surroundings: &mut Surroundings,
) -> Result<Exit, CountyError> {
    let until = async {
        if let Err(error) = told_to_end().await {
            tracing::error!(%error, "signals cannot be awaited: ending");
        }
    };
    let address = args.listen.as_deref().or(settings.listen.as_deref());
    let pages = Wanted::of(args.pages.as_deref(), settings, places)?;
    let up = CountyUp::begin(places, address.unwrap_or(LISTEN), surroundings).await?;
    let up = up.with_places(settings.launch_places(places));
    let named = args.pages.is_some() || settings.pages.is_some();
    let mut up = up;
    let without_pages = match &pages {
        Some(wanted) => up.add_pages(wanted, settings, named).await?,
        None => None,
    };
    let now = surroundings.clock.now().unix_ms;
    let notes = match up.look_at_clock(clock, now).await {
        Ok(notes) => notes,
        Err(error) => {
            // Told to end at once, it frees its folder.
            serve_until(up, std::future::ready(())).await?;
            return Err(error);
        }
    };
    for note in notes {
        surroundings.terminal().talk(&format!("note: {note}"))?;
    }
    let line = format!("listening on {}", up.address());
    surroundings.terminal().result(&line)?;
    if let Some(why) = without_pages {
        surroundings.terminal().talk(&format!("no pages: {why}"))?;
    }
    for line in up.pages.iter().flat_map(PagesUp::said) {
        surroundings.terminal().result(&line)?;
    }
    serve_until(up, until).await?;
    Ok(Exit::Fine)
}

/// A county that is about to serve: its folder is open, its address and its socket are bound, so
/// that whoever connects from now on waits for it.
#[derive(Debug)]
pub struct CountyUp {
    host: Host,
    listener: TcpListener,
    address: SocketAddr,
    own: Listening,
    pages: Option<PagesUp>,
}

impl CountyUp {
    /// Opens the folder and binds the address and the socket; port 0 is any that is free.
    ///
    /// # Errors
    /// When the folder cannot be opened, or the address or the socket cannot be listened at.
    pub fn begin(
        places: &Places,
        address: &str,
        surroundings: &Surroundings,
    ) -> impl Future<Output = Result<Self, CountyError>> + Send + use<> {
        // Taken out now, so that the future holds no terminal and may run on any thread.
        let opening = opening(places, Side::County, surroundings);
        let socket = socket(&places.data);
        let address = address.to_owned();
        async move {
            let listen = |source| CountyError::Listen {
                address: sponson_show::clean(&address),
                source,
            };
            let mut host = opening.host().await.map_err(CommandError::from)?;
            host.shared = host.shared.with_steady_clock();
            let listener = TcpListener::bind(&address).await.map_err(listen)?;
            let own = Listening::begin(socket).map_err(CommandError::from)?;
            Ok(Self {
                host,
                address: listener.local_addr().map_err(listen)?,
                listener,
                own,
                pages: None,
            })
        }
    }

    /// With the list of launch places, where one is kept.
    #[must_use]
    pub fn with_places(mut self, places: Option<PathBuf>) -> Self {
        self.host.shared = self.host.shared.with_places(places);
        self
    }

    /// Binds the address of the pages too.
    ///
    /// # Errors
    /// When it cannot be listened at, or TLS cannot be set up.
    pub async fn with_pages(
        mut self,
        wanted: &Wanted,
        settings: &Settings,
    ) -> Result<Self, CountyError> {
        let pages = PagesUp::begin(wanted, self.host.clone(), settings).await;
        self.pages = Some(pages?);
        Ok(self)
    }

    /// Binds the address of the pages too; tells why not where nobody named it and another program
    /// has it: stations can sync all the same.
    async fn add_pages(
        &mut self,
        wanted: &Wanted,
        settings: &Settings,
        named: bool,
    ) -> Result<Option<PagesError>, CountyError> {
        match PagesUp::begin(wanted, self.host.clone(), settings).await {
            Ok(pages) => {
                self.pages = Some(pages);
                Ok(None)
            }
            Err(why @ PagesError::At(AtError::Listen { .. })) if !named => Ok(Some(why)),
            Err(error) => Err(error.into()),
        }
    }

    /// The pages; none when they are not served.
    #[must_use]
    pub const fn pages(&self) -> Option<&PagesUp> {
        self.pages.as_ref()
    }

    /// Looks at the clock before anything gets a received time from it; gives what has to be known of
    /// the county.
    ///
    /// # Errors
    /// When the clock cannot be right, or the store fails.
    pub async fn look_at_clock(
        &self,
        clock: ClockCheck,
        now_unix_ms: i64,
    ) -> Result<Vec<String>, CountyError> {
        let word = self.take_word(clock, now_unix_ms).await?;
        let stands = self.host.shared.call(move |replica| {
            let notes = local::notes(replica, now_unix_ms);
            (replica.newest_stored(), notes)
        });
        let (newest, notes) = stands.await.map_err(CommandError::from)?;
        clock.check(now_unix_ms, newest)?;
        self.forget_heard_to_come(now_unix_ms).await?;
        Ok(word.into_iter().chain(notes).collect())
    }

    /// Takes the word that the clock is right where it stands before the newest entry, which then was
    /// stored by one that ran ahead; says what that means. A clock from before the county was founded
    /// is not right, whoever says so.
    async fn take_word(
        &self,
        clock: ClockCheck,
        now_unix_ms: i64,
    ) -> Result<Option<String>, CountyError> {
        let taken = self.host.shared.call(move |replica| {
            let founded = replica
                .oldest_stored()
                .is_some_and(|oldest| now_unix_ms < oldest);
            if founded || !clock.is_behind_and_right(now_unix_ms, replica.newest_stored()) {
                return Ok(0);
            }
            replica.say_clock_is_right(now_unix_ms)
        });
        let ahead = taken.await.map_err(CommandError::from)??;
        Ok((ahead > 0).then(|| {
            tracing::warn!(entries = ahead, "the clock was said to be right");
            let were = if ahead == 1 { "entry was" } else { "entries were" };
            format!(
                "this machine's clock is taken for right: {ahead} {were} stored by a clock that ran \
                 ahead. They keep their times, and from now on entries get the time of this clock"
            )
        }))
    }

    /// A clock that was looked at and found right knows that nobody was heard later than now.
    async fn forget_heard_to_come(&self, now_unix_ms: i64) -> Result<(), CountyError> {
        let shared = &self.host.shared;
        let done = shared.call(move |replica| replica.forget_heard_to_come(now_unix_ms));
        Ok(done.await.map_err(CommandError::from)??)
    }

    /// Where it listens.
    #[must_use]
    pub const fn address(&self) -> SocketAddr {
        self.address
    }
}

/// Serves stations, this machine's own commands and the pages until `shutdown`, then drains all of
/// them.
///
/// # Errors
/// When one of them ends before it was told to.
pub async fn serve_until(
    up: CountyUp,
    shutdown: impl Future<Output = ()> + Send,
) -> Result<(), CountyError> {
    let CountyUp {
        host,
        listener,
        address,
        own,
        pages,
    } = up;
    let shared = host.shared.clone();
    let (tell, told) = watch::channel(());
    let (told_too, told_pages) = (told.clone(), told.clone());
    tracing::info!(listen.address = %address, "county up");
    let stations = async {
        match &host.role {
            HostRole::County { codes, .. } => {
                let identity = std::sync::Arc::clone(&host.identity);
                CountyServer::new(shared.clone(), identity, std::sync::Arc::clone(codes))
                    .run(listener, ended(told))
                    .await
            }
            // Opened as the county, so it is no station.
            HostRole::Station { .. } => Ok(()),
        }
    };
    let own = local::serve(host.clone(), own, ended(told_too));
    let pages = async {
        if let Some(pages) = pages {
            pages.serve(told_pages).await;
        }
    };
    let telling = async {
        shutdown.await;
        drop(tell);
    };
    let (stations, own, (), ()) = tokio::join!(stations, own, pages, telling);
    shared.close().await;
    stations?;
    own.map_err(CommandError::from)?;
    tracing::info!("county down");
    Ok(())
}

/// Ends when the sender is dropped.
async fn ended(mut told: watch::Receiver<()>) {
    while told.changed().await.is_ok() {}
}
