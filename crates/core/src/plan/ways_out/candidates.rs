//! Changes worth trying against each problem, likeliest first.

use super::super::{Change, Edit, Gesture, Plan, Problem, ProblemKind, Proof, Reason, Reasons, Request};
use crate::harp::{LeverState, Preset, Tuning};
use crate::pitch::{MidiNote, SpelledPitch};
use crate::score::{Hand, Performance, Pluck, Rewrite};
use crate::time::Tempo;

/// A chord of more notes than this isn't given to the other hand.
const LARGEST_CHORD_TAKEN: usize = 3;
/// Earlier places tried for one flip.
const MOST_PLACES: usize = 2;

/// What is to be tried.
pub(super) struct Candidates {
    /// Against all problems.
    pub shared: Vec<Change>,
    /// Against each problem of the plan.
    pub own: Vec<Vec<Change>>,
}

impl Candidates {
    pub fn of(request: &Request<'_>, plan: &Plan) -> Candidates {
        let finder = Finder { request, plan, reasons: Reasons::of(request, plan) };
        let own = plan.problems.iter().map(|problem| finder.against(problem)).collect();
        Candidates { shared: finder.against_all(), own }
    }
}

struct Finder<'a> {
    request: &'a Request<'a>,
    plan: &'a Plan,
    reasons: Reasons<'a>,
}

impl Finder<'_> {
    /// Other tunings; and other harps where one would reach farther or has levers where this one has none.
    fn against_all(&self) -> Vec<Change> {
        let mut changes: Vec<Change> = Tuning::ALL.map(Change::Tuning).to_vec();
        let lacks = |problem: &Problem| matches!(problem.kind, ProblemKind::OffTheHarp | ProblemKind::NoLever);
        if self.plan.problems.iter().any(lacks)
            && let Some(tuning) = self.request.harp.usual_tuning()
        {
            let reach = |harp: &crate::harp::Harp| {
                let notes = self.request.performance.plucks().iter().map(|pluck| pluck.pitch.staff_steps());
                let strings = harp.strings();
                let (top, bottom) = (strings[0].open.staff_steps(), strings[strings.len() - 1].open.staff_steps());
                notes.filter(|steps| (bottom..=top).contains(steps)).count()
            };
            let now = reach(self.request.harp);
            let larger = Preset::ALL.into_iter().filter(|preset| reach(&preset.tuned(tuning)) >= now);
            changes.extend(larger.map(|preset| Change::Harp(preset, tuning)));
        }
        changes
    }

    fn against(&self, problem: &Problem) -> Vec<Change> {
        let mut changes = Vec::new();
        match problem.kind {
            ProblemKind::EditNotMet => {
                changes.extend(problem.refused.map(|refused| Change::Withdraw(refused.edit)));
            }
            ProblemKind::Rushed => {
                let gesture = self.plan.gestures.iter().enumerate();
                let mut rushed = gesture.filter(|(_, gesture)| gesture.at == problem.at && gesture.is_rushed());
                if let Some((index, gesture)) = rushed.next() {
                    changes.extend(self.slower(gesture));
                    changes.extend(self.taken_by_the_other_hand(gesture));
                    changes.extend(self.decided_otherwise(index, gesture));
                    changes.extend(self.retuned(gesture.flips.iter().map(|flip| flip.sounds.midi())));
                }
                changes.extend(self.rewritten(&self.around_a_flip(problem)));
            }
            ProblemKind::OffTheHarp | ProblemKind::NotInTuning | ProblemKind::NoLever => {
                changes.extend(self.retuned(self.notes(&problem.plucks).map(|pluck| pluck.pitch.midi())));
                changes.extend(self.rewritten(&problem.plucks));
            }
            ProblemKind::SameString | ProblemKind::NoRoomForFlip => {
                changes.extend(self.edits_to_withdraw());
                changes.extend(self.retuned(self.notes(&problem.plucks).map(|pluck| pluck.pitch.midi())));
                changes.extend(self.rewritten(&problem.plucks));
            }
        }
        changes
    }

    fn notes<'b>(&'b self, plucks: &'b [usize]) -> impl Iterator<Item = &'b Pluck> {
        plucks.iter().filter_map(|&pluck| self.request.performance.plucks().get(pluck))
    }

    /// The fastest whole opening tempo, in quarter notes a minute, at which a rushed gesture is in time where it stands.
    fn slower(&self, gesture: &Gesture) -> Option<Change> {
        let here = self.request.tempo.tempo_at(gesture.at).quarters_per_minute();
        let opening = self.request.tempo.opening().quarters_per_minute();
        let limit = (opening * gesture.top_tempo?.quarters_per_minute / here).floor();
        let limit = (Tempo::SLOWEST..=Tempo::FASTEST).contains(&limit).then_some(limit)?;
        Some(Change::NoFasterThan(Tempo::quarters(limit).ok()?))
    }

    /// The notes just after the flip, those just before it, or both, to the hand that doesn't flip.
    fn taken_by_the_other_hand(&self, gesture: &Gesture) -> Vec<Change> {
        let plucks = self.request.performance.plucks();
        let here = plucks.partition_point(|pluck| pluck.at <= gesture.at);
        let of_hand = |pluck: &&Pluck| pluck.hand == gesture.hand;
        let next = plucks[here..].iter().find(of_hand).map(|pluck| pluck.at);
        let last = plucks[..here].iter().rfind(of_hand).map(|pluck| pluck.at);
        let chord = |at| {
            let at = at?;
            let from = plucks.partition_point(|pluck| pluck.at < at);
            let together = (from..plucks.len()).take_while(|&index| plucks[index].at == at);
            let rewrites: Vec<Rewrite> = together
                .filter(|&index| plucks[index].hand == gesture.hand)
                .filter_map(|index| self.request.performance.note_name(index))
                .map(|note| Rewrite::Hand { note, hand: !gesture.hand })
                .collect();
            (!rewrites.is_empty() && rewrites.len() <= LARGEST_CHORD_TAKEN).then_some(rewrites)
        };
        let (after, before) = (chord(next), chord(last));
        let both = after.clone().zip(before.clone()).map(|(after, before)| [before, after].concat());
        [after, before, both].into_iter().flatten().map(Change::Rewrite).collect()
    }

    /// What the player might have decided, or decide otherwise. Where she has decided nothing and the search was complete,
    /// all of this has been weighed already and can't help.
    fn decided_otherwise(&self, index: usize, gesture: &Gesture) -> Vec<Change> {
        if self.request.edits.is_empty() && self.plan.proof == Proof::BestPossible {
            return Vec::new();
        }
        let mut changes = self.edits_to_withdraw();
        if let [flip] = &gesture.flips[..] {
            let other = Edit::Hand { flip: flip.name(self.request.performance), hand: !gesture.hand };
            changes.push(Change::Edit(other));
            let bars = self.request.performance.bars();
            let mut places = self.reasons.places(index);
            places.retain(|place| place.rushed == 0 && place.hand == gesture.hand && place.at != gesture.at);
            places.sort_by_key(|place| place.comfort);
            for place in places.into_iter().take(MOST_PLACES) {
                let bar = &bars[place.played_bar];
                let edit =
                    Edit::Place { flip: flip.name(self.request.performance), bar: bar.bar, at: place.at - bar.starts };
                let rings = |reason| matches!(reason, Reason::NoteStillWritten | Reason::StringStillRings);
                let damped = place.at < gesture.at && place.parts.iter().any(|part| rings(part.reason));
                changes.push(if damped { Change::DampAndFlip(edit) } else { Change::Edit(edit) });
            }
        }
        for flip in &gesture.flips {
            changes.push(Change::Edit(Edit::Preset { string: flip.string, state: flip.to }));
            let plucks = self.request.performance.plucks();
            let from = plucks.partition_point(|pluck| pluck.at < flip.window.before);
            let at_need = (from..plucks.len()).take_while(|&index| plucks[index].at == flip.window.before);
            for pluck in at_need.filter(|&pluck| plucks[pluck].pitch.midi() == flip.sounds.midi()) {
                let ways = self.request.harp.ways_to_sound(plucks[pluck].pitch.midi());
                let note = self.request.performance.note_name(pluck);
                let others = ways.filter(|&(string, _)| string != flip.string);
                changes
                    .extend(others.filter_map(|(string, _)| Some(Change::Edit(Edit::String { note: note?, string }))));
            }
        }
        changes
    }

    fn edits_to_withdraw(&self) -> Vec<Change> {
        self.request.edits.iter().map(|&edit| Change::Withdraw(edit)).collect()
    }

    /// One string tuned a semitone off, so that it sounds a note open or raised.
    fn retuned(&self, notes: impl Iterator<Item = MidiNote>) -> Vec<Change> {
        let mut changes = Vec::new();
        for note in notes {
            for (string, strung) in self.request.harp.numbered() {
                let lowered = strung.open.altered_by(-1).ok();
                let raised = strung.open.altered_by(1).ok();
                for open in [lowered, raised].into_iter().flatten().filter(|open| open.alter().abs() <= 1) {
                    let raised_to = i16::from(open.midi().get()) + i16::from(LeverState::Up.semitones());
                    let sounds = open.midi() == note || strung.lever.is_fitted() && raised_to == i16::from(note.get());
                    let change = Change::Retune { string, open };
                    if sounds && !changes.contains(&change) {
                        changes.push(change);
                    }
                }
            }
        }
        changes
    }

    /// The note that needs the flip, and the one before it on the same string.
    fn around_a_flip(&self, problem: &Problem) -> Vec<usize> {
        let mut plucks = problem.plucks.clone();
        for &needing in &problem.plucks {
            let string = self.plan.strings.get(needing).copied().flatten().map(|(string, _)| string);
            let before =
                |&pluck: &usize| self.plan.strings[pluck].map(|(other, _)| other) == string && string.is_some();
            plucks.extend((0..needing.min(self.plan.strings.len())).rev().find(before));
        }
        plucks
    }

    /// Left-hand notes an octave up or down, then notes left out.
    fn rewritten(&self, plucks: &[usize]) -> Vec<Change> {
        let performance: &Performance = self.request.performance;
        let mut changes = Vec::new();
        for &pluck in plucks {
            let (Some(note), Some(plucked)) = (performance.note_name(pluck), performance.plucks().get(pluck)) else {
                continue;
            };
            if plucked.hand == Hand::Left {
                let on_the_harp = |up: &i8| {
                    let moved = plucked.pitch.octave().checked_add(*up).and_then(|octave| {
                        SpelledPitch::new(plucked.pitch.letter(), plucked.pitch.alter(), octave).ok()
                    });
                    moved.is_some_and(|moved| self.request.harp.ways_to_sound(moved.midi()).next().is_some())
                };
                let octaves = [1, -1].into_iter().filter(on_the_harp);
                changes.extend(octaves.map(|up| Change::Rewrite(vec![Rewrite::Octaves { note, up }])));
            }
        }
        let names = plucks.iter().filter_map(|&pluck| performance.note_name(pluck));
        changes.extend(names.map(|note| Change::Rewrite(vec![Rewrite::Drop { note }])));
        changes
    }
}
