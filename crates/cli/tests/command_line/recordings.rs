//! Recordings: what is answered about them and what is refused.

use std::f64::consts::TAU;
use std::path::{Path, PathBuf};

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
