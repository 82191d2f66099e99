//! A check at the terminal, line by line as one walks round the craft: begun or gone on with, one
//! line back, to the end, recorded. Every line that is typed is kept by the local service before
//! the next one is asked.
//!
//! Who asks is given: a person at the terminal in the program, lines of text in a test.

mod beginning;
mod end;
mod prompt;

use sponson_proto::service::v1::{
    AppendRequest, CheckUnderWay, EnterRequest, FieldTyped, TryCheckReply, TryCheckRequest,
    UnderWayRequest,
};
use sponson_readiness::moment::Moment;
use sponson_show::clean;
use sponson_show::terminal::Exit;
use sponson_show::units::print;

pub use beginning::Beginning;
pub(crate) use prompt::broken_off;
pub use prompt::{Ask, Prompt, at_the_terminal};

use super::fields::{FaultField, FieldName};
use super::finish;
use super::form::{fields_of, try_fields};
use super::line::{Fills, Line, text, typed};
use crate::catalogue::Catalogue;
use crate::error::CommandError;
use crate::session::Session;

/// Asks for a check, and records it when that is wanted.
///
/// # Errors
/// When the craft or its standard is not known, the person breaks off, or the service refuses.
pub async fn ask_round(
    beginning: &Beginning,
    session: &mut Session<'_>,
    ask: Ask<'_>,
) -> Result<Exit, CommandError> {
    let Some(mut round) = beginning::begin(beginning, session, ask).await? else {
        return Ok(Exit::Fine);
    };
    match round.go().await {
        Err(CommandError::BrokenOff) => Err(CommandError::LeftUnderWay {
            craft: round.number,
        }),
        ended => ended,
    }
}

/// A check that is being asked.
struct Round<'r, 's, 'a> {
    session: &'r mut Session<'s>,
    ask: Ask<'a>,
    catalogue: Catalogue,
    lines: Vec<Line>,
    check: CheckUnderWay,
    /// Number of the craft, as shown.
    number: String,
    at: usize,
    stop: String,
}

/// Where to go from a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Next {
    SameAgain,
    Following,
    Back,
    ToTheEnd,
    Ended,
}

impl Round<'_, '_, '_> {
    async fn go(&mut self) -> Result<Exit, CommandError> {
        loop {
            let next = match self.lines.get(self.at).cloned() {
                Some(line) => self.ask_line(&line).await?,
                None => self.end().await?,
            };
            self.at = match next {
                Next::SameAgain => self.at,
                Next::Following => self.at + 1,
                Next::Back => self.at.saturating_sub(1),
                Next::ToTheEnd => self.lines.len(),
                Next::Ended => return Ok(Exit::Fine),
            };
        }
    }

    async fn ask_line(&mut self, line: &Line) -> Result<Next, CommandError> {
        self.refresh().await?;
        if self.stop != line.stop {
            self.stop.clone_from(&line.stop);
            self.session.terminal().talk(&format!("\n{}", line.stop))?;
        }
        let stands = text(line, &fields_of(&self.check));
        let fault = self.next_fault();
        let (mut help, mut shown) = (self.help(line), stands.clone());
        loop {
            let said = (self.ask)(&Prompt {
                prompt: &line.asked,
                help: &help,
                typed: &shown,
            })?;
            let said = said.trim().to_owned();
            match said.as_str() {
                "<" => return Ok(Next::Back),
                ">" => return Ok(Next::ToTheEnd),
                same if same == stands => return Ok(Next::Following),
                _ => {}
            }
            match self.keep(line, &said, fault).await? {
                None if line.fills == Fills::Faults => return Ok(Next::SameAgain),
                None => return Ok(Next::Following),
                Some(why) => (help, shown) = (why, said),
            }
        }
    }

    /// Keeps a line; gives what is wrong with it instead, or what is asked back.
    async fn keep(
        &mut self,
        line: &Line,
        said: &str,
        fault: u32,
    ) -> Result<Option<String>, CommandError> {
        let fields = match said {
            "" => Ok(line
                .names(fault)
                .into_iter()
                .map(|name| (name, String::new()))
                .collect()),
            said => typed(line, said, fault),
        };
        let fields = match fields {
            Ok(fields) => fields,
            Err(why) => return Ok(Some(why)),
        };
        let fields = fields.into_iter().map(|(name, value)| FieldTyped {
            name: name.to_string(),
            value,
        });
        let fields: Vec<FieldTyped> = fields.collect();
        let tried = try_fields(&self.check, &fields, &self.catalogue, self.now());
        if let Some(refused) = tried.refused.into_iter().next() {
            let stand_by = refused
                .stand_by
                .map_or("", |_| "; end with ! to stand by it");
            return Ok(Some(refused.why + stand_by));
        }
        self.enter(tried.keep).await?;
        self.ask_back(line, fault).await?;
        Ok(None)
    }

    async fn enter(&mut self, fields: Vec<FieldTyped>) -> Result<(), CommandError> {
        let request = EnterRequest {
            id: self.check.id.clone(),
            member: self.session.member().to_owned(),
            fields,
        };
        let reply = self.session.service().enter(request).await?.into_inner();
        self.check = reply.check.unwrap_or_default();
        Ok(())
    }

    /// Takes in what others entered meanwhile.
    async fn refresh(&mut self) -> Result<(), CommandError> {
        let request = UnderWayRequest {
            id: self.check.id.clone(),
            ..UnderWayRequest::default()
        };
        let reply = self
            .session
            .service()
            .under_way(request)
            .await?
            .into_inner();
        if let Some(check) = reply.checks.into_iter().next() {
            self.check = check;
        }
        Ok(())
    }

    /// Says what a value means at the launch, and asks back what hardly makes sense.
    async fn ask_back(&mut self, line: &Line, fault: u32) -> Result<(), CommandError> {
        let names = line.names(fault).into_iter();
        let names: Vec<String> = names.map(|name| name.to_string()).collect();
        let Some(tried) = self.tried().await? else {
            return Ok(());
        };
        let figures = tried
            .figures
            .iter()
            .filter(|figure| names.contains(&figure.field));
        for figure in figures {
            self.session
                .terminal()
                .talk(&format!("  {}", clean(&figure.words)))?;
        }
        let asked = tried
            .asked
            .into_iter()
            .filter(|asked| names.contains(&asked.field));
        for asked in asked {
            let said = (self.ask)(&Prompt {
                prompt: &format!("{}: is it so?", clean(&asked.words)),
                help: "yes stands by it; Enter alone leaves it as it is: < goes back then",
                typed: "",
            })?;
            if super::typed::yes(&said) == Some(true) {
                let name = asked.affirmed_by;
                let value = "yes".to_owned();
                self.enter(vec![FieldTyped { name, value }]).await?;
            }
        }
        Ok(())
    }

    /// What recording it now would give; none while it cannot be recorded.
    async fn tried(&mut self) -> Result<Option<TryCheckReply>, CommandError> {
        let member = self.session.member().to_owned();
        let Ok(planned) = finish::plan(&self.check, &member, &self.catalogue, self.now()) else {
            return Ok(None);
        };
        let events = planned.events.into_iter().map(|event| AppendRequest {
            texts: Vec::new(),
            ..event
        });
        let affirmed = fields_of(&self.check)
            .into_iter()
            .filter_map(|(name, value)| {
                let stood_by = name.is_affirmed() && super::typed::yes(&value) == Some(true);
                stood_by.then(|| name.to_string())
            });
        let request = TryCheckRequest {
            craft: self.check.craft.clone(),
            events: events.collect(),
            question: None,
            affirmed: affirmed.collect(),
        };
        let tried = self.session.service().try_check(request).await?;
        Ok(Some(tried.into_inner()))
    }

    /// How to type a line, and what another member entered there.
    fn help(&self, line: &Line) -> String {
        let names: Vec<String> = line.names(0).iter().map(ToString::to_string).collect();
        let mut fields = self.check.fields.iter();
        let other = fields
            .find(|field| names.contains(&field.name) && field.member != self.session.member());
        match other.filter(|_| line.fills != Fills::Faults) {
            None => line.help(),
            Some(field) => {
                let ago = self.now().0.saturating_sub(field.unix_ms).max(0);
                let ago = print::ago(ago);
                format!(
                    "{} entered this {ago}; {}",
                    clean(&field.member),
                    line.help()
                )
            }
        }
    }

    /// A number that no fault of this check has.
    fn next_fault(&self) -> u32 {
        let fields = fields_of(&self.check);
        let taken = |number: &u32| {
            let part = FieldName::Fault(*number, FaultField::Part);
            fields.contains_key(&part)
        };
        (0..).find(|number| !taken(number)).unwrap_or(0)
    }

    /// Now, never before what was entered last.
    fn now(&self) -> Moment {
        Moment(self.session.now_unix_ms().max(self.check.changed_unix_ms))
    }
}
