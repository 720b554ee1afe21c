//! The one maker of samples.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use leverlane_core::score::Hand;
use rtrb::{Consumer, Producer};

use crate::click::{clicks, index_of};
use crate::command::{Command, Numbered, Report, Stamp, Stamped};
use crate::cue_tone::cue_tones;
use crate::latency::sweep;
use crate::limiter::limited;
use crate::mix::{Mix, Volume};
use crate::monitor::{MonitorLine, Sounding};
use crate::one_shot::OneShots;
use crate::program::{Sound, SoundingString};
use crate::sample_clock::{SampleIndex, SampleRate};
use crate::sequencer::{Sequencer, Step};
use crate::spoken::{place_of, words};
use crate::strings::{Part, PartGains, Strings};

/// Samples worked out in one go.
const SEGMENT: usize = 256;
/// The gains of what no volume changes: a sweep that is too soft measures nothing.
const ALL: [f32; SEGMENT] = [1.0; SEGMENT];
/// A volume goes from nothing to full in this part of a second, so that moving it doesn't crackle.
const RAMPS_PER_SECOND: f32 = 50.0;

/// Makes every sample that is heard, on a device or in a file, and counts them.
///
/// [`Renderer::render`] neither allocates, frees, locks nor waits. What it makes depends only on the commands and
/// their samples, not on how the samples are divided into blocks.
pub struct Renderer {
    now: SampleIndex,
    line: Line,
    sequencer: Sequencer,
    clicks: OneShots,
    cues: OneShots,
    words: OneShots,
    sweeps: OneShots,
    strings: Strings,
    gains: Gains,
}

/// The renderer's ends of the rings.
pub(crate) struct Line {
    pub(crate) commands: Consumer<Stamped>,
    pub(crate) programs: Consumer<Numbered>,
    pub(crate) spent: Producer<Numbered>,
    pub(crate) reports: Producer<Report>,
    pub(crate) gauge: Arc<Gauge>,
    /// Where somebody wants to know all that is played.
    pub(crate) monitor: Option<MonitorLine>,
}

/// Counts that both sides can read.
#[derive(Debug, Default)]
pub(crate) struct Gauge {
    /// Samples made.
    pub(crate) rendered: AtomicU64,
    /// Reports that found their ring full.
    pub(crate) lost_reports: AtomicU64,
}

impl Renderer {
    pub(crate) fn new(rate: SampleRate, mix: Mix, line: Line) -> Renderer {
        Renderer {
            now: SampleIndex::FIRST,
            line,
            sequencer: Sequencer::default(),
            clicks: clicks(rate),
            cues: cue_tones(rate),
            words: words(rate),
            sweeps: OneShots::new(vec![sweep(rate)]),
            strings: Strings::new(rate),
            gains: Gains::new(mix, rate),
        }
    }

    /// The sample that comes next.
    pub fn position(&self) -> SampleIndex {
        self.now
    }

    /// Whether a program is playing; strings may ring on when it is not.
    pub fn is_playing(&self) -> bool {
        self.sequencer.is_playing()
    }

    /// Fills `frames` with the next samples, left and right.
    pub fn render(&mut self, frames: &mut [[f32; 2]]) {
        let mut rest = frames;
        while !rest.is_empty() {
            self.obey_commands();
            self.take_steps();
            let length = self.samples_until_next_change().min(rest.len());
            let (segment, after) = rest.split_at_mut(length);
            self.fill(segment);
            self.now = self.now.after(length);
            rest = after;
        }
        self.line.gauge.rendered.store(self.now.get(), Ordering::Release);
    }

    fn obey_commands(&mut self) {
        while let Ok(&stamped) = self.line.commands.peek() {
            if matches!(stamped.stamp, Stamp::At(at) if at > self.now) {
                return;
            }
            if self.line.commands.pop().is_err() {
                return;
            }
            self.obey(stamped.command);
        }
    }

    fn obey(&mut self, command: Command) {
        match command {
            Command::Load => {
                if let Ok(program) = self.line.programs.pop() {
                    let spent = self.sequencer.load(program);
                    self.line.give_back(spent);
                }
            }
            Command::Start(repeat) => {
                self.strings.damp_all();
                // A program that waited for the next pass is what the player wants to hear from the start.
                let spent = self.sequencer.stop();
                self.line.give_back(spent);
                let report = self.sequencer.start(self.now, repeat);
                self.line.tell(report);
            }
            Command::Stop => {
                self.strings.damp_all();
                let spent = self.sequencer.stop();
                self.line.give_back(spent);
                if let Some(monitor) = &mut self.line.monitor {
                    monitor.tell(self.now, Sounding::Stop);
                }
                self.line.tell(Some(Report::Stopped { from: self.now }));
            }
            Command::SetMix(mix) => self.gains.set(mix),
        }
    }

    fn take_steps(&mut self) {
        while self.sequencer.due().is_some_and(|due| due <= self.now) {
            match self.sequencer.step(self.now) {
                Some(Step::Sound(sound)) => self.begin(sound),
                Some(Step::Turn { report, spent, begins }) => {
                    if let (Some(begins), Some(monitor)) = (begins, &mut self.line.monitor) {
                        monitor.tell(self.now, Sounding::Pass { number: begins.pass, program: begins.program.0 });
                    }
                    self.line.tell(report);
                    self.line.give_back(spent);
                }
                Some(Step::LeftOut) => {}
                None => return,
            }
        }
    }

    fn begin(&mut self, sound: Sound) {
        // What its volume silences can't be heard again by anybody.
        if let Some(monitor) = &mut self.line.monitor
            && self.gains.lets_through(sound)
        {
            monitor.tell(self.now, Sounding::of(sound));
        }
        match sound {
            Sound::Click(click) => self.clicks.begin(index_of(click)),
            Sound::Cue => self.cues.begin(0),
            Sound::Word(word) => self.words.begin(place_of(word)),
            Sound::Sweep => self.sweeps.begin(0),
            Sound::Guide(note) => self.strings.pluck(SoundingString::Guide(note), note, Part::Guide),
            Sound::Pluck { string, note, hand } => self.strings.pluck(string, note, Part::Hand(hand)),
        }
    }

    fn samples_until_next_change(&self) -> usize {
        let command = match self.line.commands.peek() {
            Ok(&Stamped { stamp: Stamp::At(at), .. }) if at > self.now => self.now.until(at),
            // A command that has come in just now waits for the next segment.
            _ => SEGMENT as u64,
        };
        let step = self.sequencer.due().map_or(SEGMENT as u64, |due| self.now.until(due));
        // Both are above 0 here; at least one sample keeps the loop going whatever happens.
        command.min(step).clamp(1, SEGMENT as u64) as usize
    }

    fn fill(&mut self, frames: &mut [[f32; 2]]) {
        frames.fill([0.0; 2]);
        let length = frames.len();
        self.gains.advance(length);
        let gains = &self.gains;
        let parts = PartGains {
            left_hand: &gains.left_hand.values[..length],
            right_hand: &gains.right_hand.values[..length],
            guide: &gains.guide.values[..length],
        };
        self.strings.add_to(frames, parts);
        self.clicks.add_to(frames, &gains.click.values[..length]);
        self.cues.add_to(frames, &gains.cue.values[..length]);
        self.words.add_to(frames, &gains.cue.values[..length]);
        self.sweeps.add_to(frames, &ALL[..length]);
        for sample in frames.as_flattened_mut() {
            *sample = limited(*sample);
        }
        if let Some(monitor) = &mut self.line.monitor {
            monitor.made(self.now, frames);
        }
    }
}

impl Line {
    fn tell(&mut self, report: Option<Report>) {
        if let Some(report) = report
            && self.reports.push(report).is_err()
        {
            self.gauge.lost_reports.fetch_add(1, Ordering::Relaxed);
        }
    }

    /// Hands a program back to be dropped where that may take time. The controls never have more programs under way
    /// than this ring holds.
    fn give_back(&mut self, spent: Option<Numbered>) {
        if let Some(spent) = spent
            && let Err(rtrb::PushError::Full(spent)) = self.spent.push(spent)
        {
            // Should a program have come in by another way, it is better never freed than freed here.
            std::mem::forget(spent);
        }
    }
}

/// The gains of everything that sounds, sample by sample.
struct Gains {
    click: Ramp,
    cue: Ramp,
    left_hand: Ramp,
    right_hand: Ramp,
    guide: Ramp,
}

impl Gains {
    fn new(mix: Mix, rate: SampleRate) -> Gains {
        let ramp = |volume: Volume| Ramp::new(volume, rate);
        Gains {
            click: ramp(mix.click),
            cue: ramp(mix.cue),
            left_hand: ramp(mix.left_hand),
            right_hand: ramp(mix.right_hand),
            guide: ramp(mix.guide),
        }
    }

    fn set(&mut self, mix: Mix) {
        self.click.target = mix.click.amplitude();
        self.cue.target = mix.cue.amplitude();
        self.left_hand.target = mix.left_hand.amplitude();
        self.right_hand.target = mix.right_hand.amplitude();
        self.guide.target = mix.guide.amplitude();
    }

    /// Whether anything of a sound that begins now is heard.
    fn lets_through(&self, sound: Sound) -> bool {
        let ramp = match sound {
            Sound::Click(_) => &self.click,
            Sound::Cue | Sound::Word(_) => &self.cue,
            Sound::Sweep => return true,
            Sound::Guide(_) => &self.guide,
            Sound::Pluck { hand: Hand::Left, .. } => &self.left_hand,
            Sound::Pluck { hand: Hand::Right, .. } => &self.right_hand,
        };
        ramp.now > 0.0 || ramp.target > 0.0
    }

    fn advance(&mut self, samples: usize) {
        let parts = [&mut self.left_hand, &mut self.right_hand, &mut self.guide];
        for ramp in [&mut self.click, &mut self.cue].into_iter().chain(parts) {
            ramp.advance(samples);
        }
    }
}

/// A gain on its way to a target.
struct Ramp {
    now: f32,
    target: f32,
    step: f32,
    values: [f32; SEGMENT],
}

impl Ramp {
    fn new(volume: Volume, rate: SampleRate) -> Ramp {
        let amplitude = volume.amplitude();
        let step = RAMPS_PER_SECOND / rate.get() as f32;
        Ramp { now: amplitude, target: amplitude, step, values: [0.0; SEGMENT] }
    }

    fn advance(&mut self, samples: usize) {
        for value in &mut self.values[..samples] {
            self.now += (self.target - self.now).clamp(-self.step, self.step);
            *value = self.now;
        }
    }
}
