//! The methods of the local service. Each reads its request, calls the replica, writes the reply.

use std::path::Path;
use std::pin::Pin;

use sponson_proto::service::v1 as wire;
use sponson_readiness::answer::ENGINE_VERSION;
use sponson_readiness::moment::Moment;
use sponson_replica::{About, CarryScope};
use sponson_show::decisions;
use tokio::sync::mpsc;
use tokio_stream::wrappers::{ReceiverStream, WatchStream};
use tokio_stream::{Stream, StreamExt as _};
use tonic::{Code, Request, Response, Status, Streaming};

use super::read::{clock_doubt, station_clocks};
use super::{
    Host, HostRole, answers, begun, by_itself, carry, codes, craft_record, notes, pictures, prove,
    read, registry, scrub, syncing, trying, under_way, visitors,
};
use crate::ahead;
use crate::ask::ask;
use crate::catalogue;
use crate::gauges;
use crate::history;
use crate::keeps_failing;
use crate::refusal::{Refusal, append_refused};
use crate::shared::{Gone, Shared};
use crate::station::{self, Progress};
use crate::stubs::service::local_server::Local;

/// Messages of a stream that wait for a slow reader.
const AHEAD: usize = 4;

/// A page of the log that is asked for without a size.
const PAGE_LINES: usize = 100;

/// Progress of a verification is told every so many events.
const TOLD_EVERY: u64 = 4096;

type Replies<T> = Pin<Box<dyn Stream<Item = Result<T, Status>> + Send>>;

/// The service.
#[derive(Clone, Debug)]
pub(super) struct LocalService {
    host: Host,
}

impl LocalService {
    pub(super) const fn new(host: Host) -> Self {
        Self { host }
    }
}

#[tonic::async_trait]
impl Local for LocalService {
    type VerifyStream = Replies<wire::VerifyReply>;
    type SyncNowStream = Replies<wire::SyncNowReply>;
    type CarryOutStream = Replies<wire::CarryOutReply>;
    type CraftRecordStream = Replies<wire::CraftRecordReply>;
    type WatchUnderWayStream = Replies<wire::WatchUnderWayReply>;

    async fn append(
        &self,
        request: Request<wire::AppendRequest>,
    ) -> Result<Response<wire::AppendReply>, Status> {
        let reply = append(&self.host.shared, request.into_inner()).await?;
        Ok(Response::new(reply))
    }

    async fn keep_picture(
        &self,
        request: Request<wire::KeepPictureRequest>,
    ) -> Result<Response<wire::KeepPictureReply>, Status> {
        let content = request.into_inner().content;
        let id = pictures::keep(&self.host.shared, content.into()).await?;
        Ok(Response::new(wire::KeepPictureReply {
            picture: id.to_bytes(),
        }))
    }

    async fn give_picture(
        &self,
        request: Request<wire::GivePictureRequest>,
    ) -> Result<Response<wire::GivePictureReply>, Status> {
        let id = pictures::id(&request.into_inner().picture)?;
        let picture = pictures::give(&self.host.shared, id).await?;
        Ok(Response::new(wire::GivePictureReply {
            content: picture.into(),
        }))
    }

    async fn ask(
        &self,
        request: Request<wire::AskRequest>,
    ) -> Result<Response<wire::AskReply>, Status> {
        let request = request.into_inner();
        let question = request.question.clone().unwrap_or_default();
        let shared = &self.host.shared;
        let now = shared.clock().now();
        let (places, clock) = (shared.places().map(Path::to_owned), shared.clock().clone());
        let reply = shared
            .call(move |replica| {
                let given = ask(replica, &question, &now, places.as_deref())?;
                let mut reply = answers::reply(&question, &given);
                reply
                    .notes
                    .extend(notes::served(replica, &clock, now.unix_ms));
                answers::add_forms(&request, &given, &mut reply)?;
                answers::fits(&reply)?;
                Ok::<_, Refusal>(reply)
            })
            .await
            .map_err(Refusal::from)??;
        Ok(Response::new(reply))
    }

    async fn catalogue(
        &self,
        _request: Request<wire::CatalogueRequest>,
    ) -> Result<Response<wire::CatalogueReply>, Status> {
        let known = self
            .host
            .shared
            .call(sponson_replica::Replica::catalogue)
            .await
            .map_err(Refusal::from)?;
        Ok(Response::new(catalogue::to_wire(known)))
    }

    async fn log(
        &self,
        request: Request<wire::LogRequest>,
    ) -> Result<Response<wire::LogReply>, Status> {
        let request = request.into_inner();
        let subject = read::subject(&request.subject)?;
        let page = read::page_token(&request.page_token)?;
        let lines = match usize::try_from(request.page_size) {
            Ok(0) | Err(_) => PAGE_LINES,
            Ok(lines) => lines.min(read::PAGE_LINES_MAX),
        };
        let reply = self
            .host
            .shared
            .call(move |replica| read::log(replica, subject, page, lines))
            .await
            .map_err(Refusal::from)??;
        Ok(Response::new(reply))
    }

    async fn verify(
        &self,
        _request: Request<wire::VerifyRequest>,
    ) -> Result<Response<Self::VerifyStream>, Status> {
        let (sender, receiver) = mpsc::channel(AHEAD);
        let shared = self.host.shared.clone();
        tokio::spawn(async move {
            let told = sender.clone();
            let found = shared.call(move |replica| {
                replica.verify(&mut |done, total| {
                    if done % TOLD_EVERY == 0 {
                        // A reader that went away or is slow misses progress, nothing else.
                        let _ = told.try_send(Ok(wire::VerifyReply {
                            done,
                            total,
                            report: None,
                        }));
                    }
                })
            });
            let last = found.await.map_err(|gone| Refusal::from(gone).into());
            let last = last.map(|found| wire::VerifyReply {
                done: found.events,
                total: found.events,
                report: Some(wire::VerifyReport {
                    events: found.events,
                    chains: found.chains,
                    county_size: found.county_size,
                    wrong: found.wrong,
                    parted: found.parted,
                    pictures: found.pictures,
                    pictures_missing: found.pictures_missing,
                }),
            });
            let _ = sender.send(last).await;
        });
        Ok(Response::new(Box::pin(ReceiverStream::new(receiver))))
    }

    async fn sync_now(
        &self,
        _request: Request<wire::SyncNowRequest>,
    ) -> Result<Response<Self::SyncNowStream>, Status> {
        let HostRole::Station { county, .. } = &self.host.role else {
            return Err(Refusal::new(
                Code::FailedPrecondition,
                "NOT_A_STATION",
                "this is the county",
                "stations come to it; there is nobody to sync with from here",
            )
            .into());
        };
        let (sender, receiver) = mpsc::channel(AHEAD);
        let (host, county) = (self.host.clone(), county.clone());
        tokio::spawn(async move {
            let told = sender.clone();
            let under = host.shared.syncs().begin().await;
            let done = station::sync(&host.shared, &county, &host.identity, |progress| {
                // A reader that is slow misses progress, nothing else.
                let _ = told.try_send(Ok(syncing::reply(progress, None)));
            })
            .await;
            syncing::note(&host.shared, &done).await;
            under.ended(host.shared.clock().now().unix_ms, &done);
            let last = match done {
                Ok(report) => Ok(syncing::reply(
                    Progress {
                        sent: report.summary.sent,
                        to_send: report.summary.sent,
                        received: report.summary.received,
                        to_receive: report.summary.received,
                    },
                    Some(report),
                )),
                Err(failure) => Err(syncing::refusal(failure).into()),
            };
            let _ = sender.send(last).await;
        });
        Ok(Response::new(Box::pin(ReceiverStream::new(receiver))))
    }

    async fn carry_out(
        &self,
        request: Request<wire::CarryOutRequest>,
    ) -> Result<Response<Self::CarryOutStream>, Status> {
        let scope = if request.into_inner().new_only {
            CarryScope::New
        } else {
            CarryScope::All
        };
        let receiver = carry::write(self.host.shared.clone(), scope, AHEAD);
        Ok(Response::new(Box::pin(ReceiverStream::new(receiver))))
    }

    async fn carry_in(
        &self,
        request: Request<Streaming<wire::CarryInRequest>>,
    ) -> Result<Response<wire::CarryInReply>, Status> {
        let reply = carry::read(&self.host.shared, request.into_inner()).await?;
        Ok(Response::new(reply))
    }

    async fn ask_signed(
        &self,
        request: Request<wire::AskRequest>,
    ) -> Result<Response<wire::AskSignedReply>, Status> {
        let request = request.into_inner();
        let question = request.question.clone().unwrap_or_default();
        let (shared, program) = (&self.host.shared, self.host.version.clone());
        let now = shared.clock().now();
        let places = shared.places().map(Path::to_owned);
        let reply = shared.call(move |replica| {
            let given = ask(replica, &question, &now, places.as_deref())?;
            let mut signed = answers::signed(replica, &question, &given, (&now, &program));
            if let Some(reply) = &mut signed.reply {
                answers::add_forms(&request, &given, reply)?;
            }
            answers::fits_signed(&signed)?;
            Ok::<_, Refusal>(signed)
        });
        Ok(Response::new(reply.await.map_err(Refusal::from)??))
    }

    async fn check_answer(
        &self,
        request: Request<wire::CheckAnswerRequest>,
    ) -> Result<Response<wire::CheckAnswerReply>, Status> {
        let file = request.into_inner().file;
        let shared = &self.host.shared;
        let reply = shared.call(move |replica| answers::check(replica, &file));
        Ok(Response::new(reply.await.map_err(Refusal::from)??))
    }

    async fn prove(
        &self,
        request: Request<wire::ProveRequest>,
    ) -> Result<Response<wire::ProveReply>, Status> {
        let event = request.into_inner().event;
        let shared = &self.host.shared;
        let now = shared.clock().now().unix_ms;
        let reply = shared.call(move |replica| prove::prove(replica, &event, now));
        Ok(Response::new(reply.await.map_err(Refusal::from)??))
    }

    async fn craft_record(
        &self,
        request: Request<wire::CraftRecordRequest>,
    ) -> Result<Response<Self::CraftRecordStream>, Status> {
        let written = craft_record::write(&self.host, request.into_inner()).await?;
        let pieces = craft_record::pieces(written.file).map(Ok);
        Ok(Response::new(Box::pin(tokio_stream::iter(pieces))))
    }

    async fn plan_kit_moves(
        &self,
        request: Request<wire::PlanKitMovesRequest>,
    ) -> Result<Response<wire::PlanKitMovesReply>, Status> {
        let request = request.into_inner();
        let shared = &self.host.shared;
        let now = shared.clock().now();
        let reply = shared.call(move |replica| answers::kit_moves(replica, &request, &now));
        Ok(Response::new(reply.await.map_err(Refusal::from)??))
    }

    async fn decisions(
        &self,
        request: Request<wire::DecisionsRequest>,
    ) -> Result<Response<wire::DecisionsReply>, Status> {
        let as_of = request.into_inner().as_of_unix_ms.map(Moment);
        let past = history::history(&self.host.shared, as_of).await?;
        Ok(Response::new(wire::DecisionsReply {
            text: decisions::decisions_report(&past.history, &past.ctx),
            json: decisions::decisions_json(&past.history, &past.ctx),
            notes: past.notes.clone(),
        }))
    }

    async fn gauges(
        &self,
        request: Request<wire::GaugesRequest>,
    ) -> Result<Response<wire::GaugesReply>, Status> {
        let is_county = matches!(self.host.role, HostRole::County { .. });
        let reply = gauges::gauges(&self.host.shared, request.into_inner(), is_county);
        Ok(Response::new(reply.await?))
    }

    async fn leaks(
        &self,
        request: Request<wire::LeaksRequest>,
    ) -> Result<Response<wire::LeaksReply>, Status> {
        let reply = gauges::leaks(&self.host.shared, request.into_inner());
        Ok(Response::new(reply.await?))
    }

    async fn keeps_failing(
        &self,
        request: Request<wire::KeepsFailingRequest>,
    ) -> Result<Response<wire::KeepsFailingReply>, Status> {
        let reply = keeps_failing::reply(&self.host.shared, &request.into_inner()).await?;
        Ok(Response::new(reply))
    }

    async fn ahead(
        &self,
        request: Request<wire::AheadRequest>,
    ) -> Result<Response<wire::AheadReply>, Status> {
        let request = request.into_inner();
        let told = ahead::ahead(&self.host.shared, &request).await?;
        // A year of a large county is megabytes of text: not on a thread that serves others.
        let reply = tokio::task::spawn_blocking(move || told.reply(&request)).await;
        let reply = reply.map_err(|_| Refusal::from(Gone::Broken))??;
        Ok(Response::new(reply))
    }

    async fn about(
        &self,
        _request: Request<wire::AboutRequest>,
    ) -> Result<Response<wire::AboutReply>, Status> {
        let reply = about(&self.host).await?;
        Ok(Response::new(reply))
    }

    async fn devices(
        &self,
        _request: Request<wire::DevicesRequest>,
    ) -> Result<Response<wire::DevicesReply>, Status> {
        let shared = &self.host.shared;
        let reply = shared.call(registry::devices).await;
        Ok(Response::new(reply.map_err(Refusal::from)??))
    }

    async fn chain(
        &self,
        request: Request<wire::ChainRequest>,
    ) -> Result<Response<wire::ChainReply>, Status> {
        let request = request.into_inner();
        let shared = &self.host.shared;
        let reply = shared.call(move |replica| registry::chain(replica, &request));
        Ok(Response::new(reply.await.map_err(Refusal::from)??))
    }

    async fn make_code(
        &self,
        request: Request<wire::MakeCodeRequest>,
    ) -> Result<Response<wire::MakeCodeReply>, Status> {
        let reply = codes::make(&self.host, request.into_inner()).await?;
        Ok(Response::new(reply))
    }

    async fn let_in(
        &self,
        request: Request<wire::LetInRequest>,
    ) -> Result<Response<wire::LetInReply>, Status> {
        let reply = visitors::let_in(&self.host, &request.into_inner()).await?;
        Ok(Response::new(reply))
    }

    async fn signed_in(
        &self,
        request: Request<wire::SignedInRequest>,
    ) -> Result<Response<wire::SignedInReply>, Status> {
        let reply = visitors::signed_in(&self.host, &request.into_inner()).await?;
        Ok(Response::new(reply))
    }

    async fn try_check(
        &self,
        request: Request<wire::TryCheckRequest>,
    ) -> Result<Response<wire::TryCheckReply>, Status> {
        let tried = trying::try_check(&self.host.shared, request.into_inner()).await?;
        Ok(Response::new(trying::to_wire(&tried)))
    }

    async fn on_craft(
        &self,
        request: Request<wire::OnCraftRequest>,
    ) -> Result<Response<wire::OnCraftReply>, Status> {
        let craft = request.into_inner().craft;
        let walk = trying::walk_of(&self.host.shared, &craft).await?;
        Ok(Response::new(trying::on_craft_reply(&walk.aboard)))
    }

    async fn under_way(
        &self,
        request: Request<wire::UnderWayRequest>,
    ) -> Result<Response<wire::UnderWayReply>, Status> {
        let reply = under_way::list(&self.host.shared, request.into_inner()).await?;
        Ok(Response::new(reply))
    }

    async fn begin(
        &self,
        request: Request<wire::BeginRequest>,
    ) -> Result<Response<wire::BeginReply>, Status> {
        let reply = under_way::begin(&self.host.shared, request.into_inner()).await?;
        Ok(Response::new(reply))
    }

    async fn enter(
        &self,
        request: Request<wire::EnterRequest>,
    ) -> Result<Response<wire::EnterReply>, Status> {
        let reply = under_way::enter(&self.host.shared, request.into_inner()).await?;
        Ok(Response::new(reply))
    }

    async fn record_under_way(
        &self,
        request: Request<wire::RecordUnderWayRequest>,
    ) -> Result<Response<wire::RecordUnderWayReply>, Status> {
        let reply = under_way::record(&self.host.shared, request.into_inner()).await?;
        Ok(Response::new(reply))
    }

    async fn end_under_way(
        &self,
        request: Request<wire::EndUnderWayRequest>,
    ) -> Result<Response<wire::EndUnderWayReply>, Status> {
        let reply = under_way::drop_it(&self.host.shared, request.into_inner()).await?;
        Ok(Response::new(reply))
    }

    async fn watch_under_way(
        &self,
        _request: Request<wire::WatchUnderWayRequest>,
    ) -> Result<Response<Self::WatchUnderWayStream>, Status> {
        let changes = under_way::changes(&self.host.shared)?;
        let told =
            WatchStream::new(changes).map(|changes| Ok(wire::WatchUnderWayReply { changes }));
        Ok(Response::new(Box::pin(told)))
    }
}

/// Signs and keeps one event.
pub(super) async fn append(
    shared: &Shared,
    mut request: wire::AppendRequest,
) -> Result<wire::AppendReply, Refusal> {
    let committed = pictures::read(std::mem::take(&mut request.pictures))?;
    let event = read::event(request, shared.entropy())?;
    let now = shared.clock().now();
    let (appended, clock) = shared
        .call(move |replica| {
            let clock = clock_doubt(replica, &now);
            replica
                .append_with_pictures(event, &committed, &now)
                .map(|appended| (appended, clock))
        })
        .await?
        .map_err(append_refused)?;
    Ok(wire::AppendReply {
        event_id: appended.id.to_bytes(),
        seq: appended.seq,
        clock,
    })
}

fn about_reply(about: About, host: &Host) -> wire::AboutReply {
    let (station, station_name) = about.station.unzip();
    wire::AboutReply {
        county_id: about.county.to_bytes(),
        key: about.key.to_bytes(),
        station: station.map(|id| id.to_bytes()).unwrap_or_default(),
        station_name: station_name.unwrap_or_default(),
        events: about.events,
        waiting: about.waiting,
        last_sync_unix_ms: about.offset.map(|offset| offset.measured.unix_ms),
        clock_offset_ms: about.offset.map(|offset| offset.county_minus_device_ms),
        admitted: about.admitted,
        version: host.version.clone(),
        log_id: about.log.map(|log| log.to_bytes()).unwrap_or_default(),
        county_size: about.county_size,
        root: about.root.to_bytes(),
        tls_key_sha256: host.identity.tls_key().to_bytes(),
        engine_version: ENGINE_VERSION,
        parted_at: about.parted,
        paused: about.paused,
        sync_refused: about.sync_refused.map(syncing::refused),
        ..wire::AboutReply::default()
    }
}

/// What this replica is.
pub(super) async fn about(host: &Host) -> Result<wire::AboutReply, Refusal> {
    let now = host.shared.clock().now();
    let of = host.clone();
    let syncs = by_itself::to_wire(&host.shared.syncs().state().borrow());
    let reply = host.shared.call(move |replica| {
        let (about, told) = registry::about(replica)?;
        let county = replica.is_county();
        let heard = match county {
            true => Vec::new(),
            false => by_itself::heard(replica, now.unix_ms),
        };
        let told = registry::add(about_reply(about, &of), told);
        Ok::<_, Refusal>(wire::AboutReply {
            begun: begun::of(replica),
            clock: clock_doubt(replica, &now),
            station_clocks: station_clocks(replica),
            newest_stored_unix_ms: replica.newest_stored().filter(|_| county),
            notes: notes::served(replica, of.shared.clock(), now.unix_ms),
            sync_state: Some(syncs).filter(|_| !county),
            heard,
            ..scrub::add(pictures::add(told, replica), replica.upkeep())
        })
    });
    reply.await?
}
