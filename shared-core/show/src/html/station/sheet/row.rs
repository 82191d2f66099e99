//! Lines of a stop as rows with boxes; no row is broken across pages.

use maud::{Markup, html};

use super::super::paper_lines::{BoxKind, PaperBox, PaperLine};

/// Lines of a stop, those that take less than the width side by side. The name of the stop stays with
/// its first row.
pub(super) fn rows(label: &str, lines: &[PaperLine]) -> Markup {
    let lines: Vec<&PaperLine> = lines.iter().filter(|line| !line.boxes.is_empty()).collect();
    let mut rows = abreast(&lines).into_iter();
    let first = rows.next();
    html! {
        @if let Some(first) = first {
            div.sheet-first {
                h2 { (label) }
                (row(first))
            }
        }
        @for one in rows { (row(one)) }
    }
}

/// What stands side by side.
fn abreast<'a, 'b>(lines: &'b [&'a PaperLine]) -> Vec<&'b [&'a PaperLine]> {
    let alike = lines.chunk_by(|one, other| one.room == other.room);
    alike
        .flat_map(|lines| lines.chunks(lines[0].room.abreast()))
        .collect()
}

fn row(lines: &[&PaperLine]) -> Markup {
    let of = lines.first().map_or(1, |line| line.room.abreast());
    html! {
        div class={ "sheet-row sheet-of-" (of) } {
            @for line in lines { (one(line)) }
        }
    }
}

fn one(line: &PaperLine) -> Markup {
    html! {
        div.line {
            b { (line.number) }
            span.words {
                (line.words)
                @if !line.wanted.is_empty() { " " em { (line.wanted) } }
            }
            @for of_line in &line.boxes { (boxed(of_line)) }
        }
    }
}

/// One box; its width is that of what is written in it.
pub(super) fn boxed(one: &PaperBox) -> Markup {
    match one.kind {
        BoxKind::Ticks(of) => html! {
            span.ticks {
                @if !one.caption.is_empty() { small { (one.caption) } }
                @for (_, words) in of { span { i {} (words) } }
            }
        },
        BoxKind::Count
        | BoxKind::Quantity
        | BoxKind::Number
        | BoxKind::Dates
        | BoxKind::Words
        | BoxKind::OneOf(_) => {
            html! { span class={ "box " (width(one.kind)) } { small { (one.caption) } } }
        }
    }
}

const fn width(kind: BoxKind) -> &'static str {
    match kind {
        BoxKind::Count => "box-count",
        BoxKind::Quantity => "box-quantity",
        BoxKind::Number => "box-number",
        BoxKind::Dates => "box-dates",
        BoxKind::Words | BoxKind::OneOf(_) => "box-words",
        BoxKind::Ticks(_) => "",
    }
}
