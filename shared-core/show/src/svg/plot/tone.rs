//! Which mark of a plot is which: a colour while the library draws, a class of the style sheet after.

use plotters::style::RGBColor;

/// A mark of a plot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Tone {
    Axis,
    Grid,
    Words,
    Own,
    Band,
    Others,
    Limit,
    Read,
    Corrected,
    Air,
    Bar,
    BarExpected,
    BarPast,
}

impl Tone {
    pub(super) const ALL: [Self; 13] = [
        Self::Axis,
        Self::Grid,
        Self::Words,
        Self::Own,
        Self::Band,
        Self::Others,
        Self::Limit,
        Self::Read,
        Self::Corrected,
        Self::Air,
        Self::Bar,
        Self::BarExpected,
        Self::BarPast,
    ];

    /// The colour that stands for it while the library draws; nobody sees it.
    pub(super) const fn colour(self) -> RGBColor {
        RGBColor(1, 1, self as u8)
    }

    const fn class(self) -> &'static str {
        match self {
            Self::Axis => "plot-axis",
            Self::Grid => "plot-grid",
            Self::Words => "plot-words",
            Self::Own => "plot-own",
            Self::Band => "plot-band",
            Self::Others => "plot-others",
            Self::Limit => "plot-limit",
            Self::Read => "plot-read",
            Self::Corrected => "plot-corrected",
            Self::Air => "plot-air",
            Self::Bar => "plot-bar",
            Self::BarExpected => "plot-bar-expected",
            Self::BarPast => "plot-bar-past",
        }
    }
}

/// What the library drew, with classes for its colours. Text cannot be taken for one: the library
/// writes a quotation mark in a text as `&quot;`.
pub(super) fn classed(drawn: &str) -> String {
    let mut classed = drawn.to_owned();
    for tone in Tone::ALL {
        let RGBColor(red, green, blue) = tone.colour();
        let colour = format!("#{red:02X}{green:02X}{blue:02X}");
        for paint in ["fill", "stroke"] {
            let class = format!("class=\"{}\"", tone.class());
            classed = classed.replace(&format!("{paint}=\"{colour}\""), &class);
        }
    }
    for unpainted in [
        " opacity=\"1\"",
        " stroke=\"none\"",
        " fill=\"none\"",
        " stroke-width=\"1\"",
        " font-family=\"sans-serif\"",
    ] {
        classed = classed.replace(unpainted, "");
    }
    classed
}
