//! A station's pages: every route with every kind of visit, what comes from elsewhere, and the
//! network, which the policy opens.

use std::collections::BTreeMap;

use sponson_client::commands::serve::{StationUp, serve_up, wanted};
use sponson_client::pages::routes::{Gate, Route, Taken};
use sponson_client::settings::{Places, Settings, SyncSetting};
use sponson_link::county::visitors::PageRole;
use sponson_show::terminal::Exit;
use tokio::sync::oneshot;

use crate::world::{Caller, PATIENCE, Reply, World, form_token};

/// A station that serves its pages on its own machine.
pub(crate) struct Station {
    world: World,
    pub(crate) caller: Caller,
    stop: oneshot::Sender<()>,
    task: tokio::task::JoinHandle<()>,
}

impl Station {
    pub(crate) async fn up() -> Self {
        let world = World::up().await;
        world.joined("north").await;
        let (given, ..) = world.surroundings();
        let places = Places::of("north", Some(&world.path("north"))).expect("a folder");
        let settings = Settings {
            sync: SyncSetting::ByHand,
            ..Settings::read(&places.settings).expect("settings")
        };
        let at = wanted(Some("127.0.0.1:0"), &places, &settings).expect("can be served");
        let up = StationUp::begin(&places, &settings, &given).await;
        let up = up.expect("comes up");
        let up = up.with_pages(&at.expect("pages"), &settings).await;
        let up = up.expect("pages come up");
        let address = up.pages().expect("pages").address();
        let (stop, stopped) = oneshot::channel::<()>();
        let until = async {
            // A dropped sender stops as well.
            let _ = stopped.await;
        };
        let task = tokio::spawn(async { serve_up(up, until).await.expect("ends well") });
        let mut caller = Caller {
            address,
            host: address.to_string(),
            cookie: String::new(),
            token: String::new(),
        };
        caller.token = form_token(&caller.get("/who").await.text);
        Self {
            world,
            caller,
            stop,
            task,
        }
    }

    /// Somebody at the machine who has said a member number.
    pub(crate) async fn said(&self, member: &str) -> Caller {
        let mut caller = self.caller.clone();
        let form = format!("token={}&member={member}&back=%2F", caller.token);
        let kept = caller.post("/who", &form).await;
        assert_eq!(kept.status, 303, "{}", kept.text);
        caller.keep_cookie(&kept);
        caller
    }

    /// Somebody who signed in with a link of the station's own command.
    async fn signed_in(&self, member: &str, role: &str) -> Caller {
        let line = format!("let-in {member} --role {role}");
        let (exit, said) = self.world.run("north", &line).await;
        assert_eq!(exit, Exit::Fine, "{said}");
        let at = said.find("/enter/").expect("a link");
        let link = said[at..].lines().next().expect("its path");
        let mut caller = self.caller.clone();
        let entered = caller.post(link, "").await;
        assert_eq!(entered.status, 303, "{}", entered.text);
        caller.keep_cookie(&entered);
        caller.token = form_token(&caller.get("/sync").await.text);
        caller
    }

    pub(crate) async fn craft(&self) -> String {
        let found = self.caller.get("/find?number=3").await;
        let path = found.header("location");
        path.strip_prefix("/craft/").expect("an id").to_owned()
    }

    pub(crate) async fn stop(self) {
        self.stop.send(()).expect("still serving");
        let ended = tokio::time::timeout(PATIENCE, self.task).await;
        ended.expect("it ends in time").expect("no panic");
    }
}

/// The path of a route with something in its braces.
fn filled(route: &Route, craft: &str) -> String {
    let pieces = route.path.split('/').map(|piece| match piece {
        "{id}" | "{craft}" => craft.to_owned(),
        piece if piece.starts_with('{') => "0".repeat(32),
        piece => piece.to_owned(),
    });
    pieces.collect::<Vec<_>>().join("/")
}

async fn go(caller: &Caller, route: &Route, craft: &str) -> Vec<Reply> {
    let path = filled(route, craft);
    let mut replies = Vec::new();
    let listens = route.path == "/changes" || route.path.ends_with("/news");
    if route.taken != Taken::Form && !listens {
        replies.push(caller.get(&path).await);
    }
    if route.taken != Taken::Read {
        let form = format!("token={}&light=night", caller.token);
        replies.push(caller.post(&path, &form).await);
    }
    replies
}

/// Whether a visit is let through, as far as sign-in, role and who it is go.
fn let_through(reply: &Reply, gate: Gate) -> bool {
    let to_who = reply.header("location").starts_with("/who?back=");
    let sent_to_who = gate == Gate::Records && to_who;
    !sent_to_who && !matches!(reply.status, 401 | 403)
}

#[tokio::test]
async fn every_route_asks_for_what_it_needs() {
    let station = Station::up().await;
    let craft = station.craft().await;
    let nobody = station.caller.clone();
    let said = station.said("M9").await;
    let crew = station.signed_in("M1", "crew").await;
    let lead = station.signed_in("M3", "lead").await;
    let visits = [
        (&nobody, false, None),
        (&said, true, None),
        (&crew, true, Some(PageRole::Crew)),
        (&lead, true, Some(PageRole::Lead)),
    ];
    // Leaving ends what the others need: it is tried with nobody alone.
    let all = Route::all().into_iter().filter(|it| it.path != "/leave");
    for route in all {
        for (caller, known, role) in visits {
            let wanted = match route.gate {
                Gate::Open | Gate::Reads => true,
                Gate::Records => known,
                Gate::SignedIn => role.is_some(),
                Gate::Has(least) => role.is_some_and(|role| role >= least),
            };
            for reply in go(caller, &route, &craft).await {
                let got = let_through(&reply, route.gate);
                assert_eq!(got, wanted, "{} {role:?}: {}", route.path, reply.status);
                assert!(reply.status < 500, "{}: {}", route.path, reply.text);
            }
        }
    }
    let leave = nobody.post("/leave", "token=x").await;
    assert_eq!(leave.status, 401);
    station.stop().await;
}

#[tokio::test]
async fn what_comes_from_elsewhere_changes_nothing() {
    let station = Station::up().await;
    let ours = format!("http://{}", station.caller.host);
    let form = format!("token={}&member=M9", station.caller.token);
    let refused: &[&[(&str, &str)]] = &[
        &[],
        &[("Origin", "null")],
        &[("Origin", "http://evil.example")],
        &[("Sec-Fetch-Site", "cross-site")],
        &[("Sec-Fetch-Site", "same-site"), ("Origin", &ours)],
    ];
    for about in refused {
        let reply = station.caller.post_from("/who", about, &form).await;
        assert_eq!(reply.status, 403, "{about:?}");
        assert!(reply.header("set-cookie").is_empty(), "{about:?}");
    }
    // The machine itself has no session: its forms carry a sign of the process.
    for token in ["", "token=", "token=0000"] {
        let form = format!("{token}&member=M9");
        let reply = station.caller.post("/who", &form).await;
        assert_eq!(reply.status, 403, "{token}");
    }
    let mut elsewhere = station.caller.clone();
    elsewhere.host = "evil.example".to_owned();
    assert_eq!(elsewhere.get("/").await.status, 421);
    assert_eq!(station.caller.post("/who", &form).await.status, 303);
    station.stop().await;
}

#[tokio::test]
async fn a_craft_is_found_by_its_number_however_it_is_typed() {
    let station = Station::up().await;
    let craft = station.craft().await;
    for typed in ["Boat+3", "boat+3", "3", "03", "+3+", "BOAT3"] {
        let found = station.caller.get(&format!("/find?number={typed}")).await;
        assert_eq!(
            found.header("location"),
            format!("/craft/{craft}"),
            "{typed}"
        );
    }
    for typed in ["33", "", "Raft+3"] {
        let found = station.caller.get(&format!("/find?number={typed}")).await;
        assert_eq!(found.status, 404, "{typed}");
    }
    station.stop().await;
}

#[tokio::test]
async fn the_first_page_says_what_is_here_and_how_the_sync_stands() {
    let station = Station::up().await;
    let page = station.caller.get("/").await;
    assert_eq!(page.status, 200, "{}", page.text);
    for said in [
        "North Landing",
        "Boat 3",
        "Boat 4",
        "No full check known",
        "Nothing waits for the county; last synced",
        "Say who you are, then check it",
    ] {
        assert!(page.text.contains(said), "{said}: {}", page.text);
    }
    let known = station.said("M9").await.get("/").await;
    let craft = station.craft().await;
    let action = format!("action=\"/craft/{craft}/check\"");
    assert!(known.text.contains(&action), "{}", known.text);
    assert!(known.text.contains("Member M9"));
    let of_craft = station.caller.get(&format!("/craft/{craft}")).await;
    assert!(of_craft.text.contains(&format!("/fault/{craft}")));
    station.stop().await;
}

#[tokio::test]
async fn a_member_number_is_plain_text_of_a_bounded_length() {
    let station = Station::up().await;
    for (member, kept) in [
        ("M9", true),
        ("+M9+", true),
        ("", false),
        ("%1b%5b2J", false),
        (&"x".repeat(33), false),
        (&"x".repeat(32), true),
    ] {
        let form = format!("token={}&member={member}", station.caller.token);
        let reply = station.caller.post("/who", &form).await;
        assert_eq!(reply.status == 303, kept, "{member}: {}", reply.status);
        assert_eq!(reply.header("set-cookie").is_empty(), !kept, "{member}");
    }
    station.stop().await;
}

#[tokio::test]
async fn the_network_is_closed_until_the_policy_opens_it() {
    let world = World::up().await;
    world.joined("north").await;
    let places = Places::of("north", Some(&world.path("north"))).expect("a folder");
    let settings = Settings {
        pages_name: Some("north.example".to_owned()),
        ..Settings::read(&places.settings).expect("settings")
    };
    let at = wanted(Some("0.0.0.0:0"), &places, &settings);
    let at = at.expect("can be").expect("pages");
    let (given, ..) = world.surroundings();
    let begin = async || {
        let up = StationUp::begin(&places, &settings, &given).await;
        up.expect("comes up").with_pages(&at, &settings).await
    };
    let refused = begin().await.expect_err("the policy says no");
    let said = refused.to_string();
    assert!(said.contains("station_network = \"no\""), "{said}");
    assert!(said.contains("ask the lead"), "{said}");
    let policy = sponson_readiness::standard::Policy::default_text();
    let opened = policy.replace("station_network = \"no\"", "station_network = \"yes\"");
    assert_ne!(policy, opened);
    let file = world.path("policy.toml");
    std::fs::write(&file, opened).expect("writes");
    let line = format!("adopt --policy {}", file.display());
    world.county(&line).await;
    let (exit, said) = world.run("north", "sync").await;
    assert_eq!(exit, Exit::Fine, "{said}");
    let up = begin().await.expect("the policy says yes");
    let pages = up.pages().expect("pages").said().join("\n");
    assert!(pages.contains("https://north.example:"), "{pages}");
    assert!(pages.contains("certificate, SHA-256: "), "{pages}");
}

/// Adds what a browser would keep for this host, whatever the port: the newest of each name.
fn keep(jar: &mut BTreeMap<String, String>, caller: &Caller) {
    let (name, value) = caller.cookie.split_once('=').expect("a cookie");
    jar.insert(name.to_owned(), value.to_owned());
}

/// Cookies know no ports (RFC 6265, 8.5): a browser that visits the county and the station of one
/// machine sends each the cookies of both, and one of the same name would take the other's place.
#[tokio::test]
async fn signing_in_at_the_station_signs_nobody_out_at_the_county() {
    let station = Station::up().await;
    let mut county = station.world.signed_in("M17", "coordinator").await;
    let mut jar = BTreeMap::new();
    keep(&mut jar, &county);
    let mut here = station.signed_in("M18", "lead").await;
    keep(&mut jar, &here);
    keep(&mut jar, &station.said("M19").await);
    let all = jar.iter().map(|(name, value)| format!("{name}={value}"));
    let all = all.collect::<Vec<_>>().join("; ");
    for (caller, member) in [(&mut county, "M17"), (&mut here, "M18")] {
        caller.cookie.clone_from(&all);
        let page = caller.get("/").await;
        assert!(page.text.contains(&format!("Member {member}")), "{member}");
    }
    station.stop().await;
}
