//! The clock on the wall.

use crate::state::Moment;

/// Seconds in a day.
const DAY: i64 = 86_400;

/// What it says now, in the player's own time zone.
pub fn now() -> Moment {
    let now = jiff::ZonedDateTime::now();
    let at = now.timestamp().as_second();
    let local = at + i64::from(now.offset().seconds());
    Moment { at, day: i32::try_from(local.div_euclid(DAY)).unwrap_or(i32::MAX) }
}
