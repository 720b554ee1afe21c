//! What is played and what is heard, put together.

use std::collections::VecDeque;
use std::sync::Arc;

use leverlane_core::pitch::{Cents, Hertz, MidiNote};
use leverlane_core::time::Seconds;
use leverlane_core::verdict::{Evidence, HeardNote};
use leverlane_hearing::{Heard, HeardNote as HeardByEar, Listener, PassEar, SampleRate as HearingRate};
use leverlane_sound::capture::{Block, HeardIndex, LevelMeter};
use leverlane_sound::clocks::{ClockMark, ClockNews, TwoClocks};
use leverlane_sound::{Click, ClickSound, Played, SampleIndex, SampleRate, Sounding};

use crate::asked::Asked;
use crate::click_band::ClickBand;
use crate::clicks::{ClickFinder, Looked, echo_kind};
use crate::kept_sound::KeptSound;
use crate::learned::{ALONE, ClicksUnderWay, LearnedClicks};
use crate::own_sounds::OwnSounds;
use crate::passes::{OverPass, PassEvidence, Passes, Wholeness};
use crate::plucks::SingleNews;

/// How far from its place a click is looked for: when the counts are known to the sample, when the latency is known from
/// another day, and when nothing is known (seconds after its way out).
const EXACT: f64 = 0.004;
const ROUGH: f64 = 0.05;
const UNKNOWN: f64 = 0.4;
/// Clicks that wait to be heard.
const WAITING: usize = 64;
/// Missing sound longer than this (seconds) is not filled with silence: the listener begins anew.
const FILLED: f64 = 2.0;
/// So much sound before a pass is looked at with it (seconds).
const BEFORE: f64 = 0.5;
/// A note on a click that is weaker than so much of the click is what the subtraction left of it.
pub(crate) const LEFT_OF_A_CLICK: f64 = 2.0;
/// Programs whose demands are remembered: a few wait for their pass at most.
const ASKED: usize = 16;

/// Whether the loudspeaker can be heard by the microphone.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Route {
    /// It can: clicks are looked for, and notes that are our own are left out.
    #[default]
    Loudspeaker,
    /// Headphones: nothing of ours is heard.
    Headphones,
}

/// A note that was heard, in its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlacedNote {
    /// When, by the count of what is played.
    pub at: SampleIndex,
    /// The pass and how far into it; none before the first.
    pub place: Option<(u64, Seconds)>,
    /// The nearest note.
    pub note: MidiNote,
    /// How far above it.
    pub cents: Cents,
    /// How sure it is, 0 to 1.
    pub certainty: f64,
}

/// Something to be told.
#[derive(Clone, Debug, PartialEq)]
pub enum News {
    /// Something was plucked; which note is not known yet. For showing at once.
    Onset {
        /// How sure it is, 0 to 1.
        certainty: f64,
    },
    /// A note was plucked about a quarter of a second ago.
    Note(PlacedNote),
    /// A pass is over, and this was heard of it.
    Pass(PassEvidence),
    /// Something about the clocks.
    Clock(ClockNews),
    /// Of strings plucked one at a time, while they are listened to.
    Single(SingleNews),
    /// The listening can't place notes yet: the latency of these devices is not known, and no click was heard again.
    NoPlace,
}

/// Joins the loudspeaker's side and the microphone's. Touches no device; its memory doesn't grow.
pub struct Joiner {
    route: Route,
    output_rate: SampleRate,
    clocks: TwoClocks,
    has_latency: bool,
    listener: Listener,
    likely: Vec<Hertz>,
    /// The microphone's sample that the listener heard first.
    listens_from: Option<HeardIndex>,
    meter: LevelMeter,
    finder: ClickFinder,
    clicks: VecDeque<(SampleIndex, Click)>,
    /// The sound of the newest click.
    click_sound: ClickSound,
    /// Takes high clicks out of what is heard; none where the microphone's rate doesn't hold them.
    without_high: Option<ClickBand>,
    learned: LearnedClicks,
    under_way: ClicksUnderWay,
    /// What is heard less our own clicks.
    cleaned: Vec<f32>,
    own: OwnSounds,
    passes: Passes,
    /// What the passes of each program ask for, by its number.
    asked: VecDeque<(u64, Arc<Asked>)>,
    kept: KeptSound,
    ear: PassEar,
    heard: Vec<Heard>,
    told_no_place: bool,
    /// From when on, by the count of what is played, notes have been placed.
    places_from: Option<SampleIndex>,
}

impl Joiner {
    /// For two devices that have just been opened, with their latency where it is known. Notes near `likely` are taken
    /// more readily: the strings of the passage, open and raised. None where the microphone runs at a rate that nothing
    /// can be heard at.
    pub fn new(
        output_rate: SampleRate,
        input_rate: SampleRate,
        latency: Option<Seconds>,
        likely: &[Hertz],
        route: Route,
    ) -> Option<Joiner> {
        let rate = HearingRate::new(input_rate.get())?;
        let learned = LearnedClicks::new(input_rate.get());
        Some(Joiner {
            route,
            output_rate,
            clocks: TwoClocks::new(output_rate, input_rate, latency),
            has_latency: latency.is_some(),
            listener: Listener::new(rate, likely),
            likely: likely.to_vec(),
            listens_from: None,
            meter: LevelMeter::new(input_rate),
            finder: ClickFinder::new(input_rate, learned.length()),
            learned,
            under_way: ClicksUnderWay::new(),
            cleaned: Vec::new(),
            clicks: VecDeque::with_capacity(WAITING),
            click_sound: ClickSound::default(),
            without_high: ClickBand::taken_out(input_rate),
            own: OwnSounds::default(),
            passes: Passes::new(output_rate),
            asked: VecDeque::with_capacity(ASKED),
            kept: KeptSound::new(rate),
            ear: PassEar::new(rate),
            heard: Vec::new(),
            told_no_place: false,
            places_from: None,
        })
    }

    /// The levels.
    pub fn meter(&self) -> &LevelMeter {
        &self.meter
    }

    /// The clocks, as far as they are known.
    pub fn clocks(&self) -> &TwoClocks {
        &self.clocks
    }

    /// What the passes of a program ask for. Its passes are then listened to once more, string by string, as soon as they
    /// are over.
    pub fn ask(&mut self, program: u64, asked: Arc<Asked>) {
        if let Some(last) = asked.last_note() {
            self.kept.keep(last);
        }
        let likely = asked.likely();
        if likely != self.likely {
            self.likely = likely;
            self.listen_anew();
        }
        if self.asked.len() == ASKED {
            self.asked.pop_front();
        }
        self.asked.push_back((program, asked));
    }

    /// Goes on with what a measurement has learnt of these clocks.
    pub fn use_clocks(&mut self, clocks: TwoClocks) {
        self.has_latency = true;
        self.clocks = clocks;
    }

    /// Takes a mark of the loudspeaker's clock.
    pub fn note_output(&mut self, mark: ClockMark, tell: &mut dyn FnMut(News)) {
        let news = self.clocks.note_output(mark);
        self.tell_clock(news, tell);
    }

    /// Takes a sound that is played.
    pub fn note_played(&mut self, played: Played) {
        self.passes.note(played);
        self.own.note(played);
        if let Sounding::Click(click) = played.what
            && self.route == Route::Loudspeaker
        {
            self.click_sound = click.sound;
            if click.sound == ClickSound::Usual {
                self.under_way.note(click.accent, played.at);
            }
            if self.clicks.len() == WAITING {
                self.clicks.pop_front();
            }
            self.clicks.push_back((played.at, click));
        }
    }

    /// Takes a run of what is heard.
    pub fn hear(&mut self, block: &Block<'_>, tell: &mut dyn FnMut(News)) {
        let count = block.first.get() + block.samples.len() as u64;
        let news = self.clocks.note_input(ClockMark { count, at: block.at });
        self.tell_clock(news, tell);
        self.meter.hear(block.samples);
        self.finder.hear(block.first, block.samples);
        self.fill(block);
        self.find_clicks(tell);
        self.clean(block.samples);
        if self.clocks.is_exact() {
            self.under_way.take_off(block.first, &mut self.cleaned, &self.learned, &self.clocks);
        }
        let mut heard = std::mem::take(&mut self.heard);
        self.kept.hear(self.cleaned.iter().copied());
        self.listener.listen(&self.cleaned, |news| heard.push(news));
        for news in heard.drain(..) {
            self.place(news, tell);
        }
        self.heard = heard;
        if let Some(until) = self.clocks.played_when_heard(HeardIndex::new(count)) {
            let places_from = *self.places_from.get_or_insert(until);
            while let Some(over) = self.next_over(until, places_from) {
                tell(News::Pass(self.look_again(over)));
            }
        }
    }

    /// What is heard less the band of high clicks, while the drill has such.
    fn clean(&mut self, heard: &[f32]) {
        self.cleaned.clear();
        self.cleaned.extend_from_slice(heard);
        let Some(band) = &mut self.without_high else { return };
        // It goes along with all that is heard, so that it is ready when the first such click is played.
        let without = heard.iter().map(|&sample| band.pass(sample));
        match self.click_sound {
            ClickSound::Usual => without.for_each(drop),
            ClickSound::High => self.cleaned.iter_mut().zip(without).for_each(|(kept, without)| *kept = without),
        }
    }

    fn next_over(&mut self, until: SampleIndex, places_from: SampleIndex) -> Option<OverPass> {
        let asked = &self.asked;
        let last_note = |program| Self::asked_of(asked, program)?.last_note();
        self.passes.next_over(until, places_from, last_note)
    }

    fn asked_of(asked: &VecDeque<(u64, Arc<Asked>)>, program: u64) -> Option<&Arc<Asked>> {
        asked.iter().rev().find(|(number, _)| *number == program).map(|(_, asked)| asked)
    }

    /// Listens to a pass once more, knowing what it asks for; where that can't be, the first look stays.
    fn look_again(&mut self, over: OverPass) -> PassEvidence {
        let OverPass { begins, mut told } = over;
        if told.whole == Wholeness::Whole
            && let Some(asked) = Self::asked_of(&self.asked, told.program).cloned()
            && let Some(evidence) = self.second_look(begins, &asked)
        {
            told.evidence = evidence;
        }
        told
    }

    fn second_look(&mut self, begins: SampleIndex, asked: &Asked) -> Option<Evidence> {
        let from = self.listens_from?.get();
        let rate = self.listener.rate();
        let starts = (self.clocks.heard_point(begins)?.0 - from as f64) / f64::from(rate.get());
        let (first, sound) = self.kept.since(Seconds::new(starts - BEFORE))?;
        let mut evidence = self.ear.evidence(&asked.expected, &asked.harp, Seconds::new(starts), first, sound);
        // By the loudspeaker's count, in which the pass is written; the two part by parts per million.
        let clocks = &self.clocks;
        let output_rate = f64::from(self.output_rate.get());
        let by_played = |at: Seconds| {
            let heard = HeardIndex::new(from + rate.index_at(Seconds::new(starts) + at).get());
            let played = clocks.played_when_heard(heard)?;
            Some(Seconds::new((played.get() as f64 - begins.get() as f64) / output_rate))
        };
        let times = evidence.heard.iter_mut().map(|note| &mut note.at);
        for at in times.chain(evidence.levers.iter_mut().map(|lever| &mut lever.at)) {
            *at = by_played(*at).unwrap_or(*at);
        }
        Some(evidence)
    }

    fn listen_anew(&mut self) {
        self.listener = Listener::new(self.listener.rate(), &self.likely);
        self.listens_from = None;
    }

    /// Sound is missing: the pass is broken, but what follows stands in its place.
    fn fill(&mut self, block: &Block<'_>) {
        if block.missing > 0 {
            self.passes.break_off();
        }
        let begins_anew = block.missing as f64 > FILLED * f64::from(self.listener.rate().get());
        if begins_anew {
            self.listen_anew();
        }
        if self.listens_from.is_none() {
            self.listens_from = Some(block.first);
            self.kept = KeptSound::new(self.listener.rate());
            for asked in &self.asked {
                if let Some(last) = asked.1.last_note() {
                    self.kept.keep(last);
                }
            }
            return;
        }
        let mut heard = std::mem::take(&mut self.heard);
        self.kept.hear(std::iter::repeat_n(0.0, usize::try_from(block.missing).unwrap_or(0)));
        for _ in 0..block.missing {
            self.listener.listen(&[0.0], |news| heard.push(news));
        }
        self.heard = heard;
    }

    /// Looks for the clicks that should have been heard by now, and learns from them how the clocks lie.
    fn find_clicks(&mut self, tell: &mut dyn FnMut(News)) {
        while let Some(&(played, click)) = self.clicks.front() {
            let Some((from, to)) = self.where_heard(played) else { return };
            match self.finder.look(click, from, to) {
                Looked::TooEarly => return,
                Looked::NotThere => {}
                Looked::At(heard, alike) => {
                    let news = self.clocks.note_echo(echo_kind(click), played, heard);
                    if click.sound == ClickSound::Usual && (alike >= ALONE || self.learned.knows(click.accent)) {
                        let place = self.clocks.echo_point(echo_kind(click), played);
                        let (recent, place) = self.finder.recent(place.unwrap_or(heard));
                        self.learned.learn(click.accent, recent, place);
                    }
                    self.tell_clock(news, tell);
                }
            }
            self.clicks.pop_front();
        }
    }

    fn where_heard(&self, played: SampleIndex) -> Option<(HeardIndex, HeardIndex)> {
        let rate = f64::from(self.listener.rate().get());
        let around = |middle: HeardIndex, seconds: f64| {
            let reach = (seconds * rate) as u64;
            (HeardIndex::new(middle.get().saturating_sub(reach)), HeardIndex::new(middle.get() + reach))
        };
        if self.clocks.is_exact() {
            return Some(around(self.clocks.heard_when_played(played)?, EXACT));
        }
        if self.has_latency {
            return Some(around(self.clocks.heard_when_played(played)?, ROUGH));
        }
        let at_once = self.clocks.arrives_at_once(played)?;
        Some((at_once, HeardIndex::new(at_once.get() + (UNKNOWN * rate) as u64)))
    }

    fn place(&mut self, heard: Heard, tell: &mut dyn FnMut(News)) {
        let from = self.listens_from.unwrap_or_default();
        let played = |clocks: &TwoClocks, at: leverlane_hearing::SampleIndex| {
            clocks.played_when_heard(HeardIndex::new(from.get() + at.get()))
        };
        let click_near = |joiner: &Joiner, at: SampleIndex| match joiner.route {
            Route::Loudspeaker => joiner.own.click_near(at, joiner.output_rate),
            Route::Headphones => None,
        };
        let note = match heard {
            Heard::Onset(onset) => {
                // On a click of ours it is an attack only once a note is told to be there.
                if played(&self.clocks, onset.at).and_then(|at| click_near(self, at)).is_none() {
                    self.kept.note_attack(onset.at);
                }
                return tell(News::Onset { certainty: onset.certainty });
            }
            Heard::Note(note) => note,
        };
        let Some(at) = played(&self.clocks, note.at) else {
            if !std::mem::replace(&mut self.told_no_place, true) {
                tell(News::NoPlace);
            }
            return;
        };
        let pitch = f64::from(note.note.get()) + note.cents.get() / 100.0;
        if self.route == Route::Loudspeaker && self.own.is_own(at, pitch, self.output_rate) {
            return;
        }
        if let Some(click) = click_near(self, at) {
            if note.strength < LEFT_OF_A_CLICK * self.learned.strength(click) {
                return;
            }
            self.kept.note_attack(note.at);
        }
        let place = self.passes.place(at);
        let HeardByEar { at: heard_at, note, cents, certainty, .. } = note;
        self.kept.note_note(heard_at, note, cents, certainty);
        if let Some((pass, into)) = place {
            self.passes.hear(pass, HeardNote { at: into, note, cents, certainty });
        }
        tell(News::Note(PlacedNote { at, place, note, cents, certainty }));
    }

    fn tell_clock(&mut self, news: Option<ClockNews>, tell: &mut dyn FnMut(News)) {
        let Some(news) = news else { return };
        if matches!(news, ClockNews::OutputJumped(_) | ClockNews::InputJumped(_) | ClockNews::WayJumped(_)) {
            self.passes.break_off();
        }
        tell(News::Clock(news));
    }

    /// The microphone was lost and is another stream now: passes go on, broken; clocks and ears begin anew.
    pub fn go_on_with(&mut self, input_rate: SampleRate, latency: Option<Seconds>) -> bool {
        let fresh = Joiner::new(self.output_rate, input_rate, latency, &self.likely, self.route);
        let Some(fresh) = fresh else { return false };
        let rate = self.output_rate;
        let mut passes = std::mem::replace(&mut self.passes, Passes::new(rate));
        passes.break_off();
        let click_sound = self.click_sound;
        let (own, asked) = (std::mem::take(&mut self.own), std::mem::take(&mut self.asked));
        *self = Joiner { passes, own, asked, click_sound, ..fresh };
        true
    }
}
