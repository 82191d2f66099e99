//! The station's pages of work beside the check: every form records as its command does, refuses what
//! cannot be beside its field, and records nothing twice.

use crate::world::{Caller, World, form_token};

/// A station with its pages, a member who said who it is, and the id of Boat 3.
struct Station {
    world: World,
    caller: Caller,
    craft: String,
}

impl Station {
    async fn up() -> Self {
        let mut world = World::up().await;
        let gear = world.path("gear.csv");
        std::fs::write(&gear, "number,type,station\nM3,motor,North Landing\n").expect("writes");
        let bags = world.path("bags.csv");
        std::fs::write(
            &bags,
            "number,station\nB7,North Landing\nB9,North Landing\n",
        )
        .expect("writes");
        world
            .county(&format!("bring-in --gear {}", gear.display()))
            .await;
        world
            .county(&format!("bring-in --bags {}", bags.display()))
            .await;
        let mut caller = world.station("M2").await;
        caller.token = form_token(&caller.get("/crews").await.text);
        let found = caller.get("/find?number=Boat%203").await;
        let path = found.header("location");
        let craft = path.strip_prefix("/craft/").expect("an id").to_owned();
        Self {
            world,
            caller,
            craft,
        }
    }

    /// Sends a form; gives the page that follows.
    async fn done(&self, path: &str, form: &str) -> String {
        let path = path.replace("ID", &self.craft);
        let form = format!("token={}&{form}", self.caller.token);
        let reply = self.caller.post(&path, &form).await;
        assert_eq!(reply.status, 303, "{path} {form}: {}", reply.text);
        let next = self.caller.get(reply.header("location")).await;
        assert_eq!(next.status, 200, "{}", next.text);
        next.text
    }

    /// Entries that the station has written.
    async fn waiting(&self) -> String {
        let (_, said) = self.world.run("station", "about").await;
        let line = said
            .lines()
            .find(|line| line.contains("waiting for the county"));
        line.expect("it is told").to_owned()
    }

    /// What the log says, an entry a line, its columns from the member on.
    async fn log(&self) -> String {
        let (_, table) = self.world.run("station", "log --last 100").await;
        let mut lines = table.lines();
        let head = lines.next().expect("a head");
        let from = head.find("member").expect("a column");
        let to = head.find("county").expect("a column");
        let mut all = String::new();
        for line in lines {
            let gap = if line.starts_with(' ') { ' ' } else { '\n' };
            let cells: String = line.chars().skip(from).take(to - from).collect();
            let words: Vec<&str> = cells.split_whitespace().collect();
            all.push(gap);
            all.push_str(&words.join(" "));
        }
        all
    }
}

#[tokio::test]
async fn what_is_entered_is_recorded_as_the_command_does_and_said() {
    let station = Station::up().await;
    for (path, form, page, log) in [
        (
            "/use/ID",
            "time=90min&water=salt&hard=yes&used-up.throw-bag=1&mission=flood&note=wind",
            "on the water for 1 h 30 min",
            "1 h 30 min",
        ),
        (
            "/air/ID",
            "part=tube-1&done=added&before=3psi&after=3.5psi&by=hand-pump",
            "air added to tube-1",
            "air",
        ),
        (
            "/fault/ID",
            "part=tube-2&class=leak&severity=restrictive&side=port&from-transom=40cm&face=top&mission=flood",
            "leak at tube-2",
            "leak at tube-2",
        ),
        (
            "/inspect/ID",
            "inspection=engine-service&result=passed&meter=112.4h",
            "engine-service passed",
            "engine",
        ),
        (
            "/service/ID",
            "do=out&reason=rest&note=tired",
            "out of service (rest)",
            "out of service",
        ),
        (
            "/service/ID",
            "do=back&note-back=slept",
            "back in service",
            "back in service",
        ),
        (
            "/move",
            "thing=M3&to=Boat+3",
            "M3: fitted to Boat 3 as motor",
            "M3",
        ),
        ("/move", "thing=B7&to=Boat+3", "B7: now at Boat 3", "B7"),
        ("/move", "for=B7&spare=B9", "B9: now at Boat 3", "B9"),
        (
            "/lend",
            "from=Boat+3&to=Boat+4&item=throw-bag&left=1&there=3",
            "lent to Boat 4",
            "lent by Boat 3",
        ),
        (
            "/crews",
            "crews=2&persons=6&for=12h&operator=214,+220",
            "2 crews until",
            "crews",
        ),
    ] {
        let text = station.done(path, form).await;
        for said in [page, "waiting to be sent", "(event "] {
            assert!(text.contains(said), "{path}: {said}: {text}");
        }
        let written = station.log().await;
        assert!(
            written.contains(log) && written.contains("M2"),
            "{path}: {log}: {written}"
        );
    }
    let text = station.caller.get("/lend").await.text;
    assert!(text.contains("Boat 4 has it, of Boat 3"), "{text}");
}

#[tokio::test]
async fn what_cannot_be_is_told_beside_its_field_and_leaves_nothing() {
    let station = Station::up().await;
    let before = station.waiting().await;
    for (path, form, field, said) in [
        ("/use/ID", "time=", "time", "nothing was given"),
        ("/use/ID", "time=soon", "time", "soon"),
        ("/use/ID", "time=1h&water=muddy", "water", "muddy"),
        (
            "/use/ID",
            "time=1h&used-up.throw-bag=many",
            "used-up.throw-bag",
            "whole number",
        ),
        ("/use/ID", "time=1h&release=yes", "release", "not assigned"),
        (
            "/use/ID",
            "time=1h&observed=tomorrow",
            "observed",
            "tomorrow",
        ),
        ("/air/ID", "part=transom&done=added", "part", "holds no air"),
        (
            "/air/ID",
            "part=tube-1&done=added&before=3psi&after=2psi",
            "after",
            "gauge rise",
        ),
        ("/fault/ID", "", "class", "nothing was given"),
        (
            "/fault/ID",
            "part=tube-9&class=leak&severity=major",
            "part",
            "tube-9",
        ),
        (
            "/fault/ID",
            "part=tube-2&class=leak&severity=awful",
            "severity",
            "awful",
        ),
        (
            "/fault/ID",
            "part=tube-2&class=leak&severity=major&from-transom=far",
            "from-transom",
            "far",
        ),
        (
            "/inspect/ID",
            "inspection=hold-test",
            "result",
            "say passed or failed",
        ),
        (
            "/inspect/ID",
            "inspection=engine-service&result=passed&meter=much",
            "meter",
            "much",
        ),
        ("/service/ID", "do=out&reason=bored", "reason", "bored"),
        ("/service/ID", "do=back", "", "not out of service"),
        ("/repair/ID", "method=welded", "", "nothing was given"),
        ("/sign-off/ID", "fault=00000000-0", "", "00000000-0"),
        ("/move", "thing=Boat+3&to=Boat+4", "to", "give a station"),
        ("/move", "thing=M9&to=Boat+4", "thing", "not known"),
        ("/move", "for=B7&spare=B9", "", "on no craft"),
        (
            "/lend",
            "from=Boat+3&to=Boat+3&item=throw-bag&left=1&there=1",
            "to",
            "gave it",
        ),
        (
            "/lend",
            "from=Boat+3&to=Boat+4&item=throw-bag&left=one&there=1",
            "left",
            "one",
        ),
        ("/crews", "crews=2", "until", "nothing was given"),
        ("/crews", "crews=0&persons=3&for=2h", "crews", "no crew"),
    ] {
        let path = path.replace("ID", &station.craft);
        let form = format!("token={}&{form}", station.caller.token);
        let reply = station.caller.post(&path, &form).await;
        assert_eq!(reply.status, 400, "{path} {form}: {}", reply.text);
        assert!(
            reply.text.contains(said),
            "{path} {form}: {said}: {}",
            reply.text
        );
        let beside = format!("id=\"e-{field}\"");
        let is_beside = field.is_empty() || reply.text.contains(&beside);
        assert!(is_beside, "{path} {form}: {field}: {}", reply.text);
    }
    assert_eq!(station.waiting().await, before);
}

#[tokio::test]
async fn a_button_that_is_pressed_twice_records_once() {
    let station = Station::up().await;
    let path = format!("/use/{}", station.craft);
    let page = station.caller.get(&path).await.text;
    let (_, rest) = page
        .split_once("name=\"once\" value=\"")
        .expect("a name of the copy");
    let once = rest.split('"').next().expect("its value");
    let form = format!("token={}&once={once}&time=2h", station.caller.token);
    let both = tokio::join!(
        station.caller.post(&path, &form),
        station.caller.post(&path, &form)
    );
    assert_eq!(
        (both.0.status, both.1.status),
        (303, 303),
        "{}",
        both.1.text
    );
    assert_eq!(both.0.header("location"), both.1.header("location"));
    let log = station.log().await;
    assert_eq!(log.matches("used for 2 h").count(), 1, "{log}");
}

#[tokio::test]
async fn the_same_defect_twice_is_asked_back() {
    let station = Station::up().await;
    let form = "part=tube-2&class=leak&severity=major&side=port";
    station.done("/fault/ID", form).await;
    let path = format!("/fault/{}", station.craft);
    let sent = format!("token={}&{form}", station.caller.token);
    let asked = station.caller.post(&path, &sent).await;
    assert_eq!(asked.status, 200);
    assert!(
        asked.text.contains("The same as this one?"),
        "{}",
        asked.text
    );
    let log = station.log().await;
    assert_eq!(log.matches("leak at tube-2").count(), 1, "{log}");
    station.done("/fault/ID", &format!("{form}&same=no")).await;
    // On the other side it is another one.
    let text = station
        .done(
            "/fault/ID",
            "part=tube-2&class=leak&severity=major&side=starboard",
        )
        .await;
    let name = text
        .split("fault ")
        .find_map(|rest| rest.get(..10).filter(|it| it.ends_with("-0")));
    let name = name.expect("its name");
    let text = station
        .done(
            "/repair/ID",
            &format!("fault={name}&method=patch-two-part&no-launch=72h"),
        )
        .await;
    assert!(text.contains("open until signed off"), "{text}");
    let text = station.done("/sign-off/ID", &format!("fault={name}")).await;
    assert!(text.contains("signed off"), "{text}");
}

#[tokio::test]
async fn use_is_followed_by_what_is_owed_and_each_is_done_by_a_press() {
    let station = Station::up().await;
    station.world.county("assign 'Boat 3' 'Flood 12'").await;
    station.world.run("station", "sync").await;
    let page = station
        .caller
        .get(&format!("/use/{}", station.craft))
        .await
        .text;
    assert!(page.contains("Release it from Flood 12"), "{page}");
    let text = station
        .done("/use/ID", "time=2h&water=salt&release=yes")
        .await;
    for said in [
        "released from Flood 12",
        "Owed before it is ready again",
        "value=\"motor-flush\"",
    ] {
        assert!(text.contains(said), "{said}: {text}");
    }
    station.world.later(600_000);
    let text = station
        .done(
            "/inspect/ID",
            "inspection=motor-flush&result=passed&back=use",
        )
        .await;
    assert!(text.contains("motor-flush passed"), "{text}");
    assert!(!text.contains("value=\"motor-flush\""), "{text}");
}

#[tokio::test]
async fn a_hold_test_is_entered_part_by_part_and_a_contradiction_is_asked_back() {
    let station = Station::up().await;
    let lost = "inspection=hold-test&start.tube-1=260mbar%4080F&end.tube-1=100mbar%4080F&hours=24&result=passed";
    let path = format!("/inspect/{}", station.craft);
    let form = format!("token={}&{lost}", station.caller.token);
    let asked = station.caller.post(&path, &form).await;
    assert_eq!(asked.status, 400, "{}", asked.text);
    for said in ["id=\"e-yes\"", "test for leaks", "260mbar@80F"] {
        assert!(asked.text.contains(said), "{said}: {}", asked.text);
    }
    let text = station
        .done("/inspect/ID", &format!("{lost}&yes=yes"))
        .await;
    assert!(text.contains("hold-test passed"), "{text}");
}

#[tokio::test]
async fn a_craft_is_handed_on_once_it_was_shown_what_goes_along() {
    let station = Station::up().await;
    let other = station.world.path("other.csv");
    let sheet =
        "call sign,model,station,persons,total (lb),hp\nRidge 1,inflatable-14,Ridge,10,2600,40\n";
    std::fs::write(&other, sheet).expect("writes");
    let line = format!("bring-in --craft {} --register-stations", other.display());
    station.world.county(&line).await;
    station.world.run("station", "sync").await;
    station
        .done("/fault/ID", "part=tube-2&class=leak&severity=major")
        .await;
    station.done("/move", "thing=B7&to=Boat+3").await;
    let form = format!("token={}&thing=Boat+3&to=Ridge", station.caller.token);
    let asked = station.caller.post("/move", &form).await;
    assert_eq!(asked.status, 200, "{}", asked.text);
    for said in [
        "goes all that is known of it",
        "leak at tube-2",
        "B7",
        "Nothing was recorded yet",
    ] {
        assert!(asked.text.contains(said), "{said}: {}", asked.text);
    }
    let text = station
        .done("/move", "thing=Boat+3&to=Ridge&seen=yes")
        .await;
    assert!(text.contains("Boat 3: now at Ridge"), "{text}");
    let log = station.log().await;
    assert!(
        log.contains("leak at tube-2") && log.contains("at Ridge"),
        "{log}"
    );
}

#[tokio::test]
async fn fitting_out_is_ticked_off_with_who_and_when() {
    let station = Station::up().await;
    let page = station
        .caller
        .get(&format!("/fit-out/{}", station.craft))
        .await;
    assert_eq!(page.status, 200, "{}", page.text);
    for said in [
        "steps done",
        "To do: ",
        "/inspect/",
        "/crews",
        "fitting-out",
    ] {
        assert!(page.text.contains(said), "{said}: {}", page.text);
    }
    for part in [
        "tube-1", "tube-2", "tube-3", "tube-4", "tube-5", "keel", "floor",
    ] {
        let form = format!("part={part}&done=added&by=hand-pump");
        station.done("/air/ID", &form).await;
    }
    let page = station
        .caller
        .get(&format!("/fit-out/{}", station.craft))
        .await;
    assert!(
        page.text.contains("member M2, North Landing"),
        "{}",
        page.text
    );
}

#[tokio::test]
async fn a_form_from_elsewhere_or_of_nobody_records_nothing() {
    let station = Station::up().await;
    let before = station.waiting().await;
    let path = format!("/use/{}", station.craft);
    let unknown = "0".repeat(32);
    let token = &station.caller.token;
    for (path, form) in [
        (path.clone(), "time=1h".to_owned()),
        (path.clone(), "token=wrong&time=1h".to_owned()),
        (format!("/use/{unknown}"), format!("token={token}&time=1h")),
        ("/use/../x".to_owned(), format!("token={token}&time=1h")),
    ] {
        let reply = station.caller.post(&path, &form).await;
        assert!(
            (400..500).contains(&reply.status),
            "{path}: {}",
            reply.status
        );
    }
    let nobody = Caller {
        cookie: String::new(),
        ..station.caller.clone()
    };
    let reply = nobody.post(&path, &format!("token={token}&time=1h")).await;
    assert!((400..500).contains(&reply.status), "{}", reply.status);
    assert_eq!(station.waiting().await, before);
}
