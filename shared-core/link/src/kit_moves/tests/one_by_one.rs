//! Craft filled one after another, some of them in vain, against the least way of those that were.

use super::super::case::cases;
use super::super::flow::Flow;
use super::super::work::Work;
use super::every::any_problem;
use super::*;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4_000))]

    /// A craft that there is not enough for leaves no mark, and none is refused that there is enough for.
    #[test]
    fn a_craft_filled_in_vain_changes_nothing(problem in any_problem()) {
        for case in cases(&problem) {
            let work = &mut Work::without_end();
            let mut flow = Flow::none(&case);
            let mut ready = BTreeSet::new();
            for taker in (0..case.takers.len()).rev() {
                let mut with = ready.clone();
                with.insert(taker);
                let anew = Flow::of(&case, &with, work).is_some();
                prop_assert_eq!(flow.fill(taker, work), anew);
                if anew {
                    ready = with;
                }
            }
            let anew = Flow::of(&case, &ready, work).expect("each was filled");
            prop_assert_eq!(flow.first(work).0.units(), anew.first(work).0.units());
        }
    }
}
