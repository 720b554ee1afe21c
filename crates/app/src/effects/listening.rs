//! The window's way to the listener, which has a thread of its own.

use std::collections::VecDeque;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Instant;

use leverlane_listening::{Asked, Ears, ListeningThread, News, Order, PassEvidence, SingleStrings, Told, start};

use super::{Messenger, sound};
use leverlane_sound::latency::MeasuredBy;

use crate::intent::{Intent, ListeningIntent};
use crate::state::HeardPass;

/// Programs whose start is remembered: the one that plays, the next, and what is still being listened to.
const REMEMBERED: usize = 8;

/// What the listener is told.
#[derive(Clone, Debug, PartialEq)]
pub enum ListeningOrder {
    /// Listen, with these ears.
    Listen(Ears),
    /// Close the microphone.
    Rest,
    /// See which microphones there are.
    LookForMicrophones,
    /// Measure the latency of the devices in this way.
    Measure(MeasuredBy),
    /// Listen to single strings as well, or, with none, no more.
    Single(Option<SingleStrings>),
}

/// A program that the sound device was given.
pub(super) struct Loaded {
    /// Which of the devices that were opened one after the other.
    pub(super) device: u64,
    /// Its number on that device.
    pub(super) program: u64,
    /// The start it belongs to.
    pub(super) take: u64,
    /// What its passes ask of the player.
    pub(super) asked: Option<Arc<Asked>>,
}

/// The listener's thread, once it was needed.
pub(super) struct Desk {
    thread: Option<ListeningThread>,
    /// The start that each program belongs to, oldest first.
    loaded: VecDeque<Loaded>,
    /// Whether single strings are listened to, for which no sound device is needed.
    hears_strings: bool,
    book: Option<PathBuf>,
    messenger: Messenger,
}

impl Desk {
    /// Latencies are kept in the file `book`.
    pub(super) fn new(book: Option<PathBuf>, messenger: &Messenger) -> Desk {
        Desk { thread: None, loaded: VecDeque::new(), hears_strings: false, book, messenger: messenger.clone() }
    }

    pub(super) fn obey(&mut self, order: ListeningOrder, sound: &mut sound::Desk) {
        if self.thread.is_none() {
            let wake = Arc::clone(&self.messenger.wake);
            match start(self.book.clone(), move || wake()) {
                Ok(thread) => self.thread = Some(thread),
                Err(_) => return self.messenger.send(ListeningIntent::NoThread.into()),
            }
        }
        self.follow(sound);
        if let ListeningOrder::Single(strings) = &order {
            self.hears_strings = strings.is_some();
        }
        if matches!(order, ListeningOrder::Listen(_)) && !self.hears_strings && sound.is_missing(Instant::now()) {
            return self.messenger.send(ListeningIntent::NoSound.into());
        }
        let Some(thread) = &self.thread else { return };
        thread.order(match order {
            ListeningOrder::Listen(ears) => Order::Listen(ears),
            ListeningOrder::Rest => Order::Rest,
            ListeningOrder::LookForMicrophones => Order::LookForMicrophones,
            ListeningOrder::Measure(by) => Order::Measure(by),
            ListeningOrder::Single(strings) => Order::Single(strings),
        });
    }

    /// Hands on which device plays, and what.
    pub(super) fn follow(&mut self, sound: &mut sound::Desk) {
        if let Some(thread) = &self.thread
            && let Some(loudspeaker) = sound.loudspeaker(Instant::now())
        {
            self.loaded.retain(|loaded| loaded.device == sound.device_number());
            thread.order(Order::Overhear(loudspeaker));
            self.loaded.iter().for_each(|loaded| ask(thread, loaded));
        }
        for loaded in sound.loaded() {
            if let Some(thread) = &self.thread {
                ask(thread, &loaded);
            }
            if self.loaded.len() == REMEMBERED {
                self.loaded.pop_front();
            }
            self.loaded.push_back(loaded);
        }
    }

    /// What the listener has said since the last call.
    pub(super) fn results(&mut self, sound: &mut sound::Desk) -> Vec<Intent> {
        self.follow(sound);
        let Some(thread) = &self.thread else { return Vec::new() };
        let mut intents = Vec::new();
        for told in thread.told() {
            match told {
                Told::Play(probes) => sound.play_probes(probes),
                Told::News(News::Pass(pass)) => intents.extend(self.heard(pass).map(Intent::from)),
                told => intents.push(ListeningIntent::Told(told).into()),
            }
        }
        intents
    }

    fn heard(&self, pass: PassEvidence) -> Option<ListeningIntent> {
        // The newest device is the one that is listened to.
        let loaded = self.loaded.iter().rev().find(|loaded| loaded.program == pass.program)?;
        let PassEvidence { pass, evidence, whole, .. } = pass;
        Some(ListeningIntent::Heard(HeardPass { take: loaded.take, pass, evidence, whole }))
    }
}

fn ask(thread: &ListeningThread, loaded: &Loaded) {
    if let Some(asked) = &loaded.asked {
        thread.order(Order::Ask(loaded.program, Arc::clone(asked)));
    }
}
