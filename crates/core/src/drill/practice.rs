//! The whole of one flip's practice: ladder, layer, chunk and cues, moved on by one pass after another.

use super::chunk::ChunkSize;
use super::fading::Cueing;
use super::ladder::{Ladder, LadderPlan, Move, PassResult};
use super::layers::Layer;
use crate::time::Tempo;

/// Where the practice of one flip stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Practice {
    /// The tempo.
    pub ladder: Ladder,
    /// How much is cued.
    pub cueing: Cueing,
    layer: Layer,
    size: ChunkSize,
}

/// Something easier or harder that is offered; the player decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Offer {
    /// Less music around the flip.
    SmallerChunk(ChunkSize),
    /// Fewer hands.
    EasierLayer(Layer),
    /// The next layer, from the foot of the ladder.
    NextLayer(Layer),
    /// More music around the flip.
    LargerChunk(ChunkSize),
}

/// From the notes that touch the flip to the whole piece.
const SIZES: [ChunkSize; 4] =
    [ChunkSize::FlipBar, ChunkSize::BarEachSide, ChunkSize::TwoBarsEachSide, ChunkSize::WholePiece];

impl ChunkSize {
    /// A size more; none beyond the whole piece, which is also what is more than bars of her own.
    pub fn larger(self) -> Option<ChunkSize> {
        if let ChunkSize::Bars { .. } = self {
            return Some(ChunkSize::WholePiece);
        }
        let place = SIZES.iter().position(|&size| size == self)?;
        SIZES.get(place + 1).copied()
    }

    /// A size less; none below the flip's own bar, which is also what is less than bars of her own.
    pub fn smaller(self) -> Option<ChunkSize> {
        if let ChunkSize::Bars { .. } = self {
            return Some(ChunkSize::FlipBar);
        }
        let place = SIZES.iter().position(|&size| size == self)?;
        place.checked_sub(1).and_then(|place| SIZES.get(place).copied())
    }
}

impl Practice {
    /// At the foot of a ladder.
    pub fn new(plan: LadderPlan, layer: Layer, size: ChunkSize, cueing: Cueing) -> Practice {
        Practice { ladder: Ladder::new(plan), cueing, layer, size }
    }

    /// On the rung of a tempo that has been held before, where that lies on the ladder.
    pub fn resume_at(&mut self, held: Tempo) {
        self.ladder = Ladder::resumed_at(*self.ladder.plan(), held);
    }

    /// What is played.
    pub fn layer(&self) -> Layer {
        self.layer
    }

    /// How much music is around the flip.
    pub fn size(&self) -> ChunkSize {
        self.size
    }

    /// Counts a pass.
    pub fn pass_over(&mut self, result: PassResult) -> Move {
        let next = self.ladder.pass_over(result);
        self.cueing.pass_over(result);
        next
    }

    /// What is offered now: something easier where the ladder has stopped, something more where the goal is held.
    pub fn offers(&self) -> Vec<Offer> {
        match self.ladder.ended() {
            Some(Move::Stops) => {
                let smaller = self.size.smaller().map(Offer::SmallerChunk);
                smaller.into_iter().chain(self.layer.easier().map(Offer::EasierLayer)).collect()
            }
            Some(Move::Reached) => {
                let layer = self.layer.next().map(Offer::NextLayer);
                layer.into_iter().chain(self.size.larger().map(Offer::LargerChunk)).collect()
            }
            _ => Vec::new(),
        }
    }

    /// Takes an offer. Something easier goes on a rung below where the ladder stopped; a new layer begins at the foot, more music around
    /// the flip two rungs below the goal.
    pub fn take(&mut self, offer: Offer) {
        match offer {
            Offer::SmallerChunk(size) => {
                self.size = size;
                self.ladder.go_on();
            }
            Offer::EasierLayer(layer) => {
                self.layer = layer;
                self.ladder.go_on();
            }
            Offer::NextLayer(layer) => self.use_layer(layer),
            Offer::LargerChunk(size) => {
                self.size = size;
                let rungs = self.ladder.rungs();
                let near_goal = rungs.get(rungs.len().saturating_sub(3)).copied();
                let tempo = near_goal.unwrap_or(self.ladder.plan().goal());
                self.ladder = Ladder::resumed_at(*self.ladder.plan(), tempo);
            }
        }
    }

    /// Chooses a layer, from the foot of the ladder.
    pub fn use_layer(&mut self, layer: Layer) {
        self.layer = layer;
        self.ladder = Ladder::new(*self.ladder.plan());
    }

    /// Chooses how much music is around the flip; the tempo stays, what was counted is counted anew.
    pub fn use_size(&mut self, size: ChunkSize) {
        self.size = size;
        self.ladder = Ladder::resumed_at(*self.ladder.plan(), self.ladder.tempo());
    }

    /// Goes so many rungs up, or down where negative, as far as there are any; what was counted is counted anew. Gives back
    /// the tempo.
    pub fn go_to_rung(&mut self, steps: isize) -> Tempo {
        let rungs = self.ladder.rungs();
        let wanted = self.ladder.rung().saturating_add_signed(steps).min(rungs.len().saturating_sub(1));
        let tempo = rungs.get(wanted).copied().unwrap_or(self.ladder.tempo());
        self.ladder = Ladder::resumed_at(*self.ladder.plan(), tempo);
        self.ladder.tempo()
    }

    /// Sets the ladder up anew; the tempo stays as far as it can.
    pub fn use_plan(&mut self, plan: LadderPlan) {
        self.ladder = Ladder::resumed_at(plan, self.ladder.tempo());
    }
}
