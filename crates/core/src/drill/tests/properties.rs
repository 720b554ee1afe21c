//! What holds for every chunk of every piece.

use super::*;

const OPEN: [&str; 8] = ["C3", "D3", "F3", "G3", "A4", "C5", "D5", "F5"];

prop_compose! {
    fn any_meter()(choice in 0usize..5) -> Meter {
        [meter(&[4], 4), meter(&[3], 4), meter(&[6], 8), meter(&[3, 2], 8), meter(&[2], 2)][choice].clone()
    }
}

prop_compose! {
    /// A piece of up to seven bars, perhaps with a pickup, notes and flips anywhere on eighths, at any tempo and pace.
    fn any_piece()(
        first_is_pickup: bool,
        meters in prop::collection::vec((any_meter(), any::<bool>()), 1..7),
        notes in prop::collection::vec((0usize..7, 0i64..12, 0usize..8, 1u8..=2), 0..30),
        flips in prop::collection::vec((0i64..60, 0usize..8), 0..10),
        tempo in 20.0f64..400.0,
        pace in 0usize..4,
    ) -> Piece {
        let mut bars = Vec::new();
        if first_is_pickup {
            bars.push(pickup(&meters[0].0, quarters(1, 2)));
        }
        bars.extend(meters.iter().map(|(meter, breaks_off)| {
            let full = bar(meter);
            let length = if *breaks_off { full.length - quarters(1, 2) } else { full.length };
            Bar { length, ..full }
        }));
        let notes = notes
            .into_iter()
            .filter(|&(bar, eighth, ..)| bar < bars.len() && quarters(eighth, 2) < bars[bar].length)
            .map(|(bar, eighth, open, staff)| note(bar, quarters(eighth, 2), OPEN[open], staff))
            .collect();
        let mut piece = Piece::new(bars, notes);
        piece.tempo = Tempo::quarters(tempo).unwrap();
        piece.pace = HandPace::from(PaceLevel::ALL[pace]);
        let mut times = flips;
        times.sort_unstable();
        times.retain(|&(eighth, _)| ScoreTime::from_start(quarters(eighth, 2)) < piece.performance.end());
        for (eighth, open) in times {
            let at = quarters(eighth, 2);
            let now = piece.plan.setting_at(ScoreTime::from_start(at)).of(piece.string(OPEN[open]));
            piece.flip(at, OPEN[open], !now, at + quarters(1, 1));
        }
        piece
    }
}

prop_compose! {
    fn any_chunk()(piece in any_piece(), from: prop::sample::Index, to: prop::sample::Index) -> (Piece, Chunk) {
        let bars = piece.performance.bars().len();
        let (from, to) = (from.index(bars), to.index(bars));
        let chunk = Chunk::of_bars(&piece.request(), from.min(to)..=from.max(to)).unwrap();
        (piece, chunk)
    }
}

proptest! {
    #[test]
    fn every_gesture_has_one_cue_at_its_time((piece, chunk) in any_chunk()) {
        let timeline = piece.timeline(&chunk, counted_in(1));
        let begins = piece.performance.bars()[chunk.first].starts;
        let closes = piece.performance.bars()[chunk.last].ends();
        let mut expected: Vec<(Ticks, Cue)> = piece.plan.gestures.iter().enumerate()
            .filter(|(_, gesture)| gesture.at >= begins && gesture.at < closes)
            .map(|(index, gesture)| (gesture.at - begins, Cue::Planned(index)))
            .collect();
        expected.extend(chunk.resets.iter().enumerate().map(|(index, reset)| {
            (closes - begins + reset.at.since_start(), Cue::Reset(index))
        }));
        let found: Vec<_> = timeline.events.iter().filter_map(|event| match event.kind {
            EventKind::Cue(cue) => Some((event.at, cue)),
            EventKind::Click(_) | EventKind::Guide(_) | EventKind::Spoken { .. } | EventKind::Pluck { .. } => None,
        }).collect();
        prop_assert_eq!(found, expected);
    }

    #[test]
    fn a_pass_is_as_long_as_its_bars((piece, chunk) in any_chunk()) {
        let timeline = piece.timeline(&chunk, counted_in(1));
        let bars = &piece.performance.bars()[chunk.first..=chunk.last];
        let music: i64 = bars.iter().map(|bar| bar.length.get()).sum();
        let seam: i64 = chunk.seam.iter().map(|bar| bar.length.get()).sum();
        prop_assert_eq!(timeline.length.get(), music + seam);
        prop_assert!(timeline.events.iter().all(|event| event.at >= Ticks::ZERO && event.at < timeline.length));
        prop_assert!(timeline.events.is_sorted_by_key(|event| event.at));
        // Counted on from the last bar, the first comes where its meter wants it.
        let (first, last) = (&bars[0], &bars[bars.len() - 1]);
        let counted = last.anacrusis + last.length + Ticks::new(seam);
        let expected = if first.meter == last.meter { first.anacrusis.get() } else { 0 };
        let after_pickup = if first.meter == last.meter { counted } else { counted - first.anacrusis };
        prop_assert_eq!(after_pickup.get() % last.meter.bar_length().get(), expected);
    }

    #[test]
    fn every_pluck_sounds_once((piece, chunk) in any_chunk()) {
        let timeline = piece.timeline(&chunk, counted_in(1));
        let found: Vec<_> = timeline.events.iter().filter_map(|event| match event.kind {
            EventKind::Pluck { pluck, note, hand, .. } => Some((event.at + chunk.starts.since_start(), pluck, note, hand)),
            EventKind::Click(_) | EventKind::Cue(_) | EventKind::Guide(_) | EventKind::Spoken { .. } => None,
        }).collect();
        let inside = piece.performance.plucks().iter().enumerate().filter(|(_, pluck)| {
            (chunk.first..=chunk.last).contains(&pluck.played_bar)
        });
        let expected: Vec<_> =
            inside.map(|(index, pluck)| (pluck.at.since_start(), index, pluck.pitch.midi(), pluck.hand)).collect();
        prop_assert_eq!(found, expected);
    }

    #[test]
    fn the_resets_bring_every_lever_back_in_time((piece, chunk) in any_chunk()) {
        let mut setting = chunk.start.clone();
        for flip in piece.plan.gestures[chunk.gestures.clone()].iter().chain(&chunk.resets).flat_map(|g| &g.flips) {
            prop_assert!(setting.of(flip.string) != flip.to, "a lever moved to where it stands");
            setting.set(flip.string, flip.to);
        }
        prop_assert_eq!(&setting, &chunk.start);
        let seconds = |after_close: Ticks| {
            chunk.tempo.seconds_at(ScoreTime::from_start(chunk.music_length() + after_close)).get()
        };
        let seam: Ticks = chunk.seam.iter().map(|bar| bar.length).sum();
        for pair in chunk.resets.windows(2) {
            let (at, then) = (pair[0].at.since_start(), pair[1].at.since_start());
            let further = piece.pace.further_lever().get() * (pair[1].flips.len() - 1) as f64;
            prop_assert!(seconds(then) - seconds(at) >= piece.pace.lever_to_lever().get() + further - 1e-6);
        }
        if let Some(last) = chunk.resets.last() {
            // No way back is shorter than one of no distance.
            let back = piece.pace.back(crate::harp::Millimetres::default()).get();
            prop_assert!(seconds(seam) - seconds(last.at.since_start()) >= back - 1e-6);
        }
        prop_assert!(chunk.resets.iter().all(|reset| !reset.is_rushed() && reset.at >= ScoreTime::START));
    }
}
