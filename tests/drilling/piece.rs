//! The demo piece on its harp, cut into chunks.

use leverlane_core::drill::{Chunk, ChunkRequest, ChunkSize, Layer};
use leverlane_core::harp::{Harp, Preset, Tuning};
use leverlane_core::plan::{EndOfPiece, HandPace, PaceLevel, Plan, Request, plan};
use leverlane_core::score::{HandRule, Hands, Performance};
use leverlane_core::time::{Tempo, TempoMap};
use leverlane_core::verdict::{ExpectedPass, PassRequest};
use leverlane_formats::{Limits, import};

pub struct Piece {
    harp: Harp,
    performance: Performance,
    plan: Plan,
    pace: HandPace,
}

impl Piece {
    /// Our own arrangement of a traditional tune, with several flips.
    pub fn demo() -> Piece {
        let imported = import(include_bytes!("../../demo/greensleeves.musicxml"), &Limits::USUAL).unwrap();
        let hands = Hands::assign(&imported.score, &HandRule::Usual);
        let performance = Performance::new(&imported.score, &imported.order, &hands);
        let harp = Preset::with_strings(34).unwrap().tuned(Tuning::C);
        let pace = HandPace::from(PaceLevel::Fluent);
        let plan = plan(&Request {
            performance: &performance,
            harp: &harp,
            tempo: &TempoMap::steady(Tempo::quarters(60.0).unwrap()),
            pace: &pace,
            edits: &[],
            ending: EndOfPiece::Stop,
        });
        assert!(plan.gestures.len() > 2, "a piece to drill flips with");
        Piece { harp, performance, plan, pace }
    }

    pub fn gestures(&self) -> usize {
        self.plan.gestures.len()
    }

    /// What one pass asks of the player.
    pub fn pass(&self, gesture: usize, size: ChunkSize, layer: Layer, tempo: Tempo) -> ExpectedPass {
        let request = ChunkRequest {
            performance: &self.performance,
            plan: &self.plan,
            harp: &self.harp,
            pace: &self.pace,
            tempo,
        };
        let chunk = Chunk::around(&request, gesture, size).unwrap();
        let hands = layer.hands(self.plan.gestures[gesture].hand);
        let (performance, plan, harp) = (&self.performance, &self.plan, &self.harp);
        ExpectedPass::of(&PassRequest { chunk: &chunk, performance, plan, harp, hands })
    }
}
