//! The loop's sound, and the silent metronome that stands in for it.

use leverlane_formats::said;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::thread;
use std::time::Instant;

use leverlane_core::score::Hand;
use leverlane_core::time::{Seconds, Ticks};
use leverlane_listening::Loudspeaker;
use leverlane_sound::latency::{Probe, Probes};
use leverlane_sound::{ClickSound, Player, Repeat, SoundError, Volume};

use super::listening::Loaded;
use super::{Messenger, Metronome, SoundOrder};
use crate::intent::{Intent, SoundNews};
use crate::names;
use crate::state::{Level, Loop, Mix, PassPlace};

/// The window's way to the sound. Where there is no device the metronome runs on in silence, so that everything that
/// can be seen still works.
pub(super) struct Desk {
    device: Device,
    /// What plays, if anything, and since when.
    playing: Option<Metronome>,
    followed: Follower,
    /// A loop for the next pass that the device had no room for yet: it takes a limited number in one pass.
    unsent: Option<Arc<Loop>>,
    mix: Mix,
    /// Which start plays.
    take: u64,
    /// Counts the devices that were opened.
    device_number: u64,
    /// What the device was given since somebody asked.
    loaded: Vec<Loaded>,
    messenger: Messenger,
}

/// The sound device. It is opened on a thread of its own, since some systems take their time.
enum Device {
    Opening(Receiver<Result<Player, SoundError>>),
    Open(Box<Player>),
    Missing,
}

impl Desk {
    pub(super) fn open(messenger: &Messenger) -> Desk {
        let (sender, opened) = channel();
        let wake = messenger.clone();
        let opening = thread::Builder::new().name("sound opener".to_owned()).spawn(move || {
            // Nobody listens any more only when the window has been closed.
            if sender.send(Player::open(sound_mix(&Mix::default()))).is_ok() {
                (wake.wake)();
            }
        });
        let device = if opening.is_ok() { Device::Opening(opened) } else { Device::Missing };
        Desk {
            device,
            playing: None,
            followed: Follower::default(),
            unsent: None,
            mix: Mix::default(),
            take: 0,
            device_number: 0,
            loaded: Vec::new(),
            messenger: messenger.clone(),
        }
    }

    pub(super) fn obey(&mut self, order: SoundOrder, now: Instant) {
        self.take_device(now);
        match order {
            SoundOrder::Start { looped, mix, take } => {
                self.take = take;
                self.start(looped, mix, now);
            }
            SoundOrder::NextPass(looped) => {
                self.unsent = Some(Arc::clone(&looped));
                self.send_next_pass();
                if let Some(metronome) = &mut self.playing {
                    metronome.next_pass(looped);
                }
            }
            SoundOrder::Stop => {
                self.playing = None;
                self.unsent = None;
                self.tell(Player::stop);
            }
            SoundOrder::Mix(mix) => {
                let clicks_otherwise = mix.click_sound != self.mix.click_sound;
                self.mix = mix;
                self.tell(|player| player.set_mix(sound_mix(&mix)));
                if clicks_otherwise && let Some(metronome) = &self.playing {
                    self.unsent = Some(metronome.looped());
                    self.send_next_pass();
                    self.tell_of_click();
                }
            }
        }
    }

    fn start(&mut self, looped: Arc<Loop>, mix: Mix, now: Instant) {
        self.mix = mix;
        self.unsent = None;
        self.pick_up_lost_device();
        let timeline = looped.timeline.clone();
        self.tell(|player| {
            player.stop()?;
            player.set_mix(sound_mix(&mix))?;
            player.load(&timeline, mix.click_sound)?;
            player.start(Repeat::Endless)
        });
        self.tell_of_click();
        self.note_loaded(&looped);
        self.followed = Follower::default();
        self.playing = Some(Metronome::start(looped, now));
    }

    /// Where the loop is: by the device's count of samples, or by the metronome where there is no device.
    pub(super) fn place(&mut self, now: Instant) -> Option<PassPlace> {
        self.take_device(now);
        self.send_next_pass();
        let metronome = self.playing.as_mut()?;
        let Device::Open(player) = &mut self.device else { return Some(metronome.place(now)) };
        if let Some(loss) = player.troubles().loss {
            self.device = Device::Missing;
            self.messenger.send(Intent::Sound(SoundNews::Lost(names::device_loss(loss))));
            return None;
        }
        let position = player.position()?;
        let counted = PassPlace { pass: position.pass, at: position.at };
        Some(self.followed.place(counted, metronome.timeline(), now))
    }

    fn send_next_pass(&mut self) {
        if let (Some(looped), Device::Open(player)) = (self.unsent.clone(), &mut self.device)
            && player.load(&looped.timeline, self.mix.click_sound).is_ok()
        {
            self.unsent = None;
            self.note_loaded(&looped);
        }
    }

    /// Says so where the device can't play the click that she chose.
    fn tell_of_click(&self) {
        if let Device::Open(player) = &self.device
            && !self.mix.click_sound.fits(player.rate())
        {
            self.messenger.send(Intent::Trouble(said!(
                "the sound device runs at {found} samples a second, the high click needs {needed}: the usual one is \
                 played; choose another device to have it",
                found = player.rate().get(),
                needed = ClickSound::HIGH_FROM
            )));
        }
    }

    /// Remembers by which number the device knows a loop.
    fn note_loaded(&mut self, looped: &Loop) {
        let Device::Open(player) = &self.device else { return };
        let Some(program) = player.newest_program() else { return };
        self.loaded.push(Loaded { device: self.device_number, program, take: self.take, asked: looped.asked.clone() });
    }

    /// What the device was given since the last call.
    pub(super) fn loaded(&mut self) -> Vec<Loaded> {
        std::mem::take(&mut self.loaded)
    }

    /// The device that plays, for whoever listens: once after each time that one was opened.
    pub(super) fn loudspeaker(&mut self, now: Instant) -> Option<Loudspeaker> {
        self.take_device(now);
        let Device::Open(player) = &mut self.device else { return None };
        let overhearing = player.overhear()?;
        Some(Loudspeaker { overhearing, name: player.device_name().to_owned() })
    }

    /// Which of the devices that were opened one after the other is the present one.
    pub(super) fn device_number(&self) -> u64 {
        self.device_number
    }

    /// Whether there is no device, nor one that is being opened.
    pub(super) fn is_missing(&mut self, now: Instant) -> bool {
        self.take_device(now);
        matches!(self.device, Device::Missing)
    }

    /// Plays the sweeps or clicks by which the latency is measured, in place of the loop.
    pub(super) fn play_probes(&mut self, probes: Probes) {
        self.playing = None;
        self.unsent = None;
        if probes.what == Probe::Click && self.mix.click.in_tenths() == 0 {
            // What she is to tap along with is heard, though the loop's click is not. The next start has her own mix again.
            let mix = sound_mix(&Mix { click: Mix::default().click, ..self.mix });
            self.tell(|player| player.set_mix(mix));
        }
        self.tell(|player| player.play_probes(probes));
    }

    fn take_device(&mut self, now: Instant) {
        let Device::Opening(opened) = &self.device else { return };
        match opened.try_recv() {
            Err(TryRecvError::Empty) => {}
            Err(TryRecvError::Disconnected) => self.device = Device::Missing,
            Ok(Err(error)) => {
                self.device = Device::Missing;
                self.messenger.send(Intent::Sound(SoundNews::Missing(names::sound_error(&error))));
            }
            Ok(Ok(player)) => {
                self.device = Device::Open(Box::new(player));
                self.device_number += 1;
                self.messenger.send(Intent::Sound(SoundNews::Ready));
                if let Some(looped) = self.playing.as_ref().map(Metronome::looped) {
                    self.start(looped, self.mix, now);
                }
            }
        }
    }

    /// A device that has been missed is looked for again at every start.
    fn pick_up_lost_device(&mut self) {
        if matches!(self.device, Device::Missing) {
            let again = Desk::open(&self.messenger);
            self.device = again.device;
        }
    }

    fn tell(&mut self, what: impl FnOnce(&mut Player) -> Result<(), leverlane_sound::ControlsFull>) {
        if let Device::Open(player) = &mut self.device
            && what(player).is_err()
        {
            self.messenger.send(Intent::Trouble(said!(
                "the sound thread has not yet taken up earlier commands: try again in a moment"
            )));
        }
    }
}

fn sound_mix(mix: &Mix) -> leverlane_sound::Mix {
    let volume = |level: Level| Volume::percent(level.in_tenths() * 10);
    let hand = |hand| if mix.hears(hand) { volume(mix.notes) } else { Volume::SILENT };
    leverlane_sound::Mix {
        click: volume(mix.click),
        cue: volume(mix.cue),
        left_hand: hand(Hand::Left),
        right_hand: hand(Hand::Right),
        guide: volume(mix.guide),
    }
}

/// Makes the device's count, which moves on a block at a time, into an even motion for the eye.
#[derive(Default)]
struct Follower {
    last: Option<(PassPlace, Instant)>,
}

impl Follower {
    /// A block is rarely longer; past that the picture waits for the sound.
    const LONGEST_BLOCK: f64 = 0.06;

    fn place(&mut self, counted: PassPlace, timeline: &leverlane_core::drill::Timeline, now: Instant) -> PassPlace {
        let (last, since) = match self.last {
            Some((last, since)) if last == counted => (last, since),
            _ => {
                self.last = Some((counted, now));
                (counted, now)
            }
        };
        let waited = now.saturating_duration_since(since).as_secs_f64().min(Self::LONGEST_BLOCK);
        let tempo = timeline.tempo.tempo_at(leverlane_core::time::ScoreTime::from_start(last.at));
        let tick = tempo.lasting(Ticks::new(1)).get();
        let at = last.at + Ticks::new((Seconds::new(waited).get() / tick) as i64);
        PassPlace { at: at.min(timeline.length - Ticks::new(1)), ..last }
    }
}
