//! Places, problems and ways out in words.

use leverlane_core::harp::{HarpString, LeverState, StringNumber};
use leverlane_core::meter::{BarPlace, Counting};
use leverlane_core::pitch::SpelledPitch;
use leverlane_core::plan::{Change, Edit, Flip, FlipName, Problem, ProblemKind, Refusal, WayOut, ordinal};
use leverlane_core::score::{Bar, BarIndex, NoteName, PlayedBar, Rewrite};
use leverlane_core::time::{ScoreTime, Ticks};

use crate::planned::Planned;

/// A kind of problem as JSON names it.
pub fn kind(kind: ProblemKind) -> &'static str {
    match kind {
        ProblemKind::OffTheHarp => "off_the_harp",
        ProblemKind::NotInTuning => "not_in_tuning",
        ProblemKind::NoLever => "no_lever",
        ProblemKind::SameString => "same_string",
        ProblemKind::NoRoomForFlip => "no_room_for_flip",
        ProblemKind::Rushed => "rushed",
        ProblemKind::EditNotMet => "edit_not_met",
    }
}

/// A bar of the performance: its printed number, and which time through it is where it is not the first.
pub fn bar(planned: &Planned, played: &PlayedBar) -> String {
    let number = planned.score.bar(played.bar).map_or("", |bar| &bar.number);
    match played.earlier_times {
        0 => number.to_owned(),
        earlier => format!("{number}, {} time", ordinal(earlier + 1)),
    }
}

/// A beat as it is counted: `2`, `2½`, `1⅔`; other places with decimals.
pub fn beat(place: BarPlace) -> String {
    const NAMED: [(f64, &str); 6] =
        [(0.0, ""), (1.0 / 4.0, "¼"), (1.0 / 3.0, "⅓"), (0.5, "½"), (2.0 / 3.0, "⅔"), (3.0 / 4.0, "¾")];
    match NAMED.iter().find(|(fraction, _)| (place.fraction - fraction).abs() < 1e-6) {
        Some((_, sign)) => format!("{}{sign}", place.beat),
        None => format!("{:.2}", place.as_number()),
    }
}

/// A place of a written bar as it is counted.
pub fn place_in(bar: &Bar, at: Ticks) -> BarPlace {
    BarPlace::at(at + bar.anacrusis, &bar.meter, Counting::Beats)
}

/// A moment: `bar 7, beat 1⅔`.
pub fn moment(planned: &Planned, at: ScoreTime) -> String {
    let played = &planned.performance.bars()[planned.performance.bar_at(at)];
    format!("bar {}, beat {}", bar(planned, played), beat(played.place_of(at, Counting::Beats)))
}

/// What is wrong, and with which notes.
pub fn complaint(planned: &Planned, problem: &Problem) -> String {
    let plucks = planned.performance.plucks();
    let mut notes: Vec<SpelledPitch> =
        problem.plucks.iter().filter_map(|&pluck| Some(plucks.get(pluck)?.pitch)).collect();
    notes.dedup();
    let notes = notes.iter().map(SpelledPitch::to_string).collect::<Vec<_>>().join(", ");
    match problem.kind {
        ProblemKind::OffTheHarp => format!("{notes} is not on this harp ({})", range(planned)),
        ProblemKind::NotInTuning => format!("no string of this tuning can sound {notes}"),
        ProblemKind::NoLever => format!("{notes} would need a lever where none is fitted"),
        ProblemKind::SameString => format!("{notes} need the same string at the same moment"),
        ProblemKind::NoRoomForFlip => format!("there is no room for a flip before {notes}"),
        ProblemKind::Rushed => rushed(planned, problem),
        ProblemKind::EditNotMet => match &problem.refused {
            Some(refused) => {
                format!("can't {}: {}", decision(planned, &refused.edit), refusal(planned, &refused.reason))
            }
            None => format!("what you asked for can't be done ({notes})"),
        },
    }
}

fn range(planned: &Planned) -> String {
    match planned.harp.strings() {
        [highest, .., lowest] => format!("{} to {}", lowest.open, highest.open),
        [only] => only.open.to_string(),
        [] => String::new(),
    }
}

fn rushed(planned: &Planned, problem: &Problem) -> String {
    let gesture = planned.plan.gestures.iter().find(|gesture| gesture.at == problem.at && gesture.is_rushed());
    let Some(gesture) = gesture else { return "too little time for the flip".to_owned() };
    let flips: Vec<String> = gesture.flips.iter().map(|flip| movement(planned, flip)).collect();
    let available = gesture.available.map_or(0.0, |available| available.get());
    format!(
        "moving {} with the {} hand needs {:.2} s and has {available:.2} s",
        flips.join(" and "),
        gesture.hand,
        gesture.needed.get()
    )
}

/// A lever's movement by what its string sounds: `G4 → G♯4`.
pub fn movement(planned: &Planned, flip: &Flip) -> String {
    lever_movement(planned, flip.string, flip.to)
}

/// The same of a string's lever.
pub fn lever_movement(planned: &Planned, string: StringNumber, to: LeverState) -> String {
    let sounds = |string: &HarpString| format!("{} → {}", string.sounds(!to), string.sounds(to));
    planned.harp.string(string).map_or_else(String::new, sounds)
}

/// What helps.
pub fn way_out(planned: &Planned, way: &WayOut) -> String {
    match &way.change {
        Change::NoFasterThan(tempo) => {
            format!("play no faster than {:.0} quarter notes a minute", tempo.quarters_per_minute().floor())
        }
        Change::Tuning(tuning) => format!("tune the harp to {tuning}"),
        Change::Harp(preset, tuning) => format!("take a harp of {}, in {tuning} tuning", preset.name()),
        Change::Retune { string, open } => format!("tune {} to {open} beforehand", string_name(planned, *string)),
        Change::Edit(edit) => decision(planned, edit),
        Change::DampAndFlip(edit) => {
            format!("{}, touching the string first so that it is silent", decision(planned, edit))
        }
        Change::Withdraw(edit) => format!("don't insist: {}", decision(planned, edit)),
        Change::Rewrite(rewrites) => {
            rewrites.iter().map(|rewrite| rewritten(planned, rewrite)).collect::<Vec<_>>().join(", and ")
        }
    }
}

/// A way out's kind as JSON names it.
pub fn way_out_kind(way: &WayOut) -> &'static str {
    match &way.change {
        Change::NoFasterThan(_) => "slower",
        Change::Tuning(_) => "tuning",
        Change::Harp(..) => "harp",
        Change::Retune { .. } => "retune",
        Change::Edit(Edit::Hand { .. }) => "other_hand",
        Change::Edit(Edit::String { .. }) => "other_string",
        Change::Edit(Edit::Preset { .. }) => "set_beforehand",
        Change::Edit(_) => "edit",
        Change::DampAndFlip(_) => "damp",
        Change::Withdraw(_) => "withdraw",
        Change::Rewrite(rewrites) => match rewrites.first() {
            Some(Rewrite::Hand { .. }) => "note_to_other_hand",
            Some(Rewrite::Octaves { .. }) => "octave",
            Some(Rewrite::Drop { .. }) | None => "drop",
        },
    }
}

/// A decision of the player's.
fn decision(planned: &Planned, edit: &Edit) -> String {
    match edit {
        Edit::Preset { string, state } => format!("set {} {state} before the start", string_name(planned, *string)),
        Edit::Hand { flip, hand } => format!("flip {} with the {hand} hand", flip_name(planned, flip)),
        Edit::Place { flip, bar, at } => {
            format!("flip {} in {}", flip_name(planned, flip), written_place(planned, *bar, *at))
        }
        Edit::Forbid { flip } => format!(
            "don't flip {} for {}",
            flip_name(planned, flip),
            written_place(planned, flip.needed_in, flip.needed_at)
        ),
        Edit::String { note, string } => {
            format!("play {} on {}", note_name(planned, note), string_name(planned, *string))
        }
    }
}

/// A change to a note.
fn rewritten(planned: &Planned, rewrite: &Rewrite) -> String {
    let note = note_name(planned, &rewrite.note());
    match rewrite {
        Rewrite::Hand { hand, .. } => format!("play {note} with the {hand} hand"),
        Rewrite::Octaves { up, .. } if *up < 0 => format!("play {note} an octave lower"),
        Rewrite::Octaves { .. } => format!("play {note} an octave higher"),
        Rewrite::Drop { .. } => format!("leave out {note}"),
    }
}

/// What comes of a way out, as far as it differs from the plan as it is.
pub fn outcome(planned: &Planned, way: &WayOut) -> String {
    let (now, then) = (planned.plan.totals, way.totals);
    let pairs = [
        (now.unplayable, then.unplayable, "that can't be played"),
        (now.rushed, then.rushed, "too tight"),
        (now.flips, then.flips, "flips"),
        (now.respelled, then.respelled, "on the neighbouring string"),
    ];
    let told = pairs.into_iter().filter(|(now, then, _)| now != then);
    let told: Vec<String> = told.map(|(now, then, what)| format!("{what} {now} → {then}")).collect();
    told.join(", ")
}

/// Why a wish can't be met.
pub fn refusal(planned: &Planned, reason: &Refusal) -> String {
    match reason {
        Refusal::NoSuchBar => "the piece has no such bar".to_owned(),
        Refusal::OutsideTheBar => "the bar is shorter than that".to_owned(),
        Refusal::NoSuchString => "the harp has no such string".to_owned(),
        Refusal::NoLever => "that string has no lever".to_owned(),
        Refusal::NoSuchNote => "there is no such note".to_owned(),
        Refusal::StringCannotSound => "that string can't sound the note".to_owned(),
        Refusal::NotNeeded => "no such flip is needed".to_owned(),
        Refusal::OutsideTheWindow(window) => match window.after {
            Some(after) => {
                format!("it has to lie after {} and before {}", moment(planned, after), moment(planned, window.before))
            }
            None => format!("it has to lie before {}", moment(planned, window.before)),
        },
        Refusal::Collides(flip) => {
            format!("the same hand already flips {} at that moment", string_name(planned, flip.string))
        }
        Refusal::NeededByTheLoop => "the loop needs it to come back to its start".to_owned(),
    }
}

fn note_name(planned: &Planned, note: &NoteName) -> String {
    format!("{} in {}", note.pitch, written_place(planned, note.bar, note.at))
}

/// A string by its open pitch: `the G4 string`.
pub fn string_name(planned: &Planned, string: StringNumber) -> String {
    let open = planned.harp.string(string).map_or_else(String::new, |string| string.open.to_string());
    format!("the {open} string")
}

fn flip_name(planned: &Planned, flip: &FlipName) -> String {
    format!("{} {}", string_name(planned, flip.string), flip.to)
}

fn written_place(planned: &Planned, index: BarIndex, at: Ticks) -> String {
    match planned.score.bar(index) {
        Some(bar) => {
            format!("bar {}, beat {}", bar.number, beat(place_in(bar, at)))
        }
        None => format!("bar index {}", index.get()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn beats_are_written_as_they_are_counted() {
        let text = |beat_number, fraction| beat(BarPlace { beat: beat_number, fraction });
        assert_eq!(text(2, 0.0), "2");
        assert_eq!(text(2, 0.5), "2½");
        assert_eq!(text(1, 2.0 / 3.0), "1⅔");
        assert_eq!(text(3, 0.2), "3.20");
    }
}
