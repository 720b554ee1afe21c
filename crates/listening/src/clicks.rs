//! Our own clicks and cues, looked for in what is heard.

use std::collections::VecDeque;

use leverlane_core::drill::Accent;
use leverlane_sound::capture::{HeardIndex, HeardPoint};
use leverlane_sound::clocks::EchoKind;
use leverlane_sound::{Click, ClickSound, SampleRate, Sounding, waveform};

use crate::click_band::ClickBand;
use crate::learned::ALONE;

/// How alike a stretch of sound and a click must be, as a correlation of 0 to 1, for the one to be the other. A room's
/// reflections and a string's ring take something away; two unlike sounds of this length stay below a half.
const ALIKE: f64 = 0.6;
/// What may be one some samples from where it begins: as alike as that of 2 kHz with itself two samples on, and less.
const ROUGHLY_ALIKE: f64 = 0.45;
/// How much of what was heard is kept, in seconds: the search and the click.
const KEPT: f64 = 1.5;
/// How much sound before a click should be without it (seconds).
const BEFORE: f64 = 0.006;
/// A search for the usual click is made at so many places at first, and then at every place around the best.
const COARSE: usize = 4;
/// Where the sound is strongest the click is not most alike to it, but so many samples before or after at most.
const AROUND: usize = 2 * COARSE;
/// Below -80 dB there is no usual click to be found. The high one is softer, and little else is where it is looked for.
const QUIETEST: f64 = 1e-8;
const QUIETEST_HIGH: f64 = 1e-10;
/// How long what the click's band makes of a click goes on after it (seconds).
const DIES_AWAY: f64 = 0.001;

/// Finds a click again.
pub(crate) struct ClickFinder {
    rate: SampleRate,
    needed: usize,
    usual: SoughtClicks,
    high: SoughtClicks,
    recent: VecDeque<f32>,
    /// What is left of it where the high click is; none where a microphone of such a rate doesn't hear that.
    band: Option<(ClickBand, VecDeque<f32>)>,
    /// The sample that comes next.
    next: u64,
}

/// A place where a click was looked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Looked {
    /// It is not all there yet.
    TooEarly,
    /// It isn't there, or no longer kept.
    NotThere,
    /// It is, begins here, and is so much like the pure click (0 to 1).
    At(HeardPoint, f64),
}

/// Which of three things is that of an accent.
pub(crate) fn accent_index(accent: Accent) -> usize {
    match accent {
        Accent::Bar => 0,
        Accent::Beat => 1,
        Accent::Division => 2,
    }
}

/// All clicks of one pitch are found alike.
pub(crate) fn echo_kind(click: Click) -> EchoKind {
    match click.sound {
        ClickSound::Usual => EchoKind(accent_index(click.accent) as u8),
        ClickSound::High => EchoKind(3),
    }
}

impl ClickFinder {
    /// Looks once so many samples after a click are there.
    pub(crate) fn new(rate: SampleRate, needed: usize) -> ClickFinder {
        let room = || VecDeque::with_capacity((KEPT * f64::from(rate.get())) as usize + 1);
        ClickFinder {
            rate,
            needed,
            usual: SoughtClicks::of(ClickSound::Usual, rate),
            high: SoughtClicks::of(ClickSound::High, rate),
            recent: room(),
            band: ClickBand::alone(rate).map(|band| (band, room())),
            next: 0,
        }
    }

    /// Hears more, from this sample on without a gap.
    pub(crate) fn hear(&mut self, first: HeardIndex, samples: &[f32]) {
        if first.get() != self.next {
            self.recent.clear();
            if let Some((band, kept)) = &mut self.band {
                band.begin_anew();
                kept.clear();
            }
        }
        let most = (KEPT * f64::from(self.rate.get())) as usize;
        for &sample in samples {
            if self.recent.len() == most {
                self.recent.pop_front();
            }
            self.recent.push_back(sample);
            if let Some((band, kept)) = &mut self.band {
                if kept.len() == most {
                    kept.pop_front();
                }
                kept.push_back(band.pass(sample));
            }
        }
        self.next = first.get() + samples.len() as u64;
    }

    /// Looks for a click that begins between two samples.
    pub(crate) fn look(&mut self, click: Click, from: HeardIndex, to: HeardIndex) -> Looked {
        let (sought, recent) = match (click.sound, &mut self.band) {
            (ClickSound::Usual, _) => (&mut self.usual, &mut self.recent),
            (ClickSound::High, Some((_, kept))) => (&mut self.high, kept),
            (ClickSound::High, None) => return Looked::NotThere,
        };
        let click = &sought.clicks[accent_index(click.accent)];
        if self.next < to.get() + (click.len().max(self.needed) + 2) as u64 {
            return Looked::TooEarly;
        }
        let kept_from = self.next - recent.len() as u64;
        let (Some(start), Some(end)) = (from.get().checked_sub(kept_from), to.get().checked_sub(kept_from)) else {
            return Looked::NotThere;
        };
        let recent = &*recent.make_contiguous();
        let (start, end) = (start as usize, end as usize);
        let before = (BEFORE * f64::from(self.rate.get())) as usize;
        let beginning = |place: usize| sought.beginning(recent, place, click, before);
        let rough = (start..end).step_by(sought.coarse).map(|place| (beginning(place), place));
        let strongest = rough.filter(|(found, _)| found.alike >= ROUGHLY_ALIKE);
        let strongest = strongest.max_by(|a, b| a.0.strength.total_cmp(&b.0.strength));
        let Some((_, rough)) = strongest else { return Looked::NotThere };
        let around = rough.saturating_sub(AROUND).max(start)..(rough + AROUND).min(end);
        let nearest = around.max_by(|a, b| beginning(*a).alike.total_cmp(&beginning(*b).alike)).unwrap_or(rough);
        let alike_at = |place: usize| sought.likeness(&recent[place..place + click.len()], click);
        match (alike_at(nearest), nearest) {
            (alike, place) if alike >= ALIKE => {
                let beside = |place: usize| beginning(place).alike;
                let (before, after) = (beside(place.saturating_sub(1)), beside(place + 1));
                let bend = before - 2.0 * alike + after;
                let shift = if bend < 0.0 { (0.5 * (before - after) / bend).clamp(-0.5, 0.5) } else { 0.0 };
                if alike >= ALONE && sought.sign.is_none() {
                    sought.sign =
                        Some(signed_likeness(&recent[place..place + click.len()], click, sought.sound).signum());
                }
                Looked::At(HeardPoint(kept_from as f64 + place as f64 + shift), alike)
            }
            _ => Looked::NotThere,
        }
    }

    /// What was heard of late, and where a place lies in it.
    pub(crate) fn recent(&mut self, place: HeardPoint) -> (&[f32], f64) {
        let kept_from = self.next - self.recent.len() as u64;
        (self.recent.make_contiguous(), place.0 - kept_from as f64)
    }
}

/// What may be a click's beginning.
#[derive(Clone, Copy, Debug)]
struct Beginning {
    /// How alike the click and the sound from there on are (0 to 1).
    alike: f64,
    /// How much of the click is in it. The walls throw clicks back, some of them purer than they first came: between things
    /// that are alike enough the strongest is the click itself.
    strength: f64,
}

/// What clicks are where they are looked for, by accent, and how.
struct SoughtClicks {
    sound: ClickSound,
    clicks: [Box<[f32]>; 3],
    /// Whether loudspeaker and microphone turn them over (-1) or not (1): known once one was heard alone. Half a swing off, a
    /// click is as like itself turned over.
    sign: Option<f64>,
    /// At every so-manieth place at first. What swings over five samples is nowhere like itself two samples on.
    coarse: usize,
}

impl SoughtClicks {
    /// Usual clicks are looked for in all that is heard, high ones in their band; they are nothing where the rate can't hold
    /// them.
    fn of(sound: ClickSound, rate: SampleRate) -> SoughtClicks {
        let pure = |accent| waveform(Sounding::Click(Click { sound, accent }), rate).unwrap_or_default();
        let in_band = |accent| {
            ClickBand::alone(rate).map_or_else(Vec::new, |band| band.passed(&pure(accent), dying_away(rate))).into()
        };
        let accents = [Accent::Bar, Accent::Beat, Accent::Division];
        match sound {
            ClickSound::Usual => SoughtClicks { sound, clicks: accents.map(pure), sign: None, coarse: COARSE },
            ClickSound::High => SoughtClicks { sound, clicks: accents.map(in_band), sign: None, coarse: 1 },
        }
    }

    /// How far a click begins at a place: what sounded just before it tells against that, for a click rings on.
    fn beginning(&self, heard: &[f32], place: usize, click: &[f32], before: usize) -> Beginning {
        let energy = |samples: &[f32]| samples.iter().map(|&x| f64::from(x * x)).sum::<f64>();
        let own = &heard[place..place + click.len()];
        let (earlier, own_energy) = (energy(&heard[place.saturating_sub(before)..place]), energy(own));
        let begins = (own_energy / (own_energy + earlier).max(f64::MIN_POSITIVE)).sqrt();
        let alike = self.likeness(own, click) * begins;
        Beginning { alike, strength: alike * own_energy.sqrt() }
    }

    fn likeness(&self, heard: &[f32], click: &[f32]) -> f64 {
        let signed = signed_likeness(heard, click, self.sound);
        self.sign.map_or(signed.abs(), |sign| sign * signed)
    }
}

/// How many samples what the high click's band makes of a click goes on after it.
pub(crate) fn dying_away(rate: SampleRate) -> usize {
    (DIES_AWAY * f64::from(rate.get())) as usize
}

/// The correlation of a click of such a sound with what was heard: 1 where one is the other, however loud, and turned over or
/// not; 0 where there is too little to be heard.
pub(crate) fn likeness(heard: &[f32], wanted: &[f32], sound: ClickSound) -> f64 {
    signed_likeness(heard, wanted, sound).abs()
}

/// The same, below 0 where it is turned over.
fn signed_likeness(heard: &[f32], wanted: &[f32], sound: ClickSound) -> f64 {
    let quietest = match sound {
        ClickSound::Usual => QUIETEST,
        ClickSound::High => QUIETEST_HIGH,
    };
    let (mut product, mut heard_square, mut wanted_square) = (0.0f64, 0.0f64, 0.0f64);
    for (&h, &w) in heard.iter().zip(wanted) {
        product += f64::from(h * w);
        heard_square += f64::from(h * h);
        wanted_square += f64::from(w * w);
    }
    let size = (heard_square * wanted_square).sqrt();
    if heard_square < quietest * heard.len() as f64 { 0.0 } else { product / size }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A click 20 dB softer than it is played, after a reflection and under a ringing C4, is found on its sample or near it;
    /// where there is none, none is found.
    #[test]
    fn a_click_is_found_where_it_is() {
        for sound in ClickSound::ALL {
            found_where_it_is(sound);
        }
    }

    fn found_where_it_is(sound: ClickSound) {
        let rate = SampleRate::USUAL;
        let clicked = |accent| Click { sound, accent };
        let click = waveform(Sounding::Click(clicked(Accent::Beat)), rate).unwrap();
        let mut heard: Vec<f32> =
            (0..24_000).map(|n| 0.004 * (std::f32::consts::TAU * 261.63 * n as f32 / 48_000.0).sin()).collect();
        for (n, &sample) in click.iter().enumerate() {
            heard[10_000 + n] += 0.1 * sample;
            heard[10_240 + n] -= 0.04 * sample;
        }
        let mut finder = ClickFinder::new(rate, 0);
        finder.hear(HeardIndex::new(500), &heard[..5_000]);
        finder.hear(HeardIndex::new(5_500), &heard[5_000..]);
        let index = HeardIndex::new;
        let found = finder.look(clicked(Accent::Beat), index(9_000), index(13_000));
        assert!(matches!(found, Looked::At(at, _) if (at.0 - 10_500.0).abs() <= 5.0), "{sound:?}: {found:?}");
        assert_eq!(finder.look(clicked(Accent::Beat), index(16_000), index(19_000)), Looked::NotThere);
        // Usual clicks are told apart by their pitch too; all high ones have the same.
        if sound == ClickSound::Usual {
            assert_eq!(finder.look(clicked(Accent::Bar), index(9_000), index(13_000)), Looked::NotThere);
        }
        assert_eq!(finder.look(clicked(Accent::Beat), index(24_000), index(24_400)), Looked::TooEarly);
    }

    /// A click whose shape the nearest walls have spoilt, and that a far one throws back 30 ms later, half as strong and pure: it
    /// is found where it came first.
    #[test]
    fn the_click_itself_is_found_not_its_echo() {
        let click = Click { sound: ClickSound::Usual, accent: Accent::Beat };
        let pure = waveform(Sounding::Click(click), SampleRate::USUAL).unwrap();
        let mut heard = vec![0.0; 24_000];
        for (later, strength) in [(0, 0.1), (110, -0.05), (230, 0.045), (1_440, 0.05)] {
            for (n, &sample) in pure.iter().enumerate() {
                heard[10_000 + later + n] += strength * sample;
            }
        }
        let mut finder = ClickFinder::new(SampleRate::USUAL, 0);
        finder.hear(HeardIndex::new(0), &heard);
        let found = finder.look(click, HeardIndex::new(9_000), HeardIndex::new(13_000));
        assert!(matches!(found, Looked::At(at, _) if (at.0 - 10_000.0).abs() <= 5.0), "{found:?}");
    }

    /// Half a swing off, a click is as like itself turned over; once one was heard alone, it is known which it is.
    #[test]
    fn a_click_is_not_looked_for_turned_over() {
        let click = Click { sound: ClickSound::Usual, accent: Accent::Beat };
        let pure = waveform(Sounding::Click(click), SampleRate::USUAL).unwrap();
        for sign in [0.1, -0.1] {
            let mut finder = ClickFinder::new(SampleRate::USUAL, 0);
            let other: Vec<f32> = pure.iter().map(|sample| -sign * sample).collect();
            assert!((finder.usual.likeness(&other, &pure) - 1.0).abs() < 1e-6);
            let mut heard = vec![0.0; 20_000];
            pure.iter().zip(&mut heard[8_000..]).for_each(|(click, heard)| *heard = sign * click);
            finder.hear(HeardIndex::new(0), &heard);
            assert!(matches!(finder.look(click, HeardIndex::new(7_000), HeardIndex::new(9_000)), Looked::At(..)));
            assert!((finder.usual.likeness(&other, &pure) + 1.0).abs() < 1e-6);
            assert!((finder.usual.likeness(&heard[8_000..], &pure) - 1.0).abs() < 1e-6);
        }
    }
}
