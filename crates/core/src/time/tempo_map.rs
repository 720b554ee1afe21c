//! From score time to seconds.

use super::{ScoreTime, Seconds, Tempo, TempoError, Ticks};

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

    /// The tempo of a passage, counted from the passage's beginning. What holds just before its end holds on after it.
    pub fn of_passage(&self, from: ScoreTime, to: ScoreTime) -> TempoMap {
        let inside = self.steps.iter().filter(|step| step.from > from && step.from < to);
        let changes: Vec<_> = inside.map(|step| (ScoreTime::from_start(step.from - from), step.tempo)).collect();
        TempoMap::with_changes(self.tempo_at(from), &changes)
    }

    /// The instant of score time that comes at a moment of playing, to the nearest tick: the reverse of
    /// [`TempoMap::seconds_at`].
    pub fn score_time_at(&self, moment: Seconds) -> ScoreTime {
        let after = self.steps.partition_point(|step| step.starts <= moment);
        let step = &self.steps[after.saturating_sub(1)];
        let ticks = (moment - step.starts).get() * step.tempo.quarters_per_minute() / 60.0 * Ticks::PER_QUARTER as f64;
        step.from + Ticks::new(ticks.round() as i64)
    }

    fn step_at(&self, at: ScoreTime) -> &Step {
        let after = self.steps.partition_point(|step| step.from <= at);
        &self.steps[after.saturating_sub(1)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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

    /// Arithmetic: 60 a minute up to the fourth quarter, 120 from there on.
    #[test]
    fn a_passage_keeps_its_own_changes() {
        let (slow, fast) = (Tempo::quarters(60.0).unwrap(), Tempo::quarters(120.0).unwrap());
        let map = TempoMap::with_changes(slow, &[(quarters(4), fast)]);
        assert_eq!(map.of_passage(quarters(2), quarters(8)).seconds_at(quarters(4)).get(), 3.0);
        assert_eq!(map.of_passage(quarters(0), quarters(4)), TempoMap::steady(slow), "a change on the end is outside");
        assert_eq!(map.of_passage(quarters(4), quarters(8)), TempoMap::steady(fast));
        for (seconds, found) in [(-1.0, -1), (4.0, 4), (5.0, 6)] {
            assert_eq!(map.score_time_at(Seconds::new(seconds)), quarters(found));
        }
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
