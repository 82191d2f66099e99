//! `serve`: keeps the local service up, and the station's pages.

use std::net::SocketAddr;

use clap::Args;
use sponson_link::local::{self, Host, Listening};
use sponson_show::clean;
use sponson_show::terminal::Exit;
use tokio::sync::watch;

use crate::device::{opening, socket, told_to_end};
use crate::error::CommandError;
use crate::pages::{PagesError, PagesUp, USUAL_PORT};
use crate::settings::{Places, Settings, SyncSetting};
use crate::surroundings::Surroundings;
use crate::web::at::{AtError, Wanted};

/// Keep the local service and the station's pages up until told to end. Other commands then go
/// through the service.
#[derive(Args, Debug, Default)]
pub struct ServeArgs {
    /// Where to serve the station's pages, ADDRESS:PORT, or none; 127.0.0.1:7343 when neither this
    /// nor the settings say. Beyond this machine only where the policy allows it: encrypted, and
    /// read by whoever let-in let in.
    #[arg(long, value_name = "ADDRESS:PORT|none")]
    pages: Option<String>,
}

/// Serves until SIGTERM or ctrl-c.
///
/// # Errors
/// When the folder cannot be opened, the socket cannot be made, or the pages cannot be served as
/// was asked.
pub async fn run(
    args: &ServeArgs,
    places: &Places,
    settings: &Settings,
    surroundings: &mut Surroundings,
) -> Result<Exit, CommandError> {
    let until = async {
        if let Err(error) = told_to_end().await {
            tracing::error!(%error, "signals cannot be awaited: ending");
        }
    };
    let wanted = wanted(args.pages.as_deref(), places, settings)?;
    let named = args.pages.is_some() || settings.pages.is_some();
    let mut up = StationUp::begin(places, settings, surroundings).await?;
    let without_pages = match &wanted {
        Some(wanted) => up.add_pages(wanted, settings, named).await,
        None => Ok(None),
    };
    let without_pages = match without_pages {
        Ok(why) => why,
        Err(error) => {
            // Told to end at once, it frees its folder.
            serve_up(up, std::future::ready(())).await?;
            return Err(error.into());
        }
    };
    up.tell(surroundings)?;
    if let Some(why) = without_pages {
        surroundings.terminal().talk(&format!("no pages: {why}"))?;
    }
    serve_up(up, until).await?;
    Ok(Exit::Fine)
}

/// Where a station's pages are wanted; none when they are not.
///
/// # Errors
/// When they cannot be served as was asked.
pub fn wanted(
    said: Option<&str>,
    places: &Places,
    settings: &Settings,
) -> Result<Option<Wanted>, PagesError> {
    let usual = SocketAddr::from(([127, 0, 0, 1], USUAL_PORT));
    Ok(Wanted::of(said, settings, places, usual)?)
}

/// A station that is about to serve: its folder is open, its socket and the address of its pages
/// are bound, so that whoever connects from now on waits for it.
#[derive(Debug)]
pub struct StationUp {
    host: Host,
    own: Listening,
    pages: Option<PagesUp>,
    sync: SyncSetting,
}

impl StationUp {
    /// Opens the folder and binds the socket.
    ///
    /// # Errors
    /// When the folder cannot be opened or the socket cannot be made.
    pub fn begin(
        places: &Places,
        settings: &Settings,
        surroundings: &Surroundings,
    ) -> impl Future<Output = Result<Self, CommandError>> + Send + use<> {
        // What is given is only read before anything is waited for: whoever runs this may move it
        // between threads.
        let side = settings.station_side();
        let opening = side.map(|side| {
            opening(places, side, surroundings).with_places(settings.launch_places(places))
        });
        let socket = socket(&places.data);
        let sync = settings.sync;
        async move {
            let host = opening?.host().await?;
            let own = Listening::begin(socket)?;
            Ok(Self {
                host,
                own,
                pages: None,
                sync,
            })
        }
    }

    /// Binds the address of the pages too.
    ///
    /// # Errors
    /// When the policy does not allow it, it cannot be listened at, or TLS cannot be set up.
    pub async fn with_pages(
        mut self,
        wanted: &Wanted,
        settings: &Settings,
    ) -> Result<Self, PagesError> {
        let pages = PagesUp::begin(wanted, self.host.clone(), settings).await?;
        self.pages = Some(pages);
        Ok(self)
    }

    /// Binds the address of the pages too; tells why not where nobody named it and another program
    /// has it: commands work all the same.
    async fn add_pages(
        &mut self,
        wanted: &Wanted,
        settings: &Settings,
        named: bool,
    ) -> Result<Option<PagesError>, PagesError> {
        match PagesUp::begin(wanted, self.host.clone(), settings).await {
            Ok(pages) => {
                self.pages = Some(pages);
                Ok(None)
            }
            Err(why @ PagesError::At(AtError::Listen { .. })) if !named => Ok(Some(why)),
            Err(error) => Err(error),
        }
    }

    /// The pages; none when they are not served.
    #[must_use]
    pub const fn pages(&self) -> Option<&PagesUp> {
        self.pages.as_ref()
    }

    fn tell(&self, surroundings: &mut Surroundings) -> Result<(), CommandError> {
        let socket = self.own.path();
        let line = format!("serving {}", clean(&socket.display().to_string()));
        surroundings.terminal().talk(&line)?;
        for line in self.pages.iter().flat_map(PagesUp::said) {
            surroundings.terminal().result(&line)?;
        }
        tracing::info!(socket.path = %socket.display(), "local service up");
        Ok(())
    }
}

/// Serves this machine's own commands and the pages until `shutdown`, then drains both.
///
/// # Errors
/// When the service ends before it was told to.
pub async fn serve_up(
    up: StationUp,
    shutdown: impl Future<Output = ()> + Send,
) -> Result<(), CommandError> {
    let StationUp {
        host,
        own,
        pages,
        sync,
    } = up;
    let shared = host.shared.clone();
    let (tell, told) = watch::channel(());
    let told_pages = told.clone();
    let told_syncs = told.clone();
    let syncing = {
        let host = host.clone();
        async move {
            match sync {
                // Cut where it is: what was kept stays, and the county is asked again next time.
                SyncSetting::ByItself => tokio::select! {
                    () = local::by_itself::by_itself(host) => {}
                    () = ended(told_syncs) => {}
                },
                SyncSetting::ByHand => {}
            }
        }
    };
    let own = local::serve(host, own, ended(told));
    let pages = async {
        if let Some(pages) = pages {
            pages.serve(told_pages).await;
        }
    };
    let telling = async {
        shutdown.await;
        drop(tell);
    };
    let (own, (), (), ()) = tokio::join!(own, pages, syncing, telling);
    shared.close().await;
    Ok(own?)
}

/// Serves the folder of a station, without pages, until `shutdown`.
///
/// # Errors
/// When the folder cannot be opened or the socket cannot be made.
pub async fn serve_until(
    places: &Places,
    settings: &Settings,
    surroundings: &mut Surroundings,
    shutdown: impl Future<Output = ()> + Send,
) -> Result<(), CommandError> {
    let up = StationUp::begin(places, settings, surroundings).await?;
    up.tell(surroundings)?;
    serve_up(up, shutdown).await
}

/// Ends when the sender is dropped.
async fn ended(mut told: watch::Receiver<()>) {
    while told.changed().await.is_ok() {}
}
