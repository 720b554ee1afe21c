//! The settings on file: readable RON, saved in one step.
//!
//! ```text
//! (
//!     version: 1,
//!     language: "de",
//!     notes: german,
//!     octaves: scientific,
//!     colours: as_system,
//!     side: bass_left,
//!     movement: gliding,
//!     distance: near,
//!     mix: (click: 5, click_sound: usual, cue: 6, notes: 6, guide: Some(4), left_heard: true, right_heard: true),
//!     microphone: Some((id: "alsa:hw:1", shown: "USB microphone")),
//!     route: loudspeaker,
//!     pulse: hidden,
//!     midi_pedal: Some("Two pedals"),
//!     window: Some((size: (1280, 800), corner: Some((60, 40)), filling: own_size)),
//!     a4: Some(440.0),
//!     limits: Some((spread_ms: 45.0, hesitation_of_beat: 0.2, hesitation_floor_ms: 50.0, wrong_notes: 0.05, tap_of_beat: 0.25,
//!         half_way_cents: 20.0)),
//!     recent: ["/home/anna/greensleeves.ron"],
//!     keys: [(does: "undo", key: "Z", held: [command])],
//! )
//! ```
//!
//! What is missing has its usual value; a file that can't be read is left alone and told.

use leverlane_formats::{Said, said};
use std::path::{Path, PathBuf};

use eframe::egui::{Key, Modifiers};
use leverlane_core::pitch::Cents;
use leverlane_core::time::Seconds;
use leverlane_core::verdict::Thresholds;
use leverlane_formats::files::{self, FileError};
use leverlane_listening::Route;
use leverlane_sound::ClickSound;
use serde::{Deserialize, Serialize};

use crate::keys::{Action, Binding, Keys};
use crate::state::{
    Colours, ConcertPitch, Distance, EarSettings, Filling, KnownMicrophone, Level, Mix, Movement, Pulse, Settings,
    Side, WindowPlace,
};
use crate::words::{Language, NoteNames, Octaves, Words};

/// Settings are small; whatever is larger is no settings file.
const MOST_BYTES: usize = 1 << 20;

#[derive(Serialize, Deserialize)]
struct Written {
    version: u32,
    #[serde(default)]
    language: String,
    #[serde(default)]
    notes: WrittenNotes,
    #[serde(default)]
    octaves: WrittenOctaves,
    #[serde(default)]
    colours: WrittenColours,
    #[serde(default)]
    side: WrittenSide,
    #[serde(default)]
    movement: WrittenMovement,
    #[serde(default)]
    distance: WrittenDistance,
    mix: Option<WrittenMix>,
    microphone: Option<WrittenMicrophone>,
    #[serde(default)]
    route: WrittenRoute,
    #[serde(default)]
    pulse: WrittenPulse,
    midi_pedal: Option<String>,
    /// In hertz.
    a4: Option<f64>,
    limits: Option<WrittenLimits>,
    /// All of them; none where they are as they came.
    keys: Option<Vec<WrittenKey>>,
    window: Option<WrittenWindow>,
    #[serde(default)]
    recent: Vec<PathBuf>,
}

#[derive(Serialize, Deserialize)]
struct WrittenWindow {
    size: [f32; 2],
    corner: Option<[f32; 2]>,
    #[serde(default)]
    filling: WrittenFilling,
}

#[derive(Serialize, Deserialize)]
struct WrittenMix {
    click: u8,
    #[serde(default)]
    click_sound: WrittenClickSound,
    cue: u8,
    notes: u8,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    guide: Option<u8>,
    left_heard: bool,
    right_heard: bool,
}

#[derive(Serialize, Deserialize)]
struct WrittenMicrophone {
    id: String,
    shown: String,
}

/// What counts as steady, in milliseconds, shares of a beat, a share of the notes, and cents.
#[derive(Clone, Copy, Serialize, Deserialize)]
struct WrittenLimits {
    spread_ms: f64,
    hesitation_of_beat: f64,
    hesitation_floor_ms: f64,
    wrong_notes: f64,
    tap_of_beat: f64,
    half_way_cents: f64,
}

impl From<Thresholds> for WrittenLimits {
    fn from(limits: Thresholds) -> WrittenLimits {
        WrittenLimits {
            spread_ms: limits.spread.get() * 1000.0,
            hesitation_of_beat: limits.hesitation_of_beat,
            hesitation_floor_ms: limits.hesitation_floor.get() * 1000.0,
            wrong_notes: limits.wrong_notes,
            tap_of_beat: limits.tap_of_beat,
            half_way_cents: limits.half_way.get(),
        }
    }
}

impl From<WrittenLimits> for Thresholds {
    fn from(written: WrittenLimits) -> Thresholds {
        Thresholds {
            spread: Seconds::new(written.spread_ms / 1000.0),
            hesitation_of_beat: written.hesitation_of_beat,
            hesitation_floor: Seconds::new(written.hesitation_floor_ms / 1000.0),
            wrong_notes: written.wrong_notes,
            tap_of_beat: written.tap_of_beat,
            half_way: Cents::new(written.half_way_cents),
        }
    }
}

/// A key, called as the window's library calls it.
#[derive(Serialize, Deserialize)]
struct WrittenKey {
    does: String,
    key: String,
    #[serde(default)]
    held: Vec<WrittenModifier>,
}

#[derive(Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum WrittenModifier {
    Alt,
    Shift,
    Command,
}

/// A choice in a file, and the window's own type for it.
macro_rules! written {
    ($written:ident, $own:ident, $first:ident $(, $more:ident)*) => {
        #[derive(Clone, Copy, Default, Serialize, Deserialize)]
        #[serde(rename_all = "snake_case")]
        enum $written {
            #[default]
            $first,
            $($more,)*
        }

        impl From<$own> for $written {
            fn from(own: $own) -> $written {
                match own {
                    $own::$first => $written::$first,
                    $($own::$more => $written::$more,)*
                }
            }
        }

        impl From<$written> for $own {
            fn from(written: $written) -> $own {
                match written {
                    $written::$first => $own::$first,
                    $($written::$more => $own::$more,)*
                }
            }
        }
    };
}

written!(WrittenNotes, NoteNames, English, German, Solfege);
written!(WrittenOctaves, Octaves, Scientific, Harpists);
written!(WrittenColours, Colours, AsSystem, Light, Dark);
written!(WrittenSide, Side, BassLeft, BassRight);
written!(WrittenMovement, Movement, Gliding, Stepping);
written!(WrittenDistance, Distance, Near, Far);
written!(WrittenFilling, Filling, OwnSize, Screen);
written!(WrittenRoute, Route, Loudspeaker, Headphones);
written!(WrittenPulse, Pulse, Hidden, Shown);
written!(WrittenClickSound, ClickSound, Usual, High);

/// Reads the settings; the usual ones where there is no file yet.
///
/// # Errors
/// One line: a file that can't be read, or that holds no settings.
pub fn read(file: &Path) -> Result<Settings, Said> {
    let bytes = match files::read(file, MOST_BYTES) {
        Ok(bytes) => bytes,
        Err(FileError::Missing { .. }) => return Ok(Settings::default()),
        Err(error) => return Err(error.said()),
    };
    let written: Written = ron::de::from_bytes(&bytes).map_err(|error| {
        said!(
            "{file}: {error}; correct it, or delete it to have the usual settings",
            file = file.display().to_string(),
            error = error.to_string()
        )
    })?;
    Ok(settings(written))
}

fn settings(written: Written) -> Settings {
    let language = Language::ALL.into_iter().find(|language| language.code() == written.language);
    let level = Level::tenths;
    Settings {
        words: Words {
            language: language.unwrap_or_default(),
            notes: written.notes.into(),
            octaves: written.octaves.into(),
        },
        colours: written.colours.into(),
        side: written.side.into(),
        movement: written.movement.into(),
        distance: written.distance.into(),
        mix: written.mix.map_or_else(Mix::default, |mix| Mix {
            click: level(mix.click),
            click_sound: mix.click_sound.into(),
            cue: level(mix.cue),
            notes: level(mix.notes),
            guide: mix.guide.map_or(Mix::default().guide, level),
            left_heard: mix.left_heard,
            right_heard: mix.right_heard,
        }),
        ears: EarSettings {
            microphone: written.microphone.map(|WrittenMicrophone { id, shown }| KnownMicrophone { id, shown }),
            route: written.route.into(),
        },
        pulse: written.pulse.into(),
        midi_pedal: written.midi_pedal,
        // A pitch that nobody tunes to is the usual one.
        concert_pitch: written.a4.and_then(ConcertPitch::of).unwrap_or_default(),
        // Limits that make no sense are those of the level.
        limits: written.limits.and_then(|limits| Thresholds::from(limits).checked().ok()),
        keys: written.keys.map_or_else(Keys::default, |keys| Keys::of(keys.iter().filter_map(binding))),
        window: written.window.map(|WrittenWindow { size, corner, filling }| WindowPlace {
            size,
            corner,
            filling: filling.into(),
        }),
        recent: written.recent,
    }
}

/// A key as it stands in a file; none where this version of the program doesn't know the key or what it does.
fn binding(written: &WrittenKey) -> Option<Binding> {
    let holds = |modifier| written.held.contains(&modifier);
    let modifiers = Modifiers {
        alt: holds(WrittenModifier::Alt),
        shift: holds(WrittenModifier::Shift),
        command: holds(WrittenModifier::Command),
        ..Modifiers::NONE
    };
    Some(Binding { modifiers, key: Key::from_name(&written.key)?, action: Action::of_code(&written.does)? })
}

fn written_key(binding: &Binding) -> WrittenKey {
    let Modifiers { alt, shift, command, .. } = binding.modifiers;
    let modifiers = [(alt, WrittenModifier::Alt), (shift, WrittenModifier::Shift), (command, WrittenModifier::Command)];
    WrittenKey {
        does: binding.action.code().to_owned(),
        key: binding.key.name().to_owned(),
        held: modifiers.into_iter().filter(|(held, _)| *held).map(|(_, modifier)| modifier).collect(),
    }
}

/// Saves the settings; their folder is made where it isn't there.
///
/// # Errors
/// One line: a folder or file that can't be written.
pub fn save(file: &Path, settings: &Settings) -> Result<(), Said> {
    let Settings {
        words,
        colours,
        side,
        movement,
        distance,
        mix,
        ears,
        midi_pedal,
        concert_pitch,
        limits,
        keys,
        pulse,
        window,
        recent,
    } = settings.clone();
    let written = Written {
        version: 1,
        language: words.language.code().to_owned(),
        notes: words.notes.into(),
        octaves: words.octaves.into(),
        colours: colours.into(),
        side: side.into(),
        movement: movement.into(),
        distance: distance.into(),
        mix: Some(WrittenMix {
            click: mix.click.in_tenths(),
            click_sound: mix.click_sound.into(),
            cue: mix.cue.in_tenths(),
            notes: mix.notes.in_tenths(),
            guide: Some(mix.guide.in_tenths()),
            left_heard: mix.left_heard,
            right_heard: mix.right_heard,
        }),
        microphone: ears.microphone.map(|KnownMicrophone { id, shown }| WrittenMicrophone { id, shown }),
        route: ears.route.into(),
        pulse: pulse.into(),
        midi_pedal,
        a4: Some(concert_pitch.hertz().get()),
        limits: limits.map(WrittenLimits::from),
        keys: (keys != Keys::default()).then(|| keys.bindings().iter().map(written_key).collect()),
        window: window.map(|WindowPlace { size, corner, filling }| WrittenWindow {
            size,
            corner,
            filling: filling.into(),
        }),
        recent,
    };
    let text = ron::ser::to_string_pretty(&written, ron::ser::PrettyConfig::default()).map_err(|error| {
        said!(
            "{file}: {error}; the settings are not saved",
            file = file.display().to_string(),
            error = error.to_string()
        )
    })?;
    if let Some(folder) = file.parent() {
        std::fs::create_dir_all(folder).map_err(|error| {
            said!(
                "{file}: {error}; check that you may write there",
                file = folder.display().to_string(),
                error = error.to_string()
            )
        })?;
    }
    files::save(file, text.as_bytes()).map_err(|error| error.said())
}

#[cfg(test)]
mod tests;
