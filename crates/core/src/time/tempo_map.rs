//! From score time to seconds.

use super::{ScoreTime, Seconds, Tempo, TempoError};

/// The tempo at every moment of playing, as steps; the only maker of [`Seconds`] from [`ScoreTime`].
#[derive(Clone, Debug, PartialEq)]
pub struct TempoMap {
    steps: Vec<Step>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Step {
    from: ScoreTime,
    starts: Seconds,
    tempo: Tempo,
}

impl TempoMap {
    /// One tempo throughout.
    pub fn steady(tempo: Tempo) -> TempoMap {
        TempoMap { steps: vec![Step { from: ScoreTime::START, starts: Seconds::ZERO, tempo }] }
    }

    /// `opening` until the first change, then each change from its moment on. Changes at or before the start replace
    /// the opening; of two at one moment the later in the list counts.
    pub fn with_changes(opening: Tempo, changes: &[(ScoreTime, Tempo)]) -> TempoMap {
        let mut sorted = changes.to_vec();
        sorted.sort_by_key(|&(at, _)| at);
        let mut map = TempoMap::steady(opening);
        for (at, tempo) in sorted {
            let last = map.steps.len() - 1;
            if at <= map.steps[last].from {
                map.steps[last].tempo = tempo;
            } else {
                let starts = map.seconds_at(at);
                map.steps.push(Step { from: at, starts, tempo });
            }
        }
        map
    }

    /// When an instant of score time comes, in seconds from the start of playing; negative before it.
    pub fn seconds_at(&self, at: ScoreTime) -> Seconds {
        let step = self.step_at(at);
        step.starts + step.tempo.lasting(at - step.from)
    }

    /// The tempo in force at an instant.
    pub fn tempo_at(&self, at: ScoreTime) -> Tempo {
        self.step_at(at).tempo
    }

    /// The tempo at the start of playing.
    pub fn opening(&self) -> Tempo {
        self.steps[0].tempo
    }

    /// The same changes of tempo in the same proportion, beginning at another tempo.
    ///
    /// # Errors
    /// Where a later step would leave the range of [`Tempo`].
    pub fn opening_at(&self, opening: Tempo) -> Result<TempoMap, TempoError> {
        let factor = opening.quarters_per_minute() / self.opening().quarters_per_minute();
        let changes = self.steps[1..]
            .iter()
            .map(|step| {
                let tempo = Tempo::beats(step.tempo.beat(), step.tempo.per_minute() * factor)?;
                Ok((step.from, tempo))
            })
            .collect::<Result<Vec<_>, TempoError>>()?;
        Ok(TempoMap::with_changes(opening, &changes))
    }

    fn step_at(&self, at: ScoreTime) -> &Step {
        let after = self.steps.partition_point(|step| step.from <= at);
        &self.steps[after.saturating_sub(1)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::Ticks;

    fn quarters(n: i64) -> ScoreTime {
        ScoreTime::from_start(Ticks::QUARTER * n)
    }

    /// Arithmetic: at 60 a quarter lasts a second, at 120 half a second.
    #[test]
    fn seconds_follow_the_tempo_steps() {
        let (slow, fast) = (Tempo::quarters(60.0).unwrap(), Tempo::quarters(120.0).unwrap());
        let map = TempoMap::with_changes(slow, &[(quarters(4), fast)]);
        assert_eq!(map.seconds_at(quarters(4)).get(), 4.0);
        assert_eq!(map.seconds_at(quarters(6)).get(), 5.0);
        assert_eq!(map.seconds_at(quarters(-1)).get(), -1.0);
        let doubled = map.opening_at(fast).unwrap();
        assert_eq!(doubled.seconds_at(quarters(6)).get(), 2.5);
        assert!(map.opening_at(Tempo::quarters(390.0).unwrap()).is_err());
    }

    #[test]
    fn a_dotted_beat_is_three_eighths() {
        let beat = Ticks::from_quarters(3, 2).unwrap();
        let tempo = Tempo::beats(beat, 60.0).unwrap();
        assert_eq!(tempo.quarters_per_minute(), 90.0);
        assert_eq!(tempo.lasting(beat).get(), 1.0);
        assert!(Tempo::quarters(f64::NAN).is_err() && Tempo::quarters(4.9).is_err() && Tempo::quarters(401.0).is_err());
    }
}
