//! Which open tuning suits a piece.

use super::{Request, Totals, plan};
use crate::harp::Tuning;

/// The totals of the piece planned on the same harp in every usual tuning, best first; of equal ones the one with fewer
/// flats first. A harp that can't be strung so (a string outside the range of pitches) is left out.
pub fn tunings_ranked(request: &Request<'_>) -> Vec<(Tuning, Totals)> {
    let mut ranked: Vec<(Tuning, Totals)> = Tuning::ALL
        .into_iter()
        .filter_map(|tuning| {
            let harp = request.harp.retuned(tuning).ok()?;
            Some((tuning, plan(&Request { harp: &harp, ..*request }).totals))
        })
        .collect();
    ranked.sort_by_key(|(tuning, totals)| (totals.rank(), *tuning));
    ranked
}
