//! Marks and names: stations, launch places, the place of the call-out. Each mark stands where it is,
//! or beside it with a line; a name without room is left to the lists of the page.

use maud::{Markup, html};

use super::frame::Frame;
use super::{Map, MapStation, scale};
use crate::clean::clean;
use crate::svg::label::{Box, Room, width_of};
use crate::svg::{Form, Kind, Point, number};

/// Edge of a station's square, and height of a line of text.
const SQUARE: f64 = 18.0;
const TEXT: f64 = 14.0;
const SMALL: f64 = 12.0;

/// Longest name on a map, characters; longer ones are cut, and whole in the lists.
const NAME_MAX: usize = 22;

/// Most names beneath the stations': more are no map any more.
const GROUND_NAMES_MAX: usize = 40;

/// Marks, the place of the call-out last and so on top.
pub(super) fn placed(map: &Map<'_>, frame: &Frame) -> Markup {
    let mut room = reserved(frame);
    let place = map
        .place
        .as_ref()
        .map(|place| (place, frame.at(place.position)));
    if let Some((_, at)) = place {
        room.take(Box::about(at, 26.0, 26.0));
    }
    let stations = stations(map, frame, &mut room);
    let named: Vec<Markup> = stations
        .into_iter()
        .map(|one| station(&one, &mut room))
        .collect();
    let place = place.map(|(place, at)| call_out(&place.name, at, &mut room));
    let names = ground_names(map, frame, &mut room);
    html! {
        (names)
        @for one in &named { (one) }
        @if let Some(place) = place { (place) }
    }
}

fn reserved(frame: &Frame) -> Room {
    let sheet = frame.sheet();
    let mut room = Room::on(sheet);
    let (width, height) = scale::BARS;
    room.take(Box {
        x: 0.0,
        y: sheet.height - height,
        width,
        height,
    });
    let (width, height) = scale::NORTH;
    room.take(Box {
        x: sheet.width - width,
        y: 0.0,
        width,
        height: height + 6.0,
    });
    room
}

struct Marked<'a> {
    station: &'a MapStation,
    at: Point,
    square: Box,
}

fn stations<'a>(map: &'a Map<'_>, frame: &Frame, room: &mut Room) -> Vec<Marked<'a>> {
    let known = map.stations.iter().filter_map(|station| {
        let at = frame.at(station.position?);
        let digits = width_of(&station.can_go.to_string(), SMALL);
        let square = Box::about(at, SQUARE.max(digits + 6.0), SQUARE);
        // Where a whole heap of stations leaves no room they stand over one another.
        let square = room.on_or_beside(square).unwrap_or(square);
        if station.silent {
            room.take(wider(square));
        }
        Some(Marked {
            station,
            at,
            square,
        })
    });
    known.collect()
}

fn station(marked: &Marked<'_>, room: &mut Room) -> Markup {
    let Marked {
        station,
        at,
        square,
    } = marked;
    let go = if station.can_go > 0 {
        "map-station-go"
    } else {
        "map-station-none"
    };
    let middle = square.middle();
    html! {
        @if middle != *at {
            path class="map-leader" d=(crate::svg::path(&[*at, middle], crate::svg::Closed::No)) {}
            circle class="map-dot" cx=(number(at.x)) cy=(number(at.y)) r="2.5" {}
        }
        rect class={ "map-station " (go) } x=(number(square.x)) y=(number(square.y))
            width=(number(square.width)) height=(number(square.height)) {}
        @if station.silent {
            @let wider = wider(*square);
            rect class="map-silent" x=(number(wider.x)) y=(number(wider.y))
                width=(number(wider.width)) height=(number(wider.height)) {}
        }
        text class={ "map-count " (go) } x=(number(middle.x)) y=(number(middle.y + 4.3))
            text-anchor="middle" { (station.can_go) }
        (name(*square, (&short(&station.name), &station.words()), room))
    }
}

/// Where the broken line of a station that is not heard goes.
fn wider(square: Box) -> Box {
    Box::about(square.middle(), square.width + 8.0, square.height + 8.0)
}

/// A name with words under it; the name alone where that is all there is room for.
fn name(mark: Box, (name, words): (&str, &str), room: &mut Room) -> Markup {
    let width = width_of(name, TEXT).max(width_of(words, SMALL));
    let both = room.beside(mark, (width, TEXT + SMALL + 4.0));
    let only = || width_of(name, TEXT);
    match both {
        Some(both) => html! {
            (text("map-name", both, TEXT, name))
            (text("map-words", Box { y: both.y + TEXT + 2.0, ..both }, SMALL, words))
        },
        None => room
            .beside(mark, (only(), TEXT + 2.0))
            .map_or_else(|| html! {}, |alone| text("map-name", alone, TEXT, name)),
    }
}

fn text(class: &str, place: Box, height: f64, words: &str) -> Markup {
    html! {
        text class=(class) x=(number(place.middle().x)) y=(number(place.y + height * 0.85))
            text-anchor="middle" { (words) }
    }
}

fn call_out(name: &str, at: Point, room: &mut Room) -> Markup {
    let words = if name.is_empty() {
        "the place".to_owned()
    } else {
        short(name)
    };
    let (x, y) = (number(at.x), number(at.y));
    let cross = format!(
        "M{} {y}H{}M{x} {}V{}",
        number(at.x - 12.0),
        number(at.x + 12.0),
        number(at.y - 12.0),
        number(at.y + 12.0)
    );
    html! {
        circle class="map-place" cx=(x) cy=(y) r="8" {}
        path class="map-place" d=(cross) {}
        (self::name(Box::about(at, 26.0, 26.0), (&words, "call-out"), room))
    }
}

/// Launch places with their marks, then names of water where there is room.
fn ground_names(map: &Map<'_>, frame: &Frame, room: &mut Room) -> Markup {
    let sheet = frame.sheet();
    let of_kind = |kind: Kind| {
        let shapes = map.ground.shapes.iter().filter(move |one| one.kind == kind);
        shapes.take(GROUND_NAMES_MAX)
    };
    let on_sheet = |form: &Form| -> Vec<Point> {
        let at = form.places().map(|place| frame.at(place));
        at.filter(|point| sheet.holds(*point)).collect()
    };
    let mut out = Vec::new();
    for shape in of_kind(Kind::Launch) {
        let at = on_sheet(&shape.form).into_iter().take(GROUND_NAMES_MAX);
        out.extend(at.map(|at| launch(at, &shape.name, room)));
    }
    for shape in of_kind(Kind::Water).filter(|shape| !shape.name.is_empty()) {
        let middle = middle(&on_sheet(&shape.form), &shape.form);
        out.extend(middle.map(|middle| water_name(middle, &short(&shape.name), room)));
    }
    html! { @for one in &out { (one) } }
}

/// The middle of an area's extent; of a line, its middle point. None of nothing.
fn middle(points: &[Point], form: &Form) -> Option<Point> {
    let halfway = points.get(points.len() / 2).copied();
    if !matches!(form, Form::Areas(_)) {
        return halfway;
    }
    let first = halfway?;
    let (low, high) = points.iter().fold((first, first), |(low, high), point| {
        (
            Point::new(low.x.min(point.x), low.y.min(point.y)),
            Point::new(high.x.max(point.x), high.y.max(point.y)),
        )
    });
    Some(Point::new(
        f64::midpoint(low.x, high.x),
        f64::midpoint(low.y, high.y),
    ))
}

fn launch(at: Point, name: &str, room: &mut Room) -> Markup {
    let mark = Box::about(at, 12.0, 12.0);
    room.take(mark);
    let name = short(name);
    let place = room.beside(mark, (width_of(&name, SMALL), SMALL + 2.0));
    let data = format!("M{} {}l-6 10h12Z", number(at.x), number(at.y - 6.0));
    html! {
        path class="map-ramp" d=(data) {}
        @if let Some(place) = place.filter(|_| !name.is_empty()) {
            (text("map-words", place, SMALL, &name))
        }
    }
}

fn water_name(at: Point, name: &str, room: &mut Room) -> Markup {
    let size = (width_of(name, SMALL), SMALL + 2.0);
    let place = room.on_or_beside(Box::about(at, size.0, size.1));
    place.map_or_else(
        || html! {},
        |place| text("map-water-name", place, SMALL, name),
    )
}

fn short(name: &str) -> String {
    let name = clean(name);
    if name.chars().count() <= NAME_MAX {
        return name;
    }
    let cut: String = name.chars().take(NAME_MAX - 1).collect();
    format!("{}…", cut.trim_end())
}
