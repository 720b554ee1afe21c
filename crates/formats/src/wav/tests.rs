use std::io::Cursor;

use super::*;

fn written(spec: hound::WavSpec, samples: &[f32]) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    let mut writer = hound::WavWriter::new(&mut bytes, spec).unwrap();
    for &sample in samples {
        match spec.sample_format {
            hound::SampleFormat::Float => writer.write_sample(sample).unwrap(),
            hound::SampleFormat::Int => {
                let full = f64::from(spec.bits_per_sample - 1).exp2() - 1.0;
                writer.write_sample((f64::from(sample) * full).round() as i32).unwrap();
            }
        }
    }
    writer.finalize().unwrap();
    bytes.into_inner()
}

fn spec(channels: u16, bits: u16, sample_format: hound::SampleFormat) -> hound::WavSpec {
    hound::WavSpec { channels, sample_rate: 44_100, bits_per_sample: bits, sample_format }
}

fn read(bytes: &[u8]) -> Result<(Vec<f32>, WavFindings), WavFault> {
    let mut sound = WavSound::new(bytes)?;
    let (mut all, mut block) = (Vec::new(), Vec::new());
    loop {
        sound.next_block(&mut block)?;
        if block.is_empty() {
            return Ok((all, sound.findings()));
        }
        all.extend(&block);
    }
}

/// Arithmetic: what was written comes back to within a step of its bits, in one channel.
#[test]
fn samples_of_every_width_come_back() {
    let samples: Vec<f32> = (0..10_000).map(|n| ((n as f32) * 0.01).sin() * 0.5).collect();
    for (bits, format) in [
        (8, hound::SampleFormat::Int),
        (16, hound::SampleFormat::Int),
        (24, hound::SampleFormat::Int),
        (32, hound::SampleFormat::Int),
        (32, hound::SampleFormat::Float),
    ] {
        let (read, findings) = read(&written(spec(1, bits, format), &samples)).unwrap();
        assert_eq!(read.len(), samples.len());
        let step = if bits == 8 { 0.01 } else { 1e-4 };
        for (read, written) in read.iter().zip(&samples) {
            assert!((read - written).abs() < step, "{bits} bits: {read} for {written}");
        }
        assert_eq!((findings.at_full_scale, findings.no_numbers), (0, 0));
    }
}

/// Arithmetic: one of eight channels at 0.8 sounds with 0.8 / √8; a clipped and a lost sample are counted.
#[test]
fn channels_are_added_up_and_oddities_counted() {
    let mut samples = vec![0.0; 8 * 100];
    samples[3] = 0.8;
    samples[8 + 3] = 1.0;
    samples[16 + 3] = f32::NAN;
    let (read, findings) = read(&written(spec(8, 32, hound::SampleFormat::Float), &samples)).unwrap();
    assert!((read[0] - 0.8 / 8.0f32.sqrt()).abs() < 1e-6 && read[2] == 0.0);
    assert_eq!(findings, WavFindings { moments: 100, at_full_scale: 1, no_numbers: 1, sounding: 2 });
}

#[test]
fn damaged_files_are_refused_with_their_place() {
    let whole = written(spec(1, 16, hound::SampleFormat::Int), &vec![0.1; 44_100 * 3]);
    for length in [0, 3, 11, 20, 35, 43] {
        assert!(matches!(read(&whole[..length]), Err(WavFault::Head { .. })), "the first {length} bytes");
    }
    assert_eq!(read(&whole[..whole.len() / 2]).unwrap_err(), WavFault::CutOff { after_s: 1, of_s: 3 });
    assert!(matches!(read(b"MThd\0\0\0\x06\0\0\0\x01\x03\xe8MTrk"), Err(WavFault::Head { .. })));
    let slow = hound::WavSpec { sample_rate: 4_000, ..spec(1, 16, hound::SampleFormat::Int) };
    assert!(matches!(read(&written(slow, &[0.1; 100])), Err(WavFault::Form { .. })));
}

/// A recording of 3 GB that never ends to be made: a head, and then samples for whoever asks.
struct Endless {
    head: Cursor<Vec<u8>>,
    given: std::rc::Rc<std::cell::Cell<u64>>,
}

impl Read for Endless {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        let read = match self.head.read(into)? {
            0 => {
                into.fill(1);
                into.len()
            }
            read => read,
        };
        self.given.set(self.given.get() + read as u64);
        Ok(read)
    }
}

/// The head says 3,000,000,000 bytes of 16 bits (the RIFF form's own field has room for 4 GB): it is read as it is asked
/// for, no further ahead than the reader's buffer of 8 KB.
#[test]
fn three_gigabytes_are_read_block_by_block() {
    let mut head = written(spec(1, 16, hound::SampleFormat::Int), &[]);
    let length = 3_000_000_000u32;
    head[4..8].copy_from_slice(&(length + 36).to_le_bytes());
    head[40..44].copy_from_slice(&length.to_le_bytes());
    let given = std::rc::Rc::new(std::cell::Cell::new(0));
    let endless = Endless { head: Cursor::new(head.clone()), given: given.clone() };
    let mut sound = WavSound::new(std::io::BufReader::new(endless)).unwrap();
    assert_eq!(sound.announced(), 1_500_000_000);
    let mut block = Vec::new();
    for count in 1..=100 {
        sound.next_block(&mut block).unwrap();
        assert_eq!((block.len(), block.capacity()), (BLOCK, BLOCK));
        assert!(given.get() <= 44 + 2 * (BLOCK * count) as u64 + 8_192, "{}", given.get());
    }
    let cut = [&head[..], &[0; 1_000]].concat();
    assert_eq!(read(&cut).unwrap_err(), WavFault::CutOff { after_s: 0, of_s: 34_013 });
}
