//! The pictures of a sync, after its events: offered and sent, then planned and fetched, by pieces.
//!
//! Whatever happens here, the sync went through: what could not go or come waits for the next, which
//! goes on from the byte where this one ended. Events that are recorded meanwhile go first: then the
//! rest of the pictures waits.

use std::collections::{BTreeMap, BTreeSet};

use sponson_log::ids::Digest;
use sponson_proto::service::v1 as wire;
use sponson_replica::{Part, PictureError, PicturePlace};
use tonic::codec::CompressionEncoding;
use tonic::transport::Channel;
use tonic::{Code, Request, Status};

use crate::limits::{
    CALL_TIMEOUT, MESSAGE_BYTES_MAX, PICTURE_PIECE_BYTES_FIRST, PICTURE_PIECE_BYTES_LEAST,
    PICTURE_PIECE_BYTES_MAX, PICTURE_PIECE_TIME, PICTURES_OFFERED_MAX, PICTURES_TIME_MAX,
};
use crate::refusal;
use crate::shared::{Gone, Shared};
use crate::stubs::service::pictures_client::PicturesClient;

/// What became of the pictures in a sync.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PicturesReport {
    /// Pictures that the county has now and had not before.
    pub sent: u64,
    /// Pictures that are here now and were not before.
    pub fetched: u64,
    /// Pictures that are here and that the county does not have.
    pub waiting: u64,
    /// Pictures of the own station's craft that are to come and did not yet.
    pub to_fetch: u64,
    /// Why not all went or came, a sentence each.
    pub said: Vec<String>,
}

/// Why pictures did not all go or come.
#[derive(Debug, thiserror::Error)]
enum Stopped {
    /// The connection, or a refusal that holds for all.
    #[error("{}", refusal::words(.0))]
    County(Box<Status>),
    /// The own files.
    #[error(transparent)]
    Own(#[from] PictureError),
    /// The own replica.
    #[error(transparent)]
    Gone(#[from] Gone),
    /// Something was recorded.
    #[error("something was recorded meanwhile, which goes first")]
    EventsFirst,
    /// It took long.
    #[error(
        "the link is slow: pictures had {} minutes, and the rest goes with the next sync",
        PICTURES_TIME_MAX.as_secs() / 60
    )]
    Time,
}

impl From<Status> for Stopped {
    fn from(status: Status) -> Self {
        Self::County(Box::new(status))
    }
}

/// A sync's pictures on their way.
struct Session<'a> {
    shared: &'a Shared,
    client: PicturesClient<Channel>,
    report: PicturesReport,
    at_county: BTreeSet<Digest>,
    events_waiting: u64,
    begun_ms: u64,
    pace: Pace,
}

/// Sends and fetches what is missing on either side.
pub(super) async fn sync_pictures(shared: &Shared, channel: Channel) -> PicturesReport {
    let client = PicturesClient::new(channel)
        .max_decoding_message_size(MESSAGE_BYTES_MAX)
        .max_encoding_message_size(MESSAGE_BYTES_MAX)
        .accept_compressed(CompressionEncoding::Zstd)
        .send_compressed(CompressionEncoding::Zstd);
    let mut session = Session {
        shared,
        client,
        report: PicturesReport::default(),
        at_county: BTreeSet::new(),
        events_waiting: shared.call(|it| it.about().waiting).await.unwrap_or(0),
        begun_ms: shared.clock().now().monotonic_ms,
        pace: Pace::default(),
    };
    if let Err(stopped) = session.run().await {
        session.say(&stopped);
    }
    let waiting = shared
        .call(|replica| replica.pictures_about().waiting)
        .await;
    session.report.waiting = waiting.unwrap_or_default();
    session.report
}

impl Session<'_> {
    async fn run(&mut self) -> Result<(), Stopped> {
        let held = self
            .shared
            .call(|replica| replica.pictures_held())
            .await??;
        let wanted = self.offer(&held).await?;
        let sent = self.send_all(&wanted, &held).await;
        // What the county has is noted also when it broke off.
        let at_county = self.at_county.clone();
        let noted = self.shared.call(move |it| it.note_at_county(at_county));
        match noted.await? {
            // A station without a folder for them has none to note.
            Ok(()) | Err(PictureError::NoneKept) => {}
            Err(error) => return Err(error.into()),
        }
        sent?;
        self.fetch_all().await
    }

    /// Which of the pictures held here the county wants, and from where on.
    async fn offer(&mut self, held: &BTreeMap<Digest, u64>) -> Result<Vec<(Digest, u64)>, Stopped> {
        let ids: Vec<Digest> = held.keys().copied().collect();
        let mut wanted = Vec::new();
        for page in ids.chunks(PICTURES_OFFERED_MAX) {
            let request = wire::OfferPicturesRequest {
                pictures: page.iter().map(|id| id.to_bytes()).collect(),
            };
            let reply = self.client.offer_pictures(timed(request)).await;
            let states = reply.map_err(older)?.into_inner().states;
            for (id, state) in page.iter().zip(states) {
                match state.standing() {
                    wire::PictureStanding::Held => {
                        self.at_county.insert(*id);
                    }
                    wire::PictureStanding::Wanted => wanted.push((*id, state.offset)),
                    // It holds the events by now, unless it refused them; a redaction comes with them.
                    wire::PictureStanding::NotKnown
                    | wire::PictureStanding::Removed
                    | wire::PictureStanding::Unspecified => {}
                }
            }
        }
        Ok(wanted)
    }

    async fn send_all(
        &mut self,
        wanted: &[(Digest, u64)],
        held: &BTreeMap<Digest, u64>,
    ) -> Result<(), Stopped> {
        for (id, offset) in wanted {
            let bytes = held.get(id).copied().unwrap_or_default();
            match self.send(*id, bytes, *offset).await {
                Ok(()) => {
                    self.at_county.insert(*id);
                    self.report.sent += 1;
                }
                Err(stopped) => self.go_on_after(stopped)?,
            }
        }
        Ok(())
    }

    async fn send(&mut self, id: Digest, bytes: u64, mut offset: u64) -> Result<(), Stopped> {
        loop {
            self.may_go_on().await?;
            let bytes_max = self.pace.bytes;
            let piece = self
                .shared
                .call(move |replica| replica.picture_piece(&id, offset, bytes_max));
            let (data, _) = piece.await??;
            let length = data.len();
            let request = wire::PutPictureRequest {
                picture: id.to_bytes(),
                bytes,
                offset,
                data: data.into(),
            };
            let begun = self.now_ms();
            let reply = self.client.put_picture(timed(request)).await?.into_inner();
            self.pace.took(length, self.now_ms().saturating_sub(begun));
            if reply.whole {
                return Ok(());
            }
            // A county that says that it is where it was with a piece in its hands goes round in circles.
            if reply.offset == offset {
                return Err(PictureError::Wrong(id.to_string()).into());
            }
            offset = reply.offset;
        }
    }

    async fn fetch_all(&mut self) -> Result<(), Stopped> {
        let plan = self.shared.call(|replica| replica.pictures_plan()).await?;
        let plan = match plan {
            Err(PictureError::NoneKept) => return Ok(()),
            plan => plan?,
        };
        self.report.to_fetch = plan.fetch.len() as u64;
        for id in plan.let_go {
            let gone = self.shared.call(move |replica| replica.let_picture_go(&id));
            gone.await??;
        }
        for (id, _) in plan.fetch {
            match self.fetch(id).await {
                Ok(()) => {
                    self.report.fetched += 1;
                    self.report.to_fetch -= 1;
                }
                Err(stopped) => self.go_on_after(stopped)?,
            }
        }
        Ok(())
    }

    async fn fetch(&mut self, id: Digest) -> Result<(), Stopped> {
        let place = self.shared.call(move |it| it.picture_place(&id)).await?;
        let PicturePlace::Missing(mut offset) = place else {
            return Ok(());
        };
        loop {
            self.may_go_on().await?;
            let request = wire::GetPictureRequest {
                picture: id.to_bytes(),
                offset,
                bytes_max: u32::try_from(self.pace.bytes).unwrap_or(u32::MAX),
            };
            let begun = self.now_ms();
            let reply = self.client.get_picture(timed(request)).await?.into_inner();
            self.pace
                .took(reply.data.len(), self.now_ms().saturating_sub(begun));
            let taken = self.shared.call(move |replica| {
                let piece = (offset, reply.data.as_ref());
                replica.take_picture_piece(&id, reply.bytes, piece)
            });
            match taken.await?? {
                Part::Whole => {
                    self.note_fetched(id).await?;
                    return Ok(());
                }
                Part::To(now) if now == offset => {
                    return Err(PictureError::Wrong(id.to_string()).into());
                }
                Part::To(now) => offset = now,
            }
        }
    }

    /// What came from the county the county has.
    async fn note_fetched(&mut self, id: Digest) -> Result<(), Stopped> {
        self.at_county.insert(id);
        let at_county = self.at_county.clone();
        let noted = self.shared.call(move |it| it.note_at_county(at_county));
        Ok(noted.await??)
    }

    async fn may_go_on(&self) -> Result<(), Stopped> {
        let waiting = self.shared.call(|it| it.about().waiting).await?;
        if waiting > self.events_waiting {
            return Err(Stopped::EventsFirst);
        }
        let limit = u64::try_from(PICTURES_TIME_MAX.as_millis()).unwrap_or(u64::MAX);
        if self.now_ms().saturating_sub(self.begun_ms) > limit {
            return Err(Stopped::Time);
        }
        Ok(())
    }

    /// Whether the other pictures can go on after one did not: what was said of it is told.
    fn go_on_after(&mut self, stopped: Stopped) -> Result<(), Stopped> {
        let of_one = match &stopped {
            Stopped::County(status) => matches!(
                refusal::reason(status).as_deref(),
                Some(
                    "PICTURE_NOT_KNOWN" | "PICTURE_REMOVED" | "PICTURE_NOT_HERE" | "PICTURE_WRONG"
                )
            ),
            Stopped::Own(error) => !matches!(
                error,
                PictureError::NoneKept | PictureError::NoRoom { .. } | PictureError::Budget { .. }
            ),
            Stopped::Gone(_) | Stopped::EventsFirst | Stopped::Time => false,
        };
        if !of_one {
            return Err(stopped);
        }
        let not_there_yet = matches!(&stopped, Stopped::County(status)
            if refusal::reason(status).as_deref() == Some("PICTURE_NOT_HERE"));
        // The station that took it has not sent it yet: nothing is wrong.
        if !not_there_yet {
            self.say(&stopped);
        }
        Ok(())
    }

    fn say(&mut self, stopped: &Stopped) {
        /// Sentences of one sync: more help nobody.
        const SAID_MAX: usize = 8;
        if self.report.said.len() < SAID_MAX {
            self.report.said.push(stopped.to_string());
        }
    }

    fn now_ms(&self) -> u64 {
        self.shared.clock().now().monotonic_ms
    }
}

/// A county of an older version does not know what a picture is.
fn older(status: Status) -> Status {
    if status.code() == Code::Unimplemented && refusal::reason(&status).is_none() {
        return Status::unimplemented(
            "the county's program keeps no pictures: they wait here until it is a newer one",
        );
    }
    status
}

fn timed<T>(message: T) -> Request<T> {
    let mut request = Request::new(message);
    request.set_timeout(CALL_TIMEOUT);
    request
}

/// How large pieces are, by how fast the last one went.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Pace {
    bytes: usize,
}

impl Default for Pace {
    fn default() -> Self {
        Self {
            bytes: PICTURE_PIECE_BYTES_FIRST,
        }
    }
}

impl Pace {
    /// Takes how long a piece took: what fits the time that one is to take, at most twice as much.
    fn took(&mut self, bytes: usize, elapsed_ms: u64) {
        let wanted_ms = u64::try_from(PICTURE_PIECE_TIME.as_millis()).unwrap_or(u64::MAX);
        let fits = (bytes as u64).saturating_mul(wanted_ms) / elapsed_ms.max(1);
        let fits = usize::try_from(fits).unwrap_or(usize::MAX);
        let most = self.bytes.saturating_mul(2).min(PICTURE_PIECE_BYTES_MAX);
        // The last piece of a picture is short and says little of the link.
        if bytes == self.bytes || fits < self.bytes {
            self.bytes = fits.clamp(PICTURE_PIECE_BYTES_LEAST, most);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_grow_on_a_fast_link_and_shrink_on_a_slow_one() {
        let mut pace = Pace::default();
        for wanted in [32, 64, 128, 256, 256] {
            pace.took(pace.bytes, 1);
            assert_eq!(pace.bytes, wanted * 1024);
        }
        // 256 KiB in 25 s: 2 s carry 21 KB.
        pace.took(pace.bytes, 25_000);
        assert_eq!(pace.bytes, 20_971);
        pace.took(pace.bytes, 60_000);
        assert_eq!(pace.bytes, PICTURE_PIECE_BYTES_LEAST);
        // A short last piece makes none of them larger.
        pace.took(10, 1);
        assert_eq!(pace.bytes, PICTURE_PIECE_BYTES_LEAST);
    }
}
