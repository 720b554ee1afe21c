//! What goes wrong outside the files' readers, in sentences that can be said in any language. (What the readers and
//! writers of files refuse is said by them.)

use leverlane_core::drill::{ChunkError, LadderError};
use leverlane_core::harp::{Harp, HarpError};
use leverlane_core::time::{Tempo, TempoError};
use leverlane_core::verdict::ThresholdsError;
use leverlane_diary::{DiaryError, Trouble};
use leverlane_engraving::EngravingError;
use leverlane_formats::{Said, said};
use leverlane_listening::NotKept;
use leverlane_sound::{DeviceLoss, SoundError};

/// A tempo that can't be played.
pub fn tempo_error(error: TempoError) -> Said {
    let (found, slowest, fastest) = (short(error.found), short(Tempo::SLOWEST), short(Tempo::FASTEST));
    said!("a tempo of {found} quarter notes a minute: expected {slowest} to {fastest}", found, slowest, fastest)
}

/// A loop that can't be made.
pub fn chunk_error(error: ChunkError) -> Said {
    match error {
        ChunkError::NoSuchGesture { .. } => said!("the plan has no such flip any more: choose another"),
        ChunkError::NoSuchBars { .. } => said!("those bars aren't played one after the other: choose others"),
        ChunkError::Tempo(error) => {
            let error = tempo_error(error);
            said!("{error}, where the piece changes its tempo inside the chunk: choose another tempo", error)
        }
    }
}

/// A ladder that can't be climbed.
pub fn ladder_error(error: LadderError) -> Said {
    match error {
        LadderError::StartAboveGoal { start, goal } => {
            let (start, goal) = (short(start), short(goal));
            said!(
                "a ladder from {start} to {goal} beats a minute: expected a start no faster than the goal",
                start,
                goal
            )
        }
        LadderError::Step { found } => {
            let found = short(found);
            said!("a ladder step of {found}: expected 0.5 to 50 beats a minute, or 0.5 to 50 per cent", found)
        }
        LadderError::CleanPasses { found } => said!("{found} clean passes to climb: expected 1 to 20", found),
        LadderError::GoalTooFast { goal, piece } => {
            let (goal, piece) = (short(goal), short(piece));
            said!(
                "a goal of {goal} beats a minute where the piece has {piece}: expected at most 5 per cent more",
                goal,
                piece
            )
        }
        LadderError::Tempo(error) => tempo_error(error),
    }
}

/// A list of strings that is no harp.
pub fn harp_error(error: HarpError) -> Said {
    match error {
        HarpError::StringCount { found } => {
            said!("a harp of {found} strings: expected 1 to {most}", found, most = Harp::MOST_STRINGS)
        }
        HarpError::NotDescending { number, open } => said!(
            "string {number} ({open}) does not lie below the string above it: list the strings from the top, each \
             letter lower",
            number,
            open
        ),
        HarpError::OutOfRange { number, open } => {
            said!("string {number} ({open}) can't be raised: its raised pitch has no MIDI number", number, open)
        }
    }
}

/// A limit of what is steady that makes no sense.
pub fn thresholds_error(error: ThresholdsError) -> Said {
    let found = short(error.found);
    said!("a limit of {found} makes no sense: choose a usual one", found)
}

/// What is wrong with the diary.
pub fn diary_error(error: &DiaryError) -> Said {
    let file = error.path.display().to_string();
    let trouble = match &error.trouble {
        Trouble::DiskFull => said!("the disk is full; make room, practice goes on and is written down then"),
        Trouble::ReadOnly => {
            said!("it may not be written here; practice goes on without it, allow writing or choose another folder")
        }
        Trouble::Unopened(reason) => said!("it can't be opened ({reason}); practice goes on without it", reason),
        Trouble::Damaged(reason) => said!("its file is damaged ({reason})", reason),
        Trouble::TooNew { found, known } => {
            let (found, known) = (*found, *known);
            said!("it is of version {found}, this program knows up to {known}; use the newer program", found, known)
        }
        Trouble::Busy => said!("another program is using it; close that one"),
        Trouble::Other(reason) => Said::quoted(reason),
    };
    said!("the diary {file}: {trouble}", file, trouble)
}

/// Why there is no drawing.
pub fn engraving_error(error: &EngravingError) -> Said {
    match error {
        EngravingError::Fonts { folder, reason } => {
            said!(
                "the music fonts can't be written to {folder}: {reason}; check the disk and the folder",
                folder,
                reason
            )
        }
        EngravingError::Refused(reason) => {
            said!("the engraver refused the music ({reason}); it is shown without notation", reason = *reason)
        }
        EngravingError::Drawing(reason) => {
            said!("the engraver's drawing can't be used: {reason}; the music is shown without notation", reason)
        }
        EngravingError::Panicked(reason) => {
            said!("the engraver stopped on an inner error: {reason}; the music is shown without notation", reason)
        }
        EngravingError::Pages(reason) => said!("the pages can't be put together: {reason}", reason),
    }
}

/// Why there is no sound.
pub fn sound_error(error: &SoundError) -> Said {
    match error {
        SoundError::NoDevice { reason } => said!(
            "no sound device could be opened ({reason}): everything but sound works; connect one, or start the sound \
             system, and try again",
            reason
        ),
        SoundError::Rate { found } => said!(
            "the sound device runs at {found} samples a second, expected 8,000 to 768,000: choose another device",
            found = *found
        ),
    }
}

/// Why the sound broke off.
pub fn device_loss(loss: DeviceLoss) -> Said {
    match loss {
        DeviceLoss::Gone => said!(
            "the sound device is gone: connect it again or choose another, then start again; the pass that it broke off counts for nothing"
        ),
        DeviceLoss::Changed => said!(
            "the sound device has changed its settings: start again; the pass that it broke off counts for nothing"
        ),
        DeviceLoss::Stopped => {
            said!("the sound device has stopped: start again; the pass that it broke off counts for nothing")
        }
    }
}

/// Why a measured latency is not kept.
pub fn not_kept(reason: &NotKept) -> Said {
    match reason {
        NotKept::File { file, reason } => {
            said!("{file}: {reason}; the latency is not kept, measure it again next time", file, reason)
        }
        NotKept::Content { file, found } => {
            said!("{file}: {found}, expected measured latencies: delete the file and measure again", file, found)
        }
    }
}

/// With a decimal at most.
fn short(number: f64) -> f64 {
    (number * 10.0).round() / 10.0
}
