//! The four places of the window.

/// Where the player is. Each place has one thing to do.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// The whole piece: which levers to set, where the flips are, what can't be done and what helps.
    #[default]
    Piece,
    /// The harp it is played on.
    Harp,
    /// One flip, until it sits.
    Drill,
    /// What has been practised.
    Diary,
}

impl Place {
    /// In the order of the work.
    pub const ALL: [Place; 4] = [Place::Piece, Place::Harp, Place::Drill, Place::Diary];
}
