//! Simulated counties on fixed seeds: how often what is wrong is named (power), and how often
//! something is named that is not (false alarms). The table is what is checked in.
//!
//! 40 craft of two models (9 parts each that are the craft's own), five batches of four craft of each
//! model, three years, on average one fault a craft and year, evenly over parts. `seam`: tube 3 of one
//! model fails three times as often. `batch`: four craft of one batch, all parts. `trend`: one model
//! fails with the square of its age, as often over all. Times between faults are exponential.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use sponson_made::Seeded;
use sponson_readiness::event::{Author, LeadAction, PartPlace, Severity};
use sponson_readiness::history::{FaultPast, History};
use sponson_readiness::ids::{EventId, FaultId, ModelId, PartId};
use sponson_readiness::keeps_failing::{
    About, Asked, GroupKey, Grouping, TrendSaid, verdicts, what_to_do,
};
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::{Policy, Standard};

use crate::county::{craft, day, id, policy, sheets};

const COUNTIES: u64 = 60;
const DAYS: f64 = 1_096.0;
const MODELS: [&str; 2] = ["inflatable-14", "inflatable-14-again"];
/// Faults of one part in a day.
const RATE: f64 = 1.0 / 9.0 / 365.25;

/// Above 0, at most 1.
fn share(seeded: &mut Seeded) -> f64 {
    ((seeded.any() >> 11) as f64 + 1.0) / (1_u64 << 53) as f64
}

#[derive(Clone, Copy, PartialEq)]
enum Wrong {
    Nothing,
    Seam,
    Batch,
    Trend,
}

fn simulated(wrong: Wrong, seed: u64, parts: &[PartId]) -> History {
    let mut seeded = Seeded::new(seed * 1_000_003 + wrong as u64);
    let mut history = History::empty(day(DAYS));
    let mut found = 0_u32;
    for n in 0..40_u8 {
        let (model, batch) = (MODELS[usize::from(n / 20)], n / 4);
        let mut one = craft(id(n + 1), Moment(0), model, &format!("b{batch}"), "csm");
        for part in parts {
            let is_wrong = match wrong {
                Wrong::Nothing | Wrong::Trend => false,
                Wrong::Seam => n < 20 && part.as_str() == "tube-3",
                Wrong::Batch => batch == 0,
            };
            let rate = if is_wrong { 3.0 * RATE } else { RATE };
            let mut at = 0.0;
            loop {
                at += -share(&mut seeded).ln() / rate;
                if at > DAYS {
                    break;
                }
                // Evenly spread, then moved late: the number by an age grows with its square.
                let is_late = wrong == Wrong::Trend && n < 20;
                let when = if is_late {
                    (at / DAYS).sqrt() * DAYS
                } else {
                    at
                };
                found += 1;
                one.faults.push(fault(found, &one.id, part, day(when)));
            }
        }
        history.crafts.insert(one.id, one);
    }
    history
}

fn fault(
    number: u32,
    craft: &sponson_readiness::ids::SubjectId,
    part: &PartId,
    at: Moment,
) -> FaultPast {
    let mut event = [0; 32];
    event[..4].copy_from_slice(&number.to_be_bytes());
    FaultPast {
        id: FaultId {
            event: EventId::from_bytes(event),
            ordinal: 0,
        },
        craft: Some(*craft),
        gear: None,
        part: part.clone(),
        place: PartPlace::default(),
        class: "leak".to_owned(),
        severity: Severity::Major,
        found: at,
        station: None,
        by: Author {
            key: [0; 32],
            station: None,
            member: String::new(),
        },
        engine_s: None,
        repairs: Vec::new(),
        over: None,
        confirmed: true,
    }
}

/// Whether a group is one that was made to fail more often.
fn is_guilty(wrong: Wrong, key: &GroupKey) -> bool {
    let is_first = |model: &str| model == MODELS[0];
    match wrong {
        Wrong::Nothing | Wrong::Trend => false,
        Wrong::Seam => matches!(key, GroupKey::Place { model, place }
            if is_first(model.as_str()) && place.part.as_str() == "tube-3"),
        Wrong::Batch => {
            matches!(key, GroupKey::Batch { batch, .. } if batch == "b0")
                || matches!(key, GroupKey::Craft(on) if on.as_bytes()[0] <= 4)
        }
    }
}

/// What follows from what is wrong without being it: a model with a bad seam does fail more.
fn is_touched(wrong: Wrong, key: &GroupKey) -> bool {
    let is_first = matches!(key, GroupKey::Model { model, .. } if model == MODELS[0]);
    is_first && wrong != Wrong::Nothing
}

/// Whether a group holds nothing but what gets worse.
fn gets_worse(wrong: Wrong, key: &GroupKey) -> bool {
    let is_first = |name: &str| name == MODELS[0];
    wrong == Wrong::Trend
        && (matches!(key, GroupKey::Model { model, .. } | GroupKey::Batch { model, .. }
            if is_first(model))
            || matches!(key, GroupKey::Place { model, .. } if is_first(model.as_str()))
            || matches!(key, GroupKey::Craft(on) if on.as_bytes()[0] <= 20))
}

#[derive(Default)]
struct Tally {
    groups: u32,
    guilty: u32,
    named: u32,
    falsely: u32,
    counties: u32,
    late: u32,
    even: u32,
    worse: u32,
    worse_falsely: u32,
}

fn tally(
    wrong: Wrong,
    grouping: Grouping,
    counties: &[History],
    sheets: &BTreeMap<ModelId, Standard>,
    policy: &Policy,
) -> Tally {
    let mut tally = Tally::default();
    for county in counties {
        let (groups, looked) = verdicts(county, sheets, policy, &Asked::all(grouping));
        tally.groups = looked.groups;
        let mut is_false = false;
        for group in &groups {
            let (guilty, apart) = (is_guilty(wrong, &group.key), group.said.is_apart_above());
            tally.guilty += u32::from(guilty);
            tally.named += u32::from(guilty && apart);
            let falsely = apart && !guilty && !is_touched(wrong, &group.key);
            tally.falsely += u32::from(falsely);
            is_false |= falsely;
            let is_worse = group.trend == TrendSaid::Worse;
            let is_late = gets_worse(wrong, &group.key);
            tally.late += u32::from(is_late);
            tally.even += u32::from(!is_late);
            tally.worse += u32::from(is_worse && is_late);
            tally.worse_falsely += u32::from(is_worse && !is_late);
        }
        tally.counties += u32::from(is_false);
    }
    tally
}

fn percent(some: u32, of: u32) -> String {
    if of == 0 {
        return "-".to_owned();
    }
    format!("{} %", (some * 200 + of) / (2 * of))
}

const SCENES: [(Wrong, &str, [Grouping; 4]); 4] = {
    use Grouping::{Batch, Craft, Model, Place};
    let groupings = [Place, Craft, Batch, Model];
    [
        (Wrong::Nothing, "nothing", groupings),
        (Wrong::Seam, "seam", groupings),
        (Wrong::Batch, "batch", groupings),
        (Wrong::Trend, "trend", groupings),
    ]
};

#[test]
fn what_is_wrong_is_named_and_little_else() {
    let policy = policy(&[]);
    let sheet = sheets().remove(&ModelId::from(MODELS[0])).expect("it");
    let sheets = BTreeMap::from(MODELS.map(|model| (ModelId::from(model), sheet.clone())));
    let parts: Vec<PartId> = sheet
        .parts
        .iter()
        .filter(|part| part.gear.is_none())
        .map(|part| part.id.clone())
        .collect();
    let runs = u32::try_from(COUNTIES).expect("few");
    let mut table = format!(
        "{COUNTIES} counties each; power: share of the bad groups that are named; false: share of\n\
         counties in which another is named, and of all that are named; worse: of the groups that\n\
         get worse those said to; falsely: of the others\n\n\
         {:<8} {:<6} {:>6} {:>6} {:>9} {:>8} {:>6} {:>7}\n",
        "wrong", "by", "groups", "power", "counties", "of named", "worse", "falsely",
    );
    let mut holds = String::new();
    for (wrong, name, groupings) in SCENES {
        let counties: Vec<History> = (1..=COUNTIES)
            .map(|seed| simulated(wrong, seed, &parts))
            .collect();
        for grouping in groupings {
            let tally = tally(wrong, grouping, &counties, &sheets, &policy);
            let by = format!("{grouping:?}").to_lowercase();
            writeln!(
                table,
                "{name:<8} {by:<6} {:>6} {:>6} {:>9} {:>8} {:>6} {:>7}",
                tally.groups,
                percent(tally.named, tally.guilty),
                percent(tally.counties, runs),
                percent(tally.falsely, tally.named + tally.falsely),
                percent(tally.worse, tally.late),
                percent(tally.worse_falsely, tally.even),
            )
            .expect("it writes");
        }
        let (mut right, mut false_ones) = (0, 0);
        for county in &counties {
            let proposals = what_to_do(county, &sheets, &policy);
            let held = proposals
                .iter()
                .filter(|one| one.action == LeadAction::Hold);
            for one in held {
                let is_right = wrong == Wrong::Batch
                    && matches!(&one.about, About::Batch { batch, .. } if batch == "b0");
                let is_model = wrong == Wrong::Seam && matches!(one.about, About::Model { .. });
                right += u32::from(is_right);
                false_ones += u32::from(!is_right && !is_model);
            }
        }
        let (right, others) = (percent(right, runs), percent(false_ones, runs));
        writeln!(holds, "{name:<8} {right:>6} {others:>7}").expect("it writes");
    }
    table += "\nproposed to hold the bad batch, and others, per hundred counties\n";
    table += &holds;
    insta::assert_snapshot!(table);
}
