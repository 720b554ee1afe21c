//! What practice says.

use leverlane_core::drill::{CueLevel, Layer, Offer, Standing};
use leverlane_core::verdict::Mend;

use super::{chunk_size, lever_word};
use crate::words::Words;

/// What is played.
pub fn layer(words: Words, layer: Layer) -> String {
    match layer {
        Layer::FlipAlone => words.text("layer-flip-alone"),
        Layer::FlippingHand => words.text("layer-flipping-hand"),
        Layer::OtherHandByFeel => words.text("layer-other-hand"),
        Layer::Both => words.text("layer-both"),
    }
}

/// What is cued.
pub fn cues(words: Words, level: CueLevel) -> String {
    match level {
        CueLevel::Everything => words.text("cues-everything"),
        CueLevel::ToneOnly => words.text("cues-tone"),
        CueLevel::ClickOnly => words.text("cues-click"),
        CueLevel::ClickEveryOtherBar => words.text("cues-every-other"),
        CueLevel::CountInOnly => words.text("cues-count-in"),
    }
}

/// What is offered.
pub fn offer(words: Words, offer: Offer) -> String {
    match offer {
        Offer::SmallerChunk(size) => words.with("offer-smaller", [("size", chunk_size(words, size).into())]),
        Offer::LargerChunk(size) => words.with("offer-larger", [("size", chunk_size(words, size).into())]),
        Offer::EasierLayer(easier) => words.with("offer-layer", [("layer", layer(words, easier).into())]),
        Offer::NextLayer(next) => words.with("offer-go-on", [("layer", layer(words, next).into())]),
    }
}

/// How well a flip is known, as a sign and in words.
pub fn standing(words: Words, standing: Standing) -> (&'static str, String) {
    match standing {
        Standing::NotBegun => ("○", words.text("standing-not-begun")),
        Standing::Shaky => ("◐", words.text("standing-shaky")),
        Standing::Ready => ("●", words.text("standing-ready")),
    }
}

/// The one thing to mend.
pub fn mend(words: Words, mend: &Mend) -> String {
    let ms = |seconds: f64| words.number((seconds * 1000.0).abs().round());
    let lever = |open| ("lever", words.pitch(open).into());
    match *mend {
        Mend::FlipMissed { open, to } => {
            let (was, to) = (lever_word(words, !to), lever_word(words, to));
            words.with("mend-flip-missed", [lever(open), ("was", was.into()), ("to", to.into())])
        }
        Mend::FlipHalf { open, cents: None } => words.with("mend-flip-half", [lever(open)]),
        Mend::FlipHalf { open, cents: Some(cents) } => {
            words.with("mend-flip-half-cents", [lever(open), ("cents", words.number(cents.get().round()).into())])
        }
        Mend::FlipLate { open } => words.with("mend-flip-late", [lever(open)]),
        Mend::TapOffBeat { open, error } if error.get() > 0.0 => {
            words.with("mend-tap-late", [lever(open), ("ms", ms(error.get()).into())])
        }
        Mend::TapOffBeat { open, error } => words.with("mend-tap-early", [lever(open), ("ms", ms(error.get()).into())]),
        Mend::LeverWrong { string, .. } => words.with("mend-lever-wrong", [("string", string.get().into())]),
        Mend::Hesitation { open, hesitation } => {
            let share = words.number((hesitation.of_beat * 100.0).abs().round());
            let gaps = [lever(open), ("ms", ms(hesitation.longer_by.get()).into()), ("share", share.into())];
            if hesitation.longer_by.get() > 0.0 {
                words.with("mend-waited", gaps)
            } else {
                words.with("mend-hurried", gaps)
            }
        }
        Mend::NotesMissed { missed, expected } => {
            words.with("mend-notes-missed", [("missed", missed.into()), ("expected", expected.into())])
        }
        Mend::NotesExtra { extra } => words.with("mend-notes-extra", [("extra", extra.into())]),
        Mend::Uneven { spread } => words.with("mend-uneven", [("ms", ms(spread.get()).into())]),
        Mend::FlipUnheard { open } => words.with("mend-flip-unheard", [lever(open)]),
        Mend::NothingHeard => words.text("mend-nothing-heard"),
    }
}
