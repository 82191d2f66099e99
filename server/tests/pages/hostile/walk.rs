//! Looks at every output: each page by the tables of routes, each command that shows something.

use serde_json::Value;
use sponson_client::pages::routes::{Route as StationRoute, Taken};
use sponson_server::pages::routes::Route;

use super::county::County;
use super::fill::encoded;
use super::told::{Form, Told};

/// Craft that are looked at one by one, at the most.
const CRAFT_MAX: usize = 7;

/// Entries that are looked at one by one, at the most.
const ENTRIES_MAX: usize = 30;

/// Looks at all of them.
pub(super) async fn all(county: &County, told: &mut Told) {
    let (exit, said) = county.world.run("station", "sync").await;
    told.command("sync", exit, &said, Form::Words);
    let craft = craft(county).await;
    pages(county, told, &craft).await;
    for program in ["county", "station"] {
        lists(county, told, program).await;
        entries(county, told, program).await;
        of_craft(county, told, program, &craft).await;
        files(county, told, program).await;
    }
    of_county(county, told).await;
}

/// Ids of craft, from the links of the county's page, and their numbers, from the answer.
async fn craft(county: &County) -> Vec<(String, String)> {
    let answer = county.lead.get("/answer.json").await;
    let answer: Value = serde_json::from_str(&answer.text).expect("JSON");
    let all = answer["craft"].as_array().expect("craft").iter();
    let numbers = all.map(|craft| craft["craft"].as_str().expect("a number").to_owned());
    // Those with names that somebody chose first.
    let (plain, chosen): (Vec<_>, Vec<_>) = numbers.partition(|number| number.starts_with("Boat "));
    let numbers = chosen.into_iter().chain(plain);
    let page = county.lead.get("/").await.text;
    let links = page.split("href=\"/craft/").skip(1);
    let mut ids: Vec<&str> = links.filter_map(|link| link.get(..32)).collect();
    ids.sort_unstable();
    ids.dedup();
    let ids = ids.into_iter().map(str::to_owned);
    let all: Vec<(String, String)> = ids.zip(numbers).take(CRAFT_MAX).collect();
    assert!(all.len() > 2, "craft: {all:?}");
    all
}

async fn pages(county: &County, told: &mut Told, craft: &[(String, String)]) {
    let reads = Route::ALL.into_iter().filter(|route| {
        let forms_alone = route.takes_forms() && *route != Route::Enter;
        !forms_alone && *route != Route::Changes
    });
    for path in reads.map(Route::path) {
        for path in filled_in(&path, craft) {
            let what = format!("county page {path}");
            told.reply(&what, &county.lead.get(&path).await);
        }
    }
    let all = StationRoute::all().into_iter();
    // Those that go on telling have no end.
    let tells = |path: &str| path == "/changes" || path.ends_with("/news");
    let reads = all.filter(|route| route.taken != Taken::Form && !tells(&route.path));
    for path in reads.map(|route| route.path) {
        for path in filled_in(&path, craft) {
            let what = format!("station page {path}");
            told.reply(&what, &county.crew.get(&path).await);
        }
    }
}

/// A route's paths with ids of craft and numbers in them.
fn filled_in(path: &str, craft: &[(String, String)]) -> Vec<String> {
    if path.contains("{list}") {
        let lists = ["who", "short", "overdue", "disagreements", "stations"];
        return lists.map(|list| format!("/{list}.csv")).to_vec();
    }
    if !path.contains('{') {
        return vec![path.to_owned()];
    }
    let all = craft.iter().map(|(id, number)| {
        path.replace("{id}", id)
            .replace("{number}", &encoded(number))
            .replace("{code}", &"a".repeat(32))
            .replace("{name}", &"ab".repeat(32))
    });
    all.collect()
}

/// What both programs list.
async fn lists(county: &County, told: &mut Told, program: &str) {
    for line in [
        "about",
        "disagreements",
        "decisions",
        "gauges",
        "leaks",
        "faults",
        "faults --figures",
        "faults --by class",
        "faults --by method",
        "faults --by glue",
        "faults --by station",
        "faults --by craft",
        "faults --by batch",
        "faults --by gear",
        "due",
        "due --ahead",
        "due --visits",
        "due --shelf",
        "due --late",
        "verify",
    ] {
        let (exit, said) = county.world.run(program, line).await;
        told.command(&format!("{program} {line}"), exit, &said, Form::Words);
    }
    for line in [
        "disagreements --json",
        "decisions --json",
        "gauges --json",
        "leaks --json",
        "faults --json",
        "due --json",
    ] {
        let (exit, said) = county.world.run(program, line).await;
        told.command(&format!("{program} {line}"), exit, &said, Form::Json);
    }
    for line in [
        "faults --csv faults",
        "faults --csv repairs",
        "faults --csv what-to-do",
        "leaks --csv",
    ] {
        let (exit, said) = county.world.run(program, line).await;
        told.command(&format!("{program} {line}"), exit, &said, Form::Csv);
    }
}

/// What the county alone shows.
async fn of_county(county: &County, told: &mut Told) {
    let report = county.world.path("report.html");
    let _ = std::fs::remove_file(&report);
    for (line, form) in [
        ("answer".to_owned(), Form::Words),
        ("answer --why".to_owned(), Form::Words),
        ("answer --together 2".to_owned(), Form::Words),
        ("answer --json".to_owned(), Form::Json),
        ("answer --csv who".to_owned(), Form::Csv),
        ("answer --csv short".to_owned(), Form::Csv),
        ("answer --csv overdue".to_owned(), Form::Csv),
        ("answer --csv disagreements".to_owned(), Form::Csv),
        ("answer --csv stations".to_owned(), Form::Csv),
        ("call-out --place 44.9,-103.2".to_owned(), Form::Words),
        ("call-out --place 44.9,-103.2 --json".to_owned(), Form::Json),
        ("kit-moves --mission flood".to_owned(), Form::Words),
        ("kit-moves --mission flood --json".to_owned(), Form::Json),
        ("gauges --members".to_owned(), Form::Words),
        ("devices".to_owned(), Form::Words),
        ("signed-in".to_owned(), Form::Words),
        (format!("answer --report {}", report.display()), Form::Words),
    ] {
        let (exit, said) = county.world.run("county", &line).await;
        told.command(&format!("county {line}"), exit, &said, form);
    }
    told.page(
        "report",
        &std::fs::read_to_string(report).expect("a report"),
    );
}

/// The log, and entries of it one by one.
async fn entries(county: &County, told: &mut Told, program: &str) {
    let (exit, log) = county.world.run(program, "log --last 2000").await;
    told.command(&format!("{program} log"), exit, &log, Form::Words);
    let is_name = |word: &&str| word.len() == 8 && word.bytes().all(|b| b.is_ascii_hexdigit());
    let mut names: Vec<&str> = log.split_whitespace().filter(is_name).collect();
    names.reverse();
    for name in names.into_iter().take(ENTRIES_MAX) {
        let line = format!("log {name}");
        let (exit, said) = county.world.run(program, &line).await;
        told.command(
            &format!("{program} {line}: {said}"),
            exit,
            &said,
            Form::Words,
        );
    }
}

/// What is shown of each craft.
async fn of_craft(county: &County, told: &mut Told, program: &str, craft: &[(String, String)]) {
    for (_, number) in craft {
        for (words, form) in [
            (vec!["log", number], Form::Words),
            (vec!["record", number], Form::Words),
            (vec!["leaks", "--craft", number], Form::Words),
            (vec!["faults", "--craft", number], Form::Words),
            (vec!["ready", number], Form::Words),
            (vec!["ready", number, "--json"], Form::Json),
            (vec!["place-in-service", number], Form::Words),
            (vec!["place-in-service", number, "--json"], Form::Json),
            (vec!["answer", number], Form::Words),
        ] {
            let elsewhere = matches!(
                (program, words[0]),
                ("county", "ready" | "place-in-service") | ("station", "answer")
            );
            if !elsewhere {
                let words: Vec<String> = words.into_iter().map(str::to_owned).collect();
                let (exit, said) = county.world.run_words(program, &words).await;
                told.command(&format!("{program} {words:?}"), exit, &said, form);
            }
        }
        written(county, told, program, &["record", number], "--html").await;
        if program == "station" {
            written(county, told, program, &["sheet", number], "--out").await;
            written(county, told, program, &["label", number], "--out").await;
        }
    }
}

/// A page that a command writes into a file.
async fn written(county: &County, told: &mut Told, program: &str, words: &[&str], to: &str) {
    let file = county.world.path("written.html");
    let mut words: Vec<String> = words.iter().map(|word| (*word).to_owned()).collect();
    words.extend([to.to_owned(), file.to_str().expect("UTF-8").to_owned()]);
    let what = format!("{program} {words:?}");
    let (exit, said) = county.world.run_words(program, &words).await;
    told.command(&what, exit, &said, Form::Words);
    if let Ok(text) = std::fs::read_to_string(&file) {
        told.page(&what, &text);
        std::fs::remove_file(&file).expect("removed");
    }
}

/// Lists and calendars that are files.
async fn files(county: &County, told: &mut Told, program: &str) {
    let file = |name: &str| county.world.path(&format!("{program}-{name}"));
    let (list, calendar) = (file("due.csv"), file("due.ics"));
    for (option, file) in [("--csv", &list), ("--ics", &calendar)] {
        let _ = std::fs::remove_file(file);
        let line = format!("due --ahead --visits {option} {}", file.display());
        let (exit, said) = county.world.run(program, &line).await;
        told.command(&line, exit, &said, Form::Words);
    }
    if let Ok(text) = std::fs::read_to_string(list) {
        told.csv(&format!("{program} due --csv"), &text);
    }
    if let Ok(text) = std::fs::read_to_string(calendar) {
        told.calendar(&format!("{program} due --ics"), &text);
    }
}
