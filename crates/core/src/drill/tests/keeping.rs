//! Sessions, what is due, and how a flip stands.

use super::*;

fn minutes(minutes: f64) -> Seconds {
    Seconds::new(minutes * 60.0)
}

#[test]
fn flips_take_turns_and_a_pause_is_asked_for() {
    let mut session = Session::new(SessionPlan::default(), 3, Seconds::ZERO);
    let mut asked = Vec::new();
    // A pass every half minute, for just under an hour.
    for half in 1..=110 {
        let now = minutes(f64::from(half) / 2.0);
        session.begins(now);
        match session.pass_over(now) {
            Ask::GoOn => {}
            ask => asked.push((now.get() / 60.0, ask)),
        }
    }
    assert_eq!(asked[..4], [(4.0, Ask::Turn(1)), (8.0, Ask::Turn(2)), (12.0, Ask::Turn(0)), (16.0, Ask::Turn(1))]);
    let first = asked.iter().find(|(_, ask)| *ask == Ask::Pause).unwrap();
    assert_eq!(first.0, 50.0, "10 minutes in the hour");
    session.begins(minutes(64.9));
    assert_eq!(session.pass_over(minutes(64.9)), Ask::Pause, "9.9 minutes are no pause");
    session.begins(minutes(75.0));
    assert_eq!(session.pass_over(minutes(75.5)), Ask::GoOn);
}

fn day(day: i32, clean: u8) -> DayOfPractice {
    DayOfPractice { day: Day::new(day), first_judged: 3, first_clean: clean, goal_held: GoalHeld::NotYet }
}

#[test]
fn gaps_grow_with_what_is_kept() {
    let due_day = |days: &[DayOfPractice]| due(days).map(Day::get);
    assert_eq!(due_day(&[]), None);
    assert_eq!(due_day(&[day(100, 3)]), Some(101));
    assert_eq!(due_day(&[day(100, 3), day(101, 2)]), Some(103));
    assert_eq!(due_day(&[day(100, 3), day(101, 3), day(103, 3)]), Some(107));
    assert_eq!(due_day(&[day(100, 3), day(101, 3), day(102, 3)]), Some(103), "asked too early, it proves nothing");
    assert_eq!(due_day(&[day(100, 3), day(101, 3), day(102, 1)]), Some(103), "lost: tomorrow again");
    assert_eq!(due_day(&[day(100, 3), day(101, 3), day(120, 3)]), Some(124), "late counts as kept");
    let faithful: Vec<_> = (0..40).map(|n| day(n * 40, 3)).collect();
    assert_eq!(due_day(&faithful), Some(39 * 40 + 30), "never rarer than once a month");
}

#[test]
fn ready_means_kept_on_another_day() {
    let held = |number, clean| DayOfPractice { goal_held: GoalHeld::Held, ..day(number, clean) };
    assert_eq!(standing(&[]), Standing::NotBegun);
    assert_eq!(standing(&[held(1, 3)]), Standing::Shaky, "one good day is no proof");
    assert_eq!(standing(&[held(1, 3), day(2, 3)]), Standing::Ready);
    assert_eq!(standing(&[held(1, 3), day(2, 3), day(9, 1)]), Standing::Shaky, "lost again");
    assert_eq!(standing(&[day(1, 3), day(2, 3)]), Standing::Shaky, "never at the goal");
}
