//! Hours of sound: the memory of a listener is made once, and its times never drift.

use leverlane_hearing::{Heard, Listener, SampleRate};
use leverlane_tests::harp_recordings::{Bank, Passage, RATE};

use crate::figures::Target::{AtLeast, AtMost};
use crate::figures::{Table, share};

const SECONDS: usize = 4 * 3600;

/// One passage again and again for four hours; in every one the same must be heard at the same places.
pub fn measure(passages: &[(u64, Passage)], bank: &Bank, table: &mut Table) {
    let Some((_, passage)) = passages.first() else { return };
    let (rate, sound) = (SampleRate::new(RATE).unwrap(), passage.sound(bank));
    let mut listener = Listener::new(rate, &[]);
    let period = sound.len() as u64;
    let rounds = (SECONDS * RATE as usize) as u64 / period;
    let mut places = Vec::new();
    for _ in 0..rounds {
        listener.listen(&sound, |heard| {
            if let Heard::Onset(onset) = heard {
                places.push(onset.at.get());
            }
        });
    }
    let in_round = |round: u64| -> Vec<u64> {
        let own = places.iter().filter(|place| **place / period == round);
        own.map(|place| place % period).collect()
    };
    let second = in_round(1);
    let same = (2..rounds - 1).filter(|&round| in_round(round) == second).count();
    table.add(
        "four hours: rounds in which the same was heard as in the second",
        share(same, rounds as usize - 3),
        AtLeast(0.99),
    );
    let counted = listener.heard().get() as f64 - (rounds * period) as f64;
    table.add("four hours: samples miscounted", counted.abs(), AtMost(0.0));
}
