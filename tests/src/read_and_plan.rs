//! The whole way from a file's bytes to its plan, as a player's usual harp takes it.

use leverlane_core::harp::{Preset, Tuning};
use leverlane_core::plan::{EndOfPiece, HandPace, PaceLevel, Plan, Request, plan};
use leverlane_core::score::{HandRule, Hands, Performance};
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
    let hands = Hands::assign(&imported.score, &HandRule::Usual);
    let performance = Performance::new(&imported.score, &imported.order, &hands);
    #[expect(clippy::expect_used, reason = "34 strings are among the presets, as their own tests say")]
    let usual = Preset::with_strings(34).expect("a preset of 34 strings");
    plan(&Request {
        performance: &performance,
        harp: &usual.tuned(Tuning::C),
        tempo: performance.tempo(),
        pace: &HandPace::from(PaceLevel::Fluent),
        edits: &[],
        ending: EndOfPiece::Stop,
    })
}
