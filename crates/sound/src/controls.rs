//! The renderer's other half: what the rest of the program holds.

use std::collections::VecDeque;
use std::sync::Arc;
use std::sync::atomic::Ordering;

use leverlane_core::time::{Seconds, TempoMap, Ticks};
use rtrb::{Consumer, Producer, RingBuffer};

use crate::command::{Command, Numbered, ProgramNumber, Repeat, Report, Stamp, Stamped};
use crate::error::ControlsFull;
use crate::mix::Mix;
use crate::monitor::{Monitor, MonitorLine, monitor};
use crate::program::Program;
use crate::renderer::{Gauge, Line, Renderer};
use crate::sample_clock::{SampleIndex, SamplePoint, SampleRate};

/// Commands that can wait.
const COMMANDS: usize = 256;
/// Programs that can be under way at once, there and back.
const PROGRAMS: usize = 64;
/// Reports that can wait.
const REPORTS: usize = 256;

/// Where the music is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Position {
    /// The pass, from 0 at the start of playing. Passes count on when another program takes over.
    pub pass: u64,
    /// From the start of the pass; negative during the count-in.
    pub at: Ticks,
    /// Which of the loaded programs plays, from 0 in the order in which they were loaded.
    pub program: u64,
    /// Which of the starts it belongs to, from 0.
    pub start: u64,
}

/// Speaks to a [`Renderer`] and hears from it. Made together with it by [`pair`].
pub struct Controls {
    rate: SampleRate,
    commands: Producer<Stamped>,
    programs: Producer<Numbered>,
    spent: Consumer<Numbered>,
    reports: Consumer<Report>,
    gauge: Arc<Gauge>,
    loaded: u64,
    returned: u64,
    refused: u64,
    starts: u64,
    /// What is known of the programs under way.
    outlines: VecDeque<Outline>,
    /// What the renderer has told, latest last.
    reported: VecDeque<Report>,
}

/// As much of a program as a position needs.
struct Outline {
    number: ProgramNumber,
    tempo: TempoMap,
    pass_length: SamplePoint,
}

/// A renderer for a sample rate and the controls that belong to it. Allocates everything both will ever need.
pub fn pair(rate: SampleRate, mix: Mix) -> (Controls, Renderer) {
    pair_with(rate, mix, None)
}

/// As [`pair`], with a monitor that is told all that is played.
pub fn monitored_pair(rate: SampleRate, mix: Mix) -> (Controls, Renderer, Monitor) {
    let (line, monitor) = monitor(rate);
    let (controls, renderer) = pair_with(rate, mix, Some(line));
    (controls, renderer, monitor)
}

fn pair_with(rate: SampleRate, mix: Mix, monitor: Option<MonitorLine>) -> (Controls, Renderer) {
    let (commands, commands_out) = RingBuffer::new(COMMANDS);
    let (programs, programs_out) = RingBuffer::new(PROGRAMS);
    let (spent_in, spent) = RingBuffer::new(PROGRAMS);
    let (reports_in, reports) = RingBuffer::new(REPORTS);
    let gauge = Arc::new(Gauge::default());
    let line = Line {
        commands: commands_out,
        programs: programs_out,
        spent: spent_in,
        reports: reports_in,
        gauge: Arc::clone(&gauge),
        monitor,
    };
    let controls = Controls {
        rate,
        commands,
        programs,
        spent,
        reports,
        gauge,
        loaded: 0,
        returned: 0,
        refused: 0,
        starts: 0,
        outlines: VecDeque::new(),
        reported: VecDeque::new(),
    };
    (controls, Renderer::new(rate, mix, line))
}

impl Controls {
    /// The rate that programs must be made for.
    pub fn rate(&self) -> SampleRate {
        self.rate
    }

    /// Hands over a program: it is heard at the next start, or, while another plays, from the next pass on.
    ///
    /// # Errors
    /// Too many commands or programs under way.
    pub fn load(&mut self, program: Program, stamp: Stamp) -> Result<(), ControlsFull> {
        self.tidy();
        if self.commands.is_full() || self.loaded - self.returned >= PROGRAMS as u64 {
            return self.refuse();
        }
        let number = ProgramNumber(self.loaded);
        let outline = Outline { number, tempo: program.tempo().clone(), pass_length: program.pass.length };
        if self.programs.push(Numbered { number, program: Box::new(program) }).is_err() {
            return self.refuse();
        }
        self.loaded += 1;
        self.outlines.push_back(outline);
        self.send(Command::Load, stamp)
    }

    /// Plays the loaded program from its count-in; what played before stops. Without a program nothing happens.
    ///
    /// # Errors
    /// Too many commands under way.
    pub fn start(&mut self, repeat: Repeat, stamp: Stamp) -> Result<(), ControlsFull> {
        self.send(Command::Start(repeat), stamp)?;
        self.starts += u64::from(self.loaded > 0);
        Ok(())
    }

    /// The number of the program that was loaded last.
    pub(crate) fn newest_program(&self) -> Option<u64> {
        self.loaded.checked_sub(1)
    }

    /// How many starts with a program to play have been asked for.
    pub(crate) fn starts(&self) -> u64 {
        self.starts
    }

    /// Stops and damps the strings.
    ///
    /// # Errors
    /// Too many commands under way.
    pub fn stop(&mut self, stamp: Stamp) -> Result<(), ControlsFull> {
        self.send(Command::Stop, stamp)
    }

    /// Changes the volumes.
    ///
    /// # Errors
    /// Too many commands under way.
    pub fn set_mix(&mut self, mix: Mix, stamp: Stamp) -> Result<(), ControlsFull> {
        self.send(Command::SetMix(mix), stamp)
    }

    /// How many samples have been made.
    pub fn rendered(&self) -> SampleIndex {
        SampleIndex::new(self.gauge.rendered.load(Ordering::Acquire))
    }

    /// Where the music is at the sample that was made last; none while nothing plays.
    pub fn position(&mut self) -> Option<Position> {
        self.position_at(self.rendered())
    }

    /// Where the music is at a sample; none where nothing plays then. Only the near past is known.
    pub fn position_at(&mut self, sample: SampleIndex) -> Option<Position> {
        self.tidy();
        let from_of = |report: &Report| match *report {
            Report::Running { from, .. } | Report::Stopped { from } => from,
        };
        let current = self.reported.iter().rev().find(|report| from_of(report) <= sample)?;
        let Report::Running { start, program, origin, first_pass, .. } = *current else { return None };
        let outline = self.outlines.iter().find(|outline| outline.number == program)?;
        let since_origin = SamplePoint::of(sample).minus(origin);
        let passes = since_origin.at_least(SamplePoint::ZERO).whole(outline.pass_length);
        let into_pass = self.rate.seconds_of(since_origin.minus(outline.pass_length.times(passes)));
        let at = outline.tempo.score_time_at(into_pass).since_start();
        Some(Position { pass: first_pass + passes, at, program: program.0, start })
    }

    /// How long a number of samples lasts.
    pub fn lasting(&self, samples: u64) -> Seconds {
        self.rate.seconds_of(SamplePoint::of(SampleIndex::new(samples)))
    }

    /// Commands refused and reports lost because a ring was full.
    pub fn overfull(&self) -> u64 {
        self.refused + self.gauge.lost_reports.load(Ordering::Relaxed)
    }

    fn send(&mut self, command: Command, stamp: Stamp) -> Result<(), ControlsFull> {
        self.tidy();
        match self.commands.push(Stamped { stamp, command }) {
            Ok(()) => Ok(()),
            Err(_) => self.refuse(),
        }
    }

    fn refuse(&mut self) -> Result<(), ControlsFull> {
        self.refused += 1;
        Err(ControlsFull)
    }

    /// Drops the programs that have come back and reads the reports.
    fn tidy(&mut self) {
        while let Ok(numbered) = self.spent.pop() {
            self.returned += 1;
            drop(numbered.program);
        }
        while let Ok(report) = self.reports.pop() {
            self.reported.push_back(report);
        }
        while self.reported.len() > 16 {
            self.reported.pop_front();
        }
        let needed = |outline: &Outline| {
            let playing =
                |report: &Report| matches!(report, Report::Running { program, .. } if *program == outline.number);
            self.reported.iter().any(playing) || outline.number.0 + PROGRAMS as u64 >= self.loaded
        };
        let needed: Vec<bool> = self.outlines.iter().map(needed).collect();
        let mut needed = needed.into_iter();
        self.outlines.retain(|_| needed.next().unwrap_or(true));
    }
}
