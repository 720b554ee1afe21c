//! What the listening thread does.

use std::collections::VecDeque;
use std::path::PathBuf;
use std::sync::Arc;

use leverlane_sound::Overhearing;
use leverlane_sound::capture::{Microphone, microphones};
use leverlane_sound::clocks::TwoClocks;
use leverlane_sound::latency::{Latency, LatencyBook, MeasuredBy, RunState, SweepRun};

use crate::asked::Asked;
use crate::joiner::News;
use crate::plucks::SingleStrings;
use crate::session::{Ear, Ears, Loudspeaker, Session};
use crate::tap_run::{TapCount, TapRun};
use crate::thread::{HeardLevel, Order, Told};

/// The meter is told so many looks apart.
const METER_EVERY: u32 = 10;
/// Programs whose demands are remembered for a session that is opened after they were loaded.
const ASKED: usize = 4;

/// The thread's hands: devices, and who is told.
pub(crate) struct Worker<'a> {
    tell: &'a dyn Fn(Told),
    file: Option<PathBuf>,
    book: LatencyBook,
    loudspeaker: Option<Loudspeaker>,
    /// What she wants to listen with; none while she doesn't.
    wanted: Option<Ears>,
    session: Option<Session>,
    run: Option<Measuring>,
    asked: VecDeque<(u64, Arc<Asked>)>,
    single: Option<SingleStrings>,
    looks: u32,
}

enum Measuring {
    Sweeps { run: Box<SweepRun>, told: usize },
    Taps { run: Box<TapRun>, told: TapCount },
}

impl<'a> Worker<'a> {
    /// Reads the book of latencies.
    pub(crate) fn new(file: Option<PathBuf>, tell: &'a dyn Fn(Told)) -> Worker<'a> {
        let book = file.as_ref().map_or_else(|| Ok(LatencyBook::default()), |file| LatencyBook::read(file));
        let book = book.unwrap_or_else(|error| {
            tell(Told::NotKept(error.into()));
            LatencyBook::default()
        });
        Worker {
            tell,
            file,
            book,
            loudspeaker: None,
            wanted: None,
            session: None,
            run: None,
            asked: VecDeque::new(),
            single: None,
            looks: 0,
        }
    }

    /// Whether there is nothing to do before the next order.
    pub(crate) fn is_resting(&self) -> bool {
        self.session.is_none()
    }

    pub(crate) fn obey(&mut self, order: Order) {
        match order {
            Order::Overhear(loudspeaker) => {
                self.loudspeaker = Some(loudspeaker);
                // Programs are counted anew.
                self.asked.clear();
                self.open();
            }
            Order::Listen(ears) => {
                self.wanted = Some(ears);
                self.open();
            }
            Order::Rest => {
                self.wanted = None;
                self.close();
            }
            Order::Ask(program, asked) => {
                if self.asked.len() == ASKED {
                    self.asked.pop_front();
                }
                self.asked.push_back((program, Arc::clone(&asked)));
                if let Some(session) = &mut self.session {
                    session.ask(program, asked);
                }
            }
            Order::Single(strings) => {
                self.single = strings;
                if self.session.is_some() {
                    self.listen_to_single();
                } else {
                    self.open();
                }
            }
            Order::Measure(by) => self.begin_to_measure(by),
            Order::LookForMicrophones => (self.tell)(Told::Microphones(microphones().unwrap_or_default())),
        }
    }

    fn close(&mut self) {
        self.session = None;
        self.run = None;
    }

    /// Opens the microphone as soon as both sides are there; single strings need no loudspeaker.
    fn open(&mut self) {
        self.close();
        let Some(ears) = &self.wanted else { return };
        if self.loudspeaker.is_none() && self.single.is_none() {
            return;
        }
        match Session::open(ears.clone(), self.loudspeaker.as_mut(), &self.book) {
            Ok(session) => {
                let name = session.microphone().name().shown().to_owned();
                (self.tell)(Told::Opened { name, latency: session.latency() });
                self.take_up(session);
            }
            Err(refused) => {
                self.wanted = None;
                (self.tell)(Told::Refused(refused));
            }
        }
    }

    fn take_up(&mut self, mut session: Session) {
        for (program, asked) in &self.asked {
            session.ask(*program, Arc::clone(asked));
        }
        self.session = Some(session);
        if self.single.is_some() {
            self.listen_to_single();
        }
    }

    fn listen_to_single(&mut self) {
        let Some(session) = &mut self.session else { return };
        if let Err(refused) = session.listen_to_single(self.single.clone()) {
            (self.tell)(Told::Refused(refused));
        }
    }

    fn begin_to_measure(&mut self, by: MeasuredBy) {
        let (Some(session), Some(loudspeaker)) = (&mut self.session, &mut self.loudspeaker) else { return };
        let (overhearing, microphone) = (&mut loudspeaker.overhearing, session.microphone_mut());
        match by {
            MeasuredBy::Sweeps => {
                let run = Box::new(SweepRun::new(overhearing, microphone));
                self.run = Some(Measuring::Sweeps { run, told: 0 });
                (self.tell)(Told::Measuring(0));
            }
            MeasuredBy::Taps => {
                overhearing.skip_waiting();
                while microphone.next_block().is_some() {}
                // A session is open, so the rate is one at which something can be heard.
                let run = TapRun::new(overhearing.rate(), microphone.rate());
                self.run = run.map(|run| Measuring::Taps { run: Box::new(run), told: TapCount::default() });
                (self.tell)(Told::Tapping(TapCount::default()));
            }
        }
    }

    /// Takes up what was played and heard.
    pub(crate) fn work(&mut self) {
        if self.run.is_some() {
            return self.measure();
        }
        let Some(session) = &mut self.session else { return };
        let overhearing = self.loudspeaker.as_mut().map(|loudspeaker| &mut loudspeaker.overhearing);
        let tell = self.tell;
        let mut news = |news| {
            if !matches!(news, News::Onset { .. }) {
                tell(Told::News(news));
            }
        };
        // Nothing is kept here, so nothing can fail to be written.
        if let Ok(ear @ (Ear::Lost(_) | Ear::PickedUp)) = session.poll(overhearing, &mut news) {
            tell(Told::Ear(ear));
        }
        if self.looks.is_multiple_of(METER_EVERY) {
            let meter = session.meter();
            tell(Told::Level(HeardLevel { peak: meter.peak(), floor: meter.floor(), warnings: meter.warnings() }));
        }
        self.looks = self.looks.wrapping_add(1);
    }

    fn measure(&mut self) {
        let (Some(measuring), Some(mut session), Some(loudspeaker)) =
            (self.run.take(), self.session.take(), &mut self.loudspeaker)
        else {
            return;
        };
        let tell = self.tell;
        if let Some(loss) = session.microphone().loss() {
            // The session sees it too, and looks for the microphone.
            tell(Told::Ear(Ear::Lost(loss)));
            self.session = Some(session);
            return;
        }
        match measuring.step(&mut loudspeaker.overhearing, session.microphone_mut(), tell) {
            Step::GoesOn(measuring) => {
                self.run = Some(measuring);
                self.session = Some(session);
            }
            Step::Over { measured, told } => {
                if let Some((latency, clocks)) = measured {
                    self.book.note(session.pair().clone(), latency);
                    self.write_book();
                    if let Err(refused) = session.go_on_with(latency, *clocks) {
                        return tell(Told::Refused(refused));
                    }
                }
                self.take_up(session);
                tell(told);
            }
        }
    }

    fn write_book(&self) {
        let written = self.file.as_ref().map_or(Ok(()), |file| self.book.write(file));
        if let Err(error) = written {
            (self.tell)(Told::NotKept(error.into()));
        }
    }
}

/// What became of a step.
enum Step {
    GoesOn(Measuring),
    Over {
        /// The latency, with the clocks as they were left; none where it came to nothing.
        measured: Option<(Latency, Box<TwoClocks>)>,
        /// What is told of it.
        told: Told,
    },
}

impl Measuring {
    fn step(self, overhearing: &mut Overhearing, microphone: &mut Microphone, tell: &dyn Fn(Told)) -> Step {
        match self {
            Measuring::Sweeps { mut run, told } => {
                match run.step(overhearing, microphone, |sweeps| tell(Told::Play(sweeps))) {
                    RunState::Running(played) => {
                        if played != told {
                            tell(Told::Measuring(played));
                        }
                        Step::GoesOn(Measuring::Sweeps { run, told: played })
                    }
                    RunState::Over(measured) => Step::Over {
                        measured: measured.ok().map(|latency| (latency, Box::new(run.into_clocks()))),
                        told: Told::Measured(measured),
                    },
                }
            }
            Measuring::Taps { mut run, told } => {
                while let Some(mark) = overhearing.next_clock_mark() {
                    run.note_output(mark);
                }
                while overhearing.monitor().next_block().is_some() {}
                while let Some(played) = overhearing.monitor().next_sound() {
                    run.note_played(played);
                }
                while let Some(block) = microphone.next_block() {
                    run.hear(&block);
                }
                if let Some(clicks) = run.asks() {
                    tell(Told::Play(clicks));
                }
                let count = run.count();
                if count != told {
                    tell(Told::Tapping(count));
                }
                match run.result() {
                    None => Step::GoesOn(Measuring::Taps { run, told: count }),
                    Some(measured) => Step::Over {
                        measured: measured.ok().map(|latency| (latency, Box::new(run.into_clocks()))),
                        told: Told::Tapped(measured),
                    },
                }
            }
        }
    }
}
