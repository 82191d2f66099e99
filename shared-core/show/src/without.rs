//! What an answer is given without, in words.

use std::collections::BTreeMap;

use sponson_readiness::answer::CountyAnswer;
use sponson_readiness::ids::SubjectId;
use sponson_readiness::without::{KitAway, TakenAway, TakenBy};

use crate::clean::clean;
use crate::context::Context;
use crate::sentence::words_of;

/// What the answer takes as not there, in one sentence; none when nothing is.
#[must_use]
pub fn as_if(answer: &CountyAnswer, ctx: &Context) -> Option<String> {
    let without = &answer.asked.without;
    if without.is_nothing() {
        return None;
    }
    let names: Vec<String> = without.stations.iter().map(|id| ctx.station(*id)).collect();
    let stations = (!names.is_empty()).then(|| format!("{} could not be reached", and(&names)));
    let numbers: BTreeMap<SubjectId, &str> = answer
        .taken_away
        .iter()
        .map(|taken| (taken.craft, taken.number.as_str()))
        .collect();
    let number = |id: &SubjectId| {
        let known = numbers.get(id);
        known.map_or_else(|| format!("craft {:.8}", id.to_string()), |it| clean(it))
    };
    let names: Vec<String> = without.craft.iter().map(number).collect();
    let craft = (!names.is_empty()).then(|| format!("{} could not be sent", and(&names)));
    let kit = without.kit.iter().map(|away| kit(away, ctx));
    let said: Vec<String> = stations.into_iter().chain(craft).chain(kit).collect();
    Some(said.join("; "))
}

fn kit(away: &KitAway, ctx: &Context) -> String {
    let line = clean(&words_of(&away.line.0));
    match away.station {
        Some(station) => format!("there were no {line} at {}", ctx.station(station)),
        None => format!("there were no {line} in the county"),
    }
}

/// A craft that is taken away, and what it went with.
#[must_use]
pub fn taken(taken: &TakenAway, ctx: &Context) -> String {
    let number = clean(&taken.number);
    let stations = ctx.station_list(&taken.stations);
    match taken.by {
        TakenBy::Itself => format!("{number} ({stations}): taken away itself"),
        TakenBy::Station(id) => format!(
            "{number} ({stations}): {} cannot be reached",
            ctx.station(id)
        ),
    }
}

fn and(names: &[String]) -> String {
    match names {
        [first @ .., last] if !first.is_empty() => format!("{} and {last}", first.join(", ")),
        names => names.join(""),
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use std::collections::BTreeSet;

    use sponson_readiness::ids::LineId;
    use sponson_readiness::without::Without;

    use super::*;
    use crate::sample;
    use crate::table::county_report;

    /// The county as if its second station and its first craft were not there, nor two sorts of kit.
    pub(crate) fn taken() -> CountyAnswer {
        let mut answer = sample::county();
        let station = answer.stations[1].id;
        let gone: Vec<_> = answer.craft.drain(..2).collect();
        let by = [TakenBy::Itself, TakenBy::Station(station)];
        answer.asked.without = Without {
            craft: BTreeSet::from([gone[0].id]),
            stations: BTreeSet::from([station]),
            kit: [None, Some(answer.stations[0].id)]
                .map(|station| KitAway {
                    line: LineId::from("throw-bag"),
                    station,
                })
                .into_iter()
                .collect(),
        };
        answer.taken_away = gone
            .into_iter()
            .zip(by)
            .map(|(craft, by)| TakenAway {
                craft: craft.id,
                number: craft.number,
                stations: craft.stations,
                by,
            })
            .collect();
        answer
    }

    #[test]
    fn what_is_not_there_is_said_first() {
        let text = county_report(&taken(), &sample::context());
        assert!(text.starts_with("AS IF: Otter Ferry could not be reached; Boat 3 could not be"));
        let said = as_if(&taken(), &sample::context()).unwrap_or_default();
        assert!(
            said.contains("there were no throw bag in the county"),
            "{said}"
        );
        assert!(
            said.contains("there were no throw bag at Mill Race"),
            "{said}"
        );
        assert!(text.contains("TAKEN AWAY (2)\n"), "{text}");
        assert!(
            text.contains("\n  Boat 3 (Mill Race): taken away itself\n"),
            "{text}"
        );
        assert!(text.contains("Otter Ferry cannot be reached\n"), "{text}");
        assert_eq!(as_if(&sample::county(), &sample::context()), None);
    }
}
