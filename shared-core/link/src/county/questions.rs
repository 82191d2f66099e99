//! Questions to the county from programs that the registry admits.

use std::path::Path;

use prost::Message as _;
use sponson_log::event::BODY_BYTES_MAX;
use sponson_proto::service::v1::{AnswerReply, AnswerRequest, GetLimitsReply, GetLimitsRequest};
use sponson_readiness::answer::ENGINE_VERSION;
use tonic::{Request, Response, Status};

use crate::answer;
use crate::ask::ask;
use crate::limits::{CHUNK_BYTES_MAX, MESSAGE_BYTES_MAX};
use crate::refusal::{Refusal, fits};
use crate::shared::Shared;
use crate::stubs::service::county_server::County;

/// The service.
#[derive(Clone, Debug)]
pub(super) struct QuestionsService {
    shared: Shared,
}

impl QuestionsService {
    pub(super) const fn new(shared: Shared) -> Self {
        Self { shared }
    }
}

#[tonic::async_trait]
impl County for QuestionsService {
    async fn answer(
        &self,
        request: Request<AnswerRequest>,
    ) -> Result<Response<AnswerReply>, Status> {
        let question = request.into_inner().question.unwrap_or_default();
        let now = self.shared.clock().now();
        let places = self.shared.places().map(Path::to_owned);
        let reply = self
            .shared
            .call(move |replica| {
                let given = ask(replica, &question, &now, places.as_deref())?;
                let reply = AnswerReply {
                    answer: Some(answer::to_wire(&given.answer, &given.ctx)),
                };
                let remedy = "ask for one craft";
                fits("the answer", reply.encoded_len(), MESSAGE_BYTES_MAX, remedy)?;
                Ok::<_, Refusal>(reply)
            })
            .await
            .map_err(Refusal::from)??;
        Ok(Response::new(reply))
    }

    async fn get_limits(
        &self,
        _request: Request<GetLimitsRequest>,
    ) -> Result<Response<GetLimitsReply>, Status> {
        let bytes = |limit: usize| u32::try_from(limit).unwrap_or(u32::MAX);
        Ok(Response::new(GetLimitsReply {
            message_bytes_max: bytes(MESSAGE_BYTES_MAX),
            body_bytes_max: bytes(BODY_BYTES_MAX),
            chunk_bytes_max: bytes(CHUNK_BYTES_MAX),
            engine_version: ENGINE_VERSION,
        }))
    }
}
