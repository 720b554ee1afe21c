//! All that the window knows: the piece, the player's wishes, the plan made of both, and the drill.

mod diary;
mod document;
mod draft;
mod drill;
mod engraved;
mod harp;
mod history;
mod listening;
mod midi;
mod mix;
mod notice;
mod piece;
mod place;
mod practice;
mod question;
mod regulating;
mod score;
mod settings;
mod sheet;
mod standings;
mod transport;
mod wishes;

pub use diary::{Deleting, DiaryDesk, DiaryPicture};
pub use document::Document;
pub use draft::{Draft, DraftFault, DraftWay, PaperDesk};
pub use drill::{Drill, Look, Loop, Notes, Placed};
pub use engraved::Engraved;
pub use harp::HarpDesk;
pub use history::History;
pub use listening::{ClockTrouble, Ear, HeardPass, HeardString, ListeningDesk, Measuring};
pub use midi::{MidiDesk, MidiStanding};
pub use mix::{Level, Mix, Voice};
pub use notice::{Notice, NoticeKind};
pub use piece::{Origin, Piece, Planned};
pub use place::Place;
pub use practice::{Follows, LessonDesk, Listened, Moment, PassDesk, PassOver, PracticeDesk, Turn};
pub use question::{Next, Question};
pub use regulating::{Asked, ConcertPitch, LeverCheck, Misheard, PlucksEach, RegulatingDesk, TunerDesk};
pub use score::{Cut, EngravedScore, Page};
pub use settings::{
    Colours, Distance, EarSettings, Filling, KnownMicrophone, Movement, Pulse, Settings, Side, WindowPlace,
};
pub use sheet::{Sheet, Tunes};
pub use standings::Standings;
pub use transport::{PassPlace, Transport};
pub use wishes::{Wishes, preset_of, tuning_of, usual_harp};

use leverlane_formats::Said;
use std::sync::Arc;

use leverlane_core::plan::PlaceCost;
use leverlane_core::verdict::Thresholds;

use crate::words::Words;

/// Everything the views draw. Only [`crate::apply::apply`] changes it.
#[derive(Clone, Debug, Default)]
pub struct State {
    /// Which of the four places the player is in.
    pub place: Place,
    /// What holds for every piece.
    pub settings: Settings,
    /// The open piece.
    pub piece: Option<Arc<Piece>>,
    /// What the player has decided about it; changed by [`crate::apply`] alone, so that it can be undone.
    pub wishes: Wishes,
    /// Where it is kept.
    pub document: Document,
    /// What she had decided before.
    pub history: History,
    /// The plan of the open piece; none until the first one is there.
    pub plan: Option<Arc<Planned>>,
    /// The score as the engraver draws it.
    pub score: EngravedScore,
    /// The whole piece once through, as the Piece place shows it.
    pub whole: Option<Arc<Loop>>,
    /// What is being drilled.
    pub drill: Drill,
    /// What the microphone hears.
    pub listening: ListeningDesk,
    /// Pedals that speak MIDI.
    pub midi: MidiDesk,
    /// The lesson that is practised, if the piece came in one.
    pub lesson: Option<LessonDesk>,
    /// What the clock on the wall says; it is told from outside.
    pub now: Moment,
    /// What the Diary place shows.
    pub diary: DiaryDesk,
    /// What she looks at in the Harp place.
    pub harp: HarpDesk,
    /// The lever check and the tuner.
    pub regulating: RegulatingDesk,
    /// What is under way on other threads.
    pub work: Work,
    /// Something to tell the player.
    pub notice: Option<Notice>,
    /// Why there is no sound, if there is none.
    pub silent_because: Option<Said>,
    /// The reason that the player has read and put away; it is not told again.
    pub heeded_silence: Option<Said>,
    /// What waits for her answer.
    pub question: Option<Question>,
    /// What covers the place where she is.
    pub sheet: Option<Sheet>,
    /// What is being written down from paper.
    pub paper: PaperDesk,
    /// What it would cost to make the selected flip elsewhere; none until it has been worked out.
    pub costs: Option<Costs>,
    /// Counts every change of piece, plan, loop or words, so that views know when to derive their models anew.
    pub revision: u64,
}

impl State {
    /// What counts as steady: by the level of the player's hands, unless she has set it herself.
    pub fn limits(&self) -> Thresholds {
        self.settings.limits.unwrap_or_else(|| Thresholds::of_level(self.wishes.pace.level()))
    }

    /// How the window speaks.
    pub fn words(&self) -> Words {
        self.settings.words
    }
}

/// What it would cost to make one flip elsewhere.
#[derive(Clone, Debug, PartialEq)]
pub struct Costs {
    /// The gesture, by its place in the plan.
    pub gesture: usize,
    /// Every place with either hand, in order of time.
    pub places: Vec<PlaceCost>,
}

/// What other threads are working on. Each job has a number; an answer to an older job is dropped.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Work {
    /// The newest opening job, while it runs.
    pub opening: Option<u64>,
    /// The newest planning job, while it runs.
    pub planning: Option<u64>,
    /// Whether a file dialog is up.
    pub asking: bool,
    /// The newest job that works out costs, while it runs.
    pub costing: Option<u64>,
    /// What is done once the open piece has been saved.
    pub after_saving: AfterSaving,
    last: u64,
}

/// What is done once the open piece has been saved.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum AfterSaving {
    /// She goes on with it.
    #[default]
    Nothing,
    /// It gives way to this.
    Do(Next),
}

impl Work {
    /// A number that no job has had.
    pub fn next_job(&mut self) -> u64 {
        self.last += 1;
        self.last
    }
}
