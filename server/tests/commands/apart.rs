//! Two stations, apart, record different things: every sort of disagreement through the commands,
//! on real folders, met with the county in either order, listed alike everywhere, then settled.

use std::collections::BTreeMap;

use serde_json::Value;
use sponson_show::terminal::Exit;

use crate::world::{Serving, World};

/// One sort of disagreement, on craft of its own.
struct Row {
    /// The word under which it is listed.
    differ: &'static str,
    /// The thing under whose number it is listed; under either where that differs.
    subject: &'static str,
    /// What north recorded while the stations still met.
    before: &'static [&'static str],
    /// What each then recorded, not knowing of the other.
    north: &'static [&'static str],
    south: &'static [&'static str],
    /// What counts until it is settled.
    until: &'static str,
    /// Who settles it, and how.
    settle: (&'static str, &'static str),
}

/// A line `name := command` keeps the last word that the command said as `{name}`; behind `<<`
/// stands what a check file holds.
const ROWS: &[Row] = &[
    Row {
        differ: "fault_and_sign_off",
        subject: "R1",
        before: &["old := fault R1 tube-1 tear --severity major"],
        north: &["unseen := fault R1 tube-1 leak --severity restrictive"],
        south: &["sign-off R1 {old}"],
        until: "the fault is open: a sign-off closes only what it names",
        settle: ("south", "sign-off R1 {unseen}"),
    },
    Row {
        differ: "defect_twice",
        subject: "R2",
        before: &[],
        north: &["one := fault R2 transom crack --severity major --side port"],
        south: &["other := fault R2 transom crack --severity restrictive --side port"],
        until: "each is open",
        settle: ("north", "sign-off R2 {one} --also {other}"),
    },
    Row {
        differ: "no_then_yes",
        subject: "R3",
        before: &[],
        north: &["no := check R3 <<[answers]\nsteering = 'no'"],
        south: &["check R3 <<[answers]\nsteering = 'yes'"],
        until: "the fault is open: a sign-off closes only what it names",
        settle: ("south", "sign-off R3 {no}-10000"),
    },
    Row {
        differ: "out_and_returned",
        subject: "R4",
        before: &["out R4 rest"],
        north: &["back R4"],
        south: &["out R4 mechanical"],
        until: "it is out of service",
        settle: ("north", "back R4"),
    },
    Row {
        differ: "counts",
        subject: "R5",
        before: &["check R5 <<[counts.paddle]\ncount = 6"],
        north: &[
            "check R5 <<[counts.paddle]\ncount = 1",
            "check R5 <<[counts.paddle]\ncount = 2",
        ],
        south: &["check R5 <<[counts.paddle]\ncount = 5"],
        until: "the worse counts: 2",
        settle: ("south", "check R5 <<[counts.paddle]\ncount = 4"),
    },
    Row {
        differ: "readings",
        subject: "R6",
        before: &[],
        north: &["check R6 <<[readings.tube-1]\nfound = '3.5 psi'"],
        south: &["check R6 <<[readings.tube-1]\nfound = '2.9 psi'"],
        until: "the worse counts: 2.90 psi",
        settle: ("north", "check R6 <<[readings.tube-1]\nfound = '3.4 psi'"),
    },
    // Air added by one, the gauge read by the other.
    Row {
        differ: "readings",
        subject: "R7",
        before: &["check R7 <<[readings.tube-2]\nfound = '3.0 psi'"],
        north: &["air R7 tube-2 added --before 3psi --after 3.6psi"],
        south: &["check R7 <<[readings.tube-2]\nfound = '2.8 psi'"],
        until: "the worse counts: 2.80 psi",
        settle: ("south", "check R7 <<[readings.tube-2]\nfound = '3.4 psi'"),
    },
    // Old paper, entered late: it does not beat what was read since.
    Row {
        differ: "readings",
        subject: "R8",
        before: &[],
        north: &[
            "check R8 <<[readings.tube-3]\nfound = '2.7 psi'",
            "--observed '2026-03-13 08:30' check R8 <<[readings.tube-3]\nfound = '3.6 psi'",
        ],
        south: &[],
        until: "the worse counts: 2.70 psi",
        settle: ("south", "check R8 <<[readings.tube-3]\nfound = '3.5 psi'"),
    },
    Row {
        differ: "placed_twice",
        subject: "R9",
        before: &[],
        north: &["move R9 'North Landing'"],
        south: &["move R9 'South Bank'"],
        until: "not offered from either without saying so: go and look",
        settle: ("north", "move R9 'South Bank'"),
    },
    Row {
        differ: "found_twice",
        subject: "M3",
        before: &[],
        north: &["move M3 R10"],
        south: &["move M3 R11"],
        until: "it counts at neither",
        settle: ("south", "move M3 R11"),
    },
    // A trailer, put at one craft and seen at another.
    Row {
        differ: "found_twice",
        subject: "T1",
        before: &[],
        north: &["move T1 R10"],
        south: &["check R11 <<aboard = ['T1']"],
        until: "it counts at neither",
        settle: ("north", "check R10 <<aboard = ['T1']"),
    },
    Row {
        differ: "found_twice",
        subject: "B7",
        before: &[],
        north: &["move B7 R10"],
        south: &["move B7 R11"],
        until: "it counts at neither",
        settle: ("north", "move B7 R10"),
    },
    Row {
        differ: "kit_moved",
        subject: "R12",
        before: &[
            "move B8 R12",
            "check R12 <<[counts.throw-bag]\ncount = 2\nbag = 'B8'",
        ],
        north: &["move B8 R13"],
        south: &["check R12 <<[counts.throw-bag]\ncount = 3"],
        until: "1 counts here: the count less what was moved",
        settle: ("south", "check R12 <<[counts.throw-bag]\ncount = 1"),
    },
    // The same, where the bag was seen aboard another craft.
    Row {
        differ: "kit_moved",
        subject: "R19",
        before: &[
            "move B9 R19",
            "check R19 <<[counts.throw-bag]\ncount = 2\nbag = 'B9'",
        ],
        north: &["check R20 <<aboard = ['B9']"],
        south: &["check R19 <<[counts.throw-bag]\ncount = 5"],
        until: "3 count here: the count less what was moved",
        settle: ("north", "check R19 <<[counts.throw-bag]\ncount = 3"),
    },
    Row {
        differ: "number_twice",
        subject: "R99",
        before: &[],
        north: &["number R14 R99"],
        south: &["number R15 R99"],
        until: "each is as ready as it was",
        settle: ("south", "number {number_twice} R15"),
    },
    Row {
        differ: "number",
        subject: "R61|R62",
        before: &[],
        north: &["number R16 R61"],
        south: &["number R16 R62"],
        until: "each is as ready as it was",
        settle: ("north", "number {number} R16"),
    },
    Row {
        differ: "inspections",
        subject: "R17",
        before: &[],
        north: &["inspect R17 seams passed"],
        south: &["inspect R17 seams failed"],
        until: "the worse counts: failed",
        settle: ("north", "inspect R17 seams passed"),
    },
    Row {
        differ: "answers",
        subject: "R18",
        before: &[],
        north: &["check R18 <<[answers]\nmotor-mount = 'yes'"],
        south: &["check R18 <<[answers]\nmotor-mount = 'no'"],
        until: "the worse counts: no",
        settle: ("north", "check R18 <<[answers]\nmotor-mount = 'yes'"),
    },
    Row {
        differ: "stowage",
        subject: "R18",
        before: &[],
        north: &["check R18 <<stowage = 'inflated'"],
        south: &["check R18 <<stowage = 'rolled'"],
        until: "the worse counts: rolled",
        settle: ("south", "check R18 <<stowage = 'rolled'"),
    },
    // Two coordinators, each with a station's device.
    Row {
        differ: "assigned_twice",
        subject: "R21",
        before: &[],
        north: &["assign R21 'Flood 12' --why 'nearest to the ford'"],
        south: &["assign R21 'Fire 7'"],
        until: "assigned to each, so not free: find out which of them it goes to",
        settle: ("north", "release R21 --from 'fire 7'"),
    },
    // The same, settled by sending it anew.
    Row {
        differ: "assigned_twice",
        subject: "R24",
        before: &["assign R24 'Flood 11'"],
        north: &["assign R24 'Flood 12'"],
        south: &["assign R24 'Fire 7'"],
        until: "assigned to each, so not free: find out which of them it goes to",
        settle: ("south", "assign R24 'Fire 7'"),
    },
    Row {
        differ: "assigned_and_out",
        subject: "R22",
        before: &[],
        north: &["assign R22 'Flood 12'"],
        south: &["out R22 mechanical"],
        until: "it is out of service",
        settle: ("south", "back R22"),
    },
    Row {
        differ: "assigned_and_released",
        subject: "R23",
        before: &["assign R23 'Flood 12'"],
        north: &["release R23"],
        south: &["assign R23 'Flood 12'"],
        until: "it is assigned, so not free",
        settle: ("north", "release R23"),
    },
];

/// A county, two stations that have joined it, and what was said under a name.
struct Apart {
    world: World,
    serving: Serving,
    named: BTreeMap<String, String>,
    files: usize,
}

impl Apart {
    async fn begun() -> Self {
        let mut world = World::new();
        world.found().await;
        let craft: String = (1..=24)
            .map(|number| format!("R{number},inflatable-14,North Landing,10,2200,40\n"))
            .collect();
        let craft = format!("call sign,model,station,persons,total (lb),hp\n{craft}");
        let lists = [
            (
                "--craft",
                format!("{craft}S1,inflatable-14,South Bank,10,2200,40\n"),
            ),
            (
                "--gear",
                "number,type,station\nT1,trailer,North Landing\n".to_owned(),
            ),
            (
                "--bags",
                "number,station\nB8,North Landing\nB9,North Landing\n".to_owned(),
            ),
        ];
        for (list, text) in lists {
            let file = world.file("list.csv", &text);
            let line = format!("bring-in {list} {file} --register-stations");
            world.check("county", &line, Exit::Fine, "0 refused").await;
        }
        let serving = world.serve().await;
        for (device, station) in [("north", "North Landing"), ("south", "South Bank")] {
            let roles = ["crew", "maintenance", "coordinator"];
            world.join_with(device, station, &roles).await;
        }
        Self {
            world,
            serving,
            named: BTreeMap::new(),
            files: 0,
        }
    }

    /// Runs a line of a row.
    async fn record(&mut self, device: &str, line: &str) {
        let (name, line) = match line.split_once(" := ") {
            Some((name, line)) => (Some(name), line),
            None => (None, line),
        };
        let mut line = line.to_owned();
        for (name, word) in &self.named {
            line = line.replace(&format!("{{{name}}}"), word);
        }
        if let Some((before, held)) = line.clone().split_once(" <<") {
            let craft = before.rsplit(' ').next().expect("a craft");
            self.files += 1;
            let text = format!("craft = '{craft}'\nextent = 'part'\n{held}\n");
            let file = self
                .world
                .file(&format!("check-{}.toml", self.files), &text);
            line = format!("{before} --from {file}");
        }
        let said = self.world.check(device, &line, Exit::Fine, "").await;
        if let Some(name) = name {
            let line = said.lines().next().expect("a line");
            let word = line.rsplit(' ').next().expect("a word");
            let word = word.trim_end_matches(')').to_owned();
            self.named.insert(name.to_owned(), word);
        }
    }

    /// The stations meet the county one after another, until each has what the other brought.
    async fn meet(&self, order: [&str; 2]) {
        for device in [order[0], order[1], order[0]] {
            self.world
                .check(device, "sync", Exit::Fine, "nothing waits")
                .await;
        }
    }

    /// What a device lists.
    async fn listed(&self, device: &str) -> Vec<Value> {
        let said = self
            .world
            .check(device, "disagreements --json", Exit::Fine, "")
            .await;
        let parsed: Value = serde_json::from_str(&said).expect("JSON");
        parsed["disagreements"].as_array().expect("a list").clone()
    }

    /// What all three list; the same, and the same answer with it.
    async fn listed_alike(&self) -> Vec<Value> {
        let listed = self.listed("county").await;
        let answered = self.answer("county", "answer --json").await;
        for device in ["north", "south"] {
            assert_eq!(self.listed(device).await, listed, "{device}");
            let answer = self.answer(device, "ready --json").await;
            assert_eq!(answer["craft"], answered["craft"], "{device}");
            assert_eq!(answer["disagreements"], answered["disagreements"]);
        }
        listed
    }

    /// Entries that stand beside others are marked in the log, in the list and one by one; the
    /// report of the craft names both values, who, and what settles it.
    async fn marked(&self, listed: &[Value]) {
        let log = "log --last 200";
        let said = self.world.check("north", log, Exit::Fine, "* ").await;
        assert!(said.contains("see disagreements"), "{said}");
        let settled = said.lines().filter(|line| line.contains("registered"));
        assert!(settled.clone().count() > 3, "{said}");
        let mut marked = settled.filter(|line| line.contains("* "));
        assert_eq!(marked.next(), None);
        let counts = listed.iter().find(|one| one["differ"] == "counts");
        let event = counts.expect("listed")["sides"][0]["event"].as_str();
        let line = format!("log {}", event.expect("an event"));
        let beside = "stands beside, not settled: R5: paddles: counts differ; ";
        self.world.check("south", &line, Exit::Fine, beside).await;

        let (_, said) = self.world.run("north", "ready R5").await;
        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
        for words in [
            "stations differ, the worse counts: ",
            "2 (North Landing, 2026-03-14 09:00)",
            "5 (South Bank, 2026-03-14 09:00)",
            "look again and record it: sponson check R5 --from FILE",
        ] {
            assert!(said.contains(words), "'{words}' not in {said}");
        }
        let one = self.listed_of("north", "R5").await;
        assert_eq!(one.len(), 1);
    }

    async fn listed_of(&self, device: &str, craft: &str) -> Vec<Value> {
        let line = format!("disagreements {craft} --json");
        let said = self.world.check(device, &line, Exit::Fine, "").await;
        let parsed: Value = serde_json::from_str(&said).expect("JSON");
        parsed["disagreements"].as_array().expect("a list").clone()
    }

    async fn answer(&self, device: &str, line: &str) -> Value {
        let (_, said) = self.world.run(device, line).await;
        serde_json::from_str(&said).expect("JSON")
    }
}

/// Both sides, who, when and on which device, what counts, and what to type.
fn check_listed(row: &Row, listed: &[Value]) -> Value {
    let mut found = listed.iter().filter(|one| {
        one["differ"] == row.differ && row.subject.split('|').any(|it| one["subject"] == it)
    });
    let one = found
        .next()
        .unwrap_or_else(|| panic!("{} of {} in {listed:#?}", row.differ, row.subject));
    assert!(found.next().is_none(), "{} twice", row.subject);
    assert_eq!(one["until"]["text"], row.until, "{one:#}");
    let sides = one["sides"].as_array().expect("sides");
    assert!(sides.len() > 1, "{one:#}");
    for side in sides {
        for field in ["value", "station", "device", "claimed_at", "event"] {
            let text = side[field].as_str().expect("a text");
            assert!(!text.is_empty(), "{field} of {one:#}");
        }
    }
    let mut events: Vec<&str> = sides
        .iter()
        .filter_map(|side| side["event"].as_str())
        .collect();
    events.sort_unstable();
    events.dedup();
    assert_eq!(events.len(), sides.len(), "{one:#}");
    if !row.south.is_empty() {
        let names = ["North Landing", "South Bank"];
        for name in names {
            assert!(sides.iter().any(|side| side["station"] == name), "{one:#}");
        }
    }
    let command = one["settle"][0]["command"].as_str().expect("a command");
    let verb = row.settle.1.split(' ').next().expect("a command");
    // A check that sees a thing aboard says where it is as well as a move does.
    let verb = match row.differ {
        "found_twice" => "move",
        "assigned_twice" => "release",
        _ => verb,
    };
    let names = format!("sponson {verb} ");
    assert!(command.starts_with(&names), "{command}");
    one.clone()
}

async fn every_row(order: [&str; 2]) {
    let mut apart = Apart::begun().await;
    for line in ROWS.iter().flat_map(|row| row.before) {
        apart.record("north", line).await;
    }
    apart.meet(order).await;
    for row in ROWS {
        for line in row.north {
            apart.record("north", line).await;
        }
        for line in row.south {
            apart.record("south", line).await;
        }
    }
    assert!(apart.listed("county").await.is_empty(), "nobody has met");
    let early = apart.world.path("early.carry");
    let early = early.to_str().expect("UTF-8").to_owned();
    let carry = format!("carry out {early}");
    apart.world.check("south", &carry, Exit::Fine, "").await;

    apart.meet(order).await;
    let listed = apart.listed_alike().await;
    for row in ROWS {
        let one = check_listed(row, &listed);
        let id = one["subject_id"].as_str().expect("an id");
        let number = match row.differ {
            // It is the south's that gets its number back.
            "number_twice" => id_of(&one, "South Bank"),
            _ => format!("'#{}'", &id[..8]),
        };
        apart.named.insert(row.differ.to_owned(), number);
    }
    assert_eq!(listed.len(), ROWS.len(), "{listed:#?}");

    apart.marked(&listed).await;
    for row in ROWS {
        apart.record(row.settle.0, row.settle.1).await;
        // Whoever settles next has seen it.
        apart.meet(order).await;
    }
    assert_eq!(apart.listed_alike().await, Vec::<Value>::new());
    // What was settled stays so when copies from before come in late.
    for device in ["north", "county"] {
        let carry = format!("carry in {early}");
        apart.world.check(device, &carry, Exit::Fine, "").await;
    }
    assert_eq!(apart.listed_alike().await, Vec::<Value>::new());
    apart.serving.end().await;
}

/// The short id of the craft whose number a station gave it.
fn id_of(one: &Value, station: &str) -> String {
    let sides = one["sides"].as_array().expect("sides");
    let side = sides.iter().find(|side| side["station"] == station);
    let value = side.expect("a side")["value"].as_str().expect("a text");
    let id = value.split(' ').next().expect("it begins with the id");
    format!("'{id}'")
}

#[tokio::test(flavor = "multi_thread")]
async fn every_row_is_listed_and_settled_when_north_meets_first() {
    every_row(["north", "south"]).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn every_row_is_listed_and_settled_when_south_meets_first() {
    every_row(["south", "north"]).await;
}

/// One boat that two stations know by two numbers.
#[tokio::test(flavor = "multi_thread")]
async fn registered_twice_it_is_one_boat_once_the_lead_says_so() {
    let mut apart = Apart::begun().await;
    let read =
        |craft: &str, psi: &str| format!("check {craft} <<[readings.tube-1]\nfound = '{psi} psi'");
    apart.record("north", &read("R1", "3.5")).await;
    apart.record("south", &read("S1", "2.9")).await;
    apart.meet(["north", "south"]).await;
    assert!(apart.listed_alike().await.is_empty(), "two boats");

    apart.record("county", "same-as R1 S1 --yes").await;
    apart.meet(["south", "north"]).await;
    let listed = apart.listed_alike().await;
    let differ: Vec<&str> = listed
        .iter()
        .filter_map(|one| one["differ"].as_str())
        .collect();
    assert_eq!(
        differ,
        ["readings", "placed_twice", "number"],
        "{listed:#?}"
    );
    let (_, said) = apart.world.run("south", "ready S1").await;
    assert!(said.contains("registered twice, judged as one"), "{said}");

    for (device, line) in [
        ("north", read("R1", "3.4")),
        ("south", "move S1 'South Bank'".to_owned()),
        ("south", "number R1 S1".to_owned()),
    ] {
        apart.record(device, &line).await;
        apart.meet(["north", "south"]).await;
    }
    assert_eq!(apart.listed_alike().await, Vec::<Value>::new());
    apart.serving.end().await;
}
