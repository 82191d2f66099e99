//! A station's way to the county: a loopback port that passes bytes on while there is coverage and
//! closes at once while there is none.

use std::net::SocketAddr;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use tokio::net::{TcpListener, TcpStream};
use tokio::task::JoinHandle;

/// The link of one station.
#[derive(Debug)]
pub struct Radio {
    address: SocketAddr,
    covered: Arc<AtomicBool>,
    task: JoinHandle<()>,
}

impl Radio {
    /// Opens a port that leads to the county.
    ///
    /// # Errors
    /// When no loopback port can be had.
    pub async fn to(county: SocketAddr) -> std::io::Result<Self> {
        let listener = TcpListener::bind("127.0.0.1:0").await?;
        let address = listener.local_addr()?;
        let covered = Arc::new(AtomicBool::new(true));
        let task = tokio::spawn(pass_on(listener, county, Arc::clone(&covered)));
        Ok(Self {
            address,
            covered,
            task,
        })
    }

    /// Where the station dials.
    #[must_use]
    pub const fn address(&self) -> SocketAddr {
        self.address
    }

    /// Whether there is coverage.
    #[must_use]
    pub fn coverage(&self) -> Coverage {
        if self.covered.load(Ordering::SeqCst) {
            Coverage::Back
        } else {
            Coverage::Lost
        }
    }

    /// Says whether there is coverage from now on.
    pub fn set_coverage(&self, coverage: Coverage) {
        self.covered
            .store(coverage == Coverage::Back, Ordering::SeqCst);
    }
}

impl Drop for Radio {
    fn drop(&mut self) {
        self.task.abort();
    }
}

/// Whether a station reaches the county.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Coverage {
    /// It does not.
    Lost,
    /// It does again.
    Back,
}

async fn pass_on(listener: TcpListener, county: SocketAddr, covered: Arc<AtomicBool>) {
    while let Ok((mut near, _)) = listener.accept().await {
        if !covered.load(Ordering::SeqCst) {
            continue;
        }
        tokio::spawn(async move {
            if let Ok(mut far) = TcpStream::connect(county).await {
                // Either end closing the link is its ordinary end.
                let _closed = tokio::io::copy_bidirectional(&mut near, &mut far).await;
            }
        });
    }
}
