//! Pedals and keys that speak MIDI: each movement comes in on the driver's thread and goes home as an intent.

use leverlane_formats::{Said, said};
use leverlane_sound::away_from_terminal;
use midir::{Ignore, MidiInput, MidiInputConnection};

use super::Messenger;
use crate::intent::{Foot, MidiIntent};

/// What the MIDI input is told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum MidiOrder {
    /// See which devices there are.
    LookForDevices,
    /// Listen to the device of this name.
    Join(String),
    /// Listen to none.
    Leave,
}

/// The device that is listened to.
pub(super) struct Desk {
    messenger: Messenger,
    connection: Option<MidiInputConnection<Feet>>,
}

impl Desk {
    pub(super) fn new(messenger: Messenger) -> Desk {
        Desk { messenger, connection: None }
    }

    pub(super) fn obey(&mut self, order: MidiOrder) {
        let news = match order {
            MidiOrder::LookForDevices => match devices() {
                Ok(devices) => MidiIntent::Devices(devices),
                Err(reason) => MidiIntent::Failed(reason),
            },
            MidiOrder::Join(name) => match self.join(&name) {
                Ok(()) => MidiIntent::Joined(name),
                Err(reason) => MidiIntent::Failed(reason),
            },
            MidiOrder::Leave => {
                self.connection = None;
                return;
            }
        };
        self.messenger.send(news.into());
    }

    fn join(&mut self, name: &str) -> Result<(), Said> {
        self.connection = None;
        let input = input()?;
        let ports = input.ports();
        let port = ports.iter().find(|port| input.port_name(port).is_ok_and(|found| found == name));
        let port = port.ok_or_else(|| said!("{name}: it isn't there; plug it in, and choose it again", name))?;
        let messenger = self.messenger.clone();
        let listen = move |_stamp: u64, message: &[u8], feet: &mut Feet| {
            if let Some(foot) = feet.moved(message) {
                messenger.send(MidiIntent::Foot(foot).into());
            }
        };
        let joined = input.connect(port, "leverlane pedal", listen, Feet::default());
        self.connection = Some(joined.map_err(|error| {
            said!("{name}: {error}; unplug it, and choose it again", name, error = error.to_string())
        })?);
        Ok(())
    }
}

fn input() -> Result<MidiInput, Said> {
    let mut input = away_from_terminal(|| MidiInput::new("Leverlane")).map_err(|error| {
        said!("MIDI: {error}; the keys and a page-turner pedal do the same", error = error.to_string())
    })?;
    input.ignore(Ignore::All);
    Ok(input)
}

fn devices() -> Result<Vec<String>, Said> {
    let input = input()?;
    Ok(input.ports().iter().filter_map(|port| input.port_name(port).ok()).collect())
}

/// Which pedals are down. One that tells its way in steps counts once on its way down.
#[derive(Clone, Copy, Debug, Default)]
struct Feet {
    right: bool,
    left: bool,
}

/// Status bytes and controllers of MIDI 1.0 (table of messages, control change 64 and 67).
const NOTE_ON: u8 = 0x90;
const CONTROL_CHANGE: u8 = 0xB0;
const SUSTAIN_PEDAL: u8 = 64;
const SOFT_PEDAL: u8 = 67;
/// From this value on a pedal is down.
const DOWN: u8 = 64;

impl Feet {
    /// What a message, whole and without running status as the driver gives it, says of the feet.
    fn moved(&mut self, message: &[u8]) -> Option<Foot> {
        let &[status, number, value] = message else { return None };
        let pedal = |was_down: &mut bool, foot| {
            let is_down = value >= DOWN;
            let before = std::mem::replace(was_down, is_down);
            (is_down && !before).then_some(foot)
        };
        match (status & 0xF0, number) {
            (NOTE_ON, _) if value > 0 => Some(Foot::Tap),
            (CONTROL_CHANGE, SUSTAIN_PEDAL) => pedal(&mut self.right, Foot::Right),
            (CONTROL_CHANGE, SOFT_PEDAL) => pedal(&mut self.left, Foot::Left),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Bytes by the MIDI 1.0 specification, on channels 1 and 16.
    #[test]
    fn pedals_count_once_on_their_way_down() {
        let mut feet = Feet::default();
        let said: Vec<Option<Foot>> = [
            [0xB0, 64, 20],
            [0xB0, 64, 70],
            [0xB0, 64, 127],
            [0xB0, 64, 0],
            [0xB0, 64, 127],
            [0xBF, 67, 127],
            [0xB0, 1, 127],
        ]
        .iter()
        .map(|message| feet.moved(message))
        .collect();
        let (right, left) = (Some(Foot::Right), Some(Foot::Left));
        assert_eq!(said, [None, right, None, None, right, left, None]);
    }

    #[test]
    fn a_note_is_a_tap_and_its_end_is_none() {
        let mut feet = Feet::default();
        assert_eq!(feet.moved(&[0x9F, 60, 1]), Some(Foot::Tap));
        for silent in [&[0x90, 60, 0][..], &[0x80, 60, 64], &[0xF8], &[], &[0x90, 60], &[0xC0, 5]] {
            assert_eq!(feet.moved(silent), None, "{silent:?}");
        }
    }
}
