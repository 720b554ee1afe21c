//! Planning, on a thread that always takes the newest order.

use leverlane_formats::said;
use std::sync::Arc;
use std::sync::mpsc::{Sender, channel};
use std::thread;

use leverlane_core::harp::Harp;
use leverlane_core::plan::{
    BareRequest, Edit, EndOfPiece, HandPace, MarkedEdits, Pace, Reasons, Request, bare_plan, edits_of_marks,
    plan_with_ways_out, with_edit,
};
use leverlane_core::time::{Tempo, TempoMap};

use super::Messenger;
use crate::intent::{Intent, PlanIntent};
use crate::state::{Piece, Planned};

/// A plan to be made.
#[derive(Clone, Debug)]
pub struct PlanOrder {
    /// The piece.
    pub piece: Arc<Piece>,
    /// The harp.
    pub harp: Harp,
    /// The player's hands.
    pub pace: Pace,
    /// The tempo at the start; later changes keep their proportion.
    pub goal: Tempo,
    /// The player's own decisions.
    pub edits: Vec<Edit>,
}

/// What the planning thread does.
enum Work {
    Plan { job: u64, order: PlanOrder },
    Cost { job: u64, order: PlanOrder, planned: Arc<Planned>, gesture: usize },
}

/// The way to the planning thread.
pub(super) struct Planner {
    orders: Sender<Work>,
}

impl Planner {
    pub(super) fn start(messenger: Messenger) -> Planner {
        let (orders, incoming) = channel::<Work>();
        let failed = messenger.clone();
        let planning = thread::Builder::new().name("planner".to_owned()).spawn(move || {
            while let Ok(mut newest) = incoming.recv() {
                // Whatever is ordered makes what was ordered before pointless: costs are those of the newest plan.
                while let Ok(newer) = incoming.try_recv() {
                    newest = newer;
                }
                messenger.send(match newest {
                    Work::Plan { job, order } => PlanIntent::Made { job, planned: Arc::new(make_plan(&order)) }.into(),
                    Work::Cost { job, order, planned, gesture } => {
                        let places = make_request(&order, &planned, |request| {
                            Reasons::of(request, &planned.plan).places(gesture)
                        });
                        PlanIntent::Costed { job, gesture, places }.into()
                    }
                });
            }
        });
        if let Err(error) = planning {
            failed.send(Intent::Trouble(said!(
                "planning could not be started ({error}); restart the program",
                error = error.to_string()
            )));
        }
        Planner { orders }
    }

    pub(super) fn plan(&self, job: u64, order: PlanOrder, messenger: &Messenger) {
        if self.orders.send(Work::Plan { job, order }).is_err() {
            messenger.send(Intent::Trouble(said!("planning has stopped; restart the program")));
        }
    }

    pub(super) fn cost(&self, job: u64, order: PlanOrder, planned: Arc<Planned>, gesture: usize) {
        // Where planning has stopped, the player has been told by the plan before.
        drop(self.orders.send(Work::Cost { job, order, planned, gesture }));
    }
}

/// The lever marks of the score as decisions, and the player's own in the place of those that they replace; with the
/// marks that became none.
fn decisions(order: &PlanOrder, harp: &Harp) -> MarkedEdits {
    let marks = &order.piece.score.markings().levers;
    let MarkedEdits { edits, unmet } = edits_of_marks(marks, &order.piece.performance, harp);
    let edits = order.edits.iter().fold(edits, |edits, edit| with_edit(&edits, *edit));
    MarkedEdits { edits, unmet }
}

/// Asks something about a plan with the request that it was made for.
pub fn make_request<T>(order: &PlanOrder, planned: &Planned, ask: impl FnOnce(&Request<'_>) -> T) -> T {
    let pace = HandPace::from(order.pace);
    let edits = decisions(order, &planned.harp).edits;
    ask(&Request {
        performance: &order.piece.performance,
        harp: &planned.harp,
        tempo: &planned.goal,
        pace: &pace,
        edits: &edits,
        ending: EndOfPiece::Stop,
    })
}

/// Makes the plan. Where the piece's later tempos would leave the playable range in proportion, the goal holds
/// throughout.
pub fn make_plan(order: &PlanOrder) -> Planned {
    let harp = order.harp.clone();
    let performance = &order.piece.performance;
    let goal = performance.tempo().opening_at(order.goal).unwrap_or_else(|_| TempoMap::steady(order.goal));
    let pace = HandPace::from(order.pace);
    let MarkedEdits { edits, unmet } = decisions(order, &harp);
    let plan = match &order.piece.flips {
        Some(flips) => bare_plan(&BareRequest { performance, harp: &harp, tempo: &goal, pace: &pace, flips }).plan,
        None => plan_with_ways_out(&Request {
            performance,
            harp: &harp,
            tempo: &goal,
            pace: &pace,
            edits: &edits,
            ending: EndOfPiece::Stop,
        }),
    };
    Planned { harp, goal, plan, unmet }
}
