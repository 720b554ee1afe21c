//! The same sound without a device: as samples, or as a WAV file.

use std::num::NonZeroU32;
use std::path::Path;

use leverlane_core::time::Seconds;

use crate::command::{Repeat, Stamp};
use crate::controls::pair;
use crate::error::WavError;
use crate::mix::Mix;
use crate::program::Program;
use crate::sample_clock::SampleRate;

/// How much is rendered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Extent {
    /// The count-in and so many passes, and two seconds for the strings to ring on.
    Passes(NonZeroU32),
    /// So long from the first sample on, passes repeating.
    Lasting(Seconds),
}

/// What rings on after the last pass.
const RING_ON: Seconds = Seconds::new(2.0);

/// Renders a program, left and right of each sample, by the very renderer that serves a device.
pub fn render(program: Program, mix: Mix, extent: Extent) -> Vec<[f32; 2]> {
    let rate = program.rate();
    let (length, repeat) = match extent {
        Extent::Lasting(seconds) => (seconds, Repeat::Endless),
        Extent::Passes(passes) => {
            let passes_last = program.pass_lasts() * f64::from(passes.get());
            (program.count_in_lasts() + passes_last + RING_ON, Repeat::Times(passes))
        }
    };
    let samples = rate.samples_in(length).nearest().get() as usize;
    let (mut controls, mut renderer) = pair(rate, mix);
    let mut frames = vec![[0.0; 2]; samples];
    // Fresh controls have room for two commands.
    if controls.load(program, Stamp::Now).and_then(|()| controls.start(repeat, Stamp::Now)).is_ok() {
        renderer.render(&mut frames);
    }
    frames
}

/// Writes samples as a WAV file of 16 bits, two channels.
///
/// # Errors
/// The file can't be made or written.
pub fn write_wav(path: &Path, frames: &[[f32; 2]], rate: SampleRate) -> Result<(), WavError> {
    let spec = hound::WavSpec {
        channels: 2,
        sample_rate: rate.get(),
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let write = || -> Result<(), hound::Error> {
        let mut writer = hound::WavWriter::create(path, spec)?;
        let mut samples = writer.get_i16_writer(u32::try_from(frames.len() * 2).map_err(|_| hound::Error::TooWide)?);
        for &sample in frames.as_flattened() {
            samples.write_sample((sample * f32::from(i16::MAX)).round() as i16);
        }
        samples.flush()?;
        writer.finalize()
    };
    write().map_err(|source| WavError { path: path.to_owned(), source })
}
