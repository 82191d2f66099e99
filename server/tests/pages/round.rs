//! A boat check on a station's pages: begun, entered by form and by script, by two members, ended.

use crate::station::Station;
use crate::world::{Caller, Reply};

/// A check of Boat 3 that this member began or goes on with.
async fn begun(station: &Station, caller: &Caller) -> String {
    let craft = station.craft().await;
    let form = format!("token={}&kind=full", caller.token);
    let reply = caller.post(&format!("/craft/{craft}/check"), &form).await;
    assert_eq!(reply.status, 303, "{}", reply.text);
    reply.header("location").to_owned()
}

/// Enters as the page's script does.
async fn by_script(caller: &Caller, check: &str, fields: &str) -> serde_json::Value {
    let form = format!("token={}&{fields}", caller.token);
    let about = [
        ("Accept", "application/json"),
        ("Sec-Fetch-Site", "same-origin"),
    ];
    let reply = caller
        .post_from(&format!("{check}/enter"), &about, &form)
        .await;
    assert_eq!(reply.status, 200, "{}", reply.text);
    serde_json::from_str(&reply.text).expect("JSON")
}

async fn by_form(caller: &Caller, check: &str, fields: &str) -> Reply {
    let form = format!("token={}&{fields}", caller.token);
    caller.post(&format!("{check}/enter"), &form).await
}

#[tokio::test]
async fn a_stop_is_kept_by_its_form_and_leads_on() {
    let station = Station::up().await;
    let caller = station.said("M9").await;
    let check = begun(&station, &caller).await;
    assert_eq!(begun(&station, &caller).await, check, "it is gone on with");
    let page = caller.get(&check).await.text;
    for said in [
        "Boat 3: full check",
        "Stop 1 of ",
        "Keep and go on",
        "0 of ",
    ] {
        assert!(page.contains(said), "{said}: {page}");
    }
    let fields = "was=&stop=arriving&go=bow&air=41+F&stood=2+h&gauge=";
    let kept = by_form(&caller, &check, fields).await;
    assert_eq!(kept.status, 303, "{}", kept.text);
    assert_eq!(kept.header("location"), format!("{check}#stop-bow"));
    let page = caller.get(&check).await.text;
    assert!(page.contains("value=\"41 F\""), "{page}");
    assert!(page.contains("Kept: you, "), "{page}");
    // A page that was shown before takes nothing back, and a cleared field is taken out.
    by_form(&caller, &check, "was=&air=&stood=").await;
    assert!(caller.get(&check).await.text.contains("value=\"41 F\""));
    by_form(&caller, &check, "was=air%3D41%2520F&air=").await;
    assert!(!caller.get(&check).await.text.contains("value=\"41 F\""));
    let refused = by_form(&caller, &check, "was=&air=warm").await;
    assert_eq!(refused.status, 422);
    assert!(refused.text.contains("Not kept. "), "{}", refused.text);
    assert!(refused.text.contains("value=\"warm\""), "{}", refused.text);
    station.stop().await;
}

#[tokio::test]
async fn a_reading_is_kept_and_means_something_at_once() {
    let station = Station::up().await;
    let caller = station.said("M9").await;
    let check = begun(&station, &caller).await;
    by_script(&caller, &check, "air=41+F&stood=2+h").await;
    let told = by_script(&caller, &check, "reading.tube-1.found=3.7").await;
    assert_eq!(told["kept"][0], "reading.tube-1.found");
    let figure = &told["lines"]["reading.tube-1"]["figures"][0];
    let figure = figure.as_str().expect("what it means");
    assert!(figure.contains("psi"), "{figure}");
    // A tube's pressure in the floor's field is no pressure of a floor.
    let told = by_script(&caller, &check, "reading.floor.found=3.5").await;
    let is_asked = told["lines"]["reading.floor"]["asked"].is_array();
    let is_refused = told["refused"][0]["field"] == "reading.floor.found";
    assert!(is_asked || is_refused, "{told}");
    let told = by_script(&caller, &check, "count.life-jacket.count=some").await;
    assert_eq!(told["refused"][0]["field"], "count.life-jacket.count");
    station.stop().await;
}

#[tokio::test]
async fn two_members_see_what_the_other_did() {
    let station = Station::up().await;
    let one = station.said("M9").await;
    let other = station.said("M1").await;
    let check = begun(&station, &one).await;
    assert_eq!(
        begun(&station, &other).await,
        check,
        "one check, two phones"
    );
    by_script(&one, &check, "count.life-jacket.count=4").await;
    let told = by_script(&other, &check, "answer.drain-plug=yes").await;
    assert_eq!(told["fields"]["count.life-jacket.count"], "4");
    let by = told["lines"]["count.life-jacket"]["by"].as_str();
    assert!(by.expect("who").starts_with("Kept: member M9, "), "{told}");
    // Whoever has said no number looks, and enters nothing.
    let page = station.caller.get(&check).await;
    assert!(page.text.contains("To enter anything, say who you are"));
    let entered = by_form(&station.caller, &check, "was=&air=41+F").await;
    assert_eq!(entered.status, 403, "{}", entered.text);
    let told = by_script(&one, &check, "answer.drain-plug=yes").await;
    assert!(told["fields"].get("air").is_none(), "{told}");
    station.stop().await;
}

#[tokio::test]
async fn the_end_asks_about_what_was_left_out_and_records_all_the_same() {
    let station = Station::up().await;
    let caller = station.said("M9").await;
    let check = begun(&station, &caller).await;
    let told = by_script(&caller, &check, "answer.drain-plug=yes").await;
    let end = caller.get(&format!("{check}/end")).await.text;
    for said in ["Left out", "Record it all the same", "Once it is recorded"] {
        assert!(end.contains(said), "{said}: {end}");
    }
    let record = async |fields: String| {
        let form = format!("token={}&{fields}", caller.token);
        caller.post(&format!("{check}/record"), &form).await
    };
    let entries = &told["entries"];
    let asked = record(format!("entries={entries}")).await;
    assert!(
        asked.text.contains("Record it all the same"),
        "{}",
        asked.text
    );
    let older = record("entries=0&all_the_same=yes".to_owned()).await;
    assert_eq!(older.status, 409, "somebody entered more");
    let done = record(format!("entries={entries}&all_the_same=yes")).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let page = caller.get(&check).await.text;
    for said in [
        "full check recorded",
        "By the device of",
        "waits for the county",
    ] {
        assert!(page.contains(said), "{said}: {page}");
    }
    let told = by_script(&caller, &check, "answer.drain-plug=no").await;
    assert_eq!(told["over"], true);
    station.stop().await;
}

#[tokio::test]
async fn what_was_dropped_is_not_recorded() {
    let station = Station::up().await;
    let caller = station.said("M9").await;
    let check = begun(&station, &caller).await;
    let form = format!("token={}", caller.token);
    let dropped = caller.post(&format!("{check}/drop"), &form).await;
    assert_eq!(dropped.status, 303, "{}", dropped.text);
    let page = caller.get(&check).await.text;
    assert!(page.contains("Nothing of it was recorded"), "{page}");
    assert_eq!(caller.get("/check/ffffffff").await.status, 404);
    station.stop().await;
}
