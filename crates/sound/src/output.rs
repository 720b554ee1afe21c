//! The machine's sound device.

use std::num::NonZero;
use std::sync::Arc;
use std::time::Duration;

use rodio::cpal::BufferSize;
use rodio::{ChannelCount, DeviceSinkBuilder, MixerDeviceSink, Source};

use crate::device_state::{DeviceState, Loss, reason};
use crate::error::{DeviceLoss, SoundError};
use crate::renderer::Renderer;
use crate::sample_clock::SampleRate;

/// Samples fetched from the renderer at a time; the mixer asks for single ones.
const BLOCK: usize = 128;

/// An open device that will play one renderer for as long as it lives.
pub(crate) struct Output {
    sink: MixerDeviceSink,
    state: Arc<DeviceState>,
}

impl Output {
    /// Opens the default device at its own rate.
    pub(crate) fn open() -> Result<Output, SoundError> {
        let state = Arc::new(DeviceState::new());
        let told = Arc::clone(&state);
        let no_device = |error: rodio::DeviceSinkError| SoundError::NoDevice { reason: reason(&error) };
        let mut sink = DeviceSinkBuilder::from_default_device()
            .map_err(no_device)?
            .with_error_callback(move |error: rodio::CpalError| told.note(error.kind()))
            .open_stream()
            .map_err(no_device)?;
        // The sink would print a line whenever the device is closed.
        sink.log_on_drop(false);
        Ok(Output { sink, state })
    }

    /// The device's rate.
    pub(crate) fn rate(&self) -> Result<SampleRate, SoundError> {
        let found = self.sink.config().sample_rate().get();
        SampleRate::new(found).ok_or(SoundError::Rate { found })
    }

    /// Plays a renderer made for the device's rate, from now on without end.
    pub(crate) fn play(&self, renderer: Renderer, rate: SampleRate) {
        if let Some(per_second) = NonZero::new(rate.get()) {
            let state = Arc::clone(&self.state);
            self.sink.mixer().add(Endless { renderer, state, per_second, block: [[0.0; 2]; BLOCK], cursor: BLOCK * 2 });
        }
    }

    /// How many of the samples made are not heard yet.
    ///
    /// The device takes a period at once, and two of them wait in its buffer just then; they are heard one after the
    /// other until it takes more. What lies behind that buffer (a sound server, the hardware) is not known here.
    pub(crate) fn unheard(&self, rate: SampleRate) -> u64 {
        let BufferSize::Fixed(period) = *self.sink.config().buffer_size() else { return 0 };
        let heard = (self.state.since_moved().as_secs_f64() * f64::from(rate.get())) as u64;
        u64::from(period) * 2 - heard.min(u64::from(period) * 2)
    }

    /// Moments in which the device ran out of samples.
    pub(crate) fn underruns(&self) -> u64 {
        self.state.xruns()
    }

    /// Why it no longer plays, if so.
    pub(crate) fn loss(&self) -> Option<DeviceLoss> {
        self.state.loss().map(|loss| match loss {
            Loss::Gone => DeviceLoss::Gone,
            Loss::Changed => DeviceLoss::Changed,
            Loss::Stopped => DeviceLoss::Stopped,
        })
    }
}

/// The renderer as the mixer wants it: single samples, left and right in turn, without end.
struct Endless {
    renderer: Renderer,
    state: Arc<DeviceState>,
    per_second: NonZero<u32>,
    block: [[f32; 2]; BLOCK],
    cursor: usize,
}

impl Iterator for Endless {
    type Item = f32;

    fn next(&mut self) -> Option<f32> {
        if self.cursor == BLOCK * 2 {
            self.renderer.render(&mut self.block);
            self.state.note_samples_moved();
            self.cursor = 0;
        }
        let sample = self.block.as_flattened()[self.cursor];
        self.cursor += 1;
        Some(sample)
    }
}

impl Source for Endless {
    fn current_span_len(&self) -> Option<usize> {
        None
    }

    fn channels(&self) -> ChannelCount {
        const STEREO: ChannelCount = ChannelCount::MIN.saturating_add(1);
        STEREO
    }

    fn sample_rate(&self) -> rodio::SampleRate {
        self.per_second
    }

    fn total_duration(&self) -> Option<Duration> {
        None
    }
}
