//! Bytes → what the file plays: notes with their file ticks, and the events that make the grid.

use midly::num::u7;
use midly::{EventIter, MetaMessage, MidiMessage, TrackEventKind};

use leverlane_core::pitch::MidiNote;

use super::sounding::Sounding;
use crate::{Detail, ImportError, Limits, Said, Warning, said};

/// The channel of drums, counted from 0 (General MIDI 1: channel 10 counted from 1).
const DRUMS: u8 = 9;

/// Everything of the file that is of use here. All times are file ticks from the start, [`Recording::division`] to the
/// quarter.
#[derive(Debug)]
pub(super) struct Recording {
    /// File ticks in a quarter note, 1–32767.
    pub division: u16,
    /// The title: the name of the first track, where that track has no notes or is the only one.
    pub title: String,
    /// The notes, by track and channel; none of them is empty.
    pub streams: Vec<Stream>,
    /// Meters as numerator and power of two below, by time.
    pub meters: Vec<(u64, (u8, u8))>,
    /// Microseconds to the quarter, by time.
    pub tempos: Vec<(u64, u32)>,
    /// Sharps (positive) or flats, by time.
    pub keys: Vec<(u64, i8)>,
    /// What was left out or bent.
    pub warnings: Vec<Warning>,
}

/// The notes of one channel of one track.
#[derive(Debug)]
pub(super) struct Stream {
    /// The track's name.
    pub name: String,
    /// Its notes by their beginning, low before high.
    pub notes: Vec<PlayedNote>,
}

/// A note as the file has it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct PlayedNote {
    /// When it begins.
    pub on: u64,
    /// When it ends; `on` for a note of no length, which stands for a grace note.
    pub off: u64,
    /// What it sounds.
    pub key: MidiNote,
}

/// Reads a file of format 0 or 1.
pub(super) fn read(bytes: &[u8], limits: &Limits) -> Result<Recording, ImportError> {
    let (header, after) = header(bytes)?;
    let chunks = track_chunks(after)?;
    let mut recording = Recording {
        division: header.division,
        title: String::new(),
        streams: Vec::new(),
        meters: Vec::new(),
        tempos: Vec::new(),
        keys: Vec::new(),
        warnings: Vec::new(),
    };
    let declared = header.tracks;
    if chunks.len() < declared {
        let found = said!("{chunks} tracks of {declared}", chunks = chunks.len(), declared);
        return Err(malformed(said!("the end of the file"), found, said!("all the tracks that the header counts")));
    }
    if chunks.len() > declared {
        recording.warn(said!(
            "the header counts {declared} tracks, the file holds {chunks}: all were read",
            declared,
            chunks = chunks.len()
        ));
    }
    let mut notes = 0;
    for (index, chunk) in chunks.iter().enumerate() {
        let name = recording.read_track(index + 1, chunk, limits, &mut notes)?;
        if index == 0 && (recording.streams.is_empty() || chunks.len() == 1) {
            recording.title = name;
        }
    }
    recording.meters.sort_by_key(|&(at, _)| at);
    recording.tempos.sort_by_key(|&(at, _)| at);
    recording.keys.sort_by_key(|&(at, _)| at);
    keep_last_of_each_tick(&mut recording.meters);
    keep_last_of_each_tick(&mut recording.tempos);
    keep_last_of_each_tick(&mut recording.keys);
    Ok(recording)
}

/// What the header says of the file.
struct Header {
    tracks: usize,
    division: u16,
}

/// Reads the header, and gives what follows it. By hand: midly fails on some divisions that this refuses.
fn header(bytes: &[u8]) -> Result<(Header, &[u8]), ImportError> {
    let cut_off =
        |found: Said| malformed(said!("the header"), found, said!("\"MThd\" and at least 6 bytes after its length"));
    let Some((head, after)) = bytes.split_first_chunk::<8>() else { return Err(cut_off(said!("a few bytes"))) };
    let length = usize::try_from(u32::from_be_bytes([head[4], head[5], head[6], head[7]])).unwrap_or(usize::MAX);
    let (Some(fields), true) = (after.first_chunk::<6>(), head.starts_with(b"MThd") && length >= 6) else {
        return Err(cut_off(said!("something else")));
    };
    let [format, tracks, division] = [0, 2, 4].map(|at| u16::from_be_bytes([fields[at], fields[at + 1]]));
    match format {
        0 | 1 => {}
        2 => {
            return Err(unsupported(
                said!("a file of format 2 (a set of patterns)"),
                said!("format 0 or 1 (one piece)"),
            ));
        }
        other => return Err(unsupported(said!("a file of format {other}", other), said!("format 0 or 1"))),
    }
    match division {
        0 => Err(malformed(said!("the header"), said!("a division of 0 ticks to the quarter"), said!("1 to 32767"))),
        0x8000.. => Err(unsupported(said!("times in film frames (SMPTE)"), said!("ticks to the quarter note"))),
        _ => Ok((Header { tracks: usize::from(tracks), division }, after.get(length..).unwrap_or_default())),
    }
}

fn keep_last_of_each_tick<T: Copy>(events: &mut Vec<(u64, T)>) {
    events.dedup_by(|later, earlier| {
        let same = later.0 == earlier.0;
        if same {
            earlier.1 = later.1;
        }
        same
    });
}

impl Recording {
    fn warn(&mut self, reason: Said) {
        self.warnings.push(Warning { bar: None, reason });
    }

    /// Reads one track and returns its name.
    fn read_track(
        &mut self,
        number: usize,
        chunk: &[u8],
        limits: &Limits,
        notes: &mut usize,
    ) -> Result<String, ImportError> {
        let mut sounding: [Option<Sounding>; 16] = [const { None }; 16];
        let (mut name, mut now, mut ended, mut drums) = (String::new(), 0u64, false, 0usize);
        let mut events = EventIter::new(chunk);
        loop {
            let unread = events.unread().len();
            // The lenient iterator ends in silence on an event that it can't read.
            let Some(event) = events.next() else {
                if unread > 0 {
                    let (at, of) = (chunk.len() - unread, chunk.len());
                    let place = said!("track {number}, byte {at} of {of}", number, at, of);
                    return Err(malformed(place, said!("an event that can't be read"), said!("a MIDI event")));
                }
                break;
            };
            let event = event.map_err(|error| {
                malformed(said!("track {number}", number), Said::quoted(error.to_string()), said!("an event"))
            })?;
            now += u64::from(event.delta.as_int());
            match event.kind {
                TrackEventKind::Midi { channel, message } => {
                    let Some((key, begins)) = note_event(message) else { continue };
                    if channel.as_int() == DRUMS {
                        drums += usize::from(begins);
                        continue;
                    }
                    *notes += usize::from(begins);
                    if *notes > limits.notes {
                        return Err(too_much(
                            said!("track {number}", number),
                            said!("more than {most} notes", most = limits.notes),
                            said!("a piece that a harp can play"),
                        ));
                    }
                    let stream = sounding[usize::from(channel.as_int())].get_or_insert_default();
                    if begins { stream.begin(now, key) } else { stream.end(now, key) }
                }
                TrackEventKind::Meta(MetaMessage::EndOfTrack) => {
                    ended = true;
                    break;
                }
                TrackEventKind::Meta(MetaMessage::TrackName(text)) if name.is_empty() => name = decoded(text),
                TrackEventKind::Meta(MetaMessage::TimeSignature(above, below, _, _)) => {
                    self.meters.push((now, (above, below)));
                }
                TrackEventKind::Meta(MetaMessage::Tempo(micros)) => self.tempos.push((now, micros.as_int())),
                TrackEventKind::Meta(MetaMessage::KeySignature(fifths, _)) => self.keys.push((now, fifths)),
                TrackEventKind::Meta(_) | TrackEventKind::SysEx(_) | TrackEventKind::Escape(_) => {}
            }
        }
        if !ended {
            self.warn(said!("track {number} has no end mark: it may have been cut off", number));
        }
        if drums > 0 {
            self.warn(said!("track {number}: {drums} drum notes (channel 10) were left out", number, drums));
        }
        for stream in sounding.into_iter().flatten() {
            let (notes, unended) = stream.finish(now);
            if unended > 0 {
                self.warn(said!(
                    "track {number}: {unended} notes are never ended; each was read as lasting to the next note",
                    number,
                    unended
                ));
            }
            if !notes.is_empty() {
                self.streams.push(Stream { name: name.clone(), notes });
            }
        }
        Ok(name)
    }
}

/// The key of a note event, and whether the note begins; none for other messages. A beginning with velocity 0 is an
/// end (MIDI 1.0).
fn note_event(message: MidiMessage) -> Option<(MidiNote, bool)> {
    let (key, begins): (u7, bool) = match message {
        MidiMessage::NoteOn { key, vel } => (key, vel.as_int() > 0),
        MidiMessage::NoteOff { key, .. } => (key, false),
        _ => return None,
    };
    Some((MidiNote::new(key.as_int())?, begins))
}

/// The tracks' bytes. Other chunks are passed over, as the standard asks.
fn track_chunks(mut rest: &[u8]) -> Result<Vec<&[u8]>, ImportError> {
    let mut chunks = Vec::new();
    while let Some((head, after)) = rest.split_first_chunk::<8>() {
        let (name, length) = (&head[..4], u32::from_be_bytes([head[4], head[5], head[6], head[7]]));
        let length = usize::try_from(length).unwrap_or(usize::MAX);
        if length > after.len() {
            return Err(malformed(
                said!("track {number}", number = chunks.len() + 1),
                said!("{bytes} bytes", bytes = after.len()),
                said!("the {length} bytes that the track is said to have", length),
            ));
        }
        let (chunk, following) = after.split_at(length);
        if name == b"MTrk" {
            chunks.push(chunk);
        }
        rest = following;
    }
    Ok(chunks)
}

/// A name: UTF-8 where it is that, else Latin-1 (the standard says only "text").
fn decoded(text: &[u8]) -> String {
    let read = match std::str::from_utf8(text) {
        Ok(text) => text.to_owned(),
        Err(_) => text.iter().map(|&byte| char::from(byte)).collect(),
    };
    read.trim_matches(|c: char| c.is_whitespace() || c.is_control()).to_owned()
}

fn malformed(place: Said, found: Said, expected: Said) -> ImportError {
    ImportError::Malformed(Detail {
        place,
        found,
        expected,
        remedy: said!("the file is damaged or cut off: export or download it again"),
    })
}

fn unsupported(found: Said, expected: Said) -> ImportError {
    ImportError::Unsupported(Detail {
        place: said!("the header"),
        found,
        expected,
        remedy: said!("export the piece as a MIDI file of format 1 with bars and beats"),
    })
}

pub(super) fn too_much(place: Said, found: Said, expected: Said) -> ImportError {
    ImportError::LimitReached(Detail { place, found, expected, remedy: said!("cut the piece into shorter files") })
}
