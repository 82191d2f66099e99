//! Why a craft is limited or kept back, on the page of the whole county: what is alike in one
//! line, what is only noted left out, and no more lines than somebody reads at night.

use sponson_readiness::answer::{
    Action, CraftAnswer, Effect, Finding, Limit, Readiness, Rule, Subject,
};
use sponson_readiness::moment::Moment;

use crate::context::Context;
use crate::sentence::{finding_text, limit_text, subject_text, to_do_short, words_of};
use crate::units::print;

/// Lines for one craft: fifteen craft with half of these fill two screens.
const REASONS_MAX: usize = 6;

/// Names in one line.
const NAMES_MAX: usize = 7;

/// Why, each in one sentence with what to do, the worst first.
pub(crate) fn reasons(craft: &CraftAnswer, as_of: Moment, ctx: &Context) -> Vec<String> {
    let limits = bare_limits(craft).map(|limit| limit_text(limit, ctx));
    let mut all: Vec<String> = limits.collect();
    let groups = groups(craft);
    all.extend(groups.iter().map(|group| sentence(group, as_of, ctx)));
    if all.len() > REASONS_MAX {
        let more = all.len() - REASONS_MAX + 1;
        all.truncate(REASONS_MAX - 1);
        all.push(format!("and {more} more: ask about this craft alone"));
    }
    all
}

/// Limits that no finding explains.
fn bare_limits(craft: &CraftAnswer) -> impl Iterator<Item = &Limit> {
    craft.limits.iter().filter(|limit| {
        let effect = Effect::Limit((*limit).clone());
        !craft.why.iter().any(|finding| finding.effect == effect)
    })
}

/// Whether a finding belongs on the page of the whole county: what it only notes is for the report
/// on one craft, save a thing said to be in two places, which explains what lacks.
/// What is owed once the craft is back is told where nothing else is.
fn tells(craft: &CraftAnswer, finding: &Finding) -> bool {
    let readiness = craft.readiness;
    let at_home = |limit: &Limit| matches!(limit, Limit::LetOutAtHome(_));
    match &finding.effect {
        Effect::Note => {
            finding.rule == Rule::GearInTwoPlaces && readiness >= Readiness::ReadyWithLimits
        }
        Effect::Limit(limit) => {
            let only = craft.limits.iter().all(at_home);
            readiness == Readiness::ReadyWithLimits && (only || !at_home(limit))
        }
        Effect::Unproven | Effect::NotReady => true,
    }
}

/// Findings that one line can say, in the order of their first.
fn groups(craft: &CraftAnswer) -> Vec<Vec<&Finding>> {
    let mut groups: Vec<Vec<&Finding>> = Vec::new();
    let told = craft.why.iter();
    for finding in told.filter(|one| tells(craft, one)) {
        let alike = |group: &&mut Vec<&Finding>| {
            let first = group.first();
            first.is_some_and(|first| go_together(first, finding))
        };
        match groups.iter_mut().find(alike) {
            Some(group) => group.push(finding),
            None => groups.push(vec![finding]),
        }
    }
    groups
}

fn go_together(one: &Finding, other: &Finding) -> bool {
    match (&one.effect, &other.effect) {
        (Effect::Limit(Limit::DoSoon(_)), Effect::Limit(Limit::DoSoon(_))) => true,
        (effect, same) => {
            let alike = match (effect, same) {
                (Effect::Limit(limit), Effect::Limit(same)) => limit.id() == same.id(),
                (effect, same) => effect == same,
            };
            alike && one.rule == other.rule && title(one).is_some() && title(one) == title(other)
        }
    }
}

/// What is said once for several findings of one rule; none for a rule that is said one by one.
fn title(finding: &Finding) -> Option<&'static str> {
    match (finding.rule, &finding.effect) {
        (Rule::PressureLow, _) if has_leak(finding) => None,
        (Rule::PressureLow, Effect::Limit(Limit::TopUp(_))) => {
            Some("soft in the cold; before power is used, top up now, where it stands")
        }
        (Rule::PressureLow, Effect::Limit(Limit::NoPower)) => {
            Some("soft in the cold; no power until topped up, now, where it stands")
        }
        (Rule::PressureLow, Effect::Limit(Limit::NotFor(_))) => {
            Some("soft in the cold; not for swiftwater until topped up, now, where it stands")
        }
        (Rule::PressureLow, Effect::NotReady) => {
            Some("soft in the cold, and nothing aboard brings it up; needed, where it stands")
        }
        (Rule::PressureLow, Effect::Unproven) => {
            Some("soft in the cold, and the pump was counted too long ago; needed")
        }
        (Rule::PressureHigh, Effect::Limit(Limit::LetOut(_))) if brings_to(finding).is_some() => {
            Some("too hard when it warms; let air out now, where it stands")
        }
        (Rule::PressureHigh, Effect::Limit(Limit::LetOut(_))) => {
            Some("hard in the air, soft in the water; read the gauge at the launch")
        }
        (Rule::PressureHighAtHome, Effect::Limit(Limit::LetOut(_))) => {
            Some("too hard where it stands; let air out now")
        }
        (Rule::PressureHighAtHome, Effect::Limit(Limit::LetOutAtHome(_))) => {
            Some("back in the bay, let air out")
        }
        (Rule::PressureJoined, _) => {
            Some("read with the valves between chambers open; shut them and read each")
        }
        (Rule::PressureNotRead, _) => Some("gauge not read, or too long ago"),
        (Rule::PressureAfterAir, _) => Some("air added and the gauge not read since"),
        (Rule::KitNotCounted, _) => Some("never counted"),
        (Rule::KitStale, _) => Some("counted too long ago"),
        (Rule::LineNotAnswered, _) => Some("not answered, or too long ago"),
        (Rule::InspectionNeverDone, _) => Some("never recorded as done"),
        _ => None,
    }
}

fn is_air(finding: &Finding) -> bool {
    matches!(
        finding.rule,
        Rule::PressureLow | Rule::PressureHigh | Rule::PressureHighAtHome
    )
}

fn has_leak(finding: &Finding) -> bool {
    let mut to_do = finding.to_do.iter();
    to_do.any(|one| matches!(one.action, Action::FindLeak(_)))
}

fn sentence(group: &[&Finding], as_of: Moment, ctx: &Context) -> String {
    let Some(first) = group.first() else {
        return String::new();
    };
    if let Effect::Limit(Limit::DoSoon(_)) = first.effect {
        let texts = group.iter().map(|one| finding_text(one, as_of, ctx));
        return format!("may go; see to soon: {}", some(&texts.collect::<Vec<_>>()));
    }
    match title(first) {
        Some(title) if group.len() > 1 || is_air(first) => {
            format!("{title}: {}{}", some(&names(group, ctx)), minutes(group))
        }
        Some(_) | None => alone(first, as_of, ctx),
    }
}

/// The subjects; those that are to be brought to one gauge pressure together.
fn names(group: &[&Finding], ctx: &Context) -> Vec<String> {
    let same = |one: &&Finding, other: &&Finding| {
        brings_to(one).is_some() && brings_to(one) == brings_to(other)
    };
    let together = group.chunk_by(same).map(|chunk| {
        let names: Vec<String> = chunk.iter().map(|one| name(one, ctx)).collect();
        let names = names.join(", ");
        match chunk.first().and_then(|one| brings_to(one)) {
            Some(pa) => format!("{names} to {}", print::pressure(pa, ctx.units)),
            None => names,
        }
    });
    together.collect()
}

/// One finding: what it limits, what was found, what to do.
fn alone(finding: &Finding, as_of: Moment, ctx: &Context) -> String {
    let text = finding_text(finding, as_of, ctx);
    let text = match &finding.effect {
        Effect::Limit(limit) => format!("{}: {text}", limit_text(limit, ctx)),
        Effect::Note | Effect::Unproven | Effect::NotReady => text,
    };
    let to_do = finding.to_do.iter();
    let to_do: Vec<String> = to_do
        .map(|one| to_do_short(one, &finding.subject, ctx))
        .collect();
    if to_do.is_empty() {
        return text;
    }
    format!("{text}. To do: {}", to_do.join("; "))
}

fn name(finding: &Finding, ctx: &Context) -> String {
    if let Subject::Part(id, _) = &finding.subject {
        words_of(id.as_str())
    } else {
        subject_text(&finding.subject, ctx)
    }
}

fn brings_to(finding: &Finding) -> Option<i64> {
    finding.to_do.iter().find_map(|one| {
        if let Action::BringTo(_, pa) | Action::BringToAtHome(_, pa) = one.action {
            Some(pa)
        } else {
            None
        }
    })
}

fn some(names: &[String]) -> String {
    let more = names.len().saturating_sub(NAMES_MAX);
    let shown: Vec<&str> = names.iter().take(NAMES_MAX).map(String::as_str).collect();
    let shown = shown.join("; ");
    match more {
        0 => shown,
        more => format!("{shown}; and {more} more"),
    }
}

/// ` (15 min)`, when every one says how long it takes.
fn minutes(group: &[&Finding]) -> String {
    let all = group.iter().flat_map(|one| &one.to_do);
    match all.map(|one| one.minutes).sum::<Option<u32>>() {
        Some(0) | None => String::new(),
        Some(minutes) => format!(" ({minutes} min)"),
    }
}
