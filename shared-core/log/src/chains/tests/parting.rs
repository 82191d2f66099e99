//! Chains that part often: what leads where, against a walk of one event at a time.

use proptest::prelude::*;

use super::super::{Chain, Grown};
use crate::ids::EventId;

/// One event: its seq and id, and the position of the event before.
#[derive(Clone, Copy, Debug)]
struct Node {
    seq: u64,
    id: EventId,
    before: Option<usize>,
}

fn id(number: usize) -> EventId {
    let mut bytes = [0; 32];
    bytes[24..].copy_from_slice(&(number as u64).to_be_bytes());
    EventId::from_bytes(bytes)
}

/// A chain in which each event follows the one that `before` says, among those before it.
fn grown(before: impl IntoIterator<Item = Option<usize>>) -> (Chain, Vec<Node>) {
    let (mut chain, mut nodes) = (Chain::default(), Vec::<Node>::new());
    for (number, before) in before.into_iter().enumerate() {
        let seq = before.map_or(1, |before| nodes[before].seq + 1);
        let previous = before.map(|before| nodes[before].id);
        let node = Node {
            seq,
            id: id(number),
            before,
        };
        assert_ne!(chain.add(seq, node.id, previous.as_ref()), Grown::Held);
        nodes.push(node);
    }
    (chain, nodes)
}

fn walks_to(nodes: &[Node], from: usize, to: usize) -> bool {
    let mut here = Some(from);
    while let Some(at) = here {
        if at == to {
            return true;
        }
        here = nodes[at].before;
    }
    false
}

proptest! {
    #[test]
    fn what_leads_where_is_what_a_walk_finds(
        picks in prop::collection::vec((0_usize..8, any::<prop::sample::Index>()), 1..60),
    ) {
        // Mostly the newest event is followed, sometimes any, now and then none at all.
        let before = picks.iter().enumerate().map(|(number, (how, pick))| match how {
            _ if number == 0 => None,
            0 => None,
            1..=3 => Some(pick.index(number)),
            _ => Some(number - 1),
        });
        let (chain, nodes) = grown(before);
        for node in &nodes {
            let before = chain.before(&node.id, node.seq - 1);
            prop_assert_eq!(before, node.before.map(|before| nodes[before].id));
        }
        for (from, head) in nodes.iter().enumerate() {
            for (to, node) in nodes.iter().enumerate() {
                prop_assert_eq!(
                    chain.on_branch(node.seq, &node.id, head.seq, &head.id),
                    walks_to(&nodes, from, to),
                    "from {} to {}", from, to
                );
            }
        }
    }
}

/// Whoever holds a key can part its chain as often as she likes: 20,000 events of two long
/// branches, and 20,000 that part at every seq, each looked up from the newest.
#[test]
fn long_and_often_parted_chains_are_judged_event_by_event() {
    let two_branches = (0..20_000).map(|number| match number {
        0 => None,
        1 | 2 => Some(0),
        number => Some(number - 2_usize),
    });
    // Event 2n + 1 and event 2n + 2 both follow event 2n: only the even ones are followed.
    let ladder = (0..20_000).map(|number| match number {
        0 => None,
        number => Some((number - 1_usize) / 2 * 2),
    });
    for (name, before, below) in [
        ("two branches", two_branches.collect::<Vec<_>>(), 10_000),
        ("ladder", ladder.collect(), 10_000),
    ] {
        let (chain, nodes) = grown(before);
        let newest = nodes
            .iter()
            .rev()
            .find(|node| node.id.as_bytes()[31] % 2 == 0);
        let newest = newest.expect("half of them are even");
        let found = nodes
            .iter()
            .filter(|node| chain.on_branch(node.seq, &node.id, newest.seq, &newest.id))
            .count();
        assert_eq!(found, below, "{name}");
    }
}
