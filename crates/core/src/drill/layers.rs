//! What of a chunk the player plays.

use crate::score::Hand;

/// What is played in a pass. The flip is made in every one of them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Layer {
    /// The flip alone, in rhythm.
    FlipAlone,
    /// The hand that flips, with its notes.
    FlippingHand,
    /// The other hand by feel, so that the eyes are free for the lever.
    OtherHandByFeel,
    /// Both hands.
    #[default]
    Both,
}

/// Which hands the player plays; the other's notes are not expected of her.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PlayedHands {
    /// Both.
    #[default]
    Both,
    /// One of them.
    Only(Hand),
    /// None: the flip alone, in rhythm.
    Neither,
}

impl PlayedHands {
    /// Whether a hand's notes are expected of her.
    pub fn plays(self, hand: Hand) -> bool {
        match self {
            PlayedHands::Both => true,
            PlayedHands::Only(only) => only == hand,
            PlayedHands::Neither => false,
        }
    }
}

impl Layer {
    /// In the order that is suggested (hands separately first: common practice); the player may leave it.
    pub const SUGGESTED: [Layer; 4] = [Layer::FlipAlone, Layer::FlippingHand, Layer::OtherHandByFeel, Layer::Both];

    /// The hands that play, where this hand flips.
    pub fn hands(self, flipping: Hand) -> PlayedHands {
        match self {
            Layer::FlipAlone => PlayedHands::Neither,
            Layer::FlippingHand => PlayedHands::Only(flipping),
            Layer::OtherHandByFeel => PlayedHands::Only(!flipping),
            Layer::Both => PlayedHands::Both,
        }
    }

    /// The one that follows in the suggested order.
    pub fn next(self) -> Option<Layer> {
        let place = Layer::SUGGESTED.iter().position(|&layer| layer == self)?;
        Layer::SUGGESTED.get(place + 1).copied()
    }

    /// An easier one: the one before it in the suggested order.
    pub fn easier(self) -> Option<Layer> {
        let place = Layer::SUGGESTED.iter().position(|&layer| layer == self)?;
        place.checked_sub(1).and_then(|place| Layer::SUGGESTED.get(place).copied())
    }
}
