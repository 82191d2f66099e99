//! Numbers of findings at their places: a fault where it was found, other findings at their part.

use maud::{Markup, html};
use sponson_readiness::answer::{CraftAnswer, Effect, Finding, Subject};
use sponson_readiness::event::{Face, PartPlace, PlaceSide};
use sponson_readiness::ids::PartId;
use sponson_readiness::standard::Standard;

use super::hull::{CENTRE, FOOT, Hull, LENGTH, TRANSOM, sign};
use super::notes::COLUMN;
use super::place::Role;
use super::shape::Drawn;
use super::{FaultMark, WIDTH};
use crate::svg::clip::Sheet;
use crate::svg::label::{Box, Room, width_of};
use crate::svg::{Closed, Point, number, path};

const TEXT: f64 = 12.0;
const HEIGHT: f64 = 16.0;

/// Numbers in one box; more stand in a further box beside it.
const BOX_MAX: usize = 4;

/// The numbers on a drawing.
pub(super) struct Numbers {
    pub(super) markup: Markup,
    /// Numbers of findings that have no one place, in order.
    pub(super) elsewhere: Vec<usize>,
}

struct Spot {
    at: Point,
    said: Said,
    numbers: Vec<usize>,
}

/// Whether somebody said the place, which then gets a dot.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Said {
    Exactly,
    ByPart,
}

impl Numbers {
    pub(super) fn of(
        standard: &Standard,
        craft: &CraftAnswer,
        (drawn, hull): (&[Drawn<'_>], Hull),
    ) -> Self {
        let told = (1..).zip(&craft.why).filter(|(_, one)| is_told(one));
        Self::at(told.map(|(number, finding)| (number, spot(finding, standard, drawn, hull))))
    }

    /// Numbers of faults, each where it was found.
    pub(super) fn of_faults(
        standard: &Standard,
        faults: &[FaultMark<'_>],
        (drawn, hull): (&[Drawn<'_>], Hull),
    ) -> Self {
        let length_mm = standard.length_mm;
        Self::at(faults.iter().map(|fault| {
            let part = drawn.iter().find(|one| one.part.id == *fault.part);
            let spot = part.map(|part| on_part(part, fault.place, length_mm, hull));
            (fault.number, spot)
        }))
    }

    fn at(numbered: impl Iterator<Item = (usize, Option<(Point, Said)>)>) -> Self {
        let mut spots: Vec<Spot> = Vec::new();
        let mut elsewhere = Vec::new();
        for (number, spot) in numbered {
            let Some((at, said)) = spot else {
                elsewhere.push(number);
                continue;
            };
            let mut same = spots.iter_mut();
            match same.find(|spot| spot.at == at && spot.said == said) {
                Some(spot) => spot.numbers.push(number),
                None => spots.push(Spot {
                    at,
                    said,
                    numbers: vec![number],
                }),
            }
        }
        Self {
            markup: written(&spots),
            elsewhere,
        }
    }
}

/// What is only noted is for the list; an open fault is always told.
fn is_told(finding: &Finding) -> bool {
    finding.effect != Effect::Note || matches!(finding.subject, Subject::Fault(..))
}

fn spot(
    finding: &Finding,
    standard: &Standard,
    drawn: &[Drawn<'_>],
    hull: Hull,
) -> Option<(Point, Said)> {
    let of_part = |id: &PartId| drawn.iter().find(|one| one.part.id == *id);
    match &finding.subject {
        Subject::Part(id, _) => of_part(id).map(|one| (one.anchor, Said::ByPart)),
        Subject::Fault(_, id, place, _) => {
            of_part(id).map(|part| on_part(part, *place, standard.length_mm, hull))
        }
        Subject::Line(id, _) => {
            let questions = standard.questions.iter().map(|one| (&one.id, &one.part));
            let inspections = standard.inspections.iter();
            let inspections = inspections.map(|one| (&one.id, &one.part));
            let (_, part) = questions.chain(inspections).find(|(line, _)| *line == id)?;
            let part = part.as_ref().and_then(of_part);
            part.map(|one| (one.anchor, Said::ByPart))
        }
        Subject::Craft | Subject::Gear(..) | Subject::Station(..) => None,
    }
}

fn on_part(
    part: &Drawn<'_>,
    place: PartPlace,
    length_mm: Option<u32>,
    hull: Hull,
) -> (Point, Said) {
    let exact = exact(part, place, length_mm, hull);
    exact.map_or((part.anchor, Said::ByPart), |at| (at, Said::Exactly))
}

/// Where somebody said that a fault is; none when neither side nor distance was said. What was not said
/// is the part's own.
pub(super) fn exact(
    part: &Drawn<'_>,
    place: PartPlace,
    length_mm: Option<u32>,
    hull: Hull,
) -> Option<Point> {
    let length = length_mm.filter(|mm| *mm > 0).map(f64::from);
    let along = place.from_transom_mm.zip(length).map(|(mm, length)| {
        // Beyond the bow is a slip of the pen: the list has the figure as it was said.
        (f64::from(mm) / length).clamp(0.0, 1.0)
    });
    if place.side.is_none() && along.is_none() {
        return None;
    }
    let is_across = matches!(part.role, Role::Transom | Role::Motor | Role::Thwart);
    let along = along.filter(|_| !is_across);
    let y = along.map_or(part.anchor.y, Hull::y);
    let side = place.side.or(part.side).unwrap_or(PlaceSide::Centre);
    let half = hull.half(((TRANSOM - y) / LENGTH).clamp(0.0, 1.0));
    let inner = (half - hull.tube()).max(0.0);
    let across = match part.role {
        Role::Tube => (half - hull.tube() * share(place.face)).max(0.0),
        Role::Perimeter => half + 5.0,
        Role::Motor => 10.0,
        Role::Keel => 6.0,
        Role::Hull => half * 0.85,
        Role::Floor
        | Role::Lacing
        | Role::SpeedTube
        | Role::Thwart
        | Role::Transom
        | Role::Small => inner * 0.6,
    };
    Some(Point::new(CENTRE + sign(side) * across, y))
}

/// How far in from the outside of a tube a face is.
const fn share(face: Option<Face>) -> f64 {
    match face {
        Some(Face::Outboard) => 0.1,
        Some(Face::Inboard) => 0.9,
        Some(Face::Top | Face::Bottom) | None => 0.5,
    }
}

fn written(spots: &[Spot]) -> Markup {
    let mut room = Room::on(Sheet {
        width: WIDTH,
        height: FOOT,
    });
    for x in [0.0, WIDTH - COLUMN] {
        room.take(Box {
            x,
            y: 0.0,
            width: COLUMN,
            height: FOOT,
        });
    }
    let exact = spots.iter().filter(|spot| spot.said == Said::Exactly);
    for spot in exact {
        room.take(Box::about(spot.at, 7.0, 7.0));
    }
    let boxes = spots.iter().flat_map(|spot| {
        let groups = spot.numbers.chunks(BOX_MAX);
        groups.map(move |numbers| (spot, super::list(numbers)))
    });
    let boxes: Vec<Markup> = boxes
        .map(|(spot, words)| boxed(spot, &words, &mut room))
        .collect();
    html! { @for one in &boxes { (one) } }
}

fn boxed(spot: &Spot, words: &str, room: &mut Room) -> Markup {
    let wanted = Box::about(spot.at, width_of(words, TEXT) + 8.0, HEIGHT);
    let place = room.on_or_beside(wanted).unwrap_or(wanted);
    let middle = place.middle();
    html! {
        @if middle != spot.at {
            path class="plan-pointer" d=(path(&[spot.at, middle], Closed::No)) {}
        }
        @if spot.said == Said::Exactly {
            circle class="plan-dot" cx=(number(spot.at.x)) cy=(number(spot.at.y)) r="3.5" {}
        }
        rect class="plan-box" x=(number(place.x)) y=(number(place.y)) rx="3"
            width=(number(place.width)) height=(number(place.height)) {}
        text class="plan-number" x=(number(middle.x)) y=(number(middle.y + 4.3))
            text-anchor="middle" { (words) }
    }
}
