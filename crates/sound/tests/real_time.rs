//! What the audio thread must keep to: no allocation, and the same samples however they are divided.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use assert_no_alloc::{AllocDisabler, assert_no_alloc};
use leverlane_core::drill::{Accent, Cue, Event, EventKind, Timeline};
use leverlane_core::pitch::MidiNote;
use leverlane_core::score::Hand;
use leverlane_core::time::{Seconds, Tempo, TempoMap, Ticks};
use leverlane_sound::{
    Controls, Mix, Position, Program, Renderer, Repeat, SampleIndex, SampleRate, Sounding, Stamp, Volume,
    monitored_pair, pair,
};

/// Aborts the test run on any allocation or release inside `assert_no_alloc`.
#[global_allocator]
static GUARD: AllocDisabler = AllocDisabler;

const RATE: SampleRate = SampleRate::USUAL;

/// Two quarters with a click on each half, a cue, eight plucks and a grace note; two quarters of count-in.
fn timeline(quarters_a_minute: f64) -> Timeline {
    let half = Ticks::new(Ticks::PER_QUARTER / 2);
    let click = |n: i64| Event { at: half * n, kind: EventKind::Click(Accent::Beat) };
    let pluck = |n: i64, shift: f64| Event {
        at: half * (n / 2),
        kind: EventKind::Pluck {
            note: MidiNote::new(50 + 3 * n as u8).unwrap(),
            string: None,
            hand: if n % 2 == 0 { Hand::Left } else { Hand::Right },
            pluck: n as usize,
            shift: Seconds::new(shift),
        },
    };
    let mut events: Vec<Event> = (0..4).map(click).collect();
    events.push(Event { at: half * 3, kind: EventKind::Cue(Cue::Planned(0)) });
    events.push(pluck(0, -0.08));
    events.extend((0..8).map(|n| pluck(n, 0.0)));
    events.sort_by_key(|event| event.at);
    Timeline {
        count_in: (0..4).map(click).collect(),
        count_in_length: half * 4,
        events,
        length: half * 4,
        tempo: TempoMap::steady(Tempo::quarters(quarters_a_minute).unwrap()),
    }
}

fn at(sample: u64) -> Stamp {
    Stamp::At(SampleIndex::new(sample))
}

/// A renderer that has been told everything it can be told, each on its sample.
fn with_all_commands() -> (Controls, Renderer) {
    let (mut controls, renderer) = pair(RATE, Mix::default());
    tell_all(&mut controls);
    (controls, renderer)
}

fn tell_all(controls: &mut Controls) {
    let quiet = Mix { left_hand: Volume::SILENT, click: Volume::percent(30), ..Mix::default() };
    controls.load(Program::new(&timeline(200.0), RATE), Stamp::Now).unwrap();
    controls.start(Repeat::Endless, at(777)).unwrap();
    controls.set_mix(quiet, at(40_001)).unwrap();
    controls.load(Program::new(&timeline(240.0), RATE), at(60_000)).unwrap();
    controls.load(Program::new(&timeline(230.0), RATE), at(60_000)).unwrap();
    controls.stop(at(150_003)).unwrap();
    controls.load(Program::new(&timeline(300.0), RATE), at(160_000)).unwrap();
    controls.start(Repeat::Times(2.try_into().unwrap()), at(170_000)).unwrap();
}

const LENGTH: usize = 240_000;

fn rendered_in_blocks(block: usize) -> Vec<[f32; 2]> {
    let (_controls, mut renderer) = with_all_commands();
    let mut frames = vec![[f32::NAN; 2]; LENGTH];
    for part in frames.chunks_mut(block) {
        assert_no_alloc(|| renderer.render(part));
    }
    frames
}

#[test]
fn blocks_of_any_size_give_the_same_samples_without_allocating() {
    let whole = rendered_in_blocks(LENGTH);
    assert!(whole.iter().flatten().all(|sample| sample.is_finite() && sample.abs() < 1.0));
    assert!(whole[..777].iter().all(|frame| *frame == [0.0; 2]), "silent before the start");
    assert_ne!(whole[777], [0.0; 2], "the count-in's first click starts on its sample");
    for block in [1, 2, 7, 64, 255, 256, 257, 441, 1024, 4095, 4096] {
        assert!(rendered_in_blocks(block) == whole, "blocks of {block}");
    }
}

/// Arithmetic at 48,000 a second: at 200 quarters a minute a quarter lasts 14,400 samples, at 230 it lasts
/// 12,521.7.
#[test]
fn positions_follow_the_count_of_samples() {
    let (mut controls, mut renderer) = with_all_commands();
    let mut block = vec![[0.0; 2]; 100];
    let mut seen: Vec<(u64, Option<Position>)> = Vec::new();
    for _ in 0..LENGTH / 100 {
        renderer.render(&mut block);
        seen.push((controls.rendered().get(), controls.position()));
    }
    let position_at = |sample: u64| seen.iter().find(|&&(at, _)| at == sample).unwrap().1;
    assert_eq!(position_at(700), None);
    let counting_in = position_at(7_900).unwrap();
    assert_eq!((counting_in.pass, counting_in.program), (0, 0));
    // 28,800 samples of count-in begin on 777.
    let expected = (7_900.0 - 777.0 - 28_800.0) / 14_400.0;
    assert!((counting_in.at.quarters() - expected).abs() < 1e-4, "{counting_in:?}");
    let second_pass = position_at(60_000).unwrap();
    assert_eq!((second_pass.pass, second_pass.program), (1, 0));
    // The third program takes over at the end of that pass, on 777 + 3 · 28,800; the second was never heard.
    let third = position_at(90_000).unwrap();
    assert_eq!((third.pass, third.program), (2, 2));
    let expected = (90_000.0 - 777.0 - 86_400.0) / (48_000.0 * 60.0 / 230.0);
    assert!((third.at.quarters() - expected).abs() < 1e-4, "{third:?}");
    assert_eq!(position_at(155_000), None);
    let restarted = position_at(180_000).unwrap();
    assert_eq!((restarted.program, restarted.start, third.start), (3, 1, 0));
    // Count-in and two passes of 2 · 9,600 samples each from 170,000 on.
    assert!(position_at(227_500).is_some());
    assert_eq!(position_at(227_700), None);
    assert_eq!(controls.overfull(), 0);
}

/// A tempo change keeps to exact times: the new passes count from the exact end of the old one, not from its sample.
/// 120 / 41 s and 60 / 7 s are lengths that no sample ends on.
#[test]
fn a_change_of_tempo_begins_at_the_exact_end_of_the_pass() {
    let (mut controls, mut renderer) =
        pair(RATE, Mix { left_hand: Volume::SILENT, right_hand: Volume::SILENT, ..Mix::default() });
    let clicks_only = |tempo: f64| {
        let mut timeline = timeline(tempo);
        timeline.events.retain(|event| event.at == Ticks::ZERO && matches!(event.kind, EventKind::Click(_)));
        timeline.count_in = Vec::new();
        timeline.count_in_length = Ticks::ZERO;
        Program::new(&timeline, RATE)
    };
    controls.load(clicks_only(82.0), Stamp::Now).unwrap();
    controls.start(Repeat::Endless, Stamp::Now).unwrap();
    controls.load(clicks_only(70.0), at(5 * 70_000)).unwrap();
    let mut frames = vec![[0.0; 2]; 800_000];
    renderer.render(&mut frames);
    let sounding: Vec<usize> = (0..frames.len()).filter(|&n| frames[n] != [0.0; 2]).collect();
    let onsets: Vec<usize> =
        sounding.iter().enumerate().filter(|&(i, &n)| i == 0 || n - sounding[i - 1] > 100).map(|(_, &n)| n).collect();
    // Passes of 2 quarters: 48,000 · 120 / 82 samples each; the fifth has begun when the change comes in.
    let old = |pass: i64| (48_000 * 120 * pass, 82);
    let new = |pass: i64| (48_000 * 120 * (5 * 70 + pass * 82), 82 * 70);
    let expected =
        (0..5).map(old).chain((0..5).map(new)).map(|(over, under)| ((2 * over + under) / (2 * under)) as usize);
    let expected: Vec<usize> = expected.take_while(|&n| n < 800_000).collect();
    assert_eq!(onsets[..expected.len()], expected);
}

/// More than the rings hold is refused and counted, never blocked on; and what comes back can be sent again.
#[test]
fn too_much_at_once_is_refused() {
    let (mut controls, mut renderer) = pair(RATE, Mix::default());
    let program = Program::new(&timeline(100.0), RATE);
    let taken = (0..1_000).take_while(|_| controls.load(program.clone(), Stamp::Now).is_ok()).count();
    assert!((1..1_000).contains(&taken));
    assert_eq!(controls.overfull(), 1);
    let mut block = [[0.0; 2]; 64];
    assert_no_alloc(|| renderer.render(&mut block));
    assert!(controls.load(program, Stamp::Now).is_ok());
}

/// Only the right or left hand's first sample is looked for: a grace note of 80 ms leads to the first pass, which
/// begins after 2 quarters of count-in, 28,800 samples at 200 a minute: 28,800 - 3,840.
#[test]
fn a_grace_note_comes_before_its_pass_and_a_muted_hand_not_at_all() {
    let heard_from = |mix: Mix| {
        let (mut controls, mut renderer) = pair(RATE, mix);
        controls.load(Program::new(&timeline(200.0), RATE), Stamp::Now).unwrap();
        controls.start(Repeat::Times(1.try_into().unwrap()), Stamp::Now).unwrap();
        let mut frames = vec![[0.0; 2]; 28_800 * 2];
        renderer.render(&mut frames);
        frames.iter().position(|frame| *frame != [0.0; 2])
    };
    let silent = Mix {
        click: Volume::SILENT,
        cue: Volume::SILENT,
        left_hand: Volume::SILENT,
        right_hand: Volume::SILENT,
        guide: Volume::SILENT,
    };
    assert_eq!(heard_from(Mix { left_hand: Volume::FULL, ..silent }), Some(28_800 - 3_840));
    assert_eq!(heard_from(Mix { right_hand: Volume::FULL, ..silent }), Some(28_800));
    assert_eq!(heard_from(silent), None);
}

/// After the last pass no grace note sounds that would lead to another: the strings only ring on, softer and softer.
#[test]
fn nothing_leads_to_a_pass_that_does_not_follow() {
    let last_part = |passes: u32| {
        let (mut controls, mut renderer) = pair(RATE, Mix { click: Volume::SILENT, ..Mix::default() });
        let mut timeline = timeline(20.0);
        timeline.events.retain(|event| matches!(event.kind, EventKind::Pluck { shift, .. } if shift.get() < 0.0));
        controls.load(Program::new(&timeline, RATE), Stamp::Now).unwrap();
        controls.start(Repeat::Times(passes.try_into().unwrap()), Stamp::Now).unwrap();
        // Count-in and pass last 288,000 samples each.
        let mut frames = vec![[0.0; 2]; 288_000 * 2];
        renderer.render(&mut frames);
        frames.split_off(288_000 * 2 - 3_840).iter().flatten().map(|sample| sample.abs()).fold(0.0, f32::max)
    };
    assert!(last_part(1) < 0.01 * last_part(2), "{} {}", last_part(1), last_part(2));
}

/// The monitor is told every sample that is made and every sound that begins, without allocating and without changing
/// anything. Arithmetic: the count-in's clicks at 200 a minute stand 7,200 samples apart from 777 on.
#[test]
fn the_monitor_is_told_all_that_is_played() {
    let (mut controls, mut renderer, mut monitor) = monitored_pair(RATE, Mix::default());
    tell_all(&mut controls);
    let mut frames = vec![[f32::NAN; 2]; LENGTH];
    let (mut samples, mut sounds) = (Vec::new(), Vec::new());
    for part in frames.chunks_mut(441) {
        assert_no_alloc(|| renderer.render(part));
        while let Some(block) = monitor.next_block() {
            assert_eq!(block.first.get(), samples.len() as u64);
            samples.extend_from_slice(block.samples);
        }
        while let Some(sound) = monitor.next_sound() {
            sounds.push((sound.at.get(), sound.what));
        }
    }
    assert!(frames == rendered_in_blocks(LENGTH), "the same samples as without a monitor");
    assert!(samples.iter().zip(&frames).all(|(&mean, &[left, right])| mean == 0.5 * (left + right)));
    assert_eq!(samples.len(), LENGTH);
    let clicks: Vec<u64> = sounds
        .iter()
        .filter(|(_, what)| matches!(what, Sounding::Click(click) if click.accent == Accent::Beat))
        .map(|&(at, _)| at)
        .collect();
    assert_eq!(clicks[..5], [777, 7_977, 15_177, 22_377, 29_577]);
    let plucked =
        |note: u8| sounds.iter().any(|&(_, what)| matches!(what, Sounding::Pluck { note: n, .. } if n.get() == note));
    assert!(plucked(50) && plucked(71) && sounds.iter().any(|(_, what)| *what == Sounding::Cue));
}

/// A monitor that nobody reads stops nothing; what is missing shows by the numbers once it is read.
#[test]
fn a_monitor_that_nobody_reads_is_no_trouble() {
    let (mut controls, mut renderer, mut monitor) = monitored_pair(RATE, Mix::default());
    controls.load(Program::new(&timeline(200.0), RATE), Stamp::Now).unwrap();
    controls.start(Repeat::Endless, Stamp::Now).unwrap();
    let mut frames = vec![[0.0; 2]; 480_000];
    assert_no_alloc(|| renderer.render(&mut frames));
    assert_eq!(controls.overfull(), 0);
    let mut read = 0;
    while let Some(block) = monitor.next_block() {
        assert!(block.first.get() >= read);
        read += block.samples.len() as u64;
    }
    assert!((180_000..=192_000).contains(&read), "four seconds fit: {read}");
    renderer.render(&mut frames[..100]);
    assert_eq!(monitor.next_block().unwrap().first.get(), 480_000);
}
