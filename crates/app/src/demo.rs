//! The piece that comes with the program, so that everything can be tried before a file is at hand.

/// Its MusicXML: a traditional tune, public domain, in our own arrangement.
pub const PIECE: &[u8] = include_bytes!("../../../demo/greensleeves.musicxml");
