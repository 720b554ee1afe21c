//! Places, problems and ways out in words.

use leverlane_core::harp::StringNumber;
use leverlane_core::meter::{BarPlace, Counting};
use leverlane_core::pitch::SpelledPitch;
use leverlane_core::plan::{Edit, Flip, FlipName, Problem, ProblemKind, WayOut};
use leverlane_core::score::{BarIndex, PlayedBar};
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
        1 => format!("{number}, 2nd time"),
        2 => format!("{number}, 3rd time"),
        more => format!("{number}, {}th time", more + 1),
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
        ProblemKind::EditNotMet => format!("what you asked for can't be done ({notes})"),
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
    let before = planned.harp.string(flip.string).map_or(flip.sounds, |string| string.sounds(!flip.to));
    format!("{before} → {}", flip.sounds)
}

/// What helps.
pub fn way_out(planned: &Planned, way: &WayOut) -> String {
    match way {
        WayOut::NoFasterThan(tempo) => {
            format!("play no faster than {:.0} quarter notes a minute", tempo.quarters_per_minute().floor())
        }
        WayOut::Tuning(tuning) => format!("tune the harp to {tuning}"),
        WayOut::Edit(Edit::Preset { string, state }) => {
            format!("set {} {state} before the start", string_name(planned, *string))
        }
        WayOut::Edit(Edit::Hand { flip, hand }) => {
            format!("flip {} with the {hand} hand", flip_name(planned, flip))
        }
        WayOut::Edit(Edit::Place { flip, bar, at }) => {
            format!("flip {} in {}", flip_name(planned, flip), written_place(planned, *bar, *at))
        }
    }
}

fn string_name(planned: &Planned, string: StringNumber) -> String {
    let open = planned.harp.string(string).map_or_else(String::new, |string| string.open.to_string());
    format!("the {open} string")
}

fn flip_name(planned: &Planned, flip: &FlipName) -> String {
    format!("{} {}", string_name(planned, flip.string), flip.to)
}

fn written_place(planned: &Planned, index: BarIndex, at: Ticks) -> String {
    match planned.score.bar(index) {
        Some(bar) => {
            let place = BarPlace::at(at + bar.anacrusis, &bar.meter, Counting::Beats);
            format!("bar {}, beat {}", bar.number, beat(place))
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
