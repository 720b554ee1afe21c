//! A microphone of this machine.

use std::num::NonZeroU16;
use std::sync::Arc;
use std::time::{Duration, Instant};

use rodio::cpal::traits::{DeviceTrait, HostTrait, StreamTrait};
use rodio::cpal::{self, BufferSize, Device, FromSample, SampleFormat, SizedSample, SupportedBufferSize};

use crate::away_from_terminal;
use crate::capture::intake::{ChannelChoice, Intake, Source};
use crate::capture::reading::{Block, Capture, CaptureTroubles, HeardIndex, pair};
use crate::device_state::{DeviceState, Loss, PATIENCE, reason};
use crate::error::{MicrophoneError, MicrophoneLoss};
use crate::sample_clock::SampleRate;

/// The length of a callback that is asked for, as a part of a second.
const CALLBACKS_PER_SECOND: u32 = 100;
/// How long a device may take to be opened.
const OPENING: Duration = Duration::from_secs(5);

/// What the system calls a microphone; stays the same from one day to the next.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MicrophoneName {
    id: String,
    shown: String,
}

impl MicrophoneName {
    /// The name to remember.
    pub fn id(&self) -> &str {
        &self.id
    }

    /// The name to show: what the maker or the system calls it.
    pub fn shown(&self) -> &str {
        &self.shown
    }
}

/// The microphones that the machine has just now, by name. Some systems list more than can be heard through.
///
/// # Errors
/// The sound system doesn't answer.
pub fn microphones() -> Result<Vec<MicrophoneName>, MicrophoneError> {
    away_from_terminal(list)
}

fn list() -> Result<Vec<MicrophoneName>, MicrophoneError> {
    let devices = cpal::default_host().input_devices().map_err(|error| refusal(&error))?;
    let mut names: Vec<MicrophoneName> = devices.filter_map(|device| name_of(&device)).collect();
    // ALSA lists a device that swallows and gives nothing.
    names.retain(|name| name.id != "alsa:null");
    names.sort();
    names.dedup();
    Ok(names)
}

fn name_of(device: &Device) -> Option<MicrophoneName> {
    let id = device.id().ok()?.to_string();
    let shown = device.description().map_or_else(|_| id.clone(), |description| description.name().to_owned());
    Some(MicrophoneName { id, shown })
}

/// An open microphone.
///
/// One that vanishes is told by [`Microphone::loss`]; [`Microphone::reopen`] picks it up again. What was read before
/// stays as it was.
pub struct Microphone {
    // Ends the callbacks when it is dropped.
    _stream: cpal::Stream,
    capture: Capture,
    state: Arc<DeviceState>,
    wanted: Option<String>,
    choice: ChannelChoice,
    name: MicrophoneName,
    channels: NonZeroU16,
}

impl Microphone {
    /// Opens a microphone by the name it is remembered by (or shown by), or whatever the system has as its default.
    ///
    /// It runs at the usual rate where it can, else at its own. Sound comes in from now on.
    ///
    /// # Errors
    /// None there, none of that name, refused, in use, or of no use.
    pub fn open(wanted: Option<&str>, choice: ChannelChoice) -> Result<Microphone, MicrophoneError> {
        away_from_terminal(|| Microphone::open_device(wanted, choice))
    }

    fn open_device(wanted: Option<&str>, choice: ChannelChoice) -> Result<Microphone, MicrophoneError> {
        let device = find(wanted)?;
        let name = name_of(&device).unwrap_or_else(|| MicrophoneName { id: String::new(), shown: String::new() });
        let config = config_of(&device)?;
        let found = config.sample_rate();
        let rate = SampleRate::new(found).ok_or(MicrophoneError::Rate { found })?;
        let channels = NonZeroU16::new(config.channels()).unwrap_or(NonZeroU16::MIN);
        let (intake, capture) = pair(Source { rate, channels, choice });
        let state = Arc::new(DeviceState::new());
        let stream = start(&device, &config, intake, &state).map_err(|error| refusal(&error))?;
        stream.play().map_err(|error| refusal(&error))?;
        Ok(Microphone { _stream: stream, capture, state, wanted: wanted.map(str::to_owned), choice, name, channels })
    }

    /// Opens the same microphone again (or the default one, if that was asked for), in place of the stream before. Its
    /// count of samples begins anew.
    ///
    /// # Errors
    /// As [`Microphone::open`]; the old stream then stays in its place.
    pub fn reopen(&mut self) -> Result<(), MicrophoneError> {
        *self = Microphone::open(self.wanted.as_deref(), self.choice)?;
        Ok(())
    }

    /// What it is called.
    pub fn name(&self) -> &MicrophoneName {
        &self.name
    }

    /// Samples a second.
    pub fn rate(&self) -> SampleRate {
        self.capture.rate()
    }

    /// How many channels it has.
    pub fn channels(&self) -> NonZeroU16 {
        self.channels
    }

    /// The one channel that is listened to, from 1; none where it is the mean of all.
    pub fn channel(&self) -> Option<u16> {
        self.capture.channel()
    }

    /// The next run of samples; none while nothing waits.
    pub fn next_block(&mut self) -> Option<Block<'_>> {
        self.capture.next_block()
    }

    /// How many samples it has delivered, read or not.
    pub fn delivered(&self) -> HeardIndex {
        self.capture.delivered()
    }

    /// What has gone wrong with what was heard.
    pub fn troubles(&self) -> CaptureTroubles {
        self.capture.troubles()
    }

    /// Moments in which the device itself lost samples. How many is not told; the clocks show it.
    pub fn overruns(&self) -> u64 {
        self.state.xruns()
    }

    /// Why it no longer delivers, if so. Nothing for two seconds counts as stopped: some systems take a microphone
    /// away without a word.
    pub fn loss(&self) -> Option<MicrophoneLoss> {
        match self.state.loss() {
            Some(Loss::Gone) => Some(MicrophoneLoss::Gone),
            Some(Loss::Changed) => Some(MicrophoneLoss::Changed),
            Some(Loss::Stopped) => Some(MicrophoneLoss::Stopped),
            None => (self.state.since_moved() > PATIENCE).then_some(MicrophoneLoss::Stopped),
        }
    }
}

fn find(wanted: Option<&str>) -> Result<Device, MicrophoneError> {
    let host = cpal::default_host();
    let Some(wanted) = wanted else {
        let nothing = || MicrophoneError::NoMicrophone { reason: "the system has no default one".to_owned() };
        return host.default_input_device().ok_or_else(nothing);
    };
    let mut devices = host.input_devices().map_err(|error| refusal(&error))?;
    let is_wanted = |name: MicrophoneName| name.id == wanted || name.shown == wanted;
    devices.find(|device| name_of(device).is_some_and(is_wanted)).ok_or_else(|| {
        let names = microphones().unwrap_or_default();
        let found: Vec<&str> = names.iter().map(|name| name.shown.as_str()).collect();
        let found = if found.is_empty() { "those there are (none)".to_owned() } else { found.join(", ") };
        MicrophoneError::NotFound { name: wanted.to_owned(), found }
    })
}

/// The device's own settings, at the usual rate where it has it: then nothing needs to be turned into another rate.
fn config_of(device: &Device) -> Result<cpal::SupportedStreamConfig, MicrophoneError> {
    let own = device.default_input_config().map_err(|error| refusal(&error))?;
    let usual = SampleRate::USUAL.get();
    if own.sample_rate() == usual {
        return Ok(own);
    }
    // A device that can't list its settings is taken as it is.
    let Ok(ranges) = device.supported_input_configs() else { return Ok(own) };
    let fits = |range: &cpal::SupportedStreamConfigRange| {
        range.channels() == own.channels() && range.sample_format() == own.sample_format()
    };
    let usual = ranges.filter(fits).find_map(|range| range.try_with_sample_rate(usual));
    Ok(usual.unwrap_or(own))
}

fn start(
    device: &Device,
    config: &cpal::SupportedStreamConfig,
    intake: Intake,
    state: &Arc<DeviceState>,
) -> Result<cpal::Stream, cpal::Error> {
    use SampleFormat as F;
    match config.sample_format() {
        F::I8 => build::<i8>(device, config, intake, state),
        F::I16 => build::<i16>(device, config, intake, state),
        F::I24 => build::<cpal::I24>(device, config, intake, state),
        F::I32 => build::<i32>(device, config, intake, state),
        F::I64 => build::<i64>(device, config, intake, state),
        F::U8 => build::<u8>(device, config, intake, state),
        F::U16 => build::<u16>(device, config, intake, state),
        F::U24 => build::<cpal::U24>(device, config, intake, state),
        F::U32 => build::<u32>(device, config, intake, state),
        F::U64 => build::<u64>(device, config, intake, state),
        F::F32 => build::<f32>(device, config, intake, state),
        F::F64 => build::<f64>(device, config, intake, state),
        other => {
            let found = format!("it delivers samples as {other}, which is not sound that can be heard here");
            Err(cpal::Error::with_message(cpal::ErrorKind::UnsupportedConfig, found))
        }
    }
}

fn build<T: SizedSample>(
    device: &Device,
    config: &cpal::SupportedStreamConfig,
    mut intake: Intake,
    state: &Arc<DeviceState>,
) -> Result<cpal::Stream, cpal::Error>
where
    f32: FromSample<T>,
{
    let (moving, erring) = (Arc::clone(state), Arc::clone(state));
    let heard = move |samples: &[T], info: &cpal::InputCallbackInfo| {
        let timestamp = info.timestamp();
        let waited = timestamp.callback.duration_since(timestamp.capture);
        moving.note_samples_moved();
        intake.take_as(samples, Instant::now(), waited);
    };
    let mut settings = config.config();
    settings.buffer_size = buffer_size(config);
    device.build_input_stream(settings, heard, move |error: cpal::Error| erring.note(error.kind()), Some(OPENING))
}

/// Short callbacks where the device says that it has them, else its own.
fn buffer_size(config: &cpal::SupportedStreamConfig) -> BufferSize {
    let short = config.sample_rate() / CALLBACKS_PER_SECOND;
    match *config.buffer_size() {
        SupportedBufferSize::Range { min, max } if min <= max => BufferSize::Fixed(short.clamp(min, max)),
        _ => BufferSize::Default,
    }
}

fn refusal(error: &cpal::Error) -> MicrophoneError {
    let reason = reason(error);
    match error.kind() {
        cpal::ErrorKind::PermissionDenied => MicrophoneError::Refused { reason },
        cpal::ErrorKind::DeviceBusy => MicrophoneError::Busy { reason },
        _ => MicrophoneError::NoMicrophone { reason },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a refused, busy or missing microphone tells: one line with a remedy.
    #[test]
    fn refusals_say_what_to_do() {
        for (kind, remedy) in [
            (cpal::ErrorKind::PermissionDenied, "privacy settings"),
            (cpal::ErrorKind::DeviceBusy, "close that program"),
            (cpal::ErrorKind::DeviceNotAvailable, "connect one"),
            (cpal::ErrorKind::HostUnavailable, "connect one"),
        ] {
            let told = refusal(&cpal::Error::with_message(kind, "said\nso")).to_string();
            assert!(told.contains(remedy) && told.contains("said so"), "{told}");
            assert_eq!(told.lines().count(), 1);
        }
    }
}
