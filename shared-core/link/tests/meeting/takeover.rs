//! A device that takes over from another one: only by a code made for it, once, and only within
//! its station.

use sponson_link::station::{JoinError, join};
use sponson_link::{Code, Identity, refusal};
use sponson_log::ids::Key;
use sponson_proto::event::v1::KeyEndReason;
use sponson_proto::service::v1::MakeCodeRequest;

use crate::world::{County, device, limited, try_join};

async fn made_for(county: &County, station: &str, replaces: &Identity) -> Result<Code, String> {
    let request = MakeCodeRequest {
        station: station.to_owned(),
        replaces_key: replaces.log_key().key().to_bytes(),
        ..MakeCodeRequest::default()
    };
    let made = county.local().await.client().make_code(request).await;
    let made = made.map_err(|status| status.message().to_owned())?;
    Ok(Code::parse(&made.into_inner().code).expect("it can be read"))
}

async fn ended(county: &County, device: &Identity) -> Option<KeyEndReason> {
    let key = device.log_key().key();
    let end = move |replica: &mut sponson_replica::Replica| {
        let admitted = replica.registry().key(&key)?;
        admitted.ended.map(|end| end.reason)
    };
    county.host.shared.call(end).await.expect("open")
}

async fn instead_of(
    code: &Code,
    county: &County,
    device: &Identity,
    old: Key,
) -> Result<(), String> {
    let named = Some((old, None));
    let joined = join(code, &county.address, device, "tablet", named).await;
    match joined {
        Ok(_) => Ok(()),
        Err(JoinError::Refused(status)) => Err(refusal::reason(&status).unwrap_or_default()),
        Err(error) => Err(error.to_string()),
    }
}

#[tokio::test]
async fn a_code_made_for_it_ends_the_old_key_once() {
    limited(async {
        let county = County::found(21).await;
        let (old, new) = (device(10), device(11));
        let code = county.code("North").await;
        try_join(&code, &county.address, &old).await.expect("in");

        // That a device says it takes over ends nothing: the lead has not said so.
        let code = county.code("North").await;
        let says = instead_of(&code, &county, &device(12), old.log_key().key()).await;
        assert_eq!((says, ended(&county, &old).await), (Ok(()), None));

        let code = made_for(&county, "North", &old).await.expect("a code");
        try_join(&code, &county.address, &new).await.expect("in");
        let replaced = Some(KeyEndReason::Replaced);
        assert_eq!(ended(&county, &old).await, replaced);
        let events = county.events().await;
        // The same device may ask again after a lost reply: nothing is written twice.
        try_join(&code, &county.address, &new).await.expect("in");
        assert_eq!(
            (county.events().await, ended(&county, &new).await),
            (events, None)
        );
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_takeover_stays_within_its_station_and_its_code() {
    limited(async {
        let county = County::found(22).await;
        let (old, beside, south) = (device(10), device(11), device(12));
        for (name, device) in [("North", &old), ("North", &beside), ("South", &south)] {
            let code = county.code(name).await;
            try_join(&code, &county.address, device).await.expect("in");
        }
        let events = county.events().await;
        let other = made_for(&county, "South", &old).await;
        assert!(other.is_err_and(|why| why.contains("is not of station South")));
        let nobody = made_for(&county, "Upland", &device(19)).await;
        assert!(nobody.is_err());
        assert_eq!(
            county.events().await,
            events,
            "no station was registered for it"
        );

        let code = made_for(&county, "North", &old).await.expect("a code");
        let new = device(13);
        let said = instead_of(&code, &county, &new, beside.log_key().key()).await;
        assert_eq!(said, Err("REPLACES_OTHER_DEVICE".to_owned()));
        let code = county.code("North").await;
        let said = instead_of(&code, &county, &new, south.log_key().key()).await;
        assert_eq!(said, Err("REPLACES_OTHER_STATION".to_owned()));
        for device in [&old, &beside, &south] {
            assert_eq!(ended(&county, device).await, None);
        }
        county.stop().await;
    })
    .await;
}
