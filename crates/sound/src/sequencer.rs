//! What comes next, and on which sample.

use crate::SampleIndex;
use crate::command::{Numbered, ProgramNumber, Repeat, Report};
use crate::program::{Belongs, Sound, Stretch};
use crate::sample_clock::SamplePoint;

/// Walks through the loaded program, pass after pass. Holds no more than two programs: the one that plays, and the
/// one that takes over at the next pass.
#[derive(Debug, Default)]
pub(crate) struct Sequencer {
    current: Option<Numbered>,
    next: Option<Numbered>,
    playhead: Option<Playhead>,
    /// How often it has been started.
    starts: u64,
}

#[derive(Clone, Copy, Debug)]
struct Playhead {
    /// Where pass 0 of the current program begins, exactly.
    origin: SamplePoint,
    part: Part,
    /// The next sound of that part.
    cursor: usize,
    /// Passes begun since the start, under earlier programs.
    passes_before: u64,
    repeat: Repeat,
}

#[derive(Clone, Copy, Debug)]
enum Part {
    CountIn,
    Pass(u64),
}

/// What happened on a sample.
pub(crate) enum Step {
    /// A sound begins.
    Sound(Sound),
    /// A sound that belongs to a pass which does not follow.
    LeftOut,
    /// A part is over, with what is to be told and the program that is no longer needed.
    Turn { report: Option<Report>, spent: Option<Numbered>, begins: Option<Begins> },
}

/// A pass that begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Begins {
    /// Its number, from 0 at the start of playing.
    pub(crate) pass: u64,
    /// The program it plays.
    pub(crate) program: ProgramNumber,
}

impl Sequencer {
    /// Takes a program; gives back the one it replaces.
    pub(crate) fn load(&mut self, program: Numbered) -> Option<Numbered> {
        match self.playhead {
            Some(_) => self.next.replace(program),
            None => self.current.replace(program),
        }
    }

    /// Begins with the count-in on this sample; nothing happens without a program.
    pub(crate) fn start(&mut self, now: SampleIndex, repeat: Repeat) -> Option<Report> {
        let current = self.current.as_ref()?;
        let origin = SamplePoint::of(now).plus(current.program.count_in.length);
        self.playhead = Some(Playhead { origin, part: Part::CountIn, cursor: 0, passes_before: 0, repeat });
        let report = Report::Running { start: self.starts, program: current.number, from: now, origin, first_pass: 0 };
        self.starts += 1;
        Some(report)
    }

    /// Stops. A program that was to take over becomes the loaded one; the one it replaces is given back.
    pub(crate) fn stop(&mut self) -> Option<Numbered> {
        self.playhead = None;
        let next = self.next.take()?;
        self.current.replace(next)
    }

    pub(crate) fn is_playing(&self) -> bool {
        self.playhead.is_some()
    }

    /// The sample on which the next step is due; none while nothing plays.
    pub(crate) fn due(&self) -> Option<SampleIndex> {
        let (playhead, stretch) = (self.playhead?, self.stretch()?);
        let starts = self.starts(&playhead)?;
        let at = stretch.sounds.get(playhead.cursor).map_or(stretch.length, |placed| placed.at);
        // The end of a pass is the beginning of the next: the same sum, so that both are the same sample.
        Some(starts.plus(at).nearest())
    }

    /// Takes the step that is due.
    pub(crate) fn step(&mut self, now: SampleIndex) -> Option<Step> {
        let placed = {
            let (playhead, stretch) = (self.playhead?, self.stretch()?);
            stretch.sounds.get(playhead.cursor).copied()
        };
        let Some(placed) = placed else { return self.turn(now) };
        let left_out = placed.belongs == Belongs::NextPass && (self.next.is_some() || self.is_last_pass());
        let playhead = self.playhead.as_mut()?;
        playhead.cursor += 1;
        Some(if left_out { Step::LeftOut } else { Step::Sound(placed.sound) })
    }

    fn turn(&mut self, now: SampleIndex) -> Option<Step> {
        if self.is_last_pass() {
            let spent = self.stop();
            return Some(Step::Turn { report: Some(Report::Stopped { from: now }), spent, begins: None });
        }
        let old = self.playhead?;
        if let Part::Pass(pass) = old.part
            && let Some(next) = self.next.take()
        {
            let length = self.current.as_ref()?.program.pass.length;
            let origin = old.origin.plus(length.times(pass + 1));
            let passes_before = old.passes_before + pass + 1;
            self.playhead = Some(Playhead { origin, part: Part::Pass(0), cursor: 0, passes_before, ..old });
            let start = self.starts.saturating_sub(1);
            let report = Report::Running { start, program: next.number, from: now, origin, first_pass: passes_before };
            let begins = Some(Begins { pass: passes_before, program: next.number });
            return Some(Step::Turn { report: Some(report), spent: self.current.replace(next), begins });
        }
        let pass = match old.part {
            Part::CountIn => 0,
            Part::Pass(pass) => pass + 1,
        };
        self.playhead = Some(Playhead { part: Part::Pass(pass), cursor: 0, ..old });
        let program = self.current.as_ref()?.number;
        Some(Step::Turn { report: None, spent: None, begins: Some(Begins { pass: old.passes_before + pass, program }) })
    }

    fn is_last_pass(&self) -> bool {
        match self.playhead {
            Some(Playhead { part: Part::Pass(pass), repeat: Repeat::Times(times), passes_before, .. }) => {
                passes_before + pass + 1 >= u64::from(times.get())
            }
            _ => false,
        }
    }

    fn stretch(&self) -> Option<&Stretch> {
        let program = &self.current.as_ref()?.program;
        Some(match self.playhead?.part {
            Part::CountIn => &program.count_in,
            Part::Pass(_) => &program.pass,
        })
    }

    fn starts(&self, playhead: &Playhead) -> Option<SamplePoint> {
        let program = &self.current.as_ref()?.program;
        Some(match playhead.part {
            Part::CountIn => playhead.origin.minus(program.count_in.length),
            Part::Pass(pass) => playhead.origin.plus(program.pass.length.times(pass)),
        })
    }
}

#[cfg(test)]
mod tests {
    use leverlane_core::drill::{Accent, Event, EventKind, Timeline};
    use leverlane_core::time::{Tempo, TempoMap, Ticks};

    use super::*;
    use crate::{Program, SampleRate};

    /// A pass of five sixteenths with a click on each, after one sixteenth of count-in.
    fn sixteenths(tempo: f64, rate: u32) -> Sequencer {
        let sixteenth = Ticks::new(Ticks::PER_QUARTER / 4);
        let click = |n| Event { at: sixteenth * n, kind: EventKind::Click(Accent::Beat) };
        let timeline = Timeline {
            count_in: vec![click(0)],
            count_in_length: sixteenth,
            events: (0..5).map(click).collect(),
            length: sixteenth * 5,
            tempo: TempoMap::steady(Tempo::quarters(tempo).unwrap()),
        };
        let program = Box::new(Program::new(&timeline, SampleRate::new(rate).unwrap()));
        let mut sequencer = Sequencer::default();
        sequencer.load(Numbered { number: crate::command::ProgramNumber(0), program });
        sequencer.start(SampleIndex::FIRST, Repeat::Endless);
        sequencer
    }

    /// In whole numbers: sixteenth n lies on n · 15 · rate / tempo, half-way up. Six hours long, at tempos without an exact
    /// binary number and at rates that put sixteenths half-way between samples (120 a minute: 5,512.5 at 44,100).
    #[test]
    fn six_hours_on_the_exact_sample() {
        for (tenths, rate) in [(615u32, 48_000), (1_200, 44_100), (573, 44_100), (1_337, 44_100), (576, 96_000)] {
            let mut sequencer = sixteenths(f64::from(tenths) / 10.0, rate);
            let end = SampleIndex::new(6 * 3_600 * u64::from(rate));
            let mut count = 0u64;
            while let Some(due) = sequencer.due().filter(|&due| due < end) {
                if matches!(sequencer.step(due), Some(Step::Sound(_))) {
                    let (over, under) = (count * 150 * u64::from(rate), u64::from(tenths));
                    assert_eq!(due.get(), (2 * over + under) / (2 * under), "sixteenth {count} at {tenths}/10, {rate}");
                    count += 1;
                }
            }
            // Four sixteenths a quarter, tenths / 10 quarters a minute.
            assert_eq!(count, (6 * 60 * 4 * u64::from(tenths)).div_ceil(10), "{tenths}/10");
        }
    }
}
