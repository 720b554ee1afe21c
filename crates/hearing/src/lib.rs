//! Hearing a harp: samples in; onsets, pitches and lever states out. Pure signal processing, no device is opened here.

mod alignment;
mod attack;
mod band_levels;
mod clock;
mod growth;
mod lever_check;
mod lever_reading;
mod listener;
mod moment;
mod onset;
mod onset_odds;
mod partial_fit;
mod partial_rise;
mod pass_ear;
mod passes;
mod peaks;
mod pluck_odds;
mod pluck_signs;
mod polyphony;
mod recent;
mod second_look;
mod spectrum;
mod string_pitch;
mod tuner;

pub use band_levels::frame_levels;
pub use clock::{SampleIndex, SampleRate};
pub use lever_check::{BuzzHint, MeasuredPluck, PluckMeter, RaiseBand, StringFinding, check_levers};
pub use listener::{Heard, Listener};
pub use moment::HeardNote;
pub use onset::Onset;
pub use pass_ear::{FirstLook, PassEar};
pub use passes::find_passes;
pub use recent::Excerpt;
pub use string_pitch::{PitchReader, StringPitch};
pub use tuner::{StringTuning, Tuner, TunerReading, TuningAdvice};
