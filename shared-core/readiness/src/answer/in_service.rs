//! The steps by which a craft is placed in service, each with what proves it or what stands open.

use super::Finding;
use crate::ids::EventId;
use crate::moment::Moment;

/// One step.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// Which.
    pub step: StepId,
    /// How far it is.
    pub state: StepState,
    /// What stands open, in the answer's own findings.
    pub open: Vec<Finding>,
    /// Minutes of what stands open; none when it is no matter of known minutes.
    pub minutes: Option<u32>,
}

/// How far a step is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StepState {
    /// Done: the event that proves it, and when that happened at the earliest.
    Done {
        /// The event.
        event: EventId,
        /// When.
        at: Moment,
    },
    /// Nothing had to be recorded, and nothing stands against it.
    Clear,
    /// Open.
    Open,
}

/// The steps, in the order in which they are done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum StepId {
    /// Registered, of a model that has a boat standard.
    Registered,
    /// The maker's plate recorded.
    Plate,
    /// Placed at a station.
    Placed,
    /// First inflation: every part that holds air was filled and read.
    FirstInflation,
    /// Keel and floor by hand or foot pump, never from a cylinder.
    FilledByHand,
    /// The gauge read again an hour later, settled and in range.
    ReCheck,
    /// The hold test.
    HoldTest,
    /// Valves right.
    Valves,
    /// The motor fitted, within the plate's power and weight, and in order.
    Motor,
    /// The motor's safety line, that can be cut.
    SafetyLine,
    /// The number on craft, bag and motor top.
    Numbers,
    /// Kit aboard; what is still to buy.
    Kit,
    /// The other inspections of the boat standard.
    Inspections,
    /// A full check.
    FullCheck,
    /// No fault, hold or doubt open.
    NothingOpen,
    /// A crew, with operators named.
    Operators,
}

impl Step {
    /// Whether it is over.
    #[must_use]
    pub fn is_done(&self) -> bool {
        self.state != StepState::Open
    }
}
