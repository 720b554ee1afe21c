//! Ladders, layers and cues.

use PassResult::{Clean, Missed, Unheard};

use super::*;

fn tempo(beats: f64) -> Tempo {
    Tempo::quarters(beats).unwrap()
}

/// From 60 to 72 in steps of 5, three clean passes to climb.
fn plan(scheme: Scheme) -> LadderPlan {
    LadderPlan::new(tempo(60.0), tempo(72.0), tempo(72.0), RungStep::Beats(5.0), 3, scheme).unwrap()
}

fn play(ladder: &mut Ladder, results: &[PassResult]) -> Vec<Move> {
    results.iter().map(|&result| ladder.pass_over(result)).collect()
}

fn beats(ladder: &Ladder) -> f64 {
    ladder.tempo().per_minute()
}

/// Arithmetic: 60, 65, 70 and the goal itself; by per cent 60, 66, 72.6 is already above 72.
#[test]
fn rungs_end_at_the_goal() {
    let rungs = |plan: LadderPlan| plan.rungs().iter().map(|rung| rung.per_minute()).collect::<Vec<_>>();
    assert_eq!(rungs(plan(Scheme::Climb)), [60.0, 65.0, 70.0, 72.0]);
    assert_eq!(rungs(plan(Scheme::Alternate)), [60.0, 72.0]);
    let share =
        LadderPlan::new(tempo(60.0), tempo(72.0), tempo(72.0), RungStep::PerCent(10.0), 3, Scheme::Climb).unwrap();
    assert_eq!(rungs(share), [60.0, 66.0, 72.0]);
    let flat = LadderPlan::new(tempo(72.0), tempo(72.0), tempo(72.0), RungStep::Beats(2.0), 3, Scheme::Climb).unwrap();
    assert_eq!(rungs(flat), [72.0]);
}

#[test]
fn senseless_ladders_are_refused() {
    let new =
        |start, goal, step, clean| LadderPlan::new(tempo(start), tempo(goal), tempo(100.0), step, clean, Scheme::Climb);
    assert!(matches!(new(90.0, 80.0, RungStep::Beats(2.0), 3), Err(LadderError::StartAboveGoal { .. })));
    assert!(matches!(new(60.0, 80.0, RungStep::Beats(f64::NAN), 3), Err(LadderError::Step { .. })));
    assert!(matches!(new(60.0, 80.0, RungStep::PerCent(0.0), 3), Err(LadderError::Step { .. })));
    assert!(matches!(new(60.0, 80.0, RungStep::Beats(2.0), 0), Err(LadderError::CleanPasses { .. })));
    // Five per cent over the piece's own tempo may be asked for, no more.
    assert!(new(60.0, 105.0, RungStep::Beats(2.0), 3).is_ok());
    assert!(matches!(new(60.0, 105.1, RungStep::Beats(2.0), 3), Err(LadderError::GoalTooFast { .. })));
    for goal in [5.0, 6.0, 90.0, 400.0] {
        assert!(LadderPlan::usual(tempo(goal)).is_ok(), "{goal}");
    }
}

#[test]
fn three_clean_passes_in_a_row_climb() {
    let mut ladder = Ladder::new(plan(Scheme::Climb));
    assert_eq!(play(&mut ladder, &[Clean, Clean, Missed, Clean, Clean]), [Move::Stays; 5]);
    assert_eq!(ladder.pass_over(Unheard), Move::Stays);
    assert_eq!(ladder.pass_over(Clean), Move::Climbs, "what is not heard neither counts nor breaks the row");
    assert_eq!(beats(&ladder), 65.0);
    assert_eq!(play(&mut ladder, &[Clean; 6])[5], Move::Climbs);
    assert_eq!(play(&mut ladder, &[Clean; 3]), [Move::Stays, Move::Stays, Move::Reached]);
    assert_eq!(ladder.pass_over(Missed), Move::Reached, "an ended ladder stays ended");
}

#[test]
fn two_misses_running_step_back() {
    let mut ladder = Ladder::resumed_at(plan(Scheme::Climb), tempo(66.0));
    assert_eq!(beats(&ladder), 65.0);
    assert_eq!(play(&mut ladder, &[Missed, Clean, Missed]), [Move::Stays; 3]);
    assert_eq!(ladder.pass_over(Missed), Move::StepsBack);
    assert_eq!(beats(&ladder), 60.0);
}

/// Each time up to 65 and back: the third time the ladder stops and something easier is offered.
#[test]
fn three_steps_back_at_one_rung_stop() {
    let mut practice = Practice::new(plan(Scheme::Climb), Layer::Both, ChunkSize::BarEachSide, Cueing::default());
    let round = [Clean, Clean, Clean, Missed, Missed];
    let mut moves = Vec::new();
    for _ in 0..3 {
        moves.extend(round.map(|result| practice.pass_over(result)));
    }
    assert_eq!(moves[4], Move::StepsBack);
    assert_eq!(moves[9], Move::StepsBack);
    assert_eq!(moves[14], Move::Stops);
    assert_eq!(
        practice.offers(),
        [Offer::SmallerChunk(ChunkSize::FlipBar), Offer::EasierLayer(Layer::OtherHandByFeel)]
    );
    practice.take(practice.offers()[0]);
    assert_eq!((practice.size(), beats(&practice.ladder)), (ChunkSize::FlipBar, 60.0));
    assert_eq!(practice.ladder.ended(), None);
    assert!(practice.offers().is_empty());
}

#[test]
fn a_foot_too_steep_stops_too() {
    let mut ladder = Ladder::new(plan(Scheme::Climb));
    assert_eq!(play(&mut ladder, &[Missed; 6])[5], Move::Stops);
}

#[test]
fn the_goal_held_offers_more() {
    let mut practice = Practice::new(plan(Scheme::Climb), Layer::FlipAlone, ChunkSize::FlipBar, Cueing::default());
    for _ in 0..12 {
        practice.pass_over(Clean);
    }
    assert_eq!(practice.ladder.ended(), Some(Move::Reached));
    let offers = practice.offers();
    assert_eq!(offers, [Offer::NextLayer(Layer::FlippingHand), Offer::LargerChunk(ChunkSize::BarEachSide)]);
    let mut larger = practice.clone();
    larger.take(offers[1]);
    assert_eq!((larger.size(), beats(&larger.ladder)), (ChunkSize::BarEachSide, 65.0), "two rungs below the goal");
    practice.take(offers[0]);
    assert_eq!((practice.layer(), beats(&practice.ladder)), (Layer::FlippingHand, 60.0));
}

#[test]
fn slow_and_goal_in_turns() {
    let mut ladder = Ladder::new(plan(Scheme::Alternate));
    let mut tempos = Vec::new();
    for result in [Missed, Clean, Clean, Clean, Missed, Clean, Clean, Clean, Clean, Clean] {
        tempos.push(beats(&ladder));
        ladder.pass_over(result);
    }
    assert_eq!(tempos, [60.0, 60.0, 72.0, 60.0, 72.0, 60.0, 72.0, 60.0, 72.0, 60.0]);
    assert_eq!(ladder.pass_over(Clean), Move::Reached, "the goal three times clean since its miss");
}

#[test]
fn cues_fade_and_return() {
    let mut cueing = Cueing::default();
    for (results, level) in [
        (&[Clean, Clean][..], CueLevel::ToneOnly),
        (&[Clean, Unheard, Clean], CueLevel::ClickOnly),
        (&[Missed], CueLevel::ToneOnly),
        (&[Missed, Missed, Missed], CueLevel::Everything),
        (&[Clean; 8], CueLevel::CountInOnly),
        (&[Clean; 4], CueLevel::CountInOnly),
    ] {
        results.iter().for_each(|&result| cueing.pass_over(result));
        assert_eq!(cueing.level(), level);
    }
    cueing.use_fading(Fading::Held);
    cueing.pass_over(Missed);
    assert_eq!(cueing.level(), CueLevel::CountInOnly);
}

/// Two bars of 4/4 with a flip: eight clicks and a tone.
#[test]
fn a_timeline_sounds_what_its_cue_level_says() {
    let four = Meter::common();
    let mut piece = Piece::new(
        vec![bar(&four), bar(&four)],
        vec![note(0, Ticks::ZERO, "C5", 1), note(1, quarters(2, 1), "F#4", 1)],
    );
    piece.flip(quarters(5, 1), "F4", LeverState::Up, quarters(6, 1));
    let chunk = Chunk::whole(&piece.request()).unwrap();
    assert!(!chunk.resets.is_empty(), "F4 must come down again");
    let seam_clicks = chunk.seam_length().quarters() as usize;
    for (cues, clicks, tones) in [
        (CueLevel::Everything, 8 + seam_clicks, 2),
        (CueLevel::ToneOnly, 8 + seam_clicks, 2),
        (CueLevel::ClickOnly, 8 + seam_clicks, 1),
        (CueLevel::ClickEveryOtherBar, 4 + seam_clicks, 1),
        (CueLevel::CountInOnly, 0, 1),
    ] {
        let timeline = piece.timeline(&chunk, TimelineOptions { cues, ..counted_in(1) });
        assert_eq!(timeline.count_in.len(), 4);
        assert_eq!(clicks_of(&timeline.events).len(), clicks, "{cues:?}");
        let found = timeline.events.iter().filter(|event| matches!(event.kind, EventKind::Cue(_))).count();
        assert_eq!(found, tones, "{cues:?}");
    }
}

/// Two bars of 4/4 at 60, F4 up on the second beat of bar 2: its letter 0.4 s ahead, "up" on the beat, and the count
/// without the numbers that would run into them.
#[test]
fn the_count_and_the_flip_are_spoken() {
    let four = Meter::common();
    let notes = vec![note(0, Ticks::ZERO, "C5", 1), note(1, quarters(2, 1), "F#4", 1)];
    let mut piece = Piece::new(vec![bar(&four), bar(&four)], notes);
    piece.flip(quarters(5, 1), "F4", LeverState::Up, quarters(6, 1));
    let chunk = Chunk::whole(&piece.request()).unwrap();
    let spoken = |events: &[Event]| -> Vec<(f64, Word)> {
        let word = |event: &Event| match event.kind {
            EventKind::Spoken { word, shift } => Some((event.at.quarters() + shift.get(), word)),
            _ => None,
        };
        events.iter().filter_map(word).collect()
    };
    let options = TimelineOptions { speech: Speech::Spoken, ..counted_in(1) };
    let timeline = piece.timeline(&chunk, options);
    let numbers = |numbers: &[u8]| numbers.iter().map(|&number| Word::Number(number)).collect::<Vec<_>>();
    assert_eq!(spoken(&timeline.count_in).iter().map(|(_, word)| *word).collect::<Vec<_>>(), numbers(&[1, 2, 3, 4]));
    let pass = spoken(&timeline.events);
    let flip: Vec<_> = pass.iter().filter(|(_, word)| !matches!(word, Word::Number(_))).collect();
    let letter = "F#4".parse::<SpelledPitch>().unwrap().letter();
    assert_eq!(flip, [&(4.6, Word::Letter(letter)), &(5.0, Word::Lever(LeverState::Up))]);
    let counted: Vec<f64> =
        pass.iter().filter(|(at, word)| *at < 8.0 && matches!(word, Word::Number(_))).map(|(at, _)| *at).collect();
    assert_eq!(counted, [0.0, 1.0, 2.0, 3.0, 4.0, 6.0, 7.0]);
    let faded = piece.timeline(&chunk, TimelineOptions { cues: CueLevel::ClickOnly, ..options });
    assert!(spoken(&faded.events).is_empty() && !spoken(&faded.count_in).is_empty());
}

#[test]
fn layers_name_their_hands() {
    use PlayedHands::{Both, Neither, Only};
    let hands = Layer::SUGGESTED.map(|layer| layer.hands(Hand::Left));
    assert_eq!(hands, [Neither, Only(Hand::Left), Only(Hand::Right), Both]);
    assert_eq!(Layer::FlipAlone.easier(), None);
    assert_eq!(Layer::Both.next(), None);
}
