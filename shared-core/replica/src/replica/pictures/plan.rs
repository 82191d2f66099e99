//! What a station keeps of the pictures within its budget: the newest of its own craft first.
//!
//! A function of what is known of each; it removes and fetches nothing.

use std::cmp::Reverse;

use sponson_log::ids::Digest;

/// What to do so that the budget is kept.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PicturesPlan {
    /// To be fetched, the newest first, with the length of each.
    pub fetch: Vec<(Digest, u64)>,
    /// To be let go.
    pub let_go: Vec<Digest>,
}

/// A picture that an event commits to and that is not removed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Candidate {
    pub(super) id: Digest,
    /// Its length.
    pub(super) bytes: u64,
    /// Number of the newest event that commits to it.
    pub(super) newest: u64,
    /// It is here.
    pub(super) held: bool,
    /// The county has it.
    pub(super) at_county: bool,
    /// It is of something at the own station.
    pub(super) ours: bool,
}

/// Keeps what the county does not have, whatever it takes; then, within what is left, the newest of
/// the own station, then the newest of others that are here already. From the first that does not fit
/// on, nothing more.
pub(super) fn plan(budget_bytes: u64, candidates: Vec<Candidate>) -> PicturesPlan {
    let alone = candidates.iter().filter(|it| it.held && !it.at_county);
    let mut left = budget_bytes.checked_sub(alone.map(|it| it.bytes).sum());
    let mut rest: Vec<Candidate> = candidates
        .into_iter()
        .filter(|it| if it.held { it.at_county } else { it.ours })
        .collect();
    rest.sort_by_key(|it| (Reverse(it.ours), Reverse(it.newest), it.id));
    let mut plan = PicturesPlan::default();
    for it in rest {
        left = left.and_then(|left| left.checked_sub(it.bytes));
        match (left, it.held) {
            (Some(_), false) => plan.fetch.push((it.id, it.bytes)),
            (None, true) => plan.let_go.push(it.id),
            (Some(_), true) | (None, false) => {}
        }
    }
    plan
}

#[cfg(test)]
mod tests {
    use super::*;

    fn id(number: u8) -> Digest {
        Digest::from_bytes([number; 32])
    }

    const HERE: Candidate = Candidate {
        id: Digest::from_bytes([0; 32]),
        bytes: 100,
        newest: 0,
        held: true,
        at_county: true,
        ours: true,
    };
    const ALONE: Candidate = Candidate {
        at_county: false,
        ..HERE
    };
    const AWAY: Candidate = Candidate {
        held: false,
        ..HERE
    };
    const OTHERS: Candidate = Candidate {
        ours: false,
        ..HERE
    };

    /// Candidates by their age, the oldest first: which are fetched, which go.
    fn check(budget: u64, candidates: &[Candidate], fetch: &[u8], let_go: &[u8]) {
        let numbered = (1..).zip(candidates).map(|(number, it)| Candidate {
            id: id(number),
            newest: u64::from(number),
            ..*it
        });
        let planned = plan(budget, numbered.collect());
        let fetched: Vec<Digest> = planned.fetch.iter().map(|it| it.0).collect();
        let wanted = |numbers: &[u8]| numbers.iter().map(|it| id(*it)).collect::<Vec<_>>();
        assert_eq!(
            (fetched, planned.let_go),
            (wanted(fetch), wanted(let_go)),
            "{candidates:?}"
        );
    }

    #[test]
    fn the_newest_of_the_own_station_stay_and_come_within_the_budget() {
        check(300, &[HERE, HERE, HERE], &[], &[]);
        check(299, &[HERE, HERE, HERE], &[], &[1]);
        check(300, &[AWAY, AWAY, AWAY], &[3, 2, 1], &[]);
        check(200, &[AWAY, AWAY, AWAY], &[3, 2], &[]);
        check(200, &[HERE, HERE, AWAY], &[3], &[1]);
        check(0, &[HERE, AWAY], &[], &[1]);
        // Of another station's craft none is fetched, and those here go first, however new.
        check(200, &[HERE, AWAY, OTHERS], &[2], &[3]);
        check(
            900,
            &[Candidate {
                held: false,
                ..OTHERS
            }],
            &[],
            &[],
        );
    }

    #[test]
    fn what_the_county_does_not_have_never_goes() {
        check(0, &[ALONE, ALONE], &[], &[]);
        check(250, &[ALONE, HERE, HERE, ALONE], &[], &[3, 2]);
        check(300, &[ALONE, HERE, HERE, AWAY], &[4], &[2]);
        check(
            0,
            &[Candidate {
                ours: false,
                ..ALONE
            }],
            &[],
            &[],
        );
    }

    #[test]
    fn none_is_passed_over_for_an_older_one_that_fits() {
        let large = Candidate { bytes: 250, ..AWAY };
        check(200, &[AWAY, large], &[], &[]);
        check(200, &[HERE, large], &[], &[1]);
    }
}
