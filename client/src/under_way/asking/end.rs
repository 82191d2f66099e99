//! The end of a check at the terminal: what was left out, recorded or left, and what it means.

use bytes::Bytes;
use sponson_proto::answer::v1::Question;
use sponson_proto::event::v1::Kind;
use sponson_proto::service::v1::{CheckUnderWay, RecordUnderWayRequest, UnderWayKind};
use sponson_show::units::print;

use super::{Next, Prompt, Round};
use crate::describe::describe;
use crate::error::{CommandError, ServiceError};
use crate::under_way::finish::{self, Planned, is_half_recorded};
use crate::under_way::form::{Problem, fields_of};
use crate::under_way::line::left_out;
use crate::under_way::words::wrapped;

impl Round<'_, '_, '_> {
    /// What to do at the end of the walk.
    pub(super) async fn end(&mut self) -> Result<Next, CommandError> {
        self.refresh().await?;
        if is_half_recorded(&self.check) {
            let line = "recording it was cut short: it goes on";
            self.session.terminal().talk(line)?;
            return self.record(None).await;
        }
        let member = self.session.member().to_owned();
        let planned = match finish::plan(&self.check, &member, &self.catalogue, self.now()) {
            Ok(planned) => planned,
            Err(problems) => return self.back_to(&problems),
        };
        if self.check.kind() != UnderWayKind::Part {
            let left = left_out(&self.lines, &fields_of(&self.check));
            if !left.is_empty() {
                let title = format!("not in this check ({}):", left.len());
                let text = wrapped(&title, &left);
                self.session.terminal().talk(&text)?;
            }
        }
        let said = (self.ask)(&Prompt {
            prompt: &format!("Record this check of {}?", self.number),
            help: "yes records it; no leaves it under way; < goes back",
            typed: "",
        })?;
        match said.trim().to_lowercase().as_str() {
            "<" => Ok(Next::Back),
            "y" | "yes" | "record" => self.record(Some(planned)).await,
            "n" | "no" => {
                let line = format!("left under way: go on with sponson check '{}'", self.number);
                self.session.terminal().talk(&line)?;
                Ok(Next::Ended)
            }
            _ => Ok(Next::SameAgain),
        }
    }

    /// Says what is wrong, and goes to the line of the first of it.
    fn back_to(&mut self, problems: &[Problem]) -> Result<Next, CommandError> {
        for problem in problems {
            let line = format!("{}: {}", problem.field, problem.why);
            self.session.terminal().talk(&line)?;
        }
        let of_problem = problems.iter().find_map(|problem| {
            let mut lines = self.lines.iter();
            lines.position(|line| line.names(0).contains(&problem.field))
        });
        // Without a line of its own it is set right at the last one, or elsewhere.
        self.at = of_problem.unwrap_or(self.lines.len().saturating_sub(1));
        Ok(Next::SameAgain)
    }

    async fn record(&mut self, planned: Option<Planned>) -> Result<Next, CommandError> {
        let events = planned.map(|planned| planned.events).unwrap_or_default();
        let request = RecordUnderWayRequest {
            id: self.check.id.clone(),
            member: self.session.member().to_owned(),
            entries: self.check.entries,
            events: events.clone(),
        };
        let reply = match self.session.service().record_under_way(request).await {
            Ok(reply) => reply.into_inner(),
            Err(status) => {
                let error = ServiceError::from(status);
                if error.reason() == "CHECK_CHANGED" {
                    self.session.terminal().talk(&error.to_string())?;
                    return Ok(Next::SameAgain);
                }
                return Err(error.into());
            }
        };
        let payloads: Vec<Bytes> = events.into_iter().map(|event| event.payload).collect();
        self.tell(&reply.check.unwrap_or_default(), &payloads)
            .await?;
        Ok(Next::Ended)
    }

    /// What was recorded, what the craft is now, and whether the county has it.
    async fn tell(
        &mut self,
        check: &CheckUnderWay,
        payloads: &[Bytes],
    ) -> Result<(), CommandError> {
        for (place, event) in check.recorded.iter().enumerate() {
            let kind = i32::try_from(event.kind).ok();
            let kind = kind
                .and_then(|kind| Kind::try_from(kind).ok())
                .unwrap_or_default();
            let what = match payloads.get(place) {
                Some(payload) => describe(kind, payload, &self.catalogue),
                None => "recorded".to_owned(),
            };
            let line = format!("{}: {what}", self.number);
            self.session.recorded(&line, &event.event_id)?;
        }
        let craft = self.catalogue.by_id(&self.check.craft);
        let craft = craft
            .map(|craft| self.catalogue.asked(craft))
            .unwrap_or_default();
        let question = Question {
            craft,
            ..Question::default()
        };
        let answer = self.session.ask(question).await?;
        self.session
            .terminal()
            .result(&format!("\n{}", answer.text.trim_end()))?;
        let waiting = self.session.about().await?.waiting;
        if waiting > 0 {
            let waiting = i64::try_from(waiting).unwrap_or(i64::MAX);
            let line = format!("{} not at the county yet", print::count(waiting, "entry"));
            self.session.terminal().talk(&line)?;
        }
        Ok(())
    }
}
