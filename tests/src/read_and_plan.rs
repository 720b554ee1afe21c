//! The whole way from a file's bytes to its plan, as a player's usual harp takes it.

use leverlane_core::harp::{Harp, Preset, Tuning};
use leverlane_core::plan::{Edit, EndOfPiece, HandPace, PaceLevel, Plan, Request, plan};
use leverlane_core::score::{HandRule, Hands, Performance};
use leverlane_core::time::{Tempo, TempoError, TempoMap};
use leverlane_formats::{ImportError, Imported, Limits, import};

/// Reads a score and plans it.
///
/// # Errors
/// As [`import`].
pub fn read_and_plan(bytes: &[u8]) -> Result<Plan, ImportError> {
    Ok(plan_imported(&import(bytes, &Limits::USUAL)?))
}

/// Plans a score that was read, for a harp of 34 strings in C, fluent hands and the written tempo.
pub fn plan_imported(imported: &Imported) -> Plan {
    plan(&Usual::of(imported).request(&[]))
}

/// A piece with all that its plan depends on: a harp of 34 strings in C, fluent hands and the written tempo.
#[derive(Clone, Debug)]
pub struct Usual {
    /// The piece as it is played.
    pub performance: Performance,
    harp: Harp,
    tempo: TempoMap,
    pace: HandPace,
}

impl Usual {
    /// A score that was read.
    pub fn of(imported: &Imported) -> Usual {
        let hands = Hands::assign(&imported.score, &HandRule::Usual);
        let performance = Performance::new(&imported.score, &imported.order, &hands);
        #[expect(clippy::expect_used, reason = "34 strings are among the presets, as their own tests say")]
        let usual = Preset::with_strings(34).expect("a preset of 34 strings");
        let tempo = performance.tempo().clone();
        Usual { performance, harp: usual.tuned(Tuning::C), tempo, pace: HandPace::from(PaceLevel::Fluent) }
    }

    /// The same at another tempo.
    ///
    /// # Errors
    /// As [`TempoMap::opening_at`].
    pub fn opening_at(self, tempo: Tempo) -> Result<Usual, TempoError> {
        Ok(Usual { tempo: self.tempo.opening_at(tempo)?, ..self })
    }

    /// What to ask the planner, with some decisions of the player's.
    pub fn request<'a>(&'a self, edits: &'a [Edit]) -> Request<'a> {
        let Usual { performance, harp, tempo, pace } = self;
        Request { performance, harp, tempo, pace, edits, ending: EndOfPiece::Stop }
    }
}
