//! Controls joined to the machine's sound device.

use std::num::NonZeroU32;

use leverlane_core::drill::Timeline;

use crate::away_from_terminal;
use crate::click::ClickSound;
use crate::command::{Repeat, Stamp};
use crate::controls::{Controls, Position, monitored_pair};
use crate::error::{ControlsFull, DeviceLoss, SoundError};
use crate::latency::Probes;
use crate::mix::Mix;
use crate::monitor::{Monitor, Overhearing};
use crate::output::Output;
use crate::program::Program;
use crate::sample_clock::{SampleIndex, SampleRate};

/// Plays timelines on the default sound device.
///
/// A device that vanishes ends the sound; [`Player::troubles`] tells, and [`Player::reopen`] picks up whatever device
/// is the default then. Nothing is played again by itself.
pub struct Player {
    output: Output,
    controls: Controls,
    monitor: Option<Monitor>,
    mix: Mix,
    timeline: Option<(Timeline, ClickSound)>,
}

/// What has gone wrong since the device was opened.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Troubles {
    /// Moments in which the device ran out of samples.
    pub underruns: u64,
    /// Commands refused and reports lost because a ring was full.
    pub overfull: u64,
    /// Why the device no longer plays, if so.
    pub loss: Option<DeviceLoss>,
}

impl Player {
    /// Opens the default sound device at its own rate.
    ///
    /// # Errors
    /// No device, or one that can't be used. Everything but sound works without.
    pub fn open(mix: Mix) -> Result<Player, SoundError> {
        let (output, controls, monitor) = away_from_terminal(|| open(mix))?;
        Ok(Player { output, controls, monitor, mix, timeline: None })
    }

    /// Opens whatever is the default device now, in place of the one before. The timeline stays loaded.
    ///
    /// # Errors
    /// As [`Player::open`]; the old device then stays in its place.
    pub fn reopen(&mut self) -> Result<(), SoundError> {
        (self.output, self.controls, self.monitor) = away_from_terminal(|| open(self.mix))?;
        if let Some((timeline, click)) = &self.timeline {
            let program = Program::new(timeline, self.controls.rate()).clicking(*click);
            // Fresh controls have room; if not, `overfull` counts it.
            if self.controls.load(program, Stamp::Now).is_err() {
                self.timeline = None;
            }
        }
        Ok(())
    }

    /// The rate at which the device runs.
    pub fn rate(&self) -> SampleRate {
        self.controls.rate()
    }

    /// Loads a timeline, to be played with this click; where the device's rate can't hold it, with the usual one
    /// ([`ClickSound::at`] of [`Player::rate`]). While another plays it takes over at the next pass, so a new tempo is a new
    /// timeline of the same chunk; the pulse doesn't break. Otherwise it is heard at the next [`Player::start`].
    ///
    /// # Errors
    /// Too much at once.
    pub fn load(&mut self, timeline: &Timeline, click: ClickSound) -> Result<(), ControlsFull> {
        self.controls.load(Program::new(timeline, self.controls.rate()).clicking(click), Stamp::Now)?;
        self.timeline = Some((timeline.clone(), click));
        Ok(())
    }

    /// The number of the program that was loaded last, as [`Position::program`] and what is overheard tell it; none
    /// before the first.
    pub fn newest_program(&self) -> Option<u64> {
        self.controls.newest_program()
    }

    /// Plays the loaded timeline from its count-in; what played before stops.
    ///
    /// # Errors
    /// Too much at once.
    pub fn start(&mut self, repeat: Repeat) -> Result<(), ControlsFull> {
        self.controls.start(repeat, Stamp::Now)
    }

    /// Stops and damps the strings.
    ///
    /// # Errors
    /// Too much at once.
    pub fn stop(&mut self) -> Result<(), ControlsFull> {
        self.controls.stop(Stamp::Now)
    }

    /// Changes the volumes.
    ///
    /// # Errors
    /// Too much at once.
    pub fn set_mix(&mut self, mix: Mix) -> Result<(), ControlsFull> {
        self.controls.set_mix(mix, Stamp::Now)?;
        self.mix = mix;
        Ok(())
    }

    /// Where the music is that is being heard, by the count of samples less those that still wait in the device's
    /// buffer; none while nothing is heard to play, and none until the latest start has come to be heard.
    pub fn position(&mut self) -> Option<Position> {
        let heard = self.controls.rendered().get().saturating_sub(self.output.unheard(self.rate()));
        let position = self.controls.position_at(SampleIndex::new(heard))?;
        (position.start + 1 == self.controls.starts()).then_some(position)
    }

    /// Plays the sweeps or clicks by which the latency is measured, in place of what plays. What is overheard tells on which
    /// samples they begin. What was loaded must be loaded again.
    ///
    /// # Errors
    /// Too much at once.
    pub fn play_probes(&mut self, probes: Probes) -> Result<(), ControlsFull> {
        self.timeline = None;
        self.controls.stop(Stamp::Now)?;
        self.controls.load(Program::of_probes(probes, self.controls.rate()), Stamp::Now)?;
        self.controls.start(Repeat::Times(NonZeroU32::MIN), Stamp::Now)
    }

    /// What the device is given, for whoever listens; once for every device that is opened. The count of a reopened device
    /// begins anew.
    pub fn overhear(&mut self) -> Option<Overhearing> {
        let rate = self.rate();
        Some(Overhearing { monitor: self.monitor.take()?, marks: self.output.take_marks()?, rate })
    }

    /// What the system calls the device; stays the same from one day to the next.
    pub fn device_name(&self) -> &str {
        self.output.name()
    }

    /// What has gone wrong since the device was opened.
    pub fn troubles(&self) -> Troubles {
        Troubles { underruns: self.output.underruns(), overfull: self.controls.overfull(), loss: self.output.loss() }
    }
}

fn open(mix: Mix) -> Result<(Output, Controls, Option<Monitor>), SoundError> {
    let mut output = Output::open()?;
    let rate = output.rate()?;
    let (controls, renderer, monitor) = monitored_pair(rate, mix);
    output.play(renderer, rate);
    Ok((output, controls, Some(monitor)))
}
