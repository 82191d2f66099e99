//! What the page of a check under way is made of: the walk, what was entered, and what the engine says
//! of it as if it were recorded now.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use sponson_link::local::TriedTold;
use sponson_proto::event::v1::SubjectType;
use sponson_proto::service::v1::{
    AppendRequest, CheckUnderWay, FieldEntered, TryCheckRequest, UnderWayKind,
};
use sponson_readiness::event::Extent;
use sponson_readiness::ids::SubjectId;
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::Standard;
use sponson_readiness::walk::{Walk, WalkLine, walk};
use sponson_show::Context;
use sponson_show::html::station::round::{
    AskedLine, Entry, Refused, Round, RoundKind, line_of_field,
};

use crate::catalogue::Catalogue;
use crate::pages::state::{NotShown, Pages};
use crate::under_way::finish::{Planned, plan};
use crate::under_way::form::{Problem, fields_of};
use crate::web::visit::Visit;

/// Numbers that faults of a check can have: 0 to 99.
const FAULTS: u32 = 100;

/// A check under way with all that its page needs.
pub(super) struct Made {
    pub(super) check: CheckUnderWay,
    pub(super) known: Arc<Catalogue>,
    pub(super) standard: Standard,
    pub(super) member: Option<String>,
    /// What it becomes were it recorded now, or what is wrong in it.
    pub(super) planned: Result<Planned, Vec<Problem>>,
    /// What the engine says of that; else why nothing can be said.
    pub(super) tried: Result<TriedTold, String>,
    pub(super) refused: BTreeMap<String, Refused>,
    pub(super) walk: Walk,
    craft_id: SubjectId,
    token: Option<String>,
    names: BTreeMap<SubjectId, String>,
    gauges: Vec<String>,
    sealed: BTreeSet<SubjectId>,
    fields: BTreeMap<String, Entry>,
    figures: BTreeMap<String, Vec<String>>,
    asked: Vec<AskedLine>,
    ctx: Context,
}

impl Made {
    /// Makes it of a check that goes on.
    ///
    /// # Errors
    /// When the craft has no boat standard here, or the log is closed.
    pub(super) async fn of(
        pages: &Pages,
        visit: &Visit,
        check: CheckUnderWay,
    ) -> Result<Self, NotShown> {
        let known = pages.known().await?;
        let of = pages.door.walk_of(&check.craft).await?;
        let member = visit.member();
        let now = Moment(pages.door.now().unix_ms.max(check.changed_unix_ms));
        let planned = plan(&check, member.as_deref().unwrap_or(""), &known, now);
        let tried = tried(pages, &check, &planned).await;
        let walk = walk(&of.standard, &of.aboard, extent(check.kind()));
        let bags = of.aboard.bags.iter().map(|it| (it.id, it.number.clone()));
        let gear = of.aboard.gear.iter().map(|it| (it.id, it.number.clone()));
        let ctx = tried
            .as_ref()
            .map_or_else(|_| of_policy(&known), |told| told.ctx.clone());
        Ok(Self {
            names: bags.chain(gear).collect(),
            gauges: gauges(&known),
            sealed: sealed(&walk),
            fields: entries(&check.fields),
            figures: figures(&tried),
            asked: asked(&tried),
            craft_id: craft_id(&check),
            token: visit.form_token.clone().filter(|_| member.is_some()),
            refused: BTreeMap::new(),
            standard: of.standard,
            check,
            known,
            member,
            planned,
            tried,
            walk,
            ctx,
        })
    }

    pub(super) fn round(&self) -> Round<'_> {
        Round {
            id: &self.check.id,
            craft: &self.check.craft_number,
            craft_id: self.craft_id,
            kind: match self.check.kind() {
                UnderWayKind::Full | UnderWayKind::Unspecified => RoundKind::Full,
                UnderWayKind::Short => RoundKind::Short,
                UnderWayKind::Part => RoundKind::Part,
                UnderWayKind::FittingOut => RoundKind::FittingOut,
            },
            from_paper: self.check.from_paper,
            begun: (&self.check.begun_by, Moment(self.check.begun_unix_ms)),
            member: self.member.as_deref().unwrap_or(""),
            token: self.token.as_deref(),
            standard: &self.standard,
            walk: &self.walk,
            names: &self.names,
            gauges: &self.gauges,
            sealed: &self.sealed,
            fields: &self.fields,
            entries: self.check.entries,
            refused: &self.refused,
            figures: &self.figures,
            asked: &self.asked,
            new_fault: self.new_fault(),
            ctx: &self.ctx,
        }
    }

    /// A number that no fault of this check has. It begins at another one for each member, so that
    /// two who find one at the same time find two.
    fn new_fault(&self) -> u32 {
        let member = self.member.as_deref().unwrap_or("").bytes();
        let begin = member.fold(0, |sum: u32, byte| (sum * 31 + u32::from(byte)) % FAULTS);
        let taken = |number: u32| {
            let name = format!("fault.{number}.");
            self.fields.keys().any(|field| field.starts_with(&name))
        };
        let mut numbers = (0..FAULTS).map(|step| (begin + step) % FAULTS);
        numbers.find(|number| !taken(*number)).unwrap_or(begin)
    }
}

/// How far a check of a kind goes.
const fn extent(kind: UnderWayKind) -> Extent {
    match kind {
        UnderWayKind::Short => Extent::Short,
        UnderWayKind::Part => Extent::Part,
        UnderWayKind::Full | UnderWayKind::FittingOut | UnderWayKind::Unspecified => Extent::Full,
    }
}

/// What the engine says were it recorded now. While one field is wrong nothing is said.
async fn tried(
    pages: &Pages,
    check: &CheckUnderWay,
    planned: &Result<Planned, Vec<Problem>>,
) -> Result<TriedTold, String> {
    let planned = planned.as_ref().map_err(|wrong| said(wrong))?;
    let events = planned.events.iter().map(|event| AppendRequest {
        texts: Vec::new(),
        ..event.clone()
    });
    let affirmed = fields_of(check).into_iter().filter_map(|(name, value)| {
        let is_yes = crate::under_way::typed::yes(&value) == Some(true);
        (name.is_affirmed() && is_yes).then(|| name.to_string())
    });
    let request = TryCheckRequest {
        craft: check.craft.clone(),
        events: events.collect(),
        question: None,
        affirmed: affirmed.collect(),
    };
    let tried = pages.door.try_check(request).await;
    tried.map_err(|refusal| format!("{}: {}", refusal.what(), refusal.to_do()))
}

fn said(wrong: &[Problem]) -> String {
    let said = wrong
        .iter()
        .map(|one| format!("{}: {}", one.field, one.why));
    said.collect::<Vec<_>>().join("; ")
}

fn of_policy(known: &Catalogue) -> Context {
    Context {
        units: known.policy().units,
        utc_offset_min: known.policy().utc_offset_min,
        ..Context::default()
    }
}

fn gauges(known: &Catalogue) -> Vec<String> {
    let gear = known
        .entries()
        .iter()
        .filter(|it| it.r#type() == SubjectType::Gear);
    let all = gear
        .filter(|it| it.gear == "gauge")
        .map(|it| it.number.clone());
    let all: BTreeSet<String> = all.collect();
    all.into_iter().collect()
}

fn sealed(walk: &Walk) -> BTreeSet<SubjectId> {
    let seals = walk.lines().filter_map(|line| {
        if let WalkLine::Seal { bag } = line {
            Some(*bag)
        } else {
            None
        }
    });
    seals.collect()
}

fn entries(fields: &[FieldEntered]) -> BTreeMap<String, Entry> {
    let entry = |field: &FieldEntered| {
        let before = (field.before.clone(), field.before_member.clone());
        let entry = Entry {
            text: field.value.clone(),
            who: field.member.clone(),
            at: Moment(field.unix_ms),
            before: Some(before).filter(|(text, _)| !text.is_empty()),
        };
        (field.name.clone(), entry)
    };
    fields.iter().map(entry).collect()
}

fn figures(tried: &Result<TriedTold, String>) -> BTreeMap<String, Vec<String>> {
    let mut figures: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for line in tried.iter().flat_map(|told| &told.figures) {
        let of = line_of_field(&line.field).to_owned();
        figures.entry(of).or_default().push(line.words.clone());
    }
    figures
}

fn asked(tried: &Result<TriedTold, String>) -> Vec<AskedLine> {
    let asked = tried.iter().flat_map(|told| &told.asked);
    let line = |one: &sponson_link::local::AskedLine| AskedLine {
        field: one.field.clone(),
        text: one.words.clone(),
        affirm: Some(one.affirmed_by.clone()).filter(|name| !name.is_empty()),
    };
    asked.map(line).collect()
}

fn craft_id(check: &CheckUnderWay) -> SubjectId {
    let bytes: [u8; 16] = check.craft.as_ref().try_into().unwrap_or_default();
    SubjectId::from_bytes(bytes)
}
