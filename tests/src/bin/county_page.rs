//! Bench: the county page of a county of 500 craft, against its limits.
//!
//! `cargo run --release -p end-to-end --bin county_page` founds a county of 20 stations and 500
//! craft by its commands, lets a station check them all (each third with something short), serves
//! it, and asks for the page again and again. Ends with 1 when a limit is passed.

use std::io::{Read as _, Write as _};
use std::net::{SocketAddr, TcpStream};
use std::process::ExitCode;
use std::time::{Duration, Instant};

use anyhow::{Context as _, Result, ensure};
use demo_stations::world::Craft;
use end_to_end::county::{World, checked_file, text};
use end_to_end::process::Device;
use sponson_readiness::standard::{Standard, built_in};

/// Stations and craft: what a large state's county and its mutual aid hold.
const STATIONS: usize = 20;
const CRAFT_EACH: usize = 25;

/// From the last byte of the request to the first of the reply.
const FIRST_BYTE_MAX: Duration = Duration::from_millis(100);

/// The whole page, without style and script.
const PAGE_BYTES_MAX: usize = 300_000;

/// Requests of each sort: the median and the worst of them are told.
const REQUESTS: usize = 50;

/// No reply takes longer.
const REPLY_MAX: Duration = Duration::from_secs(30);

fn main() -> Result<ExitCode> {
    let world = World::founded_with(&craft_csv());
    let county = world.county();
    let checked = Instant::now();
    check_all(&world)?;
    say(&format!(
        "{} craft at {STATIONS} stations, checked in {:.0} s",
        STATIONS * CRAFT_EACH,
        checked.elapsed().as_secs_f64()
    ));
    let served = county.serve_both();
    let pages = served.pages;
    let sorts = [
        ("county page", "/"),
        (
            "for a flood, in the cold",
            "/?mission=flood&air=2C&water=1C",
        ),
        ("answer as JSON", "/answer.json"),
    ];
    let mut kept = true;
    for (name, path) in sorts {
        let first = get(pages, path)?;
        let mut warm = Vec::new();
        for _ in 0..REQUESTS {
            warm.push(get(pages, path)?.first_byte);
        }
        warm.sort_unstable();
        let (median, worst) = (warm[REQUESTS / 2], warm[REQUESTS - 1]);
        say(&format!(
            "{name}: {} bytes ({:.2} of the limit); first byte: first time {}, then median {} \
             ({:.2} of the limit), worst {}",
            first.bytes,
            ratio(first.bytes, PAGE_BYTES_MAX),
            ms(first.first_byte),
            ms(median),
            median.as_secs_f64() / FIRST_BYTE_MAX.as_secs_f64(),
            ms(worst),
        ));
        let is_page = !path.ends_with("json");
        kept &= !is_page || (median < FIRST_BYTE_MAX && first.bytes < PAGE_BYTES_MAX);
    }
    Ok(if kept {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    })
}

fn craft_csv() -> String {
    let mut csv = "number,model,station,persons,total (lb),hp\n".to_owned();
    for station in 0..STATIONS {
        for place in 0..CRAFT_EACH {
            let number = number(station, place);
            csv += &format!("{number},inflatable-14,Station {station:02},10,2200,40\n");
        }
    }
    csv
}

fn number(station: usize, place: usize) -> String {
    format!("{}", (station + 1) * 100 + place)
}

/// A station's device goes round every craft, and syncs.
fn check_all(world: &World) -> Result<()> {
    let county = world.county();
    let (_up, address) = county.serve_county();
    let station = world.joined("Station 00", address);
    let _serving = station.serve_station();
    station.fine(&["sync"]);
    let sheets = built_in();
    let sheet = sheets.iter().find(|(model, _)| *model == "inflatable-14");
    let (_, sheet) = sheet.context("the sheet is built in")?;
    let sheet = Standard::parse(sheet).context("the sheet can be read")?;
    for station_number in 0..STATIONS {
        for place in 0..CRAFT_EACH {
            let mut craft = Craft::in_order(sheet.clone(), "", "", now_ms());
            spoil(&mut craft, station_number * CRAFT_EACH + place);
            check(world, &station, &mut craft, &number(station_number, place))?;
        }
    }
    station.fine(&["sync"]);
    Ok(())
}

/// Each third craft has something short, each of those something else.
fn spoil(craft: &mut Craft, nth: usize) {
    match nth % 9 {
        0 => {
            craft.counts.insert("throw-bag".to_owned(), 0);
        }
        3 => {
            craft
                .answers
                .insert("stop-switch".to_owned(), "no".to_owned());
        }
        6 => {
            let tubes = craft
                .chambers
                .iter_mut()
                .filter(|(part, _)| part.starts_with("tube"));
            tubes
                .take(2)
                .for_each(|(_, tube)| tube.stuck_pa = Some(9_000.0));
        }
        _ => {}
    }
}

fn check(world: &World, station: &Device, craft: &mut Craft, number: &str) -> Result<()> {
    let file = checked_file(world, craft, number);
    let ended = station.run(&["check", number, "--from", text(&file)]);
    ensure!(ended.code() == Some(0), "{number}: {ended:?}");
    Ok(())
}

/// One reply.
struct Reply {
    first_byte: Duration,
    bytes: usize,
}

fn get(pages: SocketAddr, path: &str) -> Result<Reply> {
    let mut stream = TcpStream::connect(pages)?;
    stream.set_read_timeout(Some(REPLY_MAX))?;
    stream.set_nodelay(true)?;
    let request = format!("GET {path} HTTP/1.1\r\nHost: {pages}\r\nConnection: close\r\n\r\n");
    let asked = Instant::now();
    stream.write_all(request.as_bytes())?;
    let mut first = [0; 1];
    stream.read_exact(&mut first)?;
    let first_byte = asked.elapsed();
    let mut rest = Vec::new();
    stream.read_to_end(&mut rest)?;
    ensure!(rest.starts_with(b"TTP/1.1 200"), "{path}: no page");
    let head = rest.windows(4).position(|it| it == b"\r\n\r\n");
    let body = head.context("a reply has a head")? + 4;
    Ok(Reply {
        first_byte,
        bytes: rest.len() - body,
    })
}

fn now_ms() -> i64 {
    chrono::Utc::now().timestamp_millis()
}

#[expect(clippy::cast_precision_loss, reason = "sizes of pages")]
fn ratio(bytes: usize, limit: usize) -> f64 {
    bytes as f64 / limit as f64
}

fn ms(time: Duration) -> String {
    format!("{:.1} ms", time.as_secs_f64() * 1e3)
}

#[expect(clippy::print_stdout, reason = "a bench tells what it measured")]
fn say(line: &str) {
    println!("{line}");
}
