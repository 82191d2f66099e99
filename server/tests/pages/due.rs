//! What comes due: the page, the calendar, the lists, and that they say what the command says.

use crate::station::Station;
use crate::world::World;

#[tokio::test]
async fn the_page_shows_what_comes_due() {
    let world = World::up().await;
    let caller = world.caller();
    let page = caller
        .get("/due?ahead=6+months&station=North+Landing")
        .await;
    assert_eq!(page.status, 200, "{}", page.text);
    assert_eq!(page.header("content-type"), "text/html; charset=utf-8");
    for said in [
        "What comes due",
        "Boat 3",
        "Visits that do it",
        "What must be on the shelf by when",
        "What was done late",
        "/due.ics?ahead=6+months&amp;station=North+Landing",
    ] {
        assert!(page.text.contains(said), "{said}: {}", page.text);
    }
    let boat = caller.get("/due?craft=Boat+4").await;
    // A shelf serves them all, and stays whole.
    let told = boat.text.contains("<li>Boat 4: ") && !boat.text.contains("<li>Boat 3: ");
    assert!(told, "{}", boat.text);
}

#[tokio::test]
async fn the_page_asks_as_the_command_does() {
    let world = World::up().await;
    let caller = world.caller();
    let page = caller.get("/due.json?ahead=3+months&craft=Boat+3").await;
    let said = world
        .county("due --json --ahead '3 months' --craft 'Boat 3'")
        .await;
    assert_eq!(page.text.trim(), said.trim());
}

#[tokio::test]
async fn the_calendar_is_one_for_calendar_programs() {
    let world = World::up().await;
    let caller = world.caller();
    let feed = caller.get("/due.ics").await;
    assert_eq!(feed.status, 200);
    assert_eq!(feed.header("content-type"), "text/calendar; charset=utf-8");
    assert!(feed.header("content-disposition").contains("due.ics"));
    assert!(
        feed.text.starts_with("BEGIN:VCALENDAR\r\n"),
        "{}",
        feed.text
    );
    let again = caller.get("/due.ics").await;
    assert_eq!(feed.text, again.text);
    let events = |text: &str| text.matches("BEGIN:VEVENT").count();
    let each = caller.get("/due.ics?each=on").await;
    assert!(events(&each.text) > events(&feed.text), "{}", each.text);
    // An hour later the same events stand there under the same names.
    world.later(3_600_000);
    let later = caller.get("/due.ics").await;
    let uids = |text: &str| -> Vec<String> {
        let whole = text.replace("\r\n ", "");
        let lines = whole.lines().filter(|line| line.starts_with("UID:"));
        lines.map(str::to_owned).collect()
    };
    assert_ne!(later.text, feed.text);
    assert_eq!(uids(&later.text), uids(&feed.text));
    assert!(!uids(&feed.text).is_empty());
}

#[tokio::test]
async fn lists_are_for_a_spreadsheet() {
    let world = World::up().await;
    let caller = world.caller();
    for (list, column) in [
        ("due", "station"),
        ("visits", "visit"),
        ("shelf", "station"),
        ("late", "craft"),
    ] {
        let csv = caller.get(&format!("/{list}.csv?ahead=2months")).await;
        assert_eq!(csv.status, 200, "{list}");
        assert!(csv.header("content-type").starts_with("text/csv"));
        let header = format!("as_of,{column}");
        assert!(csv.text.starts_with(&header), "{list}: {}", csv.text);
    }
}

#[tokio::test]
async fn what_cannot_be_asked_is_told_beside_its_field() {
    let world = World::up().await;
    let caller = world.caller();
    for (query, said) in [
        ("ahead=soon", "is not an interval"),
        ("ahead=25months", "at most 732 days or 24 months"),
        ("craft=Boat+9", "Boat 9"),
        ("station=Nowhere", "Nowhere"),
        ("known-by=1", "known-by"),
        ("mission=flood", "mission"),
        ("craft=%3Cscript%3Ealert(1)%3C/script%3E", "script"),
    ] {
        for path in ["due", "due.ics", "due.json", "shelf.csv"] {
            let page = caller.get(&format!("/{path}?{query}")).await;
            assert_eq!(page.status, 400, "{path} {query}: {}", page.text);
            assert!(page.text.contains(said), "{path} {query}: {}", page.text);
            assert!(!page.text.contains("<script>alert"), "{path} {query}");
        }
    }
}

/// Nobody who may not read has the calendar: it holds no key in its address.
#[tokio::test]
async fn beyond_the_machine_it_asks_for_a_session() {
    let world = World::up().await;
    let caller = world.caller();
    let forwarded = [("Host", "county.example")];
    let page = caller.send("GET", "/due.ics", &forwarded, "").await;
    assert_ne!(page.status, 200);
    assert!(!page.text.contains("BEGIN:VCALENDAR"));
}

#[tokio::test]
async fn a_station_shows_what_comes_due_there() {
    let station = Station::up().await;
    let page = station.caller.get("/due").await;
    assert_eq!(page.status, 200, "{}", page.text);
    assert!(page.text.contains("What comes due here"), "{}", page.text);
    assert!(page.text.contains("Boat 3"), "{}", page.text);
    assert!(station.caller.get("/").await.text.contains("href=\"/due\""));
    station.stop().await;
}
