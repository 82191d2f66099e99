//! Signed answers that are not what was answered: changed and signed again by a device that the
//! county let in, by a stranger, by an ended key.

use bytes::Bytes;
use prost::Message as _;
use sponson_log::sealed::{Sort, seal, unseal};
use sponson_log::sign::{DeviceKey, Signed};
use sponson_proto::answer::v1::{AnswerGiven, CrewAsked, People, Question, SignedAnswer};
use sponson_proto::service::v1::{AnswerVerdict, AskRequest, CheckAnswerReply, CheckAnswerRequest};

use crate::answer::adopt_standards;
use crate::world::{County, Station, limited};

const SORT: Sort = Sort {
    magic: b"sponson-answer-1\n",
    name: "signed answer",
    bytes_max: 4 * 1024 * 1024,
};

/// What a station answers, signed; and what is in it.
async fn signed(station: &Station) -> AnswerGiven {
    let question = Question {
        crew: Some(CrewAsked {
            count: Some(3),
            mass_g: None,
        }),
        people: vec![People {
            size: "child".to_owned(),
            lying: true,
            count: 2,
            mass_g: Some(20_000),
        }],
        ..Question::default()
    };
    let ask = AskRequest {
        question: Some(question),
        ..AskRequest::default()
    };
    let reply = station.local().await.client().ask_signed(ask).await;
    let file = reply.expect("answered").into_inner().file;
    let message = unseal(SORT, &file).expect("a file of the sort");
    let signed = SignedAnswer::decode(message).expect("a message");
    AnswerGiven::decode(signed.body).expect("what was signed")
}

/// The file of what is given, signed by a key.
fn file(given: &AnswerGiven, key: &DeviceKey) -> Bytes {
    let given = AnswerGiven {
        key: key.key().to_bytes(),
        ..given.clone()
    };
    let body = given.encode_to_vec();
    let signed = SignedAnswer {
        signature: Bytes::copy_from_slice(&key.sign(Signed::Answer, &body)),
        algorithm: 1,
        body: body.into(),
    };
    seal(SORT, &signed.encode_to_vec()).into()
}

async fn checked(county: &County, file: Bytes) -> CheckAnswerReply {
    let request = CheckAnswerRequest { file };
    let reply = county.local().await.client().check_answer(request).await;
    reply.expect("it is a signed answer").into_inner()
}

type Change = (&'static str, &'static str, fn(&mut AnswerGiven));

/// What somebody may have changed, and what is said of it.
const CHANGES: &[Change] = &[
    ("readiness", "ready there, unproven here", |given| {
        craft(given).readiness = "ready".to_owned();
    }),
    ("why", "unproven in both, but why", |given| {
        craft(given).why.clear();
    }),
    ("a craft", "only known here", |given| {
        answer(given).craft.pop();
    }),
    ("the root", "not those held here", |given| {
        known(given).root = Bytes::from_static(&[7; 32]);
    }),
    ("the count beyond", "another number of entries", |given| {
        known(given).beyond = 3;
        given.beyond.push(Bytes::from_static(&[7; 32]));
    }),
    ("the list beyond", "not those that it lists", |given| {
        known(given).beyond = 1;
        given.beyond.push(Bytes::from_static(&[7; 32]));
    }),
    (
        "what is overdue",
        "what is overdue: not the same",
        |given| {
            answer(given).overdue.push(Default::default());
        },
    ),
];

fn answer(given: &mut AnswerGiven) -> &mut sponson_proto::answer::v1::CountyAnswer {
    given.answer.get_or_insert_default()
}

fn known(given: &mut AnswerGiven) -> &mut sponson_proto::answer::v1::KnownBy {
    answer(given).known_by.get_or_insert_default()
}

fn craft(given: &mut AnswerGiven) -> &mut sponson_proto::answer::v1::CraftAnswer {
    &mut answer(given).craft[0]
}

#[tokio::test]
async fn what_was_not_answered_is_told_from_what_was() {
    limited(async {
        let county = County::found(21).await;
        adopt_standards(&county).await;
        let station = Station::join(&county, "North", 22).await;
        station.register("Marsh 21").await;
        station.sync(&county).await;
        let given = signed(&station).await;
        let own = station.identity.log_key();
        let reply = checked(&county, file(&given, own)).await;
        assert_eq!(reply.verdict(), AnswerVerdict::Same, "{reply:?}");
        for (name, said, change) in CHANGES {
            let mut changed = given.clone();
            change(&mut changed);
            let reply = checked(&county, file(&changed, own)).await;
            assert_eq!(reply.verdict(), AnswerVerdict::Differs, "{name}: {reply:?}");
            let found = reply.found.join("\n");
            assert!(found.contains(said), "{name}: {found}");
        }
        // Another program may say the same in other words.
        let mut words = given.clone();
        craft(&mut words).why[0].text = "go and look".to_owned();
        let reply = checked(&county, file(&words, own)).await;
        assert_eq!(reply.verdict(), AnswerVerdict::Same);
        assert!(reply.said.join("\n").contains("in other words"));
        // Later rules cannot be given again.
        let mut later = given.clone();
        answer(&mut later).engine += 1;
        let reply = checked(&county, file(&later, own)).await;
        assert_eq!(reply.verdict(), AnswerVerdict::NotChecked);
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn an_answer_counts_by_the_key_that_signed_it() {
    limited(async {
        let county = County::found(23).await;
        adopt_standards(&county).await;
        let station = Station::join(&county, "North", 24).await;
        station.sync(&county).await;
        let given = signed(&station).await;
        let stranger = DeviceKey::from_seed([77; 32]);
        let reply = checked(&county, file(&given, &stranger)).await;
        assert_eq!(reply.verdict(), AnswerVerdict::Differs);
        assert!(reply.found[0].contains("has not let the device in"));
        // Signed by one, and said to be of another.
        let mut forged = given.clone();
        forged.county_id = Bytes::from_static(&[1; 16]);
        let request = CheckAnswerRequest {
            file: file(&forged, station.identity.log_key()),
        };
        let refused = county.local().await.client().check_answer(request).await;
        let refused = refused.expect_err("another county's");
        assert!(refused.message().contains("is of county 0101"));
        let own = file(&given, station.identity.log_key());
        county.end_key(&station.identity).await;
        let reply = checked(&county, own).await;
        assert_eq!(reply.verdict(), AnswerVerdict::Differs);
        assert!(reply.found[0].contains("ended the key"));
        county.stop().await;
    })
    .await;
}
