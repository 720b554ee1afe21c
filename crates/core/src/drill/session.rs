//! A session: several flips in turns, and a pause in time.

use crate::time::Seconds;

/// How a session is divided.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SessionPlan {
    /// How long one flip is practised before the next has its turn. Interleaving is favoured over long blocks (doi
    /// 10.3389/fpsyg.2016.01251); a few minutes each are a working value of ours.
    pub turn: Seconds,
    /// How long is practised before a pause is asked for: at least 10 minutes' break an hour (theledger.com, 19 July
    /// 2009).
    pub until_pause: Seconds,
    /// How long the pause is to be.
    pub pause: Seconds,
}

impl Default for SessionPlan {
    fn default() -> SessionPlan {
        let minutes = |minutes: f64| Seconds::new(minutes * 60.0);
        SessionPlan { turn: minutes(4.0), until_pause: minutes(50.0), pause: minutes(10.0) }
    }
}

/// What a session asks for between two passes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ask {
    /// Nothing.
    GoOn,
    /// The next flip's turn, by its place in the list of flips.
    Turn(usize),
    /// A pause. Asked until one has been taken.
    Pause,
}

/// A session in progress. It has no clock: the time of day, or of the program, comes with each event, in seconds from
/// any fixed moment. A gap between passes as long as a pause is a pause, asked for or not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Session {
    plan: SessionPlan,
    flips: usize,
    turn: usize,
    turn_since: Seconds,
    practised_since: Seconds,
    last: Seconds,
}

impl Session {
    /// A session of so many flips that begins now.
    pub fn new(plan: SessionPlan, flips: usize, now: Seconds) -> Session {
        Session { plan, flips, turn: 0, turn_since: now, practised_since: now, last: now }
    }

    /// Whose turn it is.
    pub fn turn(&self) -> usize {
        self.turn
    }

    /// How long has been practised since the last pause.
    pub fn practised(&self, now: Seconds) -> Seconds {
        now - self.practised_since
    }

    /// A pass, or anything else the player does, begins now.
    pub fn begins(&mut self, now: Seconds) {
        if now - self.last >= self.plan.pause {
            self.practised_since = now;
            self.turn_since = now;
        }
        self.last = now;
    }

    /// A pass is over.
    pub fn pass_over(&mut self, now: Seconds) -> Ask {
        self.last = now;
        if self.practised(now) >= self.plan.until_pause {
            return Ask::Pause;
        }
        if self.flips > 1 && now - self.turn_since >= self.plan.turn {
            self.turn = (self.turn + 1) % self.flips;
            self.turn_since = now;
            return Ask::Turn(self.turn);
        }
        Ask::GoOn
    }
}
