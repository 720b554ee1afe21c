//! Single plucks, rendered by fluidsynth.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::process::{Command, Stdio};

use super::RATE;

/// An instrument of a sound font.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Instrument {
    /// Where Debian puts the sound font.
    pub sound_font: &'static str,
    /// Its program by General MIDI, counted from 0.
    pub program: u8,
}

impl Instrument {
    /// The harp by which hearing is measured: TimGM6mb's, from Debian's package timgm6mb-soundfont.
    pub const HARP: Instrument = Instrument { sound_font: "/usr/share/sounds/sf2/TimGM6mb.sf2", program: 46 };
}

/// Silence between two plucks on fluidsynth's own track.
const GAP_MS: u32 = 200;

/// One way to pluck one string.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PluckKind {
    /// The string's open pitch as a MIDI number.
    pub open: u8,
    /// How far its lever raises it, 0 to 199 cents: the open string's own sample, bent.
    pub cents: u8,
    /// MIDI's velocity, 1 to 127.
    pub velocity: u8,
}

/// Plucks by their kinds, each from its first audible sample on.
#[derive(Debug, Default)]
pub struct Bank(BTreeMap<PluckKind, Vec<f32>>);

impl Bank {
    /// Renders every kind once.
    ///
    /// # Errors
    /// The reason why it can't be done here, in a line: fluidsynth or the sound font is missing, or fails.
    pub fn render(kinds: &BTreeSet<PluckKind>) -> Result<Bank, String> {
        Bank::of(Instrument::HARP, kinds)
    }

    /// Renders every kind once on an instrument.
    ///
    /// # Errors
    /// As [`Bank::render`].
    pub fn of(instrument: Instrument, kinds: &BTreeSet<PluckKind>) -> Result<Bank, String> {
        let font = Path::new(instrument.sound_font);
        if !font.exists() {
            return Err(format!("{} is missing; Debian has it among its sound fonts", font.display()));
        }
        let folder = tempfile::tempdir().map_err(|error| error.to_string())?;
        let (midi, wav) = (folder.path().join("plucks.mid"), folder.path().join("plucks.wav"));
        let (bytes, slots) = midi_file(instrument.program, kinds);
        std::fs::write(&midi, bytes).map_err(|error| error.to_string())?;
        let status = Command::new("fluidsynth")
            .args(["-ni", "-q", "-R", "0", "-C", "0", "-g", "0.7", "-r", &RATE.to_string()])
            .args(["-O", "float", "-T", "wav", "-F"])
            .args([&wav, font, &midi])
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .status()
            .map_err(|error| format!("fluidsynth can't be started ({error}); Debian has it in fluidsynth"))?;
        if !status.success() {
            return Err(format!("fluidsynth failed ({status})"));
        }
        let mut reader = hound::WavReader::open(&wav).map_err(|error| error.to_string())?;
        let both: Vec<f32> = reader.samples::<f32>().map_while(Result::ok).collect();
        let sound: Vec<f32> = both.chunks_exact(2).map(|frame| (frame[0] + frame[1]) / 2.0).collect();
        let mut plucks = BTreeMap::new();
        for (kind, (from_ms, to_ms)) in kinds.iter().zip(slots) {
            let sample = |ms: u32| (u64::from(ms) * u64::from(RATE) / 1000) as usize;
            let slot = sound.get(sample(from_ms)..sample(to_ms)).ok_or("fluidsynth rendered too little")?;
            plucks.insert(*kind, audible(slot).ok_or(format!("{kind:?} is silent"))?);
        }
        Ok(Bank(plucks))
    }

    /// A pluck from its first audible sample on; nothing where it was not rendered.
    pub fn pluck(&self, kind: PluckKind) -> &[f32] {
        self.0.get(&kind).map_or(&[], Vec::as_slice)
    }
}

/// From the first sample that exceeds a tenth of the peak: the truth about when a pluck begins. The end fades out.
fn audible(slot: &[f32]) -> Option<Vec<f32>> {
    let peak = slot.iter().fold(0.0f32, |peak, sample| peak.max(sample.abs()));
    let starts = slot.iter().position(|sample| sample.abs() > peak / 10.0)?;
    let mut pluck = slot[starts..].to_vec();
    let (length, fade) = (pluck.len(), RATE as usize / 10);
    for (n, sample) in pluck.iter_mut().rev().take(fade.min(length)).enumerate() {
        *sample *= n as f32 / fade as f32;
    }
    Some(pluck)
}

/// How long a pluck rings on the track (common practice for harps: C2–C3 6–12 s, C4 3–5 s, C5 2 s, C6 1 s).
fn rings_ms(open: u8) -> u32 {
    match open {
        ..48 => 6_000,
        48..60 => 5_000,
        60..72 => 4_000,
        72..84 => 2_500,
        _ => 1_500,
    }
}

/// A MIDI file of one tick a millisecond, and where each pluck's slot begins and ends.
fn midi_file(program: u8, kinds: &BTreeSet<PluckKind>) -> (Vec<u8>, Vec<(u32, u32)>) {
    // A second to the quarter of 1,000 ticks.
    let mut track = vec![0, 0xff, 0x51, 3, 0x0f, 0x42, 0x40, 0, 0xc0, program];
    let mut slots = Vec::new();
    let (mut now, mut written) = (100u32, 0u32);
    for kind in kinds {
        // The wheel's range is two semitones either way (General MIDI).
        let wheel = 8192 + (f64::from(kind.cents) / 200.0 * 8192.0).round() as u32;
        let ends = now + rings_ms(kind.open);
        event(&mut track, &mut written, now - 20, &[0xe0, (wheel & 0x7f) as u8, (wheel >> 7).min(127) as u8]);
        event(&mut track, &mut written, now, &[0x90, kind.open, kind.velocity]);
        event(&mut track, &mut written, ends, &[0xb0, 120, 0]);
        event(&mut track, &mut written, ends, &[0x80, kind.open, 0]);
        slots.push((now.saturating_sub(5), ends));
        now = ends + GAP_MS;
    }
    event(&mut track, &mut written, now + 500, &[0xff, 0x2f, 0]);
    let mut file = b"MThd\0\0\0\x06\0\0\0\x01\x03\xe8MTrk".to_vec();
    file.extend((track.len() as u32).to_be_bytes());
    file.extend(track);
    (file, slots)
}

fn event(track: &mut Vec<u8>, written: &mut u32, at: u32, message: &[u8]) {
    let delta = at - *written;
    *written = at;
    // MIDI's variable-length number: seven bits a byte, the high ones first.
    let groups = [delta >> 21, delta >> 14, delta >> 7, delta].map(|group| (group & 0x7f) as u8);
    let first = groups.iter().position(|&group| group != 0).unwrap_or(3);
    for (place, group) in groups.iter().enumerate().skip(first) {
        track.push(if place < 3 { group | 0x80 } else { *group });
    }
    track.extend(message);
}
