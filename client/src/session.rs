//! One command's talk with the local service: the connection, the terminal, and who records.

use std::path::Path;

use bytes::Bytes;
use prost::Message;
use sponson_link::stubs::service::local_client::LocalClient;
use sponson_proto::answer::v1::Question;
use sponson_proto::event::v1::{Kind, Observed, SubjectType};
use sponson_proto::service::v1::{
    AboutReply, AboutRequest, AheadReply, AheadRequest, AppendPicture, AppendRequest,
    AppendSubject, AppendText, AskReply, AskRequest, CatalogueRequest, GaugesReply, GaugesRequest,
    KeepsFailingReply, KeepsFailingRequest, LeaksReply, LeaksRequest, PlanKitMovesReply,
    PlanKitMovesRequest,
};
use sponson_proto::version;
use sponson_readiness::moment::{CLOCK_TOLERANCE_MS, Moment};
use sponson_show::clean;
use sponson_show::dates;
use sponson_show::terminal::Terminal;
use sponson_show::units::print;
use tonic::transport::Channel;

use crate::catalogue::{Catalogue, short_event};
use crate::clock_words;
use crate::commands::prove::write_new;
use crate::corrects::Original;
use crate::error::CommandError;

/// One command's talk with the local service.
#[derive(Debug)]
pub struct Session<'a> {
    service: LocalClient<Channel>,
    terminal: Terminal<'a>,
    member: String,
    observed: Option<Observed>,
    corrects: Option<Original>,
    now_unix_ms: i64,
    clock_told: bool,
    newer_told: bool,
    events: Vec<Bytes>,
}

/// An event that a command records.
#[derive(Debug, Default)]
pub struct Record {
    /// Whom it is about; the main one first.
    pub subjects: Vec<AppendSubject>,
    /// When it was observed, if earlier.
    pub observed: Option<Observed>,
    /// Texts beside it.
    pub texts: Vec<AppendText>,
    /// Pictures that it commits to, kept already.
    pub pictures: Vec<AppendPicture>,
}

impl Record {
    /// About these subjects, now, without texts.
    #[must_use]
    pub fn about(subjects: impl IntoIterator<Item = AppendSubject>) -> Self {
        Self {
            subjects: subjects.into_iter().collect(),
            ..Self::default()
        }
    }

    /// With a note about the whole event, when there is one.
    #[must_use]
    pub fn note(mut self, note: Option<&str>) -> Self {
        self.texts.extend(note.map(|text| AppendText {
            belongs_to: String::new(),
            text: text.to_owned(),
        }));
        self
    }
}

impl<'a> Session<'a> {
    /// Begins.
    #[must_use]
    pub const fn new(
        service: LocalClient<Channel>,
        terminal: Terminal<'a>,
        member: String,
        now_unix_ms: i64,
    ) -> Self {
        Self {
            service,
            terminal,
            member,
            observed: None,
            corrects: None,
            now_unix_ms,
            clock_told: false,
            newer_told: false,
            events: Vec::new(),
        }
    }

    /// The service.
    pub const fn service(&mut self) -> &mut LocalClient<Channel> {
        &mut self.service
    }

    /// The terminal.
    pub const fn terminal(&mut self) -> &mut Terminal<'a> {
        &mut self.terminal
    }

    /// When the command began, milliseconds since 1970.
    #[must_use]
    pub const fn now_unix_ms(&self) -> i64 {
        self.now_unix_ms
    }

    /// Member number of whoever records; empty when nobody gave one.
    #[must_use]
    pub fn member(&self) -> &str {
        &self.member
    }

    /// Ids of what was recorded so far, in the order in which it was.
    #[must_use]
    pub fn events(&self) -> &[Bytes] {
        &self.events
    }

    /// Records as this member from here on.
    pub fn set_member(&mut self, member: &str) {
        member.clone_into(&mut self.member);
    }

    /// Records from here on as observed at an earlier moment, in the county's local time.
    ///
    /// # Errors
    /// When the text is no moment, or the service fails.
    pub async fn set_observed(&mut self, text: &str) -> Result<(), CommandError> {
        let offset = self.catalogue().await?.policy().utc_offset_min;
        let moment = dates::moment("--observed", text, offset)?;
        self.observed = Some(Observed {
            from_unix_ms: moment.0,
            to_unix_ms: moment.0,
        });
        Ok(())
    }

    /// Everything that has a name here.
    ///
    /// # Errors
    /// When the service fails.
    pub async fn catalogue(&mut self) -> Result<Catalogue, CommandError> {
        let reply = self.service.catalogue(CatalogueRequest {}).await?;
        let catalogue = Catalogue::new(reply.into_inner());
        if !std::mem::replace(&mut self.newer_told, true) {
            for note in catalogue.newer() {
                self.terminal.talk(&format!("note: {note}"))?;
            }
        }
        Ok(catalogue)
    }

    /// What this replica is.
    ///
    /// # Errors
    /// When the service fails.
    pub async fn about(&mut self) -> Result<AboutReply, CommandError> {
        Ok(self.service.about(AboutRequest {}).await?.into_inner())
    }

    /// The county as a whole, as the subject of an event.
    ///
    /// # Errors
    /// When the service fails.
    pub async fn county_subject(&mut self) -> Result<AppendSubject, CommandError> {
        Ok(AppendSubject {
            id: self.about().await?.county_id,
            r#type: SubjectType::County.into(),
        })
    }

    /// Answers a question; what whoever reads the answer has to know of this replica is said at
    /// once.
    ///
    /// # Errors
    /// When the service refuses it or fails.
    pub async fn ask(&mut self, question: Question) -> Result<AskReply, CommandError> {
        self.ask_and_keep(question, None).await
    }

    /// Plans kit moves, and tells what whoever reads the plan has to know of the replica.
    ///
    /// # Errors
    /// When the service refuses it or fails.
    pub async fn plan_kit_moves(
        &mut self,
        request: PlanKitMovesRequest,
    ) -> Result<PlanKitMovesReply, CommandError> {
        let reply = self.service.plan_kit_moves(request).await?.into_inner();
        for note in &reply.notes {
            self.terminal.talk(&format!("note: {}", clean(note)))?;
        }
        Ok(reply)
    }

    /// Looks ahead to what comes due, and tells what whoever reads it has to know of the replica.
    ///
    /// # Errors
    /// When the service refuses it or fails.
    pub async fn ahead(&mut self, request: AheadRequest) -> Result<AheadReply, CommandError> {
        let reply = self.service.ahead(request).await?.into_inner();
        for note in &reply.notes {
            self.terminal.talk(&format!("note: {}", clean(note)))?;
        }
        Ok(reply)
    }

    /// Looks for readings that are doubted.
    ///
    /// # Errors
    /// When the service refuses it or fails.
    pub async fn gauges(&mut self, request: GaugesRequest) -> Result<GaugesReply, CommandError> {
        let reply = self.service.gauges(request).await?.into_inner();
        self.tell_notes(&reply.notes)?;
        Ok(reply)
    }

    /// Ranks chambers by their leak.
    ///
    /// # Errors
    /// When the service refuses it or fails.
    pub async fn leaks(&mut self, request: LeaksRequest) -> Result<LeaksReply, CommandError> {
        let reply = self.service.leaks(request).await?.into_inner();
        self.tell_notes(&reply.notes)?;
        Ok(reply)
    }

    /// What keeps failing, and tells what whoever reads it has to know of the replica.
    ///
    /// # Errors
    /// When the service refuses it or fails.
    pub async fn keeps_failing(
        &mut self,
        request: KeepsFailingRequest,
    ) -> Result<KeepsFailingReply, CommandError> {
        let reply = self.service.keeps_failing(request).await?.into_inner();
        self.tell_notes(&reply.notes)?;
        Ok(reply)
    }

    fn tell_notes(&mut self, notes: &[String]) -> Result<(), CommandError> {
        for note in notes {
            self.terminal.talk(&format!("note: {}", clean(note)))?;
        }
        Ok(())
    }

    /// Answers a question, and writes the answer signed with its inputs to a file when one is given.
    ///
    /// # Errors
    /// When the service refuses it or fails, or the file is there or cannot be written.
    pub async fn ask_and_keep(
        &mut self,
        question: Question,
        signed: Option<&Path>,
    ) -> Result<AskReply, CommandError> {
        let request = AskRequest {
            question: Some(question),
            ..AskRequest::default()
        };
        self.ask_for(request, signed).await
    }

    /// The same, in the forms that the request wants.
    ///
    /// # Errors
    /// When the service refuses it or fails, or the file is there or cannot be written.
    pub async fn ask_for(
        &mut self,
        request: AskRequest,
        signed: Option<&Path>,
    ) -> Result<AskReply, CommandError> {
        let Some(file) = signed else {
            let reply = self.service.ask(request).await?.into_inner();
            for note in &reply.notes {
                self.terminal.talk(&format!("note: {}", clean(note)))?;
            }
            return Ok(reply);
        };
        let reply = self.service.ask_signed(request).await?.into_inner();
        write_new(file, &reply.file)?;
        let line = format!(
            "signed answer written to {}",
            sponson_show::clean(&file.display().to_string())
        );
        self.terminal.talk(&line)?;
        Ok(reply.reply.unwrap_or_default())
    }

    /// Signs and keeps one event, in the first version of its kind that knows all of its fields;
    /// gives its id once it is durable.
    ///
    /// # Errors
    /// When the service refuses it or fails.
    pub async fn record(
        &mut self,
        kind: Kind,
        message: &impl Message,
        record: Record,
    ) -> Result<Bytes, CommandError> {
        if let Some(original) = self.corrects.take() {
            return self.correct(&original, kind, message, record).await;
        }
        let event = self.append(kind, message, record).await?;
        self.events.push(event.clone());
        Ok(event)
    }

    async fn append(
        &mut self,
        kind: Kind,
        message: &impl Message,
        record: Record,
    ) -> Result<Bytes, CommandError> {
        let observed = record.observed.or(self.observed);
        if let Some(observed) = observed {
            self.not_to_come(&observed)?;
        }
        let payload = message.encode_to_vec();
        let request = AppendRequest {
            kind: (kind as i32).unsigned_abs(),
            kind_version: version::needed(kind, &payload),
            payload: payload.into(),
            subjects: record.subjects,
            observed,
            member: self.member.clone(),
            texts: record.texts,
            pictures: record.pictures,
        };
        let reply = self.service.append(request).await?.into_inner();
        if let Some(clock) = reply.clock.filter(|_| !self.clock_told) {
            // Once a command: a list of a hundred lines is one clock.
            self.clock_told = true;
            let offset = self.catalogue().await?.policy().utc_offset_min;
            self.terminal.talk(&clock_words::entry(&clock, offset))?;
        }
        Ok(reply.event_id)
    }

    /// What is recorded next restates an earlier entry, which is named so.
    ///
    /// # Errors
    /// When there is no such entry, it cannot be corrected, or the service fails.
    pub async fn set_corrects(&mut self, name: &str) -> Result<(), CommandError> {
        let line = crate::commands::log::find_event(name, self).await?;
        self.corrects = Some(Original::of(&line)?);
        Ok(())
    }

    /// What the earlier entry is about, when what is recorded next restates one about the same main
    /// thing: a correction is about the same, also where gear has been changed since.
    #[must_use]
    pub fn corrected(&self, subjects: &[AppendSubject]) -> Option<Vec<AppendSubject>> {
        let original = self.corrects.as_ref()?.subjects();
        (original.first() == subjects.first()).then(|| original.to_vec())
    }

    /// Records what was to be recorded as the correction of an original, and says what that does.
    /// Gives the name under which it is known.
    async fn correct(
        &mut self,
        original: &Original,
        kind: Kind,
        message: &impl Message,
        record: Record,
    ) -> Result<Bytes, CommandError> {
        let payload = message.encode_to_vec();
        let correction = original.restated(kind, payload, &record.subjects)?;
        let about = self.about().await?;
        let request = AppendRequest {
            kind: (Kind::Correction as i32).unsigned_abs(),
            kind_version: 1,
            payload: correction.encode_to_vec().into(),
            subjects: original.subjects().to_vec(),
            // It stands at the time of its original, whenever that was observed.
            observed: None,
            member: self.member.clone(),
            texts: record.texts,
            pictures: record.pictures,
        };
        let event = self.service.append(request).await?.into_inner().event_id;
        let says = original.says(&about);
        let line = format!("correction {}: {says}", short_event(&event));
        self.terminal.result(&line)?;
        Ok(original.known_as(&about, event))
    }

    /// What was observed lies in the past, as far as this device's clock may be off.
    fn not_to_come(&self, observed: &Observed) -> Result<(), CommandError> {
        let last = self.now_unix_ms.saturating_add(CLOCK_TOLERANCE_MS);
        if observed.to_unix_ms <= last {
            return Ok(());
        }
        Err(CommandError::Refused {
            field: "observed".to_owned(),
            value: format!("{} UTC", print::local(Moment(observed.to_unix_ms), 0)),
            limit: format!(
                "that is after {} UTC, which is now: correct it, or set the clock",
                print::local(Moment(self.now_unix_ms), 0)
            ),
        })
    }

    /// Says what was recorded, with the event's short name.
    ///
    /// # Errors
    /// When the terminal cannot be written to.
    pub fn recorded(&mut self, what: &str, event: &[u8]) -> Result<(), CommandError> {
        let line = format!("{what} (event {})", short_event(event));
        Ok(self.terminal.result(&line)?)
    }
}
