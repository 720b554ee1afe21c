//! Our own click in a recording of a drill.
//!
//! Nothing is known of such a recording but the drill: not when the click begins, nor how far the recorder's clock is from
//! that of whatever played it. Its passes are found by their notes first. About each, the clicks are looked for all
//! together, shifted as one, since a single one may be drowned by a string; then each by itself, which tells how the clocks
//! part. From those that sound alone it is learnt what the room makes of a click, and that is taken off at every place. High
//! clicks need not be learnt: their band is taken off (`click_band`).

use leverlane_core::drill::{Accent, EventKind, Timeline};
use leverlane_core::time::{ScoreTime, Seconds};
use leverlane_hearing::{Excerpt, HeardNote, SampleRate};
use leverlane_sound::{Click, ClickSound, Sounding, waveform};

use crate::click_band::ClickBand;
use crate::clicks::{accent_index, dying_away, likeness};
use crate::joiner::LEFT_OF_A_CLICK;
use crate::learned::LearnedClicks;
use crate::own_sounds::pitches;

/// How far from where its notes lie a pass's clicks are looked for: players are that early or late on the whole.
const SHIFT: f64 = 0.2;
/// At most this share of the shortest time between two beats, so that no click is taken for the next.
const OF_A_BEAT: f64 = 0.45;
/// How far from the common shift each click is looked for: a recorder's clock parts by a millisecond in ten seconds.
const OWN_SHIFT: f64 = 0.001;
/// A search for usual clicks is made at so many places at first (see `ClickFinder`), and then at every place around the best.
const COARSE: usize = 4;
/// How alike sound and click are where it is a click (see `ClickFinder`).
const ALIKE: f64 = 0.6;
/// So many clicks of a pass must be found.
const LEAST_FOUND: usize = 3;
/// Of so many of the clicks that are most like the pure one it is learnt what they sound like.
const LEARNED_OF: usize = 24;
/// A click this many times as unlike the pure one as the most alike is not heard alone.
const AS_ALONE: f64 = 1.2;
/// Two clicks nearer than this are one, told by two passes (seconds).
const SAME: f64 = 0.03;
/// So near to a click a note may be that click, in seconds before and after, and so near to its pitch, in semitones.
const NEAR: (f64, f64) = (0.030, 0.060);
const PITCH: f64 = 0.8;

/// The clicks of a drill, looked for pass by pass.
pub struct RecordedClicks {
    rate: SampleRate,
    sound: ClickSound,
    /// The drill's clicks from its count-in on, by times from the start of a pass.
    clicks: Vec<(f64, Accent)>,
    waveforms: [Waveform; 3],
    /// Where each click is, in samples of the recording.
    places: Vec<(f64, Accent)>,
    /// How many of each accent were found there.
    found: [usize; 3],
    heard: [Vec<HeardClick>; 3],
    learned: LearnedClicks,
}

/// A click as it is played.
struct Waveform {
    pure: Box<[f32]>,
    narrowing: Narrowing,
    narrowed: Vec<f32>,
}

/// How what lies far below a click is kept from mattering.
#[derive(Clone, Copy)]
enum Narrowing {
    /// By over how many samples a usual click swings from one side to the other.
    HalfASwing(usize),
    /// By the high click's band.
    Band(leverlane_sound::SampleRate),
}

impl Narrowing {
    fn narrowed(self, sound: &[f32]) -> Vec<f32> {
        match self {
            Narrowing::HalfASwing(samples) => without_lower(sound, samples),
            Narrowing::Band(rate) => ClickBand::alone(rate).map_or_else(Vec::new, |band| band.passed(sound, 0)),
        }
    }

    /// For how many samples what it makes of a sound goes on after that.
    fn goes_on(self) -> usize {
        match self {
            Narrowing::HalfASwing(samples) => 2 * samples,
            Narrowing::Band(rate) => dying_away(rate),
        }
    }
}

/// A click that was heard: how much like the pure one, the sound from a little before it on, and where in that it begins.
struct HeardClick {
    alike: f64,
    sound: Vec<f32>,
    place: f64,
}

/// The clicks of a recording, to be taken off.
pub struct ClicksTakenOff {
    rate: SampleRate,
    places: Vec<(f64, Accent)>,
    how: How,
}

/// How clicks are taken off.
enum How {
    /// By what they sound like there.
    Learned(LearnedClicks),
    /// With their band of the sound.
    Band(leverlane_sound::SampleRate),
}

/// Takes the clicks off a recording while somebody goes through it.
pub struct TakingOff<'a> {
    clicks: &'a ClicksTakenOff,
    band: Option<ClickBand>,
}

impl RecordedClicks {
    /// The clicks of a drill in a recording of a rate; none where no such click is made at that rate.
    pub fn of(timeline: &Timeline, sound: ClickSound, rate: SampleRate) -> Option<RecordedClicks> {
        let sound_rate = leverlane_sound::SampleRate::new(rate.get()).filter(|rate| sound.fits(*rate))?;
        let opening = timeline.tempo.opening();
        let count_in = timeline.count_in.iter().map(|event| {
            let before = opening.lasting(timeline.count_in_length - event.at);
            (-before.get(), event.kind)
        });
        let pass = timeline.events.iter().map(|event| {
            let at = timeline.tempo.seconds_at(ScoreTime::from_start(event.at));
            (at.get(), event.kind)
        });
        let clicks = count_in.chain(pass).filter_map(|(at, kind)| match kind {
            EventKind::Click(accent) => Some((at, accent)),
            _ => None,
        });
        let waveform = |accent| {
            let narrowing = match sound {
                ClickSound::Usual => Narrowing::HalfASwing(half_a_swing(accent, rate)),
                ClickSound::High => Narrowing::Band(sound_rate),
            };
            let pure = waveform(Sounding::Click(Click { sound, accent }), sound_rate).unwrap_or_default();
            let padded = [&pure[..], &vec![0.0; narrowing.goes_on()]].concat();
            Waveform { narrowed: narrowing.narrowed(&padded), narrowing, pure }
        };
        Some(RecordedClicks {
            rate,
            sound,
            clicks: clicks.collect(),
            waveforms: [Accent::Bar, Accent::Beat, Accent::Division].map(waveform),
            places: Vec::new(),
            found: [0; 3],
            heard: [Vec::new(), Vec::new(), Vec::new()],
            learned: LearnedClicks::new(rate.get()),
        })
    }

    /// What of the recording must be looked at for a pass that begins about here: from when to when.
    pub fn around(&self, starts: Seconds) -> (Seconds, Seconds) {
        let (first, last) = (self.clicks.first(), self.clicks.last());
        let spare = SHIFT + 0.2;
        (
            Seconds::new(starts.get() + first.map_or(0.0, |click| click.0) - spare),
            Seconds::new(starts.get() + last.map_or(0.0, |click| click.0) + spare),
        )
    }

    /// Looks for the clicks of a pass whose notes say that it begins about here, and tells where it begins by the click;
    /// none where too few are heard.
    pub fn look(&mut self, about: Seconds, sound: Excerpt<'_>) -> Option<Seconds> {
        let rate = f64::from(self.rate.get());
        let nominal: Vec<(f64, Accent)> =
            self.clicks.iter().map(|&(at, accent)| ((about.get() + at) * rate, accent)).collect();
        let beats = || nominal.iter().filter(|click| click.1 != Accent::Division);
        let apart = beats().zip(beats().skip(1)).map(|(one, next)| next.0 - one.0).fold(f64::INFINITY, f64::min);
        let coarse = match self.sound {
            ClickSound::Usual => COARSE,
            ClickSound::High => 1,
        };
        let reach = (SHIFT * rate).min(OF_A_BEAT * apart) as i64;
        let narrowed = |waveform: &Waveform| waveform.narrowing.narrowed(sound.samples);
        let heard = self.waveforms.each_ref().map(narrowed);
        let alike_at = |click: &(f64, Accent), shift: i64| {
            let waveform = &self.waveforms[accent_index(click.1)].narrowed;
            let heard = Excerpt { samples: &heard[accent_index(click.1)], ..sound };
            let heard = stretch(heard, click.0.round() as i64 + shift, waveform.len());
            heard.map_or(0.0, |heard| likeness(heard, waveform, self.sound))
        };
        // Squares, so that one clear click says more than several doubtful ones.
        let together = |shift: i64| beats().map(|click| alike_at(click, shift).powi(2)).sum::<f64>();
        let best = |from: i64, to: i64, step: usize, worth: &dyn Fn(i64) -> f64| {
            (from..=to).step_by(step).map(|shift| (worth(shift), shift)).max_by(|a, b| a.0.total_cmp(&b.0))
        };
        let (_, rough) = best(-reach, reach, coarse, &together)?;
        let (_, shift) = best(rough - COARSE as i64, rough + COARSE as i64, 1, &together)?;
        let own = (OWN_SHIFT * rate) as i64;
        let mut found = Vec::new();
        for click in &nominal {
            let worth = |shift: i64| alike_at(click, shift);
            let Some((_, rough)) = best(shift - own, shift + own, coarse, &worth) else { continue };
            let Some((alike, at)) = best(rough - COARSE as i64, rough + COARSE as i64, 1, &worth) else { continue };
            if alike < ALIKE {
                continue;
            }
            let (before, after) = (worth(at - 1), worth(at + 1));
            let bend = before - 2.0 * alike + after;
            let part = if bend < 0.0 { (0.5 * (before - after) / bend).clamp(-0.5, 0.5) } else { 0.0 };
            let alone = match self.sound {
                ClickSound::Usual => {
                    // How much it sounds alone, strings far below it included.
                    let pure = &self.waveforms[accent_index(click.1)].pure;
                    let whole = stretch(sound, click.0.round() as i64 + at, pure.len());
                    whole.map_or(0.0, |heard| likeness(heard, pure, self.sound))
                }
                // No string is in its band but for the moment in which it is plucked.
                ClickSound::High => alike,
            };
            found.push((click.0, click.0.round() + at as f64 + part, alone, click.1));
        }
        if found.iter().filter(|found| found.3 != Accent::Division).count() < LEAST_FOUND {
            return None;
        }
        // A string that is plucked on the click moves it by some samples: where enough sound alone, these tell.
        let mut unlike: Vec<f64> = found.iter().map(|found| 1.0 - found.2).collect();
        unlike.sort_by(f64::total_cmp);
        let clear = (AS_ALONE * unlike[0]).max(unlike[LEAST_FOUND - 1]);
        let clear = found.iter().filter(|found| 1.0 - found.2 <= clear);
        let line = Line::through(&clear.map(|found| (found.0, found.1 - found.0, found.3)).collect::<Vec<_>>());
        for click in &found {
            self.found[accent_index(click.3)] += 1;
        }
        let learnable = if self.sound == ClickSound::Usual { &found[..] } else { &[] };
        for &(nominal, _, alike, accent) in learnable {
            self.remember(alike, accent, nominal + line.at(nominal), sound);
        }
        self.places.extend(nominal.iter().map(|&(at, accent)| (at + line.at(at), accent)));
        let starts = about.get() * rate;
        Some(Seconds::new((starts + line.at(starts)) / rate))
    }

    /// Keeps what was heard of a click where it is among the most alike.
    fn remember(&mut self, alike: f64, accent: Accent, place: f64, sound: Excerpt<'_>) {
        let from = place.floor() as i64 - 2;
        let Some(heard) = stretch(sound, from, self.learned.length() + 6) else { return };
        let clicks = &mut self.heard[accent_index(accent)];
        let rank = clicks.partition_point(|other| other.alike >= alike);
        if rank < LEARNED_OF {
            clicks.truncate(LEARNED_OF - 1);
            clicks.insert(rank, HeardClick { alike, sound: heard.to_vec(), place: place - from as f64 });
        }
    }

    /// All passes have been looked at: what usual clicks sound like here is learnt. None where none sounded clearly.
    pub fn learnt(self) -> Option<ClicksTakenOff> {
        let RecordedClicks { rate, sound, mut places, mut learned, found, heard, .. } = self;
        let how = match sound {
            ClickSound::High => {
                // What was found of few of them was not played: divisions, mostly.
                let of = [Accent::Bar, Accent::Beat, Accent::Division]
                    .map(|accent| places.iter().filter(|click| click.1 == accent).count());
                places.retain(|click| 2 * found[accent_index(click.1)] > of[accent_index(click.1)]);
                How::Band(leverlane_sound::SampleRate::new(rate.get())?)
            }
            ClickSound::Usual => {
                // The most alike first: of all clicks it is the likeliest to sound alone.
                for accent in [Accent::Bar, Accent::Beat, Accent::Division] {
                    let heard = &heard[accent_index(accent)];
                    let unlike = |click: &HeardClick| 1.0 - click.alike;
                    let most = heard.first().map_or(0.0, unlike) * AS_ALONE;
                    for click in heard.iter().take_while(|click| unlike(click) <= most) {
                        learned.learn(accent, &click.sound, click.place);
                    }
                }
                places.retain(|click| learned.knows(click.1));
                How::Learned(learned)
            }
        };
        places.sort_by(|a, b| a.0.total_cmp(&b.0));
        let same = SAME * f64::from(rate.get());
        places.dedup_by(|next, one| next.0 - one.0 < same);
        (!places.is_empty()).then_some(ClicksTakenOff { rate, places, how })
    }
}

impl ClicksTakenOff {
    /// For going through the recording from its beginning.
    pub fn from_the_beginning(&self) -> TakingOff<'_> {
        let band = match self.how {
            How::Learned(_) => None,
            How::Band(rate) => ClickBand::taken_out(rate),
        };
        TakingOff { clicks: self, band }
    }

    /// Whether a note that was heard is what was left of a click. Of high ones nothing is left.
    pub fn is_own(&self, note: &HeardNote) -> bool {
        let How::Learned(learned) = &self.how else { return false };
        let rate = f64::from(self.rate.get());
        let at = note.at.get() as f64;
        let pitch = f64::from(note.note.get()) + note.cents.get() / 100.0;
        let from = self.places.partition_point(|click| click.0 + NEAR.1 * rate < at);
        let mut near = self.places[from..].iter().take_while(|click| click.0 - NEAR.0 * rate <= at);
        near.any(|click| {
            let left_over = note.strength < LEFT_OF_A_CLICK * learned.strength(click.1);
            let usual = Click { sound: ClickSound::Usual, accent: click.1 };
            left_over || pitches(Sounding::Click(usual)).iter().any(|own| (own - pitch).abs() < PITCH)
        })
    }

    /// How many clicks there are.
    pub fn count(&self) -> usize {
        self.places.len()
    }
}

impl TakingOff<'_> {
    /// Takes the clicks off the next run of the recording's samples, of which `first` is the number of the first.
    pub fn take_off(&mut self, first: u64, samples: &mut [f32]) {
        if let Some(band) = &mut self.band {
            samples.iter_mut().for_each(|sample| *sample = band.pass(*sample));
        }
        let How::Learned(learned) = &self.clicks.how else { return };
        let length = learned.length() as f64 + 4.0;
        let places = &self.clicks.places;
        let from = places.partition_point(|click| click.0 + length < first as f64);
        let ends = first as f64 + samples.len() as f64 + 4.0;
        for &(place, accent) in places[from..].iter().take_while(|click| click.0 <= ends) {
            learned.take_one_off(accent, place, first, samples);
        }
    }
}

/// So many samples from a place on; none where the excerpt doesn't hold them all.
fn stretch<'a>(sound: Excerpt<'a>, from: i64, length: usize) -> Option<&'a [f32]> {
    let from = usize::try_from(from - sound.starts.get() as i64).ok()?;
    sound.samples.get(from..from.checked_add(length)?)
}

/// Over how many samples a click swings from one side to the other.
fn half_a_swing(accent: Accent, rate: SampleRate) -> usize {
    let hertz = ClickSound::Usual.hertz(accent);
    (f64::from(rate.get()) / (2.0 * hertz)).round().max(1.0) as usize
}

/// Sound without what lies far below a click: what swings as fast is made four times as strong, what swings ten times as
/// slowly as weak as a tenth.
fn without_lower(sound: &[f32], half_a_swing: usize) -> Vec<f32> {
    let at = |n: usize, back: usize| n.checked_sub(back).map_or(0.0, |n| sound[n]);
    (0..sound.len()).map(|n| sound[n] - 2.0 * at(n, half_a_swing) + at(n, 2 * half_a_swing)).collect()
}

/// A straight line, by the median of all slopes between two points (Theil and Sen), or level through few. What a room adds
/// to a click moves it by a sample or so, but every click of its strength alike: only such are compared.
struct Line {
    slope: f64,
    level: f64,
}

impl Line {
    fn through(points: &[(f64, f64, Accent)]) -> Line {
        let pairs =
            points.iter().enumerate().flat_map(|(n, one)| points[n + 1..].iter().map(move |other| (one, other)));
        let alike = pairs.filter(|(one, other)| one.2 == other.2);
        let slopes = alike.map(|(one, other)| (other.1 - one.1) / (other.0 - one.0)).filter(|slope| slope.is_finite());
        let slope = if points.len() > LEAST_FOUND { median(slopes.collect()) } else { 0.0 };
        let strongest = points.iter().map(|point| point.2).min();
        let strongest = points.iter().filter(|point| Some(point.2) == strongest);
        Line { slope, level: median(strongest.map(|point| point.1 - slope * point.0).collect()) }
    }

    fn at(&self, place: f64) -> f64 {
        self.slope * place + self.level
    }
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(0.0)
}
