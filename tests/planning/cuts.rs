//! Short pieces cut from scores, and how the outside solver is told of them.

use leverlane_core::harp::{Harp, Preset, Tuning};
use leverlane_core::meter::{Strength, divisions_used, flip_places, strength};
use leverlane_core::plan::{EndOfPiece, HandPace, PaceLevel, Plan, Request, plan};
use leverlane_core::score::{
    Bar, BarIndex, Hand, HandRule, Hands, Navigation, Part, Performance, PlayingOrder, Roll, Score,
};
use leverlane_core::time::{ScoreTime, Tempo, TempoMap, Ticks};
use serde_json::{Value, json};

/// Some bars of a piece with the harp and the tempo they are planned for.
pub struct Cut {
    pub name: String,
    pub performance: Performance,
    pub harp: Harp,
    pub bpm: f64,
}

impl Cut {
    /// These bars of a score, once through; none where the left or the right hand has nothing to play in them.
    pub fn of(name: &str, score: &Score, bars: std::ops::Range<usize>, tuning: Tuning, bpm: f64) -> Option<Cut> {
        let written: Vec<Bar> = score.bars()[bars.clone()]
            .iter()
            .map(|bar| Bar { navigation: Navigation::default(), tempo_marks: Vec::new(), ..bar.clone() })
            .collect();
        let of_the_cut = |part: &Part| {
            let notes = part.notes.iter().filter(|note| bars.contains(&note.bar.get())).map(|note| {
                let bar = BarIndex::new(note.bar.get() - bars.start);
                leverlane_core::score::Note { bar, ..note.clone() }
            });
            Part { notes: notes.collect(), ..part.clone() }
        };
        let parts = score.parts().iter().map(of_the_cut).collect();
        let score = Score::new(name, written, parts).ok()?;
        let hands = Hands::assign(&score, &HandRule::Usual);
        let performance = Performance::new(&score, &PlayingOrder::unroll(score.bars(), 1_000).ok()?, &hands);
        let both = Hand::BOTH.iter().all(|&hand| performance.plucks().iter().any(|pluck| pluck.hand == hand));
        let harp = Preset::with_strings(34)?.tuned(tuning);
        let name = format!("{name} bars {}-{} {} {bpm}", bars.start + 1, bars.end, tuning.ascii());
        both.then_some(Cut { name, performance, harp, bpm })
    }

    pub fn plan(&self) -> Plan {
        plan(&Request {
            performance: &self.performance,
            harp: &self.harp,
            tempo: &TempoMap::steady(Tempo::quarters(self.bpm).unwrap()),
            pace: &HandPace::from(PaceLevel::Fluent),
            edits: &[],
            ending: EndOfPiece::Stop,
        })
    }

    /// The moments at which a flip may be made, by the documented rule: beats, halves and thirds, and the midpoint of two
    /// plucks with none of those between.
    fn places(&self) -> Vec<(ScoreTime, u32)> {
        let plucks = self.performance.plucks();
        let mut places = Vec::new();
        for bar in self.performance.bars() {
            let inside = plucks.iter().filter(|pluck| pluck.at >= bar.starts && pluck.at < bar.ends());
            let used = divisions_used(inside.map(|pluck| pluck.at - bar.starts + bar.anacrusis), &bar.meter);
            places
                .extend(flip_places(&bar.meter, bar.anacrusis, bar.length, used).into_iter().map(|at| bar.starts + at));
        }
        for pair in plucks.windows(2) {
            let half = Ticks::new((pair[1].at - pair[0].at).get() / 2);
            if half > Ticks::ZERO && !places.iter().any(|&at| at > pair[0].at && at < pair[1].at) {
                places.push(pair[0].at + half);
            }
        }
        places.sort_unstable();
        places.dedup();
        let cost = |at: ScoreTime| {
            let bar = &self.performance.bars()[self.performance.bar_at(at)];
            match strength(at - bar.starts + bar.anacrusis, &bar.meter) {
                Strength::Downbeat | Strength::Strong => 0,
                Strength::Beat => 1,
                Strength::Half => 3,
                Strength::Third => 4,
                Strength::Between => 8,
            }
        };
        places.into_iter().map(|at| (at, cost(at))).collect()
    }

    /// The piece for the solver, with the totals that are to be beaten. Numbers of the hand model are those of
    /// `HandPace`'s documentation (common practice).
    pub fn told(&self, plan: &Plan) -> Value {
        let steps = |pitch: leverlane_core::pitch::SpelledPitch| pitch.staff_steps();
        let strings: Vec<Value> = self
            .harp
            .strings()
            .iter()
            .map(|string| {
                json!({"midi": string.open.midi().get(), "steps": steps(string.open), "fitted": string.lever.is_fitted(),
                       "across": string.place.across.get(), "lever_above": string.place.lever_above.get()})
            })
            .collect();
        let plucks: Vec<Value> = self
            .performance
            .plucks()
            .iter()
            .map(|pluck| {
                let ways: Vec<usize> =
                    self.harp.ways_to_sound(pluck.pitch.midi()).map(|(string, _)| string.index()).collect();
                // Alone at its moment a note with one string is always played on it.
                let alone = self.performance.plucks().iter().filter(|other| other.at == pluck.at).count() == 1;
                let only = (alone && ways.len() == 1).then(|| ways[0]);
                json!({"at": ticks(pluck.at), "end": ticks(pluck.written_end), "midi": pluck.pitch.midi().get(),
                       "steps": steps(pluck.pitch), "hand": pluck.hand.to_string(),
                       "grace": (pluck.grace_order < u8::MAX).then_some(pluck.grace_order),
                       "roll": pluck.roll.map(|roll| if roll == Roll::Up { "up" } else { "down" }),
                       "only": only})
            })
            .collect();
        let places: Vec<Value> =
            self.places().into_iter().map(|(at, cost)| json!({"at": ticks(at), "cost": cost})).collect();
        let (unplayable, rushed, work, comfort) = plan.totals.rank();
        json!({
            "name": self.name, "bpm": self.bpm, "quarter": Ticks::PER_QUARTER, "strings": strings, "plucks": plucks,
            "end": ticks(self.performance.end()), "places": places, "ours": [unplayable, rushed, work, comfort],
            "pace": {"factor": 1.0, "flip": 0.2, "out": 0.5, "place": 0.15, "back": 0.35, "further": 0.15,
                     "lever_to_lever": 0.4, "lever_width": 13.0, "nominal_reach": 350.0, "floor": 0.14,
                     "roll_step": 0.06, "grace_step": 0.08},
        })
    }
}

fn ticks(at: ScoreTime) -> i64 {
    at.since_start().get()
}
