//! Why a flip stands where it stands, and where the eyes are around it: as JSON and in words.
//!
//! ```text
//! "why": {"cost","rushed","parts":[{"reason","cost"}],
//!         "next_best":{"bar","index","beat","hand","cost","rushed"}},
//! "look": {"lever_s","strings_s","by_feel":[…],"leaps_by_feel":[…]}
//! ```
//!
//! `next_best` is null where the flip can be made at no other moment. `lever_s` and `strings_s` are seconds from the flip
//! beat: when the look goes to the lever (0 or less) and when it must be back on the strings (0 or more; null where nothing
//! waits for it); `by_feel` are the other hand's notes between.

use leverlane_core::meter::Counting;
use leverlane_core::plan::{LookTime, PlaceCost, Reason, Why};
use serde::Serialize;

use super::json::{Place, place, to_millionths};
use super::words;
use crate::planned::Planned;

/// What its place costs.
#[derive(Debug, Serialize)]
pub struct WhyAnswer<'a> {
    cost: u32,
    rushed: u32,
    parts: Vec<PartAnswer>,
    next_best: Option<NextAnswer<'a>>,
}

#[derive(Debug, Serialize)]
struct PartAnswer {
    reason: &'static str,
    cost: u32,
}

#[derive(Debug, Serialize)]
struct NextAnswer<'a> {
    #[serde(flatten)]
    place: Place<'a>,
    hand: String,
    cost: u32,
    rushed: u32,
}

/// Where the eyes are.
#[derive(Debug, Serialize)]
pub struct LookAnswer {
    lever_s: f64,
    strings_s: Option<f64>,
    by_feel: Vec<String>,
    leaps_by_feel: Vec<String>,
}

/// The reasons as JSON.
pub fn why_answer<'a>(planned: &'a Planned, why: &Why) -> WhyAnswer<'a> {
    let parts = why.chosen.parts.iter().map(|part| PartAnswer { reason: key(part.reason), cost: part.cost });
    WhyAnswer {
        cost: why.chosen.comfort,
        rushed: why.chosen.rushed,
        parts: parts.collect(),
        next_best: why.next_best.as_ref().map(|next| NextAnswer {
            place: place(planned, next.played_bar, next.at),
            hand: next.hand.to_string(),
            cost: next.comfort,
            rushed: next.rushed,
        }),
    }
}

/// The look as JSON.
pub fn look_answer(planned: &Planned, look: &LookTime) -> LookAnswer {
    let plucks = planned.performance.plucks();
    let named = |indexes: &[usize]| {
        indexes.iter().filter_map(|&index| Some(plucks.get(index)?.pitch.ascii())).collect::<Vec<_>>()
    };
    LookAnswer {
        lever_s: to_millionths(look.to_lever.get()),
        strings_s: look.to_strings.map(|back| to_millionths(back.get())),
        by_feel: named(&look.by_feel),
        leaps_by_feel: named(&look.leaps_by_feel),
    }
}

fn key(reason: Reason) -> &'static str {
    match reason {
        Reason::OffTheStrongBeat => "off_the_strong_beat",
        Reason::NoteStillWritten => "note_still_written",
        Reason::StringStillRings => "string_still_rings",
        Reason::TightTime => "tight_time",
        Reason::RightHand => "right_hand",
        Reason::OtherHandLeaps => "other_hand_leaps",
        Reason::FarFromItsNeed => "far_from_its_need",
        Reason::DifferentOnRepeat => "different_on_repeat",
        Reason::HurriesAnother => "hurries_another",
    }
}

fn said(reason: Reason) -> &'static str {
    match reason {
        Reason::OffTheStrongBeat => "off the strong beat",
        Reason::NoteStillWritten => "the string's note is still written to sound: damp it",
        Reason::StringStillRings => "the string still rings",
        Reason::TightTime => "little time for the hand",
        Reason::RightHand => "the right hand makes it",
        Reason::OtherHandLeaps => "the other hand leaps just then",
        Reason::FarFromItsNeed => "long before it is needed",
        Reason::DifferentOnRepeat => "not as on the other time through",
        Reason::HurriesAnother => "hurries another flip",
    }
}

/// The reasons in a line: what speaks against the place, and against the next best.
pub fn line(planned: &Planned, why: &Why) -> String {
    let chosen = match &why.chosen.parts[..] {
        [] => "nothing speaks against it".to_owned(),
        _ => format!("costs {}", reasons(&why.chosen)),
    };
    let Some(next) = &why.next_best else { return format!("{chosen}; it can be made at no other moment") };
    let played = &planned.performance.bars()[next.played_bar];
    let beat = words::beat(played.place_of(next.at, Counting::Beats));
    let mut place = format!("bar {}, beat {beat}", words::bar(planned, played));
    if next.hand != why.chosen.hand {
        place += &format!(" with the {} hand", next.hand);
    }
    let late = if next.rushed > why.chosen.rushed { ", and be too tight" } else { "" };
    format!("{chosen}; next best, {place}, would cost {}{late}", reasons(next))
}

fn reasons(place: &PlaceCost) -> String {
    let parts: Vec<String> = place.parts.iter().map(|part| format!("{} {}", said(part.reason), part.cost)).collect();
    match parts.len() {
        0 => "0".to_owned(),
        _ => format!("{} ({})", place.comfort, parts.join(", ")),
    }
}

/// The look in a line.
pub fn look_line(planned: &Planned, look: &LookTime) -> String {
    let mut line = format!("eyes to the lever {:.1} s before", -look.to_lever.get());
    if let Some(back) = look.to_strings {
        line += &format!(", back on the strings {:.1} s after", back.get());
    }
    let plucks = planned.performance.plucks();
    let feel: Vec<String> =
        look.by_feel.iter().filter_map(|&index| Some(plucks.get(index)?.pitch.to_string())).collect();
    if !feel.is_empty() {
        line += &format!("; the other hand plays {} by feel", feel.join(" "));
    }
    line
}
