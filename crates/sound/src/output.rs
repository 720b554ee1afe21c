//! The machine's sound device.

use std::num::NonZero;
use std::sync::Arc;
use std::time::{Duration, Instant};

use rodio::cpal::BufferSize;
use rodio::cpal::traits::{DeviceTrait, HostTrait};
use rodio::{ChannelCount, DeviceSinkBuilder, MixerDeviceSink, Source};
use rtrb::{Consumer, Producer, RingBuffer};

use crate::clocks::ClockMark;
use crate::device_state::{DeviceState, Loss, reason};
use crate::error::{DeviceLoss, SoundError};
use crate::renderer::Renderer;
use crate::sample_clock::SampleRate;

/// Samples fetched from the renderer at a time; the mixer asks for single ones.
const BLOCK: usize = 128;
/// Marks that can wait: some seconds of short callbacks. When nobody reads them they are of no use, and are left out.
const MARKS: usize = 1_024;
/// At every so many single samples it is looked whether a callback has begun: often enough to be exact to an eighth of a
/// millisecond or so, and rarely enough to cost nothing.
const LOOKS_EVERY: usize = 16;
/// Samples that are taken so soon after others belong to the same callback.
const SAME_CALLBACK: Duration = Duration::from_millis(1);

/// An open device that will play one renderer for as long as it lives.
pub(crate) struct Output {
    sink: MixerDeviceSink,
    state: Arc<DeviceState>,
    name: String,
    marks_in: Option<Producer<ClockMark>>,
    marks: Option<Consumer<ClockMark>>,
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
        let device = rodio::cpal::default_host().default_output_device();
        let name = device.and_then(|device| device.id().ok()).map_or_else(String::new, |id| id.to_string());
        let (marks_in, marks) = RingBuffer::new(MARKS);
        Ok(Output { sink, state, marks_in: Some(marks_in), marks: Some(marks), name })
    }

    /// The device's rate.
    pub(crate) fn rate(&self) -> Result<SampleRate, SoundError> {
        let found = self.sink.config().sample_rate().get();
        SampleRate::new(found).ok_or(SoundError::Rate { found })
    }

    /// Plays a renderer made for the device's rate, from now on without end.
    pub(crate) fn play(&mut self, renderer: Renderer, rate: SampleRate) {
        if let (Some(per_second), Some(marks)) = (NonZero::new(rate.get()), self.marks_in.take()) {
            self.sink.mixer().add(Endless {
                renderer,
                state: Arc::clone(&self.state),
                marks,
                taken_at: None,
                per_second,
                block: [[0.0; 2]; BLOCK],
                cursor: BLOCK * 2,
            });
        }
    }

    /// The moments at which the device takes samples, and how many it had taken before; once.
    pub(crate) fn take_marks(&mut self) -> Option<Consumer<ClockMark>> {
        self.marks.take()
    }

    /// What the system calls the device.
    pub(crate) fn name(&self) -> &str {
        &self.name
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
    marks: Producer<ClockMark>,
    /// When the last block was asked for.
    taken_at: Option<Instant>,
    per_second: NonZero<u32>,
    block: [[f32; 2]; BLOCK],
    cursor: usize,
}

impl Endless {
    /// Notes the beginning of a callback: it asks for all its samples at once.
    fn mark(&mut self) {
        let at = Instant::now();
        let begins = self.taken_at.is_none_or(|taken| at.saturating_duration_since(taken) > SAME_CALLBACK);
        self.taken_at = Some(at);
        if begins && !self.marks.is_full() {
            // There is room.
            let waiting = (BLOCK - self.cursor / 2) as u64;
            self.marks.push(ClockMark { count: self.renderer.position().get() - waiting, at }).ok();
        }
    }
}

impl Iterator for Endless {
    type Item = f32;

    fn next(&mut self) -> Option<f32> {
        if self.cursor == BLOCK * 2 {
            self.renderer.render(&mut self.block);
            self.state.note_samples_moved();
            self.cursor = 0;
        }
        if self.cursor.is_multiple_of(LOOKS_EVERY) {
            self.mark();
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
