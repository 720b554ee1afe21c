//! Listening on a thread of its own.

use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use leverlane_sound::capture::{Decibels, LevelWarning};
use leverlane_sound::{MicrophoneError, Overhearing};

use crate::joiner::News;
use crate::session::{Ear, Ears, Session};

/// How long the thread rests between two looks: a string lights some 50 ms after its pluck, of which this is a small part.
const REST: Duration = Duration::from_millis(5);
/// The meter is told so many looks apart.
const METER_EVERY: u32 = 10;

/// What a listening thread tells.
#[derive(Clone, Debug, PartialEq)]
pub enum Told {
    /// The microphone is open, under this name.
    Opened(String),
    /// It can't be opened; the thread has ended.
    Refused(MicrophoneError),
    /// What was heard.
    News(News),
    /// The microphone was lost, or is back.
    Ear(Ear),
    /// How loud it is, some twenty times a second.
    Level {
        /// The highest peak of the last third of a second.
        peak: Decibels,
        /// What is wrong with the level.
        warnings: Vec<LevelWarning>,
    },
}

/// A thread that listens until it is dropped.
pub struct ListeningThread {
    told: Receiver<Told>,
    stop: Option<Sender<()>>,
    thread: Option<JoinHandle<()>>,
}

/// Starts listening; `wake` is called when there is something to be read.
///
/// # Errors
/// The system has no thread left.
pub fn start(
    ears: Ears,
    overhearing: Overhearing,
    wake: impl Fn() + Send + 'static,
) -> std::io::Result<ListeningThread> {
    let (tell, told) = channel();
    let (stop, stopped) = channel();
    let thread = thread::Builder::new().name("listener".to_owned()).spawn(move || {
        let tell = |what: Told| {
            // Nobody reads any more only when the thread is being ended.
            if tell.send(what).is_ok() {
                wake();
            }
        };
        match Session::open(ears, overhearing) {
            Ok(session) => {
                tell(Told::Opened(session.microphone().name().shown().to_owned()));
                listen(session, &stopped, &tell);
            }
            Err(refused) => tell(Told::Refused(refused)),
        }
    })?;
    Ok(ListeningThread { told, stop: Some(stop), thread: Some(thread) })
}

fn listen(mut session: Session, stopped: &Receiver<()>, tell: &dyn Fn(Told)) {
    let mut looks = 0u32;
    while matches!(stopped.try_recv(), Err(TryRecvError::Empty)) {
        // Nothing is kept here, so nothing can fail to be written.
        if let Ok(ear @ (Ear::Lost(_) | Ear::PickedUp)) = session.poll(&mut |news| tell(Told::News(news))) {
            tell(Told::Ear(ear));
        }
        if looks.is_multiple_of(METER_EVERY) {
            let meter = session.meter();
            tell(Told::Level { peak: meter.peak(), warnings: meter.warnings() });
        }
        looks = looks.wrapping_add(1);
        thread::park_timeout(REST);
    }
}

impl ListeningThread {
    /// What it has told since the last call.
    pub fn told(&self) -> impl Iterator<Item = Told> + '_ {
        self.told.try_iter()
    }
}

impl Drop for ListeningThread {
    fn drop(&mut self) {
        self.stop = None;
        if let Some(thread) = self.thread.take() {
            thread.thread().unpark();
            // A thread that panicked has nothing more to tell.
            thread.join().ok();
        }
    }
}
