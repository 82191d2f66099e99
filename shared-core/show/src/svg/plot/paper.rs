//! The sheet of a plot: its frame, its axes with their words, and what the library drew put into a
//! page.

use std::io;
use std::ops::Range;

use maud::{Markup, PreEscaped, html};
use plotters::backend::SVGBackend;
use plotters::chart::{ChartBuilder, ChartContext};
use plotters::coord::cartesian::Cartesian2d;
use plotters::coord::ranged1d::{KeyPointHint, NoDefaultFormatting, Ranged, ValueFormatter};
use plotters::drawing::{DrawingAreaErrorKind, IntoDrawingArea as _};
use plotters::element::{PathElement, Polygon};
use plotters::style::{Color as _, TextStyle};

use super::tone::{Tone, classed};

/// Size of a sheet: a line of text is 14 of its units, so on a phone of 360 points it is about 10.
const WIDTH: u32 = 480;
const HEIGHT: u32 = 300;

/// Size of the words, as the library counts it.
const TEXT: u32 = 17;

/// An axis: where its marks stand, each with its words, and what it is of.
#[derive(Clone, Debug)]
pub(super) struct Axis {
    pub(super) marks: Vec<(f64, String)>,
    pub(super) ends: (f64, f64),
    pub(super) of: String,
}

/// The words of a drawing for whoever does not see it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Told<'a> {
    pub(super) id: &'a str,
    pub(super) title: &'a str,
    pub(super) description: &'a str,
}

type Sheet<'a, 'b> = ChartContext<'a, SVGBackend<'b>, Cartesian2d<Axis, Axis>>;
type Fault = DrawingAreaErrorKind<io::Error>;

/// What is drawn between the axes.
pub(super) struct Drawing<'s, 'a, 'b> {
    sheet: &'s mut Sheet<'a, 'b>,
    ends: ((f64, f64), (f64, f64)),
}

/// A drawing with two axes.
pub(super) fn drawing(
    told: Told<'_>,
    across: &Axis,
    up: &Axis,
    draw: impl FnOnce(&mut Drawing<'_, '_, '_>) -> Result<(), Fault>,
) -> Markup {
    let mut drawn = String::new();
    // A string takes whatever is written into it; and half a plot would be worse than its table alone.
    if written(&mut drawn, across, up, draw).is_err() {
        return html! { p { "This plot cannot be drawn; its numbers are in the table." } };
    }
    let inner = drawn.split_once('>').map_or("", |(_, rest)| rest);
    let inner = inner.trim_end().trim_end_matches("</svg>");
    html! {
        svg class="drawing plot-drawing" viewBox=(format!("0 0 {WIDTH} {HEIGHT}")) role="img"
            aria-labelledby={ (told.id) "-title " (told.id) "-desc" } {
            title id={ (told.id) "-title" } { (told.title) }
            desc id={ (told.id) "-desc" } { (told.description) }
            (PreEscaped(classed(inner)))
        }
    }
}

fn written(
    drawn: &mut String,
    across: &Axis,
    up: &Axis,
    draw: impl FnOnce(&mut Drawing<'_, '_, '_>) -> Result<(), Fault>,
) -> Result<(), Fault> {
    let area = SVGBackend::with_string(drawn, (WIDTH, HEIGHT)).into_drawing_area();
    let mut sheet = ChartBuilder::on(&area)
        .margin_top(10)
        .margin_right(24)
        .margin_left(4)
        .x_label_area_size(if across.of.is_empty() { 24 } else { 42 })
        .y_label_area_size(56)
        .build_cartesian_2d(across.clone(), up.clone())?;
    let colour = Tone::Words.colour();
    let words = TextStyle::from(("sans-serif", TEXT)).color(&colour);
    sheet
        .configure_mesh()
        .disable_x_mesh()
        .bold_line_style(Tone::Grid.colour())
        .light_line_style(Tone::Grid.colour().mix(0.0))
        .axis_style(Tone::Axis.colour())
        .label_style(words.clone())
        .axis_desc_style(words)
        .x_desc(across.of.clone())
        .y_desc(up.of.clone())
        .draw()?;
    draw(&mut Drawing {
        sheet: &mut sheet,
        ends: (across.ends, up.ends),
    })?;
    area.present()
}

impl Ranged for Axis {
    type FormatOption = NoDefaultFormatting;
    type ValueType = f64;

    fn map(&self, value: &f64, (from, to): (i32, i32)) -> i32 {
        let (first, last) = self.ends;
        let share = (value - first) / (last - first);
        pixel(f64::from(from) + share * f64::from(to - from))
    }

    fn key_points<Hint: KeyPointHint>(&self, _: Hint) -> Vec<f64> {
        self.marks.iter().map(|(at, _)| *at).collect()
    }

    fn range(&self) -> Range<f64> {
        self.ends.0..self.ends.1
    }
}

impl ValueFormatter<f64> for Axis {
    fn format_ext(&self, value: &f64) -> String {
        let same = |(at, _): &&(f64, String)| at.total_cmp(value).is_eq();
        let mark = self.marks.iter().find(same);
        mark.map_or_else(String::new, |(_, words)| words.clone())
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a place on a sheet of some hundred units; a cast from f64 saturates"
)]
fn pixel(place: f64) -> i32 {
    place.round() as i32
}

impl Drawing<'_, '_, '_> {
    /// A line through points.
    pub(super) fn line(
        &mut self,
        points: &[(f64, f64)],
        tone: Tone,
        wide: u32,
    ) -> Result<(), Fault> {
        let points = self.inside(points);
        let style = tone.colour().stroke_width(wide);
        self.sheet
            .draw_series([PathElement::new(points, style)])
            .map(drop)
    }

    /// A closed shape.
    pub(super) fn shape(&mut self, points: &[(f64, f64)], tone: Tone) -> Result<(), Fault> {
        let points = self.inside(points);
        self.sheet
            .draw_series([Polygon::new(points, tone.colour().filled())])
            .map(drop)
    }

    /// A shape given in units of the sheet about a point.
    pub(super) fn mark(
        &mut self,
        at: (f64, f64),
        (shape, tone): (&[(i32, i32)], Tone),
    ) -> Result<(), Fault> {
        let at = self.inside(&[at]);
        let marks = at.iter().map(|at| {
            plotters::element::EmptyElement::at(*at)
                + Polygon::new(shape.to_vec(), tone.colour().filled())
        });
        self.sheet.draw_series(marks).map(drop)
    }

    /// What lies outside stands at the edge.
    fn inside(&self, points: &[(f64, f64)]) -> Vec<(f64, f64)> {
        let ((left, right), (low, high)) = self.ends;
        let points = points.iter();
        points
            .map(|(x, y)| (x.clamp(left, right), y.clamp(low, high)))
            .collect()
    }
}

/// A circle, as near as anybody sees.
pub(super) const DOT: [(i32, i32); 8] = [
    (-2, -4),
    (2, -4),
    (4, -2),
    (4, 2),
    (2, 4),
    (-2, 4),
    (-4, 2),
    (-4, -2),
];

/// A square on its corner.
pub(super) const LOZENGE: [(i32, i32); 4] = [(0, -5), (5, 0), (0, 5), (-5, 0)];

/// A triangle that points up.
pub(super) const UP: [(i32, i32); 3] = [(0, -7), (5, 3), (-5, 3)];

/// A triangle that points down.
pub(super) const DOWN: [(i32, i32); 3] = [(0, 7), (5, -3), (-5, -3)];
