//! What is said of a signed answer: who gave it, what could not be checked, what differs.

use sponson_log::ids::Key;
use sponson_proto::answer::v1::{CountyAnswer, CraftAnswer, Finding};
use sponson_proto::event::v1::Role;
use sponson_proto::service::v1::{AnswerVerdict, CheckAnswerReply};
use sponson_readiness::moment::Moment;
use sponson_replica::Replica;
use sponson_show::clean;
use sponson_show::units::print;

/// Differences that are named: more help nobody.
const FOUND_MAX: usize = 100;

/// What is said of a signed answer.
pub(super) struct Report {
    verdict: AnswerVerdict,
    said: Vec<String>,
    found: Vec<String>,
}

impl Report {
    pub(super) fn new(replica: &Replica, key: &Key, answer: &CountyAnswer, program: &str) -> Self {
        let mut report = Self {
            verdict: AnswerVerdict::Same,
            said: Vec::new(),
            found: Vec::new(),
        };
        let known = answer.known_by.clone().unwrap_or_default();
        let now = answer.asked.as_ref().map_or(0, |asked| asked.now_unix_ms);
        let utc = |ms| print::local(Moment(ms), 0);
        report.said.push(format!(
            "It judges {} UTC, asked at {} UTC, by {} entries of the county log and {} beyond it.",
            utc(answer.as_of_unix_ms),
            utc(now),
            known.size,
            known.beyond
        ));
        report.signer(replica, key, program);
        report.said.push(
            "Taken as it says: when it was asked, when stations were last heard, and when it is dark \
             at the place."
                .to_owned(),
        );
        report
    }

    /// Who signed it, and whether that counts.
    fn signer(&mut self, replica: &Replica, key: &Key, program: &str) {
        let registry = replica.registry();
        let Some(admitted) = registry.key(key) else {
            self.said
                .push(format!("Signed by key {key}, program {}.", clean(program)));
            return self.differs("the county has not let the device in that signed it");
        };
        let station = admitted.station.and_then(|id| registry.stations().get(&id));
        let who = match station {
            Some(facts) => format!("{} of {}", name(&admitted.device), clean(&facts.name)),
            None => "the county".to_owned(),
        };
        let roles = admitted.roles.last().map_or(&[][..], |(_, roles)| roles);
        let roles: Vec<&str> = roles.iter().map(|role| word(*role)).collect();
        self.said.push(format!(
            "Signed by {who} ({}), key {key}, program {}.",
            roles.join(", "),
            clean(program)
        ));
        if admitted.ended.is_some() {
            self.differs("the lead ended the key that signed it: anybody may hold that");
        }
    }

    pub(super) fn differs(&mut self, what: &str) {
        self.verdict = AnswerVerdict::Differs;
        self.found.push(what.to_owned());
    }

    pub(super) fn not_checked(&mut self, what: &str) {
        if self.verdict == AnswerVerdict::Same {
            self.verdict = AnswerVerdict::NotChecked;
        }
        self.found.push(what.to_owned());
    }

    /// Whether it makes sense to give the answer again.
    pub(super) fn may_go_on(&self) -> bool {
        self.verdict == AnswerVerdict::Same
    }

    /// Compares an answer with the one that was given again here.
    pub(super) fn compare(&mut self, given: &CountyAnswer, again: &CountyAnswer) {
        if given == again {
            return;
        }
        let (given, again) = (without_words(given), without_words(again));
        if given == again {
            self.said
                .push("The same, in other words: another version of the program.".to_owned());
            return;
        }
        self.craft(&given, &again);
        let lists = [
            ("what it rests on", given.known_by != again.known_by),
            ("the question", given.asked != again.asked),
            ("stations", given.stations != again.stations),
            ("kit that is short", given.missing_kit != again.missing_kit),
            ("what is overdue", given.overdue != again.overdue),
            (
                "which craft can go at once",
                given.together != again.together,
            ),
            ("the call-out", given.callout != again.callout),
            ("what is taken away", given.taken_away != again.taken_away),
            (
                "where stations differ",
                given.disagreements != again.disagreements,
            ),
        ];
        for (what, _) in lists.iter().filter(|(_, differs)| *differs) {
            self.differs(&format!("{what}: not the same here"));
        }
        if self.verdict == AnswerVerdict::Same {
            self.differs("something that has no name here");
        }
    }

    fn craft(&mut self, given: &CountyAnswer, again: &CountyAnswer) {
        let find = |answer: &CountyAnswer, id: &[u8]| {
            let mut craft = answer.craft.iter();
            craft.find(|craft| craft.id == id).cloned()
        };
        for craft in &given.craft {
            let number = clean(&craft.craft);
            match find(again, &craft.id) {
                None => self.differs(&format!("{number}: not known here")),
                Some(here) if here == *craft => {}
                Some(here) => self.differs(&one_craft(&number, craft, &here)),
            }
        }
        for craft in &again.craft {
            if find(given, &craft.id).is_none() {
                self.differs(&format!("{}: only known here", clean(&craft.craft)));
            }
        }
    }

    pub(super) fn into_reply(mut self) -> CheckAnswerReply {
        self.found.truncate(FOUND_MAX);
        CheckAnswerReply {
            verdict: self.verdict.into(),
            said: self.said,
            found: self.found,
        }
    }
}

fn one_craft(number: &str, given: &CraftAnswer, here: &CraftAnswer) -> String {
    if given.readiness == here.readiness {
        return format!(
            "{number}: {} in both, but why is not the same",
            plain(&given.readiness)
        );
    }
    format!(
        "{number}: {} there, {} here",
        plain(&given.readiness),
        plain(&here.readiness)
    )
}

fn plain(word: &str) -> String {
    clean(&word.replace('_', " "))
}

/// An answer without what only a person reads: its judgement.
fn without_words(answer: &CountyAnswer) -> CountyAnswer {
    let mut bare = answer.clone();
    bare.caution.clear();
    for craft in &mut bare.craft {
        craft.limits.clear();
        craft.status.clear();
        craft.why.iter_mut().for_each(bare_finding);
    }
    for candidate in bare.callout.iter_mut().flat_map(|it| &mut it.candidates) {
        candidate.to_do.clear();
        candidate.would_go.clear();
    }
    for differ in &mut bare.disagreements {
        differ.about.clear();
        differ.text.clear();
        differ.until.clear();
        differ.settle.clear();
        for side in &mut differ.sides {
            side.value.clear();
            side.unconfirmed.clear();
        }
    }
    bare
}

fn bare_finding(finding: &mut Finding) {
    finding.subject.clear();
    finding.measured.clear();
    finding.required.clear();
    finding.to_do.clear();
    finding.text.clear();
}

fn name(device: &str) -> String {
    match device {
        "" => "a device".to_owned(),
        name => format!("the device '{}'", clean(name)),
    }
}

const fn word(role: Role) -> &'static str {
    match role {
        Role::Unspecified => "role not known",
        Role::Crew => "crew",
        Role::Maintenance => "maintenance",
        Role::Coordinator => "coordinator",
        Role::Lead => "lead",
        Role::County => "county",
        Role::Reader => "reader",
    }
}
