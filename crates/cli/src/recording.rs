//! A recording on disk: heard from its beginning, then looked into at places.

use std::fs::File;
use std::io::BufReader;
use std::path::{Path, PathBuf};

use clap::Args;
use leverlane_core::pitch::Hertz;
use leverlane_formats::files;
use leverlane_formats::wav::{WavFault, WavFindings, WavSound, open_wav};
use leverlane_hearing::{Excerpt, Heard, HeardNote, Listener, Onset, SampleIndex, SampleRate};
use leverlane_listening::ClicksTakenOff;

use crate::output;
use crate::refusal::Refusal;

/// Which recording.
#[derive(Debug, Args)]
pub struct Recording {
    /// The recording: a WAV file, 8,000 to 384,000 samples a second, any number of channels.
    #[arg(value_name = "WAV")]
    wav: PathBuf,
}

/// All that the first look heard.
#[derive(Debug)]
pub struct FirstHearing {
    /// The recording's rate.
    pub rate: SampleRate,
    /// The attacks, by time.
    pub attacks: Vec<Onset>,
    /// The notes, by time.
    pub notes: Vec<HeardNote>,
}

/// A share of clipped moments from which on it is told.
const MUCH_CLIPPED: f64 = 1e-4;

impl Recording {
    /// The file's name for messages.
    pub fn file(&self) -> String {
        files::shown(&self.wav)
    }

    fn refused(&self, fault: &WavFault) -> Refusal {
        Refusal::of_file(&self.file(), fault)
    }

    fn open(&self) -> Result<(WavSound<BufReader<File>>, SampleRate), Refusal> {
        let path: &Path = &self.wav;
        let sound = open_wav(path)?.map_err(|fault| self.refused(&fault))?;
        let rate = SampleRate::new(sound.rate()).ok_or_else(|| {
            let reason = format!("{} samples a second can't be listened to; save it at 44,100 or 48,000", sound.rate());
            Refusal::of_file(&self.file(), reason)
        })?;
        Ok((sound, rate))
    }

    /// Listens from beginning to end, to a harp whose A4 is tuned to `concert_pitch`. What is odd about the sound is told
    /// on the error output, a line each.
    ///
    /// # Errors
    /// A file that can't be read, or whose samples are no numbers at all.
    pub fn listen(&self, likely: &[Hertz], concert_pitch: Hertz) -> Result<FirstHearing, Refusal> {
        let (heard, findings) = self.hear(likely, concert_pitch, None)?;
        self.complain_of(&findings)?;
        Ok(heard)
    }

    /// Listens again with the clicks taken off.
    ///
    /// # Errors
    /// As [`Recording::listen`].
    pub fn listen_without(
        &self,
        clicks: &ClicksTakenOff,
        likely: &[Hertz],
        concert_pitch: Hertz,
    ) -> Result<FirstHearing, Refusal> {
        let (mut heard, _) = self.hear(likely, concert_pitch, Some(clicks))?;
        heard.notes.retain(|note| !clicks.is_own(note));
        Ok(heard)
    }

    fn hear(
        &self,
        likely: &[Hertz],
        concert_pitch: Hertz,
        clicks: Option<&ClicksTakenOff>,
    ) -> Result<(FirstHearing, WavFindings), Refusal> {
        let (mut sound, rate) = self.open()?;
        let mut listener = Listener::new(rate, likely).at_concert_pitch(concert_pitch);
        let (mut attacks, mut notes) = (Vec::new(), Vec::new());
        let mut tell = |heard: Heard| match heard {
            Heard::Onset(onset) => attacks.push(onset),
            Heard::Note(note) => notes.push(note),
        };
        let mut block = Vec::new();
        let mut taking_off = clicks.map(ClicksTakenOff::from_the_beginning);
        loop {
            sound.next_block(&mut block).map_err(|fault| self.refused(&fault))?;
            if block.is_empty() {
                break;
            }
            if let Some(clicks) = &mut taking_off {
                clicks.take_off(listener.heard().get(), &mut block);
            }
            listener.listen(&block, &mut tell);
        }
        listener.finish(&mut tell);
        notes.sort_by_key(|note| (note.at, note.note));
        Ok((FirstHearing { rate, attacks, notes }, sound.findings()))
    }

    fn complain_of(&self, findings: &WavFindings) -> Result<(), Refusal> {
        let file = self.file();
        if findings.no_numbers > 0 && findings.sounding == 0 {
            let reason = "the samples are no numbers, expected sound; save it again as WAV, 16 bits";
            return Err(Refusal::of_file(&file, reason));
        }
        if findings.no_numbers > 0 {
            let count = findings.no_numbers;
            output::complain(&format!("{file}: {count} samples are no numbers and count as silence; save it again"));
        }
        if findings.at_full_scale as f64 > MUCH_CLIPPED * findings.moments as f64 {
            let share = 100.0 * findings.at_full_scale as f64 / findings.moments as f64;
            output::complain(&format!(
                "{file}: {share:.2} % of it stand at full scale and are clipped; record it more softly to be heard better"
            ));
        }
        Ok(())
    }

    /// Goes through the recording again and hands out stretches of it, given by their first and last samples and in order
    /// of their first, with our clicks taken off where they are known. No more of it is kept than the stretches need.
    ///
    /// # Errors
    /// As [`Recording::listen`].
    pub fn look_into(
        &self,
        stretches: &[(SampleIndex, SampleIndex)],
        clicks: Option<&ClicksTakenOff>,
        mut look: impl FnMut(usize, Excerpt<'_>),
    ) -> Result<(), Refusal> {
        let (mut sound, _) = self.open()?;
        let mut taking_off = clicks.map(ClicksTakenOff::from_the_beginning);
        let (mut block, mut kept, mut starts, mut ended) = (Vec::new(), Vec::<f32>::new(), 0u64, false);
        for (index, &(from, to)) in stretches.iter().enumerate() {
            loop {
                // What lies before this stretch lies before all that follow.
                let passed = from.get().clamp(starts, starts + kept.len() as u64) - starts;
                kept.drain(..passed as usize);
                starts += passed;
                if ended || starts + kept.len() as u64 > to.get() {
                    break;
                }
                sound.next_block(&mut block).map_err(|fault| self.refused(&fault))?;
                ended = block.is_empty();
                if let Some(clicks) = &mut taking_off {
                    clicks.take_off(starts + kept.len() as u64, &mut block);
                }
                kept.extend(&block);
            }
            look(index, Excerpt { starts: SampleIndex::new(starts), samples: &kept });
        }
        Ok(())
    }
}
