//! What goes through the rings between the controls and the renderer.

use std::num::NonZeroU32;

use crate::mix::Mix;
use crate::sample_clock::{SampleIndex, SamplePoint};

/// How often the chunk is played.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Repeat {
    /// Until it is stopped.
    #[default]
    Endless,
    /// So many passes.
    Times(NonZeroU32),
}

/// When a command takes effect.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Stamp {
    /// As soon as the renderer sees it.
    #[default]
    Now,
    /// On this sample, or as soon as it is seen if that has passed. Commands keep their order: a later one waits for
    /// the one before it.
    At(SampleIndex),
}

/// What the renderer is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Command {
    /// Take the next program out of its ring: at once while nothing plays, else at the next pass.
    Load,
    /// Play the loaded program from its count-in.
    Start(Repeat),
    /// Stop, and damp the strings.
    Stop,
    /// Change the volumes.
    SetMix(Mix),
}

/// A command and when it takes effect.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Stamped {
    pub(crate) stamp: Stamp,
    pub(crate) command: Command,
}

/// What the renderer tells back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Report {
    /// A program plays from here on: its pass number `first_pass` begins at `origin`, the others at whole pass lengths
    /// from there. It is heard from `from` on; before its origin stands the count-in. `start` counts the starts that
    /// had a program to play.
    Running { start: u64, program: ProgramNumber, from: SampleIndex, origin: SamplePoint, first_pass: u64 },
    /// Nothing plays from here on.
    Stopped { from: SampleIndex },
}

/// Programs in the order in which they were loaded, from 0.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct ProgramNumber(pub(crate) u64);

/// A program on its way to the renderer and back.
#[derive(Debug)]
pub(crate) struct Numbered {
    pub(crate) number: ProgramNumber,
    pub(crate) program: Box<crate::Program>,
}
