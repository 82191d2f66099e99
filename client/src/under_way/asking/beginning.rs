//! Begins a check at the terminal, or goes on with one that is there.

use sponson_link::local::aboard_of;
use sponson_proto::service::v1::{
    BeginRequest, CatalogueEntry, CheckUnderWay, EndUnderWayRequest, OnCraftRequest, UnderWayKind,
    UnderWayRequest, UnderWayStage,
};
use sponson_readiness::event::Extent;
use sponson_readiness::walk::{Aboard, walk};
use sponson_show::clean;
use sponson_show::units::print;

use super::{Ask, Prompt, Round};
use crate::catalogue::{Adopted, Catalogue};
use crate::error::CommandError;
use crate::session::Session;
use crate::under_way::finish::is_half_recorded;
use crate::under_way::form::fields_of;
use crate::under_way::line::{Line, lines};
use crate::under_way::words::kind_word;

/// A check that somebody wants to enter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Beginning {
    /// Number of the craft.
    pub craft: String,
    /// What it is to become.
    pub kind: UnderWayKind,
    /// It is entered from a paper sheet.
    pub from_paper: bool,
}

/// What a check is about.
struct About {
    catalogue: Catalogue,
    craft: CatalogueEntry,
    adopted: Adopted,
    aboard: Aboard,
}

impl About {
    async fn of(craft: &str, session: &mut Session<'_>) -> Result<Self, CommandError> {
        let catalogue = session.catalogue().await?;
        let craft = catalogue.craft(craft)?.clone();
        let adopted = catalogue.standard(&craft)?;
        let request = OnCraftRequest {
            craft: craft.id.clone(),
        };
        let on_craft = session.service().on_craft(request).await?.into_inner();
        Ok(Self {
            catalogue,
            craft,
            adopted,
            aboard: aboard_of(&on_craft),
        })
    }

    fn lines(&self, kind: UnderWayKind) -> Vec<Line> {
        let extent = match kind {
            UnderWayKind::Short => Extent::Short,
            UnderWayKind::Part => Extent::Part,
            UnderWayKind::Full | UnderWayKind::FittingOut | UnderWayKind::Unspecified => {
                Extent::Full
            }
        };
        let standard = &self.adopted.standard;
        let walk = walk(standard, &self.aboard, extent);
        lines(&walk, standard, &self.catalogue)
    }
}

/// Begins one, or goes on; none when what is there is left as it is.
pub(super) async fn begin<'r, 's, 'a>(
    beginning: &Beginning,
    session: &'r mut Session<'s>,
    ask: Ask<'a>,
) -> Result<Option<Round<'r, 's, 'a>>, CommandError> {
    let about = About::of(&beginning.craft, session).await?;
    let there = there(&about, beginning, session).await?;
    let (check, goes_on) = match there {
        Some(check) if is_half_recorded(&check) => (check, true),
        Some(check) => match choose(&about, &check, session, ask)? {
            Chosen::GoOn => (check, true),
            Chosen::Leave => return Ok(None),
            Chosen::Drop => {
                let request = EndUnderWayRequest {
                    id: check.id,
                    member: session.member().to_owned(),
                };
                session.service().end_under_way(request).await?;
                (new(&about, beginning, session).await?, false)
            }
        },
        None => (new(&about, beginning, session).await?, false),
    };
    let lines = about.lines(check.kind());
    let fields = fields_of(&check);
    let first = lines.iter().position(|line| !line.is_entered(&fields));
    let at = match (is_half_recorded(&check), goes_on) {
        (true, _) => lines.len(),
        (false, true) => first.unwrap_or(lines.len()),
        (false, false) => 0,
    };
    Ok(Some(Round {
        number: clean(&about.craft.number),
        session,
        ask,
        catalogue: about.catalogue,
        lines,
        check,
        at,
        stop: String::new(),
    }))
}

/// The newest check of the craft that is going on.
async fn there(
    about: &About,
    beginning: &Beginning,
    session: &mut Session<'_>,
) -> Result<Option<CheckUnderWay>, CommandError> {
    let request = UnderWayRequest::default();
    let reply = session.service().under_way(request).await?.into_inner();
    let mut checks = reply.checks.into_iter();
    Ok(checks.find(|check| {
        let going_on = [UnderWayStage::Open, UnderWayStage::Recording].contains(&check.stage());
        going_on && check.craft == about.craft.id && check.from_paper == beginning.from_paper
    }))
}

async fn new(
    about: &About,
    beginning: &Beginning,
    session: &mut Session<'_>,
) -> Result<CheckUnderWay, CommandError> {
    let request = BeginRequest {
        craft: about.craft.id.clone(),
        craft_number: about.craft.number.clone(),
        kind: beginning.kind as i32,
        from_paper: beginning.from_paper,
        member: session.member().to_owned(),
        standard: about.adopted.event.clone(),
        or_go_on: false,
    };
    let reply = session.service().begin(request).await?.into_inner();
    Ok(reply.check.unwrap_or_default())
}

/// What is done with a check that is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Chosen {
    GoOn,
    Drop,
    Leave,
}

fn choose(
    about: &About,
    check: &CheckUnderWay,
    session: &Session<'_>,
    ask: &mut (dyn FnMut(&Prompt<'_>) -> Result<String, CommandError> + Send),
) -> Result<Chosen, CommandError> {
    let lines = about.lines(check.kind());
    let fields = fields_of(check);
    let entered = lines.iter().filter(|line| line.is_entered(&fields)).count();
    let ago = session.now_unix_ms().saturating_sub(check.begun_unix_ms);
    let by = match check.begun_by.as_str() {
        "" => String::new(),
        member => format!(" by {}", clean(member)),
    };
    let prompt = format!(
        "A {} of {} was begun {}{by}, with {entered} of {} lines: go on?",
        kind_word(check.kind()),
        clean(&about.craft.number),
        print::ago(ago.max(0)),
        lines.len(),
    );
    let mut help = "yes, no, or drop to drop it and begin anew".to_owned();
    loop {
        let said = ask(&Prompt {
            prompt: &prompt,
            help: &help,
            typed: "",
        })?;
        match said.trim().to_lowercase().as_str() {
            "" | "y" | "yes" => return Ok(Chosen::GoOn),
            "n" | "no" => return Ok(Chosen::Leave),
            "drop" => return Ok(Chosen::Drop),
            other => help = format!("'{}' is none of yes, no, drop", clean(other)),
        }
    }
}
