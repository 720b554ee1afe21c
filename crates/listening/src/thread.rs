//! Listening on a thread of its own.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use leverlane_sound::MicrophoneError;
use leverlane_sound::capture::{Decibels, LevelWarning, MicrophoneName};
use leverlane_sound::latency::{BookError, Latency, LatencyError, MeasuredBy, Probes, TapsError};

use crate::asked::Asked;
use crate::joiner::News;
use crate::plucks::SingleStrings;
use crate::session::{Ear, Ears, Loudspeaker};
use crate::tap_run::TapCount;
use crate::worker::Worker;

/// How long the thread rests between two looks: a string lights some 50 ms after its pluck, of which this is a small part.
const REST: Duration = Duration::from_millis(5);

/// What a listening thread is told.
pub enum Order {
    /// This is the device that plays from now on. Without one only single strings are listened to.
    Overhear(Loudspeaker),
    /// Listen, with these ears.
    Listen(Ears),
    /// Close the microphone.
    Rest,
    /// What the passes of a program ask for, by the number of the program.
    Ask(u64, Arc<Asked>),
    /// Listen to single strings as well, or, with none, no more.
    Single(Option<SingleStrings>),
    /// Measure the latency of the devices in this way, now that nothing else plays.
    Measure(MeasuredBy),
    /// See which microphones there are.
    LookForMicrophones,
}

/// What a listening thread tells.
#[derive(Clone, Debug, PartialEq)]
pub enum Told {
    /// The microphone is open.
    Opened {
        /// What it is called.
        name: String,
        /// The latency of this pair of devices; none where it was never measured.
        latency: Option<Latency>,
    },
    /// It can't be opened; the thread rests.
    Refused(MicrophoneError),
    /// What was heard; single onsets are not told.
    News(News),
    /// The microphone was lost, or is back.
    Ear(Ear),
    /// How loud it is, some twenty times a second.
    Level(HeardLevel),
    /// The microphones that there are.
    Microphones(Vec<MicrophoneName>),
    /// Play these now: the latency is being measured.
    Play(Probes),
    /// So many of them have been played.
    Measuring(usize),
    /// The latency was measured, or couldn't be.
    Measured(Result<Latency, LatencyError>),
    /// So many clicks have been played and taps heard.
    Tapping(TapCount),
    /// The latency was measured by taps, or couldn't be.
    Tapped(Result<Latency, TapsError>),
    /// The book of latencies can't be read or written.
    NotKept(NotKept),
}

/// Why a measured latency is not kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotKept {
    /// The book can't be read or written.
    File {
        /// The file.
        file: String,
        /// What the system said.
        reason: String,
    },
    /// The file is no book of latencies.
    Content {
        /// The file.
        file: String,
        /// What was found.
        found: String,
    },
}

impl From<BookError> for NotKept {
    fn from(error: BookError) -> NotKept {
        match error {
            BookError::File { path, source } => {
                NotKept::File { file: path.display().to_string(), reason: source.to_string() }
            }
            BookError::Content { path, found } => NotKept::Content { file: path.display().to_string(), found },
        }
    }
}

/// How loud the microphone hears.
#[derive(Clone, Debug, PartialEq)]
pub struct HeardLevel {
    /// The highest peak of the last third of a second.
    pub peak: Decibels,
    /// What is heard between the notes; none in the first second.
    pub floor: Option<Decibels>,
    /// What is wrong with the level.
    pub warnings: Vec<LevelWarning>,
}

/// A thread that listens when it is told to, until it is dropped.
pub struct ListeningThread {
    orders: Option<Sender<Order>>,
    told: Receiver<Told>,
    thread: Option<JoinHandle<()>>,
}

/// Starts a thread that rests until it is told to listen; `wake` is called when there is something to be read. Latencies
/// are kept in the file `book`; with none they are measured anew each time.
///
/// # Errors
/// The system has no thread left.
pub fn start(book: Option<PathBuf>, wake: impl Fn() + Send + 'static) -> std::io::Result<ListeningThread> {
    let (tell, told) = channel();
    let (orders, ordered) = channel();
    let thread = thread::Builder::new().name("listener".to_owned()).spawn(move || {
        let tell = move |what: Told| {
            // Nobody reads any more only when the thread is being ended.
            if tell.send(what).is_ok() {
                wake();
            }
        };
        run(&mut Worker::new(book, &tell), &ordered);
    })?;
    Ok(ListeningThread { orders: Some(orders), told, thread: Some(thread) })
}

fn run(worker: &mut Worker<'_>, ordered: &Receiver<Order>) {
    loop {
        let order = if worker.is_resting() {
            ordered.recv().map_err(|_| TryRecvError::Disconnected)
        } else {
            ordered.try_recv()
        };
        match order {
            Ok(order) => worker.obey(order),
            Err(TryRecvError::Disconnected) => return,
            Err(TryRecvError::Empty) => {
                worker.work();
                thread::park_timeout(REST);
            }
        }
    }
}

impl ListeningThread {
    /// Tells it something; it follows in its own time.
    pub fn order(&self, order: Order) {
        if let Some(orders) = &self.orders {
            // A thread that panicked follows no more; it has told nothing else either.
            orders.send(order).ok();
        }
    }

    /// What it has told since the last call.
    pub fn told(&self) -> impl Iterator<Item = Told> + '_ {
        self.told.try_iter()
    }
}

impl Drop for ListeningThread {
    fn drop(&mut self) {
        self.orders = None;
        if let Some(thread) = self.thread.take() {
            thread.thread().unpark();
            // A thread that panicked has nothing more to tell.
            thread.join().ok();
        }
    }
}
