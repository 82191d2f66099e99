//! Sending a craft and setting it free, for whoever does it: a command, or the county's pages.
//!
//! What was shown is kept with the assignment: the report of the one craft as it was read, and for a
//! call-out the candidates as they were listed, each as a text beside the signed body. The answer
//! about the whole county is kept as its SHA-256 only: of a county of some hundred craft it has more
//! bytes than an event carries, and nobody reads it at night. Nothing here refuses to assign: what
//! speaks against it is said.

use bytes::Bytes;
use sha2::{Digest as _, Sha256};
use sponson_link::stubs::service::local_client::LocalClient;
use sponson_proto::answer::v1::{CraftAnswer, Question};
use sponson_proto::event::v1::{Assigned, Kind, PeopleToBring, Released};
use sponson_proto::service::v1::AskRequest;
use sponson_proto::service::v1::{AppendReply, AppendRequest, AppendSubject, AppendText, AskReply};
use sponson_proto::version;
use sponson_show::clean;
use tonic::Status;
use tonic::transport::Channel;

use prost::Message;

/// What texts beside an assignment or a release belong to.
pub const WHY: &str = "why";
/// The report of the craft.
pub const SHOWN: &str = "shown";
/// The candidates of a call-out.
pub const LISTED: &str = "listed";

/// Most that is kept of what was shown: three times the longest report, and fifty candidates.
const SHOWN_BYTES_MAX: usize = 32 * 1024;

/// Reasons that are said against going.
const AGAINST_MAX: usize = 6;

/// What was shown before a craft is sent.
#[derive(Clone, Debug)]
pub struct Shown {
    /// What was asked.
    pub question: Question,
    /// The answer about the one craft.
    pub reply: AskReply,
    /// The candidates of a call-out, as they were listed.
    pub listed: Option<String>,
}

/// Who does it and why.
#[derive(Clone, Debug, Default)]
pub struct Sender {
    /// Member number; may be empty.
    pub member: String,
    /// Why.
    pub why: Option<String>,
    /// What else is to be said.
    pub note: Option<String>,
}

impl Sender {
    /// Texts beside the event.
    #[must_use]
    pub fn texts(&self) -> Vec<AppendText> {
        let why = self.why.iter().map(|text| beside(WHY, text));
        let note = self.note.iter().map(|text| beside("", text));
        let texts = why.chain(note);
        texts.filter(|it| !it.text.trim().is_empty()).collect()
    }
}

/// Asks for the report of one craft. `question.craft` names it.
///
/// # Errors
/// When the service refuses the question or fails.
pub async fn look(service: &mut LocalClient<Channel>, question: Question) -> Result<Shown, Status> {
    let request = AskRequest {
        question: Some(question.clone()),
        ..AskRequest::default()
    };
    let reply = service.ask(request).await?.into_inner();
    Ok(Shown {
        question,
        reply,
        listed: None,
    })
}

/// Records that a craft is sent to an incident; gives what the service said of the event.
///
/// # Errors
/// When a text is too long, or the service fails.
pub async fn send(
    service: &mut LocalClient<Channel>,
    craft: AppendSubject,
    incident: &str,
    shown: &Shown,
    sender: &Sender,
) -> Result<AppendReply, Status> {
    let message = shown.assigned(incident);
    let mut texts = sender.texts();
    texts.extend(shown.texts());
    append(service, Kind::Assigned, &message, craft, texts, sender).await
}

/// Records that a craft is free of an assignment, named by its event.
///
/// # Errors
/// When a text is too long, or the service fails.
pub async fn set_free(
    service: &mut LocalClient<Channel>,
    craft: AppendSubject,
    assignment: Bytes,
    sender: &Sender,
) -> Result<AppendReply, Status> {
    let message = Released { assignment };
    append(
        service,
        Kind::Released,
        &message,
        craft,
        sender.texts(),
        sender,
    )
    .await
}

async fn append(
    service: &mut LocalClient<Channel>,
    kind: Kind,
    message: &impl Message,
    craft: AppendSubject,
    texts: Vec<AppendText>,
    sender: &Sender,
) -> Result<AppendReply, Status> {
    let payload = message.encode_to_vec();
    let request = AppendRequest {
        pictures: Vec::new(),
        kind: (kind as i32).unsigned_abs(),
        kind_version: version::needed(kind, &payload),
        payload: payload.into(),
        subjects: vec![craft],
        observed: None,
        member: sender.member.clone(),
        texts,
    };
    Ok(service.append(request).await?.into_inner())
}

impl Shown {
    /// The one craft of the answer.
    #[must_use]
    pub fn craft(&self) -> Option<&CraftAnswer> {
        self.reply.answer.as_ref()?.craft.first()
    }

    /// The event's message.
    #[must_use]
    pub fn assigned(&self, incident: &str) -> Assigned {
        let answer = self.reply.answer.as_ref();
        let known = answer.and_then(|answer| answer.known_by.clone());
        let known = known.unwrap_or_default();
        let asked = answer.and_then(|answer| answer.asked.as_ref());
        let place = self.question.conditions.as_ref();
        let people = self.question.people.iter();
        Assigned {
            incident: incident.trim().to_owned(),
            mission: asked.map_or_else(
                || self.question.mission.clone(),
                |asked| asked.mission.clone(),
            ),
            shown_sha256: sha256(self.reply.json.as_bytes()),
            report_sha256: sha256(kept(&self.reply.text).as_bytes()),
            listed_sha256: self
                .listed
                .as_ref()
                .map(|text| sha256(kept(text).as_bytes()))
                .unwrap_or_default(),
            latitude_e7: place.and_then(|it| it.lat_e7),
            longitude_e7: place.and_then(|it| it.lon_e7),
            place: String::new(),
            people: people
                .map(|it| PeopleToBring {
                    size: it.size.clone(),
                    lying: it.lying,
                    count: it.count,
                })
                .collect(),
            as_of_unix_ms: answer.map(|answer| answer.as_of_unix_ms),
            log_id: known.log_id,
            known_size: known.size,
            known_beyond: known.beyond,
            engine: answer.map_or(0, |answer| answer.engine),
            readiness: self
                .craft()
                .map(|craft| craft.readiness.clone())
                .unwrap_or_default(),
        }
    }

    /// What was shown, as texts beside the event.
    #[must_use]
    pub fn texts(&self) -> Vec<AppendText> {
        let report = beside(SHOWN, &kept(&self.reply.text));
        let listed = self.listed.as_ref();
        let listed = listed.map(|text| beside(LISTED, &kept(text)));
        std::iter::once(report).chain(listed).collect()
    }

    /// What speaks against sending the craft, a sentence each; empty when nothing does.
    #[must_use]
    pub fn against(&self) -> Vec<String> {
        let Some(craft) = self.craft() else {
            return vec!["nothing is known here of this craft".to_owned()];
        };
        let mut against = Vec::new();
        match craft.readiness.as_str() {
            "not_ready" => against.push("it is not ready".to_owned()),
            "unproven" => against.push("nothing shows that it is ready".to_owned()),
            _ => {}
        }
        let keeps_back = |effect: &str| matches!(effect, "not_ready" | "unproven");
        let declared = |rule: &str| matches!(rule, "out_of_service" | "assigned");
        let silent = |rule: &str| rule == "station_silent";
        let mut why: Vec<String> = Vec::new();
        // What people declared stands first: whoever has the craft now has to be told.
        let (first, others): (Vec<_>, Vec<_>) = craft.why.iter().partition(|it| declared(&it.rule));
        for finding in first.into_iter().chain(others) {
            let told =
                keeps_back(&finding.effect) || declared(&finding.rule) || silent(&finding.rule);
            let text = clean(&finding.text);
            if told && !why.contains(&text) {
                why.push(text);
            }
        }
        let more = why.len().saturating_sub(AGAINST_MAX);
        why.truncate(AGAINST_MAX);
        against.extend(why);
        if more > 0 {
            against.push(format!("and {more} more, in the report above"));
        }
        against
    }
}

fn beside(belongs_to: &str, text: &str) -> AppendText {
    AppendText {
        belongs_to: belongs_to.to_owned(),
        text: text.to_owned(),
    }
}

/// As much of a text as is kept, in whole lines; says what was left off.
fn kept(text: &str) -> String {
    if text.len() <= SHOWN_BYTES_MAX {
        return text.to_owned();
    }
    let last = "[what follows was shown and is not kept: it is too long]\n";
    let mut short = String::new();
    for line in text.split_inclusive('\n') {
        if short.len() + line.len() + last.len() > SHOWN_BYTES_MAX {
            break;
        }
        short.push_str(line);
    }
    short.push_str(last);
    short
}

fn sha256(bytes: &[u8]) -> Bytes {
    Bytes::copy_from_slice(&Sha256::digest(bytes))
}

#[cfg(test)]
mod tests {
    use super::*;
    use sponson_proto::answer::v1::{CountyAnswer, Finding};

    fn shown(readiness: &str, why: &[(&str, &str, &str)]) -> Shown {
        let finding = |&(rule, effect, text): &(&str, &str, &str)| Finding {
            rule: rule.to_owned(),
            effect: effect.to_owned(),
            text: text.to_owned(),
            ..Finding::default()
        };
        let craft = CraftAnswer {
            readiness: readiness.to_owned(),
            why: why.iter().map(finding).collect(),
            ..CraftAnswer::default()
        };
        Shown {
            question: Question::default(),
            reply: AskReply {
                text: "Boat 3: ready\n".to_owned(),
                answer: Some(CountyAnswer {
                    craft: vec![craft],
                    ..CountyAnswer::default()
                }),
                ..AskReply::default()
            },
            listed: None,
        }
    }

    #[test]
    fn what_speaks_against_going_is_said_and_nothing_else() {
        let leak = ("pressure_low", "not_ready", "tube 1 is soft");
        let again = ("kit_short", "not_ready", "tube 1 is soft");
        let soon = ("kit_expires_soon", "note", "flares run out");
        let away = ("assigned", "note", "assigned to incident 9");
        let cases: [(&str, &[_], &[&str]); 4] = [
            ("ready", &[soon], &[]),
            ("ready_with_limits", &[away], &["assigned to incident 9"]),
            (
                "not_ready",
                &[leak, again],
                &["it is not ready", "tube 1 is soft"],
            ),
            ("unproven", &[], &["nothing shows that it is ready"]),
        ];
        for (readiness, why, against) in cases {
            assert_eq!(shown(readiness, why).against(), against, "{readiness}");
        }
    }

    #[test]
    fn reasons_beyond_six_are_counted() {
        let texts: Vec<String> = (0..9).map(|n| format!("reason {n}")).collect();
        let why: Vec<_> = texts
            .iter()
            .map(|text| ("kit_short", "not_ready", text.as_str()))
            .collect();
        let against = shown("not_ready", &why).against();
        assert_eq!(against.len(), 8);
        assert_eq!(against[7], "and 3 more, in the report above");
    }

    #[test]
    fn a_long_report_is_cut_at_a_line_and_says_so() {
        let long = "a line of the report\n".repeat(4_000);
        let cut = kept(&long);
        assert!(cut.len() <= SHOWN_BYTES_MAX);
        assert!(cut.ends_with("it is too long]\n"));
        let start =
            cut.trim_end_matches("[what follows was shown and is not kept: it is too long]\n");
        assert!(long.starts_with(start) && start.len() > 30_000);
        assert_eq!(kept("short\n"), "short\n");
    }

    #[test]
    fn the_hash_is_of_the_text_that_is_kept() {
        let mut shown = shown("ready", &[]);
        shown.listed = Some("1 Boat 3\n".to_owned());
        let message = shown.assigned("  Flood 12 ");
        let texts = shown.texts();
        assert_eq!(message.incident, "Flood 12");
        assert_eq!(message.report_sha256, sha256(texts[0].text.as_bytes()));
        assert_eq!(message.listed_sha256, sha256(texts[1].text.as_bytes()));
        assert_eq!(message.readiness, "ready");
    }
}
