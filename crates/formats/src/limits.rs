//! How much a file may ask for.

/// Bounds on what is read, so that no file can exhaust the machine. All are inclusive.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Bytes of the file itself.
    pub bytes: usize,
    /// Bytes of a score taken out of an archive.
    pub unpacked_bytes: usize,
    /// Nodes of an XML document.
    pub nodes: u32,
    /// Notes of the whole score.
    pub notes: usize,
    /// Written bars.
    pub bars: usize,
    /// Bars once repeats and jumps are unrolled.
    pub played_bars: usize,
    /// The longest bar, in quarter notes.
    pub bar_quarters: i64,
}

impl Limits {
    /// Room for any real harp piece, and small enough for a small machine.
    pub const USUAL: Limits = Limits {
        bytes: 64 << 20,
        unpacked_bytes: 128 << 20,
        nodes: 4_000_000,
        notes: 1_000_000,
        bars: 50_000,
        played_bars: 100_000,
        bar_quarters: 1_000,
    };
}
