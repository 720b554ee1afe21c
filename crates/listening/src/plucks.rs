//! Single strings, plucked one after the other and measured: what the lever check and the tuner listen to.

use std::collections::VecDeque;

use leverlane_core::pitch::{Hertz, MidiNote};
use leverlane_core::time::Seconds;
use leverlane_hearing::{
    Excerpt, Heard, HeardNote, Listener, MeasuredPluck, PluckMeter, SampleIndex, SampleRate as HearingRate,
};
use leverlane_sound::SampleRate;

/// A note this doubtful is not measured.
const LEAST_CERTAIN: f64 = 0.3;
/// Of notes that begin within this the surest is the string: one is plucked at a time.
const ONE_PLUCK: Seconds = Seconds::new(0.15);
/// When a pluck is measured: its own sound is there, and what else began with it has been told.
const MEASURED_AFTER: Seconds = Seconds::new(PluckMeter::NEEDS.get() + 0.1);
/// So much sound is kept.
const KEPT: Seconds = Seconds::new(2.0);

/// Which strings to listen to, one at a time.
#[derive(Clone, Debug, PartialEq)]
pub struct SingleStrings {
    /// What they may sound, open and raised.
    pub likely: Vec<Hertz>,
    /// What A4 is tuned to.
    pub concert_pitch: Hertz,
}

/// Something that was heard of single strings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SingleNews {
    /// A string sounds near this note; it was plucked a quarter of a second ago. For showing at once.
    Sounds(MidiNote),
    /// A pluck, measured half a second after it; only clear ones are told.
    Measured(MeasuredPluck),
}

/// Listens to single strings. It needs no clock: when a string was plucked makes no difference.
#[derive(Debug)]
pub struct PluckEar {
    strings: SingleStrings,
    rate: HearingRate,
    listener: Listener,
    meter: PluckMeter,
    samples: VecDeque<f32>,
    count: u64,
    waiting: VecDeque<HeardNote>,
    heard: Vec<HeardNote>,
}

impl PluckEar {
    /// An ear for sound at a rate; none where nothing can be heard at it.
    pub fn new(rate: SampleRate, strings: SingleStrings) -> Option<PluckEar> {
        let rate = HearingRate::new(rate.get())?;
        let listener = Listener::new(rate, &strings.likely).at_concert_pitch(strings.concert_pitch);
        Some(PluckEar {
            strings,
            rate,
            listener,
            meter: PluckMeter::new(rate),
            samples: VecDeque::new(),
            count: 0,
            waiting: VecDeque::new(),
            heard: Vec::new(),
        })
    }

    /// Which strings it listens to.
    pub fn strings(&self) -> &SingleStrings {
        &self.strings
    }

    /// Takes a run of what is heard.
    pub fn hear(&mut self, samples: &[f32], tell: &mut dyn FnMut(SingleNews)) {
        self.samples.extend(samples);
        self.count += samples.len() as u64;
        let excess = self.samples.len().saturating_sub(self.rate.samples_in(KEPT));
        self.samples.drain(..excess);
        let heard = &mut self.heard;
        self.listener.listen(samples, |news| match news {
            Heard::Note(note) if note.certainty >= LEAST_CERTAIN => heard.push(note),
            Heard::Note(_) | Heard::Onset(_) => {}
        });
        for note in std::mem::take(&mut self.heard) {
            tell(SingleNews::Sounds(note.note));
            self.wait_for(note);
        }
        while self.waiting.front().is_some_and(|note| self.is_due(note)) {
            let Some(note) = self.waiting.pop_front() else { return };
            let about = Hertz::of_note(note.note, self.strings.concert_pitch).raised_by(note.cents);
            let starts = SampleIndex::new(self.count - self.samples.len() as u64);
            let sound = Excerpt { starts, samples: self.samples.make_contiguous() };
            if let Some(pluck) = self.meter.measure(sound, note.at, about) {
                tell(SingleNews::Measured(pluck));
            }
        }
    }

    /// Several notes at one pluck are one string, heard as its octave too: the surest stays.
    fn wait_for(&mut self, note: HeardNote) {
        let time = |note: &HeardNote| self.rate.time_of(note.at);
        match self.waiting.back_mut() {
            Some(last) if (time(&note) - time(last)).get().abs() < ONE_PLUCK.get() => {
                if note.certainty > last.certainty {
                    *last = note;
                }
            }
            _ => self.waiting.push_back(note),
        }
    }

    fn is_due(&self, note: &HeardNote) -> bool {
        self.count >= note.at.get() + self.rate.samples_in(MEASURED_AFTER) as u64
    }
}

#[cfg(test)]
mod tests {
    use leverlane_core::pitch::Cents;

    use super::*;

    const RATE: u32 = 48_000;

    /// A string plucked at some seconds: eight partials that fade, the higher the sooner.
    fn pluck(sound: &mut [f32], at: f64, hertz: f64) {
        let from = (at * f64::from(RATE)) as usize;
        for (index, sample) in sound[from..].iter_mut().enumerate() {
            let time = index as f64 / f64::from(RATE);
            let partial = |n: f64| (-time * (1.5 + n)).exp() / n * (std::f64::consts::TAU * n * hertz * time).sin();
            *sample += (0.2 * (1..=8).map(f64::from).map(partial).sum::<f64>()) as f32;
        }
    }

    fn heard(block: usize) -> Vec<SingleNews> {
        let mut sound = vec![0.0; RATE as usize * 6];
        // D4 open, then 96 cents higher, then E4: 293.66 · 2^(96/1200) = 310.40 (arithmetic).
        for (at, hertz) in [(0.5, 293.66), (2.2, 310.40), (3.9, 329.63)] {
            pluck(&mut sound, at, hertz);
        }
        let likely = [293.66, 311.13, 329.63].into_iter().filter_map(Hertz::new).collect();
        let strings = SingleStrings { likely, concert_pitch: Hertz::A4 };
        let mut ear = PluckEar::new(SampleRate::new(RATE).unwrap(), strings).unwrap();
        let mut news = Vec::new();
        sound.chunks(block).for_each(|block| ear.hear(block, &mut |heard| news.push(heard)));
        news
    }

    /// Each string is shown and then measured, to the cent; and by no other way of dividing the sound is it otherwise.
    #[test]
    fn strings_are_measured_as_they_are_plucked() {
        let news = heard(480);
        let measured: Vec<Hertz> = news
            .iter()
            .filter_map(|news| match news {
                SingleNews::Measured(pluck) => Some(pluck.hertz),
                SingleNews::Sounds(_) => None,
            })
            .collect();
        assert_eq!(measured.len(), 3, "{news:?}");
        for (hertz, truth) in measured.iter().zip([293.66, 310.40, 329.63]) {
            let off: Cents = hertz.above(Hertz::new(truth).unwrap());
            assert!(off.get().abs() < 1.0, "{hertz:?} for {truth}");
        }
        let sounds = |news: &SingleNews| matches!(news, SingleNews::Sounds(note) if [62, 63, 64].contains(&note.get()));
        assert!(news.iter().filter(|news| sounds(news)).count() >= 3, "{news:?}");
        assert_eq!(heard(1_000), news);
    }
}
