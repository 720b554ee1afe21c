//! Short sounds made beforehand and played from their first sample.

/// How many sounds of one kind can overlap; the oldest gives way.
const SLOTS: usize = 4;

/// Plays sounds out of a fixed set, each from its first sample to its last.
#[derive(Debug)]
pub(crate) struct OneShots {
    sounds: Vec<Box<[f32]>>,
    slots: [Option<Slot>; SLOTS],
    next_slot: usize,
}

#[derive(Clone, Copy, Debug)]
struct Slot {
    sound: usize,
    cursor: usize,
}

impl OneShots {
    /// A player of these sounds. Allocates.
    pub(crate) fn new(sounds: Vec<Box<[f32]>>) -> OneShots {
        OneShots { sounds, slots: [None; SLOTS], next_slot: 0 }
    }

    /// Begins a sound on the next sample; nothing happens for one that isn't in the set.
    pub(crate) fn begin(&mut self, sound: usize) {
        self.slots[self.next_slot] = (sound < self.sounds.len()).then_some(Slot { sound, cursor: 0 });
        self.next_slot = (self.next_slot + 1) % SLOTS;
    }

    /// Adds the next samples to both channels of `frames`, each times its gain.
    pub(crate) fn add_to(&mut self, frames: &mut [[f32; 2]], gains: &[f32]) {
        for slot in &mut self.slots {
            let Some(Slot { sound, cursor }) = slot else { continue };
            let rest = &self.sounds[*sound][*cursor..];
            for ((frame, &gain), &sample) in frames.iter_mut().zip(gains).zip(rest) {
                frame[0] += sample * gain;
                frame[1] += sample * gain;
            }
            *cursor += frames.len().min(rest.len());
            if frames.len() >= rest.len() {
                *slot = None;
            }
        }
    }
}
