//! The first line of everything, and what whoever reads it has to know of the count.

use sponson_readiness::history::History;
use sponson_readiness::ids::SubjectId;
use sponson_readiness::keeps_failing::{Group, KeepsFailing, Per};

use crate::failing::figure::Number;
use crate::failing::said;
use crate::units::print;

/// How many groups stand out, and how much waits for the lead.
pub(super) fn summary(found: &KeepsFailing, groups: &[&Group], waiting: usize) -> String {
    let out = groups
        .iter()
        .filter(|it| said::stands_out(it.said, &it.trend))
        .count();
    let said = match (groups.len(), out) {
        (0, _) => "No fault was counted.".to_owned(),
        (_, 0) => format!(
            "Nothing fails more often than chance explains: {} looked at.",
            counted(found.looked.groups, "group")
        ),
        (_, 1) => format!(
            "1 of {} looked at stands out.",
            counted(found.looked.groups, "group")
        ),
        (_, out) => format!(
            "{out} of {} looked at stand out.",
            counted(found.looked.groups, "group")
        ),
    };
    match waiting {
        0 => said,
        1 => format!("{said} 1 thing waits for the lead to decide."),
        waiting => format!("{said} {waiting} things wait for the lead to decide."),
    }
}

/// For what figures are told, and what their intervals hold.
pub(super) fn figures_text(found: &KeepsFailing) -> String {
    let per = match found.asked.per {
        Per::Days => "for each craft, piece of gear or repair and a year of 365.25 days",
        Per::EngineHours => "for 100 engine hours",
        Per::Uses => "for 100 uses",
    };
    let level = hundredths(found.settings.interval_ppm);
    format!("Told {per}. Of such intervals {level} in 100 hold the true figure.")
}

/// What stayed out of the count, and how false alarms are held down.
pub(super) fn notes(
    found: &KeepsFailing,
    history: &History,
    craft: Option<SubjectId>,
) -> Vec<String> {
    let (counted_, looked) = (&found.counted, found.looked);
    let some = |number: u32, text: &str| (number > 0).then(|| text.to_owned());
    let once = u32::try_from(counted_.once.len()).unwrap_or(u32::MAX);
    let withdrawn = u32::try_from(history.left_out.withdrawn.len()).unwrap_or(u32::MAX);
    let alarms = format!(
        "{} looked at, {} of them with a rest to set them against. So that chance does not shout, of the \
         groups said to be apart from the rest at most {} in 100 are so by chance (Benjamini and Hochberg).",
        counted(looked.groups, "group"),
        looked.compared,
        hundredths(looked.rate_ppm),
    );
    let all = [
        craft.map(|_| {
            "Shown are the groups in which this craft has a part; their figures are those of the whole county."
                .to_owned()
        }),
        Some(alarms),
        some(
            counted_.unconfirmed,
            &format!(
                "{} left out: nobody vouches for it.",
                counted(counted_.unconfirmed, "fault")
            ),
        ),
        some(
            once,
            &format!(
                "{} left out: found twice at one place, and signed off as one.",
                counted(once, "fault")
            ),
        ),
        some(
            counted_.not_watched,
            &format!(
                "{} left out: found while nothing says how much it was used, or outside of the asked time.",
                counted(counted_.not_watched, "fault")
            ),
        ),
        some(
            counted_.units_not_watched,
            &format!(
                "{} of craft, gear or repair without any {}: they count nothing here.",
                counted(counted_.units_not_watched, "piece"),
                super::statistics::exposure_unit(found.asked.per)
            ),
        ),
        some(
            withdrawn,
            &format!("{} withdrawn, and out.", counted(withdrawn, "entry")),
        ),
        Some(
            "What is proposed meets a rule in the table [recurring] of the county's policy. The lead decides."
                .to_owned(),
        ),
    ];
    all.into_iter().flatten().collect()
}

fn counted(number: u32, noun: &str) -> String {
    print::count(i64::from(number), noun)
}

fn hundredths(ppm: u32) -> Number {
    Number::parts(u64::from(ppm), 10_000)
}
