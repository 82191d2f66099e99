//! Pictures at the county: taken in and given out by pieces, each for an event that it holds.

use std::sync::Arc;
use std::time::Duration;

use sponson_log::ids::Digest;
use sponson_proto::service::v1 as wire;
use sponson_replica::{Part, PicturePlace};
use tokio::sync::{Semaphore, SemaphorePermit};
use tonic::{Code, Request, Response, Status};

use crate::guard::Caller;
use crate::limits::{PICTURE_PIECE_BYTES_MAX, PICTURE_PIECES_MAX, PICTURES_OFFERED_MAX};
use crate::refusal::{Refusal, picture_refused};
use crate::shared::Shared;
use crate::stubs::service::pictures_server::Pictures;

/// A busy county asks for this pause: a few pieces of others.
const BUSY_PAUSE: Duration = Duration::from_secs(10);

/// The service.
#[derive(Clone, Debug)]
pub(super) struct PicturesService {
    shared: Shared,
    taking: Arc<Semaphore>,
}

impl PicturesService {
    pub(super) fn new(shared: Shared) -> Self {
        Self {
            shared,
            taking: Arc::new(Semaphore::new(PICTURE_PIECES_MAX)),
        }
    }
}

#[tonic::async_trait]
impl Pictures for PicturesService {
    async fn offer_pictures(
        &self,
        request: Request<wire::OfferPicturesRequest>,
    ) -> Result<Response<wire::OfferPicturesReply>, Status> {
        let offered = request.into_inner().pictures;
        if offered.len() > PICTURES_OFFERED_MAX {
            return Err(Refusal::field(
                format!("{} pictures are offered at once", offered.len()),
                format!("offer at most {PICTURES_OFFERED_MAX}"),
            )
            .into());
        }
        let ids = offered.iter().map(|bytes| id(bytes));
        let ids: Vec<Digest> = ids.collect::<Result<_, _>>()?;
        let states = self.shared.call(move |replica| {
            let places = ids.iter().map(|id| state(replica.picture_place(id)));
            places.collect()
        });
        let states = states.await.map_err(Refusal::from)?;
        Ok(Response::new(wire::OfferPicturesReply { states }))
    }

    async fn put_picture(
        &self,
        request: Request<wire::PutPictureRequest>,
    ) -> Result<Response<wire::PutPictureReply>, Status> {
        let caller = request.extensions().get::<Caller>();
        if !caller.is_some_and(Caller::brings_events) {
            return Err(only_reads().into());
        }
        let request = request.into_inner();
        if request.data.len() > PICTURE_PIECE_BYTES_MAX {
            return Err(Refusal::field(
                format!("the piece is {} bytes long", request.data.len()),
                format!("send at most {PICTURE_PIECE_BYTES_MAX} at a time"),
            )
            .into());
        }
        let id = id(&request.picture)?;
        let _place = place(&self.taking)?;
        let taken = self.shared.call(move |replica| {
            let piece = (request.offset, request.data.as_ref());
            replica.take_picture_piece(&id, request.bytes, piece)
        });
        let taken = taken.await.map_err(Refusal::from)?;
        let reply = match taken.map_err(|error| picture_refused(&error))? {
            Part::To(offset) => wire::PutPictureReply {
                offset,
                whole: false,
            },
            Part::Whole => wire::PutPictureReply {
                offset: 0,
                whole: true,
            },
        };
        Ok(Response::new(reply))
    }

    async fn get_picture(
        &self,
        request: Request<wire::GetPictureRequest>,
    ) -> Result<Response<wire::GetPictureReply>, Status> {
        let request = request.into_inner();
        let id = id(&request.picture)?;
        let bytes_max = usize::try_from(request.bytes_max).unwrap_or(usize::MAX);
        let bytes_max = bytes_max.clamp(1, PICTURE_PIECE_BYTES_MAX);
        let piece = self
            .shared
            .call(move |replica| replica.picture_piece(&id, request.offset, bytes_max));
        let piece = piece.await.map_err(Refusal::from)?;
        let (data, bytes) = piece.map_err(|error| picture_refused(&error))?;
        Ok(Response::new(wire::GetPictureReply {
            data: data.into(),
            bytes,
        }))
    }
}

fn id(bytes: &[u8]) -> Result<Digest, Refusal> {
    Digest::parse("picture", bytes)
        .map_err(|error| Refusal::field(error.to_string(), "name it as its event does"))
}

fn state(place: PicturePlace) -> wire::PictureState {
    let (standing, offset) = match place {
        PicturePlace::NotKnown => (wire::PictureStanding::NotKnown, 0),
        PicturePlace::Removed => (wire::PictureStanding::Removed, 0),
        PicturePlace::Held => (wire::PictureStanding::Held, 0),
        PicturePlace::Missing(offset) => (wire::PictureStanding::Wanted, offset),
    };
    wire::PictureState {
        standing: standing as i32,
        offset,
    }
}

fn only_reads() -> Refusal {
    Refusal::new(
        Code::PermissionDenied,
        "KEY_ONLY_READS",
        "this key may only read",
        "ask the lead for a key that records",
    )
}

/// A place for a piece that is taken in.
fn place(taking: &Semaphore) -> Result<SemaphorePermit<'_>, Refusal> {
    taking.try_acquire().map_err(|_| {
        Refusal::new(
            Code::Unavailable,
            "COUNTY_BUSY",
            format!("{PICTURE_PIECES_MAX} pictures are coming now, the most at a time"),
            format!("try again in {} seconds", BUSY_PAUSE.as_secs()),
        )
        .retry_after(BUSY_PAUSE)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn so_many_pieces_are_taken_in_at_a_time_and_the_next_is_asked_to_wait() {
        let taking = Semaphore::new(PICTURE_PIECES_MAX);
        let mut held: Vec<_> = (0..PICTURE_PIECES_MAX)
            .map(|_| place(&taking).expect("a place"))
            .collect();
        let refused = Status::from(place(&taking).expect_err("none left"));
        assert_eq!(crate::refusal::retry_after(&refused), Some(BUSY_PAUSE));
        insta::assert_snapshot!(refused.message(), @"8 pictures are coming now, the most at a time: try again in 10 seconds");
        held.pop();
        drop(place(&taking).expect("free again"));
    }
}
