//! A field that a later version adds, in every message of every service: refused nowhere, and nothing is
//! another for it.

use std::collections::BTreeSet;

use sponson_made::Seeded;
use tonic::transport::Channel;

use super::{CALL, Forms, Socket, call, channel, pool, word};
use crate::answer::adopt_standards;
use crate::between::{Shapes, Speaks};
use crate::shapes::forms::Maker;
use crate::world::{County, Station};

/// Messages to each method: one without a field, and so many that are right in form.
const RIGHT: usize = 2;

async fn told(channel: &Channel, path: &str, message: &[u8]) -> String {
    word(&tokio::time::timeout(CALL, call(channel, path, message)).await)
}

/// Each method by itself, and the same message with fields of a later version in every message within
/// it: the same status, and the same reason. What a call changes may change the next one's reply, so
/// the plain message is sent twice.
#[tokio::test]
async fn a_field_that_nobody_knows_changes_no_reply() {
    let forms = Forms::read();
    let shapes = Shapes::read();
    let county = County::found(7).await;
    adopt_standards(&county).await;
    let north = Station::join(&county, "North", 10).await;
    let pool = pool(&county, &north).await;
    let socket = north.folder.path().join("socket");
    let local = Socket::serve(north.host(&north.joined.at), &socket);
    let (far, near) = (channel(&county, Some(&north)).await, local.channel().await);
    let mut maker = Maker {
        forms: &forms,
        pool: &pool,
        drawn: Seeded::new(1),
        breaks: false,
    };
    let mut heard = BTreeSet::new();
    for (path, form) in &forms.methods {
        let channel = match path.contains(".Local/") {
            true => &near,
            false => &far,
        };
        let name = form.rsplit('.').next().expect("a name");
        let right = (0..RIGHT).map(|_| maker.message(form));
        let messages: Vec<_> = std::iter::once(Vec::new()).chain(right).collect();
        for message in messages {
            let later = shapes.said_by(Speaks::Later, name, &message);
            assert!(later.len() > message.len(), "{path}");
            let first = told(channel, path, &message).await;
            let with = told(channel, path, &later).await;
            let again = told(channel, path, &message).await;
            assert!(
                with == first || with == again,
                "{path} with {message:02x?}: {first}, {with} with later fields, {again}"
            );
            heard.insert(format!("{path} {with}"));
        }
    }
    let answered = heard.iter().filter(|line| line.ends_with(" OK")).count();
    assert!(answered > 10, "{heard:#?}");
    local.stop().await;
    county.stop().await;
}
