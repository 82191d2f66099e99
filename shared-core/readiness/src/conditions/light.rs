//! Stretches of dark at a place, and what of them falls into a job.
//!
//! Dark is from sunset to sunrise, as the navigation rules count it (33 CFR 83.20): twilight is
//! dark. Reckons no sun.

use crate::moment::Moment;

/// When it is dark at one place, over one stretch of time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Light {
    /// The stretch over which this is known: from.
    pub from: Moment,
    /// The stretch over which this is known: to.
    pub to: Moment,
    /// Dark from sunset to sunrise, in order, apart from each other, within the stretch. One that
    /// begins or ends with the stretch may have begun earlier or end later.
    pub dark: Vec<(Moment, Moment)>,
}

/// Whether it is dark during a job.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Dark {
    /// Day throughout.
    No,
    /// Dark for a part of it: the first such stretch.
    Partly {
        /// From: the start of the job, or sunset.
        from: Moment,
        /// To: sunrise, or the end of the job.
        to: Moment,
    },
    /// Dark throughout.
    Yes,
    /// Not known, since no place was given.
    NotKnown,
}

/// Whether lights are needed during a job: in the dark, and in restricted visibility.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Lights {
    /// Day and clear.
    NotNeeded,
    /// Needed from a moment of the job on.
    NeededFrom(Moment),
    /// Not known.
    NotKnown,
}

impl Dark {
    /// The stable word.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::No => "no",
            Self::Partly { .. } => "partly",
            Self::Yes => "yes",
            Self::NotKnown => "not_known",
        }
    }
}

impl Lights {
    /// From when they are needed; none when they are not, or when that is not known.
    #[must_use]
    pub const fn from(self) -> Option<Moment> {
        match self {
            Self::NeededFrom(from) => Some(from),
            Self::NotNeeded | Self::NotKnown => None,
        }
    }
}

impl Light {
    /// Whether it is dark during a job from a moment to another; not known where the stretch does
    /// not hold all of it.
    #[must_use]
    pub fn during(&self, from: Moment, to: Moment) -> Dark {
        if from < self.from || to > self.to || to < from {
            return Dark::NotKnown;
        }
        // A moment alone is dark from the very sunset to just before the sunrise.
        let within =
            |(start, end): &&(Moment, Moment)| *end > from && (*start < to || *start <= from);
        let Some((start, end)) = self.dark.iter().find(within) else {
            return Dark::No;
        };
        if *start <= from && *end >= to {
            return Dark::Yes;
        }
        Dark::Partly {
            from: from.max(*start),
            to: to.min(*end),
        }
    }

    /// Sunset and sunrise of the night that a moment lies in, else of the next; none where the
    /// stretch does not show it.
    #[must_use]
    pub fn night_at(&self, at: Moment) -> (Option<Moment>, Option<Moment>) {
        let night = self.dark.iter().find(|(_, end)| *end > at);
        let Some((start, end)) = night else {
            return (None, None);
        };
        (
            Some(*start).filter(|start| *start > self.from),
            Some(*end).filter(|end| *end < self.to),
        )
    }
}

#[cfg(test)]
mod tests;
