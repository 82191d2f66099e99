//! A station and its county with a real line between them, which is cut in the middle of a sync, or
//! of a join, by real means: what was acknowledged arrives once, and whoever waits is told in words.

use std::net::{Ipv4Addr, SocketAddr};
use std::process::Command;
use std::time::Duration;

use end_to_end::county::{
    World, about, admitted, answer, county_moved, differences, text, tomorrow, verify,
};
use end_to_end::faults::{Outcome, Seeded, Tally, copy_folder, seed};
use end_to_end::poor_network::{Passes, Quality, TwoHosts, inside};
use end_to_end::process::{DEADLINE, Device, Ended, Running, wait_for, within};
use end_to_end::relay::Way;

const SEED: u64 = 0x0ff0_1f1f_5eed_0004;

/// How long one command may take over a line: as long as any, and what a slow line needs beside. A
/// call is given up after 30 s, a connection that is silent after 40 s.
const OVER_A_LINE: Duration = Duration::from_secs(2 * DEADLINE.as_secs());

/// Tries until a sync goes through: a line that loses packets may cut one.
const TRIES: usize = 5;

/// How long all scenes may take.
const ALL_MOST: Duration = Duration::from_secs(15 * 60);

/// Bytes that the station sends in a sync before the line is cut: after the handshake, which takes
/// about 2 KiB each way.
const CUT_AT: (u64, u64) = (4_000, 16_000);

/// A line that is slow enough to be cut in the middle of what it carries.
const SLOW: Quality = Quality {
    late_ms: (30, 60),
    lost: 0,
    doubled: 0,
    bits_s: Some(64_000),
};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Scene {
    /// Late, lossy, doubled, out of order, the whole time.
    FarAway,
    /// 9,600 bits in a second.
    Slow,
    /// In the middle nothing passes any more, and nobody is told.
    Silence,
    /// In the middle what the county says is lost, and it goes on hearing the station.
    RepliesLost,
    /// The station's device goes down for two seconds.
    LinkDown,
    /// The station is in another network from then on.
    OtherAddress,
    /// A router on the way forgets the connection.
    RouterForgets,
    /// The reply to a join is lost: the code was used, and the station does not know.
    JoinCut,
}

const SCENES: [Scene; 8] = [
    Scene::Silence,
    Scene::RepliesLost,
    Scene::OtherAddress,
    Scene::RouterForgets,
    Scene::JoinCut,
    Scene::Slow,
    Scene::FarAway,
    Scene::LinkDown,
];

impl Scene {
    /// The line before anything is cut.
    const fn line(self) -> Quality {
        match self {
            Self::FarAway => Quality {
                late_ms: (200, 350),
                lost: 50,
                doubled: 100,
                bits_s: None,
            },
            Self::Slow => Quality {
                late_ms: (150, 200),
                lost: 0,
                doubled: 0,
                bits_s: Some(9_600),
            },
            Self::Silence
            | Self::RepliesLost
            | Self::LinkDown
            | Self::OtherAddress
            | Self::RouterForgets => SLOW,
            Self::JoinCut => Quality {
                late_ms: (20, 20),
                lost: 0,
                doubled: 0,
                bits_s: None,
            },
        }
    }

    /// Events that wait for the line.
    const fn events(self) -> u64 {
        match self {
            Self::Slow => 40,
            Self::JoinCut => 5,
            Self::FarAway
            | Self::Silence
            | Self::RepliesLost
            | Self::LinkDown
            | Self::OtherAddress
            | Self::RouterForgets => 400,
        }
    }
}

/// Where the station is after it moved.
const ELSEWHERE: Ipv4Addr = Ipv4Addr::new(10, 77, 0, 3);

struct Ends {
    hosts: TwoHosts,
    county: Device,
    station: Device,
    up: Running,
    address: SocketAddr,
}

#[test]
fn a_line_that_is_cut_or_poor_loses_and_doubles_nothing() {
    if !inside(
        "poor_network::a_line_that_is_cut_or_poor_loses_and_doubles_nothing",
        ALL_MOST,
    ) {
        return;
    }
    let seed = seed(SEED);
    let mut tally = Tally::begin(
        "cut-network",
        "a real line between county and station that is slow, lossy, doubled, out of order, silent, \
         down, or another one in the middle of a sync or a join",
        seed,
    );
    let world = World::founded();
    let made = std::sync::atomic::AtomicU64::new(0);
    let scenes = u64::try_from(SCENES.len()).expect("few");
    tally
        .at_once(SCENES.len())
        .try_each(scenes, |number, seeded| {
            let scene = SCENES[usize::try_from(number).expect("few")];
            let nth = made.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
            play(scene, &world, nth, seeded)
        });
    tally.end();
}

fn play(scene: Scene, world: &World, nth: u64, seeded: &mut Seeded) -> Outcome {
    let hosts = TwoHosts::nth(nth, seeded.between((1, u64::MAX)));
    let (county, station) = (
        world.path(&format!("county-{nth}")),
        world.path(&format!("station-{nth}")),
    );
    copy_folder(world.county().folder(), &county);
    let county = Device::county(&county).in_network_of(hosts.county.id());
    let station = Device::station(&station).in_network_of(hosts.station.id());
    let code = admitted(&county, "Millrace");
    let (up, address) = county.serve_county_at(hosts.county.address);
    let ends = Ends {
        hosts,
        county,
        station,
        up,
        address,
    };
    let join = ["join", &code, "--county", &address.to_string()];
    if scene == Scene::JoinCut {
        ends.cut(scene, &join, seeded);
    }
    ends.station.fine(&join);
    county_moved(&ends.station, ends.address);
    goes_through(scene, &ends);
    let kept = records(&ends.station, scene.events());
    let before = about(&ends.county, "events held");
    ends.hosts.line.is(scene.line());
    if !matches!(scene, Scene::FarAway | Scene::Slow | Scene::JoinCut) {
        ends.cut(scene, &["sync"], seeded);
    }
    goes_through(scene, &ends);
    ends.hosts.line.is(Quality::default());
    goes_through(scene, &ends);
    look(scene, ends, before, &kept)
}

impl Ends {
    /// Begins a command, cuts the line in the middle of it, and lets the line be whole again.
    fn cut(&self, scene: Scene, args: &[&str], seeded: &mut Seeded) {
        let line = &self.hosts.line;
        line.is(scene.line());
        let at = line.carried().to_county
            + match scene {
                // The client's first flight is 1.5 KiB, what it says after that is the join.
                Scene::JoinCut => seeded.between((1_800, 3_600)),
                Scene::FarAway
                | Scene::Slow
                | Scene::Silence
                | Scene::RepliesLost
                | Scene::LinkDown
                | Scene::OtherAddress
                | Scene::RouterForgets => seeded.between(CUT_AT),
            };
        let mut under_way = self.station.start(args);
        wait_for("the middle of it", || {
            (line.carried().to_county >= at || !under_way.is_up()).then_some(())
        });
        let station = &self.hosts.station;
        match scene {
            Scene::Silence => line.passes(Passes::Nothing),
            Scene::RepliesLost | Scene::JoinCut => line.passes(Passes::Only(Way::ToCounty)),
            Scene::LinkDown => {
                station.link("down");
                std::thread::sleep(Duration::from_secs(2));
                station.link("up");
            }
            Scene::OtherAddress => {
                // In this order: an address goes together with the first of its network.
                station.lost_address(station.address);
                station.has_address(ELSEWHERE);
            }
            Scene::RouterForgets => line.forgets(),
            Scene::FarAway | Scene::Slow => {}
        }
        let ended = under_way.wait_within(OVER_A_LINE);
        line.passes(Passes::All);
        told(scene, &ended);
        let may_be_fine = matches!(scene, Scene::LinkDown | Scene::JoinCut);
        assert!(
            may_be_fine || ended.code() == Some(5),
            "{scene:?}: {ended:?}"
        );
    }
}

/// A command that did not go through says so, and what to do.
fn told(scene: Scene, ended: &Ended) {
    let in_words = match ended.code() {
        Some(0) => true,
        Some(5) => ended.err.contains("again"),
        _ => false,
    };
    assert!(in_words, "{scene:?}: {ended:?}");
}

/// Syncs until one goes through.
fn goes_through(scene: Scene, ends: &Ends) {
    for _ in 0..TRIES {
        let ended = ends.station.start(&["sync"]).wait_within(OVER_A_LINE);
        told(scene, &ended);
        if ended.code() == Some(0) {
            return;
        }
    }
    panic!(
        "{scene:?}: no sync in {TRIES} went through: {:?}",
        ends.hosts.line.carried()
    );
}

/// Records at a station; gives the ids that it acknowledged.
fn records(station: &Device, count: u64) -> Vec<String> {
    let mut command = Command::new(env!("CARGO_BIN_EXE_keeps"));
    command.args([text(station.folder()), &count.to_string()]);
    let ended = within(command, OVER_A_LINE).unwrap_or_else(|hangs| panic!("{hangs}"));
    assert_eq!(ended.code(), Some(0), "{ended:?}");
    let ids = ended
        .out
        .lines()
        .filter_map(|line| line.strip_prefix("kept "));
    ids.map(str::to_owned).collect()
}

/// Both hold everything once, and say the same.
fn look(scene: Scene, ends: Ends, before: u64, kept: &[String]) -> Outcome {
    let mut outcome = Outcome::default();
    let (county, station) = (&ends.county, &ends.station);
    let count = u64::try_from(kept.len()).expect("few");
    let held = about(county, "events held");
    if held != before + count {
        outcome.lost(
            (before + count).abs_diff(held),
            format!("{scene:?}: {held} of {before} + {count}"),
        );
    }
    assert_eq!(about(station, "events held"), held, "{scene:?}");
    assert_eq!(about(station, "waiting for the county"), 0, "{scene:?}");
    let as_of = tomorrow();
    let (there, here) = (
        answer(county, "answer", &as_of),
        answer(station, "ready", &as_of),
    );
    for apart in differences(&there["craft"], &here["craft"]) {
        outcome.wrong(format!("{scene:?}: {apart}"));
    }
    assert_eq!(ends.up.terminate().code(), Some(0), "{scene:?}");
    verify(county);
    verify(station);
    let carried = ends.hosts.line.carried();
    if scene == Scene::FarAway {
        assert!(carried.lost + carried.doubled > 0, "{carried:?}");
    }
    if matches!(
        scene,
        Scene::Silence | Scene::RepliesLost | Scene::RouterForgets
    ) {
        assert!(carried.stopped > 0, "{scene:?}: {carried:?}");
    }
    outcome
}
