//! Ten minutes at 61.5 a minute, written to a file and read back: every click and cue on its exact sample.

use leverlane_core::time::Seconds;
use leverlane_sound::offline::{Extent, render, write_wav};
use leverlane_sound::{Mix, Program, SampleRate, Volume};

use super::onsets::{nearest, onsets};
use super::piece;

const TEN_MINUTES: i128 = 600;

/// Where sounds begin in the written file: after 5 ms of silence.
fn onsets_in_file(mix: Mix, rate: u32) -> Vec<usize> {
    let _alone = super::alone();
    let rate_of = SampleRate::new(rate).unwrap();
    let program = Program::new(&piece::timeline(61.5), rate_of);
    let frames = render(program, mix, Extent::Lasting(Seconds::new(TEN_MINUTES as f64)));
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("drill.wav");
    write_wav(&path, &frames, rate_of).unwrap();
    let mut reader = hound::WavReader::open(&path).unwrap();
    assert_eq!((reader.spec().sample_rate, reader.spec().channels), (rate, 2));
    let left = reader.samples::<i16>().step_by(2).map(|sample| sample.unwrap() == 0);
    onsets(left, rate as usize / 200)
}

/// The sample of a time in half quarters: a quarter lasts 60 / 61.5 = 40 / 41 s, so half of one 20 / 41 s.
fn sample(halves: i128, rate: u32) -> usize {
    nearest(halves * 20 * i128::from(rate), 41)
}

fn expected(halves: impl Iterator<Item = i128>, rate: u32) -> Vec<usize> {
    let end = TEN_MINUTES as usize * rate as usize;
    halves.map(|halves| sample(halves, rate)).take_while(|&sample| sample < end).collect()
}

fn only(click: Volume, cue: Volume) -> Mix {
    Mix { click, cue, left_hand: Volume::SILENT, right_hand: Volume::SILENT, guide: Volume::SILENT }
}

#[test]
fn every_click_is_on_its_sample_for_ten_minutes() {
    for rate in [48_000, 44_100] {
        let found = onsets_in_file(only(Volume::percent(70), Volume::SILENT), rate);
        // A click on every quarter: through the count-in, the music, the reset bar and every seam.
        let expected = expected((0..).map(|quarter| 2 * quarter), rate);
        assert_eq!(expected.len(), 615, "61.5 a minute for ten minutes");
        assert_eq!(found, expected, "at {rate}");
    }
}

#[test]
fn every_cue_is_on_its_sample_for_ten_minutes() {
    for rate in [48_000, 44_100] {
        let found = onsets_in_file(only(Volume::SILENT, Volume::percent(70)), rate);
        // After 4 quarters of count-in, in every pass of 12: the flip at 5½, the reset at 8.
        let expected = expected((0..).flat_map(|pass| [8 + 24 * pass + 11, 8 + 24 * pass + 16]), rate);
        assert!(expected.len() > 100, "{}", expected.len());
        assert_eq!(found, expected, "at {rate}");
    }
}

/// Both together: a cue on a beat begins with its click, one between beats by itself.
#[test]
fn clicks_and_cues_keep_their_samples_together() {
    let rate = 48_000;
    let found = onsets_in_file(only(Volume::percent(70), Volume::percent(70)), rate);
    let all = expected((0..).filter(|half| half % 2 == 0 || half % 24 == 19), rate);
    assert_eq!(found, all);
}

/// Accents can be told apart by level: the first of every four is the loudest.
#[test]
fn the_first_beat_of_a_bar_is_the_loudest() {
    let rate = 48_000;
    let program = Program::new(&piece::timeline(61.5), SampleRate::USUAL);
    let mix = only(Volume::percent(70), Volume::SILENT);
    let frames = render(program, mix, Extent::Lasting(Seconds::new(20.0)));
    let peak = |beat: i128| {
        let starts = sample(2 * beat, rate);
        frames[starts..starts + 2_000].iter().map(|frame| frame[0].abs()).fold(0.0, f32::max)
    };
    for bar in 0..4 {
        for beat in 1..4 {
            assert!(peak(4 * bar) > 1.2 * peak(4 * bar + beat), "bar {bar}, beat {beat}");
        }
    }
}
