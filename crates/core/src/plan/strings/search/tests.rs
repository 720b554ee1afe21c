//! What a search that merges states says, against one that looks at everything.

use std::collections::BTreeSet;

use proptest::prelude::*;

use super::super::super::bench::Bench;
use super::super::super::cost::Cost;
use super::super::super::demand::{Component, Ways, components};
use super::super::BestAlone;
use super::{Crowd, Search};
use crate::plan::tests::exhaustive::small_score;
use crate::plan::tests::small_pieces::{cases, played};
use crate::plan::{EndOfPiece, HandPace, PaceLevel, Request};
use crate::time::{Tempo, TempoMap};

fn least(bench: &Bench<'_>, ways: &Ways, component: &Component, crowd: Crowd, most: usize) -> (Cost, bool) {
    let avoided = BTreeSet::new();
    let mut search = Search::new(bench, ways, component, &avoided, &BestAlone, crowd);
    search.most = most;
    let (cost, _) = search.run();
    (cost, search.is_exact)
}

proptest! {
    #![proptest_config(cases(300))]

    /// With room for few states, merged ones give no more than the least there is, and dropped ones no less.
    #[test]
    fn merging_never_costs_more((harp, notes) in small_score(), bpm in 20.0..200.0f64, most in 1usize..5, again in any::<bool>()) {
        let performance = played(0, &[notes], 1);
        let (tempo, pace) = (TempoMap::steady(Tempo::quarters(bpm).unwrap()), HandPace::from(PaceLevel::Fluent));
        let ending = if again { EndOfPiece::Loop } else { EndOfPiece::Stop };
        let request = Request { performance: &performance, harp: &harp, tempo: &tempo, pace: &pace, edits: &[], ending };
        let (bench, ways) = (Bench::new(&request), Ways::of(&harp));
        for component in components(&harp, &ways, &performance) {
            let (exact, is_exact) = least(&bench, &ways, &component, Crowd::Dropped, usize::MAX);
            prop_assert!(is_exact);
            prop_assert!(least(&bench, &ways, &component, Crowd::Merged, most).0 <= exact);
            prop_assert!(least(&bench, &ways, &component, Crowd::Dropped, most).0 >= exact);
            prop_assert_eq!(least(&bench, &ways, &component, Crowd::Merged, usize::MAX).0, exact);
        }
    }
}
