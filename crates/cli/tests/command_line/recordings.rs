//! Recordings: what is answered about them and what is refused.

use std::f64::consts::TAU;
use std::path::{Path, PathBuf};

use leverlane_core::harp::{Lever, StringSound};
use leverlane_formats::documents::HarpDocument;

use crate::{demo, leverlane};

/// Writes a WAV file of samples that stand side by side by channels.
fn wav(folder: &Path, name: &str, rate: u32, channels: u16, samples: &[f32]) -> PathBuf {
    let path = folder.join(name);
    let (bits_per_sample, sample_format) = (32, hound::SampleFormat::Float);
    let spec = hound::WavSpec { channels, sample_rate: rate, bits_per_sample, sample_format };
    let mut writer = hound::WavWriter::create(&path, spec).unwrap();
    for &sample in samples {
        writer.write_sample(sample).unwrap();
    }
    writer.finalize().unwrap();
    path
}

/// Plucks at the given seconds and hertz: sums of eight partials that fade.
fn plucks(rate: u32, plucks: &[(f64, f64)]) -> Vec<f32> {
    let length = plucks.last().map_or(0.0, |pluck| pluck.0) + 1.5;
    let mut sound = vec![0.0f32; (length * f64::from(rate)) as usize];
    for &(at, hertz) in plucks {
        for (n, sample) in sound[(at * f64::from(rate)) as usize..].iter_mut().enumerate() {
            let time = n as f64 / f64::from(rate);
            let carried = (1..=8).map(f64::from).filter(|k| hertz * k < f64::from(rate) * 0.45);
            let partial = |k: f64| (TAU * hertz * k * time).sin() * (-time * (2.0 + k)).exp() / k;
            *sample += 0.1 * carried.map(partial).sum::<f64>() as f32;
        }
    }
    sound
}

/// Truth: E4 and G4 of equal temperament (329.63 and 392.00 Hz) at 0.5 and 1.25 s. Rates and channels of real files.
#[test]
fn a_recording_is_heard_whatever_its_form() {
    let folder = tempfile::tempdir().unwrap();
    for (rate, channels) in [(8_000, 1), (44_100, 2), (48_000, 8), (192_000, 1)] {
        let sound = plucks(rate, &[(0.5, 329.63), (1.25, 392.0)]);
        let silent = usize::from(channels) - 1;
        let samples: Vec<f32> =
            sound.iter().flat_map(|&sample| std::iter::repeat_n(0.0, silent).chain([sample])).collect();
        let path = wav(folder.path(), "a.wav", rate, channels, &samples);
        let answer = leverlane(["hear", "--json", path.to_str().unwrap()]).json();
        let onsets = answer["onsets"].as_array().unwrap();
        assert_eq!(onsets.len(), 2, "{rate} a second, {channels} channels: {answer}");
        for (onset, (at, midi)) in onsets.iter().zip([(0.5, 64), (1.25, 67)]) {
            assert!((onset["time_s"].as_f64().unwrap() - at).abs() < 0.005, "{answer}");
            assert_eq!(onset["notes"][0]["midi"], midi, "{answer}");
        }
    }
}

/// The program's own drill, heard by itself: everything stands on its sample. Truth: the count-in of one bar at 60 in
/// 3/4 lasts 3 s, a pass 9 s, as `sound` says.
#[test]
fn a_drill_without_a_fault_is_judged_so() {
    let folder = tempfile::tempdir().unwrap();
    let (path, piece) = (folder.path().join("drill.wav"), demo("greensleeves.musicxml"));
    let (path, piece) = (path.to_str().unwrap(), piece.to_str().unwrap());
    let drill = ["--bars", "7-8", "--tempo", "60"];
    let sound = ["sound", piece, "-o", path, "--passes", "2", "--mute", "click", "--mute", "cue"];
    leverlane([&sound[..], &drill[..]].concat()).text();
    let answer = leverlane([&["judge", path, "--piece", piece, "--json"][..], &drill[..]].concat()).json();
    let passes = answer["passes"].as_array().unwrap();
    assert_eq!(passes.len(), 2, "{answer}");
    for (pass, starts) in passes.iter().zip([3.0, 12.0]) {
        assert!((pass["start_s"].as_f64().unwrap() - starts).abs() < 0.005, "{pass}");
        assert!(pass["notes"].as_array().unwrap().iter().all(|note| note["heard"] == true), "{pass}");
        assert!(pass["flips"].as_array().unwrap().iter().all(|flip| flip["outcome"] == "clean"), "{pass}");
        assert_eq!((&pass["steady"], pass["extra"].as_array().unwrap().len()), (&true.into(), 0), "{pass}");
    }
}

/// The left channel of a WAV file that `sound` wrote.
fn left(path: &Path) -> Vec<f32> {
    let mut reader = hound::WavReader::open(path).unwrap();
    let samples: Vec<i16> = reader.samples::<i16>().map(Result::unwrap).collect();
    samples.chunks_exact(2).map(|frame| f32::from(frame[0]) / 32_768.0).collect()
}

/// The drill's click, the usual or the high one, bleeds into the recording, some 12 dB below the strings and by two walls too,
/// in a room that is never quite silent, and the player is 15 ms late throughout. Truth: 3 s of count-in and three times 9 s at
/// 60, a click every 1.5 s (6/8 in two), and the 15 ms that are written here; the recording begins half a second before the
/// drill.
#[test]
fn the_drills_own_click_is_no_pluck() {
    for (sound, told) in [("usual", "--click"), ("high", "--click=high")] {
        own_click_is_no_pluck(sound, told);
    }
}

fn own_click_is_no_pluck(sound: &str, told: &str) {
    let folder = tempfile::tempdir().unwrap();
    let piece = demo("greensleeves.musicxml");
    let piece = piece.to_str().unwrap();
    let drill = ["--bars", "7-8", "--tempo", "60"];
    let rendered = |name: &str, mute: [&str; 2]| {
        let path = folder.path().join(name);
        let sound = ["sound", piece, "-o", path.to_str().unwrap(), "--passes", "3", "--click", sound];
        let mute: Vec<&str> = mute.iter().flat_map(|what| ["--mute", what]).chain(["--mute", "cue"]).collect();
        leverlane([&sound[..], &drill[..], &mute[..]].concat()).text();
        left(&path)
    };
    let (click, harp) = (rendered("click.wav", ["left", "right"]), rendered("harp.wav", ["click", "guide"]));
    let rate = 48_000;
    let at =
        |samples: &[f32], place: i64| usize::try_from(place).ok().and_then(|n| samples.get(n)).copied().unwrap_or(0.0);
    let mixed = |n: i64| {
        let bleeding = at(&click, n - 3) + 0.4 * at(&click, n - 220) - 0.2 * at(&click, n - 700);
        at(&harp, n - 720) + 0.12 * bleeding + 1e-3 * ((n * 7_919).rem_euclid(1_009) as f32 / 504.5 - 1.0)
    };
    let samples: Vec<f32> = (-24_000..harp.len() as i64).map(mixed).collect();
    let path = wav(folder.path(), "bleeding.wav", rate, 1, &samples);
    let judged = ["judge", path.to_str().unwrap(), "--piece", piece, "--json"];
    let answer = leverlane([&judged[..], &drill[..], &[told]].concat()).json();
    let passes = answer["passes"].as_array().unwrap();
    assert_eq!((passes.len(), &answer["clicks"]), (3, &20.into()), "{answer}");
    for (pass, starts) in passes.iter().zip([3.5, 12.5, 21.5]) {
        assert!((pass["start_s"].as_f64().unwrap() - starts).abs() < 0.001, "{pass}");
        assert!((pass["bias_ms"].as_f64().unwrap() - 15.0).abs() < 2.0, "{pass}");
        assert!(pass["hesitation_ms"].as_f64().unwrap().abs() < 2.0, "{pass}");
        assert!(pass["notes"].as_array().unwrap().iter().all(|note| note["heard"] == true), "{pass}");
        assert_eq!(pass["extra"].as_array().unwrap().len(), 0, "{pass}");
        assert!(pass["flips"].as_array().unwrap().iter().all(|flip| flip["outcome"] == "clean"), "{pass}");
    }
    let without = wav(folder.path(), "without.wav", rate, 1, &harp);
    let judged = ["judge", without.to_str().unwrap(), "--piece", piece, "--json", told];
    let ended = leverlane([&judged[..], &drill[..]].concat());
    assert!(ended.status == Some(0) && ended.stderr.contains("click was not heard in 3 of 3"), "{}", ended.stderr);
    assert!(ended.stdout.contains("\"clicks\":null"), "{}", ended.stdout);
}

/// At 16,000 samples a second sound ends at 8,000 Hz, below the high click.
#[test]
fn a_recording_that_cannot_hold_the_high_click_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let path = wav(folder.path(), "slow.wav", 16_000, 1, &plucks(16_000, &[(0.5, 329.63)]));
    let (path, piece) = (path.to_str().unwrap(), demo("greensleeves.musicxml"));
    let judged = ["judge", path, "--piece", piece.to_str().unwrap(), "--bars", "7-8", "--click=high"];
    let line = leverlane(judged).refusal();
    assert!(line.starts_with(path) && line.contains("16000 samples a second") && line.contains("--click"), "{line}");
}

/// Played at 415 Hz: the samples of a drill at 440 Hz and 60 a minute, said to be fewer a second by 415 / 440, sound that
/// much lower and slower (arithmetic).
#[test]
fn a_harp_at_another_concert_pitch_is_judged() {
    let folder = tempfile::tempdir().unwrap();
    let (path, piece) = (folder.path().join("drill.wav"), demo("greensleeves.musicxml"));
    let (path, piece) = (path.to_str().unwrap(), piece.to_str().unwrap());
    let sound = ["sound", piece, "-o", path, "--passes", "2", "--mute", "click", "--mute", "cue"];
    leverlane([&sound[..], &["--bars", "7-8", "--tempo", "60"]].concat()).text();
    let low = wav(folder.path(), "low.wav", 45_273, 1, &left(Path::new(path)));
    let drill = ["--bars", "7-8", "--tempo", "56.591", "--a4", "415"];
    let answer = leverlane([&["judge", low.to_str().unwrap(), "--piece", piece, "--json"][..], &drill].concat()).json();
    let passes = answer["passes"].as_array().unwrap();
    assert_eq!(passes.len(), 2, "{answer}");
    for pass in passes {
        assert!(pass["notes"].as_array().unwrap().iter().all(|note| note["heard"] == true), "{pass}");
        assert_eq!((&pass["steady"], pass["extra"].as_array().unwrap().len()), (&true.into(), 0), "{pass}");
        for flip in pass["flips"].as_array().unwrap() {
            assert_eq!(flip["outcome"], "clean", "{pass}");
            let state = if flip["to"] == "up" { 100.0 } else { 0.0 };
            assert!((flip["cents"].as_f64().unwrap() - state).abs() < 20.0, "{pass}");
        }
    }
}

/// Truth by arithmetic: the cents that the plucks are off are written here, from equal temperament at A4 = 442 Hz: C3 at
/// 131.41, E4 at 331.13, A5 at 884, and between F4 and G4 one that is neither.
#[test]
fn strings_are_tuned_by_ear() {
    let folder = tempfile::tempdir().unwrap();
    let off = |hertz: f64, cents: f64| hertz * (cents / 1200.0f64).exp2();
    let walk = [(0.5, off(131.41, -14.0)), (2.0, off(331.13, 9.0)), (3.5, off(884.0, 0.5)), (5.0, off(350.82, 98.0))];
    let path = wav(folder.path(), "walk.wav", 44_100, 1, &plucks(44_100, &walk));
    let tuned = ["tune", path.to_str().unwrap(), "--harp", "34", "--tuning", "C", "--a4", "442"];
    let answer = leverlane([&tuned[..], &["--json"]].concat()).json();
    let strings = answer["strings"].as_array().unwrap();
    assert_eq!((strings.len(), &answer["a4"]), (3, &442.0.into()), "{answer}");
    for (string, (open, cents, advice)) in
        strings.iter().zip([("A5", 0.5, "leave"), ("E4", 9.0, "slacken"), ("C3", -14.0, "tighten")])
    {
        assert_eq!((&string["open"], &string["advice"]), (&open.into(), &advice.into()), "{answer}");
        assert!((string["cents"].as_f64().unwrap() - cents).abs() < 1.0, "{answer}");
    }
    let unknown = answer["unknown"].as_array().unwrap();
    assert_eq!(unknown.len(), 1, "{answer}");
    assert_eq!(unknown[0]["between"].as_array().unwrap().len(), 2, "{answer}");
    let text = leverlane(tuned).text();
    assert!(
        text.contains("can snap") && text.contains("teacher") && text.contains("between F4 and G4: compare"),
        "{text}"
    );
    let silence = wav(folder.path(), "silence.wav", 44_100, 1, &[0.0; 44_100]);
    assert!(leverlane(["tune", silence.to_str().unwrap()]).refusal().contains("no string of the harp"));
}

/// Truth: the hertz that are written here, 98 and 112 cents apart by arithmetic.
#[test]
fn levers_are_measured() {
    let folder = tempfile::tempdir().unwrap();
    let raised = |hertz: f64, cents: f64| hertz * (cents / 1200.0f64).exp2();
    let walk = [(0.5, 392.0), (2.0, raised(392.0, 98.0)), (3.5, 440.0), (5.0, raised(440.0, 112.0))];
    let path = wav(folder.path(), "walk.wav", 44_100, 1, &plucks(44_100, &walk));
    let answer = leverlane(["levers", "--json", "--harp", "22", "--tuning", "C", path.to_str().unwrap()]).json();
    let strings = answer["strings"].as_array().unwrap();
    assert_eq!(strings.len(), 2, "{answer}");
    for (string, (cents, band)) in strings.iter().zip([(112.0, "regulate"), (98.0, "good")]) {
        assert!((string["cents"].as_f64().unwrap() - cents).abs() < 1.0, "{answer}");
        assert_eq!(string["band"], band, "{answer}");
    }
}

/// What a lever check finds is written with the harp and read with it. Truth: D5 98 cents up, the partials of `plucks`.
#[test]
fn a_lever_check_is_kept_with_the_harp() {
    let folder = tempfile::tempdir().unwrap();
    let walk = [(0.5, 587.33), (2.0, 587.33 * (98.0 / 1200.0f64).exp2())];
    let path = wav(folder.path(), "walk.wav", 44_100, 1, &plucks(44_100, &walk));
    let (path, kept) = (path.to_str().unwrap(), folder.path().join("kept.ron"));
    let levers = |harp: &str, output: &str| {
        let tuning = if harp == "22" { vec!["--tuning", "C"] } else { Vec::new() };
        leverlane([vec!["levers", "--json", "--harp", harp, path, "-o", output], tuning].concat())
    };
    levers("22", kept.to_str().unwrap()).json();
    let harp = HarpDocument::read(&std::fs::read(&kept).unwrap()).unwrap().harp();
    let checked: Vec<_> = harp.strings().iter().filter(|string| string.sound != StringSound::UNHEARD).collect();
    assert_eq!(checked.len(), 1);
    assert_eq!(checked[0].open.ascii(), "D5");
    let Lever::Fitted { measured: Some(raise) } = checked[0].lever else { panic!("{checked:?}") };
    assert!((raise.get() - 98.0).abs() < 1.0, "{raise:?}");
    assert!(checked[0].sound.open.is_some() && checked[0].sound.raised.is_some());
    // Again on that harp, into another file: the same.
    let again = folder.path().join("again.ron");
    levers(kept.to_str().unwrap(), again.to_str().unwrap()).json();
    assert_eq!(HarpDocument::read(&std::fs::read(&again).unwrap()).unwrap().harp(), harp);
    let line = levers("22", path).refusal();
    assert!(line.contains("ends in .ron"), "{line}");
}

#[test]
fn silence_holds_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let path = wav(folder.path(), "silence.wav", 44_100, 1, &[0.0; 44_100]);
    let path = path.to_str().unwrap();
    assert_eq!(leverlane(["hear", "--json", path]).json()["onsets"], serde_json::json!([]));
    let piece = demo("greensleeves.musicxml");
    let line = leverlane(["judge", path, "--piece", piece.to_str().unwrap(), "--bars", "7-8"]).refusal();
    assert!(line.starts_with(path) && line.contains("none of the passes") && line.contains("check"), "{line}");
    assert!(leverlane(["levers", path]).refusal().contains("no string of the harp"));
}

#[test]
fn what_is_no_recording_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let whole = std::fs::read(wav(folder.path(), "whole.wav", 44_100, 1, &vec![0.1; 88_200])).unwrap();
    let no_numbers = std::fs::read(wav(folder.path(), "nan.wav", 44_100, 1, &vec![f32::NAN; 44_100])).unwrap();
    let slow = std::fs::read(wav(folder.path(), "slow.wav", 4_000, 1, &[0.1; 8_000])).unwrap();
    let cases: [(&[u8], &str); 6] = [
        (b"", "head of the file"),
        (&whole[..30], "head of the file"),
        (b"ID3\x04 an MP3 file", "WAV"),
        (&whole[..200_000], "1 s into the sound"),
        (&slow, "4000 samples a second"),
        (&no_numbers, "no numbers"),
    ];
    for (bytes, words) in cases {
        let path = folder.path().join("bad.wav");
        std::fs::write(&path, bytes).unwrap();
        let path = path.to_str().unwrap();
        let line = leverlane(["hear", path]).refusal();
        assert!(line.starts_with(path) && line.contains(words) && line.contains("; "), "{line}");
    }
    // A head that claims 3 GB of 16 bits before a second of them: what was there is told, and what was promised.
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: 44_100,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let path = folder.path().join("claims.wav");
    let mut writer = hound::WavWriter::create(&path, spec).unwrap();
    (0..44_100).for_each(|_| writer.write_sample(0i16).unwrap());
    writer.finalize().unwrap();
    let mut bytes = std::fs::read(&path).unwrap();
    bytes[4..8].copy_from_slice(&3_000_000_036u32.to_le_bytes());
    bytes[40..44].copy_from_slice(&3_000_000_000u32.to_le_bytes());
    std::fs::write(&path, &bytes).unwrap();
    let (path, piece) = (path.to_str().unwrap(), demo("greensleeves.musicxml"));
    for arguments in [vec!["hear", path], vec!["tune", path], vec!["judge", path, "--piece", piece.to_str().unwrap()]] {
        let line = leverlane(arguments).refusal();
        assert!(line.contains("1 s into the sound") && line.contains("expected 34013 s"), "{line}");
    }
    assert!(leverlane(["hear", folder.path().join("none.wav").to_str().unwrap()]).refusal().contains("no such file"));
    assert!(leverlane(["hear", folder.path().to_str().unwrap()]).refusal().contains("a folder"));
}

/// Too loud and with lost samples: heard all the same, and told.
#[test]
fn clipped_sound_is_heard_and_told() {
    let folder = tempfile::tempdir().unwrap();
    let loud = plucks(44_100, &[(0.5, 329.63)]);
    let mut loud: Vec<f32> = loud.iter().map(|sample| (sample * 12.0).clamp(-1.0, 1.0)).collect();
    loud[100] = f32::INFINITY;
    let path = wav(folder.path(), "loud.wav", 44_100, 1, &loud);
    let ended = leverlane(["hear", "--json", path.to_str().unwrap()]);
    assert_eq!(ended.status, Some(0));
    assert!(ended.stderr.contains("clipped") && ended.stderr.contains("1 samples are no numbers"), "{}", ended.stderr);
    assert!(ended.stdout.contains("\"midi\":64"), "{}", ended.stdout);
}
