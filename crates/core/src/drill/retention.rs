//! What is due again, and how a flip stands: what is kept is asked on another day.

/// A calendar day where the player is, counted from 1 January 1970.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day(i32);

impl Day {
    /// So many days after 1 January 1970.
    pub const fn new(days: i32) -> Day {
        Day(days)
    }

    /// Days after 1 January 1970.
    pub const fn get(self) -> i32 {
        self.0
    }

    /// So many days later.
    pub const fn after(self, days: i32) -> Day {
        Day(self.0.saturating_add(days))
    }
}

/// What one day's practice of a flip has shown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayOfPractice {
    /// The day.
    pub day: Day,
    /// Of the day's first judged passes ([`FIRST_PASSES`] at most), how many there were.
    pub first_judged: u8,
    /// And how many of them were clean.
    pub first_clean: u8,
    /// Whether the goal tempo was held that day: enough clean passes in a row.
    pub goal_held: GoalHeld,
}

/// Whether the goal tempo was held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GoalHeld {
    /// It was.
    Held,
    /// Not yet.
    NotYet,
}

/// The passes with which a day begins tell what was kept; the later ones what was learnt anew. What is kept until the
/// next day follows the share of correct trials (doi 10.1177/0022429408328851).
pub const FIRST_PASSES: u8 = 3;

/// Days until a flip is due again after it has been kept so many times running: growing gaps, each about twice the one
/// before. That spaced repetition beats massed and that the best gap grows with the time of keeping is well found (Cepeda
/// et al. 2008, Psychological Science 19(11), from memory); these very numbers are set by us.
pub const GAPS: [i32; 6] = [1, 2, 4, 8, 16, 30];

/// Whether a day's first passes show that the flip was kept: two of three clean.
pub fn is_kept(day: &DayOfPractice) -> bool {
    day.first_judged > 0 && u32::from(day.first_clean) * 3 >= u32::from(day.first_judged) * 2
}

/// When a flip is due again; none where it has never been judged. Days in order.
///
/// A day on which it was kept and due makes the gap grow; practice before it is due changes nothing, unless it shows
/// that the flip was lost. A lost flip is due the next day.
pub fn due(days: &[DayOfPractice]) -> Option<Day> {
    let mut standing: Option<(usize, Day)> = None;
    for day in days.iter().filter(|day| day.first_judged > 0) {
        let gap = match standing {
            _ if !is_kept(day) => Some(0),
            None => Some(0),
            Some((gap, due)) if day.day >= due => Some((gap + 1).min(GAPS.len() - 1)),
            Some(_) => None,
        };
        if let Some(gap) = gap {
            standing = Some((gap, day.day.after(GAPS[gap])));
        }
    }
    standing.map(|(_, due)| due)
}

/// How well a flip is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Standing {
    /// Never judged.
    NotBegun,
    /// Practised, and not ready.
    Shaky,
    /// The goal was held, the flip was kept on another day, and the latest day shows nothing lost.
    Ready,
}

/// How well a flip is known by its days of practice, in order.
pub fn standing(days: &[DayOfPractice]) -> Standing {
    let judged: Vec<&DayOfPractice> = days.iter().filter(|day| day.first_judged > 0).collect();
    let Some(latest) = judged.last() else { return Standing::NotBegun };
    let held = judged.iter().position(|day| day.goal_held == GoalHeld::Held);
    let kept_since = held.is_some_and(|held| judged[held + 1..].iter().any(|day| is_kept(day)));
    if kept_since && is_kept(latest) { Standing::Ready } else { Standing::Shaky }
}
