//! The spoken count and the spoken flips: clips of our own (see `assets/speech`).

use std::io::Cursor;

use leverlane_core::drill::{MOST_COUNTED, Word};
use leverlane_core::harp::LeverState;
use leverlane_core::pitch::Letter;
use leverlane_core::time::Seconds;

use crate::one_shot::OneShots;
use crate::sample_clock::SampleRate;

/// Numbers from one, letters from C, up and down.
const CLIPS: [&[u8]; 21] = [
    include_bytes!("../../../assets/speech/one.wav"),
    include_bytes!("../../../assets/speech/two.wav"),
    include_bytes!("../../../assets/speech/three.wav"),
    include_bytes!("../../../assets/speech/four.wav"),
    include_bytes!("../../../assets/speech/five.wav"),
    include_bytes!("../../../assets/speech/six.wav"),
    include_bytes!("../../../assets/speech/seven.wav"),
    include_bytes!("../../../assets/speech/eight.wav"),
    include_bytes!("../../../assets/speech/nine.wav"),
    include_bytes!("../../../assets/speech/ten.wav"),
    include_bytes!("../../../assets/speech/eleven.wav"),
    include_bytes!("../../../assets/speech/twelve.wav"),
    include_bytes!("../../../assets/speech/letter-c.wav"),
    include_bytes!("../../../assets/speech/letter-d.wav"),
    include_bytes!("../../../assets/speech/letter-e.wav"),
    include_bytes!("../../../assets/speech/letter-f.wav"),
    include_bytes!("../../../assets/speech/letter-g.wav"),
    include_bytes!("../../../assets/speech/letter-a.wav"),
    include_bytes!("../../../assets/speech/letter-b.wav"),
    include_bytes!("../../../assets/speech/up.wav"),
    include_bytes!("../../../assets/speech/down.wav"),
];

/// A word is on its beat where it becomes loud, the vowel after its consonants: within this share of its loudest moment. (Where a
/// spoken syllable is heard to begin, its perceptual centre, is near the vowel's onset: Morton, Marcus and Frankish 1976, from
/// memory. The share is a working value of ours.)
const LOUD: f32 = 0.25;
/// The loudness of a clip is looked at in steps of so many a second.
const STEPS_PER_SECOND: u32 = 200;

/// How loud a clip is against clicks and tones.
const LEVEL: f32 = 0.5;

/// A word's place among the clips; a number that is not spoken has none.
pub(crate) fn place_of(word: Word) -> usize {
    let letters = usize::from(MOST_COUNTED);
    match word {
        Word::Number(number) if (1..=MOST_COUNTED).contains(&number) => usize::from(number) - 1,
        Word::Number(_) => CLIPS.len(),
        Word::Letter(letter) => {
            letters
                + match letter {
                    Letter::C => 0,
                    Letter::D => 1,
                    Letter::E => 2,
                    Letter::F => 3,
                    Letter::G => 4,
                    Letter::A => 5,
                    Letter::B => 6,
                }
        }
        Word::Lever(LeverState::Up) => letters + 7,
        Word::Lever(LeverState::Down) => letters + 8,
    }
}

/// Every word at a sample rate. Allocates.
pub(crate) fn words(rate: SampleRate) -> OneShots {
    OneShots::new(CLIPS.iter().map(|clip| samples(clip, rate)).collect())
}

/// A word at a sample rate; none for a number that is not spoken.
pub(crate) fn clip(word: Word, rate: SampleRate) -> Option<Box<[f32]>> {
    CLIPS.get(place_of(word)).map(|clip| samples(clip, rate))
}

/// How long after its clip begins a word is on its beat; at once for a number that is not spoken.
pub(crate) fn loud_from(word: Word) -> Seconds {
    let Some((own, rate)) = CLIPS.get(place_of(word)).and_then(|clip| own_samples(clip)) else { return Seconds::ZERO };
    let step = (rate / STEPS_PER_SECOND).max(1);
    let loudness: Vec<f32> = own
        .chunks(step as usize)
        .map(|step| (step.iter().map(|s| s * s).sum::<f32>() / step.len() as f32).sqrt())
        .collect();
    let loudest = loudness.iter().copied().fold(0.0, f32::max);
    let before = loudness.iter().take_while(|&&loudness| loudness < LOUD * loudest).count();
    Seconds::new(before as f64 / f64::from(STEPS_PER_SECOND))
}

/// A clip's own samples and how many it has a second.
fn own_samples(clip: &[u8]) -> Option<(Vec<f32>, u32)> {
    let mut reader = hound::WavReader::new(Cursor::new(clip)).ok()?;
    let rate = reader.spec().sample_rate;
    Some((reader.samples::<i16>().filter_map(Result::ok).map(|s| f32::from(s) / 32_768.0).collect(), rate))
}

/// A clip's samples at a rate, by straight lines between its own; the clips hold nothing near their upper limit that this
/// would spoil. A clip that could not be read would be silent; a test reads them all.
fn samples(clip: &[u8], rate: SampleRate) -> Box<[f32]> {
    let Some((own, own_rate)) = own_samples(clip) else { return Box::default() };
    let step = f64::from(own_rate) / f64::from(rate.get());
    let count = (own.len() as f64 / step) as usize;
    let at = |place: usize| own.get(place).copied().unwrap_or(0.0);
    (0..count)
        .map(|sample| {
            let place = sample as f64 * step;
            let (whole, part) = (place as usize, place.fract() as f32);
            LEVEL * (at(whole) * (1.0 - part) + at(whole + 1) * part)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A spoken syllable lasts a tenth of a second at least, and none of ours as long as two thirds (from their files).
    #[test]
    fn every_clip_can_be_heard() {
        for rate in [44_100, 48_000] {
            for (place, clip) in CLIPS.iter().enumerate() {
                let samples = samples(clip, SampleRate::new(rate).unwrap());
                let seconds = samples.len() as f64 / f64::from(rate);
                assert!((0.1..0.66).contains(&seconds), "clip {place}: {seconds} s");
                let peak = samples.iter().fold(0.0_f32, |peak, sample| peak.max(sample.abs()));
                assert!((0.2..=0.5).contains(&peak), "clip {place}: peak {peak}");
            }
        }
    }

    /// Against NumPy's reading of the same files (the running root mean square of 5 ms): "one" is loud 24 ms after its clip
    /// begins, "four", after a long f, after 108.
    #[test]
    fn words_are_on_their_beat_where_they_become_loud() {
        for (number, by_numpy) in [(1, 0.024), (4, 0.108)] {
            let ours = loud_from(Word::Number(number)).get();
            assert!((ours - by_numpy).abs() < 0.008, "{number}: {ours} s, by NumPy {by_numpy}");
        }
        assert_eq!(loud_from(Word::Number(13)), Seconds::ZERO);
    }

    #[test]
    fn every_word_has_its_clip() {
        let words = (1..=MOST_COUNTED)
            .map(Word::Number)
            .chain([Letter::C, Letter::D, Letter::E, Letter::F, Letter::G, Letter::A, Letter::B].map(Word::Letter))
            .chain([LeverState::Up, LeverState::Down].map(Word::Lever));
        assert_eq!(words.map(place_of).collect::<Vec<_>>(), (0..CLIPS.len()).collect::<Vec<_>>());
        assert_eq!(place_of(Word::Number(13)), CLIPS.len());
    }
}
