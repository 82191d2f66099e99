//! The pages of what keeps failing: who reads them, who decides, what is refused.

use crate::world::World;

/// A page is there for whoever may read; the same for programs and spreadsheets.
#[tokio::test]
async fn what_keeps_failing_is_shown() {
    let world = World::up().await;
    let caller = world.caller();
    for (path, said) in [
        ("/faults", "What keeps failing"),
        (
            "/faults?by=method&per=uses&from=2020",
            "how it was repaired",
        ),
        ("/faults?craft=boat%203", "on Boat 3"),
        ("/faults.json?by=craft", "\"by\": \"craft\""),
        ("/faults.csv", "as_of,fault,craft"),
        ("/repairs.csv", "as_of,repair,at"),
        ("/what_to_do.csv", "as_of,rank,action"),
    ] {
        let page = caller.get(path).await;
        assert_eq!(page.status, 200, "{path}: {}", page.text);
        assert!(page.text.contains(said), "{path}: {}", page.text);
    }
    for (path, status, said) in [
        ("/faults?by=boat", 400, "boat"),
        ("/faults?from=spring", 400, "spring"),
        ("/faults?from=2099", 400, "before the judged moment"),
        ("/faults?craft=boat%2099", 400, "99"),
        ("/faults?mission=flood", 400, "mission"),
        ("/faults/group?by=craft&group=nowhere", 404, "no such group"),
    ] {
        let page = caller.get(path).await;
        assert_eq!(page.status, status, "{path}");
        assert!(page.text.contains(said), "{path}: {}", page.text);
    }
}

/// The lead decides from the page as by the command; nobody else does.
#[tokio::test]
async fn the_lead_decides() {
    let world = World::up().await;
    let craft = world.craft("Boat%203").await;
    let lead = world.signed_in("M3", "lead").await;
    let coordinator = world.signed_in("M2", "coordinator").await;
    let form = |token: &str, rest: &str| {
        format!("token={token}&craft=%23{craft}&part=transom&back=%2Ffaults%3Fby%3Dcraft&{rest}")
    };
    let path = "/faults/decide";
    let watch = "action=watch&why=Third+summer";
    let refused = coordinator
        .post(path, &form(&coordinator.token, watch))
        .await;
    assert_eq!(refused.status, 403);
    for (rest, said) in [
        ("action=watch&why=", "why is empty"),
        ("action=mend&why=a", "mend"),
        ("action=hold&why=a", "--model or --batch"),
        ("action=watch&why=a&fault=00000000-0", "00000000"),
    ] {
        let reply = lead.post(path, &form(&lead.token, rest)).await;
        assert_eq!(reply.status, 400, "{rest}");
        assert!(reply.text.contains(said), "{rest}: {}", reply.text);
        assert!(reply.text.contains("Nothing was recorded"), "{rest}");
    }
    let log = world.county("log 'Boat 3'").await;
    assert!(!log.contains("decided"), "{log}");
    let done = lead.post(path, &form(&lead.token, watch)).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(done.header("location"), "/faults?by=craft");
    let page = lead.get("/faults?craft=boat%203").await;
    for said in ["Watch: Boat 3", "by M3"] {
        assert!(page.text.contains(said), "{said}: {}", page.text);
    }
    // What stands in `back` leads nowhere else.
    let away = format!(
        "token={}&craft=%23{craft}&action=watch&why=a&back=%2F%2Felsewhere",
        lead.token
    );
    assert_eq!(lead.post(path, &away).await.header("location"), "/faults");
}
